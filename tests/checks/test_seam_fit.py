"""Lines that meet seams or lie halfway between: figures worked out by hand and by brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.checks.seam_fit import SeamFit, _nearby, seam_fit
from quiltpath.checks.seam_misses import Seams, seams_of
from quiltpath.geometry.runner_shapes import Patch, Runner, Seam

WHOLE = box(0, 0, 600, 300)


def seams_at(*x: float, levels: tuple[float, ...] = ()) -> Seams:
    """Upright seams at ``x`` and lengthwise ones at ``levels``."""
    upright = [Seam(f"x {at}", LineString([(at, 0), (at, 300)])) for at in x]
    level = [Seam(f"y {at}", LineString([(0, at), (600, at)])) for at in levels]
    return seams_of(Runner(WHOLE, seams=(*upright, *level)))


def fit_of(seams: Seams, gap: float, *angles: float, blocks: tuple[object, ...] = ()) -> SeamFit:
    shapes = blocks or (WHOLE,)
    fit = seam_fit([Patch(str(k), shape) for k, shape in enumerate(shapes)], seams, gap, angles)
    assert fit is not None
    return fit


def test_seams_on_and_between_lines_are_counted_apart() -> None:
    """600 mm in 12 gaps of 50: seams at 100 and 250 lie on lines, one at 375 in the middle."""
    fit = fit_of(seams_at(100.0, 250.0, 375.0), 50.0, 90.0)
    assert (fit.number, fit.met, fit.halved) == (12, 2, 1)
    assert (fit.gap_mm, fit.offset_mm, fit.worst_mm) == pytest.approx((50.0, 0.0, 0.0), abs=1e-6)
    assert fit.angles_deg == (90.0,)
    assert fit.good


def test_the_lines_lie_where_most_seams_are() -> None:
    """Seams at 75 and 125 against one at 300: lines begin half a gap in, and meet the two."""
    fit = fit_of(seams_at(75.0, 125.0, 300.0), 50.0, 90.0)
    assert (fit.number, fit.met, fit.halved) == (12, 2, 1)
    assert fit.offset_mm == pytest.approx(25.0)


def test_places_count_from_the_low_end_of_each_block() -> None:
    """Two blocks whose seam lies 40 mm from the left: as one seam. 200 mm in 10 gaps of 20."""
    blocks = (box(13, 0, 213, 300), box(307, 0, 507, 300))
    fit = fit_of(seams_at(53.0, 347.0), 20.0, 90.0, blocks=blocks)
    assert (fit.number, fit.met, fit.halved) == (10, 1, 0)
    assert (fit.gap_mm, fit.offset_mm, fit.worst_mm) == pytest.approx((20.0, 0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_number_and_offset_are_the_best_of_all_tried(seed: int) -> None:
    """Brute force: each number of gaps from 3/4 to 4/3 of the wish, offsets a 2,000th apart.

    The least miss to a tenth of a millimetre wins, then the gap nearest to the wish.
    """
    rng = np.random.default_rng(seed)
    places = np.round(rng.uniform(0, 600, rng.integers(1, 5)), 1)
    wish = float(rng.uniform(25, 120))
    fit = fit_of(seams_at(*places), wish, 90.0)
    tried = []
    for number in range(1, 60):
        gap = 600 / number
        if 0.75 * wish <= gap <= 1.34 * wish:
            offsets = np.linspace(0, gap / 2, 2001)
            away = (places[None] - offsets[:, None]) % (gap / 2)
            worst = np.minimum(away, gap / 2 - away).max(axis=1).min()
            tried.append((worst, abs(math.log(gap / wish)), number))
    least = min(worst for worst, _, _ in tried)
    assert 0.75 * wish <= fit.gap_mm <= 1.34 * wish
    assert fit.worst_mm <= least + 0.1
    for worst, away, _ in tried:
        if away < abs(math.log(fit.gap_mm / wish)) - 1e-9:
            assert worst > fit.worst_mm - 0.05, "a gap nearer to the wish would do as well"
    share = ((places - fit.offset_mm) / fit.gap_mm) % 1.0
    to_line = np.minimum(share, 1 - share) * fit.gap_mm
    to_middle = np.abs(share - 0.5) * fit.gap_mm
    assert np.minimum(to_line, to_middle).max() == pytest.approx(fit.worst_mm, abs=0.02)
    places_met = np.unique(places[to_line < to_middle])
    assert fit.met == len(places_met)
    assert fit.met + fit.halved == len(np.unique(places))
    assert fit.met >= fit.halved
    assert fit.good == (fit.worst_mm <= 1.0)


CROSSED = seams_at(100.0, 300.0, 500.0, levels=(75.0, 225.0))
"""Crossings 200 mm along and 150 mm up from each other: the diagonal is at 36.87 degrees."""
DIAGONAL = math.degrees(math.atan2(150, 200))


@pytest.mark.parametrize(
    ("wished", "found"),
    [
        ((30.0,), (DIAGONAL,)),
        ((44.0,), (DIAGONAL,)),
        ((150.0,), (180 - DIAGONAL,)),
        ((-30.0,), (-DIAGONAL,)),
        ((210.0,), (180 + DIAGONAL,)),
        ((30.0, -30.0), (DIAGONAL, -DIAGONAL)),
        ((30.0, 150.0), (DIAGONAL, 180 - DIAGONAL)),
    ],
)
def test_lines_turn_by_up_to_7_5_degrees_to_run_from_crossing_to_crossing(
    wished: tuple[float, ...], found: tuple[float, ...]
) -> None:
    """3-4-5: along the normal the crossings lie 120 mm apart, three gaps of 40; the runner's
    corners lie 240 mm and 360 mm off, which makes 15 gaps. Both families of a grid meet them."""
    fit = fit_of(CROSSED, 40.0, *wished)
    assert fit.angles_deg == pytest.approx(found, abs=1e-5)
    assert fit.number == 15 and fit.halved == 0
    assert (fit.gap_mm, fit.worst_mm) == pytest.approx((40.0, 0.0), abs=1e-4)


@pytest.mark.parametrize("wished", [(29.0,), (45.0,), (30.0, 80.0), (30.0, -31.0)])
def test_further_they_do_not_turn_nor_where_the_families_are_no_mirror_images(
    wished: tuple[float, ...],
) -> None:
    fit = fit_of(CROSSED, 40.0, *wished)
    turned = np.array(fit.angles_deg) - wished
    assert np.abs(turned).max() <= 7.5
    if len(wished) == 2:
        assert fit.angles_deg == wished
    assert not np.isclose(fit.angles_deg[0], DIAGONAL, atol=0.5)


def test_a_turn_may_lead_across_the_level() -> None:
    """Crossings 400 mm along and 10 mm up lie at 1.43 degrees: from 177 it is 4.43 degrees on, and
    lines that slope so meet both. The same may come about nearer to 177, but no further from it.
    """
    points = [(100.0, 75.0), (500.0, 85.0)]
    crosses = [
        Seam(f"{x} {way}", LineString([(x - way, y - 20), (x + way, y + 20)]))
        for x, y in points
        for way in (20, -20)
    ]
    seams = seams_of(Runner(WHOLE, seams=tuple(crosses)))
    fit = fit_of(seams, 40.0, 177.0)
    assert abs(fit.angles_deg[0] - 177) <= math.degrees(math.atan2(10, 400)) + 3 + 1e-6
    assert fit.worst_mm <= 0.05
    beyond = fit_of(seams, 40.0, 180.5)
    assert beyond.worst_mm <= 0.05 and abs(beyond.angles_deg[0] - 180.5) <= 0.94


def test_lines_that_run_the_way_of_the_seams_stay() -> None:
    assert fit_of(CROSSED, 40.0, 90.0).angles_deg == (90.0,)
    assert fit_of(CROSSED, 40.0, 0.0).angles_deg == (0.0,)


def test_a_slanting_line_has_nothing_to_meet_where_no_seams_cross() -> None:
    patches = [Patch("runner", WHOLE)]
    assert seam_fit(patches, seams_at(100.0, 250.0), 40.0, (30.0,)) is None


def test_seams_beside_a_block_are_none_of_its_own() -> None:
    patches = [Patch("A1", box(0, 0, 200, 300))]
    assert seam_fit(patches, seams_at(201.0), 40.0, (90.0,)) is None
    edge = seam_fit(patches, seams_at(200.0), 40.0, (90.0,))
    assert edge is not None and edge.met == 1


def random_grid(rng: np.random.Generator) -> tuple[Seams, list[Patch]]:
    """A row of up to three blocks of their own sizes with their sashing seams; 600 by 300 mm."""
    x = np.sort(rng.uniform(20, 580, 2 * rng.integers(1, 4)))
    low, high = np.sort(rng.uniform(10, 290, 2))
    seams = seams_at(*x.tolist(), levels=(float(low), float(high)))
    blocks = [box(a, low, b, high) for a, b in x.reshape(-1, 2).tolist() if b - a > 30]
    return seams, [Patch(str(k), shape) for k, shape in enumerate(blocks or [WHOLE])]


def normal_of(slope_deg: float) -> np.ndarray:
    """Square to lines of a slope, towards the right."""
    turn = math.radians(slope_deg % 180)
    return np.array([math.sin(turn), -math.cos(turn)])


def misses_by_trying(
    seams: Seams, patches: list[Patch], gap: float, angle: float, mirrored: bool
) -> list[tuple[float, float]]:
    """Brute force: turns 1/50 of a degree apart, every number of gaps, every offset that could be
    best; (miss, distance from the wish) of each turn and number.

    The best offset puts two places equally far to either side: it lies in the middle of two folded
    places, or of one and the next round the circle.
    """
    tried = []
    hulls = [np.array(patch.shape.exterior.coords) for patch in patches]
    for turn in np.arange(-7.5, 7.51, 0.02):
        angles = [angle + turn, -angle - turn] if mirrored else [angle + turn]
        if min(abs(math.sin(math.radians(a - s))) for a in angles for s in (0, 90)) < 0.02:
            continue
        found = []
        for slope in angles:
            for patch, hull in zip(patches, hulls, strict=True):
                low = min(hull @ normal_of(slope))
                near = [p for p in seams.crossings if patch.shape.distance(Point(p)) < 0.01]
                found += [float(p @ normal_of(slope) - low) for p in near]
        width = float(np.ptp(hulls[0] @ normal_of(angles[0])))
        for number in range(1, 40):
            if 0.75 * gap <= width / number <= 1.34 * gap and found:
                half = width / number / 2
                folded = np.sort(np.array(found) % half)
                middles = (folded + np.append(folded[1:], folded[0] + half)) / 2 + half / 2
                away = (folded[None] - middles[:, None]) % half
                worst = float(np.minimum(away, half - away).max(axis=1).min())
                far = abs(math.log(width / number / gap)) + abs(math.radians(turn))
                tried.append((worst, far))
    return tried


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_no_turn_number_and_offset_meets_the_seams_better(seed: int, mirrored: bool) -> None:
    rng = np.random.default_rng(seed)
    seams, patches = random_grid(rng)
    gap, angle = float(rng.uniform(20, 60)), float(rng.uniform(25, 65))
    angles = (angle, -angle) if mirrored else (angle,)
    fit = seam_fit(patches, seams, gap, angles)
    tried = misses_by_trying(seams, patches, gap, angle, mirrored)
    assert (fit is None) == (not tried)
    if fit is not None:
        least = min(worst for worst, _ in tried)
        # Where nothing comes within a millimetre the very least does not matter.
        assert fit.worst_mm <= max(least, 0.0) + 0.05 or (fit.worst_mm > 1.0 and least > 1.0)
        turn = math.radians(fit.angles_deg[0] - angle)
        far = abs(math.log(fit.gap_mm / gap)) + abs(turn)
        if fit.good:
            # A tenth of a degree is 0.0017 radians: the search polishes what it has found.
            assert all(worst > fit.worst_mm - 0.05 for worst, other in tried if other < far - 0.002)


@pytest.mark.parametrize(
    ("slopes", "angles", "turns"),
    [
        ((40.0,), (36.0,), [4.0]),
        ((32.0,), (36.0,), [-4.0]),
        ((178.0,), (2.0,), [-4.0]),
        ((2.0,), (178.0,), [4.0]),
        ((-144.0,), (30.0,), [6.0]),
        ((43.5, 28.5), (36.0,), [-7.5, 7.5]),
        ((43.6, 28.4), (36.0,), []),
        ((40.0, 31.0, 37.0, 40.0), (36.0,), [1.0, 4.0, -5.0]),
        ((-41.0,), (36.0, -36.0), [5.0]),
        ((41.0, -38.0, -33.0), (36.0, -36.0), [2.0, -3.0, 5.0]),
        ((139.0,), (36.0, 144.0), [5.0]),
        ((126.0,), (36.0,), []),
    ],
)
def test_a_family_turns_to_slopes_within_reach_the_nearest_first(
    slopes: tuple[float, ...], angles: tuple[float, ...], turns: list[float]
) -> None:
    """A slope is one with that half a turn on; the second family of a grid turns the other way."""
    assert _nearby(np.array(slopes), angles).tolist() == pytest.approx(turns)


def test_a_grid_with_one_family_along_the_seams_stays() -> None:
    """The crossings would be met at 36.87 degrees, but the other family runs along the seams."""
    fit = fit_of(CROSSED, 40.0, 0.5, -0.5)
    assert fit.angles_deg == (0.5, -0.5)


def test_a_gap_wider_than_the_cloth_is_one_gap() -> None:
    fit = fit_of(seams_at(200.0), 900.0, 90.0)
    assert fit.number == 1 and fit.gap_mm == 600.0
    assert (fit.offset_mm, fit.met, fit.halved) == pytest.approx((200.0, 1, 0))


@pytest.mark.parametrize(("off", "offset"), [(0.008, 0.0), (-0.008, 0.0), (0.02, 0.02)])
def test_an_offset_nobody_can_see_is_none(off: float, offset: float) -> None:
    """Seams at 50 and 250 in twelve gaps of 50 mm, that far beside the lines."""
    fit = fit_of(seams_at(50.0 + off, 250.0 + off), 50.0, 90.0)
    assert (fit.number, fit.met) == (12, 2)
    assert fit.offset_mm == pytest.approx(offset, abs=1e-6)


def test_as_many_met_as_halved_are_met_from_the_first_line_on() -> None:
    """Seams at 100 and 125: a line on the one, the other in the middle; the line within half a
    gap of the left end is kept."""
    fit = fit_of(seams_at(100.0, 125.0), 50.0, 90.0)
    assert (fit.met, fit.halved) == (1, 1) and fit.offset_mm == 0.0
