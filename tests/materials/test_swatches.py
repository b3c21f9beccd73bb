"""What the user's own samples say of drawing up and shrinking."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.draw_up import (
    DrawUpSetting,
    fit_swatches,
    quilting_share,
    shares_shrunk,
    shares_taken_up,
)
from quiltpath.project import parse
from quiltpath.project.materials_sections import SwatchSection
from quiltpath.result.computing import compute
from tests.materials.plans import plan


def swatch(
    density: float, q: float, w: float | None = None, q_across: float | None = None
) -> SwatchSection:
    """A 300 mm sample that lost ``q`` to quilting and ``w`` to washing."""
    quilted = (300 * (1 - q), 300 * (1 - (q if q_across is None else q_across)))
    washed = None if w is None else (quilted[0] * (1 - w), quilted[1] * (1 - w))
    return SwatchSection(density=density, before=300, quilted=quilted, washed=washed)


def cut_for(
    finished: float, swatches: list[SwatchSection], density: float
) -> tuple[float, float, float]:
    """Flat length for a finished one at a density: likely, least and greatest, in mm."""
    runner = Runner(box(0, 0, finished, 300))
    states = plan(runner, swatch=tuple(swatches), seam_m=density * finished * 300 / 1e6).states
    low, high = states.flat_between
    return states.flat.length_mm, low.length_mm, high.length_mm


def test_2200_mm_that_lose_2_and_5_percent_are_cut_at_2363_mm() -> None:
    """2200 / (0.98 x 0.95) = 2363.05: the quilters' own worked example."""
    flat, low, high = cut_for(2200, [swatch(40, 0.02, 0.05)], 40)
    assert round(flat) == 2363
    assert low == pytest.approx(flat) and high == pytest.approx(flat)


def test_samples_of_several_densities_give_the_line_through_them() -> None:
    """Exact samples on q = 0.004 + 0.0003 x density give that line back."""
    fit = fit_swatches([swatch(d, 0.004 + 0.0003 * d) for d in (20, 40, 80)])
    assert (fit.level, fit.slope) == pytest.approx((0.004, 0.0003))
    assert fit.quilting(60).likely == pytest.approx(0.022)


def test_single_places_are_drawn_up_as_the_swatches_say() -> None:
    """Exact samples on q = 0.004 + 0.0003 x density; where nothing is sewn nothing is drawn up."""
    fit = fit_swatches([swatch(d, 0.004 + 0.0003 * d) for d in (20, 40, 80)])
    density = np.array([20.0, 55.0, 100.0])
    alone = DrawUpSetting(swatches=fit).alone(density, 55.0)
    assert alone == pytest.approx(0.004 + 0.0003 * density)
    assert DrawUpSetting(swatches=fit).alone(np.zeros(1), 55.0) == pytest.approx(0.0)


def test_the_line_is_that_of_least_squares() -> None:
    """Closed form: slope = covariance / variance."""
    density, share = np.array([20.0, 35.0, 50.0, 80.0]), np.array([0.011, 0.019, 0.017, 0.033])
    fit = fit_swatches([swatch(d, q) for d, q in zip(density, share, strict=True)])
    slope = ((density - density.mean()) * (share - share.mean())).sum()
    slope /= ((density - density.mean()) ** 2).sum()
    assert fit.slope == pytest.approx(slope)
    assert fit.level == pytest.approx(share.mean() - slope * density.mean())


def test_one_sample_moves_the_usual_curve() -> None:
    fit = fit_swatches([swatch(40, 1.5 * quilting_share(40))])
    assert fit.quilting(60).likely == pytest.approx(1.5 * quilting_share(60))


def test_the_range_holds_every_measure() -> None:
    generator = np.random.default_rng(5)
    samples = [
        swatch(d, float(generator.uniform(0.01, 0.03)), 0.04, float(generator.uniform(0.01, 0.03)))
        for d in (20, 30, 50, 80)
    ]
    fit = fit_swatches(samples)
    for sample in samples:
        share = fit.quilting(sample.m_per_m2)
        assert (share.low <= shares_taken_up(sample) + 1e-12).all()
        assert (share.high >= shares_taken_up(sample) - 1e-12).all()
        assert share.low <= share.likely <= share.high


def test_denser_quilting_is_never_said_to_draw_up_less() -> None:
    fit = fit_swatches([swatch(20, 0.03), swatch(80, 0.02)])
    assert fit.slope == 0 and fit.quilting(50).likely == pytest.approx(0.025)
    assert (fit.quilting(50).low, fit.quilting(50).high) == pytest.approx((0.02, 0.03))


RUNNER = """
[runner]
length = "2200 mm"
width = "300 mm"
[[quilting]]
pattern = "square-grid"
spacing = "50 mm"
anchor = "halfway"
overrun = "0 mm"
{more}
"""
SWATCH = """
[[swatch]]
spacing = "50 mm"
crossed = true
before = "300 mm"
quilted = ["294 mm", "295 mm"]
washed = ["280 mm", "281 mm"]
"""


def test_a_project_cuts_by_its_swatches() -> None:
    """Lines 50 mm apart both ways are 40 m to the square metre on a top of any size but for its
    edges, as the swatch; the means of both directions are 1.83 % and 4.75 %."""
    found = compute(parse(RUNNER.format(more=SWATCH))).cutting
    q = (6 / 300 + 5 / 300) / 2
    w = ((294 - 280) / 294 + (295 - 281) / 295) / 2
    assert found.quilting_share == pytest.approx(q, rel=0.05)
    assert found.draw_up.washing_share == pytest.approx(w)
    assert found.top.cut_length_mm == pytest.approx(2200 / ((1 - found.quilting_share) * (1 - w)))
    assert found.states.by == "swatches"
    low, high = found.states.flat_between
    assert low.length_mm < found.states.flat.length_mm < high.length_mm


def test_what_the_project_says_itself_comes_first() -> None:
    more = "[quilted]\ntaken_up = 0.01\nwash = 0.0\n" + SWATCH
    found = compute(parse(RUNNER.format(more=more))).cutting
    assert found.quilting_share == 0.01 and found.draw_up.washing_share == 0.0
    assert found.states.by == "given figure"
    washed = compute(parse(RUNNER.format(more="[quilted]\nwash = 0.02\n" + SWATCH))).cutting
    assert washed.draw_up.washing_share == 0.02
    assert washed.states.washed.length_mm == pytest.approx(2200)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (SWATCH.replace('quilted = ["294 mm", "295 mm"]', 'quilted = "310 mm"'), "grew"),
        (SWATCH.replace('spacing = "50 mm"\n', ""), "density or a spacing"),
        (SWATCH.replace('"280 mm", "281 mm"', '"28 mm", "28 mm"'), "30 percent"),
        (SWATCH.replace('"300 mm"', '"wide"'), "wide"),
    ],
)
def test_a_swatch_that_cannot_be_is_told_in_one_line(more: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        parse(RUNNER.format(more=more))


def test_what_washing_takes_is_the_mean_with_the_least_and_the_most_that_was_measured() -> None:
    """Both ways of two samples: 2, 2, 5 and 5 percent; and what is cut for a metre with it."""
    samples = [swatch(20, 0.01, 0.02, 0.01), swatch(50, 0.02, 0.05, 0.02), swatch(30, 0.01)]
    fit = fit_swatches(samples)
    washing = fit.washing
    assert washing is not None
    assert (washing.likely, washing.low, washing.high) == pytest.approx((0.035, 0.02, 0.05))
    (likely, low, high), quilting = cut_for(1000, samples, 40), fit.quilting(40)
    for size, q, w in (
        (likely, quilting.likely, 0.035),
        (low, quilting.low, 0.02),
        (high, quilting.high, 0.05),
    ):
        assert size == pytest.approx(1000 / ((1 - q) * (1 - w)))


@pytest.mark.parametrize(("denser", "makes_a_line"), [(48, False), (51, True)])
def test_densities_a_quarter_apart_make_a_line_and_nearer_ones_move_the_usual_curve(
    denser: float, makes_a_line: bool
) -> None:
    """40 and 50 m to the square metre are a quarter apart."""
    fit = fit_swatches([swatch(40, 0.02), swatch(denser, 0.03)])
    assert (fit.usual_times is None) is makes_a_line
    if makes_a_line:
        assert fit.slope == pytest.approx(0.01 / 11)
        assert fit.quilting(40).likely == pytest.approx(0.02)
    else:
        assert (fit.level, fit.slope) == (0, 0)


def test_samples_of_one_density_move_the_usual_curve_to_their_mean() -> None:
    """Usual at 50 m is 2 percent; 3 and 5 percent were measured: twice the usual, with a point to
    either side."""
    fit = fit_swatches([swatch(50, 0.03), swatch(50, 0.05)])
    assert fit.usual_times == pytest.approx(2.0)
    for density, usual in ((50, 0.02), (80, 0.03)):
        share = fit.quilting(density)
        assert share.likely == pytest.approx(2 * usual)
        assert (share.low, share.high) == pytest.approx((2 * usual - 0.01, 2 * usual + 0.01))


def test_no_share_is_below_nothing_or_beyond_what_a_quilt_can_lose() -> None:
    """A line from 1 percent at 20 m to 25 at 80 says -7 percent at nothing and 41 at 120; 30 is
    the most that a project may say."""
    fit = fit_swatches([swatch(20, 0.01), swatch(80, 0.25)])
    assert (fit.quilting(0).likely, fit.quilting(0).low, fit.quilting(0).high) == (0, 0, 0)
    assert fit.quilting(120).likely == fit.quilting(120).high == 0.3
    assert fit.quilting(90).likely == pytest.approx(0.29)


def test_without_a_washed_sample_nothing_is_washed_off() -> None:
    fit = fit_swatches([swatch(40, 0.02)])
    assert fit.washing is None
    assert cut_for(980, [swatch(40, 0.02)], 40)[0] == pytest.approx(1000)


def test_along_and_across_are_two_measures_of_one_sample() -> None:
    """300 mm to 294 along and 291 across, washed to 282.24 and 276.45: 2 and 3, then 4 and 5."""
    sample = SwatchSection(density=40, before=300, quilted=(294, 291), washed=(282.24, 276.45))
    assert shares_taken_up(sample) == pytest.approx([0.02, 0.03])
    assert shares_shrunk(sample) == pytest.approx([0.04, 0.05])
    assert len(shares_shrunk(sample.replaced(washed=None))) == 0
