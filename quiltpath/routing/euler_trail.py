"""Euler trails that sew every edge once, straight on at junctions: Hierholzer's algorithm.

A connected graph with 2k odd nodes is covered by k trails and by no fewer (Euler, Commentarii
academiae scientiarum Petropolitanae 8, 1741; k trails: Listing, 1847); with none, by one circuit.
Hierholzer (Mathematische Annalen 6, 1873): join ends at each node at will, then splice circuits
into trails where they meet. The joined pairs of half-edges at a node are its transitions; taking
the straightest first keeps a line a line, and where trails are spliced the transitions that turn
least are exchanged. Time and memory grow with the number of edges, but for sorting.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.nodes import connected_components

NONE = -1


@dataclass(frozen=True)
class Trails:
    """Trails as half-edges: edge ``h // 2`` sewn forwards where ``h`` is even.

    ``half``   (h,) half-edges in sewing order
    ``start``  (t + 1,) offsets of the trails into ``half``
    ``closed`` (t,) whether the trail comes back to its first node
    """

    half: NDArray[np.intp]
    start: NDArray[np.intp]
    closed: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.closed)


def euler_trails(node: NDArray[np.intp], headings: NDArray[np.float64]) -> Trails:
    """The fewest trails over all edges.

    ``node`` (s, 2) nodes at the edges' first and last points; ``headings`` (s, 2, 2) unit vectors
    that point into the edge there. Half-edge ``2 s`` starts at ``node[s, 0]``, half-edge
    ``2 s + 1`` at ``node[s, 1]``.
    """
    at = node.reshape(-1)
    transition = straight_transitions(at, headings.reshape(-1, 2))
    transition = _splice_circuits(transition, at, headings.reshape(-1, 2))
    return _follow_transitions(transition)


def straight_transitions(at: NDArray[np.intp], heading: NDArray[np.float64]) -> NDArray[np.intp]:
    """(h,) the half-edge at the same node that each one is joined to, -1 for an odd one out.

    At each node the two straightest ends are joined, then the two straightest of the rest.
    """
    transition = np.full(len(at), NONE, dtype=np.intp)
    order = np.argsort(at, kind="stable")
    first = np.flatnonzero(np.diff(at[order], prepend=NONE))
    degree = np.diff(first, append=len(at))
    for size in distinct(degree):
        members = order[first[degree == size][:, None] + np.arange(size)]
        _pair_rows(members, heading, transition)
    return transition


def _pair_rows(
    members: NDArray[np.intp], heading: NDArray[np.float64], transition: NDArray[np.intp]
) -> None:
    """Fill ``transition`` for (k, d) half-edges that meet d to a node."""
    rows, size = members.shape
    left, right = np.triu_indices(size, 1)
    straight = -(heading[members[:, left]] * heading[members[:, right]]).sum(axis=2)
    straight = np.round(straight, 9)
    each = np.arange(rows)
    for _ in range(size // 2):
        best = straight.argmax(axis=1)
        a, b = left[best], right[best]
        transition[members[each, a]], transition[members[each, b]] = (
            members[each, b],
            members[each, a],
        )
        taken = (left == a[:, None]) | (right == a[:, None])
        taken |= (left == b[:, None]) | (right == b[:, None])
        straight[taken] = -np.inf


def _splice_circuits(
    transition: NDArray[np.intp], at: NDArray[np.intp], heading: NDArray[np.float64]
) -> NDArray[np.intp]:
    """Mates after every closed trail is taken into a trail that it meets."""
    edges = len(at) // 2
    joined = np.flatnonzero(transition > np.arange(len(transition)))
    links = np.column_stack([joined // 2, transition[joined] // 2])
    label = connected_components(edges, links)
    open_label = np.zeros(edges, dtype=bool)
    open_label[label[np.flatnonzero(transition == NONE) // 2]] = True
    if open_label[label].all():
        return transition
    sets = _UnionFind(label, open_label)
    transitions: list[int] = transition.tolist()
    for group in _meeting_groups(at, label, open_label):
        _splice_at(group, transitions, sets, heading)
    return np.array(transitions, dtype=np.intp)


class _UnionFind:
    """Trails that were spliced, and whether each is open (Tarjan, Journal of the ACM 22, 1975).

    Splices are chosen one by one by how the thread turns, so that no spanning tree does; and no
    library that is loaded in any case offers these sets.
    """

    def __init__(self, label: NDArray[np.intp], is_open: NDArray[np.bool_]) -> None:
        self.parent: list[int] = label.tolist()
        self.open: list[bool] = is_open.tolist()

    def root(self, edge: int) -> int:
        parent = self.parent
        while parent[edge] != edge:
            parent[edge] = parent[parent[edge]]
            edge = parent[edge]
        return edge

    def mergeable(self, one: int, two: int) -> bool:
        one, two = self.root(one), self.root(two)
        return one != two and not (self.open[one] and self.open[two])

    def merge(self, one: int, two: int) -> None:
        one, two = sorted((self.root(one), self.root(two)))
        self.parent[two] = one
        self.open[one] = self.open[one] or self.open[two]


def _meeting_groups(
    at: NDArray[np.intp], label: NDArray[np.intp], is_open: NDArray[np.bool_]
) -> Iterable[list[int]]:
    """Half-edges by node, for nodes where a closed trail meets another."""
    own = np.repeat(label, 2)
    order = np.argsort(at, kind="stable")
    node, trail = at[order], own[order]
    first = np.flatnonzero(np.diff(node, prepend=NONE))
    last = np.append(first[1:], len(node))
    mixed = np.minimum.reduceat(trail, first) != np.maximum.reduceat(trail, first)
    closed = np.logical_or.reduceat(~is_open[trail], first)
    for low, high in zip(first[mixed & closed], last[mixed & closed], strict=True):
        yield order[low:high].tolist()


def _splice_at(
    group: list[int], transitions: list[int], sets: _UnionFind, heading: NDArray[np.float64]
) -> None:
    """Exchange transitions at one node until no closed trail there is apart from another."""
    while True:
        joints = [
            (h, transitions[h]) for h in group if transitions[h] == NONE or h < transitions[h]
        ]
        swaps = [
            swap
            for index, one in enumerate(joints)
            for two in joints[index + 1 :]
            if sets.mergeable(one[0] // 2, two[0] // 2)
            for swap in ((one, two), (one, two[::-1]))
        ]
        if not swaps:
            return
        one, two = min(swaps, key=lambda swap: _turning(swap, heading))
        sets.merge(one[0] // 2, max(two) // 2)
        for a, b in ((one[0], two[0]), (one[1], two[1])):
            if a != NONE:
                transitions[a] = b
            if b != NONE:
                transitions[b] = a


def _turning(swap: tuple[tuple[int, int], tuple[int, int]], heading: NDArray[np.float64]) -> float:
    """How far from straight the two new joints are, 0 to 4."""
    (a, b), (c, d) = swap
    bends = [
        1.0 + float(heading[one] @ heading[two])
        for one, two in ((a, c), (b, d))
        if NONE not in (one, two)
    ]
    return round(sum(bends), 9)


def _follow_transitions(transition: NDArray[np.intp]) -> Trails:
    """Follow the transitions from every open end, then round what is closed."""
    transitions: list[int] = transition.tolist()
    done = bytearray(len(transitions) // 2)
    half: list[int] = []
    start, closed = [0], []
    open_ends = np.flatnonzero(transition == NONE).tolist()
    for begin in (*open_ends, *range(0, len(transitions), 2)):
        if done[begin // 2]:
            continue
        at = begin
        while at != NONE and not done[at // 2]:
            done[at // 2] = True
            half.append(at)
            at = transitions[at ^ 1]
        closed.append(at != NONE)
        start.append(len(half))
    return Trails(
        np.array(half, dtype=np.intp), np.array(start, dtype=np.intp), np.array(closed, dtype=bool)
    )
