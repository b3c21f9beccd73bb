"""Stages joined: thread runs on from the end of one trail to the start of the next.

From block to block a quilter goes on over a sashing line that is sewn already, round a motif or in
the margin rather than cut the thread. The ways are shortest paths over the optional edges of the
whole drawing (Dijkstra, Numerische Mathematik 1, 1959): one search for each pair of trails that
follow one another. The first trail begins and the last one ends in the margin where the way there
costs less than a start or an end on the cloth.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.edges import Edges, concatenate_edges, offsets
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.junctions import node_retraceable
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.optional_edges import build_network
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.shortest_paths import LEAST_COST
from quiltpath.routing.stages import Workpiece

Nodes = list[int]


def link_trails(
    edges: Edges,
    trails: Trails,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    work: Workpiece,
    curves: NDArray[np.object_],
) -> tuple[Edges, Trails]:
    """The trails in their order, neighbours made one where a way between them beats a jump.

    ``retraceable`` (lines,). A closed trail begins where the way to it ends, and is left there.
    """
    ways = _ways(edges, retraceable, policy, work, curves)
    trail = np.split(trails.half, trails.start[1:-1])
    before: list[_Way | None] = []
    at = ways.margin
    for number, half in enumerate(trail):
        ring = bool(trails.closed[number])
        entries = ways.node[half].tolist() if ring else [int(ways.node[half[0]])]
        way = ways.between(at, entries, policy.jump_cost if number else policy.inside_cost)
        if number and way is not None and trails.closed[number - 1]:
            trail[number - 1] = _begun_at(way.first, trail[number - 1], ways.node)
        if way is not None and ring:
            trail[number] = _begun_at(way.last, half, ways.node)
        before.append(way)
        at = [int(ways.node[half[-1] ^ 1])]
        if ring:
            at = entries if way is None else [way.last]
    after = ways.between(at, ways.margin, policy.inside_cost)
    if after is not None and trails.closed[-1]:
        trail[-1] = _begun_at(after.first, trail[-1], ways.node)
    return _joined(edges, trail, trails.closed, ways.edges, [*before, after])


@dataclass(frozen=True)
class _Way:
    """A path over optional edges: its first and last node, and its half-edges."""

    first: int
    last: int
    half: Nodes


@dataclass(frozen=True)
class _Ways:
    """The optional edges as a graph.

    ``node`` (h,) where each half-edge of the trails begins; ``margin`` the nodes in the margin;
    ``half`` the half-edge that leads from one node to the other.
    """

    edges: Edges
    cost: NDArray[np.float64]
    node: NDArray[np.intp]
    margin: Nodes
    graph: Any
    half: dict[tuple[int, int], int]
    retrace_cap_mm: float

    def between(self, sources: Nodes, targets: Nodes, limit: float) -> _Way | None:
        """The cheapest way from any source to any target, if it costs less than ``limit``."""
        import rustworkx

        if not sources or not targets:
            return None
        same = sorted(set(sources) & set(targets))
        if same:
            return _Way(same[0], same[0], [])
        graph = self.graph
        begin, end = graph.add_node(None), graph.add_node(None)
        graph.add_edges_from([(begin, node, 0.0) for node in dict.fromkeys(sources)])
        graph.add_edges_from([(end, node, 0.0) for node in dict.fromkeys(targets)])
        found = rustworkx.dijkstra_shortest_paths(graph, begin, end, weight_fn=float)
        graph.remove_nodes_from([begin, end])
        if end not in found:
            return None
        path = list(found[end])[1:-1]
        half = [self.half[pair] for pair in pairwise(path)]
        edge = np.array(half, dtype=np.intp) // 2
        again = self.edges.length_mm[edge[self.edges.kind[edge] == PieceKind.RETRACE]].sum()
        if self.cost[edge].sum() >= limit or again > self.retrace_cap_mm:
            return None
        return _Way(path[0], path[-1], half)


def _ways(
    edges: Edges,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    work: Workpiece,
    curves: NDArray[np.object_],
) -> _Ways:
    """All optional edges of the drawing, as the trails have cut it."""
    import rustworkx

    lines = edges.take(edges.kind == PieceKind.LINE)
    lines = node_retraceable(lines, retraceable[lines.line] & policy.retrace, policy.tolerance_mm)
    net = build_network(
        lines,
        retraceable[lines.line],
        policy,
        work.finished,
        work.margin_mm,
        lines.take(np.zeros(0, dtype=np.intp)),
        work.field,
        curves,
    )
    optional, cost = net.optional.take(net.usable), net.cost[net.usable]
    node = nodes_of(np.concatenate([optional.ends.reshape(-1, 2), edges.ends.reshape(-1, 2)]))
    ends = node[: 2 * len(optional)].reshape(-1, 2)
    half: dict[tuple[int, int], int] = {}
    for edge in np.argsort(-cost, kind="stable").tolist():
        u, v = ends[edge].tolist()
        half[u, v], half[v, u] = 2 * edge, 2 * edge + 1
    graph = rustworkx.PyGraph()
    graph.add_nodes_from(range(int(node.max(initial=-1)) + 1))
    cheap = np.maximum(cost, LEAST_COST).tolist()
    graph.add_edges_from([(u, v, cheap[h // 2]) for (u, v), h in half.items() if h % 2 == 0])
    margin = np.unique(ends[optional.kind == PieceKind.MARGIN]).tolist()
    own = node[2 * len(optional) :]
    return _Ways(optional, cost, own, margin, graph, half, policy.retrace_cap_mm)


def _begun_at(node: int, half: NDArray[np.intp], start: NDArray[np.intp]) -> NDArray[np.intp]:
    """A closed trail turned so that it begins at a node of its own."""
    return np.roll(half, -int((start[half] == node).argmax()))


def _joined(
    edges: Edges,
    trail: list[NDArray[np.intp]],
    closed: NDArray[np.bool_],
    optional: Edges,
    ways: list[_Way | None],
) -> tuple[Edges, Trails]:
    """Trails with the ways before each of them and after the last one."""
    taken: list[int] = []
    runs: list[Nodes] = []
    rings: list[bool] = []

    def sewn(way: _Way | None) -> Nodes:
        half = way.half if way is not None else []
        first = len(edges) + len(taken)
        taken.extend(each // 2 for each in half)
        return [2 * (first + k) + each % 2 for k, each in enumerate(half)]

    for number, half in enumerate(trail):
        way = ways[number]
        lead = sewn(way)
        if number and way is not None:
            runs[-1] += lead + half.tolist()
            rings[-1] = False
        else:
            runs.append(lead + half.tolist())
            rings.append(bool(closed[number]) and not lead)
    tail = sewn(ways[-1])
    runs[-1] += tail
    rings[-1] = rings[-1] and not tail
    more = optional.take(np.array(taken, dtype=np.intp))
    both = concatenate_edges([edges, more])
    return both.on_nodes(both.nodes()), Trails(
        np.array([each for run in runs for each in run], dtype=np.intp),
        offsets(np.array([len(run) for run in runs])),
        np.array(rings),
    )
