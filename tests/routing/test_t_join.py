"""The T-join is the cheapest set of extra edges, by an independent matching and by textbooks."""

import itertools
from types import SimpleNamespace

import networkx as nx
import numpy as np
import pytest

from quiltpath.routing import PieceKind
from quiltpath.routing import t_join as closure
from quiltpath.routing.rural_postman import _cap_retracing
from quiltpath.routing.t_join import _NearTerminals, minimum_t_join, sparse_t_join


def random_graph(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A connected graph with parallel edges and a loop, and an even set of its nodes."""
    rng = np.random.default_rng(seed)
    nodes = int(rng.integers(4, 25))
    path = np.column_stack([np.arange(nodes - 1), np.arange(1, nodes)])
    more = rng.integers(0, nodes, (int(rng.integers(1, 3 * nodes)), 2))
    edges = np.concatenate([path, more])
    odd = rng.choice(nodes, 2 * int(rng.integers(1, nodes // 2 + 1)), replace=False)
    return edges, rng.uniform(1, 100, len(edges)), odd


def cost_by_networkx(edges: np.ndarray, weight: np.ndarray, odd: np.ndarray) -> float:
    """Edmonds' blossom on the metric closure of the odd nodes (Edmonds and Johnson 1973)."""
    graph = nx.Graph()
    for (u, v), cost in zip(edges.tolist(), weight.tolist(), strict=True):
        if u != v and cost < graph.get_edge_data(u, v, {"weight": np.inf})["weight"]:
            graph.add_edge(u, v, weight=cost)
    closure = nx.Graph()
    for u, v in itertools.combinations(odd.tolist(), 2):
        closure.add_edge(u, v, weight=nx.dijkstra_path_length(graph, u, v))
    pairs = nx.min_weight_matching(closure)
    return sum(closure.edges[pair]["weight"] for pair in pairs)


def must(odd: np.ndarray) -> np.ndarray:
    """No node may be left unjoined."""
    return np.full(len(odd), np.inf)


@pytest.mark.parametrize("looks", [0, closure.MOST_VISITS])
@pytest.mark.parametrize("seed", range(100))
def test_cost_equals_the_matching_of_networkx(
    seed: int, looks: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever library matches: the one for networks too wide to look at, or the other."""
    monkeypatch.setattr(closure, "MOST_VISITS", looks)
    edges, weight, odd = random_graph(seed)
    join = minimum_t_join(edges, weight, odd, must(odd))
    degree = np.bincount(edges[join].ravel(), minlength=edges.max() + 1)
    assert set(np.flatnonzero(degree % 2)) == set(odd), "exactly the chosen nodes are odd"
    rounding = len(edges) * 100 * 2.0**-22
    assert weight[join].sum() == pytest.approx(cost_by_networkx(edges, weight, odd), abs=rounding)


def test_a_ladder_of_streets_is_evened_out_by_its_rungs() -> None:
    """Chinese postman (Guan 1962) round a row of three square blocks, solved by hand: the four
    odd corners lie in two pairs of neighbours, so two streets are walked twice."""
    nodes = np.arange(8).reshape(2, 4)
    along = np.concatenate([np.column_stack([row[:-1], row[1:]]) for row in nodes])
    edges = np.concatenate([along, nodes.T])
    odd = np.flatnonzero(np.bincount(edges.ravel()) % 2)
    assert odd.tolist() == [1, 2, 5, 6]
    assert len(minimum_t_join(edges, np.ones(len(edges)), odd, must(odd))) == 2


def test_the_bridges_of_koenigsberg_need_two_crossed_again() -> None:
    """Euler 1741 (from memory): land areas A, B, C, D joined by seven bridges; all four are odd, so
    no walk crosses each once. With all bridges equal, two crossings more make it a round walk."""
    a, b, c, d = range(4)
    bridges = np.array([(a, b), (a, b), (a, c), (a, c), (a, d), (b, d), (c, d)])
    degree = np.bincount(bridges.ravel())
    assert degree.tolist() == [5, 3, 3, 3]
    assert len(minimum_t_join(bridges, np.ones(7), np.arange(4), np.full(4, np.inf))) == 2


def test_a_node_is_left_odd_where_leaving_is_cheaper() -> None:
    edges, weight = np.array([(0, 1), (2, 3)]), np.array([5.0, 50.0])
    join = minimum_t_join(edges, weight, np.arange(4), np.full(4, 10.0))
    assert join.tolist() == [0], "5 beats twice 10, and 50 does not"


def test_no_odd_nodes_need_no_edges() -> None:
    none = np.zeros(0, dtype=np.intp)
    assert len(minimum_t_join(np.array([(0, 1)]), np.ones(1), none, must(none))) == 0


@pytest.mark.parametrize("looks", [0, closure.MOST_VISITS])
def test_an_odd_number_in_one_piece_is_refused(looks: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(closure, "MOST_VISITS", looks)
    with pytest.raises(ValueError, match=r"perfect matching|joined to no other"):
        minimum_t_join(np.array([(0, 1), (2, 3)]), np.ones(2), np.array([0, 2]), np.full(2, np.inf))


@pytest.mark.parametrize("seed", range(60))
def test_the_sparse_way_costs_what_the_dense_one_costs(seed: int) -> None:
    """Random graphs with nodes that may be left, some that must be joined: both ways, same cost.

    The dense side is networkx's matching on all pairs, each node with a twin at its leaving cost.
    """
    rng = np.random.default_rng(seed)
    nodes = int(rng.integers(6, 16))
    edges = np.array([(u, v) for u in range(nodes) for v in range(u) if rng.random() < 0.4])
    if not len(edges):
        return
    weight = rng.integers(1, 50, len(edges)).astype(float)
    odd = np.sort(rng.choice(nodes, int(rng.integers(2, 7)), replace=False))
    dearest = (40, 40, 4000)[seed % 3]
    leave = np.where(rng.random(len(odd)) < 0.2, np.inf, rng.integers(1, dearest, len(odd)))
    graph = nx.Graph()
    for (u, v), w in zip(edges.tolist(), weight.tolist(), strict=True):
        graph.add_edge(u, v, weight=w)
    dense = nx.Graph()
    for i, u in enumerate(odd.tolist()):
        if np.isfinite(leave[i]):
            dense.add_edge(i, ("twin", i), weight=1e6 - leave[i])
        far = nx.single_source_dijkstra_path_length(graph, u) if u in graph else {}
        for j, v in enumerate(odd.tolist()[:i]):
            dense.add_edge(("twin", i), ("twin", j), weight=1e6)
            if v in far:
                dense.add_edge(i, j, weight=1e6 - far[v])
    matched = nx.max_weight_matching(dense, maxcardinality=True)
    touched = {node for pair in matched for node in pair}
    if not set(range(len(odd))) <= touched:
        with pytest.raises(ValueError):
            sparse_t_join(edges, weight, odd, leave)
        return
    cost = sum(1e6 - dense.edges[pair]["weight"] for pair in matched)
    join = sparse_t_join(edges, weight, odd, leave)
    assert join is not None
    degree = np.bincount(edges[join].reshape(-1), minlength=nodes) % 2
    left = degree[odd] == 0
    assert set(np.flatnonzero(degree)) <= set(odd.tolist())
    assert weight[join].sum() + leave[left].sum() == pytest.approx(cost)


def test_what_must_be_joined_is_joined_however_dear_it_is_to_leave_the_rest() -> None:
    """Three nodes in a row 1 apart, the first must be joined; leaving either other costs 1000.
    Joining those two would leave the first alone, so the middle one goes with it."""
    edges, weight = np.array([(0, 1), (1, 2)]), np.ones(2)
    leave = np.array([np.inf, 1000.0, 1000.0])
    join = sparse_t_join(edges, weight, np.arange(3), leave)
    assert join is not None and join.tolist() == [0]
    free = sparse_t_join(edges, weight, np.arange(2), np.array([np.inf, 0.0]))
    assert free is not None and free.tolist() == [0], "though leaving the other costs nothing"


def row(count: int, closed: bool = False) -> np.ndarray:
    """Nodes in a row, or in a ring, each joined to the next."""
    here = np.arange(count if closed else count - 1)
    return np.column_stack([here, (here + 1) % count])


@pytest.mark.parametrize(
    ("count", "closed", "looks"),
    [(4, False, 2 + 3 + 3 + 2), (16, True, 16 * 3), (64, True, 64 * 3)],
)
def test_a_network_that_is_too_wide_is_left_to_the_other_way(
    count: int, closed: bool, looks: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1 to the next node and 1 to leave one: each looks at itself and its neighbours, and no
    farther. Of 64 nodes, 16 are asked beforehand, with a quarter of the looks to spend."""
    edges, weight = row(count, closed), np.ones(count if closed else count - 1)
    odd, leave = np.arange(count), np.ones(count)
    monkeypatch.setattr(closure, "MOST_VISITS", looks)
    assert sparse_t_join(edges, weight, odd, leave) is None
    monkeypatch.setattr(closure, "MOST_VISITS", looks + 4)
    join = sparse_t_join(edges, weight, odd, leave)
    assert join is not None and len(join) == count // 2


@pytest.mark.parametrize("seed", range(12))
def test_each_node_looks_about_as_far_as_a_pair_could_pay(seed: int) -> None:
    """Against networkx's distances: all nodes of T nearer than the cost of leaving both, once
    each, the cost of the way there, and a path that costs as much."""
    rng = np.random.default_rng(seed)
    edges, weight, odd = random_graph(seed)
    weight = np.round(weight)
    leave = np.where(rng.random(len(odd)) < 0.2, np.inf, rng.integers(1, 60, len(odd)))
    leave[0] = 30.0
    graph = nx.Graph()
    graph.add_nodes_from(range(int(edges.max()) + 1))
    for (u, v), cost in zip(edges.tolist(), weight.tolist(), strict=True):
        if u != v and cost < graph.get_edge_data(u, v, {"weight": np.inf})["weight"]:
            graph.add_edge(u, v, weight=cost)
    web = _NearTerminals(edges, weight, odd, leave)
    widest = leave[np.isfinite(leave)].max()
    wanted = {}
    for one, node in enumerate(odd.tolist()):
        far = nx.single_source_dijkstra_path_length(graph, node)
        within = {at: cost for at, cost in far.items() if cost < leave[one] + widest}
        near, _, seen = web._about(one, 10_000)
        assert seen == len(within)
        assert sorted(near) == sorted(
            (two, within[at]) for two, at in enumerate(odd.tolist()) if two != one and at in within
        )
        for two in range(one + 1, len(odd)):
            if far[odd[two]] < leave[one] + leave[two]:
                wanted[one, two] = far[odd[two]]
    pairs = web.pairs()
    assert pairs is not None
    assert {tuple(sorted(pair[:2])) for pair in pairs} == set(wanted) and len(pairs) == len(wanted)
    for (one, two), cost in wanted.items():
        path = web.path(one, two)
        assert weight[path].sum() == cost
        degree = np.bincount(edges[path].reshape(-1), minlength=len(graph))
        assert np.flatnonzero(degree % 2).tolist() == sorted([odd[one], odd[two]])
        if np.isfinite(leave[[one, two]]).all():
            gain = leave[one] + leave[two] - cost
            assert any({one, two} == set(pair[:2]) and pair[2] == gain for pair in pairs)


@pytest.mark.parametrize("seed", range(30))
def test_both_ways_of_matching_cost_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the one gives up, the other library's matching does the whole job."""
    rng = np.random.default_rng(seed)
    edges, weight, odd = random_graph(seed)
    leave = np.where(np.arange(len(odd)) < 2, np.inf, rng.uniform(1, 60, len(odd)))
    cost = []
    for most in (closure.MOST_VISITS, 0):
        monkeypatch.setattr(closure, "MOST_VISITS", most)
        join = minimum_t_join(edges, weight, odd, leave)
        assert (np.diff(join) > 0).all()
        degree = np.bincount(edges[join].reshape(-1), minlength=edges.max() + 1)
        assert set(np.flatnonzero(degree % 2)) <= set(odd.tolist())
        left = degree[odd] % 2 == 0
        cost.append(weight[join].sum() + leave[left].sum())
    rounding = len(edges) * 100 * 2.0**-22
    assert cost[0] == pytest.approx(cost[1], abs=2 * rounding)


@pytest.mark.parametrize("looks", [0, closure.MOST_VISITS])
def test_the_cheapest_is_told_from_one_a_millionth_dearer(
    looks: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two ways from 0 to 1, over node 2 or over node 3; and edges that all cost nothing."""
    monkeypatch.setattr(closure, "MOST_VISITS", looks)
    edges = np.array([(0, 2), (2, 1), (0, 3), (3, 1), (0, 0), (1, 0)])
    weight = np.array([500_000.0, 500_001, 500_000, 500_000, 1, 1_000_002])
    odd = np.arange(2)
    assert minimum_t_join(edges, weight, odd, must(odd)).tolist() == [2, 3]
    for some in (odd, odd[::-1]):
        nothing = minimum_t_join(edges[-1:], np.zeros(1), some, must(some))
        assert nothing.tolist() == [0]


@pytest.mark.parametrize(
    ("cap", "kept"),
    [(100.0, [0, 1, 2, 3, 4]), (49.0, [1, 2, 3, 4]), (40.0, [1, 2, 3, 4]), (39.0, [1, 2])],
)
def test_stretches_of_retracing_longer_than_the_cap_are_left_out(
    cap: float, kept: list[int]
) -> None:
    """One of 50, one of 20 and 20 end to end, a way of 90 along the margin, which has no cap."""
    ways = SimpleNamespace(
        kind=np.array([PieceKind.RETRACE, PieceKind.MARGIN] + [PieceKind.RETRACE] * 3),
        length_mm=np.array([50.0, 90.0, 5.0, 20.0, 20.0]),
    )
    nodes = np.array([(0, 1), (1, 2), (7, 8), (3, 4), (4, 5)])
    found = _cap_retracing(
        SimpleNamespace(optional=ways, optional_node=nodes, nodes=9), np.arange(5), cap
    )
    assert found.tolist() == kept
    alone = SimpleNamespace(optional=ways, optional_node=nodes, nodes=9)
    assert _cap_retracing(alone, np.array([1]), 10.0).tolist() == [1]
