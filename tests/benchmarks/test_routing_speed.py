"""How long routing takes, beside yardsticks measured in the same run.

    python -m pytest tests/benchmarks/test_routing_speed.py --benchmark-only -s

Each benchmark prints its time as a share of a yardstick: networkx's Euler trail and shortest paths,
or clipping the same lines with shapely. Nothing here asserts a time.
Goal: 20,000 separate lines in 25 times finding the ends that meet.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import networkx as nx
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, route
from quiltpath.routing.edges import edges_of_lines
from quiltpath.routing.euler_trail import euler_trails
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.t_join import minimum_t_join

INCH = 25.4
SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/*.toml"))


def seconds(work: Callable[[], Any]) -> float:
    """Least of three timings."""
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def tell(benchmark: Any, name: str, yardstick: str, yardstick_s: float) -> None:
    """Print the ratio, and keep it in the benchmark's own record."""
    if benchmark.stats is None:
        return
    took = benchmark.stats.stats.min
    benchmark.extra_info["yardstick"] = yardstick
    benchmark.extra_info["ratio"] = took / yardstick_s
    print(f"\n{name}: {took:.4f} s, {took / yardstick_s:.2f} x {yardstick} ({yardstick_s:.4f} s)")


def lattice(side: int) -> tuple[np.ndarray, np.ndarray]:
    """Unit streets of a square town of ``side`` x ``side`` blocks: nodes' places and edges."""
    node = np.arange((side + 1) ** 2).reshape(side + 1, side + 1)
    along = np.column_stack([node[:, :-1].ravel(), node[:, 1:].ravel()])
    across = np.column_stack([node[:-1].ravel(), node[1:].ravel()])
    x, y = np.meshgrid(np.arange(side + 1.0), np.arange(side + 1.0))
    return np.column_stack([x.ravel(), y.ravel()]) * 10, np.concatenate([along, across])


def wide_quilt(spacing: float, crossed: bool) -> tuple[Lines, Polygon]:
    """110 x 110 in of lines kept clear of 49 round motifs, and the motifs' outlines."""
    size = 110 * INCH
    middles = (np.arange(7) + 0.5) * size / 7
    rounds = [Point(x, y).buffer(76, quad_segs=16) for x in middles for y in middles]
    at = np.arange(1, round(size / spacing)) * spacing
    rows = [LineString([(-12, y), (size + 12, y)]) for y in at]
    columns = [LineString([(x, -12), (x, size + 12)]) for x in at] if crossed else []
    clear = shapely.union_all([shape.buffer(6) for shape in rounds])
    fill = shapely.get_parts(shapely.difference(np.array([*rows, *columns]), clear))
    outlines = [LineString(shape.exterior.coords) for shape in rounds]
    return join(
        [
            layer_lines(outlines, name="round", role=LineRole.OUTLINE, retraceable=True),
            layer_lines(fill, name="fill"),
        ]
    ), box(0, 0, size, size)


@pytest.mark.parametrize("side", [50, 100, 200])
def test_t_join_and_euler_trail_of_a_lattice(benchmark: Any, side: int) -> None:
    """Evening out all odd corners and walking every street: 80,400 edges at 200 blocks a side."""
    places, edges = lattice(side)
    weight = np.random.default_rng(side).uniform(9, 11, len(edges))

    def work() -> Any:
        odd = np.flatnonzero(np.bincount(edges.ravel()) % 2)
        leave = np.full(len(odd), np.inf)
        sewn = np.concatenate([edges, edges[minimum_t_join(edges, weight, odd, leave)]])
        out = places[sewn[:, ::-1]] - places[sewn]
        return euler_trails(sewn, out / np.hypot(out[..., 0], out[..., 1])[..., None])

    found = benchmark.pedantic(work, rounds=3, warmup_rounds=1)
    assert len(found) == 1
    assert found.closed.all()
    graph = nx.MultiGraph(edges.tolist())
    odd = [node for node, degree in graph.degree if degree % 2]
    graph.add_edges_from(zip(odd[::2], odd[1::2], strict=True))
    yardstick = seconds(lambda: list(nx.eulerian_circuit(graph)))
    tell(benchmark, f"lattice {side}", "networkx's Euler circuit alone", yardstick)


@pytest.mark.parametrize("name", POLICIES)
def test_lines_clipped_by_round_motifs(benchmark: Any, name: str) -> None:
    """440 lines, 1/4 in apart, kept clear of 49 round motifs: about 1,500 pieces."""
    lines, finished = wide_quilt(INCH / 4, crossed=False)
    runs = benchmark.pedantic(
        route, (lines, POLICIES[name], finished, 75.0), rounds=3, warmup_rounds=1
    )
    assert len(runs) >= runs.runs_lower_bound
    tell(benchmark, f"{len(lines)} lines, {name}", "clipping them", clipping(lines))


@pytest.mark.parametrize("name", POLICIES)
def test_crossed_lines_at_half_the_spacing(benchmark: Any, name: str) -> None:
    """1,760 lines that cross each other more than 700,000 times, kept clear of the motifs."""
    lines, finished = wide_quilt(INCH / 8, crossed=True)
    runs = benchmark.pedantic(route, (lines, POLICIES[name], finished, 75.0), rounds=1)
    assert len(runs) >= runs.runs_lower_bound
    tell(benchmark, f"{len(lines)} lines, {name}", "clipping them", clipping(lines))


def clipping(lines: Lines) -> float:
    """Seconds for the one difference that a drawing of these lines needs at least."""
    rounds = shapely.union_all([Polygon(ring.coords) for ring in lines.geometry[:49]])
    return seconds(lambda: shapely.difference(lines.geometry[49:], rounds))


@pytest.mark.parametrize("count", [1000, 5000, 20_000])
def test_separate_lines(benchmark: Any, count: int) -> None:
    """Short lines that touch nothing, in the order of least travel: growth with their number."""
    rng = np.random.default_rng(count)
    size = 40.0 * np.sqrt(count)
    first = rng.uniform(0, size, (count, 2))
    ends = np.stack([first, first + rng.uniform(3, 9, (count, 2))], axis=1)
    lines = layer_lines(list(shapely.linestrings(ends)), name="dash")
    finished = box(0, 0, size, size)
    runs = benchmark.pedantic(route, (lines, Policy(), finished, 0.0), rounds=1, warmup_rounds=1)
    assert runs.runs_lower_bound <= len(runs) <= count
    edges = edges_of_lines(lines.geometry)
    tree = seconds(lambda: nodes_of(edges.ends.reshape(-1, 2), 0.2))
    tell(benchmark, f"{count} separate lines", "finding the ends that meet", tree)


@pytest.mark.parametrize("name", POLICIES)
@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.parent.name)
def test_samples(benchmark: Any, sample: Path, name: str) -> None:
    """The samples under each policy: runs, bound, trims, travel and turns, for the record."""
    from quiltpath.patterns import draw
    from quiltpath.project import load
    from quiltpath.runner import build

    project = load(sample)
    runner = build(project)
    lines = draw(runner, project.quilting)
    policy = POLICIES[name]
    runs = benchmark.pedantic(
        route, (lines, policy, runner.outline, runner.margin_mm), rounds=3, warmup_rounds=1
    )
    assert len(runs) >= runs.runs_lower_bound
    print(
        f"\n| {sample.parent.name} | {name} | {len(lines)} | {len(runs)} | {runs.runs_lower_bound}"
        f" | {max(len(runs) - 1, 0)} | {runs.travel_mm / 1000:.2f} | {runs.turns}"
        f" | {runs.kind_length_mm(PieceKind.RETRACE) / 1000:.2f}"
        f" | {runs.kind_length_mm(PieceKind.MARGIN) / 1000:.2f} |"
    )
    drawing = seconds(lambda: draw(runner, project.quilting))
    tell(benchmark, f"{sample.parent.name}, {name}", "drawing the lines", drawing)
