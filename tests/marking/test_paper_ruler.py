"""Ruler lists and tick strips: what is read off them gives the lines again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from quiltpath.drawing.page_model import Group, Item, Line, Polylines, Text
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.marking.ruler_rows import marks_in_words, reading, ruler_rows, ruler_words
from quiltpath.marking.tick_strips import FOLD_MM, strip_pieces, strips_of
from quiltpath.patterns import Lines, draw
from quiltpath.project import parse
from quiltpath.result.marking_ways import Marking, Way, markings
from quiltpath.result.ruler_lists import RulerList, ruler_lists
from quiltpath.runner import build
from tests.documents.quilted import galley_runner, layer


def ways_of(runner: Runner, *layers: object) -> tuple[Lines, tuple[Marking, ...]]:
    lines = draw(runner, list(layers))
    return lines, markings(runner, lines, list(layers))


def plain(length: float = 2200.0, width: float = 320.0) -> Runner:
    """The worked example of the trade notes: 2200 x 320 mm."""
    return Runner(box(0, 0, length, width), margin_mm=75.0)


def strays(lines: Lines, way: Marking) -> float:
    """Farthest that any point of a line lies from the nearest listed line, mm."""
    ends = np.concatenate([each.rounded().ends() for each in way.lists])
    along = ends[:, 1] - ends[:, 0]
    along /= np.hypot(*along.T)[:, None]
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    reached = np.setdiff1d(np.flatnonzero(lines.layer == way.index), way.templated)
    worst = 0.0
    for line in lines.geometry[reached]:
        points = shapely.get_coordinates(line)
        off = np.abs(np.einsum("lpk,lk->lp", points[None] - ends[:, :1], normal)).max(axis=1)
        worst = max(worst, float(off.min()))
    return worst


@settings(max_examples=25, deadline=None)
@given(
    angle=st.floats(0, 179.9),
    spacing=st.floats(15, 90),
    anchor=st.sampled_from(["centre", "edge", "halfway"]),
)
def test_positions_put_back_into_geometry_give_the_lines_again(
    angle: float, spacing: float, anchor: str
) -> None:
    """To 0.5 mm: rounded to half millimetres at both edges, nowhere off by more."""
    runner = plain(700.0, 320.0)
    straight = layer(
        "straight", angle=angle, spacing=spacing, anchor=anchor, marking="ruler", overrun=0
    )
    lines, (way,) = ways_of(runner, straight)
    assert strays(lines, way) <= 0.5
    listed = sum(len(each) for each in way.lists)
    assert listed == len(lines) - len(way.templated)
    near_a_corner = shapely.length(lines.geometry[way.templated])
    assert (near_a_corner <= 5.0 + 1e-6).all()


def test_thirteen_even_gaps_are_measured_from_one_edge() -> None:
    """320 mm wide, about 25 mm wanted: 13 gaps of 24.62 mm (trade notes, worked example).

    Stepping 24.5 mm twelve times would put the last line 1.4 mm off; measured from the edge none
    is off by more than a quarter of a millimetre.
    """
    runner = plain()
    _, (way,) = ways_of(
        runner, layer("straight", spacing={"mm": 25, "about": True}, anchor="halfway")
    )
    (listed,) = way.lists
    assert listed.at[:, 0] == pytest.approx(320 / 13 * np.arange(1, 13), abs=0.01)
    assert np.abs(listed.rounded().at - listed.at).max() <= 0.25
    assert (listed.edge == (3, 1)).all()


@given(st.floats(0, 2500))
def test_a_reading_is_true_in_both_units(mm: float) -> None:
    text = reading(mm)
    inches, shade, metric = re.fullmatch(r"(.*?) in( full| scant)? \(([\d.]+) mm\)", text).groups()  # type: ignore[union-attr]
    value = float(sum(Fraction(part) for part in inches.split())) * 25.4
    assert abs(value - mm) <= 25.4 / 32 + 1e-6
    assert abs(float(metric) - mm) <= 0.25 + 1e-6
    off = mm - value
    assert (off > 0.5, off < -0.5) == (shade == " full", shade == " scant")


def test_a_gap_that_is_no_sixteenth_is_called_scant() -> None:
    """24.62 mm is 1 in less 0.8 mm: "don't step it, measure" (trade notes)."""
    assert reading(24.62) == "1 in scant (24.5 mm)"
    assert reading(25.4) == "1 in (25.5 mm)"


@pytest.mark.parametrize(
    ("angle", "words"), [(45.0, "45°"), (135.0, "45°"), (60.0, "60°"), (150.0, "30°")]
)
def test_the_rulers_own_angle_lines_are_named(angle: float, words: str) -> None:
    assert f"ruler's {words} line" in ruler_words(angle)
    assert "ruler's" not in ruler_words(52.0)


def test_alike_blocks_share_one_list() -> None:
    runner = galley_runner()
    grid = layer("grid", angles=(45, 135), spacing=30, region="blocks", overrun=0)
    lines, (way,) = ways_of(runner, grid)
    assert [each.places for each in way.lists] == [("A1", "B1")] * 2
    every_place = [box(25, 25, 175, 175), box(225, 25, 375, 175)]
    for place in every_place:
        inside = shapely.covers(place.buffer(1e-6), lines.geometry)
        assert inside.sum() == sum(len(each) for each in way.lists)


def test_lines_broken_at_motifs_are_listed_once() -> None:
    runner = galley_runner()
    straight = layer("straight", spacing=20, clearance=10)
    lines, (way,) = ways_of(runner, straight)
    heights = np.unique(np.round(shapely.bounds(lines.geometry)[:, 1], 3))
    assert len(lines) > len(heights)
    assert len(way.lists[0]) == len(heights)


def test_few_marks_are_ruled_and_many_are_printed_as_ticks() -> None:
    runner = plain()
    _, ways = ways_of(
        runner,
        layer("straight", spacing=40, name="few"),
        layer("straight", spacing=40, angle=45, name="many"),
        layer("straight", spacing=40, angle=45, name="mine", marking="ruler"),
        layer("straight", spacing=40, name="no marks", marking="none"),
    )
    assert [way.way for way in ways] == [Way.RULER, Way.TICKS, Way.RULER, Way.NONE]


def test_printed_lines_need_no_marks_and_motifs_need_a_template() -> None:
    runner = galley_runner()
    _, ways = ways_of(
        runner,
        layer("sashing"),
        layer("sashing", offset=6),
        layer("motif"),
        layer("echo", spacing=10, rings=2),
        layer("echo", around="outline", direction="inwards", spacing=20, rings=3, corners="mitred"),
    )
    assert [w.way for w in ways] == [Way.NONE, Way.RULER, Way.TEMPLATE, Way.TEMPLATE, Way.RULER]
    assert ways[1].insets[0].distances == (6.0,)
    assert ways[4].insets[0].distances == (20.0, 40.0, 60.0)


def test_a_way_that_the_lines_do_not_allow_is_refused_in_one_line() -> None:
    runner = galley_runner()
    with pytest.raises(InputError, match=r"quilting\[1\].marking: .*cannot be marked by ticks"):
        ways_of(runner, layer("motif", marking="ticks"))


def test_lines_that_fan_with_a_print_off_square_make_one_list() -> None:
    """Each line has its own two marks, so a fan of a fraction of a degree reads like any list."""
    runner = plain(1000.0, 300.0)
    ends = [[(0, y), (1000, 1.01 * y + 1)] for y in range(20, 290, 30)]
    fanned = shapely.linestrings(ends)
    source = np.array(["runner"] * len(ends), dtype=object)
    (listed,), reached = ruler_lists(fanned, source, {"runner": runner.outline})
    assert reached.all()
    assert listed.at[:, 0] == pytest.approx([line[0][1] for line in ends], abs=0.01)
    assert listed.at[:, 1] == pytest.approx([line[1][1] for line in ends], abs=0.01)


def test_a_pointed_runner_is_ruled_on_its_straight_middle_and_templated_at_its_points() -> None:
    shape = Polygon([(0, 150), (150, 0), (1350, 0), (1500, 150), (1350, 300), (150, 300)])
    runner = Runner(shape, margin_mm=75.0)
    lines, (way,) = ways_of(runner, layer("straight", angle=60, spacing=60))
    (listed,) = way.lists
    assert listed.box == pytest.approx((150, 0, 1350, 300))
    assert not listed.whole
    assert strays(lines, way) <= 0.5
    assert len(way.templated) > 0
    core = box(150, 0, 1350, 300)
    assert not shapely.intersects(core.buffer(-5), lines.geometry[way.templated]).any()


def texts_of(items: Iterable[Item | Group]) -> list[Text]:
    return [i for i in Group("all", tuple(items)).walk() if isinstance(i, Text)]


def test_where_a_straight_middle_lies_is_told_for_nothing_on_the_cloth_shows_it() -> None:
    """Its ends are drawn by hand; by hand, 150 mm from either end of 1500."""
    shape = Polygon([(0, 150), (150, 0), (1350, 0), (1500, 150), (1350, 300), (150, 300)])
    runner = Runner(shape, margin_mm=75.0)
    _, ways = ways_of(runner, layer("straight", angle=60, spacing=60))
    rows = ruler_rows(ways, 180.0, "metric", runner)
    told = " ".join(i.text for row in rows for i in texts_of(row.items))
    assert "It lies from 150 mm to 1350 mm from the runner's left end: draw a line across" in told
    whole = Runner(box(0, 0, 1500, 300), margin_mm=75.0)
    _, ways = ways_of(whole, layer("straight", angle=60, spacing=60))
    rows = ruler_rows(ways, 180.0, "metric", whole)
    assert "It lies" not in " ".join(i.text for row in rows for i in texts_of(row.items))


def feet(piece: object) -> np.ndarray:
    """Where the ticks of a strip cross its fold line, mm along the edge."""
    ticks = next(i for i in piece.group.walk() if isinstance(i, Polylines))  # type: ignore[attr-defined]
    pairs = ticks.points.reshape(-1, 2, 2)
    middle = pairs.mean(axis=1)
    assert middle[:, 1] == pytest.approx(FOLD_MM)
    return middle[:, 0]


@pytest.mark.parametrize("angle", [0.0, 45.0, 72.0, 120.0])
def test_ticks_stand_where_the_lines_meet_the_edges(angle: float) -> None:
    """Against the crossing of each line with the edge, by shapely; to 0.01 mm."""
    runner = plain()
    lines, (way,) = ways_of(
        runner, layer("straight", angle=angle, spacing=40, marking="ticks", overrun=0)
    )
    edges = {
        "lower edge": shapely.linestrings([(0, 0), (2200, 0)]),
        "upper edge": shapely.linestrings([(0, 320), (2200, 320)]),
        "left edge": shapely.linestrings([(0, 0), (0, 320)]),
        "right edge": shapely.linestrings([(2200, 0), (2200, 320)]),
    }
    checked = 0
    for strip in strips_of("fill", way.lists):
        drawn = np.unique(np.concatenate([feet(p) for p in strip_pieces(strip, 285.0)]).round(3))
        for name in strip.edges:
            ends = shapely.get_point(lines.geometry, [[0], [-1]]).ravel()
            on_edge = ends[shapely.distance(ends, edges[name]) < 0.01]
            met = np.sort(shapely.line_locate_point(edges[name], on_edge))
            for place in met:
                assert np.abs(drawn - place).min() < 0.01
            checked += len(met)
    assert checked == 2 * len(lines)


def test_a_strips_lengths_add_up_to_the_edge() -> None:
    """The last tick equals the length within 0.1 mm, whatever the paper."""
    runner = plain()
    _, (way,) = ways_of(runner, layer("straight", angle=90, spacing=50, anchor="edge"))
    (strip,) = strips_of("fill", way.lists)
    assert strip.edges == ("lower edge", "upper edge")
    for room in (188.0, 277.0, 400.0):
        pieces = strip_pieces(strip, room)
        assert all(piece.size[0] <= room + 1e-9 for piece in pieces)
        inner = [(p.box[0] + 6.0, p.box[2] - 6.0) for p in pieces]
        assert inner[0][0] == pytest.approx(0) and inner[-1][1] == pytest.approx(2200)
        assert all(a[1] == pytest.approx(b[0]) for a, b in pairwise(inner))


def test_a_tick_lies_in_the_direction_of_its_line() -> None:
    """On the lower edge as drawn; on the left edge with the strip turned by a quarter."""
    runner = plain()
    _, (way,) = ways_of(runner, layer("straight", angle=30, spacing=80, marking="ticks"))
    direction = np.array([np.cos(np.radians(30)), np.sin(np.radians(30))])
    turn = {"lower": np.eye(2), "left": np.array([[0, 1], [-1, 0]])}
    seen = 0
    for strip in strips_of("fill", way.lists):
        side = strip.edges[0].split()[0]
        if side in turn:
            expected = turn[side] @ direction
            cross = strip.direction[:, 0] * expected[1] - strip.direction[:, 1] * expected[0]
            assert np.abs(cross).max() < 1e-9
            seen += 1
    assert seen == 2


@pytest.mark.parametrize("angle", [15, 45, 60, 75])
def test_every_tick_stands_whole_on_some_length_and_sticks_out_of_none(angle: int) -> None:
    """A tick beside a join would run off the paper: it is left to the neighbour, which has it."""
    _, (way,) = ways_of(
        plain(), layer("grid", angles=(angle, -angle), spacing=17, marking="ticks", overrun=0)
    )
    for strip in strips_of("fill", way.lists):
        shown: set[float] = set()
        for piece in strip_pieces(strip, 285.0):
            (ticks,) = (item for item in piece.group.walk() if isinstance(item, Polylines))
            x = ticks.points[:, 0]
            assert piece.box[0] - 1e-9 <= x.min() and x.max() <= piece.box[2] + 1e-9
            shown |= set(np.round(x.reshape(-1, 2).mean(axis=1), 6).tolist())
        assert shown == set(np.round(strip.at, 6).tolist())


def test_numbers_on_a_strip_never_touch() -> None:
    runner = plain()
    _, (way,) = ways_of(
        runner, layer("grid", angles=(45, 135), spacing=12, marking="ticks", overrun=0)
    )
    for strip in strips_of("fill", way.lists):
        for piece in strip_pieces(strip, 285.0):
            numbers = [
                item
                for item in piece.group.walk()
                if isinstance(item, Text) and item.anchor == "middle"
            ]
            wide = [0.556 * item.size_mm * len(item.text) for item in numbers]
            ends = [(i.at[0] - w / 2, i.at[0] + w / 2) for i, w in zip(numbers, wide, strict=True)]
            assert all(a[1] < b[0] for a, b in pairwise(ends))
            assert any(isinstance(item, Line) for item in piece.group.walk())


def test_marks_that_a_ruler_shows_by_one_step_are_told_by_it() -> None:
    """50.8 mm is 2 in on all four sides; an uneven mark is told by itself."""
    four = RulerList(
        box=(0, 0, 203.2, 203.2),
        places=("A1",),
        angle=45.0,
        edge=np.array([[0, 1], [0, 1], [0, 1], [3, 2], [3, 2], [3, 2]]),
        at=np.array(
            [[50.8, 152.4], [101.6, 101.6], [152.4, 50.8]] * 2,
        ),
    )
    assert marks_in_words(four, "inches") == [
        "All four sides, from the left end or the lower edge: every 2 in."
    ]
    uneven = replace(four, at=four.at + np.array([10.0, 0.0]))
    told = [words.replace("_", " ") for words in marks_in_words(uneven, "metric")]
    assert told[0] == "Lower edge, from the left end: 61, 111.5, 162.5 mm."
    assert told[1] == "Right edge, from the lower edge: 51, 101.5, 152.5 mm."  # not 51 by 51
    assert len(told) == 4


def test_a_printed_motif_needs_no_template_and_is_followed() -> None:
    """Templates only for what is not printed on the cloth (common practice)."""
    motif = '[[motif]]\nname = "plate"\nat = [[100, 100]]\nsize = "80 mm"\n'
    outline = 'outline = [["0 mm", "0 mm"], ["80 mm", "0 mm"], ["40 mm", "80 mm"]]\n'
    start = 'units = "mm"\nrunner = { length = 600, width = 200 }\n'
    layer_text = '[[quilting]]\nkind = "motif"\n'
    ways = []
    for printed in ("false", "true"):
        project = parse(f"{start}{motif}{outline}printed = {printed}\n{layer_text}")
        runner = build(project)
        lines = draw(runner, project.quilting)
        ways += markings(runner, lines, project.quilting)
    assert [way.way for way in ways] == [Way.TEMPLATE, Way.NONE]
    assert ways[1].reason == "sew along the print" and len(ways[1].templated) == 0
