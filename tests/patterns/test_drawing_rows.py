"""Rows of a drawing laid out by hand: each repeat of a bent line at its place, to the hair."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.patterns import Lines
from quiltpath.patterns.drawn_repeat import repeat_of
from quiltpath.patterns.own_drawing import nest_rows
from quiltpath.project.runner_sections import PrintSection
from quiltpath.runner.build import as_printed
from tests.patterns.runners import plain
from tests.patterns.test_own_drawing import HEAD, repeated

BENT = f'{HEAD}<path d="M0 50 L 30 10 L 60 40 L 100 50"/></svg>'
POINTS = np.array([(0.0, 0), (30, 40), (60, 10), (100, 0)])
"""The same, up instead of down: 100 long and 40 high, alike neither way round."""


def same(lines: Lines, wanted: list[np.ndarray], length: float = 400, width: float = 300) -> None:
    """The lines are the wanted ones, cut to the runner, each once."""
    cut = shapely.intersection(
        shapely.union_all([LineString(part) for part in wanted]), shapely.box(0, 0, length, width)
    )
    drawn = shapely.union_all(lines.geometry)
    assert shapely.hausdorff_distance(cut, drawn, densify=0.05) < 1e-3
    assert shapely.length(lines.geometry).sum() == pytest.approx(cut.length, abs=0.01)


def bent(**keys: object) -> Lines:
    keys = {"size": 100, "row": 70, "inset": 10, **keys}
    length, width = keys.pop("runner", (400, 300))  # type: ignore[misc]
    return repeated(BENT, plain(length, width), **keys)


def at(x: float, y: float, points: np.ndarray = POINTS) -> np.ndarray:
    return np.add(points, (x, y))


@pytest.mark.parametrize(
    ("row", "heights"),
    [
        (70, [25, 95, 165, 235]),  # three steps of 70 and a height of 40 leave 25 on each side
        ("about 70 mm", [10, 90, 170, 250]),  # 240 mm from the inset on in three steps
        (None, [10, 50, 90, 130, 170, 210, 250]),  # row over row
        (240, [10, 250]),
        (241, [130]),
        (25, [17.5 + 25 * k for k in range(10)]),  # closer than their height where asked
    ],
)
def test_rows_are_whole_and_centred(row: object, heights: list[float]) -> None:
    keys = {} if row is None else {"row": row}
    lines = repeated(BENT, plain(400, 300), size=100, inset=10, **keys)
    same(lines, [at(100 * k, y) for y in heights for k in range(4)])
    assert len(lines) == len(heights), "each row is one path"


def test_rows_that_would_overlap_become_fewer() -> None:
    """230 mm in six steps would be 38.3 mm, less than the height of 40: five of 46."""
    lines = repeated(BENT, plain(400, 290), size=100, inset=10)
    same(lines, [at(100 * k, 10 + 46 * row) for row in range(6) for k in range(4)], width=290)


@pytest.mark.parametrize(
    ("size", "scale", "start"), [(100, 1.0, 0), ("about 95 mm", 1.0, 0), (90, 0.9, 20)]
)
def test_repeats_are_whole_and_centred(size: object, scale: float, start: float) -> None:
    lines = bent(size=size, row=300)
    base = 150 - 20 * scale
    same(lines, [at(start + 100 * scale * k, base, POINTS * scale) for k in range(4)])


def test_a_drawing_too_high_for_a_strip_is_made_smaller() -> None:
    """20 mm between the insets hold a height of 20: half the size, eight repeats of 50."""
    lines = bent(runner=(400, 40))
    same(lines, [at(50 * k, 10, POINTS / 2) for k in range(8)], width=40)
    assert len(bent(runner=(400, 20.9))) == 0


def test_every_second_row_of_bricks_begins_with_half_a_repeat() -> None:
    even = [at(100 * k, y) for y in (25, 165) for k in range(4)]
    odd = [at(100 * k - 50, y) for y in (95, 235) for k in range(5)]
    same(bent(arrangement="brick"), even + odd)


def test_every_second_repeat_of_a_half_drop_lies_half_a_height_lower() -> None:
    """Rows take up a height and a half, 60 mm: 15 mm are left on each side."""
    high = [at(100 * k, y) for y in (35, 105, 175, 245) for k in (0, 2)]
    low = [at(100 * k, y - 20) for y in (35, 105, 175, 245) for k in (1, 3)]
    same(bent(arrangement="half drop"), high + low)


def test_every_second_repeat_is_turned_left_to_right() -> None:
    turned = POINTS * (-1, 1) + (100, 0)
    plainly = [at(100 * k, y) for y in (25, 95, 165, 235) for k in (0, 2)]
    same(
        bent(arrangement="mirrored"),
        plainly + [at(100 * k, y, turned) for y in (25, 95, 165, 235) for k in (1, 3)],
    )


def test_every_second_row_stands_on_its_head() -> None:
    upside_down = POINTS * (1, -1) + (0, 40)
    plainly = [at(100 * k, y) for y in (25, 165) for k in range(4)]
    same(
        bent(arrangement="mirrored rows"),
        plainly + [at(100 * k, y, upside_down) for y in (95, 235) for k in range(4)],
    )


@pytest.mark.parametrize("arrangement", ["mirrored", "mirrored rows"])
def test_what_is_beside_the_path_turns_with_it(arrangement: str) -> None:
    """A tick beside the line: 10 to 20 along, 4 up."""
    svg = f'{HEAD}<path d="M0 50 L 50 10 L 100 50"/><path d="M10 46 L 20 46"/></svg>'
    ticks = [
        line.bounds
        for line in repeated(
            svg, plain(200, 160), size=100, row=60, inset=10, arrangement=arrangement
        ).geometry
        if line.length < 20
    ]
    base = [30.0, 90.0]
    wanted = {
        "mirrored": [(10, y + 4, 20, y + 4) for y in base]
        + [(180, y + 4, 190, y + 4) for y in base],
        "mirrored rows": [
            (x, y, x + 10, y) for x in (10, 110) for y in (base[0] + 4, base[1] + 36)
        ],
    }[arrangement]
    assert np.allclose(sorted(ticks), sorted(wanted), atol=1e-6)


def test_a_path_that_climbs_is_sheared_level_and_the_rest_with_it() -> None:
    """20 up over 100: each point comes down by a fifth of its way along."""
    tick = np.array([(40.0, 5), (50, 0), (60, 5)])
    repeat = repeat_of([np.array([(0.0, 0), (50, 40), (100, 20)]), tick])
    assert repeat.path is not None
    assert np.allclose(repeat.path, [(0, 0), (50, 30), (100, 0)])
    assert np.allclose(repeat.others[0], [(40, -3), (50, -10), (60, -7)])
    assert repeat.advance == 100
    assert repeat.bounds == pytest.approx((-10, 30))
    backwards = repeat_of([np.array([(100.0, 20), (50, 40), (0, 0)]), tick])
    assert backwards.path is not None and np.allclose(backwards.path, repeat.path)


@pytest.mark.parametrize(("end", "leads"), [(49.0, False), (51.0, True)])
def test_a_path_carries_the_row_on_where_it_leads_over_half_the_drawing(
    end: float, leads: bool
) -> None:
    frame = np.array([(0.0, 5), (100, 5), (100, 9), (0, 5)])
    repeat = repeat_of([frame, np.array([(0.0, 0), (end, 0)])])
    assert (repeat.path is not None) == leads
    assert repeat.advance == (end if leads else 100)
    assert len(repeat.parts) == 2


@pytest.mark.parametrize("seed", range(6))
def test_nested_rows_are_as_close_as_their_distance_lets_them(seed: int) -> None:
    """Against a scan of every eighth of a repeat in steps of a twentieth of a millimetre."""
    rng = np.random.default_rng(seed)
    inner = np.column_stack([[20.0, 40, 60, 80], rng.uniform(0, 40, 4)])
    points = np.concatenate([[(0.0, 0.0)], inner, [(100.0, 0.0)]])
    shift, pitch = nest_rows(repeat_of([points]), 6.0)
    row = LineString(np.concatenate([at(100 * k, 0, points[:-1]) for k in range(-1, 4)]))
    found = []
    for eighth in range(8):
        two = np.concatenate([points[:-1], at(100, 0, points)]) - (12.5 * eighth, 0)
        up = next(y for y in np.arange(0, 60, 0.05) if row.distance(LineString(at(0, y, two))) >= 6)
        found.append(up)
    assert pitch == pytest.approx(min(found), abs=0.06)
    assert found[round(shift * 8)] == pytest.approx(min(found), abs=0.06)


SLANT = Polygon([(0, 0), (200, 0), (260, 90), (20, 90)])


def test_a_fitted_drawing_lies_at_its_shares_of_the_shape() -> None:
    """Lengthwise by shares of the whole, across by shares of the chord at that place: the sides
    of the trapezium stand at x = 2 y / 9 and x = 200 + 2 y / 3."""
    svg = f'{HEAD}<path d="M0 0 H100 V50 H0 Z"/><path d="M20 40 L 60 10"/></svg>'
    block = Region("A1", RegionKind.BLOCK, SLANT)
    runner = Runner(box(-50, -50, 400, 300), regions=(block,))
    lines = repeated(svg, runner, arrangement="fitted", region="A1", inset=0)
    inner = min(lines.geometry, key=lambda line: line.length)
    wanted = []
    for x, y in ((20.0, 40.0), (60.0, 10.0)):
        at = 260 * x / 100
        low = max(0.0, 1.5 * (at - 200))
        high = min(90.0, 4.5 * at)
        wanted.append((at, low + (1 - y / 50) * (high - low)))
    ends = np.array(inner.coords)[[0, -1]]
    assert np.allclose(sorted(ends.tolist()), wanted, atol=0.01)


def test_turned_or_in_an_upright_shape_it_runs_up_the_shape() -> None:
    """Upright: its left end is the lower one, its upper side the left one."""
    svg = f'{HEAD}<path d="M0 0 H100 V50 H0 Z"/><path d="M20 40 L 60 10"/></svg>'
    upright = Region("A1", RegionKind.BLOCK, box(10, 30, 90, 230))
    level = Region("B1", RegionKind.BLOCK, box(100, 15, 300, 95))
    runner = Runner(box(-50, -50, 400, 300), regions=(upright, level))
    for name, low, size, turned in (
        ("A1", (10, 30), (80, 200), False), ("B1", (100, 15), (200, 80), True),
    ):  # fmt: skip
        lines = repeated(svg, runner, arrangement="fitted", region=name, inset=0, turned=turned)
        inner = min(lines.geometry, key=lambda line: line.length)
        ends = np.array(inner.coords)[[0, -1]]
        shares = [(1 - 0.2, 0.2), (1 - 0.8, 0.6)]
        wanted = [(low[0] + u * size[0], low[1] + v * size[1]) for u, v in shares]
        assert np.allclose(sorted(ends.tolist()), sorted(wanted), atol=0.01)


@pytest.mark.parametrize(("room", "drawn"), [(1.0, False), (1.2, True)])
def test_rows_need_over_a_millimetre_between_their_insets(room: float, drawn: bool) -> None:
    assert (len(bent(runner=(400, 20 + room))) > 0) == drawn


@pytest.mark.parametrize(("apart", "one"), [(0.19, True), (0.21, False)])
def test_ends_within_a_fifth_of_a_millimetre_were_meant_to_meet(apart: float, one: bool) -> None:
    """Two halves of a tent drawn from both feet; the second's end goes onto the first's."""
    svg = f'{HEAD}<path d="M0 50 L50 10"/><path d="M100 50 L{50 + apart} 10"/></svg>'
    lines = repeated(svg, plain(400, 60), size=100, row=200, inset=10)
    assert (len(lines) == 1) == one
    if one:
        tent = np.array([(0, 10), (50, 50), (100, 10)])
        same(lines, [at(100 * k, 0, tent) for k in range(4)], width=60)


def test_the_longest_of_several_paths_that_lead_on_carries_the_row() -> None:
    low, high = np.array([(10.0, 0), (80, 0)]), np.array([(95.0, 20), (5, 20)])
    repeat = repeat_of([low, high])
    assert repeat.path is not None and repeat.path.tolist() == [[0, 0], [90, 0]]
    assert repeat.others[0].tolist() == [[5, -20], [75, -20]]
    assert repeat.advance == 90


def test_level_lines_lie_an_eighth_of_a_repeat_apart() -> None:
    """A drawing without height: 100 mm between the insets in eight steps of 12.5."""
    svg = f'{HEAD}<path d="M0 30 H100"/></svg>'
    lines = repeated(svg, plain(400, 120), size=100, inset=10)
    heights = [line.bounds[1] for line in lines.geometry]
    assert heights == pytest.approx([10 + 12.5 * k for k in range(9)])


def test_rows_that_nest_without_a_gap_are_a_millimetre_apart_all_the_same() -> None:
    assert nest_rows(repeat_of([np.array([(0.0, 0), (100, 0)])]), 0.0)[1] == 1.0


@pytest.mark.parametrize(("arrangement", "share"), [("rows", 1.0), ("half drop", 1.5)])
@pytest.mark.parametrize("size", [100, "about 100 mm"])
@pytest.mark.parametrize("length", [401, 417, 445])
def test_a_drawing_made_smaller_for_a_strip_stays_between_its_insets(
    arrangement: str, share: float, size: object, length: float
) -> None:
    """30 mm hold a drawing 40 high at three quarters of its size, and at half of it where every
    second repeat is dropped by half; "about" makes it smaller, not higher than the strip."""
    lines = bent(runner=(length, 50), size=size, arrangement=arrangement)
    low, high = shapely.total_bounds(lines.geometry)[[1, 3]]
    assert low >= 10 - 1e-6 and high <= 40 + 1e-6
    assert low - 10 == pytest.approx(40 - high, abs=1e-6)
    tallest = 30 / share / 40 * 100
    number = int(length / tallest) if size == 100 else int(np.ceil(length / tallest))
    advance = tallest if size == 100 else length / number
    wanted = [advance * share * 0.4]
    assert [high - low] == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("paths", "size", "enough"),
    [
        ("".join(f'<path d="M0 {10 * k} H100"/>' for k in range(5)), 50, 1000),
        ('<path d="M0 9 h10"/><path d="M90 9 h10"/>', 40, 250),
    ],
)
def test_the_amount_is_that_of_all_lines_and_of_one_at_least(
    monkeypatch: pytest.MonkeyPatch, paths: str, size: float, enough: int
) -> None:
    """100 x 300 mm in repeats of 50 with five lines: 3 m in all, a thousand stitches of 3 mm. Two
    dashes are reckoned as a whole line: 0.75 m in repeats of 40."""
    svg = f"{HEAD}{paths}</svg>"
    monkeypatch.setattr("quiltpath.patterns.layer.MOST_STITCHES", enough)
    assert len(repeated(svg, plain(100, 300), size=size, row=500))
    monkeypatch.setattr("quiltpath.patterns.layer.MOST_STITCHES", enough - 1)
    with pytest.raises(InputError, match="stitches") as error:
        repeated(svg, plain(100, 300), size=size, row=500)
    assert error.value.key == "quilting[1].size"


def test_a_fitted_line_bends_with_a_round_shape() -> None:
    """The upper quarter line of an oval: at x it lies halfway from the middle to the edge."""
    svg = f'{HEAD}<path d="M0 0 H100 V40 H0 Z"/><path d="M10 10 H90"/></svg>'
    turn = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    oval = Polygon(np.column_stack([150 + 150 * np.cos(turn), 60 + 60 * np.sin(turn)]))
    block = Region("A1", RegionKind.BLOCK, oval)
    lines = repeated(svg, Runner(box(-5, -5, 305, 125), regions=(block,)),
                     arrangement="fitted", region="A1", inset=0)  # fmt: skip
    x, y = shapely.get_coordinates(min(lines.geometry, key=lambda line: line.length)).T
    assert (x.min(), x.max()) == pytest.approx((30, 270))
    assert np.abs(y - (60 + 30 * np.sqrt(1 - ((x - 150) / 150) ** 2))).max() < 0.05
    assert np.diff(np.sort(x)).max() < 2.5, "points often enough to bend"


def test_a_fitted_drawing_keeps_its_inset_and_draws_nothing_without_room() -> None:
    svg = f'{HEAD}<path d="M0 0 H100 V50 H0 Z"/></svg>'
    block = Region("A1", RegionKind.BLOCK, box(0, 0, 200, 100))
    runner = Runner(box(-5, -5, 305, 125), regions=(block,))
    (line,) = repeated(svg, runner, arrangement="fitted", region="A1", inset=20).geometry
    assert line.bounds == pytest.approx((20, 20, 180, 80), abs=1e-5)
    assert len(repeated(svg, runner, arrangement="fitted", region="A1", inset=60)) == 0


def test_a_drawing_without_any_length_is_told_as_it_is() -> None:
    """A single upright stroke leads nowhere and fills no rectangle."""
    for arrangement in ("rows", "fitted"):
        with pytest.raises(InputError, match="only upwards") as error:
            repeated(f'{HEAD}<path d="M50 10 V50"/></svg>', arrangement=arrangement)
        assert error.value.key == "quilting[1].file"


@pytest.mark.parametrize(
    ("width", "bottoms"),
    [
        (300, [10 + 40 * k for k in range(7)]),
        (290, [10 + 46 * k for k in range(6)]),
    ],
)
def test_a_drawing_that_hangs_from_its_line_lies_in_rows_as_well(
    width: float, bottoms: list[float]
) -> None:
    """The bent line upside down, 40 mm below its base: as many rows as the upright one has."""
    svg = f'{HEAD}<path d="M0 10 L 30 50 L 60 20 L 100 10"/></svg>'
    lines = repeated(svg, plain(400, width), size=100, inset=10)
    hanging = POINTS * (1, -1)
    wanted = [at(100 * k, low + 40, hanging) for low in bottoms for k in range(4)]
    same(lines, wanted, width=width)


def test_a_drawing_bends_with_the_print() -> None:
    """Bowed by 10 mm in the middle of the width, where the one row runs: a shift of its crests."""
    section = PrintSection.model_validate({"bow_lengthwise": 10}, context={"units": "mm"})
    bowed = as_printed(plain(400, 300), section)
    by_ruler, by_print = (
        repeated(BENT, bowed, size=100, row=300, follow=follow).geometry[0]
        for follow in ("ruler", "print")
    )
    middle = LineString([(200, 0), (200, 300)])
    heights = [line.intersection(middle).bounds[1] for line in (by_ruler, by_print)]
    assert heights[1] - heights[0] == pytest.approx(10, abs=0.1)
