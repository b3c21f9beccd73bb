"""Lines along one diagonal pull a piece out of square; mirrored lines pull it back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from quiltpath.checks.skew_balance import by_turns, skew_findings, skew_forecast
from quiltpath.patterns import draw
from quiltpath.routing import policy_named, route
from tests.checks.sewing import lines_of, runs_of
from tests.patterns.runners import disc, layer, plain

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
    gentler = forecast(layer("straight", angle=15, spacing=25))
    assert gentler.end_shift_mm(400, 0.02) == pytest.approx(8.0), "sin 30 is a half"


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


def slanted(angle: float, length: float, at: float = 0.0) -> list[tuple[float, float]]:
    """A line at so many degrees, of that length, beginning at (at, 0)."""
    turn = math.radians(angle)
    return [(at, 0.0), (at + length * math.cos(turn), length * math.sin(turn))]


def test_pull_lean_and_partner_of_a_few_lines_by_trigonometry() -> None:
    """100 at 30 degrees and 50 at 75 pull one way, 40 at -20 the other: l sin 2t, added up."""
    paths = [slanted(30, 100), slanted(75, 50), slanted(-20, 40), slanted(0, 60)]
    found = skew_forecast(lines_of(*paths), runs_of(*paths))
    total = (
        100 * math.sin(math.pi / 3) + 50 * math.sin(math.pi / 1.2) - 40 * math.sin(math.pi / 4.5)
    )
    assert found.sewn_mm == pytest.approx(250)
    assert found.pull_mm == pytest.approx(total)
    assert found.lean_deg == 30.0
    assert found.partner_mm == pytest.approx(total / math.sin(math.pi / 3))
    assert found.share == pytest.approx(total / 250)
    first = 100 * math.sin(math.pi / 3)
    second = first + 50 * math.sin(math.pi / 1.2)
    assert found.peak_mm == pytest.approx(second)
    assert found.by_turns_mm == pytest.approx(max(first, total))


@pytest.mark.parametrize("angle", [1, 44, 46, 89, 91, 134, 136, 179])
def test_the_lean_is_told_to_a_degree_whichever_way_the_line_was_drawn(angle: int) -> None:
    for turned in (angle, angle + 180):
        found = skew_forecast(lines_of(slanted(turned, 100)), runs_of(slanted(turned, 100)))
        assert found.lean_deg == (angle if angle < 90 else angle - 180)
        assert np.sign(found.pull_mm) == (1 if angle < 90 else -1)


def test_ways_between_runs_pull_nothing() -> None:
    paths = [slanted(0, 100), slanted(0, 100, 500), [(0.0, 900.0), (80.0, 900.0)]]
    found = skew_forecast(lines_of(*paths), runs_of(*paths))
    assert (found.pull_mm, found.peak_mm, found.by_turns_mm) == (0.0, 0.0, 0.0)
    assert (found.lean_deg, found.partner_mm) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("pull", "order"),
    [
        ([3, 2, -1, -4, 1], [0, 2, 3, 1, 4]),
        ([1, 1, 1], [0, 1, 2]),
        ([-1, -1, 2], [2, 0, 1]),
        ([0, 5, -5, 5], [1, 0, 2, 3]),
        ([], []),
    ],
)
def test_the_next_run_pulls_back(pull: list[float], order: list[int]) -> None:
    """Worked out by hand: forwards while the sum is nought or less, back while it is more."""
    assert by_turns(np.array(pull, dtype=float)).tolist() == order


@pytest.mark.parametrize(("slant", "codes"), [(24, []), (26, ["pulls-askew"])])
@pytest.mark.parametrize("angle", [45, -45])
def test_more_than_a_quarter_left_over_is_told(slant: float, angle: float, codes: list) -> None:
    paths = [slanted(angle, slant), slanted(0, 100 - slant)]
    found = skew_findings(skew_forecast(lines_of(*paths), runs_of(*paths)))
    assert [one.code for one in found] == codes
    for one in found:
        assert "26%" in one.message and f"at {-angle} degrees" in one.remedy
        diagonal = "lower left to upper right" if angle > 0 else "upper left to lower right"
        assert diagonal in one.message


@pytest.mark.parametrize(("level", "told"), [(40, True), (46, False)])
def test_an_order_is_offered_where_over_35_percent_pulls_one_way_for_a_while(
    level: float, told: bool
) -> None:
    """Five runs of 10 at 45 degrees, then five at -45, and some level ones: 50 of 140 is 36
    percent, of 146 it is 34. By turns no more than one run is ever left over."""
    paths = [slanted(45, 10, 20.0 * k) for k in range(5)]
    paths += [slanted(-45, 10, 20.0 * k) for k in range(5)]
    paths.append(slanted(0, level, 400.0))
    found = skew_forecast(lines_of(*paths), runs_of(*paths))
    assert (found.peak_mm, found.by_turns_mm) == pytest.approx((50, 10))
    codes = [one.code for one in skew_findings(found)]
    assert codes == (["pulls-askew-on-the-way"] if told else [])


def test_nothing_sewn_pulls_nothing() -> None:
    found = skew_forecast(lines_of(), runs_of())
    assert (found.share, found.end_shift_mm(400, 0.02), found.peak_mm) == (0.0, 0.0, 0.0)
    assert skew_findings(found) == ()


@pytest.mark.parametrize(("angle", "words"), [(45, "from lower left"), (-45, "from upper left")])
def test_a_line_of_a_millimetre_in_steps_of_a_tenth_leans_as_a_long_one_does(
    angle: float, words: str
) -> None:
    turn = math.radians(angle)
    path = np.outer(np.linspace(0, 0.9, 10), [math.cos(turn), math.sin(turn)])
    found = skew_forecast(lines_of(path), runs_of(path))
    assert (found.lean_deg, found.share) == (angle, pytest.approx(angle / 45))
    (finding,) = skew_findings(found)
    assert words in finding.message


def test_points_that_stand_twice_pull_nothing() -> None:
    path = [(0.0, 0.0), (30.0, 30.0), (30.0, 30.0), (60.0, 60.0)]
    found = skew_forecast(lines_of(path), runs_of(path))
    assert found.share == pytest.approx(1.0) and found.peak_mm == pytest.approx(found.sewn_mm)


@pytest.mark.parametrize(("angle", "lean"), [(0.3, 0.0), (89.7, 90.0), (0.6, 1.0), (89.4, 89.0)])
def test_less_than_half_a_degree_off_level_or_upright_has_no_mirror_image(
    angle: float, lean: float
) -> None:
    """To a whole degree it leans no way, and no length of lines along or across balances it."""
    found = skew_forecast(lines_of(slanted(angle, 100)), runs_of(slanted(angle, 100)))
    assert found.lean_deg == lean
    assert (found.partner_mm > 0) == (lean not in (0.0, 90.0))
    assert found.partner_mm < 200


@pytest.mark.parametrize(("each", "told"), [(2, False), (3, True)])
def test_another_order_is_offered_where_it_halves_what_builds_up(each: int, told: bool) -> None:
    """Runs of 20 mm at 45 degrees and as many at -45. By turns one is left over, 20 mm: that is
    half of the 40 that two make, and less than half of 60."""
    paths = [slanted(45, 20, 30.0 * k) for k in range(each)]
    paths += [slanted(-45, 20, 30.0 * k) for k in range(each)]
    found = skew_forecast(lines_of(*paths), runs_of(*paths))
    assert (found.peak_mm, found.by_turns_mm) == pytest.approx((20 * each, 20))
    assert len(skew_findings(found)) == told


def test_every_run_counts_the_last_one_too() -> None:
    """50 forwards, then 30 and 40 back: it is out by 50 at the most, and in the end by 20."""
    paths = [slanted(45, 50), slanted(-45, 30), slanted(-45, 40)]
    found = skew_forecast(lines_of(*paths), runs_of(*paths))
    assert (found.peak_mm, found.pull_mm) == pytest.approx((50, -20))
    late = skew_forecast(lines_of(*paths), runs_of(paths[1], paths[0], paths[2]))
    assert late.peak_mm == pytest.approx(30)
