"""Where seams and their crossings lie along the normal of lines, counted on blocks by hand."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, box

from quiltpath.checks.seam_misses import Seams
from quiltpath.checks.seam_touching import (
    Crossings,
    _normals,
    crossings,
    places,
    seam_contacts,
    widths,
)
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.straight import directions


def cloth(*spots: tuple[float, float], lines: tuple[LineString, ...] = ()) -> Seams:
    """Seams with crossings at the spots."""
    shapes = np.empty(len(lines), dtype=object)
    shapes[:] = lines
    return Seams(shapes, np.array(spots, dtype=float).reshape(-1, 2))


def on_blocks(
    seams: Seams, *corners: tuple[float, float, float, float], most: int = 99
) -> Crossings:
    patches = [Patch(str(number), box(*each)) for number, each in enumerate(corners)]
    return crossings(seam_contacts(patches, seams), seams, most)


@pytest.mark.parametrize("angle", [-90.0, 0.0, 1e-3, 45.0, 90.0, 135.0, 179.999, 180.0, 360.0])
def test_all_slopes_at_once_have_the_normals_that_lines_are_drawn_with(angle: float) -> None:
    (normal,) = _normals(np.array([angle]))
    assert normal == pytest.approx(directions(angle)[1], abs=1e-12)


def test_a_block_is_as_wide_as_its_shadow() -> None:
    """400 by 300: 300 high, 400 long, and 3-4-5 diagonals: 4/5 of 300 and 3/5 of 400 is 480."""
    corners = np.array([(10, 20), (410, 20), (410, 320), (10, 320)], dtype=float)
    slope = float(np.degrees(np.arctan2(3, 4)))
    assert widths(corners, np.array([0.0, 90.0, slope, 180 - slope])) == pytest.approx(
        [300, 400, 480, 480]
    )


def test_seams_count_from_the_low_end_of_each_block_they_lie_on() -> None:
    """Uprights at 30 and 250 on blocks that begin at 0 and 200; the third is on neither. Lines
    that slant meet the crossings, which lie 40 and 60 up."""
    uprights = tuple(LineString([(x, 0), (x, 100)]) for x in (30, 250, 390))
    seams = cloth((30, 40), (250, 60), (390, 40), lines=uprights)
    blocks = [Patch("A1", box(0, 0, 100, 100)), Patch("B1", box(200, 0, 300, 100))]
    touched = seam_contacts(blocks, seams)
    assert places(touched, seams, 90.0).tolist() == [30.0, 50.0]
    assert places(touched, seams, 0.0).tolist() == [40.0, 60.0]
    slope = float(np.degrees(np.arctan2(3, 4)))
    # Square to a 3-4-5 slope, to the right: 3/5 of the way along less 4/5 of the way up, from the
    # upper left corner, which is 80 below.
    assert places(touched, seams, slope) == pytest.approx([30 - 48 + 80, 18 - 32 + 80])


def test_what_lies_within_a_hundredth_of_a_millimetre_touches() -> None:
    seams = cloth((100.009, 40), (100.02, 60))
    touched = seam_contacts([Patch("A1", box(0, 0, 100, 100))], seams)
    assert touched.crossings.tolist() == [[0, 0]]


def test_blocks_of_one_size_with_crossings_at_one_spot_count_once() -> None:
    """Three blocks of 100 by 80, each with a crossing 30 along and 20 up, one of them off by a
    ten thousandth; the fourth is larger, and its crossing lies at the same spot."""
    seams = cloth((30, 20), (230.0002, 20), (430, 20), (630, 20))
    blocks = [(low, 0, low + 100, 80) for low in (0, 200.0001, 400)]
    found = on_blocks(seams, *blocks, (600, 0, 710, 80))
    assert found.points.round(3).tolist() == [[30, 20], [30, 20]]
    assert found.shape.tolist() == [0, 1]
    assert [hull.max(axis=0).round(3).tolist() for hull in found.hulls] == [[100, 80], [110, 80]]


def test_no_place_is_further_off_than_the_longest_diagonal() -> None:
    """3-4-5 blocks of 40 by 30 and 400 by 300."""
    seams = cloth((10, 10), (200, 50))
    assert on_blocks(seams, (0, 0, 40, 30), (100, 0, 500, 300)).reach_mm == pytest.approx(500)
    assert on_blocks(seams, (0, 0, 40, 30)).reach_mm == pytest.approx(50)


def test_places_of_many_slopes_are_those_of_each() -> None:
    """Level lines count from the lower edge, upright ones from the left end, and those of 45
    degrees from the upper left corner: (x - y + 80) / sqrt 2 on a block 80 high."""
    seams = cloth((230, 20), (260, 70), (520, 130))
    found = on_blocks(seams, (200, 0, 300, 80), (500, 100, 540, 160))
    order = np.lexsort(found.points.T)
    along = found.along(np.array([0.0, 90.0, 45.0]))[:, order]
    assert along[0] == pytest.approx([20, 30, 70])
    assert along[1] == pytest.approx([30, 20, 60])
    assert along[2] == pytest.approx(np.array([30 - 20 + 80, 20 - 30 + 60, 60 - 70 + 80]) / 2**0.5)


@pytest.mark.parametrize(("most", "kept"), [(1, [0]), (2, [0, 4]), (3, [0, 2, 4]), (5, 5), (99, 5)])
def test_of_many_crossings_a_spread_is_taken(most: int, kept: list[int] | int) -> None:
    seams = cloth(*[(10.0 * k, 5) for k in range(1, 6)])
    found = on_blocks(seams, (0, 0, 100, 80), most=most)
    wanted = list(range(kept)) if isinstance(kept, int) else kept
    assert found.points[:, 0].tolist() == [10.0 * (k + 1) for k in wanted]
