"""Stages that are alike are solved once: the same trails as when each is searched for by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, SolvedStages, route
from quiltpath.routing.edges import edges_of_lines
from quiltpath.routing.rural_postman import TrailCover, solve_rural_postman
from quiltpath.routing.solved_stages import StageProblem
from quiltpath.routing.stages import Workpiece, assign_stages, cover_stages

BLOCK_MM = 25.4 * 10 / 3
ACROSS, ALONG = 3, 5
CLOTH = box(0, 0, ALONG * BLOCK_MM, ACROSS * BLOCK_MM)
BLOCKS = [
    translate(box(0, 0, BLOCK_MM, BLOCK_MM), x * BLOCK_MM, y * BLOCK_MM)
    for x in range(ALONG)
    for y in range(ACROSS)
]
WHEEL = [
    LineString([(20, 20), (60, 20), (60, 60), (20, 60), (20, 20)]),
    LineString([(20, 20), (60, 60)]),
    LineString([(10, 40), (70, 40.5)]),
    LineString([(41, 12), (40, 70)]),
]


def drawn(figure: list[LineString]) -> Lines:
    """The figure in every block: its ring as an outline, the rest as fill; all retraceable."""

    def in_all(shapes: list[LineString]) -> list[LineString]:
        return [translate(s, *block.bounds[:2]) for block in BLOCKS for s in shapes]

    ring = layer_lines(in_all(figure[:1]), name="ring", role=LineRole.OUTLINE, retraceable=True)
    return join([ring, layer_lines(in_all(figure[1:]), name="fill", retraceable=True)])


class Counting(SolvedStages):
    """Counts how often something is really searched for."""

    searched = 0

    def cover(self, problem, retraceable, solve):  # type: ignore[no-untyped-def]
        def counted(each: StageProblem) -> TrailCover:
            self.searched += 1
            return solve(each)

        return super().cover(problem, retraceable, counted)


def covered(lines: Lines, policy: str, solved: SolvedStages) -> TrailCover:
    edges = edges_of_lines(lines.geometry)
    chosen = replace(POLICIES[policy], starts_first=False)
    work = Workpiece(CLOTH, 30.0, None, BLOCKS)
    stage = assign_stages(edges, lines, chosen, BLOCKS)
    return cover_stages(edges, stage, lines, chosen, work, solved)[0]


def test_equal_blocks_are_searched_once_and_come_out_as_if_each_had_been() -> None:
    """Fifteen blocks, two stages in each: two searches. Every edge of the others lies where the
    search by itself puts it."""
    lines, solved = drawn(WHEEL), Counting()
    cover = covered(lines, "walking-foot", solved)
    assert solved.searched == 2
    edges = edges_of_lines(lines.geometry)
    policy = POLICIES["walking-foot"]
    outline = lines.role[edges.line] == LineRole.OUTLINE
    alone = []
    for held in (outline, ~outline):
        for block in BLOCKS:
            inside = shapely.covers(block, edges.shapes())
            before = edges.take(inside & outline & ~held)
            retraceable = lines.retraceable
            alone.append(
                solve_rural_postman(
                    edges.take(inside & held), retraceable, policy, CLOTH, 30.0, before, None
                )
            )
    assert sum(len(each.trails) for each in alone) == len(cover.trails)
    assert sum(each.lower_bound for each in alone) == cover.lower_bound
    expected = np.concatenate([each.edges.coordinates for each in alone])
    assert np.abs(expected - cover.edges.coordinates).max() < 1e-9
    assert np.concatenate([e.edges.line for e in alone]).tolist() == cover.edges.line.tolist()


def test_drawn_points_stay_the_drawn_points_to_the_last_bit() -> None:
    """Where trails are placed, points of the drawing are its own, not moved copies."""
    lines = drawn(WHEEL)
    cover = covered(lines, "walking-foot", SolvedStages())
    vertices = {tuple(point) for point in shapely.get_coordinates(lines.geometry).tolist()}
    ends = {tuple(point) for point in cover.edges.coordinates.tolist()}
    assert vertices <= ends


def test_blocks_at_the_edge_are_not_placed_where_thread_may_run_in_the_margin() -> None:
    """Lines to 5 mm from their block's edge: three blocks of the middle row are away from the
    cloth's edge and alike, each of the other twelve is a search of its own."""
    figure = [WHEEL[0], LineString([(5, 10), (BLOCK_MM - 5, 12)]), WHEEL[3]]
    figure.append(LineString([(40, 5), (41, BLOCK_MM - 5)]))
    solved = Counting()
    covered(drawn(figure), "continuous", solved)
    assert solved.searched == len(BLOCKS) - 3 + 1


@pytest.mark.parametrize("policy", POLICIES)
def test_what_was_searched_before_changes_nothing(policy: str) -> None:
    """One block is changed: with the trails of the time before at hand the runs are the same, and
    only its own are searched for."""
    before, lines = drawn(WHEEL), drawn(WHEEL)
    lines.geometry[7] = LineString([(20.0, 23.0), (60.0, 60.0)])
    known = SolvedStages()
    route(before, policy, CLOTH, 30.0, regions=BLOCKS, solved=known)
    later = Counting(known)
    found = route(lines, policy, CLOTH, 30.0, regions=BLOCKS, solved=later)
    fresh = route(lines, policy, CLOTH, 30.0, regions=BLOCKS)
    assert found.run_start.tolist() == fresh.run_start.tolist()
    assert found.piece_line.tolist() == fresh.piece_line.tolist()
    assert np.abs(found.coordinates - fresh.coordinates).max() < 1e-9
    again = Counting(later)
    route(lines, policy, CLOTH, 30.0, regions=BLOCKS, solved=again)
    assert again.searched == 0


def test_problems_that_differ_have_signatures_that_differ() -> None:
    """Moved by a whole amount the same; by a hundredth of a millimetre in one point, with another
    order, a line that may not be sewn again or another region beside it, not."""
    edges = edges_of_lines(np.array([*WHEEL, None], dtype=object)[:-1])
    nothing = edges.take(np.zeros(0, dtype=np.intp))
    none = np.zeros(0, dtype=object)

    def signature(
        shift: float = 0.0,
        again: bool = True,
        turned: bool = False,
        beside: Polygon | None = None,
        dent: float = 0.0,
    ) -> tuple[bytes, ...]:
        moved = edges.coordinates + shift
        moved[3, 0] += dent
        mine = replace(edges, coordinates=moved)
        mine = mine.take(np.arange(len(edges))[::-1]) if turned else mine
        may = np.array([again, True, True, True])
        return StageProblem(mine, nothing, none, (beside, None), ()).signature(may)

    known = signature()
    assert signature(shift=1e3 / 7) == known
    others = [
        signature(dent=0.01), signature(again=False), signature(turned=True),
        signature(beside=BLOCKS[0]), signature(beside=BLOCKS[1]),
    ]  # fmt: skip
    assert len({known, *others}) == 1 + len(others)
