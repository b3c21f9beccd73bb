"""Lines along one diagonal pull a piece out of square; mirrored lines pull it back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from quiltpath.checks.skew_forecast import by_turns, skew_findings, skew_forecast
from quiltpath.quilting import draw
from quiltpath.routing import policy_named, route
from tests.quilting.runners import disc, layer, plain

RUNNER = plain(900, 400)


def forecast(*layers, policy: str = "walking-foot"):
    lines = draw(RUNNER, layers)
    return skew_forecast(lines, route(lines, policy_named(policy), RUNNER.outline, 76.2))


@pytest.mark.parametrize("angle", [0, 15, 30, 45, 60, 90, 120, 135, 150])
def test_parallel_lines_pull_by_their_length_times_sin_2_theta(angle: float) -> None:
    """Closed form: every line has the same slope."""
    found = forecast(layer("straight", angle=angle, spacing=25))
    assert found.share == pytest.approx(math.sin(math.radians(2 * angle)), abs=1e-9)
    assert found.pull_mm == pytest.approx(found.sewn_mm * found.share)


def test_lines_along_and_across_do_not_pull_askew() -> None:
    found = forecast(layer("grid", angles=(0, 90), spacing=40))
    assert found.pull_mm == pytest.approx(0, abs=1e-6) and not skew_findings(found)


def test_a_circle_does_not_pull_askew() -> None:
    around = plain(900, 400, motifs=(disc(450, 200, 120),))
    lines = draw(around, [layer("motif")])
    found = skew_forecast(lines, route(lines, policy_named("hoop"), around.outline, 76.2))
    assert found.sewn_mm == pytest.approx(2 * math.pi * 120, rel=1e-3)
    assert found.share == pytest.approx(0, abs=1e-9)


def test_one_diagonal_is_warned_of_and_its_partner_lines_balance_it() -> None:
    """The partners' length and slope are put to the test: drawn, they bring the sum to nought."""
    leaning = layer("straight", angle=30, spacing=25)
    found = forecast(leaning)
    (finding,) = skew_findings(found)
    assert finding.code == "pulls-askew" and "-30 degrees" in finding.remedy
    assert found.lean_deg == 30
    assert found.partner_mm == pytest.approx(found.sewn_mm)
    balanced = forecast(leaning, layer("straight", angle=-found.lean_deg, spacing=25))
    assert balanced.share == pytest.approx(0, abs=1e-9)


def test_which_diagonal_comes_out_shorter_is_told_the_right_way_round() -> None:
    """A line that rises to the right draws up the diagonal that rises to the right."""
    (rising,) = skew_findings(forecast(layer("straight", angle=45, spacing=25)))
    (falling,) = skew_findings(forecast(layer("straight", angle=-45, spacing=25)))
    assert "lower left to upper right" in rising.message
    assert "upper left to lower right" in falling.message


def test_cloth_that_gives_along_one_thread_shears_by_twice_its_draw_up() -> None:
    """Strain = -2 q x mean of t t^T over the lines, which is -q both ways where they run all ways.
    All at 45 degrees: t t^T has 1/2 off the diagonal, so the engineering shear is 2 x q, and the
    shift 2 q x width (tensor of strain, textbook)."""
    found = forecast(layer("straight", angle=45, spacing=25))
    assert found.end_shift_mm(400, 0.02) == pytest.approx(16.0)


def test_one_direction_before_the_other_is_told_with_the_order_that_balances_it() -> None:
    found = forecast(layer("grid", angles=(45, -45), spacing=25))
    assert found.share == pytest.approx(0, abs=1e-9)
    assert found.peak_mm == pytest.approx(found.sewn_mm / 2, rel=0.01)
    longest = 400 * math.sqrt(2)
    assert found.by_turns_mm <= longest + 2 * 12 + 1e-6
    assert [finding.code for finding in skew_findings(found)] == ["pulls-askew-on-the-way"]


def test_sewing_by_turns_keeps_within_the_largest_pull_or_the_total() -> None:
    """The greedy order against its bound, on random pulls; every run is sewn once."""
    generator = np.random.default_rng(3)
    for _ in range(200):
        pull = generator.normal(generator.uniform(-1, 1), 1.0, generator.integers(1, 40))
        order = by_turns(pull)
        assert sorted(order) == list(range(len(pull)))
        peak = np.abs(np.cumsum(pull[order])).max()
        assert peak <= max(np.abs(pull).max(), abs(pull.sum())) + 1e-9
