"""The pieced top of a project's grid, as large as it is flat, before it is quilted."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry import Polygon, box

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.pieced_top import PiecedTop, Reach, piece_top
from quiltpath.project import Project
from quiltpath.runner.build import flat_bands
from quiltpath.runner.grid import Band, BandKind, Bands
from quiltpath.runner.states import States


def top_of_the_grid(project: Project, runner: Runner, states: States) -> PiecedTop | None:
    """What to piece; None where the top is at hand, or no grid says what it is made of.

    The grid's bands are those of the flat ``runner``. The whole rectangle is sewn; an outline that
    is no rectangle is cut from it after quilting.
    """
    if project.top.made != "pieced" or project.grid is None:
        return None
    along, across = flat_bands(project, states.kept(states.used))
    return piece_top(
        along,
        across,
        cornerstones=project.grid.cornerstones,
        seam_mm=project.top.seam,
        corners=project.top.border_corners,
        reach=_reach(runner, along, across),
    )


def _reach(runner: Runner, along: Bands, across: Bands) -> Reach | None:
    """How far the outline reaches into the border; None where it has none, or reaches all of it."""
    if along[0].kind is not BandKind.BORDER or across[0].kind is not BandKind.BORDER:
        return None
    size = along[-1].high, across[-1].high
    low = runner.outline.bounds[:2]
    scale = size[0] / runner.length_mm, size[1] / runner.width_mm
    shape = shapely.transform(runner.outline, lambda points: (points - low) * scale)
    side = _extent(shape, (box(0, b.low, size[0], b.high) for b in _border(across)), 0)
    end = _extent(shape, (box(b.low, 0, b.high, size[1]) for b in _border(along)), 1)
    return Reach(side, end)


def _border(laid: Bands) -> tuple[Band, ...]:
    return tuple(band for band in laid if band.kind is BandKind.BORDER)


def _extent(shape: Polygon, parts: Iterable[Polygon], axis: int) -> tuple[float, float]:
    """From where to where the shape lies in these parts, along an axis."""
    inside = shapely.union_all([shape.intersection(part) for part in parts])
    bounds = inside.bounds
    return float(bounds[axis]), float(bounds[axis + 2])
