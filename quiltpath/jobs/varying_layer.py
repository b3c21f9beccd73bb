"""What the layers that vary come to, there where they fill: motifs and other layers hide nothing.

A comparison changes some layers and keeps the others. The widest gap of the whole may lie in a
motif, the same for all; these figures are of the cloth that the varying layers fill, and of their
own thread and time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.checks import widest_gaps
from quiltpath.checks.membrane import Grid, nodes_inside, segments_of
from quiltpath.checks.puff_figures import STIFFNESS, Puff, puff, stiffness
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner, area_of, patches
from quiltpath.materials.draw_up import quilting_share
from quiltpath.patterns.kinds import is_fill
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.stitching.thread_and_time import MM_PER_M, sewing_time
from quiltpath.units import both_units

BOARD_LIKE = STIFFNESS[-2][0]
"""metres of line on a square metre beyond which quilted cloth hardly bends"""

SMALLEST_MM2 = 100.0
"""Slivers beside motifs are no place to measure a gap in."""


@dataclass(frozen=True)
class LayerFigures:
    """The varying layers alone; lengths in mm, thread in m, time in minutes.

    ``gap_mm``       widest empty circle within what they fill, clear of motifs
    ``puff_mm``      half of that cloth stands in puffs at least so high
    ``puff_low_mm``, ``puff_high_mm``  a tenth of it stands lower, a tenth higher
    ``m_per_m2``     metres of their line on a square metre of it
    ``handles``      how such quilting makes cloth handle
    ``thread_m``     needle and bobbin together, with wastage
    ``limited_by``   what is nearest to its limit, and by how much
    ``puff_how``, ``puff_trust``, ``handles_trust``  how it was obtained, how far to trust it
    """

    names: str
    gap_mm: float
    puff_mm: float
    puff_low_mm: float
    puff_high_mm: float
    m_per_m2: float
    handles: str
    minutes: float
    thread_m: float
    draw_up_percent: float
    limited_by: str
    puff_how: str
    puff_trust: str
    handles_trust: str


def varying_by_default(project: Project) -> tuple[int, ...]:
    """The layers that fill, or all where none does."""
    fills = tuple(index for index, layer in enumerate(project.quilting) if is_fill(layer))
    return fills or tuple(range(len(project.quilting)))


def filled_area(project: Project, runner: Runner, layers: Sequence[int]) -> BaseGeometry:
    """What the layers fill, without the motifs; empty where they have no area of their own."""
    shapes = [_area(runner, project.quilting[index].region) for index in layers]
    motifs = shapely.union_all([motif.shape for motif in runner.motifs])
    return shapely.union_all(shapes).intersection(runner.outline).difference(motifs)


def _area(runner: Runner, region: str | tuple[str, ...]) -> BaseGeometry:
    try:
        return area_of(patches(runner, region))
    except InputError:  # a region that this runner has not got holds no lines either
        return Polygon()


def layer_figures(result: Result, layers: Sequence[int]) -> LayerFigures | None:
    """The figures of some layers; None where they fill nothing or draw nothing."""
    lines = result.lines
    own = np.isin(lines.layer, layers)
    area = filled_area(result.project, result.runner, layers)
    if not own.any() or area.area < SMALLEST_MM2:
        return None
    gap_mm = _widest_gap_mm(result, area)
    stands, handles = _puff(result, area), stiffness(lines.geometry[own], area)
    minutes, thread_m = _own_minutes_and_thread(result, own)
    return LayerFigures(
        names=", ".join(lines.layers[index] for index in layers),
        gap_mm=gap_mm,
        puff_mm=stands.middle_mm,
        puff_low_mm=stands.low_mm,
        puff_high_mm=stands.high_mm,
        m_per_m2=handles.m_per_m2,
        handles=handles.words.partition(":")[0],
        minutes=minutes,
        thread_m=thread_m,
        draw_up_percent=100 * quilting_share(handles.m_per_m2),
        limited_by=_limited_by(gap_mm, result.gap_limit_mm, handles.m_per_m2),
        puff_how=stands.how,
        puff_trust=stands.trust,
        handles_trust=handles.trust,
    )


def _widest_gap_mm(result: Result, area: BaseGeometry) -> float:
    """Widest empty circle in any piece of an area; the piece's own edge bounds it as well."""
    pieces = [piece for piece in shapely.get_parts(area) if piece.area >= SMALLEST_MM2]
    geometry = result.lines.geometry
    near = [geometry[shapely.intersects(geometry, piece)] for piece in pieces]
    return max(
        widest_gaps(lines, piece, 1).widest_mm for lines, piece in zip(near, pieces, strict=True)
    )


def _puff(result: Result, area: BaseGeometry) -> Puff:
    """How high the cloth of an area stands, in the field of the whole."""
    field = result.relief.field
    grid = Grid(field.origin_mm, field.cell_mm, field.height_mm.shape)
    within = nodes_inside(segments_of([area.boundary]), grid)
    part = replace(field, inside=within & field.inside)
    return puff(part, result.lines.geometry, area, result.relief.loft)


def _own_minutes_and_thread(result: Result, own: NDArray[np.bool_]) -> tuple[float, float]:
    """Of the stitches that sew certain lines: their time with the starts that begin on them, and
    their thread. Turns with the needle down are shared out by stitches."""
    stitches, setting = result.stitches, result.thread.setting
    sewn = stitches.is_sewn
    theirs = np.append(own, False)[stitches.line] & sewn
    number, seam_mm = int(theirs.sum()), float(stitches.step_mm[theirs].sum())
    begun = np.unique(stitches.run[sewn], return_index=True)[1]
    starts = int(theirs[np.flatnonzero(sewn)[begun]].sum())
    pivots = round(stitches.pivots * number / max(stitches.stitch_count, 1))
    minutes = sewing_time(number, starts, pivots, 0, result.project.time).sewing_min
    both_mm = setting.needle_mm(seam_mm, number) + setting.bobbin_mm(seam_mm, number)
    return minutes, both_mm * (1 + setting.wastage_share) / MM_PER_M


def _limited_by(gap_mm: float, limit_mm: float | None, m_per_m2: float) -> str:
    """What comes nearest to its limit: the wadding's hold, or the hand of the cloth."""
    stiff = m_per_m2 / BOARD_LIKE
    if limit_mm is not None and gap_mm > limit_mm:
        return f"wadding: {both_units(gap_mm - limit_mm)} too wide"
    if limit_mm is not None and gap_mm / limit_mm >= stiff:
        return f"wadding: {both_units(limit_mm - gap_mm)} to spare"
    if stiff > 1:
        return "its stiffness: as stiff as a board"
    return f"its stiffness: {100 * stiff:.0f} % of what feels like a board"
