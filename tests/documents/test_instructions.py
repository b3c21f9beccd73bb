"""Instructions: this runner's numbers and no others, pages that hold, one HTML file."""

from __future__ import annotations

import functools
import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pytest
import shapely

from quiltpath.documents.instructions import Layout, Step, instruction_files, steps
from quiltpath.documents.instructions.marking_steps import families
from quiltpath.documents.instructions.quilting_steps import layer_order
from quiltpath.documents.instructions.step import CUTTER, IRON, full_cautions_once
from quiltpath.documents.report import sewing_report
from quiltpath.drawing.page_model import Group, Line, Polylines, Shape, Text
from quiltpath.drawing.sketch import Picture
from quiltpath.drawing.text_width import text_width, wrap_words
from quiltpath.jobs.make import outputs
from quiltpath.project import load, parse
from quiltpath.result.computing import compute
from quiltpath.result.machine_parts import MachineParts
from quiltpath.result.values import Result
from quiltpath.schema import Section
from quiltpath.units import MM_PER_INCH, Measures, Units
from tests.patterns.runners import drawn, plain
from tests.whole_sets import computed

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ["harvest-supper", "galley", "allotment-ends", "supper-mats", "boathouse-bench"]

TABLE = """
title = "Supper & <share>"
units = "in"
[table]
length = "56 in"
width = "42 in"
[runner]
panel_join = "centre"
[[panel]]
size = ["40 in", "17 in"]
printed = ["39 in", "15 in"]
end_strip = "2 in"
count = 2
[grid]
along = 6
sashing = "2 in"
outer_sashing = "1 in"
[[quilting]]
kind = "straight"
spacing = "about 1 in"
"""


def sample(name: str) -> Result:
    return computed(name)


@functools.cache
def table_runner(more: str = "") -> Result:
    return compute(parse(TABLE + more))


def own_steps(result: Result, units: Units = "metric", large: bool = False) -> tuple[Step, ...]:
    return steps(result, Layout.of("A4", large).picture_room, Measures(units))


def files(result: Result) -> dict[str, bytes]:
    return {name: content for name, content, _ in instruction_files(result)}


def words(result: Result, units: Units = "metric") -> str:
    own = own_steps(result, units)
    return "\n".join(t for step in own for t in (*step.tasks, *step.notes, *step.cautions))


# --- what the steps say -----------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_steps_go_from_the_table_to_the_washed_runner(name: str) -> None:
    """The order of the trade (common practice); joining only where there are two panels. Ruler and
    template need the flat top on a firm table, so that is marked before layering."""
    order = [
        "Measure", "Gather what you need", "Cut", "Prepare the panels", "Prepare the top",
        "Join the panels", "Mark the flat top", "Make the backing", "Make the wadding",
        "Layer and baste", "Layer on the frame",
        "Mark as you go", "Load the machine", "Quilt", "Square up",
        "Cut and join the binding", "Sew the binding on",
        "Mitre the corners", "Close the binding", "Fold the binding", "Top-stitch", "Use and care",
    ]  # fmt: skip
    titles = [step.title for step in own_steps(sample(name))]
    assert titles == [title for title in order if title in titles]
    assert len(titles) >= 17
    joined = any(seam.is_panel_join for seam in sample(name).runner.seams)
    assert ("Join the panels" in titles) is joined


@pytest.mark.parametrize("name", NAMES)
def test_every_step_has_a_drawing_and_something_to_tick_off(name: str) -> None:
    assert all(step.pictures and step.tasks for step in own_steps(sample(name)))


@pytest.mark.parametrize(
    ("title", "caution"),
    [
        ("Cut", "Rotary cutter"),
        ("Square up", "Rotary cutter"),
        ("Mark the flat top", "scrap"),
        ("Quilt", "needle"),
        ("Join the panels", "pin"),
        ("Make the backing", "iron"),
        ("Use and care", "trivet"),
    ],
)
def test_the_usual_caution_stands_at_its_step(title: str, caution: str) -> None:
    """Usual cautions of the trade (common practice)."""
    (step,) = [step for step in own_steps(sample("harvest-supper")) if step.title == title]
    assert caution in " ".join(step.cautions)


def test_a_caution_is_told_in_full_at_its_first_step_and_shortly_at_the_next() -> None:
    """Never left out: whoever opens the sheet at a later step still meets it."""
    first, second, other = full_cautions_once(
        [
            Step("Cut", (), cautions=(CUTTER,)),
            Step("Trim", (), cautions=(CUTTER, IRON)),
            Step("Sew", ()),
        ]
    )
    assert first.cautions == (CUTTER,) and other.cautions == ()
    assert second.cautions == (IRON, "Rotary cutter: close the blade.")
    printed = full_cautions_once(own_steps(sample("harvest-supper")))
    plain = own_steps(sample("harvest-supper"))
    assert [bool(step.cautions) for step in printed] == [bool(step.cautions) for step in plain]


def test_a_machine_that_moves_by_itself_is_warned_of_and_its_manual_named() -> None:
    told = words(sample("galley"))
    assert "hands, hair and tools clear" in told and "own manual comes before" in told
    assert "hands, hair" not in words(sample("harvest-supper"))


def test_spray_is_warned_of_where_it_is_used() -> None:
    sprayed = table_runner('[basting]\nmethod = "spray"')
    assert "flammable" in words(sprayed) and "pins in" not in words(sprayed)
    assert "flammable" not in words(table_runner())


def test_insulated_wadding_is_kept_out_of_the_microwave() -> None:
    assert "microwave" in words(table_runner('[wadding]\nkind = "insulated"'))


# --- every number comes from the result ---------------------------------------------------------


def numbers_in(value: object, depth: int = 0) -> Iterator[float]:
    """Every number that a result holds, through its values and their public properties."""
    if isinstance(value, bool) or value is None or depth > 7:
        return
    if isinstance(value, int | float | np.integer | np.floating):
        yield float(value)
    elif isinstance(value, str):
        yield from (float(found) for found in re.findall(r"\d+(?:\.\d+)?", value))
    else:
        for part in parts_of(value):
            yield from numbers_in(part, depth + 1)


def parts_of(value: object) -> list[object]:
    """What a tuple, list, dict, section or dataclass holds; a tuple's length is a figure too."""
    if isinstance(value, tuple | list):
        return [len(value), *value]
    if isinstance(value, dict):
        return list(value.values())
    if isinstance(value, Section):
        names = list(type(value).model_fields)
    elif is_dataclass(value):
        names = [f.name for f in fields(value)]
    else:
        return []
    names += [n for n, p in vars(type(value)).items() if isinstance(p, property)]
    return [getattr(value, name) for name in names]


def known_numbers(result: Result) -> np.ndarray:
    """Numbers of the result, and the sums, halves and counts that the steps may derive."""
    plan, runs, stitches = result.cutting, result.runs, result.stitches
    found = list(numbers_in(plan)) + list(numbers_in(result.thread)) + list(numbers_in(result.time))
    found += [len(runs), stitches.stitch_count, stitches.stitched_mm / 1000]
    found += [result.runner.length_mm, result.runner.width_mm, result.gaps.widest_mm]
    found += [result.gap_limit_mm or 0.0, float(np.count_nonzero(runs.secured))]
    stitch = result.project.stitch
    found += [stitch.length, stitch.securing_count, stitch.securing_length, stitch.tail]
    for index in range(len(result.lines.layers)):
        own = result.lines.layer == index
        found.append(float(own.sum()))
        found += list(numbers_in(families(result.lines.geometry[own], result.lines.source[own])))
    found += [float(n) for told in layer_order(result) for n in re.findall(r"\d+", told)]
    for layer in (plan.layers.backing, plan.layers.wadding):
        found += [at - layer.size.span(layer.axis)[0] for at in layer.seams_mm]
    low, high = plan.edge.ring.min(axis=0), plan.edge.ring.max(axis=0)
    found += [*(high - low).tolist()]
    for one in sewing_report(result.sewing)["one_line"]:
        found += [one["replaces_lines"], one["turns_inside_mm"]]
    if (machine := result.machine_parts) is not None:
        facts = [*numbers_in(machine.facts)]
        found += [*facts, *(mm / 25.4 for mm in facts), len(machine.parts)]
        found += [sum(fact.stitches for fact in machine.facts)]
        found += [*numbers_in(result.as_sewn), machine.plan.choice.fewest]
        for division in (machine.plan.choice.taken, machine.plan.choice.runner_up):
            if division is not None:
                apart = np.subtract(division.cost, machine.plan.choice.taken.cost)
                found += [*division.cost, division.cost.cuts, *np.abs(apart).tolist()]
                found += [*numbers_in(division.way), division.way.overrun_mm or 0.0]
        found += [*numbers_in(machine.profile.model_dump())]
        found += numbers_in((machine.crosses - result.runner.outline.bounds[:2]).tolist())
    found += [abs(plan.binding.one_less_mm or 0.0), plan.binding.handling_mm]
    found.append(len(plan.binding.strips.lengths_mm) - 1)
    start = plan.binding.joins.start_mm
    found += [(start - c.along_mm) % plan.binding.edge.length_mm for c in plan.binding.edge.corners]
    margin = result.project.wadding.extra
    found.append(result.project.backing.extra - margin)
    found += [*numbers_in(plan.trimming), plan.binding.edge.bends.tightest_mm]
    found += [abs(corner.off_mm) for corner in plan.trimming.corners]
    found += [abs(mm) for mm in numbers_in(result.flat_trimming)]
    places = np.array([(c.along_mm, c.off_mm) for c in plan.trimming.corners])
    found += np.hypot(*(np.roll(places, -1, axis=0) - places).T).tolist()
    found += [float(stitches.pivots), *runs.coordinates[0].tolist()]
    sizes = result.distortion.lies.widths, result.distortion.lies.lengths
    found += [mm for one in sizes for mm in (one.spread_mm, one.low.bow_mm, one.high.bow_mm)]
    found.append(result.states.quilted.width_mm + float(sizes[0].more_mm.min()))
    found += [size / 2 + margin for size in (result.runner.length_mm, result.runner.width_mm)]
    return np.array(found)


SAID_BY_THE_TRADE = {100, 4, 6.5, 2, 1, 25.4}
"""The check bars of 100 mm and 4 in, 1/4 in to trim a join to, two diagonals, mm in an inch."""


@pytest.mark.parametrize("name", NAMES)
def test_every_number_comes_from_the_result(name: str) -> None:
    """Each figure in the metric text is, as it is rounded there, one that the result holds."""
    result = sample(name)
    known = known_numbers(result)
    shown = np.concatenate([known, known * 100, np.ceil(known / 100) / 10])
    for step in own_steps(result, "metric"):
        for text in (*step.tasks, *step.notes):
            for written, unit in re.findall(r"(\d[\d,]*(?:\.\d+)?)( mm)?", text):
                value = float(written.replace(",", ""))
                near = float(np.abs(np.abs(shown) - value).min())
                rounding = 0.26 if unit else 0.51
                assert near <= rounding or value in SAID_BY_THE_TRADE, (step.title, text, value)


def test_what_is_cut_of_the_layers_makes_the_layers_and_the_binding_waits() -> None:
    """Sizes at the step where they are cut: sewn together they are the backing that is told."""
    for more, copies in (("", 1), ("\n[materials]\ncopies = 3\n", 3)):
        result = compute(parse(TABLE.replace("count = 2", f"count = {2 * copies}") + more))
        cut = next(s for s in own_steps(result) if s.title == "Cut")
        layer = result.cutting.layers.backing
        area = 0.0
        for number, along, across in re.findall(
            r"Backing: (\d+) pieces? ([\d.]+) mm by ([\d.]+) mm", "\n".join(cut.tasks)
        ):
            area += int(number) * float(along) * float(across)
        seams = len(layer.seams_mm) * 2 * layer.seam_allowance_mm
        along, across = layer.size.length_mm, layer.size.width_mm
        whole = (along + seams) * across if layer.axis == 0 else along * (across + seams)
        assert area == pytest.approx(copies * whole, rel=0.003)
        strips = len(result.cutting.binding.pieces()) * copies
        told = sum(int(n) for n in re.findall(r"Cut the .*?: (\d+) piece", "\n".join(cut.tasks)))
        laid = sum(layout.piece_count for layout in result.cutting.layouts)
        assert (told, strips > 0) == (laid - strips, True)
        assert sum("Binding: leave the cloth" in task for task in cut.tasks) == 1


def test_another_runner_has_other_numbers() -> None:
    """The check above would be empty if texts did not follow the result: here they do."""
    longer = compute(parse(TABLE.replace('"56 in"', '"60 in"')))
    assert "1829 mm" in words(table_runner()) and "1829 mm" not in words(longer)
    assert "1930.5 mm" in words(longer)  # 60 + 2 x 8 = 76 in = 1930.4 mm


def test_the_table_s_figures_are_there() -> None:
    """56 in table and 8 in drop: 72 in; a third of 42 in: 14 in (common practice)."""
    told = words(table_runner(), "inches")
    assert "finished runner of 72 in by 14 in" in told
    assert "hangs down 8 in at each end and covers 33%" in told


def test_panel_trims_are_told_from_a_printed_line() -> None:
    """2 in sashing and 1/4 in seams leave 1 1/4 in of each end strip (common practice)."""
    assert "cut 1 1/4 in outside the outermost printed line" in words(table_runner(), "inches")


@pytest.mark.parametrize(
    ("units", "has", "lacks"),
    [("inches", " in", " mm)"), ("metric", " mm", " in "), ("both", " mm)", "\0")],
)
def test_units_are_those_asked_for(units: Units, has: str, lacks: str) -> None:
    for step in own_steps(table_runner(), units):
        if step.title in ("Measure", "Make the backing", "Square up"):
            told = " ".join(step.tasks)
            assert has in told and not re.search(rf"\d{re.escape(lacks)}", told)


MARKED = """
title = "Marked in each way"
units = "mm"
runner = { length = 900, width = 300, size_is = "flat" }
[[quilting]]
kind = "straight"
name = "Wide rows"
spacing = 60
marking = "ruler"
[[quilting]]
kind = "straight"
name = "Close rows"
angle = 90
spacing = 10
[[quilting]]
kind = "straight"
name = "Own rows"
angle = 45
spacing = 60
marking = "template"
[[quilting]]
kind = "echo"
name = "Rings"
around = "outline"
direction = "inwards"
spacing = 40
rings = 2
[[quilting]]
pattern = "clamshells"
name = "Shells"
"""


def test_each_layer_is_told_the_one_way_in_which_it_is_marked() -> None:
    """The same way as the first page of marking.pdf names; no reader is left to choose."""
    result = compute(parse(MARKED))
    (step,) = [step for step in own_steps(result) if step.title == "Mark the flat top"]
    told = {task.split(":")[0]: task for task in step.tasks}
    ways = {"Wide rows": "by ruler, from its list in marking.pdf", "Rings": "by ruler, from its",
            "Close rows": "by its paper strips from marking.pdf",
            "Own rows": "by its template from marking.pdf",
            "Shells": "by its template from marking.pdf"}  # fmt: skip
    for name, way in ways.items():
        assert f"mark it {way}" in told[name], told[name]
    files = {file.name: file.content for file in outputs(result)}
    with pdfplumber.open(io.BytesIO(files["marking.pdf"])) as pdf:
        first = " ".join(pdf.pages[0].extract_text().split())
    short = {"by ruler": "by ruler", "by its paper": "by paper strips", "by its te": "by template"}
    for name, way in ways.items():
        (by,) = [said for start, said in short.items() if way.startswith(start)]
        assert f"{name}: {by}" in first, (name, by, first)


def test_a_top_that_is_there_already_is_among_what_is_gathered() -> None:
    """No cloth is bought for it, so no other line would say that one is needed, and how large."""
    text = 'units = "mm"\nrunner = { length = 900, width = 300, size_is = "flat" }\n'
    text += 'quilting = [{ kind = "straight", spacing = "about 50 mm" }]\n'
    pieced = text + 'grid = { along = 3, sashing = 40 }\ntop = { made = "pieced" }\n'
    for project, wanted in ((text, True), (pieced, False)):
        (step,) = [s for s in own_steps(compute(parse(project)), "metric") if "Gather" in s.title]
        told = "1 flat top of your own: 900 mm by 300 mm." in step.tasks
        assert told is wanted, step.tasks


def test_layers_without_a_name_are_told_by_what_they_draw() -> None:
    """In the steps, on the first page of the marking set and beside the guide alike."""
    result = compute(parse(re.sub(r"name = .*\n", "", MARKED)))
    told = [step for step in own_steps(result) if step.title in ("Mark the flat top", "Quilt")]
    files = {file.name: file.content for file in outputs(result)}
    with pdfplumber.open(io.BytesIO(files["marking.pdf"])) as pdf:
        sheet = " ".join(pdf.pages[0].extract_text().split())
    guide = " ".join(ElementTree.fromstring(files["guide.svg"]).itertext())
    for text in (*(" ".join(step.tasks) for step in told), sheet, guide):
        assert "Straight lines" in text and "Rings round a shape" in text
        assert not re.search(r"\b(straight|echo)(:| \(|$)", text)


def test_ruler_settings_are_measured_on_the_lines() -> None:
    """Lines drawn 25 mm apart at 45 degrees are told as that."""
    lines = drawn(plain(), "straight", angle=45, spacing="25 mm")
    (family,) = families(lines.geometry)
    assert family.angle_deg == 45
    assert (family.least_mm, family.most_mm) == pytest.approx((25, 25), abs=0.01)


def test_lines_along_the_runner_are_one_family_whichever_way_they_are_drawn() -> None:
    lines = drawn(plain(), "straight", angle=0, spacing="20 mm")
    turned = lines.geometry.copy()
    turned[::2] = [line.reverse() for line in turned[::2]]
    (family,) = families(turned)
    assert family.angle_deg == 0 and family.usual_mm == pytest.approx(20, abs=0.01)


def test_rings_have_no_ruler_setting_though_a_few_bits_of_them_are_straight() -> None:
    galley = sample("galley")
    ripples = galley.lines.layer == galley.lines.layers.index("Ripples")
    assert families(galley.lines.geometry[ripples], galley.lines.source[ripples]) == ()


def test_layers_are_told_in_the_order_they_are_sewn() -> None:
    first = [int(re.search(r"numbers? (\d+)", told)[1]) for told in layer_order(sample("galley"))]
    assert first == sorted(first)


# --- pages --------------------------------------------------------------------------------------


WATER = """
units = "in"
[runner]
length = 64
width = 17
[grid]
along = 5
block = [10, 11]
sashing = 2
outer_sashing = 3
[[motif]]
name = "goose"
outline = [[0, 2], [3, 1], [4, 4], [7, 3], [5, 0.5], [4, -1], [1, -1]]
blocks = "all"
[[quilting]]
kind = "motif"
[[quilting]]
pattern = "flowing-lines"
region = "blocks"
spacing = "about 3/4 in"
"""


def test_a_block_from_near_has_every_number_of_its_own_starts() -> None:
    """Also of those that stand outside its edge; and it stands for no block of other starts."""
    result = compute(parse(WATER))
    starts = shapely.points(result.runs.ends[:, 0])
    numbers = {
        block.name: (np.flatnonzero(shapely.intersects(starts, block.shape)) + 1).tolist()
        for block in result.runner.blocks
    }
    quilt = next(step for step in own_steps(result) if step.title == "Quilt")
    near = [picture for picture in quilt.pictures if picture.name.startswith("order in ")]
    assert near and len({len(found) for found in numbers.values()}) > 1
    for picture in near:
        shown = [item for item in picture.items if isinstance(item, Text)]
        own = numbers[picture.name.removeprefix("order in ")]
        assert {str(number) for number in own} <= {text.text for text in shown}
        caption = next(text.text for text in shown if text.text.startswith("block "))
        for block in re.findall(r"\b([A-E]1) from", caption):
            assert len(numbers[block]) == len(own)


def test_lines_that_run_through_all_blocks_make_no_blocks_alike() -> None:
    """A curve that sways from edge to edge lies elsewhere in each block."""
    sways = WATER.replace('"flowing-lines"\nregion = "blocks"', '"swaying-lines"')
    result = compute(parse(sways))
    quilt = next(step for step in own_steps(result) if step.title == "Quilt")
    captions = [
        item.text
        for picture in quilt.pictures
        for item in picture.items
        if isinstance(item, Text) and item.text.startswith("block ")
    ]
    inside = {
        block.name: shapely.length(
            shapely.intersection(result.lines.geometry, block.shape.buffer(-2))
        ).sum()
        for block in result.runner.blocks
    }
    assert captions and max(inside.values()) > 1.05 * min(inside.values())
    for caption in captions:
        one, *others = re.findall(r"\b[A-E]1\b", caption)
        for other in others:
            assert inside[other] == pytest.approx(inside[one], rel=0.05), caption


def test_a_top_of_one_piece_is_not_pieced() -> None:
    text = TABLE[: TABLE.index("[[panel]]")].replace('panel_join = "centre"', 'width = "14 in"')
    plain = '[grid]\nalong = {}\n[top]\nmade = "pieced"\n[[quilting]]\nkind = "straight"\n'
    for blocks, wanted in ((1, False), (2, True)):
        result = compute(parse(text + plain.format(blocks) + 'spacing = "about 1 in"\n'))
        titles = [step.title for step in own_steps(result)]
        assert ("Piece the top" in titles) is wanted and "Cut" in titles


@pytest.mark.parametrize("name", NAMES)
def test_text_can_be_selected_and_lies_within_the_page(name: str) -> None:
    """Measured with pdfplumber, a reader that is not ours."""
    with pdfplumber.open(io.BytesIO(files(sample(name))["instructions.pdf"])) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
        for page in pdf.pages:
            assert (page.width, page.height) == pytest.approx((595.3, 841.9), abs=0.1)  # ISO 216
            for letter in page.chars:
                assert letter["x0"] >= 20 and letter["x1"] <= page.width - 20
                assert letter["top"] >= 20 and letter["bottom"] <= page.height - 20
    for step in own_steps(sample(name)):
        assert step.title in text
    assert "page 1 of" in text and "CAUTION" in text


def test_every_line_of_the_steps_is_on_the_pages() -> None:
    with pdfplumber.open(io.BytesIO(files(table_runner())["instructions.pdf"])) as pdf:
        page_words = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    told = own_steps(table_runner(), "inches")
    for step in told:
        for task in step.tasks:
            assert " ".join(task.split())[:40] in page_words


@pytest.mark.parametrize("more", ["", "[instructions]\nlarge_print = true"])
def test_lines_of_text_do_not_lie_on_each_other(more: str) -> None:
    """Letters of one size and one row are apart from those of the next row."""
    with pdfplumber.open(io.BytesIO(files(table_runner(more))["instructions.pdf"])) as pdf:
        for page in pdf.pages:
            body = [c for c in page.chars if c["upright"] and c["x0"] < 120]
            tops = sorted({round(c["top"], 1) for c in body if c["size"] >= 10.5})
            assert all(b - a > 9 for a, b in itertools.pairwise(tops))


def test_large_print_is_18_points() -> None:
    with pdfplumber.open(
        io.BytesIO(files(table_runner("[instructions]\nlarge_print = true"))["instructions.pdf"])
    ) as pdf:
        sizes = [round(c["size"], 1) for page in pdf.pages for c in page.chars if c["upright"]]
    assert max(set(sizes), key=sizes.count) == 18.0
    assert min(sizes) >= 9


def test_letter_paper_where_it_is_asked_for() -> None:
    """8.5 x 11 in (ANSI/ASME Y14.1, from memory): 612 x 792 points."""
    content = files(table_runner('[instructions]\npaper = "Letter"'))["instructions.pdf"]
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert (pdf.pages[0].width, pdf.pages[0].height) == pytest.approx((612, 792), abs=0.1)


def test_wrapped_lines_fit_and_lose_no_word() -> None:
    text = "Lay the two panels right sides together, edges level; pin " * 4
    lines = wrap_words(text, 4.0, 90.0)
    assert all(text_width(line, 4.0) <= 90.0 + 1e-9 for line in lines)
    assert " ".join(lines).split() == text.split()


def test_a_word_wider_than_the_page_is_split() -> None:
    lines = wrap_words("x" * 300, 4.0, 90.0)
    assert "".join(lines) == "x" * 300
    assert all(text_width(line, 4.0) <= 90.0 for line in lines)


def coordinates(picture: Picture) -> np.ndarray:
    found = []
    for item in Group("all", picture.items).walk():
        if isinstance(item, Text):
            found.append(np.array([item.at]))
        elif isinstance(item, Shape):
            found += list(item.rings)
        elif isinstance(item, Line | Polylines):
            found.append(item.points)
    return np.concatenate(found)


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_drawings_keep_within_their_own_frames(name: str, large: bool) -> None:
    for step in own_steps(sample(name), "both", large):
        for picture in step.pictures:
            points = coordinates(picture)
            assert points.min() >= -1.0, (step.title, picture.name)
            assert points[:, 0].max() <= picture.width_mm + 1.0, (step.title, picture.name)
            assert points[:, 1].max() <= picture.height_mm + 1.0, (step.title, picture.name)


@pytest.mark.parametrize("name", NAMES)
def test_drawings_need_no_colour(name: str) -> None:
    """Legible in black and white: every stroke and fill is a grey."""
    for step in own_steps(sample(name)):
        for picture in step.pictures:
            for item in Group("all", picture.items).walk():
                colours = [item.colour] if isinstance(item, Text) else []
                if not isinstance(item, Text):
                    colours = [c for c in (item.style.stroke, item.style.fill) if c]
                assert all(c[1:3] == c[3:5] == c[5:7] for c in colours)


def test_same_runner_same_bytes() -> None:
    again = compute(load(SAMPLES / "harvest-supper" / "runner.toml"))
    assert files(sample("harvest-supper")) == files(again)


# --- the page on screen ---------------------------------------------------------------------------


class Reader(HTMLParser):
    """Collects tags and text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read(result: Result) -> Reader:
    reader = Reader()
    reader.feed(files(result)["instructions.html"].decode())
    return reader


def test_the_page_fetches_nothing_and_runs_nothing() -> None:
    page = files(table_runner())["instructions.html"].decode()
    kinds = {tag for tag, _ in read(table_runner()).tags}
    assert not kinds & {"script", "link", "img", "iframe", "object"}
    assert "url(" not in page.replace("url(#", "") and "@import" not in page
    links = [a.get("href") or "" for tag, a in read(table_runner()).tags if tag == "a"]
    assert links and all(link.startswith("#step-") for link in links)


def test_titles_cannot_break_out_of_the_page() -> None:
    page = files(table_runner())["instructions.html"].decode()
    assert "<share>" not in page and "Supper &amp; &lt;share&gt;" in page


def test_every_id_of_the_page_is_there_once() -> None:
    ids = [a["id"] for _, a in read(sample("harvest-supper")).tags if "id" in a]
    assert len(ids) == len(set(ids)) and len(ids) > 20


def test_every_task_has_its_check_box_with_a_label() -> None:
    tags = read(table_runner()).tags
    boxes = [a for tag, a in tags if tag == "input"]
    tasks = sum(len(step.tasks) for step in own_steps(table_runner()))
    assert len(boxes) == tasks == sum(tag == "label" for tag, _ in tags)
    assert all(box.get("type") == "checkbox" for box in boxes)


def test_every_drawing_of_the_page_says_what_it_shows() -> None:
    drawings = [a for tag, a in read(table_runner()).tags if tag == "svg"]
    pictures = sum(len(step.pictures) for step in own_steps(table_runner()))
    assert len(drawings) == pictures + 1  # and the cover's
    assert all(a.get("role") == "img" and a.get("aria-label") for a in drawings)


def test_the_cutting_layouts_are_one_sound_drawing_in_millimetres() -> None:
    root = ElementTree.fromstring(files(table_runner())["cutting.svg"])
    assert root.attrib["width"].endswith("mm")
    texts = {"".join(node.itertext()) for node in root.iter("{http://www.w3.org/2000/svg}text")}
    for layout in table_runner().cutting.layouts:
        for placed in layout.placed:
            assert any(text.startswith(placed.piece.name) for text in texts)


def test_amounts_to_buy_are_told_as_shops_sell_them() -> None:
    """112 in are 3 1/9 yd and 2.84 m: 3 1/8 yd, 2.9 m (arithmetic)."""
    assert Measures("both").to_buy(112 * MM_PER_INCH) == "3 1/8 yd (2.9 m)"
    assert Measures("metric").to_buy(112 * MM_PER_INCH) == "2.9 m"


def test_the_first_page_tells_the_starts_of_all_parts_as_they_are_sewn() -> None:
    """A frame sews the bench in passes: what they cut is begun anew."""
    result = sample("boathouse-bench")
    machine = result.machine
    assert isinstance(machine, MachineParts)
    starts = sum(part.pieces for part in machine.parts)
    assert starts > len(result.runs)
    page = files(result)["instructions.html"].decode()
    assert f"sewn with {starts} starts of thread" in page
