"""How high the cloth stands: tanh of the strip, never above the loft, swatches, pockets, words."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from quiltpath.checks.puff import (
    LOFTS,
    USUAL,
    Loft,
    SwatchPuff,
    fit_loft,
    height_field,
    height_in_view,
    loft_of,
)
from quiltpath.checks.puff_figures import links_of, pockets, puff, stiffness
from quiltpath.checks.wadding import WADDING_KINDS
from tests.checks.drawings import parallel, random_drawing

SHEET = box(0, 0, 400, 300)


@pytest.mark.parametrize("spacing", [12.7, 25.4, 50.8])
def test_between_lines_it_is_the_loft_times_tanh_of_spacing_over_width(spacing: float) -> None:
    """u = s²/8 midway and u0 = w²/8: sqrt(u/u0) = s/w. The middle of each strip, ends left out."""
    field = height_field(parallel(spacing, SHEET, 0), SHEET, USUAL)
    x = round((200 - field.origin_mm[0]) / field.cell_mm)
    expected = 4.0 * math.tanh(spacing / 40.0)
    assert field.height_mm[:, x].max() == pytest.approx(expected, rel=0.01)


@given(seed=st.integers(0, 49), high=st.floats(0.5, 12), width=st.floats(5, 80))
@settings(max_examples=20, deadline=None)
def test_no_cloth_stands_higher_than_the_loft_or_lower_than_its_lines(
    seed: int, high: float, width: float
) -> None:
    lines, outline = random_drawing(seed)
    field = height_field(lines, outline, Loft("any", high, width))
    assert field.height_mm.min() >= 0
    assert field.height_mm.max() <= high * (1 + 1e-6)
    assert not field.height_mm[~field.inside].any()


def test_closer_lines_stand_lower() -> None:
    peaks = [
        float(height_field(parallel(inches * 25.4, SHEET, 45), SHEET).height_mm.max())
        for inches in (0.5, 0.75, 1.0, 1.5, 2.0)
    ]
    assert peaks == sorted(peaks)
    assert peaks[1] < 0.8 * peaks[4]


def test_a_part_of_the_cloth_stands_as_it_does_in_the_whole() -> None:
    lines = parallel(30, SHEET, 30) + parallel(40, SHEET, -40)
    whole = height_field(lines, SHEET, cell_mm=1.0)
    part = height_field(lines, SHEET, cell_mm=1.0, window_mm=(99.0, 79.0, 299.0, 219.0))
    # both have nodes at whole millimetres; 45 mm from the rim its slope no longer counts
    left, low = (round(a - b) for a, b in zip(part.origin_mm, whole.origin_mm, strict=True))
    inner = part.height_mm[46:-46, 46:-46]
    rows, columns = inner.shape
    same = whole.height_mm[low + 46 : low + 46 + rows, left + 46 : left + 46 + columns]
    assert inner.size > 1000
    assert np.abs(inner - same).max() < 0.03


def test_a_view_gets_cells_for_its_scale_and_the_heights_of_the_whole() -> None:
    lines = parallel(30, SHEET, 30)
    whole = height_field(lines, SHEET, USUAL, cell_mm=0.25)
    for scale, cell in ((0.5, 1.0), (4.0, 0.5), (20.0, 0.25)):
        part = height_in_view(lines, SHEET, USUAL, (180, 130, 220, 170), scale)
        assert part.cell_mm == pytest.approx(cell)
        at = np.array([[190.0, 140.0], [200.0, 150.0], [211.0, 163.0]])
        near_to, true = (
            field.height_mm[
                tuple(np.round((at - field.origin_mm) / field.cell_mm).astype(int).T[::-1])
            ]
            for field in (part, whole)
        )
        assert near_to == pytest.approx(true, abs=0.25 * cell + 0.02)
    with pytest.raises(ValueError, match="off the cloth"):
        height_in_view(lines, SHEET, USUAL, (900, 900, 950, 950), 4.0)


def test_the_same_cloth_gives_the_same_heights() -> None:
    lines, outline = random_drawing(5)
    one, other = height_field(lines, outline), height_field(lines, outline)
    assert (one.height_mm == other.height_mm).all()


def test_every_kind_of_wadding_has_a_loft_of_its_own() -> None:
    assert {loft.name for loft in LOFTS} == {kind.name for kind in WADDING_KINDS}
    assert loft_of("wool").loft_mm > loft_of("cotton").loft_mm, "common practice: wool is lofty"
    assert loft_of(None) == loft_of("hay") == USUAL
    assert "common practice" in loft_of("cotton").source


@pytest.mark.parametrize("crossed", [False, True])
def test_one_swatch_is_met_exactly_by_the_cloth_computed_from_it(crossed: bool) -> None:
    """Measure, fit, compute the swatch itself: it stands as high as it was measured."""
    loft = fit_loft(loft_of("polyester"), [SwatchPuff(30.0, 2.6, crossed)])
    lines = parallel(30, SHEET, 0, first=0) + (parallel(30, SHEET, 90, first=0) if crossed else [])
    field = height_field(lines, SHEET, loft)
    middle = field.height_mm[120:180, 120:180]
    assert middle.max() == pytest.approx(2.6, rel=0.01)
    assert "measured" in loft.source


def test_swatches_of_different_spacings_give_back_the_wadding_they_were_made_of() -> None:
    """Midway between long lines a wadding of that kind stands at loft x tanh(spacing / width)."""
    measured = [SwatchPuff(s, 5.5 * math.tanh(s / 33.0)) for s in (15.0, 30.0, 60.0)]
    found = fit_loft(USUAL, measured)
    assert found.loft_mm == pytest.approx(5.5, rel=0.02)
    assert found.width_mm == pytest.approx(33.0, rel=0.02)


@pytest.mark.parametrize(
    "measured", [[], [SwatchPuff(0.0, 2.0)], [SwatchPuff(25.0, -1.0)]], ids=str
)
def test_a_swatch_that_says_nothing_is_refused(measured: list[SwatchPuff]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        fit_loft(USUAL, measured)


def test_pockets_are_the_pieces_that_the_lines_cut() -> None:
    """A grid of 3 by 4 lines cuts a sheet into 4 x 5 pieces; a ring adds its inside."""
    across = [LineString([(0, y), (400, y)]) for y in (75, 150, 225)]
    down = [LineString([(x, 0), (x, 300)]) for x in (80, 160, 240, 320)]
    ring = [LineString(Point(40, 40).buffer(20).exterior.coords)]
    lines = [*across, *down, *ring]
    field = height_field(lines, SHEET)
    number = pockets(field, links_of(field, lines, SHEET))
    assert len(np.unique(number[number >= 0])) == 21
    found = puff(field, lines, SHEET, USUAL)
    assert found.pockets == 21
    assert found.low_mm <= found.middle_mm <= found.high_mm < USUAL.loft_mm
    assert "cloth that every line holds down" in found.how
    assert "half" in found.trust


def test_the_puff_of_even_squares_is_that_of_the_series() -> None:
    """Squares of 40 mm: u = 0.07367 s² in the middle (rectangle series), so the height is
    loft x tanh(sqrt(0.07367 x 8)) for a wadding of 40 mm."""
    sheet = box(0, 0, 400, 280)
    lines = parallel(40, sheet, 0, first=0) + parallel(40, sheet, 90, first=0)
    found = puff(height_field(lines, sheet), lines, sheet, USUAL)
    expected = 4.0 * math.tanh(math.sqrt(8 * 0.07367))
    assert found.middle_mm == pytest.approx(expected, rel=0.01)
    assert found.low_mm == pytest.approx(expected, rel=0.01)
    assert found.pockets == 70


def test_a_measured_wadding_is_trusted_further() -> None:
    lines = parallel(30, SHEET, 0)
    loft = fit_loft(USUAL, [SwatchPuff(30, 2.0)])
    assert "good near" in puff(height_field(lines, SHEET, loft), lines, SHEET, loft).trust


def test_stiffness_is_metres_on_a_square_metre_in_words() -> None:
    """Lines s apart are 1/s long on a unit of area: 50 mm make 20 m, 10 mm make 100 m."""
    metre = box(0, 0, 1000, 1000)
    open_lines = stiffness(parallel(50, metre, 0, first=25), metre)
    close_lines = stiffness(parallel(10, metre, 0, first=5), metre)
    assert open_lines.m_per_m2 == pytest.approx(20.0, rel=1e-6)
    assert close_lines.m_per_m2 == pytest.approx(100.0, rel=1e-6)
    assert open_lines.words.startswith("soft")
    assert close_lines.words.startswith("stiff")
    assert "common practice" in open_lines.how
    assert "rule of thumb" in open_lines.trust
