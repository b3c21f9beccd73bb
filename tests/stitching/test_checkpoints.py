"""Taking sewing up again: every stitch is in the earlier part or in the rest, some in both."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from quiltpath.patterns import draw
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import policy_named, route
from quiltpath.stitching import PointKind, Stitches, place
from quiltpath.stitching.checkpoints import checkpoints, overlap_start, stitches_left
from tests.patterns.runners import disc, layer, plain
from tests.stitching.sewing import runs_of

RUNNER = plain(900, 400, motifs=(disc(450, 200, 60),))
SETTING = StitchSection()
DESIGNS = {
    "one line": ("continuous", [layer("one-line-crosshatch", spacing=40)]),
    "many lines": ("walking-foot", [layer("grid", spacing=30, clearance=8), layer("motif")]),
    "rings": ("hoop", [layer("echo", spacing=12, rings=4)]),
}


def sewn(name: str) -> Stitches:
    policy, layers = DESIGNS[name]
    runs = route(draw(RUNNER, layers), policy_named(policy), RUNNER.outline, RUNNER.margin_mm)
    return place(runs, SETTING)


def stitched(stitches: Stitches, until: int | None = None) -> Counter:
    """Every stitch as its two needle points, counted."""
    ends = np.flatnonzero(stitches.stretch[:until] >= 0)
    pairs = np.round(np.hstack([stitches.points[ends - 1], stitches.points[ends]]), 6)
    return Counter(map(tuple, pairs.tolist()))


@pytest.mark.parametrize("name", DESIGNS)
def test_earlier_part_and_rest_cover_the_whole_path(name: str) -> None:
    """Every checkpoint of every design, stitch by stitch."""
    whole = sewn(name)
    marks = checkpoints(whole, 800.0)
    assert len(marks) >= 2 and marks.done_mm[0] == 0
    for point in marks.point.tolist():
        earlier, rest = stitched(whole, point + 1), stitched(stitches_left(whole, point))
        assert earlier + rest >= stitched(whole) >= rest
        twice = sum((earlier + rest - stitched(whole)).values())
        overlap = whole.stretch[overlap_start(whole, point) + 1 : point + 1]
        assert twice == np.count_nonzero(overlap >= 0)


@pytest.mark.parametrize("name", DESIGNS)
def test_the_overlap_is_10_to_20_mm_or_from_the_start_of_the_run(name: str) -> None:
    whole = sewn(name)
    for point in checkpoints(whole, 300.0).point.tolist():
        first = overlap_start(whole, point)
        overlap = whole.step_mm[first + 1 : point + 1].sum()
        from_start = whole.kind[first - 1] == PointKind.TRAVEL
        assert 10 <= overlap <= 20 or (from_start and overlap < 10)


def test_every_checkpoint_lies_about_its_distance_on_at_a_start_where_one_is_near() -> None:
    whole = sewn("many lines")
    marks = checkpoints(whole, 1000.0)
    turns = np.round(marks.done_mm / 1000 + 0.24) * 1000
    assert ((turns - marks.done_mm <= 500 + 3.5) & (marks.done_mm - turns <= 3.5)).all()
    assert (whole.kind[marks.point - 1] == PointKind.TRAVEL).mean() > 0.8


def test_the_rest_is_a_proper_set_of_stitches() -> None:
    """It travels to its first needle point, goes down there, and ends as the whole ends."""
    whole = sewn("one line")
    rest = stitches_left(whole, int(checkpoints(whole).point[3]))
    assert rest.kind[0] == PointKind.TRAVEL and (rest.points[0] == rest.points[1]).all()
    assert rest.run[0] == 0 and len(np.unique(rest.run)) == rest.trims == 1
    assert (rest.points[-1] == whole.points[-1]).all()
    assert rest.step_mm[rest.is_stitch].max() <= 3.5 + 1e-6
    assert 0 < rest.pivots < whole.pivots
    for _, number, index in rest.forced_short:
        assert rest.stretch[int(index)] >= 0 and number >= 1


def test_taking_up_from_the_start_is_the_whole_again() -> None:
    whole = sewn("many lines")
    assert stitched(stitches_left(whole, int(checkpoints(whole).point[0]))) == stitched(whole)


def test_nothing_to_sew_has_no_checkpoints() -> None:
    empty = place(
        route(draw(RUNNER, []), policy_named("hoop"), RUNNER.outline, RUNNER.margin_mm), SETTING
    )
    none = checkpoints(empty)
    assert len(none) == 0
    assert none.at_mm.shape == (0, 2) and none.done_mm.shape == (0,)


def straight(stitch_mm: float, *counts: int) -> Stitches:
    """Runs of so many even stitches along x, built by hand: travel, needle down, stitches."""
    points, kind, run, stretch = [], [], [], []
    for number, count in enumerate(counts):
        x = stitch_mm * np.arange(count + 1)
        points += [[0.0, 10.0 * number], *([at, 10.0 * number] for at in x)]
        kind += [PointKind.TRAVEL] + [PointKind.STITCH] * (count + 1)
        run += [number] * (count + 2)
        stretch += [-1, -1] + [number] * count
    return Stitches(
        points=np.array(points, dtype=float),
        kind=np.array(kind, dtype=np.int8),
        run=np.array(run, dtype=np.int32),
        line=np.where(np.array(stretch) >= 0, np.array(run), -1).astype(np.int32),
        stretch=np.array(stretch, dtype=np.int32),
        forced_short=np.zeros((0, 3)),
    )


@pytest.mark.parametrize(
    ("stitch_mm", "done", "back"),
    [
        (3.0, 40, 5),  # 12, 15 and 18 mm fit; 15 is the middle of 10 to 20
        (2.0, 40, 8),  # 14 and 16 are as near to 15: the longer overlap holds better
        (11.0, 40, 1),
        (10.0, 40, 2),
        (20.0, 40, 1),
        (5.0, 2, 2),
        (3.0, 3, 3),  # only 9 mm of the run: all of it
        (25.0, 4, 0),  # no stitch ends within 20 mm: from the needle point itself
        (3.0, 0, 0),
    ],
)
def test_sewing_is_taken_up_as_near_to_15_mm_before_as_stitches_allow(
    stitch_mm: float, done: int, back: int
) -> None:
    """Counted in stitches; the run before it is none of its business."""
    whole = straight(stitch_mm, 30, 60)
    start = 32 + 1  # 32 points of the first run, and the travel
    taken = overlap_start(whole, start + done)
    assert taken == start + done - back


@pytest.mark.parametrize(
    ("counts", "every", "at"),
    [
        ((1000,), 1000.0, [0.0, 1002.0, 2001.0]),
        ((233, 300, 467), 1000.0, [0.0, 699.0, 1599.0]),
        ((100, 900), 1000.0, [0.0, 1002.0, 2001.0]),
        ((1000, 500), 3000.0, [0.0, 3000.0]),
        ((160, 10), 1000.0, [0.0]),
        ((167, 800), 1000.0, [0.0, 501.0, 2001.0]),
        ((166, 800), 1000.0, [0.0, 1002.0, 2001.0]),
    ],
)
def test_checkpoints_by_hand(counts: tuple[int, ...], every: float, at: list[float]) -> None:
    """Stitches of 3 mm: at each whole metre, or at a start of a run up to half a metre before."""
    marks = checkpoints(straight(3.0, *counts), every)
    assert marks.done_mm.tolist() == at


def test_the_rest_counts_its_runs_from_nought() -> None:
    whole = straight(3.0, 30, 60)
    rest = stitches_left(whole, 33 + 40)
    assert rest.points[:3].tolist() == [[105.0, 10.0], [105.0, 10.0], [108.0, 10.0]]
    assert set(rest.run.tolist()) == {0}
    assert set(rest.stretch[2:].tolist()) == {1}
    assert rest.stretch[:2].tolist() == rest.line[:2].tolist() == [-1, -1]
    assert rest.line[2:].tolist() == [1] * 25
    assert rest.stitched_mm == pytest.approx(25 * 3.0)
    assert rest.stitch_count == 25


@pytest.mark.parametrize(
    ("holes_mm", "taken"),
    [
        ([0, 8.7, 19.5], 1),  # 10.8 mm back is nearer to 15 than 19.5
        ([0, 9.6, 19.5], 0),  # 9.9 mm are too little to hold
        ([0, 11.5, 20.5], 1),  # 20.5 mm are more than is worth it: 9 instead
        ([0, 11.5, 19.9], 0),
        ([0, 5, 25, 45.5], 3),  # the stitch before is 20.5 mm long
    ],
)
def test_the_overlap_keeps_to_10_to_20_mm_where_stitches_are_uneven(
    holes_mm: list[float], taken: int
) -> None:
    """Of a run that ends at the last of these holes, the one at which sewing is taken up there."""
    whole = straight(1.0, len(holes_mm) - 1)
    points = whole.points.copy()
    points[1:, 0] = holes_mm
    whole = replace(whole, points=points)
    assert overlap_start(whole, len(holes_mm)) == 1 + taken


def test_checkpoints_come_every_two_metres_and_none_at_the_very_end() -> None:
    """6 m in stitches of 3 mm: at nought, and at the first needle points from 2 and 4 m on."""
    marks = checkpoints(straight(3.0, 2000))
    assert marks.done_mm.tolist() == [0, 2001, 4002]
    assert marks.point.tolist() == [1, 1 + 667, 1 + 1334]
    assert marks.at_mm.tolist() == [[0, 0], [2001, 0], [4002, 0]]
    longer = checkpoints(straight(3.0, 2001))
    assert longer.done_mm.tolist() == [0, 2001, 4002, 6000]


@pytest.mark.parametrize(
    ("stitch_mm", "counts", "every", "points"),
    [
        (3.2, (100, 200), 320.0, [1, 103, 203]),  # a run starts just where its turn is
        (3.2, (300,), 320.0, [1, 101, 201]),
        (3.0, (334, 400), 1001.5, [1, 335, 671]),  # a start half a millimetre late is too late
        (3.0, (334, 400), 1002.5, [1, 337, 672]),  # one half a millimetre early is taken
    ],
)
def test_a_checkpoint_is_a_start_of_a_run_where_that_comes_no_later(
    stitch_mm: float, counts: tuple[int, ...], every: float, points: list[int]
) -> None:
    """Counted in needle points: each run has one for its travel and one for its start."""
    assert checkpoints(straight(stitch_mm, *counts), every).point.tolist() == points


def test_what_is_done_is_what_was_stitched_before() -> None:
    """Jumps do not count; securing does."""
    whole = sewn("rings")
    marks = checkpoints(whole, 700.0)
    pairs = zip(marks.point.tolist(), marks.done_mm.tolist(), marks.at_mm, strict=True)
    for point, done, at in pairs:
        before = {
            name: getattr(whole, name)[: point + 1]
            for name in ("points", "kind", "run", "line", "stretch")
        }
        assert done == pytest.approx(replace(whole, **before).stitched_mm)
        assert at.tolist() == whole.points[point].tolist()


CORNERED = runs_of(
    [(0, 0), (30, 0), (30, 5), (70, 5)],
    [(0, 50), (40, 50), (40, 90), (44, 90)],
    [(0, 99), (64, 99)],
)
"""Six stretches with two corners in each of the first two runs; the ones of 5 and of 4 mm are too
short for whole stitches of 3 mm."""


def test_the_rest_has_the_corners_and_the_short_stretches_that_are_still_to_sew() -> None:
    """Taken up anywhere: a corner counts where it is sewn up to, a short stretch where its first
    stitch is sewn; all else is as it was."""
    whole = place(CORNERED, SETTING.replaced(securing="tails"))
    assert whole.pivots == 4 and len(whole.forced_short) == 2
    corners = [
        int(np.flatnonzero((whole.points == spot).all(axis=1))[0])
        for spot in ((30, 0), (30, 5), (40, 50), (40, 90))
    ]
    for point in np.flatnonzero(whole.kind == PointKind.STITCH).tolist():
        first, rest = overlap_start(whole, point), stitches_left(whole, point)
        assert rest.pivots == sum(corner > first for corner in corners)
        short = [row for row in whole.forced_short.tolist() if row[2] > first]
        assert rest.forced_short[:, :2].tolist() == [row[:2] for row in short]
        for row, index in zip(short, rest.forced_short[:, 2].astype(int), strict=True):
            assert rest.points[index].tolist() == whole.points[int(row[2])].tolist()
        for name in ("points", "kind", "line", "stretch"):
            assert getattr(rest, name)[2:].tolist() == getattr(whole, name)[first + 1 :].tolist()
        assert (rest.run[2:] == whole.run[first + 1 :] - whole.run[first]).all()
        assert rest.points[:2].tolist() == 2 * [whole.points[first].tolist()]
        assert rest.kind[:2].tolist() == [PointKind.TRAVEL, PointKind.STITCH]


def test_where_securing_gives_way_to_sewing_is_no_corner() -> None:
    whole = place(runs_of([(0, 0), (60, 0)], secured=True), SETTING)
    assert stitches_left(whole, 1).pivots == whole.pivots == 0
