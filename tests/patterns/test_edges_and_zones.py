"""What happens at the finished edge, beside motifs and along printed lines, on figures by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, box

from quiltpath.errors import InputError
from quiltpath.geometry.print_warp import PrintWarp
from quiltpath.geometry.runner_shapes import (
    PlacedMotif,
    Region,
    RegionKind,
    Runner,
    near_names,
    patches,
)
from quiltpath.patterns import LineRole, Lines, Remark, draw, join
from quiltpath.patterns.finishing import (
    distortion_facts,
    off_the_edge,
    overrun_length,
    run_on,
    under_the_binding,
)
from quiltpath.patterns.lines import layer_lines
from quiltpath.project.runner_sections import PrintSection
from quiltpath.runner.build import as_printed
from tests.patterns.runners import drawn, layer, plain, sashed

EDGE = box(0, 0, 100, 60)


def lines(*points: list[tuple[float, float]]) -> np.ndarray:
    found = np.empty(len(points), dtype=object)
    found[:] = [LineString(each) for each in points]
    return found


def test_only_what_lies_along_the_edge_vanishes_in_the_binding() -> None:
    """Along a side; round a corner; near by; and one that touches the edge at three places."""
    touching = [(x, 0 if k % 2 else 5) for k, x in enumerate(range(9, 92, 2))]
    found = off_the_edge(
        lines(
            [(0, 0), (100, 0)],
            [(50, 0), (100, 0), (100, 60)],
            [(0, 0.001), (100, 0.001)],
            [(0, 0), (100, 60)],
            touching,  # type: ignore[arg-type]
        ),
        EDGE,
    )
    assert found.tolist() == [False, False, True, True, True]
    assert off_the_edge(lines(), EDGE).tolist() == []


@pytest.mark.parametrize(("inner", "kept"), [(0.5, False), (2.0, True)])
def test_a_line_that_leaves_the_edge_for_over_a_hundredth_of_its_length_is_kept(
    inner: float, kept: bool
) -> None:
    """90 mm along the edge and a bit more or less into the cloth, at the end or the beginning."""
    line = [(95, 0), (5, 0), (5.0, inner)]
    into = lines(line, line[::-1])
    assert off_the_edge(into, EDGE).tolist() == [kept, kept]


def test_the_binding_covers_what_runs_within_a_quarter_of_an_inch() -> None:
    """A double-fold binding is sewn on with a 1/4 in seam (common practice): 6.35 mm."""
    found = under_the_binding(
        lines(
            [(10, 6.34), (90, 6.34)],
            [(10, 6.35), (90, 6.35)],
            [(10, 2), (90, 55)],
            [(3, 10), (3, 50)],
            [(3, 10), (30, 10), (3, 50)],
        ),
        EDGE,
    )
    assert found.tolist() == [True, False, False, True, False]
    assert under_the_binding(lines(), EDGE).tolist() == []


@pytest.mark.parametrize(("low", "told_of"), [(5, "1 line runs"), (0, "2 lines run")])
def test_how_many_lines_the_binding_covers_is_told(low: float, told_of: str) -> None:
    """Lines 5 mm inside one edge or both; the layer is told by its own name where it has one."""
    runner = plain(400, 100 + low)
    found = drawn(runner, "straight", spacings=[90, 10], anchor=5, name="borders")
    (remark,) = [one for one in found.remarks if one.code == "line-near-edge"]
    assert remark.message.startswith(told_of) and "in 'borders'," in remark.message


def test_each_end_on_the_edge_runs_on_straight_and_no_other() -> None:
    """By 10 mm: over a side, aslant in steps of 3 and 4, one end only, a ring, a bent line."""
    found = run_on(
        lines(
            [(0, 20), (100, 20)],
            [(50, 30), (72.5, 60)],
            [(10, 10), (40, 10)],
            [(0, 0), (100, 0), (100, 60), (0, 0)],
            [(20, 0), (20, 30), (100, 30)],
        ),
        EDGE,
        10.0,
    )
    assert [np.round(shapely.get_coordinates(each), 9).tolist() for each in found] == [
        [[-10, 20], [110, 20]],
        [[50, 30], [78.5, 68]],
        [[10, 10], [40, 10]],
        [[0, 0], [100, 0], [100, 60], [0, 0]],
        [[20, -10], [20, 30], [110, 30]],
    ]
    same = run_on(lines([(0, 20), (100, 20)]), EDGE, 0.0)
    assert shapely.get_coordinates(same).tolist() == [[0, 20], [100, 20]]
    assert len(run_on(lines(), EDGE, 10.0)) == 0


@pytest.mark.parametrize(
    ("margin", "wanted", "length"),
    [(76.2, None, 12.0), (5.0, None, 5.0), (76.2, 76.2, 76.2), (76.2, 0.0, 0.0), (0.0, None, 0.0)],
)
def test_the_overrun_is_half_an_inch_the_margin_or_what_is_wanted(
    margin: float, wanted: float | None, length: float
) -> None:
    assert overrun_length(Runner(EDGE, margin_mm=margin), wanted) == length


def squares(*lefts: float) -> Runner:
    """A runner of 600 x 100 with motifs of 40 mm, 30 mm up, at the given places."""
    shapes = [box(left, 30, left + 40, 70) for left in lefts]
    return plain(
        600,
        100,
        motifs=tuple(
            PlacedMotif("tile", f"{k}", MultiPolygon([shape]), (LineString(shape.exterior),))
            for k, shape in enumerate(shapes)
        ),
    )


@pytest.mark.parametrize("clearance", [0.0, 6.0, 14.0])
def test_lines_stop_at_the_clearance_and_hardly_before(clearance: float) -> None:
    """Never nearer; at most two hundredths of a millimetre farther. Zones that overlap are one:
    at 14 mm nothing is left of the 25 mm between the second and the third."""
    found = drawn(squares(100, 300, 365), "straight", spacing=500, clearance=clearance).geometry
    ends = np.sort(shapely.bounds(found)[:, [0, 2]], axis=0)
    starts, stops = [0.0, 140 + clearance], [100 - clearance, 300 - clearance]
    if clearance < 12.5:
        starts.append(340 + clearance)
        stops.append(365 - clearance)
    starts.append(405 + clearance)
    stops.append(600.0)
    assert len(found) == len(starts)
    slack = np.where(np.isin(starts, [0.0]), 1e-9, 0.0201 if clearance else 1e-9)
    assert ((ends[:, 0] >= np.array(starts) - 1e-9) & (ends[:, 0] <= starts + slack)).all()
    slack = np.where(np.isin(stops, [600.0]), 1e-9, 0.0201 if clearance else 1e-9)
    assert ((ends[:, 1] <= np.array(stops) + 1e-9) & (ends[:, 1] >= stops - slack)).all()


def test_a_line_past_many_motifs_is_cut_by_every_one() -> None:
    found = drawn(squares(*range(10, 560, 30 + 40)), "straight", spacing=500, clearance=0)
    assert len(found) == 1 + 7 + 1
    assert found.geometry[0].length == 10 and sum(g.length for g in found.geometry) == 600 - 8 * 40


def printed(lower: float, upper: float) -> Runner:
    """A strip of 50 mm between blocks 200 high on the left and so high on the right."""
    blocks = (
        Region("A1", RegionKind.BLOCK, box(0, 0, 200, 200)),
        Region("B1", RegionKind.BLOCK, box(200, lower, 400, upper)),
    )
    return Runner(
        box(0, 0, 400, 200), regions=blocks, printed=(LineString([(200, 0), (200, 200)]),)
    )


@pytest.mark.parametrize(
    ("upper", "places"),
    [(200, [195, 205]), (110, [195, 205]), (90, [195])],
)
def test_a_printed_line_is_moved_to_each_block_that_it_runs_along_for_half_its_way(
    upper: float, places: list[float]
) -> None:
    found = drawn(printed(0, upper), "sashing", offset=5)
    assert sorted(line.bounds[0] for line in found.geometry) == places
    assert set(found.source) == {"beside printed line"}
    assert set(drawn(printed(0, upper), "sashing").source) == {"printed line"}


def test_to_the_smaller_block_alone_where_the_larger_is_on_the_other_side() -> None:
    """The left block has 200 mm of it, the right one none at all."""
    one = Runner(
        box(0, 0, 400, 200),
        regions=(Region("B1", RegionKind.BLOCK, box(200, 0, 400, 200)),),
        printed=(LineString([(200, 0), (200, 200)]),),
    )
    assert [line.bounds[0] for line in drawn(one, "sashing", offset=7).geometry] == [207]
    assert [line.bounds[0] for line in drawn(one, "sashing", offset=-7).geometry] == [193]


def test_a_word_that_comes_near_nothing_brings_eight_that_are_there() -> None:
    names = [f"strip {k}" for k in range(12)]
    assert near_names("xyzzy", names) == f"use one of {', '.join(names[:8])}"
    assert near_names("Stripe 1", ["strip 1", "runner"]) == "did you mean strip 1?"
    many = near_names("strip", names)
    assert many.count(" or ") == 2, "three at most"


def test_a_motif_s_name_is_a_region_as_well() -> None:
    runner = squares(100, 300)
    assert [patch.name for patch in patches(runner, "tile")] == ["tile in 0", "tile in 1"]
    assert [patch.name for patch in patches(runner, " runner ")] == ["runner"]
    with pytest.raises(InputError, match="did you mean tile"):
        patches(runner, "tiles")


def test_roles_are_sewn_in_the_order_hold_outline_fill() -> None:
    assert sorted(LineRole) == [LineRole.HOLD, LineRole.OUTLINE, LineRole.FILL]
    assert len(set(LineRole)) == 3


def test_lines_of_many_layers_keep_their_layer_their_words_and_what_is_said_of_them() -> None:
    one = layer_lines(lines([(0, 0), (9, 0)], [(0, 1), (9, 1)]), name="one", source=["p", "q"])
    two = layer_lines(lines([(0, 2), (9, 2)]), name="two", role=LineRole.HOLD, retraceable=True)
    said = two.with_remarks(Remark("a", "x")).with_remarks(Remark("b", "y"), Remark("c", "z"))
    whole = join([one, said, join([one, two])])
    assert whole.layer.tolist() == [0, 0, 1, 2, 2, 3]
    assert whole.layers == ("one", "two", "one", "two")
    assert whole.source.tolist() == ["p", "q", "two", "p", "q", "two"]
    assert whole.role.tolist() == [2, 2, 0, 2, 2, 0]
    assert whole.retraceable.tolist() == [False, False, True, False, False, True]
    assert [remark.code for remark in whole.remarks] == ["a", "b", "c"]
    some = whole.take(np.array([4, 2]))
    assert len(some) == 2 and some.source.tolist() == ["q", "two"]
    assert some.layer.tolist() == [2, 1] and some.layers == whole.layers
    assert len(join([])) == 0
    with pytest.raises(ValueError, match="one length"):
        Lines(one.geometry, two.layer, one.role, one.retraceable, one.source, ("one",))


def test_layers_too_much_together_are_told_at_the_one_that_goes_beyond() -> None:
    """14.7 km of line in the first two, and as much again in the third."""
    runner = plain(30_000, 1_000)
    half = layer("straight", spacing=4, overrun=0)
    with pytest.raises(InputError, match="all come to about") as error:
        draw(runner, [half, half, half])
    assert error.value.key == "quilting[3]"
    assert len(draw(runner, [half, half]).layers) == 2


def test_the_distortion_of_a_print_is_told_along_and_across() -> None:
    """Columns at 0, 100, 300 lie at 0, 101, 307, rows at 0, 50, 80 at 0, 52, 81: lengths grow by
    1 and 3 percent, heights by 4 and by -1 / 30; the corner lies 7 and 1 mm off."""
    at = np.stack(np.meshgrid([0.0, 101, 307], [0.0, 52, 81]), axis=-1)
    remark = distortion_facts(PrintWarp(np.array([0.0, 100, 300]), np.array([0.0, 50, 80]), at))
    assert "up to 7.3 mm" in remark.message  # hypot(7, 2), on the row that lies 2 mm high
    assert "leans by +0.0 degrees" in remark.message
    assert "along change by +1.0 to +3.0 percent" in remark.message
    assert "across by -3.3 to +4.0 percent" in remark.message


def test_only_layers_that_follow_the_print_make_its_distortion_worth_telling() -> None:
    """Sashing lies where it lies; straight lines by the ruler do not bend."""
    section = PrintSection.model_validate({"bow": 6}, context={"units": "mm"})
    bowed = as_printed(sashed(), section)

    def codes(*layers: tuple[str, str]) -> list[str]:
        found = [layer(kind, follow=follow, overrun=0) for kind, follow in layers]
        return [remark.code for remark in draw(bowed, found).remarks]

    assert codes(("sashing", "print")) == []
    assert codes(("straight", "ruler")) == []
    assert codes(("straight", "ruler"), ("straight", "print")) == ["print-followed"]


@pytest.mark.parametrize(
    ("kind", "keys", "even"),
    [
        ("straight", {"angle": 90, "spacing": 100}, True),
        ("grid", {"spacing": 100}, True),
        ("waves", {"turned": True}, True),
        ("chevron", {"leg": 50, "spacing": 60}, True),
        ("echo", {"around": "outline", "direction": "inwards", "spacing": 60}, False),
    ],
)
def test_what_is_drawn_even_bends_and_what_starts_from_outlines_does_not(
    kind: str, keys: dict[str, object], even: bool
) -> None:
    """A print bowed by 10 mm: the same layer by the print and by the ruler."""
    section = PrintSection.model_validate({"bow": 10}, context={"units": "mm"})
    bowed = as_printed(plain(600, 300), section)
    by_print, by_ruler = (
        shapely.union_all(drawn(bowed, kind, follow=follow, **keys).geometry)
        for follow in ("print", "ruler")
    )
    apart = shapely.hausdorff_distance(by_print, by_ruler)
    assert (apart > 5) == even
