"""The drawing made fit to be sewn: overlaps, hairline gaps and lines shorter than a stitch."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.patterns import Lines
from quiltpath.routing.overlaps import sewn_once
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import RunChange
from quiltpath.routing.strands import Strands, components, strands_of
from quiltpath.units import millimetres

TELLABLE_MM = 1e-3
ON_EACH_OTHER = 0.25
"""share of the tolerance: rings that nearly touch should not count as lying on each other"""


def tidied(
    lines: Lines, group: NDArray[np.intp], policy: Policy
) -> tuple[Strands, list[RunChange]]:
    """Strands to be sewn, and what was merged, closed, joined or dropped to get them.

    ``group`` (n,) says which lines may be sewn in one run. After this, ends that meet have equal
    coordinates.
    """
    changes = _without_length(lines)
    drawn = strands_of(lines.geometry)
    strands, overlaps = sewn_once(
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
    ]
    strands, closed = _gaps_closed(lines, strands, policy.tolerance_mm)
    strands, short = _short_settled(lines, strands, group, policy.shortest_mm)
    return strands, changes + closed + short


def _priority(lines: Lines) -> NDArray[np.intp]:
    """A stretch that two lines share is sewn with the one of the earlier role, then layer."""
    rank = np.empty(len(lines), dtype=np.intp)
    order = np.lexsort((np.arange(len(lines)), lines.layer, lines.role))
    rank[order] = np.arange(len(lines))
    return rank


def _name(lines: Lines, line: int) -> str:
    return str(lines.source[line]) or f"line {line + 1}"


def _without_length(lines: Lines) -> list[RunChange]:
    empty = np.flatnonzero(shapely.length(lines.geometry) <= 0)
    spots = [shapely.get_coordinates(lines.geometry[line])[:1].tolist() for line in empty]
    return [
        RunChange(
            "short-dropped", f"{_name(lines, int(line))} has no length; left out", tuple(spot[0])
        )
        for line, spot in zip(empty, spots, strict=True)
        if spot
    ]


def _gaps_closed(
    lines: Lines, strands: Strands, tolerance_mm: float
) -> tuple[Strands, list[RunChange]]:
    """Ends within the tolerance of each other moved to one point."""
    joined = strands.on_nodes(strands.nodes(tolerance_mm))
    place = joined.ends.reshape(-1, 2)
    moved = np.hypot(*(strands.ends.reshape(-1, 2) - place).T)
    told = [
        gap_closed(lines, int(strands.line[end // 2]), float(moved[end]), place[end])
        for end in np.flatnonzero(moved > TELLABLE_MM)
    ]
    return joined.take(joined.length_mm > 0), told


def gap_closed(lines: Lines, line: int, gap_mm: float, at_mm: NDArray[np.float64]) -> RunChange:
    """What to say about a gap that was closed."""
    return RunChange(
        "gap-closed",
        f"{_name(lines, line)} was {gap_mm:.2f} mm from another line; the gap is closed",
        (float(at_mm[0]), float(at_mm[1])),
    )


def _short_settled(
    lines: Lines, strands: Strands, group: NDArray[np.intp], shortest_mm: float
) -> tuple[Strands, list[RunChange]]:
    """Strands shorter than a stitch stay where they join others, and go where they stand alone."""
    length = strands.length_mm
    short = length < shortest_mm
    if not short.any():
        return strands, []
    apart = strands.nodes()
    apart = apart * (int(group.max()) + 1) + group[strands.line][:, None]
    degree = np.bincount(apart.reshape(-1))[apart]
    piece = components(int(apart.max()) + 1, apart)[apart[:, 0]]
    lonely = np.bincount(piece, weights=length)[piece] < shortest_mm
    spur = (degree.min(axis=1) == 1) & (degree.max(axis=1) > 2)
    dropped = short & (lonely | spur)
    told = [
        _short_told(lines, strands, int(strand), float(length[strand]), bool(dropped[strand]))
        for strand in np.flatnonzero(short)
    ]
    return strands.take(~dropped), told


def _short_told(
    lines: Lines, strands: Strands, strand: int, length_mm: float, dropped: bool
) -> RunChange:
    what = "it is left out" if dropped else "it is sewn on with the line that it joins"
    at = strands.coordinates[strands.start[strand]]
    return RunChange(
        "short-dropped" if dropped else "short-joined",
        f"a piece of {_name(lines, int(strands.line[strand]))} is {length_mm:.1f} mm long,"
        f" shorter than one stitch; {what}",
        (float(at[0]), float(at[1])),
    )
