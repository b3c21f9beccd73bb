"""Passes chosen by what they cost a person, held against enumeration and against a ruler."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, box

from quiltpath.jobs.machine_files import machine_files
from quiltpath.machine import MachineProfile
from quiltpath.machine.frame_lays import FramedWork, clip_pieces, frame_lays, lay_remedy
from quiltpath.machine.part_choice import PartCost
from quiltpath.machine.pass_bands import HidingGrade, PassBands
from quiltpath.machine.pass_cutting import Pieces
from quiltpath.machine.pass_search import FoundPasses, PassSearch, best_passes, lays_of
from quiltpath.machine.passes import FramedCloth, PassSewing, SplitPasses, route_passes
from quiltpath.patterns.lines import layer_lines
from quiltpath.project import parse
from quiltpath.project.sewing_sections import MachineSection, StitchSection
from quiltpath.result.computing import compute
from quiltpath.result.machine_parts import MachineParts, Refusal
from quiltpath.result.values import Result
from quiltpath.routing import policy_named
from tests.formats.dst_decoder import decode_dst

SEWING = PassSewing(policy_named("continuous"), StitchSection())
CLOTH = box(0, 0, 300, 200)
OVER, MARGIN = 12.0, 50.0


def frame(depth: float, rail: float = 600.0, *, turns: bool = False) -> MachineProfile:
    return MachineProfile.model_validate(
        {
            "title": "A frame",
            "kind": "longarm",
            "field": {"along": f"{rail} mm", "across": f"{depth} mm"},
            "turns": turns,
            "formats": ["dst"],
        }
    )


def work_of(*shapes: list[tuple[float, float]]) -> FramedWork:
    lines = layer_lines([LineString(shape) for shape in shapes], name="test")
    pieces = Pieces(lines.geometry, np.arange(len(lines), dtype=np.int32))
    return FramedWork(lines, pieces, CLOTH, MARGIN)


def upright(*x: float) -> list[list[tuple[float, float]]]:
    return [[(at, -OVER), (at, 200 + OVER)] for at in x]


def level(*y: float) -> list[list[tuple[float, float]]]:
    return [[(-OVER, at), (300 + OVER, at)] for at in y]


DRAWINGS = {
    "three lines up": upright(60, 150, 240),
    "a grid": [*upright(60, 150, 240), *level(70, 131)],
    "one line across, off the middle": [*upright(60, 150, 240), *level(81)],
    "slanted": [[(-OVER, y), (300 + OVER, y + 80)] for y in (0, 40, 80, 120)],
    "in two halves": [
        *[[(x, 10), (x, 84)] for x in (60, 150, 240)],
        *[[(x, 96), (x, 190)] for x in (40, 130, 220)],
    ],
}


def found_for(drawing: str, depth: float, overlaps: tuple[float, ...] = (12.0, 4.0)) -> FoundPasses:
    work, profile = work_of(*DRAWINGS[drawing]), frame(depth)
    lays = lays_of(work, profile, PassSearch(overlaps, 12.0))
    return best_passes(work, lays, profile, SEWING)


def _cut_level(work: FramedWork, y: float) -> SplitPasses | None:
    """Every line cut where it meets the height ``y``, by nobody's choice but the height's."""
    sides: tuple[list[object], list[object]] = ([], [])
    origins: tuple[list[int], list[int]] = ([], [])
    for origin, line in enumerate(work.pieces.shape):
        lower = shapely.intersection(line, box(-400, -400, 700, y))
        for upper, side in enumerate((lower, shapely.difference(line, lower))):
            for part in shapely.get_parts(side):
                if part.length > 0:
                    sides[upper].append(part)
                    origins[upper].append(origin)
    if not all(sides):
        return None
    made = []
    for shapes, origin in zip(sides, origins, strict=True):
        held = np.empty(len(shapes), dtype=object)
        held[:] = shapes
        made.append(Pieces(held, np.array(origin, dtype=np.int32)))
    return SplitPasses(tuple(made), ((),))


def _cuts_at(work: FramedWork, y: float) -> tuple[int, int]:
    """Open and hidden cuts counted with a ruler: hidden where another line is met within half a
    millimetre."""
    hidden = open_ = 0
    knife = LineString([(-400, y), (700, y)])
    for index, line in enumerate(work.pieces.shape):
        met = shapely.intersection(line, knife)
        for x, at in shapely.get_coordinates(met).tolist() if met.length == 0 else []:
            others = [o for k, o in enumerate(work.pieces.shape) if k != index]
            near = min((shapely.distance(o, shapely.Point(x, at)) for o in others), default=99.0)
            hidden, open_ = hidden + (near <= 0.5), open_ + (near > 0.5)
    return open_, hidden


def _starts_at(work: FramedWork, y: float, depth: float) -> int:
    split = _cut_level(work, y)
    assert split is not None
    _, low, _, high = work.bounds
    cloth = FramedCloth(CLOTH, MARGIN, (-150.0, 450.0))
    made = route_passes(split, work.lines, PassBands(low, high, depth, 4.0), SEWING, cloth)
    return sum(len(each.runs) for each in made.passes)


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_no_height_of_all_that_both_passes_reach_costs_less(drawing: str) -> None:
    """Each line cut right there, every two millimetres and at each crossing line. Only where as
    few cuts lie open are the starts to be known."""
    work, depth = work_of(*DRAWINGS[drawing]), 150.0
    _, low, _, high = work.bounds
    ours = found_for(drawing, depth).choice.taken.cost
    tried = 0
    for y in sorted({*np.arange(np.ceil(high - depth), low + depth, 2.0).tolist(), 81.0, 131.0}):
        if _cut_level(work, y) is None:
            continue
        open_, hidden = _cuts_at(work, y)
        tried += 1
        assert ours.open_cuts <= open_
        if open_ == ours.open_cuts:
            assert (ours.starts, ours.hidden_cuts) <= (_starts_at(work, y, depth), hidden)
    assert tried > 25


def test_a_height_that_no_line_crosses_is_taken_and_nothing_is_cut() -> None:
    found = found_for("in two halves", 150.0)
    assert found.choice.taken.cost.cuts == 0
    assert {len(each.lines) for each in found.sewn.passes} == {3}


def test_only_the_room_that_the_way_along_the_margin_needs_is_kept_free() -> None:
    """Lines run on by 12 mm, so the way lies 12 mm out and no further, though 50 mm are there:
    150 mm reach from -12.1 to 137.9 and from 62.1 to 212.1, where half the margin, 25 mm, would
    leave a crossing line at 131 mm out of reach of the lower pass."""
    lines = [*upright(60, 150, 240), *level(131)]
    work, profile = work_of(*lines), frame(150.0)
    found = best_passes(work, lays_of(work, profile, PassSearch((12.0,), 12.0)), profile, SEWING)
    assert {cut.hiding for cuts in found.sewn.cuts for cut in cuts} <= {
        HidingGrade.JOINS, HidingGrade.CROSSES,
    }  # fmt: skip
    assert {round(cut.at_mm[1]) for cuts in found.sewn.cuts for cut in cuts} == {131}


def test_a_lesser_overlap_is_taken_where_it_saves_a_pass() -> None:
    """224 mm in two passes of 115 mm overlap by 6 mm; with 12 mm they would reach 218 mm."""
    found = found_for("a grid", 115.0)
    assert found.choice.taken.cost.loadings == 2
    assert found.choice.taken.way.overlap_mm == 4.0
    wide = found_for("a grid", 115.0, (12.0,))
    assert wide.choice.taken.cost.loadings == 3


def test_lines_end_sooner_where_that_saves_a_pass() -> None:
    """224 mm deep with an overrun of 12 mm, 212 mm with one of 6: one pass of 215 mm is enough."""
    work, profile = work_of(*DRAWINGS["a grid"]), frame(215.0)
    found = best_passes(work, lays_of(work, profile, PassSearch((12.0,), 6.0)), profile, SEWING)
    assert found.choice.taken.cost == PartCost(1, 0, 1, 0, 0)
    assert found.choice.taken.way.overrun_mm == 6.0
    assert found.choice.runner_up is not None
    assert found.choice.runner_up.cost.loadings == 2
    (only,) = found.sewn.passes
    assert only.stitches.needle_holes[:, 1].min() >= -6.0 - 1e-6


@pytest.mark.parametrize(
    ("rail", "turns", "passes"),
    [(330.0, False, 2), (320.0, False, None), (320.0, True, 3), (200.0, True, None)],
)
def test_a_runner_too_long_for_the_rail_lies_crosswise_where_it_may(
    rail: float, turns: bool, passes: int | None
) -> None:
    """324 by 224 mm: along a rail of 330 mm in two passes of 120 mm; crosswise along one of 320 mm
    in three, 324 mm deep; along one of 200 mm not at all."""
    work, profile = work_of(*DRAWINGS["a grid"]), frame(120.0, rail, turns=turns)
    lays = lays_of(work, profile, PassSearch((12.0,), 12.0))
    able = [lay for lay in lays if lay.allowed and lay.passes is not None]
    if passes is None:
        assert not able
        return
    found = best_passes(work, lays, profile, SEWING)
    assert len(found.sewn.passes) == passes
    assert found.sewn.crosswise == (rail < 324)


def test_a_refusal_offers_every_lay_that_would_do() -> None:
    """By hand: crosswise it is 324 mm deep, in passes of 120 mm that share 12: three."""
    work = work_of(*DRAWINGS["a grid"])
    short = frame(120.0, 300.0)
    told = lay_remedy(lays_of(work, short, PassSearch((12.0,), 12.0)), short)
    assert "laid crosswise, a quarter turned, it takes 3 passes" in told
    assert "machine.turns = true" in told
    assert "the smallest rail that would do lengthwise is 12 3/4 in (324 mm)" in told
    shorter = frame(120.0, 200.0)
    told = lay_remedy(lays_of(work, shorter, PassSearch((12.0,), 12.0)), shorter)
    assert "lengthwise is 12 3/4 in (324 mm)" in told
    assert "crosswise 8 7/8 in (224 mm)" in told


def test_every_lay_is_reckoned() -> None:
    lays = frame_lays((324.0, 224.0), (6.0, (312.0, 212.0)), frame(120.0, 320.0), (12.0, 4.0))
    reckoned = [(lay.crosswise, lay.overrun_mm, lay.overlap_mm, lay.passes) for lay in lays]
    assert reckoned == [
        (False, None, 12.0, None), (False, None, 4.0, None),
        (False, 6.0, 12.0, 2), (False, 6.0, 4.0, 2),
        (True, None, 12.0, 3), (True, None, 4.0, 3),
        (True, 6.0, 12.0, 3), (True, 6.0, 4.0, 3),
    ]  # fmt: skip
    assert [lay.allowed for lay in lays] == [True] * 4 + [False] * 4


def test_passes_crosswise_sew_every_line_where_it_lies_on_the_runner() -> None:
    made = sashed(rail=700, depth=330, turns=True)
    assert all(part.field.turned for part in made.parts)
    together = shapely.multipoints(np.vstack([part.stitches.needle_holes for part in made.parts]))
    lines = shapely.segmentize(sashed_result(700, 330, True).lines.geometry, 20.0)
    away = shapely.distance(shapely.points(shapely.get_coordinates(lines)), together)
    # What runs on beyond the edge may be left out, where that saved a pass.
    assert np.median(away) <= 1.8
    assert away.max() <= 12.0
    usable = np.array(made.profile.usable)
    for part in made.parts:
        assert (np.ptp(part.machine_stitches.points, axis=0) <= usable + 1e-6).all()


def test_files_of_passes_crosswise_laid_where_the_report_says_are_the_whole() -> None:
    """DST by the tests' own decoder, turned back a quarter to the left about its middle."""
    result = sashed_result(700, 330, True)
    files = {file.name: file.content for file in machine_files(result)}
    made = sashed(700, 330, True)
    found = []
    for part in made.parts:
        holes = decode_dst(files[f"machine/{part.name}.dst"]).holes_mm
        found.append(np.column_stack([-holes[:, 1], holes[:, 0]]) + np.array(part.field.centre))
    sewn = np.vstack([part.stitches.needle_holes for part in made.parts])
    assert np.vstack(found) == pytest.approx(sewn, abs=0.11)
    sheet = files["machine/LOADING.txt"].decode()
    assert "Load the runner crosswise" in sheet
    assert "turned a quarter to the right, its right end towards you" in " ".join(sheet.split())


def test_a_line_that_crosses_itself_is_clipped_without_being_taken_apart() -> None:
    """A loop that runs off the edge: in one piece up to the edge, as long as it was inside."""
    loop = LineString([(100, 250), (100, 50), (200, 50), (200, 100), (50, 100)])
    pieces = Pieces(np.array([loop], dtype=object), np.zeros(1, dtype=np.int32))
    (kept,) = clip_pieces(pieces, CLOTH.buffer(6.0, join_style="mitre")).shape
    assert kept.length == pytest.approx(loop.length - 44.0)
    assert kept.coords[0] == pytest.approx((100, 206))


SASHED = """
title = "Three rows of blocks"
units = "mm"
runner = { length = 1530, width = 480, size_is = "flat" }
grid = { along = 6, across = 3, block = [220, 120], sashing = 30, outer_sashing = 30 }
quilting = [
  { pattern = "along-the-sashing" },
  { kind = "straight", region = "blocks", angle = 90, spacing = "about 25 mm" },
]
sewing = { policy = "continuous" }
"""
FRAME = """
title = "A frame"
kind = "longarm"
field = {{ along = "{rail} mm", across = "{depth} mm" }}
turns = {turns}
trims = false
formats = ["dst"]
"""


@cache
def sashed_result(rail: float, depth: float, turns: bool) -> Result:
    return on_frame(FRAME.format(rail=rail, depth=depth, turns=str(turns).lower()))


def on_frame(profile: str, **more: object) -> Result:
    """The sashed runner on a machine of the user's own."""
    section = MachineSection.model_validate({"profile": "frame.toml", **more})
    project = parse(SASHED).replaced(machine=section)
    return compute(project.with_files("sashed", {"frame.toml": profile.encode()}))


def sashed(rail: float = 2400, depth: float = 330, turns: bool = False) -> MachineParts:
    made = sashed_result(rail, depth, turns).machine
    assert isinstance(made, MachineParts)
    return made


def test_passes_meet_on_a_free_sashing_line_and_not_within_blocks() -> None:
    """Three rows of blocks, nine lines up each block, in two passes of 330 mm. Through the middle
    row there are 66 cuts in the open and 27 starts in each pass (54 ends in pairs); along a line of
    the sashing only the twelve lines of sashing that run across are cut, where they cross it."""
    made = sashed()
    cost = made.plan.choice.taken.cost
    assert cost.loadings == 2
    assert cost.open_cuts == 0
    assert cost.hidden_cuts <= 24
    assert [fact.starts for fact in made.facts] == [1, 1]
    heights = {round(cut.at_mm[1]) for cut in made.cuts}
    assert heights <= {150, 180, 300, 330}


def test_the_rail_may_be_short_where_the_profile_turns_the_runner() -> None:
    refused = sashed_result(700, 330, False).machine
    assert isinstance(refused, Refusal)
    assert "laid crosswise, a quarter turned, it takes 5 passes" in refused.remedy
    assert len(sashed(700, 330, True).parts) == 5
    made = on_frame(FRAME.format(rail=700, depth=330, turns="false"), turns=True).machine
    assert isinstance(made, MachineParts)
    assert len(made.parts) == 5
