"""What the needle does: bobbin changes, worn holes, ends on show, turns and shallow crossings.

A bobbin is changed at the end of the run before it runs out, not in the middle of a line. A hole
that the needle goes through too often weakens the cloth and looks chewed. Starts and stops show
where they are secured away from a line or the binding that would hide them. Turns of a crosshatch
in one line must lie inside the trim line, or squaring up cuts them off. A line that crosses the
panel join at a shallow angle stays long on its bulk.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.limits import CheckLimits
from quiltpath.findings import Finding
from quiltpath.geometry.arrays import Floats, distinct
from quiltpath.geometry.runner_shapes import Runner, Seam
from quiltpath.patterns import Lines
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.one_line import OneLineCrosshatchLayer
from quiltpath.routing import Runs
from quiltpath.stitching import Stitches
from quiltpath.units import both_units, millimetres

CLEAR_MM = 3.0
"""A ruler laid on by eye may trim so far inside the edge that was meant (common practice)."""


@dataclass(frozen=True)
class BobbinChanges:
    """Where a bobbin is changed.

    ``after_run``  indices of the runs after which a full bobbin goes in
    ``runs_out``   indices into the stitches' points where one bobbin ends within a run that
                   takes more than a whole one
    """

    after_run: tuple[int, ...]
    runs_out: tuple[int, ...]


def bobbin_findings(
    stitches: Stitches, metres_per_stitch: float, bobbin_m: float, limits: CheckLimits
) -> tuple[Finding, ...]:
    """Remarks on where to change the bobbin and which runs outlast one."""
    if not stitches.stitch_count:
        return ()
    counted_on = bobbin_m * (1 - limits.bobbin_reserve)
    changes = bobbin_changes(stitches, metres_per_stitch, counted_on)
    return (*_changes(stitches, changes), *_runs_that_outlast(stitches, changes, counted_on))


def bobbin_changes(stitches: Stitches, metres_per_stitch: float, bobbin_m: float) -> BobbinChanges:
    """The fewest changes that end no bobbin within a run, save in runs longer than a bobbin.

    Each bobbin sews as many whole runs as it can (no other choice needs fewer bobbins). A run
    that takes more than a full bobbin starts with a full one. Raises ``ValueError`` for a bobbin
    that holds not even one stitch.
    """
    per_bobbin = int(bobbin_m / metres_per_stitch + 1e-9)
    if per_bobbin < 1:
        raise ValueError("the bobbin must hold at least one stitch")
    sewn = np.flatnonzero(stitches.is_sewn)
    per_run = np.bincount(stitches.run[sewn])
    starts = np.concatenate([[0], np.cumsum(per_run)])
    after_run, runs_out, used_from = list[int](), list[int](), 0
    while used_from + per_bobbin < starts[-1]:
        last = int(np.searchsorted(starts, used_from + per_bobbin, side="right")) - 1
        if starts[last] > used_from:
            after_run.append(last - 1)
            used_from = int(starts[last])
        else:
            used_from += per_bobbin
            runs_out.append(int(sewn[used_from - 1]))
    return BobbinChanges(tuple(after_run), tuple(runs_out))


def _changes(stitches: Stitches, changes: BobbinChanges) -> tuple[Finding, ...]:
    if not changes.after_run:
        return ()
    numbers = ", ".join(str(run + 1) for run in changes.after_run)
    which = f"number{'s' * (len(changes.after_run) > 1)} {numbers}"
    message = f"the bobbin runs out within the work; change it after {which}"
    last = int(np.flatnonzero(stitches.run == changes.after_run[0])[-1])
    remedy = "there the change leaves no join within a line; wind the bobbins beforehand"
    return (Finding("bobbin-change", message, remedy, _at(stitches.points[last])),)


def _runs_that_outlast(
    stitches: Stitches, changes: BobbinChanges, counted_on_m: float
) -> tuple[Finding, ...]:
    if not changes.runs_out:
        return ()
    runs = sorted({int(stitches.run[point]) + 1 for point in changes.runs_out})
    several, count = len(runs) > 1, len(changes.runs_out)
    numbers = ", ".join(str(run) for run in runs)
    message = (
        f"number{'s' * several} {numbers} take{'s' * (not several)} more than a bobbin, of which"
        f" {counted_on_m:.0f} m can be counted on; it runs out {count} time{'s' * (count > 1)}"
        " within a line"
    )
    remedy = (
        "start with a full bobbin, stop at the last place before this where the line meets the"
        " edge or a sashing line, and overlap a few stitches"
    )
    return (
        Finding("bobbin-outlasted", message, remedy, _at(stitches.points[changes.runs_out[0]])),
    )


def worn_holes(stitches: Stitches, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places with more than ``limits.hole_passes`` needle points in one hole."""
    crowded, passes = passes_through(stitches.needle_holes, limits.hole_mm, limits.hole_passes)
    if len(passes) == 0:
        return ()
    worst = int(passes.argmax())
    places = len(distinct(np.round(crowded / (4 * limits.hole_mm)), axis=0))
    message = (
        f"the thread passes {passes[worst]} times through one hole, more than"
        f" {limits.hole_passes}; this at {'one place' if places == 1 else f'about {places} places'}"
    )
    remedy = "end some of the lines that meet there a stitch short, or move where lines start"
    return (Finding("hole-worn", message, remedy, _at(crowded[worst])),)


def passes_through(
    holes: Floats, within_mm: float, more_than: int
) -> tuple[Floats, NDArray[np.intp]]:
    """The (k, 2) points with more than so many of the (n, 2) holes within reach, and how many.

    A point counts itself.
    """
    chosen = holes[_hopeful(holes, within_mm, more_than)]
    tree = shapely.STRtree(shapely.points(chosen))
    one, _ = tree.query(tree.geometries, predicate="dwithin", distance=within_mm)
    passes = np.bincount(one, minlength=len(chosen))
    crowded = passes > more_than
    return chosen[crowded], passes[crowded]


def _hopeful(holes: Floats, within_mm: float, more_than: int) -> NDArray[np.bool_]:
    """(n,) true for every point with more than so many in reach, and for few others.

    All that lies within reach of a point lies in four cells that share a corner, on a raster of
    twice the reach. Cells are counted by a hash of their place (Fibonacci hashing) in which all
    neighbours lie equally far apart: where two share a number the count is too high, which costs a
    look and hides nothing.
    """
    numbers = 1 << (4 * len(holes)).bit_length()
    column, row = np.floor(holes / (2 * within_mm)).astype(np.int64).T
    cell = (row * ROW_STEP + column) & (numbers - 1)
    whole = np.bincount(cell, minlength=numbers)
    count = np.minimum(whole, more_than + 1, out=whole).astype(np.uint16)
    del whole  # 50 MB for a million holes
    above = ROW_STEP % numbers
    count += np.roll(count, -1)
    count += np.roll(count, -above)
    crowded = count > more_than
    crowded |= np.roll(crowded, 1)
    crowded |= np.roll(crowded, above)
    return crowded[cell]


ROW_STEP = 2_654_435_769
"""2 ** 32 over the golden ratio: rows that fall on one another lie far apart."""

MANY_ENDS = 20
"""Fewer are buried without a thought (common practice)."""


def ends_on_show(
    runner: Runner, lines: Lines, runs: Runs, limits: CheckLimits
) -> tuple[Finding, ...]:
    """One remark on all secured ends that lie away from the edge, sashing and motif outlines."""
    ends = runs.ends[runs.secured]
    if len(ends) == 0:
        return ()
    shown = ends[~_is_hidden(ends, runner, lines, limits)]
    if len(shown) == 0:
        return ()
    middle = np.array(runner.outline.centroid.coords[0])
    nearest = shown[np.hypot(*(shown - middle).T).argmin()]
    count = len(shown)
    message = f"{count} {'start or stop shows' if count == 1 else 'starts and stops show'}"
    remedy = (
        "start and stop on a sashing line or a motif's outline, run the line out over the edge,"
        " or leave tails and bury them"
    )
    few = count < MANY_ENDS
    return (Finding("ends-on-show", message, remedy, _at(nearest), mild=few),)


def _is_hidden(
    ends: Floats, runner: Runner, lines: Lines, limits: CheckLimits
) -> NDArray[np.bool_]:
    """(n,) true for ends under the binding, or beside a line on which a second pass hides."""
    points = shapely.points(ends)
    edge = shapely.distance(runner.outline.boundary, points) <= limits.edge_mm
    outside = ~shapely.contains_xy(runner.outline, ends[:, 0], ends[:, 1])
    return edge | outside | _near(points, _hiding(runner, lines), limits.beside_mm)


def _hiding(runner: Runner, lines: Lines) -> NDArray[np.object_]:
    """Sashing lines, motif outlines, seams, and quilting that may be retraced."""
    outlines = [line for motif in runner.motifs for line in motif.outlines]
    seams = [seam.line for seam in runner.seams]
    retraceable = lines.geometry[lines.retraceable]
    return np.array([*runner.printed, *outlines, *seams, *retraceable], dtype=object)


def _near(
    points: NDArray[np.object_], shapes: NDArray[np.object_], within_mm: float
) -> NDArray[np.bool_]:
    near = np.zeros(len(points), dtype=np.bool_)
    if len(shapes):
        found, _ = shapely.STRtree(shapes).query(points, predicate="dwithin", distance=within_mm)
        near[found] = True
    return near


@dataclass(frozen=True)
class OutermostTurn:
    """How far inside the finished edge the outermost turn of a layer's closed lines is, where."""

    inside_mm: float
    at_mm: tuple[float, float]


def pivot_findings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Finding, ...]:
    """One finding that says no for each crosshatch in one line that turns on the trim line."""
    found = []
    for index, layer in enumerate(layers):
        if isinstance(layer, OneLineCrosshatchLayer):
            turn = outermost_turn(runner, lines, index)
            if turn is not None and turn.inside_mm < CLEAR_MM - 1e-6:
                found.append(_finding(layer.name or layer.kind, turn))
    return tuple(found)


def outermost_turn(runner: Runner, lines: Lines, layer: int) -> OutermostTurn | None:
    """The turn nearest the edge, of the lines of the layer with that index.

    None where the layer has no closed line: what something has cut open is told elsewhere.
    """
    own = lines.geometry[(lines.layer == layer) & shapely.is_closed(lines.geometry)]
    if not len(own):
        return None
    points = shapely.get_coordinates(own)
    inside = shapely.distance(shapely.points(points), runner.outline.boundary)
    first = int(np.argmin(inside))
    x, y = points[first].tolist()
    return OutermostTurn(float(inside[first]), (x, y))


def _finding(name: str, turn: OutermostTurn) -> Finding:
    inside = f"{turn.inside_mm:.1f}"
    where = "on the trim line" if inside == "0.0" else f"{inside} mm inside the trim line"
    return Finding(
        "turns-at-the-trim-line",
        f"{name}: the line turns {where}, where squaring up cuts it into many",
        f"give it an inset of {both_units(6.35)} or more",
        turn.at_mm,
    )


def shallow_crossings(runner: Runner, runs: Runs, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark for each panel join that runs cross at less than ``limits.join_angle_deg``."""
    start, end, run = _segments(runs)
    found = list[Finding]()
    for seam in runner.seams:
        if seam.is_panel_join and len(start):
            found.extend(_at_join(seam, start, end, run, limits))
    return tuple(found)


def _segments(runs: Runs) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Starts and ends of everything sewn, and the run of each."""
    run = np.repeat(np.arange(len(runs)), np.diff(runs.vertex_start))
    sewn = (run[1:] == run[:-1]) & np.any(np.diff(runs.coordinates, axis=0) != 0, axis=1)
    return runs.coordinates[:-1][sewn], runs.coordinates[1:][sewn], run[1:][sewn]


def _at_join(
    seam: Seam, start: Floats, end: Floats, run: NDArray[np.intp], limits: CheckLimits
) -> tuple[Finding, ...]:
    lines = shapely.linestrings(np.stack([start, end], axis=1))
    shapely.prepare(seam.line)
    angle = _angle_deg(end - start, seam)
    shallow = (angle < limits.join_angle_deg - 1e-9) & (angle > limits.in_the_ditch_deg)
    crossing = np.flatnonzero(shallow)[shapely.intersects(seam.line, lines[shallow])]
    if len(crossing) == 0:
        return ()
    worst = int(crossing[angle[crossing].argmin()])
    place = shapely.get_coordinates(shapely.intersection(seam.line, lines[worst]))[0]
    on_bulk = 2 * limits.join_bulk_mm / np.sin(np.radians(angle[worst]))
    count = len(distinct(run[crossing]))
    message = (
        f"{'a line crosses' if count == 1 else f'{count} lines cross'} the {seam.name} at"
        f" {angle[worst]:.0f}° and so {'stays' if count == 1 else 'stay'} on its bulk for"
        f" {millimetres(on_bulk)}"
    )
    remedy = (
        f"cross it at {limits.join_angle_deg:.0f}° or more, or sew slowly there by the handwheel"
    )
    return (Finding("join-crossed-shallow", message, remedy, _at(place)),)


def _angle_deg(along: Floats, seam: Seam) -> Floats:
    """(n,) angle between each segment and the straight through the seam's ends, 0 to 90°."""
    ends = shapely.get_coordinates(seam.line)[[0, -1]]
    x, y = ends[1] - ends[0]
    cross = np.abs(along[:, 0] * y - along[:, 1] * x)
    dot = np.abs(along[:, 0] * x + along[:, 1] * y)
    return np.degrees(np.arctan2(cross, dot))


def _at(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
