"""A drawn repeat along a curve of one's own: whole repeats, bent with it, joined end to end."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.free_curves.repeat_along import repeat_along, spine_through
from quiltpath.project import parse
from quiltpath.result.computing import compute

WAVE = np.array([(0.0, 0.0), (200, 80), (400, 0), (600, -80), (800, 0)])
ZIGZAG = np.array([(0.0, 0.0), (10, 8), (30, -8), (40, 0)])
HALF_CIRCLE = 300 * np.column_stack(
    [-np.cos(np.linspace(0, np.pi, 25)), np.sin(np.linspace(0, np.pi, 25))]
)


def curve_of(points: np.ndarray) -> shapely.LineString:
    spine = spine_through(points)
    return shapely.LineString(spine(np.linspace(0, spine.x[-1], 20_000)))


def test_on_a_straight_spine_it_is_the_row_that_was_drawn() -> None:
    (line,) = repeat_along(np.array([(0.0, 50.0), (400.0, 50.0)]), [ZIGZAG], 40.0, 40.0, True)
    row = np.concatenate([np.add(ZIGZAG, (40.0 * k, 50.0)) for k in range(10)])
    assert shapely.hausdorff_distance(shapely.LineString(line), shapely.LineString(row)) < 0.02


@pytest.mark.parametrize("points", [WAVE, HALF_CIRCLE], ids=["a wave", "half a circle"])
def test_what_is_drawn_at_a_height_lies_so_far_beside_the_spine(points: np.ndarray) -> None:
    """By GEOS's own parallel curve: on the left for heights above 0, on the right below."""
    spine = curve_of(points)
    scale = spine.length / 40 / round(spine.length / 40)
    for height in (12.0, -7.0):
        level = np.array([(0.0, height), (40.0, height)])
        (line,) = repeat_along(points, [level], 40.0, 40.0, True)
        beside = shapely.offset_curve(spine, height * scale, quad_segs=64)
        assert shapely.hausdorff_distance(beside, shapely.LineString(line)) < 0.1


@pytest.mark.parametrize("wanted", [35.0, 40.0, 55.0])
def test_whole_repeats_fill_it_from_end_to_end_in_one_line(wanted: float) -> None:
    """As many as come nearest to the length asked; each zigzag crosses the spine in its middle."""
    spine = curve_of(WAVE)
    (line,) = repeat_along(WAVE, [ZIGZAG], 40.0, wanted, True)
    assert np.allclose(line[[0, -1]], WAVE[[0, -1]], atol=0.01)
    crossings = shapely.intersection(shapely.LineString(line), spine)
    inside = [p for p in shapely.get_parts(crossings) if 1 < spine.project(p) < spine.length - 1]
    count = round(spine.length / wanted)
    assert len({round(spine.project(point)) for point in inside}) == 2 * count - 1


def test_what_leads_nowhere_stands_once_a_repeat() -> None:
    ring = np.array([(15.0, -5.0), (25, -5), (25, 5), (15, 5), (15, -5)])
    lines = repeat_along(WAVE, [ring], 40.0, 40.0, False)
    assert len(lines) == round(curve_of(WAVE).length / 40)
    assert all(np.allclose(line[0], line[-1]) for line in lines)


def test_a_spine_too_tight_for_the_drawing_is_refused() -> None:
    tight = np.array([(0.0, 0.0), (20, 0), (20, 20), (0, 20)])
    with pytest.raises(ValueError, match="less than the"):
        repeat_along(tight, [3 * ZIGZAG], 120.0, 120.0, True)


PROJECT = """
units = "mm"
runner = {{ length = 800, width = 300 }}
[[quilting]]
kind = "drawing"
file = "wave.svg"
size = "about 80 mm"
{}
"""
WAVE_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 16">'
    '<path fill="none" stroke="#000" d="M0 8 C10 -4 15 -4 20 8 C25 20 30 20 40 8"/></svg>'
)
S_CURVE = "spine = [[0, 0.5], [0.25, 0.75], [0.5, 0.5], [0.75, 0.25], [1, 0.5]]"


def project(more: str, folder: Path, svg: str = WAVE_SVG) -> str:
    (folder / "wave.svg").write_text(svg)
    return PROJECT.format(more)


def test_on_a_runner_it_is_one_line_that_passes_the_points(tmp_path: Path) -> None:
    text = project(f'arrangement = "spine"\n{S_CURVE}', tmp_path)
    result = compute(parse(text, folder=tmp_path))
    assert len(result.lines) == len(result.runs) == 1
    low, foot, high, top = result.runner.outline.bounds
    for x, y in ((0.25, 0.75), (0.5, 0.5), (0.75, 0.25)):
        at = shapely.Point(low + x * (high - low), foot + y * (top - foot))
        assert at.distance(result.lines.geometry[0]) < 17, "half the height of a repeat at most"


def test_where_its_ends_do_not_meet_a_finding_says_so(tmp_path: Path) -> None:
    rising = WAVE_SVG.replace("40 8", "40 2")
    text = project(f'arrangement = "spine"\n{S_CURVE}', tmp_path, rising)
    found = compute(parse(text, folder=tmp_path)).findings
    assert "repeats-joined-badly" in {finding.code for finding in found}


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        ('arrangement = "spine"', "two points at least"),
        (S_CURVE, 'add arrangement = "spine"'),
        ('arrangement = "spine"\nspine = [[0, 0.5], [1.5, 0.5]]', "spine"),
        ('arrangement = "spine"\nspine = [[0, 0.5], [0, 0.5]]', "two points of the spine"),
        (f'arrangement = "spine"\n{S_CURVE}\nrow = 40', "take row out"),
        ('arrangement = "spine"\nspine = [[0, 0], [0.02, 1], [0.04, 0]]', "turns with a radius"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(tmp_path: Path, more: str, wrong: str) -> None:
    with pytest.raises(InputError, match=wrong) as told:
        compute(parse(project(more, tmp_path), folder=tmp_path))
    assert "\n" not in str(told.value) and "quilting[1]" in str(told.value)
