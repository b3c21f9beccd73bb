"""What is sloppy in a drawing is put right before sewing, and each change is told."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, route
from quiltpath.routing.tidying import tidy_lines

RUNNER = box(0, 0, 400, 200)


def fill(*shapes: object) -> Lines:
    return layer_lines([LineString(shape) for shape in shapes], name="fill")


def sew(lines: Lines, policy: Policy | None = None) -> tuple[int, float, list[str]]:
    """Runs, length sewn, and the codes of what was changed."""
    runs = route(lines, policy or Policy(), RUNNER, 30.0)
    codes = [change.code for change in runs.changes]
    return len(runs), runs.kind_length_mm(PieceKind.LINE), codes


def test_a_hairline_gap_is_closed_and_told() -> None:
    count, length, codes = sew(fill([(10, 50), (100, 50)], [(100.1, 50), (200, 50)]))
    assert (count, codes) == (1, ["gap-closed"])
    assert length == pytest.approx(190)


def test_a_gap_wider_than_the_tolerance_stays() -> None:
    """Half a millimetre is nothing to be mended; a stitch leads across, as over less than 3 mm."""
    count, _, codes = sew(fill([(10, 50), (100, 50)], [(100.5, 50), (200, 50)]))
    assert (count, codes) == (1, [])
    count, _, codes = sew(fill([(10, 50), (100, 50)], [(103.5, 50), (200, 50)]))
    assert (count, codes) == (2, [])


def test_a_ring_that_misses_a_line_by_a_hair_is_joined_to_it_and_told() -> None:
    ring = np.array(Point(100, 100).buffer(40).exterior.coords)
    count, _, codes = sew(fill([(20, 140.1), (200, 140.1)], ring))
    assert (count, codes) == (1, ["gap-closed"])


def test_two_layers_with_the_same_line_sew_it_once_with_the_earlier_role() -> None:
    hold = layer_lines([LineString([(0, 50), (400, 50)])], name="sashing", role=LineRole.HOLD)
    lines = join([fill([(400, 50), (0, 50)], [(0, 90), (400, 90)]), hold])
    runs = route(lines, POLICIES["walking-foot"], RUNNER, 30.0)
    assert sorted(runs.piece_line) == [1, 2], "the hold line is sewn, its double is not"
    assert [change.code for change in runs.changes] == ["sewn-once"]
    assert "fill lies on sashing for 400 mm" in runs.changes[0].message


def test_a_scrap_shorter_than_a_stitch_is_dropped_where_it_stands_alone() -> None:
    count, length, codes = sew(fill([(10, 50), (100, 50)], [(150, 90), (151, 90)]))
    assert (count, codes) == (1, ["short-dropped"])
    assert length == pytest.approx(90)


def test_a_scrap_between_two_lines_joins_them() -> None:
    count, length, codes = sew(
        fill([(10, 50), (100, 50)], [(100, 50), (101, 51)], [(101, 51), (200, 51)])
    )
    assert (count, codes) == (1, ["short-joined"])
    assert length == pytest.approx(90 + np.sqrt(2) + 99)


def test_a_whisker_at_a_junction_is_dropped() -> None:
    count, _, codes = sew(
        fill([(10, 50), (100, 50)], [(100, 50), (200, 50)], [(100, 50), (100, 51)])
    )
    assert (count, codes) == (1, ["short-dropped"])


def test_a_line_without_length_is_told_and_left_out() -> None:
    count, _, codes = sew(fill([(10, 50), (10, 50)], [(10, 90), (100, 90)]))
    assert (count, codes) == (1, ["short-dropped"])


def test_changes_name_their_place() -> None:
    runs = route(fill([(10, 50), (100, 50)], [(100.1, 50), (200, 50)]), Policy(), RUNNER, 30.0)
    assert runs.changes[0].at_mm == pytest.approx((100.0, 50.0), abs=0.2)
    assert "fill" in runs.changes[0].message


def tidy(
    lines: Lines, group: list[int] | None = None, policy: Policy | None = None
) -> tuple[list[tuple[int, float]], list[str]]:
    """Line and length of each edge that is left, and the codes of what was changed."""
    groups = np.zeros(len(lines), dtype=np.intp) if group is None else np.array(group)
    edges, changes = tidy_lines(lines, groups, policy or Policy())
    left = list(zip(edges.line.tolist(), edges.length_mm.round(6).tolist(), strict=True))
    return left, [change.code for change in changes]


SCRAP = [(100, 50), (102, 50)]


@pytest.mark.parametrize(
    ("shapes", "kept"),
    [
        ([SCRAP], False),
        ([SCRAP, [(102, 50), (200, 50)]], True),
        ([SCRAP, [(10, 50), (100, 50)], [(102, 50), (200, 50)]], True),
        ([SCRAP, [(102, 50), (200, 50)], [(102, 50), (102, 90)]], False),
        ([SCRAP, [(10, 50), (100, 50)], [(102, 50), (200, 50)], [(102, 50), (102, 90)]], True),
        ([SCRAP, [(102, 50), (103.5, 50)]], True),
        ([SCRAP, [(102, 50), (102.9, 50)]], False),
        ([SCRAP, [(102, 50), (102, 52), (100, 50)]], True),
    ],
)
def test_a_scrap_is_kept_where_it_lengthens_or_joins_lines(shapes: list, kept: bool) -> None:
    """2 mm, less than one stitch of 3: alone; at the end of a line; between two; a whisker at a
    junction; from a line to a junction; with another scrap to 3.5 mm or to 2.9 mm; in a ring."""
    left, codes = tidy(fill(*shapes))
    assert (0 in [line for line, _ in left]) == kept
    assert codes[0] == ("short-joined" if kept else "short-dropped")
    short = [LineString(shape).length < 3 for shape in shapes]
    assert len(codes) == sum(short)


@pytest.mark.parametrize(("length", "short"), [(2.99, True), (3.0, False)])
def test_a_line_as_long_as_a_stitch_is_a_line(length: float, short: bool) -> None:
    left, codes = tidy(fill([(100, 50), (100 + length, 50)], [(10, 90), (100, 90)]))
    assert len(left) == (1 if short else 2)
    assert codes == (["short-dropped"] if short else [])


@pytest.mark.parametrize(
    ("groups", "kept"),
    [([0, 0, 0], True), ([0, 1, 2], False), ([2, 1, 1], False), ([1, 1, 2], True)],
)
def test_a_scrap_joins_only_lines_that_are_sewn_in_the_same_run(
    groups: list[int], kept: bool
) -> None:
    """Between two lines that are sewn at another time it stands alone."""
    lines = fill(SCRAP, [(10, 50), (100, 50)], [(102, 50), (200, 50)])
    left, codes = tidy(lines, groups)
    assert (len(left), codes) == ((3, ["short-joined"]) if kept else (2, ["short-dropped"]))


def test_the_message_says_which_piece_how_long_and_what_becomes_of_it() -> None:
    group = np.zeros(2, dtype=np.intp)
    _, (change,) = tidy_lines(fill(SCRAP, [(10, 90), (100, 90)]), group, Policy())
    assert change.at_mm == (100, 50)
    assert "a piece of fill is 2.0 mm long" in change.message
    assert change.message.endswith("it is left out")
    _, (change,) = tidy_lines(fill([(102, 50), (200, 50)], SCRAP), group, Policy())
    assert change.message.endswith("it is sewn on with the line that it joins")
    nameless = layer_lines([LineString(SCRAP), LineString([(7, 7), (7, 7)])], name="")
    messages = [change.message for change in tidy_lines(nameless, group, Policy())[1]]
    assert [message.split(" has ")[0].split(" is ")[0] for message in messages] == [
        "line 2",
        "a piece of line 1",
    ]


def test_a_line_without_length_is_told_with_its_place_and_one_without_points_is_passed_over() -> (
    None
):
    lines = layer_lines(
        [LineString([(7, 9), (7, 9)]), LineString(), LineString([(0, 0), (50, 0)])], name="fill"
    )
    edges, (change,) = tidy_lines(lines, np.zeros(len(lines), dtype=np.intp), Policy())
    assert change.at_mm == (7, 9)
    assert "fill has no length" in change.message
    assert edges.length_mm.tolist() == [50]


@pytest.mark.parametrize(("gap", "told"), [(0.0009, False), (0.0011, True), (0.19, True)])
def test_a_gap_is_closed_in_silence_below_a_thousandth_of_a_millimetre(
    gap: float, told: bool
) -> None:
    """The later line's end is moved; how wide the gap was and where it is closed are told."""
    lines = fill([(10, 50), (100, 50)], [(100 + gap, 50), (200, 50)])
    edges, changes = tidy_lines(lines, np.zeros(2, dtype=np.intp), Policy())
    assert edges.ends[1, 0].tolist() == [100, 50]
    assert [change.code for change in changes] == ["gap-closed"] * told
    if told:
        assert changes[0].at_mm == (100, 50)
        assert f"was {gap:.2f} mm from another line" in changes[0].message


@pytest.mark.parametrize(("off", "once"), [(0.045, True), (0.055, False)])
def test_lines_lie_on_each_other_within_a_quarter_of_the_tolerance(off: float, once: bool) -> None:
    """At 0.2 mm: rings drawn to nearly touch are no farther apart than that, and stay two."""
    lines = fill([(10, 50), (100, 50)], [(10, 50 + off), (100, 50 + off)])
    left, codes = tidy(lines)
    assert (len(left) == 1) == once == (codes[:1] == ["sewn-once"])


def test_the_earlier_role_keeps_a_shared_stretch_then_the_earlier_layer_then_the_earlier_line() -> (
    None
):
    """A hold line drawn last over fill; of two layers of fill the first; of two lines the first."""

    def layer(role: LineRole, *ends: tuple[int, int]) -> Lines:
        shapes = [LineString([(low, 50), (high, 50)]) for low, high in ends]
        return layer_lines(shapes, name=role.name.lower(), role=role)

    lines = join([layer(LineRole.FILL, (0, 60)), layer(LineRole.HOLD, (40, 100))])
    assert tidy(lines)[0] == [(0, 40), (1, 60)]
    lines = join([layer(LineRole.FILL, (0, 60)), layer(LineRole.FILL, (40, 100))])
    assert tidy(lines)[0] == [(0, 60), (1, 40)]
    assert tidy(layer(LineRole.FILL, (0, 60), (40, 100)))[0] == [(0, 60), (1, 40)]


@pytest.mark.parametrize(("along", "told"), [(0.5, False), (2.0, True)])
def test_where_a_line_ends_upon_another_nothing_is_told(along: float, told: bool) -> None:
    """It lies on the other for half a millimetre, or for two."""
    lines = fill([(10, 50), (200, 50)], [(80, 70), (100, 50), (100 + along, 50)])
    _, _, codes = sew(lines)
    assert ("sewn-once" in codes) is told
