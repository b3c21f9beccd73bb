"""All that a machine is given for a runner, from files and sheets alone."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from quiltpath.documents.instructions.loading_sheet import loading_text
from quiltpath.documents.instructions.placement import machine_pages
from quiltpath.drawing.page_model import Drawing, Text
from quiltpath.errors import InputError
from quiltpath.formats import inspect_file
from quiltpath.formats.all_formats import STITCHES
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.machine_files import TRACE, FileRequest, WrittenFiles, part_files
from quiltpath.machine import ProfileRegistry
from quiltpath.machine.part_plan import PartSetting, plan_parts
from quiltpath.machine.parts import CutSecuring
from quiltpath.project.sewing_sections import TimeSection
from quiltpath.result.machine_parts import MachineParts, SewingTotals, with_facts
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.thread_and_time import ThreadSetting
from tests.documents.runners import grid_runner, outline, slanted_runner
from tests.formats.dst_decoder import decode_dst
from tests.patterns.runners import plain

SHELF = ProfileRegistry()
THREAD = ThreadSetting(1.0, 0.0, 0.1, 60.0, 100.0, 1.5, None)
"""A test seam of 1 m that used 1.5 m of each thread, and bobbins of 60 m."""

LONG = [name for name in SHELF.names() if name != "longarm-small"]


@dataclass(frozen=True)
class Made:
    """Parts for a machine, their files, and the formats that cannot hold them."""

    machine: MachineParts
    edge: Polygon
    written: WrittenFiles

    @property
    def files(self) -> tuple[OutputFile, ...]:
        return self.written.files

    @property
    def pages(self) -> Drawing:
        return machine_pages(TITLE, self.machine, _sewn(self.machine), self.edge)


USUAL = PartSetting()
TITLE = "Boat club's galley"


def _made(
    design: Stitches,
    name: str,
    size: tuple[float, float],
    parts: PartSetting = USUAL,
    formats: tuple[str, ...] = (),
) -> Made:
    edge = outline(*size)
    machine = with_facts(plan_parts(design, SHELF.find(name), parts, outline=edge), THREAD, edge)
    return Made(machine, edge, part_files(machine, TITLE, FileRequest(formats)))


def _sewn(machine: MachineParts) -> SewingTotals:
    return machine.as_sewn(TimeSection(), "hopping foot")


def _text(made: Made) -> str:
    runner = plain(*made.edge.bounds[2:])
    return loading_text(TITLE, made.machine, _sewn(made.machine), runner, made.written.facts)


@pytest.mark.parametrize("name", LONG)
@pytest.mark.parametrize(
    ("design", "size"),
    [(grid_runner(), (1830, 360)), (slanted_runner(900, 300), (900, 300))],
    ids=["long grid", "short diagonal"],
)
def test_every_shipped_machine_gets_verified_files(
    name: str, design: Stitches, size: tuple[float, float]
) -> None:
    made = _made(design, name, size)
    assert made.written.refused == ()
    assert all(file.verified for file in made.files)
    assert len(made.pages.pages) == len(made.machine.parts) + 1
    names = [file.name for file in made.files]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", ["hoop-100x100", "hoop-200x300"])
@pytest.mark.parametrize("centre_out", [False, True])
def test_the_hoopings_put_back_together_from_their_files_are_the_whole(
    name: str, centre_out: bool
) -> None:
    """DST files decoded by the tests' own decoder, laid where their sheets say, turned back as
    their sheets say: every needle hole of the whole is there, none is new, within 0.1 mm.
    """
    design = slanted_runner(900, 300)
    setting = PartSetting(centre_out=centre_out, securing=CutSecuring(count=0))
    made = _made(design, name, (900, 300), parts=setting, formats=("dst",))
    holes, joins = [], len(made.machine.cuts)
    for part in made.machine.parts:
        contents = next(file.content for file in made.files if file.name == f"{part.name}.dst")
        found = decode_dst(contents).holes_mm
        if part.field.turned:
            found = np.column_stack([-found[:, 1], found[:, 0]])
        holes.append(found + np.array(part.field.centre))
    together, whole = np.vstack(holes), design.needle_holes
    assert len(together) == len(whole) + joins  # the hole of a cut is in both its parts
    tree = shapely.STRtree(shapely.points(whole))
    nearest = tree.query_nearest(shapely.points(together), return_distance=True, all_matches=False)
    assert nearest[1].max() <= 0.1 * np.sqrt(2)
    assert len(set(nearest[0][1].tolist())) == len(np.unique(np.round(whole, 3), axis=0))


def test_a_machine_that_cannot_cut_thread_waits_for_the_person_instead() -> None:
    made = _made(slanted_runner(900, 300), "longarm-medium", (900, 300), formats=("dst",))
    whole = next(file for file in made.files if file.name == "whole.dst")
    told = inspect_file(whole.content, "dst")
    assert told.colour_changes == made.machine.parts[0].pieces - 1


def test_the_trace_is_the_finished_edge_and_then_the_box_of_all() -> None:
    """The lines run 10 mm beyond both edges of a width of 360 mm."""
    made = _made(grid_runner(), "gantry", (1830, 360), formats=("csv", "svg"))
    traces = [file for file in made.files if file.kind == TRACE]
    assert [file.name for file in traces] == [
        "field-01-of-02-trace.csv",
        "field-01-of-02-trace.svg",
        "field-02-of-02-trace.csv",
        "field-02-of-02-trace.svg",
    ]
    told = inspect_file(traces[0].content, "csv")
    assert told.height_mm == pytest.approx(380, abs=0.01)
    edge, box = np.split(told.path.holes, np.flatnonzero(told.path.moved)[1:])
    assert np.ptp(edge, axis=0)[1] == pytest.approx(360, abs=0.01)
    for ring in (edge, box):
        assert ring[0] == pytest.approx(ring[-1], abs=0.01)


def test_a_gantrys_trace_never_puts_the_needle_down() -> None:
    """It is run with hands on the stop: the outline first, needle up (common practice)."""
    made = _made(slanted_runner(900, 300), "gantry", (900, 300), formats=("gcode",))
    traced, sewn = (
        next(file.content for file in made.files if file.name == name).split(b"\n")
        for name in ("whole-trace.gcode", "whole.gcode")
    )
    assert b"M3" in sewn and b"M3" not in traced
    assert traced.count(b"M5") >= 1


def test_hoops_get_no_trace_files_and_other_machines_do() -> None:
    hoop = _made(slanted_runner(900, 300), "hoop-200x360", (900, 300))
    frame = _made(slanted_runner(900, 300), "longarm-medium", (900, 300))
    assert not [file for file in hoop.files if file.kind == TRACE]
    assert "path file" not in _text(hoop)
    assert len([file for file in frame.files if file.kind == TRACE]) == 4


def test_the_sheet_gives_the_size_that_the_files_really_have() -> None:
    made = _made(slanted_runner(900, 300), "hoop-160x260", (900, 300), formats=("dst",))
    sizes = re.findall(r"must show ([\d.]+) x ([\d.]+) mm", _text(made))
    files = [file for file in made.files if file.kind == STITCHES]
    assert len(sizes) == len(files)
    for (width, height), file in zip(sizes, files, strict=True):
        told = inspect_file(file.content, "dst")
        assert (told.width_mm, told.height_mm) == pytest.approx(
            (float(width), float(height)), abs=0.16
        )


def test_the_sheet_gives_the_start_that_the_files_really_have() -> None:
    made = _made(slanted_runner(900, 300), "hoop-160x260", (900, 300), formats=("dst",))
    starts = re.findall(
        r"Start: ([\d.]+) mm (left|right) and ([\d.]+) mm (above|below)", _text(made)
    )
    files = [file for file in made.files if file.kind == STITCHES]
    for (x, side, y, level), file in zip(starts, files, strict=True):
        start = inspect_file(file.content, "dst").start_mm
        assert start[0] == pytest.approx(float(x) * (1 if side == "right" else -1), abs=0.2)
        assert start[1] == pytest.approx(float(y) * (1 if level == "above" else -1), abs=0.2)


def test_thread_of_a_part_is_its_seam_times_the_test_seams_factor() -> None:
    """1.5 m a metre, 60 m on a bobbin, 1500 stitches a minute: the profile and the test seam."""
    made = _made(slanted_runner(900, 300), "longarm-large", (900, 300))
    (fact,) = made.machine.facts
    seam_m = slanted_runner(900, 300).stitched_mm / 1000
    assert fact.needle_m == pytest.approx(1.5 * seam_m)
    assert fact.bobbin_share == pytest.approx(1.5 * seam_m / 60)
    assert fact.sewing_min == pytest.approx(fact.stitches / 1500)


@pytest.mark.parametrize("name", ["hoop-200x300", "longarm-medium", "gantry"])
def test_the_usual_cautions_stand_on_the_sheet_and_on_every_page(name: str) -> None:
    """Needle up first, hands and hair clear, stay with it, the manual first: common practice."""
    made = _made(slanted_runner(900, 300), name, (900, 300))
    pages = [" ".join(i.text for g in p.groups for i in g.walk() if isinstance(i, Text))
             for p in made.pages.pages]  # fmt: skip
    for text in [" ".join(_text(made).split()), *pages]:
        for caution in ("manual comes before", "needle up", "hands, hair", "Stay with the machine"):
            assert caution in text


def test_everything_on_a_page_lies_on_the_page() -> None:
    made = _made(grid_runner(), "hoop-200x300", (1830, 360))
    for page in made.pages.pages:
        for group in page.groups:
            for item in group.walk():
                points = np.array([item.at]) if isinstance(item, Text) else _points(item)
                assert (points >= 5).all()
                assert (points <= (page.width_mm - 5, page.height_mm - 5)).all()


def _points(item) -> np.ndarray:  # type: ignore[no-untyped-def]
    return np.vstack(item.rings) if hasattr(item, "rings") else item.points


def test_the_crosses_to_be_marked_are_each_named_once_and_none_for_a_whole() -> None:
    hooped = _made(slanted_runner(900, 300), "hoop-200x300", (900, 300))
    assert len(hooped.machine.crosses) == len(np.unique(hooped.machine.crosses, axis=0)) >= 4
    assert len(_made(slanted_runner(900, 300), "longarm-large", (900, 300)).machine.crosses) == 0


def test_the_same_runner_gives_the_same_bytes() -> None:
    once, again = (_made(slanted_runner(900, 300), "longarm-medium", (900, 300)) for _ in "12")
    assert [file.content for file in once.files] == [file.content for file in again.files]


def test_a_format_that_cannot_hold_the_design_is_refused_with_the_reason() -> None:
    made = _made(slanted_runner(900, 300), "longarm-medium", (900, 300), formats=("xxx", "dst"))
    assert made.written.refused == (("xxx", "whole: XXX: 37 halts, and the format holds 20"),)
    (told,) = made.written.left_out
    assert told.content == b"xxx is left out: whole: XXX: 37 halts, and the format holds 20\n"
    assert "whole.dst" in [file.name for file in made.files]


def test_an_unknown_format_is_told() -> None:
    with pytest.raises(InputError, match=r"machine\.formats: 'cad' is not a format; use dst"):
        _made(slanted_runner(900, 300), "gantry", (900, 300), formats=("cad",))


def test_no_stitch_of_any_hooping_ends_outside_the_machines_limits() -> None:
    """A DST record moves at most 121 units, by arithmetic on the published table of bits."""
    made = _made(grid_runner(), "hoop-100x100", (1830, 360), formats=("dst",))
    for file in made.files:
        if file.kind == STITCHES:
            assert np.abs(decode_dst(file.content).step).max() <= 121
    for part in made.machine.parts:
        assert (np.ptp(part.machine_stitches.needle_holes, axis=0) <= 94 + 1e-6).all()
        assert PointKind.STOP not in part.stitches.kind
