"""Region by region: a block, strip or border is finished before the next is begun.

Common practice with a walking foot: what holds the layers first, then one part of the quilt after
the other from the middle outwards, so that fullness is worked to the edge; one half, then the
other, so that the bulk is turned once. Within a region its outlines come before its fill, and both
go from its own centre outwards. What belongs to no region alone is sewn by the same rule with the
runner as one region, before the regions where it is an outline, after them where it is fill.

The rule leaves free from which side each set of parallel lines is begun. The sides with the least
carrying are a shortest path through layers (dynamic programming, Bellman 1957); time grows with the
number of runs, and of small sets with their square.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats, distinct, rounded_bytes
from quiltpath.routing.centre_outwards import centre_outwards, families, is_straight
from quiltpath.routing.local_search import shortest_tour
from quiltpath.routing.solved_stages import SolvedStages
from quiltpath.routing.trail_table import WHOLE, TrailTable

SAME_COLUMN_MM = 25.0
CONCENTRIC = 0.25
"""Rings have one middle where it differs by less than this share of the largest one's size."""
TURNS_APART_DEG = 40.0
"""Wandering lines this far apart, as seen from the centre, are sewn one group after the other."""

Order = NDArray[np.intp]


def centres_in_order(regions: Sequence[Polygon], centre: Floats, onward: Floats) -> list[int]:
    """The regions from the runner's middle outwards: one half, then the other.

    ``onward`` points to the half that comes first. Of regions beside each other across the runner
    that in the middle comes first; which side follows changes from one column to the next.
    """
    length = 0 if abs(onward[0]) >= abs(onward[1]) else 1
    middle = np.array([shape.centroid.coords[0] for shape in regions]).reshape(-1, 2) - centre
    along = middle[:, length] * np.sign(onward[length] or 1.0)
    along = np.where(np.abs(along) < SAME_COLUMN_MM, 0.0, along)
    order: list[int] = []
    for half in (along >= 0, along < 0):
        mine = np.flatnonzero(half)
        mine = mine[np.argsort(np.abs(along[mine]), kind="stable")]
        new = np.diff(np.abs(along[mine]), prepend=-np.inf) > SAME_COLUMN_MM
        for number, column in enumerate(np.split(mine, np.flatnonzero(new)[1:])):
            across = middle[column, 1 - length] * (-1) ** number
            away = np.round(np.abs(across) / SAME_COLUMN_MM)
            order += column[np.lexsort((across, away))].tolist()
    return order


def centre_of(finished: Polygon) -> Floats:
    """The middle of the runner."""
    low_x, low_y, high_x, high_y = finished.bounds
    return np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])


def region_orders(
    rule: str, regions: Sequence[Polygon], centre: Floats, onward: Floats
) -> list[list[int]]:
    """The orders of the regions that a policy's ``rule`` allows, that from the start corner first.

    From one end to the other they may also be sewn the other way round.
    """
    if rule == "centre-outwards":
        return [centres_in_order(regions, centre, onward)]
    if rule == "mixed" or not len(regions):
        return [[]]
    length = 0 if abs(onward[0]) >= abs(onward[1]) else 1
    middle = np.array([shape.centroid.coords[0] for shape in regions])
    along = middle[:, length] * np.sign(onward[length] or 1.0)
    first = np.argsort(along, kind="stable")
    new = np.diff(along[first], prepend=-np.inf) > SAME_COLUMN_MM
    order: list[int] = []
    for number, column in enumerate(np.split(first, np.flatnonzero(new)[1:])):
        across = middle[column, 1 - length] * (-1) ** number
        order += column[np.argsort(across, kind="stable")].tolist()
    return [order, order[::-1]]


def order_by_region(
    table: TrailTable,
    regions: Sequence[Polygon],
    rule: str,
    centre: Floats,
    onward: Floats,
    begin: Floats,
    one_way: tuple[bool, bool],
    solved: SolvedStages,
) -> Order:
    """(t,) trails in order, ``2 * trail`` forwards and ``2 * trail + 1`` backwards.

    ``rule`` says in which order regions are finished. ``centre`` of the runner, ``onward`` the
    direction of its first half, ``begin`` where the needle is; ``one_way`` over the runner and
    within a region. Where trails lie alike in several regions they are ordered alike.
    """
    found = []
    rules = onward.tobytes(), repr(one_way).encode()
    for order in region_orders(rule, regions, centre, onward):
        sets: list[list[Order]] = []
        for mine in stages_in_order(table, order):
            region = int(table.region[mine[0]])
            alone = region != WHOLE
            middle = np.array(regions[region].centroid.coords[0]) if alone else centre
            for layer in distinct(table.layer[mine]):
                chosen = mine[table.layer[mine] == layer]
                these = table.take(chosen)
                orders = solved.orders(
                    (*rules, bytes([alone]), _signature(these, middle)),
                    b"".join(each.tobytes() for each in (these.ends, these.middle, middle)),
                    partial(_sets, these, middle, onward, one_way[alone], alone),
                )
                sets += [[2 * chosen[each >> 1] + (each & 1) for each in one] for one in orders]
        found.append(least_carrying(table.ends, sets, begin))
    return min(found, key=lambda each: each[1])[0]


def stages_in_order(table: TrailTable, order: list[int]) -> list[NDArray[np.intp]]:
    """The trails of each stage: hold and outlines of all, each region role by role, fill of all."""
    roles = distinct(table.role).tolist()
    fill = max(roles, default=0)
    stages = [(WHOLE, role) for role in roles if role != fill]
    stages += [(region, role) for region in order for role in roles]
    stages.append((WHOLE, fill))
    found = [
        np.flatnonzero((table.region == region) & (table.role == role)) for region, role in stages
    ]
    return [mine for mine in found if len(mine)]


def _signature(table: TrailTable, centre: Floats) -> bytes:
    """The same for trails that lie alike about their ``centre``, and only for those."""
    known = (table.ends - centre, table.middle - centre, table.length)
    return b"".join([*map(rounded_bytes, known), table.closed.tobytes()])


def _sets(
    table: TrailTable, centre: Floats, onward: Floats, one_way: bool, free: bool
) -> list[list[Order]]:
    """Sets of trails that are sewn one after the other, each with the orders it may be sewn in."""
    every = np.arange(len(table.length))
    if not free:
        return [[_parallel(table, every, centre, onward, one_way, False)]]
    straight = is_straight(table.ends, table.closed, table.length)
    family = families(table.ends, straight)
    found = []
    for number in distinct(family[straight]):
        rows = every[straight & (family == number)]
        found.append(
            [
                _parallel(table, rows, centre, way, one_way, flip)
                for way in (onward, -onward)
                for flip in (False, True)
            ]
        )
    rest = every[~straight]
    if len(rest):
        outwards = _outwards(table, rest, centre)
        found.append([outwards, _turn(table, outwards)])
    return found


def _parallel(
    table: TrailTable, rows: Order, centre: Floats, onward: Floats, one_way: bool, flip: bool
) -> Order:
    order = centre_outwards(
        table.ends[rows],
        table.closed[rows],
        table.middle[rows],
        table.length[rows],
        table.layer[rows],
        centre,
        onward,
        one_way,
        flip,
    )
    return 2 * rows[order >> 1] + (order & 1)


def _outwards(table: TrailTable, rest: Order, centre: Floats) -> Order:
    """Rings and wandering lines: closed ones first, then open ones, both outwards.

    Rings about one middle go by their size. Open lines that lie in several directions from the
    centre, as echoes cut by a block's corners do, are sewn direction by direction. What is
    scattered over the region is sewn in the order of least carrying, begun nearest the centre.
    """
    closed = table.closed[rest]
    found = [_scattered(table, rest[closed], centre)] if closed.any() else []
    if not closed.all():
        found.append(_in_sectors(table, rest[~closed], centre))
    return np.concatenate(found)


def _scattered(table: TrailTable, mine: Order, centre: Floats) -> Order:
    middle, length = table.middle[mine], table.length[mine]
    apart = np.hypot(*(middle - middle.mean(axis=0)).T).max()
    if table.closed[mine].all() and apart <= CONCENTRIC * length.max() / np.pi:
        return 2 * mine[np.argsort(length, kind="stable")]
    ends = np.where(table.closed[mine][:, None, None], middle[:, None], table.ends[mine])
    tour = np.array(shortest_tour(ends), dtype=np.intp)
    away = np.hypot(*(middle[tour[[0, -1]] >> 1] - centre).T)
    if away[1] < away[0]:
        tour = tour[::-1] ^ 1
    return 2 * mine[tour >> 1] + (tour & 1)


def _in_sectors(table: TrailTable, mine: Order, centre: Floats) -> Order:
    off = table.middle[mine] - centre
    group = _sectors(np.degrees(np.arctan2(off[:, 1], off[:, 0])))
    if group.max() == 0:
        return _scattered(table, mine, centre)
    return 2 * mine[np.lexsort((np.hypot(*off.T), group))]


def _sectors(turn: Floats) -> NDArray[np.intp]:
    """Groups of directions that lie together, numbered once round."""
    order = np.argsort(turn, kind="stable")
    gap = np.diff(turn[order], append=turn[order[0]] + 360.0)
    widest = int(gap.argmax())
    order = np.roll(order, -widest - 1)
    gap = np.roll(gap, -widest - 1)
    group = np.empty(len(turn), dtype=np.intp)
    group[order] = np.concatenate([[0], np.cumsum(gap[:-1] > TURNS_APART_DEG)])
    return group


def _turn(table: TrailTable, order: Order) -> Order:
    """The same trails, each begun at the end that is nearer to the end of the one before."""
    ends = table.ends.reshape(-1, 2)
    turned = [int(order[0]) ^ 1]
    for entry in order[1:].tolist():
        here = ends[turned[-1] ^ 1]
        nearer = np.hypot(*(ends[[entry, entry ^ 1]] - here).T).argmin()
        turned.append(entry ^ int(nearer))
    return np.array(turned, dtype=np.intp)


def least_carrying(ends: Floats, sets: list[list[Order]], begin: Floats) -> tuple[Order, float]:
    """One order of each set, so that the way from run to run is shortest in all, and that way.

    The way from ``begin`` counts a thousandth: a tie-break, no more.
    """
    spots = ends.reshape(-1, 2)
    sets = [orders for orders in sets if len(orders[0])]
    if not sets:
        return np.zeros(0, dtype=np.intp), 0.0
    first = np.array([[spots[order[0]] for order in orders] for orders in sets[:1]])[0]
    cost = np.hypot(*(first - begin).T) * 1e-3 + _within(spots, sets[0])
    came = []
    for orders, following in pairwise(sets):
        out = np.array([spots[order[-1] ^ 1] for order in orders])
        into = np.array([spots[order[0]] for order in following])
        total = cost[:, None] + np.hypot(*np.moveaxis(out[:, None] - into[None], 2, 0))
        came.append(total.argmin(axis=0))
        cost = total.min(axis=0) + _within(spots, following)
    chosen = [int(cost.argmin())]
    for back in reversed(came):
        chosen.append(int(back[chosen[-1]]))
    order = [orders[which] for orders, which in zip(sets, reversed(chosen), strict=True)]
    return np.concatenate(order), float(cost.min())


def _within(spots: Floats, orders: list[Order]) -> Floats:
    """Carrying inside each of the orders of one set."""
    return np.array(
        [float(np.hypot(*(spots[order[1:]] - spots[order[:-1] ^ 1]).T).sum()) for order in orders]
    )
