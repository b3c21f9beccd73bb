"""With a walking foot a region is finished before the next, from the runner's middle outwards."""

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import BreakReason, Runs, policy_named, route
from quiltpath.routing.region_order import centres_in_order, least_carrying

RUNNER = box(0, 0, 1800, 360)
BLOCKS = [box(300 * k + 20, 30, 300 * k + 280, 330) for k in range(6)]


def crosshatch(block: Polygon, spacing: float = 40.0) -> list[LineString]:
    """Both diagonals of a block, cut to it."""
    low_x, low_y, high_x, high_y = block.bounds
    size = high_x - low_x + high_y - low_y
    found = []
    for lean in (1, -1):
        for off in np.arange(-size, size, spacing):
            middle = np.array([(low_x + high_x) / 2 + off, (low_y + high_y) / 2])
            whole = LineString(
                [middle - size * np.array([1, lean]), middle + size * np.array([1, lean])]
            )
            part = whole.intersection(block)
            if part.length > 30:
                found.append(part)
    return found


def drawing() -> Lines:
    fill = layer_lines([line for block in BLOCKS for line in crosshatch(block)], name="fill")
    hold = layer_lines(
        [LineString([(300 * k, -12), (300 * k, 372)]) for k in range(1, 6)],
        name="sashing",
        role=LineRole.HOLD,
        retraceable=True,
    )
    rings = [block.centroid.buffer(30).exterior for block in BLOCKS]
    outline = layer_lines([LineString(r.coords) for r in rings], name="leaf", role=LineRole.OUTLINE)
    return join([fill, outline, hold])


def blocks_of(runs: Runs) -> np.ndarray:
    """The block that each run lies in, -1 for none."""
    shapes = [LineString(runs.run(index)) for index in range(len(runs))]
    inside = np.array([[block.buffer(1).covers(shape) for block in BLOCKS] for shape in shapes])
    return np.where(inside.any(axis=1), inside.argmax(axis=1), -1)


def test_each_of_six_blocks_is_finished_before_the_next() -> None:
    """Five changes for six blocks are the fewest. Hold lines come first; in each block its outline
    comes before its fill; one half of the runner, then the other, from the middle outwards."""
    lines = drawing()
    runs = route(lines, policy_named("walking-foot"), RUNNER, 50.0, regions=BLOCKS)
    block = blocks_of(runs)
    role = lines.role[runs.piece_line[runs.run_start[:-1]]]
    holds = np.count_nonzero(role == LineRole.HOLD)
    assert (role[:holds] == LineRole.HOLD).all()
    filled = block[holds:]
    order = filled[np.concatenate([[True], np.diff(filled) != 0])]
    assert order.tolist() == [3, 4, 5, 2, 1, 0]
    for number in range(6):
        assert (np.diff(role[block == number]) >= 0).all()
    last = np.flatnonzero(np.diff(filled))
    assert (runs.break_reason[holds + last] == BreakReason.POLICY).all()


def test_regions_are_ignored_where_the_policy_says_so() -> None:
    policy = policy_named("walking-foot", {"regions": "mixed"})
    with_them = route(drawing(), policy, RUNNER, 50.0, regions=BLOCKS)
    without = route(drawing(), policy, RUNNER, 50.0)
    assert np.array_equal(with_them.coordinates, without.coordinates)


def test_rows_of_a_block_go_outwards_from_its_centre() -> None:
    """Common practice. Of each leaning one half is sewn outwards, then the other."""
    block = BLOCKS[1]
    lines = layer_lines(crosshatch(block), name="fill")
    runs = route(lines, policy_named("walking-foot"), RUNNER, 50.0, regions=BLOCKS)
    centre = np.array(block.centroid.coords[0])
    chord = runs.ends[:, 1] - runs.ends[:, 0]
    for lean in (True, False):
        mine = (chord[:, 0] * chord[:, 1] > 0) == lean
        unit = np.array([1, -1 if lean else 1]) / np.sqrt(2)
        off = (runs.ends[mine].mean(axis=1) - centre) @ unit
        assert np.count_nonzero(np.diff(np.sign(off[np.abs(off) > 1]))) == 1
        for side in (off[off > 1], off[off < -1]):
            assert (np.diff(np.abs(side)) > 0).all()


def test_a_line_over_several_regions_is_sewn_after_what_lies_in_one() -> None:
    along = layer_lines([LineString([(-12, 180), (1812, 180)])], name="along")
    lines = join([along, layer_lines(crosshatch(BLOCKS[2]), name="fill")])
    runs = route(lines, policy_named("walking-foot"), RUNNER, 50.0, regions=BLOCKS)
    assert runs.piece_line[-1] == 0


@pytest.mark.parametrize(("onward", "order"), [((1, 0), [1, 2, 0]), ((-1, 0), [1, 0, 2])])
def test_the_start_corner_says_which_half_comes_first(
    onward: tuple[int, int], order: list[int]
) -> None:
    regions = [box(x, 0, x + 100, 100) for x in (0, 200, 400)]
    centre = np.array([250.0, 50.0])
    assert centres_in_order(regions, centre, np.array(onward, dtype=float)) == order


def test_in_a_column_the_region_in_the_middle_comes_first() -> None:
    regions = [box(0, y, 100, y + 90) for y in (0, 100, 200)]
    assert centres_in_order(regions, np.array([50.0, 145.0]), np.array([1.0, 0.0]))[0] == 1


@pytest.mark.parametrize("seed", range(20))
def test_sides_are_chosen_for_theleast_carrying_of_all(seed: int) -> None:
    """Against every combination of the orders that each set may be sewn in."""
    chance = np.random.default_rng(seed)
    ends = chance.uniform(0, 300, (9, 2, 2))
    spots = ends.reshape(-1, 2)
    sets = [
        [
            2 * chance.permutation(np.arange(3 * k, 3 * k + 3)) + chance.integers(0, 2, 3)
            for _ in range(4)
        ]
        for k in range(3)
    ]

    def carried(order: np.ndarray) -> float:
        start = 1e-3 * np.hypot(*spots[order[0]])
        return float(start + np.hypot(*(spots[order[1:]] - spots[order[:-1] ^ 1]).T).sum())

    least = min(carried(np.concatenate(choice)) for choice in itertools.product(*sets))
    assert carried(least_carrying(ends, sets, np.zeros(2))[0]) == pytest.approx(least)


def test_no_line_is_lost_by_going_from_region_to_region() -> None:
    lines = drawing()
    runs = route(lines, policy_named("walking-foot"), RUNNER, 50.0, regions=BLOCKS)
    sewn = np.zeros(len(lines))
    np.add.at(sewn, runs.piece_line, np.where(runs.piece_kind == 0, runs.piece_length_mm, 0.0))
    assert sewn == pytest.approx(shapely.length(lines.geometry))


def test_what_is_drawn_over_seams_is_sewn_over_them() -> None:
    """A zigzag drawn stroke by stroke is one path, in whatever block or strip each stroke lies."""
    strips = [box(300 * k - 20, 30, 300 * k + 20, 330) for k in range(1, 6)]
    corners = [(60 * k, 100 + 60 * (k % 2)) for k in range(31)]
    lines = layer_lines([LineString(pair) for pair in itertools.pairwise(corners)], name="zigzag")
    assert (
        len(route(lines, policy_named("walking-foot"), RUNNER, 50.0, regions=BLOCKS + strips)) == 1
    )


def test_the_starts_that_a_rule_costs_are_told() -> None:
    """Four hold lines, each carried on by a fill line: together four runs, apart eight."""
    hold = [LineString([(50, 50 + 60 * k), (150, 50 + 60 * k)]) for k in range(4)]
    fill = [LineString([(150, 50 + 60 * k), (290, 50 + 60 * k)]) for k in range(4)]
    lines = join(
        [layer_lines(fill, name="fill"), layer_lines(hold, name="sashing", role=LineRole.HOLD)]
    )
    runs = route(lines, policy_named("walking-foot"), RUNNER, 50.0)
    assert (runs.runs_lower_bound, len(runs)) == (4, 8)
    assert [cost.runs for cost in runs.rule_costs] == [4]
    assert runs.rule_costs[0].rule.startswith("holding lines come first")
    mixed = route(lines, policy_named("walking-foot", {"roles": "mixed"}), RUNNER, 50.0)
    assert (mixed.runs_lower_bound, len(mixed), mixed.rule_costs) == (4, 4, ())


def test_leanings_alternate_block_by_block() -> None:
    """One line of each leaning in turn, and a block is still finished before the next."""
    lines = drawing()
    policy = policy_named("walking-foot", {"order": "alternate-leanings"})
    runs = route(lines, policy, RUNNER, 50.0, regions=BLOCKS)
    fill = lines.role[runs.piece_line[runs.run_start[:-1]]] == LineRole.FILL
    block = blocks_of(runs)
    filled = block[fill]
    assert filled[np.concatenate([[True], np.diff(filled) != 0])].tolist() == [3, 4, 5, 2, 1, 0]
    chord = runs.ends[:, 1] - runs.ends[:, 0]
    for number in range(6):
        across = chord[fill & (block == number)]
        mine = 2 * across[:, 0] * across[:, 1] / np.hypot(*across.T)
        assert np.abs(np.cumsum(mine)).max() <= np.abs(mine).max() + 1e-6


@pytest.mark.parametrize("start", ["lower-left", "upper-right"])
def test_regions_along_the_runner_follow_one_another_from_end_to_end(start: str) -> None:
    policy = policy_named("walking-foot", {"regions": "along", "start": start})
    runs = route(drawing(), policy, RUNNER, 50.0, regions=BLOCKS)
    block = blocks_of(runs)
    block = block[block >= 0]
    order = block[np.concatenate([[True], np.diff(block) != 0])].tolist()
    assert order in ([0, 1, 2, 3, 4, 5], [5, 4, 3, 2, 1, 0])
