"""Where seams may fall: worked out by hand on small layers, and against every place on a raster."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from quiltpath.materials.piecing import KEEP_CLEAR_MM, LineToAvoid, SeamRange, seams_for
from quiltpath.units import MM_PER_INCH


def allowed(low: float, high: float, *lines: LineToAvoid, seam: float = 0.0) -> SeamRange:
    return SeamRange(low, high, lines, seam)


def at(place: float, clear: float = 50.0) -> LineToAvoid:
    return LineToAvoid("a line", place, clear)


@pytest.mark.parametrize(
    ("lines", "free"),
    [
        ((), [(0, 900)]),
        ((at(300),), [(0, 250), (350, 900)]),
        ((at(300), at(600)), [(0, 250), (350, 550), (650, 900)]),
        ((at(300), at(340)), [(0, 250), (390, 900)]),
        ((at(300), at(400)), [(0, 250), (350, 350), (450, 900)]),
        ((at(20),), [(70, 900)]),
        ((at(890),), [(0, 840)]),
        ((at(-60),), [(0, 900)]),
        ((at(960),), [(0, 900)]),
        ((at(450, 500),), []),
    ],
)
def test_stretches_between_the_lines_are_free(
    lines: tuple[LineToAvoid, ...], free: list[tuple[float, float]]
) -> None:
    """Drawn and read off: 50 mm to either side of each line are taken."""
    assert allowed(0, 900, *lines).intervals() == free


def test_seams_keep_two_inches_from_a_line_that_says_nothing_else() -> None:
    """Common practice."""
    assert LineToAvoid("the panel join", 300).clear_mm == KEEP_CLEAR_MM == 2 * MM_PER_INCH


@pytest.mark.parametrize("low", [0.0, -100.0])
@pytest.mark.parametrize(("count", "seams"), [(1, []), (2, [450]), (3, [300, 600])])
def test_without_a_line_the_pieces_are_equal(low: float, count: int, seams: list[float]) -> None:
    found = seams_for(count, allowed(low, low + 900), math.inf)
    assert found == pytest.approx([low + seam for seam in seams], abs=1e-3)


@pytest.mark.parametrize(
    ("count", "longest", "seams"),
    [(1, 900, []), (2, 459, [450]), (3, 312, [303, 597]), (4, 238.5, [229.5, 450, 670.5])],
)
def test_a_piece_has_an_allowance_at_each_of_its_seams(
    count: int, longest: float, seams: list[float]
) -> None:
    """900 mm with seams of 9 mm, by hand. Two: 450 + 9. Three: two of p + 9 and one of m + 18, all
    alike: 3 L = 900 + 36. Four: 4 L = 900 + 54. In a cloth just so wide it can be done, in one a
    tenth narrower it cannot."""
    layer = allowed(0, 900, seam=9)
    assert seams_for(count, layer, longest + 0.001) == pytest.approx(seams, abs=0.01)
    assert seams_for(count, layer, longest - 0.1) is None


@pytest.mark.parametrize(
    ("lines", "count", "seams"),
    [
        # 400 and 500 are as far from the middle: the first is taken.
        ((at(450),), 2, [400]),
        # 250 then half of 650; after 350 the first piece would be longer than 325.
        ((at(300),), 3, [250, 575]),
        # The mirror image.
        ((at(600),), 3, [325, 650]),
        # Four: the last is where it would be anyway, the middle one steps aside from there.
        ((at(600),), 4, [325, 650, 900]),
    ],
)
def test_a_seam_steps_aside_and_the_others_stay_as_even_as_they_can(
    lines: tuple[LineToAvoid, ...], count: int, seams: list[float]
) -> None:
    """By hand, on 900 mm, and on 1200 for four pieces."""
    found = seams_for(count, allowed(0, 900 if count < 4 else 1200, *lines), math.inf)
    assert found == pytest.approx(seams, abs=0.01)


@pytest.mark.parametrize(
    ("line", "second"), [(790, 840), (810, 760), (400, 800), (1000, 800), (700, 800)]
)
def test_a_seam_that_has_a_choice_lies_nearest_to_even_division(line: float, second: float) -> None:
    """1200 mm with nothing free from 10 to 590: the first piece is 590 mm, and the second seam may
    lie anywhere from 610 to 1180, best at 800; where that is taken, on its nearer side."""
    found = seams_for(3, allowed(0, 1200, at(300, 290), at(line)), math.inf)
    assert found == pytest.approx([590, second], abs=0.01)


def test_the_piece_after_the_last_seam_is_no_longer_than_the_longest() -> None:
    """1700 mm with seams of 20 mm and nothing free from 10 to 590: the first piece is 610 mm, so
    the last seam lies in 1110 to 1160, and of that 1160 alone is free. A place at 1108 would be
    nearer to two thirds, but leaves a piece of 612 mm."""
    found = seams_for(3, allowed(0, 1700, at(300, 290), at(1134, 26), seam=20), math.inf)
    assert found == pytest.approx([590, 1160], abs=0.01)


def test_where_every_place_is_taken_there_is_no_seam() -> None:
    assert seams_for(2, allowed(0, 90, at(45)), math.inf) is None
    assert seams_for(1, allowed(0, 90, at(45)), math.inf) == ()


def test_seams_wider_than_the_pieces_between_still_come_in_order() -> None:
    """Two allowances of 20 mm on 30 mm of cloth: a middle piece of no width is 40 mm of seam."""
    found = seams_for(3, allowed(0, 30, seam=20), math.inf)
    assert found is not None and 0 < found[0] < found[1] < 30
    assert seams_for(3, allowed(0, 30, seam=20), 39.9) is None


@pytest.mark.parametrize("seed", range(40))
def test_no_places_on_a_raster_make_the_longest_piece_shorter(seed: int) -> None:
    """Brute force in steps of 10 mm. Among seams as good as these no last seam is nearer to even
    division, counted from the far end as they are chosen."""
    rng = np.random.default_rng(seed)
    extent, count, seam = 10.0 * rng.integers(30, 60), int(rng.integers(2, 4)), 6.0 * (seed % 3)
    lines = [at(10.0 * rng.integers(2, extent / 10), 10.0 * rng.integers(1, 6)) for _ in range(3)]
    layer = allowed(0, extent, *lines, seam=seam)
    raster = np.arange(10.0, extent, 10.0)
    for line in lines:
        raster = raster[np.abs(raster - line.at_mm) >= line.clear_mm]

    def longest(seams: tuple[float, ...]) -> float:
        spans = np.diff([0.0, *seams, extent])
        return float(max(s + seam * ((i > 0) + (i < len(seams))) for i, s in enumerate(spans)))

    brute = {each: longest(each) for each in itertools.combinations(raster.tolist(), count - 1)}
    found = seams_for(count, layer, math.inf)
    if found is None:
        assert not brute
        return
    assert all(abs(s - line.at_mm) >= line.clear_mm - 1e-5 for s in found for line in lines)
    best = longest(found)
    assert not brute or best <= min(brute.values()) + 1e-3
    assert seams_for(count, layer, best - 0.01) is None
    assert seams_for(count, layer, best + 0.01) == pytest.approx(found, abs=0.1)
    even = extent * (count - 1) / count
    last = [each[-1] for each, length in brute.items() if length <= best]
    assert all(abs(found[-1] - even) <= abs(each - even) + 1e-3 for each in last)
