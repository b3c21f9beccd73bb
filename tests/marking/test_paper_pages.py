"""Printed pages measured by other people's readers: true size, complete, and joined up."""

from __future__ import annotations

import ctypes
import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pdfplumber
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import shapely
from scipy.ndimage import binary_dilation

from quiltpath.documents.guide import guide
from quiltpath.drawing import pdf
from quiltpath.drawing.page_model import Drawing, Group, Page, Shape, Text
from quiltpath.errors import InputError
from quiltpath.marking import paper_outputs
from quiltpath.marking.marking_set import marking_set
from quiltpath.marking.paper_files import guide_piece, paper_setting
from quiltpath.marking.paper_sizes import PAPERS_MM, PaperSetting
from quiltpath.marking.sheet import pages
from quiltpath.marking.taping import TiledPiece, check_mark, tile_piece, tiled_sheets
from quiltpath.patterns import draw
from quiltpath.project import load
from quiltpath.project.document_sections import PaperSection
from quiltpath.routing import policy_named, route
from quiltpath.runner import build
from tests.documents.pictures import darkness, extent_mm
from tests.documents.quilted import a_run_a_line, galley_runner, layer, quilting

MM_PER_POINT = 25.4 / 72
SAMPLES = sorted(Path(__file__).parent.parent.parent.glob("samples/*/runner.toml"))
TRUE_SIDES = np.array([(100.0, 100.0), (4 * 25.4, 4 * 25.4)])
SETTING = PaperSetting(size=PAPERS_MM["A4"], margin=6.0, overlap=10.0)
LAYERS = (
    layer("sashing", name="along the sashing"),
    layer("motif", name="lifebelt"),
    layer("echo", name="ripples", spacing=10, rings=2),
    layer("straight", name="lengthwise", spacing=25, clearance=12),
    layer("straight", name="slanted", spacing=20, angle=60, marking="ticks"),
)


def printed_set(setting: PaperSetting) -> Drawing:
    runner = galley_runner()
    return marking_set(runner, draw(runner, list(LAYERS)), LAYERS, setting, "Galley").drawing


def tiled_guide(setting: PaperSetting) -> tuple[TiledPiece, tuple[Page, ...]]:
    runner = galley_runner()
    done = tile_piece(guide_piece(runner, quilting(runner)), setting)
    return done, pages("Galley", tiled_sheets(done, setting), setting)


def read(drawing: Drawing) -> pdfplumber.PDF:
    return pdfplumber.open(io.BytesIO(pdf.render(drawing)))


def squares(page: pdfplumber.page.Page) -> dict[float, tuple[float, float]]:
    """Sides of the page's check squares in mm: the dotted closed figures of about their size."""
    found = {}
    for figure in [*page.rects, *page.curves]:
        wide, high = float(figure["width"]) * MM_PER_POINT, float(figure["height"]) * MM_PER_POINT
        dotted = figure["dash"] and figure["dash"][0] and figure["dash"][0][0] < 3
        if dotted and 90 < wide < 112 and 90 < high < 112:
            found[round(wide * 5) / 5] = (wide, high)
    return found


def small_bars(page: pdfplumber.page.Page) -> list[float]:
    """Lengths in mm of the level lines in the page's foot, but for the rule above it."""
    foot = [line for line in page.lines if line["bottom"] * MM_PER_POINT > page_height(page) - 11.5]
    long = [float(line["width"]) * MM_PER_POINT for line in foot if line["height"] < 0.1]
    return sorted(mm for mm in long if 40 < mm < 60)


def page_height(page: pdfplumber.page.Page) -> float:
    return float(page.height) * MM_PER_POINT


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_every_page_has_its_size_and_its_check(paper: str) -> None:
    """Measured by pdfplumber within 0.1 mm: both squares on the first page, across and up; on every
    page the two small bars, and none but these in the foot."""
    width, height = PAPERS_MM[paper]
    with read(printed_set(replace(SETTING, size=PAPERS_MM[paper]))) as printed:
        assert printed.pages
        for page in printed.pages:
            size = sorted((float(page.width) * MM_PER_POINT, float(page.height) * MM_PER_POINT))
            assert size == pytest.approx([width, height], abs=0.01)
            sides = sorted(squares(page).values())
            if page.page_number == 1:
                assert np.array(sides) == pytest.approx(TRUE_SIDES, abs=0.1)
            else:
                assert sides == []
            assert small_bars(page) == pytest.approx([50.0, 50.8], abs=0.05)


def test_the_squares_are_true_when_they_are_rendered() -> None:
    """By pdfium, 10 pixels to the mm: the outer square and half its line on either side."""

    def squares_only(group: Group) -> Group:
        kept = tuple(i for i in group.items if getattr(i, "name", "") == "check squares")
        return replace(group, items=tuple(replace(i, items=i.items[:2]) for i in kept))

    whole = printed_set(SETTING)
    stripped = tuple(
        replace(page, groups=tuple(squares_only(g) for g in page.groups)) for page in whole.pages
    )
    for picture in rendered(replace(whole, pages=stripped[:1])):
        for axis in (0, 1):
            start, end = extent_mm(picture.max(axis=axis), 10.0)
            assert end - start == pytest.approx(101.6 + 0.2, abs=0.1)


def test_every_page_asks_to_be_measured_before_cutting() -> None:
    with read(printed_set(SETTING)) as printed:
        for number, page in enumerate(printed.pages, start=1):
            words = page.extract_text()
            assert "Print at 100 %; the upper bar is 2 in long, the lower 50 mm" in words
            assert ("both dotted squares" in words) == (number == 1)
            assert f"sheet {number} of {len(printed.pages)}" in words


@pytest.mark.parametrize(("across", "up"), [(98.6, 100.0), (100.0, 101.5), (97.0, 103.0)])
def test_a_printer_that_is_off_is_corrected_in_each_direction(across: float, up: float) -> None:
    """The user measured 98.6 mm: what this printer then prints is 100 mm."""
    setting = replace(SETTING, measured=(across, up))
    with read(printed_set(setting)) as printed:
        for page in printed.pages:
            on_paper = [
                (wide * across / 100, high * up / 100) for wide, high in squares(page).values()
            ]
            if page.page_number == 1:
                assert np.array(sorted(on_paper)) == pytest.approx(TRUE_SIDES, abs=0.1)
            assert inked_inside(page, SETTING.margin)


def inked_inside(page: pdfplumber.page.Page, margin_mm: float) -> bool:
    """Whether every letter lies within the printer's margin: nothing is cut."""
    least, slack = margin_mm / MM_PER_POINT, 0.3
    return all(
        char["x0"] >= least - slack
        and char["x1"] <= float(page.width) - least + slack
        and char["top"] >= least - slack
        and char["bottom"] <= float(page.height) - least + slack
        for char in page.chars
    )


def letters_inside(page: pypdfium2.PdfPage, margin_mm: float) -> bool:
    """As :func:`inked_inside`, by pdfium, which reads a page full of curves a hundred times as
    fast; a letter's box is its font's there, from the deepest to the tallest."""
    text = page.get_textpage()
    boxes = np.array([text.get_charbox(i, loose=True) for i in range(text.count_chars())])
    low = margin_mm / MM_PER_POINT - 0.3
    high = np.array(page.get_size()) - low
    return bool((boxes[:, :2] >= low).all() and (boxes[:, 2:] <= high).all())


def dotted_squares(page: pypdfium2.PdfPage) -> set[float]:
    """As :func:`squares`, by pdfium: the larger side of each in mm, with its line."""
    found = set()
    for figure in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        first = (ctypes.c_float * max(0, pdfium.FPDFPageObj_GetDashCount(figure)))()
        pdfium.FPDFPageObj_GetDashArray(figure, first, len(first))
        left, low, right, high = figure.get_bounds()
        wide, tall = (right - left) * MM_PER_POINT, (high - low) * MM_PER_POINT
        if len(first) and first[0] < 3 and 90 < wide < 112 and 90 < tall < 112:
            found.add(round(max(wide, tall) * 5) / 5)
    return found


def rendered(drawing: Drawing, pixels_per_mm: float = 10.0) -> list[np.ndarray]:
    """Pages as darkness by pdfium."""
    document = pypdfium2.PdfDocument(pdf.render(drawing))
    scale = pixels_per_mm * MM_PER_POINT
    return [darkness(page.render(scale=scale).to_pil()) for page in document]


def marks_only(page: Page) -> Page:
    """The page without check squares, foot and joining marks."""

    def kept(group: Group) -> Group:
        names = {"check squares", "foot", "joining marks"}
        items = [
            kept(item) if isinstance(item, Group) else item
            for item in group.items
            if getattr(item, "name", "") not in names
        ]
        return replace(group, items=tuple(items))

    return replace(page, groups=tuple(kept(group) for group in page.groups))


def tiles(setting: PaperSetting) -> tuple[TiledPiece, dict[tuple[int, int], np.ndarray]]:
    """The window of every page as pixels, 10 to the mm, lowest row of pixels first."""
    done, sheets = tiled_guide(setting)
    drawing = Drawing("tiles", tuple(marks_only(page) for page in sheets))
    x0, y0, x1, y1 = (round(10 * edge) for edge in setting.window(done.tiling.turn))
    crops = [picture[::-1][y0:y1, x0:x1] for picture in rendered(drawing)]
    return done, dict(zip(done.tiling.cells(), crops, strict=True))


def matched(one: np.ndarray, other: np.ndarray) -> float:
    """Share of the dark pixels of ``one`` with a dark pixel of ``other`` within 0.1 mm."""
    dark = one > 0.5
    near = binary_dilation(other > 0.3, np.ones((3, 3)))
    return float(near[dark].mean()) if dark.any() else 1.0


def test_neighbouring_pages_agree_within_a_tenth_of_a_millimetre_in_every_overlap() -> None:
    done, crops = tiles(SETTING)
    shared = round(10 * SETTING.overlap)
    joins = 0
    for (row, column), crop in crops.items():
        right, above = crops.get((row, column + 1)), crops.get((row + 1, column))
        inner = slice(3, -3)
        pairs = []
        if right is not None:
            pairs.append((crop[inner, -shared:][:, inner], right[inner, :shared][:, inner]))
        if above is not None:
            pairs.append((crop[-shared:, inner][inner], above[:shared, inner][inner]))
        for one, other in pairs:
            assert (one > 0.5).any()
            assert matched(one, other) > 0.999
            assert matched(other, one) > 0.999
            joins += 1
    assert joins >= done.tiling.pages - 1


def test_the_pages_put_together_are_the_guide() -> None:
    """Every dark pixel of the guide is on a page within 0.1 mm, and none is there beside it."""
    done, crops = tiles(SETTING)
    x0, y0 = (
        float(edges[0]) - SETTING.overlap / 2 for edges in (done.tiling.across, done.tiling.up)
    )
    high = float(done.tiling.up[-1]) + SETTING.overlap / 2 - y0
    wide = float(done.tiling.across[-1]) + SETTING.overlap / 2 - x0
    checks = [
        replace(check_mark(done.tiling, *place), shift_mm=done.tiling.window(*place)[:2])
        for place in done.tiling.cells()
    ]
    whole = Group("guide", (done.piece.group, *checks), shift_mm=(-x0, -y0))
    guide_pixels = rendered(Drawing("guide", (Page(wide, high, (whole,)),)))[0][::-1]
    put_together = np.zeros_like(guide_pixels)
    for (row, column), crop in crops.items():
        left, low, _, _ = done.tiling.window(row, column)
        i, j = round(10 * (low - y0)), round(10 * (left - x0))
        part = put_together[i : i + crop.shape[0], j : j + crop.shape[1]]
        np.maximum(part, crop[: part.shape[0], : part.shape[1]], out=part)
    assert matched(guide_pixels, put_together) > 0.999
    assert matched(put_together, guide_pixels) > 0.999


def test_lines_keep_their_places_on_every_page() -> None:
    """Read by pdfplumber: each page's lines, moved back by its window, are the guide's."""
    done, sheets = tiled_guide(SETTING)
    cells = list(done.tiling.cells())
    x0 = SETTING.window(done.tiling.turn)[0]
    seams = 0
    with read(Drawing("tiles", sheets)) as printed:
        for page, (row, column) in zip(printed.pages, cells, strict=True):
            left, _, right, _ = done.tiling.window(row, column)
            if not left + 1 < 200.0 < right - 1:
                continue
            upright = [
                float(line["x0"]) * MM_PER_POINT - x0 + left
                for line in page.lines
                if abs(line["x0"] - line["x1"]) < 1e-3 and line["height"] > 100
            ]
            assert min(abs(x - 200.0) for x in upright) < 0.1  # the panel join, at 200 mm
            seams += 1
    assert seams >= 1


def test_no_mark_is_lost_in_a_margin() -> None:
    """Windows lie inside what the printer reaches, and together they show every mark."""
    done, sheets = tiled_guide(SETTING)
    turn = done.tiling.turn
    x0, y0, x1, y1 = SETTING.window(turn)
    width, height = SETTING.page(turn)
    assert min(x0, y0, width - x1, height - y1) >= SETTING.margin - 1e-9
    windows = [shapely.box(*done.tiling.window(r, c)) for r, c in done.tiling.cells()]
    lost = shapely.difference(
        shapely.union_all(done.piece.marks), shapely.union_all(windows).buffer(1e-6)
    )
    assert shapely.length(lost) < 1e-6
    assert len(sheets) == done.tiling.pages


def test_half_marks_of_neighbours_make_whole_diamonds() -> None:
    """On the cloth, both halves of a mark stand on the same stretch of the same joining line."""
    done, _ = tiled_guide(SETTING)
    halves: dict[tuple[float, ...], int] = {}
    for sheet, (row, column) in zip(tiled_sheets(done, SETTING), done.tiling.cells(), strict=True):
        left, low, _, _ = done.tiling.window(row, column)
        marks = next(group for group in sheet.groups if group.name == "joining marks")
        for shape in marks.items:
            if isinstance(shape, Shape):
                base = shape.rings[0][[0, 2]] + (left, low)
                key = tuple(np.round(base.ravel(), 2).tolist())
                halves[key] = halves.get(key, 0) + 1
    assert halves and set(halves.values()) == {2}


def test_mirrored_pages_show_the_guide_from_the_back() -> None:
    runner = galley_runner()
    piece = guide_piece(runner, draw(runner, [layer("straight", angle=70, spacing=60)]))
    plain, turned = (
        replace(SETTING, size=(500.0, 400.0), mirrored=mirrored) for mirrored in (False, True)
    )
    windows = []
    for setting in (plain, turned):
        done = tile_piece(piece, setting)
        (sheet,) = tiled_sheets(done, setting)
        (page,) = pages("g", [sheet], setting)
        x0, y0, x1, y1 = (round(10 * v) for v in setting.window(done.tiling.turn))
        windows.append(rendered(Drawing("g", (marks_only(page),)))[0][::-1][y0:y1, x0:x1])
    assert matched(windows[0][:, ::-1], windows[1]) > 0.995
    assert matched(windows[0], windows[1]) < 0.9


def exhaustive_where_long(sample: Path) -> object:
    """Free curves all over the runner take many times as long as what the other samples show."""
    is_long = sample.parent.name in ("committee-table", "regatta-tea")
    return pytest.param(
        sample, id=sample.parent.name, marks=pytest.mark.exhaustive if is_long else ()
    )


@pytest.mark.parametrize("file", [exhaustive_where_long(sample) for sample in SAMPLES])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_page_of_every_sample_is_readable(file: Path, paper: str) -> None:
    """No letter in the margin, both squares on the first page and across no drawing."""
    project = load(file)
    runner = build(project)
    lines = draw(runner, project.quilting)
    setting = paper_setting(PaperSection.model_validate({"size": paper}), runner)
    made = marking_set(runner, lines, project.quilting, setting, project.title)
    printed = pypdfium2.PdfDocument(pdf.render(made.drawing))
    assert len(printed) == made.pages
    for number, sheet in enumerate(printed):
        assert letters_inside(sheet, setting.margin)
        assert len(dotted_squares(sheet)) == (2 if number == 0 else 0)
    for page in made.drawing.pages:
        texts = [item for group in page.groups for item in group.walk() if isinstance(item, Text)]
        assert all(text.size_mm >= 1.5 for text in texts)


def test_strips_and_lists_take_far_fewer_pages_than_full_size() -> None:
    """The worked example, 2200 x 320 mm: at most 4 A4 pages of strips (trade notes)."""
    runner = replace(
        galley_runner(),
        outline=shapely.box(0, 0, 2200, 320),
        regions=(),
        motifs=(),
        printed=(),
        seams=(),
    )
    grid = layer("grid", angles=(0, 90), spacing=25, marking="ticks")
    lines = draw(runner, [grid])
    made = marking_set(runner, lines, [grid], SETTING, "Long")
    strips = [page for page in made.drawing.pages if page.title.startswith("tick strips")]
    assert 1 <= len(strips) <= 4
    assert made.full_size_pages >= 18


def test_the_copy_shop_page_is_the_guide_at_its_true_size() -> None:
    runner = galley_runner()
    lines = quilting(runner)
    drawing = guide(runner, lines, a_run_a_line(lines, runner), "Galley")
    with read(drawing) as printed:
        page = printed.pages[0]
        assert float(page.width) * MM_PER_POINT == pytest.approx(
            drawing.pages[0].width_mm, abs=0.01
        )
        closed = [
            f for f in [*page.rects, *page.curves] if abs(f["width"] * MM_PER_POINT - 400) < 1
        ]
        assert any(abs(f["height"] * MM_PER_POINT - 200) < 0.1 for f in closed)


def project_with(paper: dict[str, object]) -> object:
    project = load(SAMPLES[0])
    return project.replaced(paper=PaperSection.model_validate(paper, context={"units": "mm"}))


@pytest.mark.parametrize(
    ("paper", "names"),
    [
        ({}, ["marking.pdf"]),
        ({"sheets": ["whole", "projector"]}, ["guide.pdf", "projector.pdf"]),
        ({"sheets": ["tiled"], "roll": 610}, ["tiled-guide.pdf"]),
        ({"sheets": []}, []),
    ],
)
def test_the_project_chooses_what_is_printed(paper: dict[str, object], names: list[str]) -> None:
    project = project_with(paper)
    runner = build(project)  # type: ignore[arg-type]
    lines = draw(runner, project.quilting)  # type: ignore[attr-defined]
    runs = route(lines, policy_named("walking-foot", {}), runner.outline, runner.margin_mm)
    made = [list(paper_outputs(project, runner, lines, runs, guide)) for _ in (1, 2)]  # type: ignore[arg-type]
    assert [file.name for file in made[0]] == names
    assert made[0] == made[1]
    for file in made[0]:
        assert len(pypdfium2.PdfDocument(file.content)) >= 1


def test_a_roll_takes_the_whole_width_on_one_page() -> None:
    runner = galley_runner()
    paper = PaperSection.model_validate({"roll": 610}, context={"units": "mm"})
    done = tile_piece(guide_piece(runner, quilting(runner)), paper_setting(paper, runner))
    assert done.tiling.pages == 1


def test_a_page_from_a_roll_is_no_longer_than_what_stands_on_it() -> None:
    runner = galley_runner()
    paper = PaperSection.model_validate({"roll": 610}, context={"units": "mm"})
    setting = paper_setting(paper, runner)
    lines = draw(runner, list(LAYERS))
    with read(marking_set(runner, lines, LAYERS, setting, "Galley").drawing) as printed:
        lengths = [float(page.width) * MM_PER_POINT for page in printed.pages]
        assert {round(float(page.height) * MM_PER_POINT, 1) for page in printed.pages} == {610.0}
        assert lengths[0] <= 210 < setting.size[0]
        for page in printed.pages:
            assert inked_inside(page, setting.margin)
            assert len(squares(page)) == (2 if page.page_number == 1 else 0)


@pytest.mark.parametrize(
    ("paper", "message"),
    [
        ({"size": "foolscap"}, "no paper 'foolscap'"),
        ({"size": [100, 100]}, "no room for the check squares"),
        ({"size": "A4", "bar_across": 50}, "measure the 100 mm square again"),
        ({"size": "A4", "overlap": 0.5}, "2 to 50 mm"),
        ({"size": "A4", "margin": 60}, "30 mm or less"),
    ],
)
def test_paper_that_cannot_be_printed_on_is_answered(
    paper: dict[str, object], message: str
) -> None:
    with pytest.raises((InputError, ValueError), match=message):
        section = PaperSection.model_validate(paper, context={"units": "mm"})
        paper_setting(section, galley_runner())


def test_the_same_set_is_the_same_bytes() -> None:
    one, other = (pdf.render(printed_set(SETTING)) for _ in (1, 2))
    assert one == other


def test_sheets_are_numbered_without_a_break() -> None:
    titles = [page.title for page in printed_set(SETTING).pages]
    assert titles[0].startswith("first page")
    assert all(a != b for a, b in pairwise(titles))
