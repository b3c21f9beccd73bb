"""Small runs and stitches built by hand, so that each check is tested by itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import LineString, Polygon, box

from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner, Seam
from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import BreakReason, PieceKind, Runs
from quiltpath.stitching import PointKind, Stitches

RUNNER = box(0, 0, 800, 320)


def lines_of(*paths: ArrayLike, retraceable: bool = False) -> Lines:
    return layer_lines(
        [LineString(np.asarray(path)) for path in paths], name="fill", retraceable=retraceable
    )


def runs_of(*paths: ArrayLike, secured: tuple[bool, bool] = (True, True)) -> Runs:
    """One run for each path, of one piece each."""
    points = [np.asarray(path, dtype=float) for path in paths]
    count = len(points)
    offsets = np.cumsum([0, *(len(path) for path in points)])
    return Runs(
        coordinates=np.concatenate(points) if points else np.zeros((0, 2)),
        piece_start=offsets,
        piece_kind=np.full(count, PieceKind.LINE, dtype=np.int8),
        piece_line=np.arange(count, dtype=np.int32),
        run_start=np.arange(count + 1),
        break_reason=np.full(count, BreakReason.SEPARATE, dtype=np.int8),
        secured=np.tile(np.array(secured), (count, 1)),
        runs_lower_bound=count,
        turns=0,
    )


def stitches_of(*runs: NDArray[np.float64]) -> Stitches:
    """Needle points of each run; the first of a run is where the needle goes down."""
    lengths = [len(run) for run in runs]
    number = np.repeat(np.arange(len(runs)), lengths).astype(np.int32)
    first = np.concatenate([[True], np.diff(number) != 0]) if len(number) else np.zeros(0, bool)
    return Stitches(
        points=np.concatenate(runs) if runs else np.zeros((0, 2)),
        kind=np.full(len(number), PointKind.STITCH, dtype=np.int8),
        run=number,
        line=number.copy(),
        stretch=np.where(first, -1, number).astype(np.int32),
        forced_short=np.zeros((0, 3)),
    )


def sewn(count: int, y: float = 0.0) -> NDArray[np.float64]:
    """A run of so many stitches at 3 mm along x."""
    return np.column_stack([np.arange(count + 1) * 3.0, np.full(count + 1, y)])


def runner_of(outline: Polygon = RUNNER, **parts: object) -> Runner:
    return Runner(outline, **parts)  # type: ignore[arg-type]


def join_at(x: float, outline: Polygon = RUNNER) -> Seam:
    _, low, _, high = outline.bounds
    return Seam("panel join", LineString([(x, low), (x, high)]), is_panel_join=True)


def block(name: str, low_x: float, high_x: float) -> Region:
    return Region(name, RegionKind.BLOCK, box(low_x, 0, high_x, 320))
