"""Parallel lines from the centre outwards, so that fullness is worked to the edge, never trapped.

Common practice: parallel lines begin at the centre line; one half is sewn, the piece turned, and
the other half sewn. One direction in each half avoids drag; there and back is faster. Sorting only:
O(r log r) for r runs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

STRAIGHT = 0.6
"""a run whose ends are at least this share of its length apart counts as a line with a direction"""
SAME_ROW_MM = 0.5
SAME_ANGLE_DEG = 1.0
BENT = (0.95, 0.998)
"""lines bend gently where the ends of half of them are such a share of their length apart"""
STREAM, STREAM_DEG = 0.8, 15.0
"""gently bent lines run beside each other where this share of them leans no more than this"""


def centre_outwards(
    ends: NDArray[np.float64],
    closed: NDArray[np.bool_],
    middle: NDArray[np.float64],
    length: NDArray[np.float64],
    layer: NDArray[np.int32],
    centre: NDArray[np.float64],
    onward: NDArray[np.float64],
    one_way: bool,
    flip: bool = False,
) -> NDArray[np.intp]:
    """(r,) runs in order, ``2 * run`` forwards and ``2 * run + 1`` backwards.

    Layer by layer; in a layer, parallel lines family by family, then rings and wandering lines. In
    each family one side of the centre is sewn from the centre line outwards, then the other side.
    ``onward`` points from the start corner to the centre: the first half is sewn that way, the
    second half the opposite way, as the piece is turned. Without ``one_way`` rows alternate, the
    first against that direction where ``flip`` is given.
    Wandering lines and rings go outwards along the runner's length.
    """
    chord = ends[:, 1] - ends[:, 0]
    straight = is_straight(ends, closed, length)
    family = families(ends, straight, length)
    angle = _angles(ends)
    normal, along = _axes(family, angle, length, straight, onward)
    off = ((middle - centre) * normal).sum(axis=1)
    off = np.where(np.abs(off) < SAME_ROW_MM, 0.0, off)
    side = (off < 0).astype(np.intp)
    row = _rows(layer, family, side, np.abs(off))
    back = _backwards(row, side, layer, family, one_way) ^ flip
    place = (middle * along).sum(axis=1)
    order = np.lexsort((np.where(back, -place, place), row))
    against = (chord * along).sum(axis=1) < 0
    turned = straight & (against != back)
    return 2 * order + turned[order]


def is_straight(
    ends: NDArray[np.float64], closed: NDArray[np.bool_], length: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """(r,) which runs count as lines with a direction; ``length`` (r,) mm."""
    span = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    return ~closed & (span >= STRAIGHT * length)


def _angles(ends: NDArray[np.float64]) -> NDArray[np.float64]:
    chord = ends[:, 1] - ends[:, 0]
    return np.degrees(np.arctan2(chord[:, 1], chord[:, 0])) % 180.0


def families(
    ends: NDArray[np.float64],
    straight: NDArray[np.bool_],
    length: NDArray[np.float64] | None = None,
) -> NDArray[np.intp]:
    """(r,) number of each run's set of parallels, in the order of their angles; the rest last.

    With ``length`` (r,), mm, gently bent lines are known, which need not be so parallel.
    """
    angle = _angles(ends)
    family = np.full(len(angle), len(angle), dtype=np.intp)
    chosen = np.flatnonzero(straight)
    if length is not None and len(chosen):
        angle[chosen] = _as_one_stream(angle[chosen], ends[chosen], length[chosen])
    turned = np.where(
        angle[chosen] > 180.0 - SAME_ANGLE_DEG / 2, angle[chosen] - 180.0, angle[chosen]
    )
    order = np.argsort(turned, kind="stable")
    breaks = np.diff(turned[order], prepend=turned[order[:1]]) > SAME_ANGLE_DEG
    family[chosen[order]] = np.cumsum(breaks)
    return family


def _as_one_stream(
    angle: NDArray[np.float64], ends: NDArray[np.float64], length: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The angles, those near that of the longest run like it where nearly all bend along with it.

    So what a motif leaves of a line is sewn with the line that it belongs beside.
    """
    bent = np.median(np.hypot(*(ends[:, 1] - ends[:, 0]).T) / length)
    lead = angle[np.round(length, 3).argmax()]
    near = np.abs((angle - lead + 90.0) % 180.0 - 90.0) <= STREAM_DEG
    if not BENT[0] <= bent <= BENT[1] or length[near].sum() < STREAM * length.sum():
        return angle
    return np.where(near, lead, angle)


def _axes(
    family: NDArray[np.intp],
    angle: NDArray[np.float64],
    length: NDArray[np.float64],
    straight: NDArray[np.bool_],
    onward: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(r, 2) unit vectors across and along each run's family, the latter leading ``onward``.

    Its longest run says which way a family runs.
    """
    by_length = np.argsort(-np.round(length, 3), kind="stable")
    numbers, first = np.unique(family[by_length], return_index=True)
    lead = np.radians(angle[by_length[first]])[np.searchsorted(numbers, family)]
    along = np.column_stack([np.cos(lead), np.sin(lead)])
    against = (along * onward).sum(axis=1) < 0
    along = np.where(against[:, None], -along, along)
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    wandering = ~straight
    normal[wandering], along[wandering] = (1.0, 0.0), (0.0, 1.0)
    return normal, along


def _rows(
    layer: NDArray[np.int32],
    family: NDArray[np.intp],
    side: NDArray[np.intp],
    off: NDArray[np.float64],
) -> NDArray[np.intp]:
    """Number of the row of each run: what lies at one distance on one side is one row."""
    order = np.lexsort((off, side, family, layer))
    keys = np.column_stack([layer, family, side])[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(keys, axis=0) != 0).any(axis=1) | (np.diff(off[order]) > SAME_ROW_MM)
    row = np.empty(len(order), dtype=np.intp)
    row[order] = np.cumsum(new)
    return row


def _backwards(
    row: NDArray[np.intp],
    side: NDArray[np.intp],
    layer: NDArray[np.int32],
    family: NDArray[np.intp],
    one_way: bool,
) -> NDArray[np.bool_]:
    """Whether each run's row is sewn against its family's direction."""
    if one_way:
        return side == 1
    order = np.lexsort((row, family, layer))
    keys = np.column_stack([layer, family])[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(keys, axis=0) != 0).any(axis=1)
    first = row[order][new][np.cumsum(new) - 1]
    back = np.empty(len(row), dtype=bool)
    back[order] = (row[order] - first) % 2 == 1
    return back
