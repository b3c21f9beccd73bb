"""The drawing made fit to be sewn: overlaps, hairline gaps and lines shorter than a stitch."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.patterns import Lines
from quiltpath.routing.edges import Edges, edges_of_lines
from quiltpath.routing.nodes import connected_components
from quiltpath.routing.overlaps import merge_overlaps
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import RunChange
from quiltpath.units import millimetres

REPORTED_MM = 1e-3
TOLD_MM = 1.0
"""An overlap shorter than this is where one line ends on another: nothing to be told."""
ON_EACH_OTHER = 0.25
"""share of the tolerance: rings that nearly touch should not count as lying on each other"""


def tidy_lines(
    lines: Lines, group: NDArray[np.intp], policy: Policy
) -> tuple[Edges, list[RunChange]]:
    """Edges to be sewn, and what was merged, closed, joined or dropped to get them.

    ``group`` (n,) says which lines may be sewn in one run. After this, ends that meet have equal
    coordinates.
    """
    changes = _drop_empty(lines)
    drawn = edges_of_lines(lines.geometry)
    edges, overlaps = merge_overlaps(
        drawn, _priority(lines)[drawn.line], ON_EACH_OTHER * policy.tolerance_mm
    )
    changes += [
        RunChange(
            "sewn-once",
            f"{_name(lines, lap.lost)} lies on {_name(lines, lap.kept)} for"
            f" {millimetres(lap.length_mm)}; that stretch is sewn once",
            lap.at_mm,
        )
        for lap in overlaps
        if lap.length_mm >= TOLD_MM
    ]
    edges, closed = _close_gaps(lines, edges, policy.tolerance_mm)
    edges, short = _settle_short(lines, edges, group, policy.shortest_mm)
    return edges, changes + closed + short


def _priority(lines: Lines) -> NDArray[np.intp]:
    """A stretch that two lines share is sewn with the one of the earlier role, then layer."""
    rank = np.empty(len(lines), dtype=np.intp)
    order = np.lexsort((np.arange(len(lines)), lines.layer, lines.role))
    rank[order] = np.arange(len(lines))
    return rank


def _name(lines: Lines, line: int) -> str:
    return str(lines.source[line]) or f"line {line + 1}"


def _drop_empty(lines: Lines) -> list[RunChange]:
    empty = np.flatnonzero(shapely.length(lines.geometry) <= 0)
    spots = [shapely.get_coordinates(lines.geometry[line])[:1].tolist() for line in empty]
    return [
        RunChange(
            "short-dropped", f"{_name(lines, int(line))} has no length; left out", tuple(spot[0])
        )
        for line, spot in zip(empty, spots, strict=True)
        if spot
    ]


def _close_gaps(lines: Lines, edges: Edges, tolerance_mm: float) -> tuple[Edges, list[RunChange]]:
    """Ends within the tolerance of each other moved to one point."""
    joined = edges.on_nodes(edges.nodes(tolerance_mm))
    place = joined.ends.reshape(-1, 2)
    moved = np.hypot(*(edges.ends.reshape(-1, 2) - place).T)
    changes = [
        gap_change(lines, int(edges.line[end // 2]), float(moved[end]), place[end])
        for end in np.flatnonzero(moved > REPORTED_MM)
    ]
    return joined.take(joined.length_mm > 0), changes


def gap_change(lines: Lines, line: int, gap_mm: float, at_mm: NDArray[np.float64]) -> RunChange:
    """What to say about a gap that was closed."""
    return RunChange(
        "gap-closed",
        f"{_name(lines, line)} was {gap_mm:.2f} mm from another line; the gap is closed",
        (float(at_mm[0]), float(at_mm[1])),
    )


def _settle_short(
    lines: Lines, edges: Edges, group: NDArray[np.intp], shortest_mm: float
) -> tuple[Edges, list[RunChange]]:
    """Edges shorter than a stitch stay where they join others, and go where they stand alone."""
    length = edges.length_mm
    short = length < shortest_mm
    if not short.any():
        return edges, []
    apart = edges.nodes()
    apart = apart * (int(group.max()) + 1) + group[edges.line][:, None]
    degree = np.bincount(apart.reshape(-1))[apart]
    piece = connected_components(int(apart.max()) + 1, apart)[apart[:, 0]]
    lonely = np.bincount(piece, weights=length)[piece] < shortest_mm
    spur = (degree.min(axis=1) == 1) & (degree.max(axis=1) > 2)
    dropped = short & (lonely | spur)
    changes = [
        _short_change(lines, edges, int(edge), float(length[edge]), bool(dropped[edge]))
        for edge in np.flatnonzero(short)
    ]
    return edges.take(~dropped), changes


def _short_change(
    lines: Lines, edges: Edges, edge: int, length_mm: float, dropped: bool
) -> RunChange:
    what = "it is left out" if dropped else "it is sewn on with the line that it joins"
    at = edges.coordinates[edges.start[edge]]
    return RunChange(
        "short-dropped" if dropped else "short-joined",
        f"a piece of {_name(lines, int(edges.line[edge]))} is {length_mm:.1f} mm long,"
        f" shorter than one stitch; {what}",
        (float(at[0]), float(at[1])),
    )
