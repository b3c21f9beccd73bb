"""Wadding limits are common practice, or the packet's; the remedy is the widest that passes."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from shapely.geometry import LineString, Point, box

import quiltpath
from quiltpath.checks import (
    WADDING_KINDS,
    Gap,
    Gaps,
    is_too_wide,
    spacing_remedy,
    wadding,
    wadding_limit_mm,
    widest_gaps,
    widest_passing_spacing,
)
from quiltpath.checks.largest_empty_circle import leaves_wider_than
from quiltpath.checks.wadding import MOST_TRIES, MOST_TRIES_IF_SLOW, gap_findings
from quiltpath.errors import InputError
from quiltpath.findings import Remedy
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.layer import Layer
from tests.checks.drawings import parallel, random_drawing

RUNNER = box(0, 0, 800, 320)
INCH = 25.4


@pytest.mark.parametrize(
    ("kind", "careful", "most"),
    [
        ("cotton with scrim", 8, 10),
        ("cotton", 2, 4),
        ("polyester", 3, 4),
        ("wool", 3, 4),
        ("insulated", 3, 4),
    ],
)
def test_kinds_have_the_usual_range_and_are_held_to_its_careful_end(
    kind: str, careful: float, most: float
) -> None:
    """Common practice of the trade."""
    (known,) = [row for row in WADDING_KINDS if row.name == kind]
    assert (known.careful_in, known.most_in) == (careful, most)
    assert wadding_limit_mm(kind, None) == pytest.approx(careful * INCH)


def test_the_packet_counts_more_than_the_kind() -> None:
    assert wadding_limit_mm("cotton", 100.0) == 100.0
    assert wadding_limit_mm(None, None) is None


def test_an_unknown_kind_is_answered_with_those_known() -> None:
    with pytest.raises(ValueError, match="cotton with scrim, cotton, polyester"):
        wadding_limit_mm("kapok", None)


def test_a_deleted_line_fails_against_the_limit_and_is_marked() -> None:
    """Quilters' example: 40 mm lines pass a limit of 75 mm; with one deleted the gap is 80."""
    lines = parallel(40, RUNNER)
    assert gap_findings(widest_gaps(lines, RUNNER), 75.0) == ()
    fewer = [line for line in lines if line.coords[0][1] != 160]
    (finding,) = gap_findings(widest_gaps(fewer, RUNNER), 75.0)
    assert finding.fails and finding.code == "gap-too-wide"
    assert finding.at_mm is not None and finding.at_mm[1] == pytest.approx(160, abs=0.1)
    assert "80 mm" in finding.message and "75 mm" in finding.message


def test_lines_at_the_limit_itself_pass() -> None:
    """A limit is the distance that still holds."""
    gaps = widest_gaps(parallel(76.2, RUNNER, first=7.6), RUNNER)
    assert gaps.widest_mm == pytest.approx(76.2, abs=0.01)
    assert not is_too_wide(gaps, 76.2)


def test_frequent_washing_is_a_remark_and_no_failure() -> None:
    """Stricter figure for what is often washed, 75 mm (quilters' advice, common practice)."""
    gaps = widest_gaps(parallel(80, RUNNER), RUNNER)
    (finding,) = gap_findings(gaps, 203.2, often_washed_mm=75.0)
    assert not finding.fails and finding.code == "gap-often-washed"
    assert (
        gap_findings(widest_gaps(parallel(40, RUNNER), RUNNER), 203.2, often_washed_mm=75.0) == ()
    )


def test_no_wadding_no_verdict() -> None:
    assert gap_findings(widest_gaps([], RUNNER), None) == ()


def test_the_remedy_is_asked_only_where_it_is_needed() -> None:
    def never() -> Remedy:
        raise AssertionError("asked although the gap passes")

    assert gap_findings(widest_gaps(parallel(40, RUNNER), RUNNER), 75.0, never) == ()


@pytest.mark.parametrize("seed", range(20))
def test_the_quick_answer_agrees_with_the_measured_circle(seed: int) -> None:
    lines, outline = random_drawing(seed)
    widest = widest_gaps(lines, outline, count=1, tolerance_mm=0.05).widest_mm
    assert not leaves_wider_than(widest + 0.2, lines, outline)
    assert leaves_wider_than(widest - 0.2, lines, outline)


@pytest.mark.parametrize(
    ("limit_in", "spacing_in"), [(3, 3), (3.06, 3), (2.99, 2.875), (2, 2), (0.25, 0.25)]
)
def test_parallel_lines_may_be_as_wide_as_the_limit_to_an_eighth(
    limit_in: float, spacing_in: float
) -> None:
    """Lines at s leave a circle of s: the answer is the limit, rounded down to 1/8 in."""
    wide = box(0, 0, 800, 20 * INCH)

    def drawn(spacing: float) -> list[LineString]:
        return parallel(spacing, wide)

    found = widest_passing_spacing(drawn, [], wide, limit_in * INCH, 5 * INCH)
    assert found == pytest.approx(spacing_in * INCH)


def test_the_next_wider_step_fails_and_the_answer_passes() -> None:
    """Hanging diamonds on a pointed runner beside rings: nothing that a formula would give."""
    outline = box(0, 0, 400, 200).union(Point(400, 100).buffer(60))
    rings = [Point(100, 100).buffer(30).exterior]

    def drawn(spacing: float) -> list[LineString]:
        return parallel(spacing, outline, 60) + parallel(spacing, outline, -60)

    limit = 45.0
    found = widest_passing_spacing(drawn, rings, outline, limit, 120.0)
    assert found is not None
    assert widest_gaps([*drawn(found), *rings], outline, 1).widest_mm <= limit + 0.1
    wider = found + INCH / 8
    assert widest_gaps([*drawn(wider), *rings], outline, 1).widest_mm > limit


def test_spacings_that_nobody_would_sew_do_not_hide_wider_ones_that_pass() -> None:
    """A free curve that is refused below an inch: what is told is within 1/4 in of the limit,
    and no more is drawn than of what takes long."""
    wide, tried = box(0, 0, 800, 20 * INCH), []

    def drawn(spacing: float) -> list[LineString]:
        tried.append(spacing)
        if spacing < INCH:
            raise InputError("", "spacing", "it is too close", "give 1 in")
        return parallel(spacing, wide)

    found = widest_passing_spacing(drawn, [], wide, 2 * INCH, 2.25 * INCH, slow=True)
    assert found is not None and 1.75 * INCH <= found <= 2 * INCH
    assert len(tried) == len(set(tried)) <= MOST_TRIES_IF_SLOW
    none = widest_passing_spacing(drawn, [], wide, 0.9 * INCH, 2.25 * INCH, slow=True)
    assert none is None, "what passes is closer than anybody would sew"


def test_a_place_that_the_layer_never_reaches_has_no_passing_spacing() -> None:
    bare_end = box(500, 0, 800, 320)

    def drawn(spacing: float) -> list[LineString]:
        return [
            part
            for line in parallel(spacing, RUNNER)
            if (part := line.difference(bare_end)).length > 0
        ]

    assert widest_passing_spacing(drawn, [], RUNNER, 100.0, 150.0) is None
    assert "inside that place" in spacing_remedy("'fill'", None)
    assert "1 1/4 in (32 mm)" in spacing_remedy("'fill'", 31.75)


@pytest.mark.parametrize(
    ("spacing", "least", "limit", "found"),
    [
        (10, 2, 7.5, 7),
        (10, 2, 8.5, 8),
        (10, 2, 9.5, 9),
        (10, 2, 12.5, 9),  # closer than now is asked for
        (10.2, 2, 12.5, 10),
        (10, 2, 2.5, 2),
        (10, 2, 1.5, None),
        (3, 2, 2.5, 2),
        (2, 2, 2.5, None),
        (10, 4, 4.5, 4),
        (10, 4, 3.5, None),
        (4, 4, 9.5, None),
    ],
)
def test_eighths_are_tried_from_the_next_below_down_to_the_least(
    spacing: float, least: int, limit: float, found: int | None
) -> None:
    """All in eighths of an inch; parallel lines leave circles as wide as their spacing."""
    eighth = INCH / 8
    wide = box(0, 0, 600, 420 * eighth)

    def drawn(each: float) -> list[LineString]:
        return parallel(each, wide)

    answer = widest_passing_spacing(
        drawn, [], wide, limit * eighth, spacing * eighth, least * eighth
    )
    assert answer == (None if found is None else pytest.approx(found * eighth))


def gaps_of(*diameters: float) -> Gaps:
    """Empty circles of these diameters, 100 mm apart along the runner."""
    return Gaps(
        tuple(Gap((100.0 * k, 160.0), wide, wide + 0.1) for k, wide in enumerate(diameters, 1))
    )


@pytest.mark.parametrize(("over", "told"), [(0.04, False), (0.06, True)])
def test_less_than_anybody_can_sew_is_not_over_the_limit(over: float, told: bool) -> None:
    gaps = gaps_of(75.0 + over, 60.0)
    assert is_too_wide(gaps, 75.0) == told
    assert len(gap_findings(gaps, 75.0)) == told
    assert len(gap_findings(gaps, 203.2, often_washed_mm=75.0)) == told
    assert not is_too_wide(gaps, None)


def test_the_place_told_is_the_widest() -> None:
    gaps = gaps_of(90.0, 85.0, 80.0)
    (fails,) = gap_findings(gaps, 75.0, lambda: Remedy("mend it"), often_washed_mm=75.0)
    (remark,) = gap_findings(gaps, 203.2, often_washed_mm=75.0)
    assert fails.at_mm == remark.at_mm == (100.0, 160.0)
    assert (fails.code, fails.remedy) == ("gap-too-wide", "mend it")


def test_a_spacing_of_a_quarter_inch_is_the_closest_that_is_offered() -> None:
    """Closer is matchstick quilting, which nobody chooses for the wadding's sake."""
    small = box(0, 0, 60, 8 * INCH / 4)

    def drawn(spacing: float) -> list[LineString]:
        return parallel(spacing, small)

    assert widest_passing_spacing(drawn, [], small, 0.26 * INCH, 0.5 * INCH) == INCH / 4
    assert widest_passing_spacing(drawn, [], small, 0.13 * INCH, 0.5 * INCH) is None


@pytest.mark.parametrize("spacing_mm", [600.0, 50_000.0])
def test_the_search_for_a_remedy_has_an_end(spacing_mm: float) -> None:
    """However wide the spacing is: parallel lines at s leave a circle of s."""
    wide = box(0, 0, 3000, 1000)
    tried: list[float] = []

    def drawn(spacing: float) -> list[LineString]:
        tried.append(spacing)
        return parallel(spacing, wide)

    found = widest_passing_spacing(drawn, [], wide, 100.0, spacing_mm)
    assert found is not None and 80.0 < found <= 100.0
    assert len(tried) <= MOST_TRIES + 1
    assert max(tried) <= 3300.0  # no wider than the cloth from corner to corner


@pytest.mark.parametrize(
    ("written", "like"),
    [
        ("Cotton 80/20", "cotton"),
        ("cotton batting", "cotton"),
        ("poly", "polyester"),
        ("Wool wadding", "wool"),
        ("cotton scrim", "cotton with scrim"),
    ],
)
def test_other_names_of_a_wadding_are_understood(written: str, like: str) -> None:
    assert wadding_limit_mm(written, None) == wadding_limit_mm(like, None)


def test_a_slow_layer_that_never_reaches_the_gap_is_not_drawn_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A stipple in one block of two, and a wide gap in the other."""
    drawn: list[str] = []

    def noted(runner: Runner, layers: Sequence[Layer]) -> Lines:
        drawn.extend(layer.kind for layer in layers)
        return draw(runner, layers)

    monkeypatch.setattr(wadding, "draw", noted)
    project = quiltpath.parse(
        'units = "mm"\nrunner = { length = 400, width = 180, size_is = "flat" }\n'
        "grid = { along = 2, across = 1, sashing = 20, outer_sashing = 10 }\n"
        'wadding = { limit = 60 }\n[[quilting]]\nkind = "stipple"\nspacing = 15\nregion = "A1"\n'
    )
    (told,) = [
        found for found in quiltpath.compute(project).findings if found.code == "gap-too-wide"
    ]
    assert "no spacing of 'stipple' closes it" in str(told.remedy)
    assert drawn == ["straight"]
