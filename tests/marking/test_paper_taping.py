"""Taped pages creep: the budget over the joins, and the check marks that show it."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pdfplumber
import pytest
import shapely

from quiltpath.drawing import pdf
from quiltpath.drawing.page_model import Drawing
from quiltpath.marking.marking_set import map_rows
from quiltpath.marking.page_tiling import fewest_pages
from quiltpath.marking.paper_files import guide_piece
from quiltpath.marking.paper_sizes import PAPERS_MM, PaperSetting
from quiltpath.marking.sheet import pages
from quiltpath.marking.taping import TapingBudget, along_and_up, tile_piece, tiled_sheets
from tests.documents.quilted import galley_runner, quilting

MM_PER_POINT = 25.4 / 72
SETTING = PaperSetting(size=PAPERS_MM["A4"], margin=6.0, overlap=10.0)


def test_8_joins_of_half_a_millimetre_are_4_mm_at_worst_and_1_4_mm_typically() -> None:
    """The quilters' worked example; sqrt 8 x 0.5 = 1.41."""
    budget = TapingBudget(8, 0.5)
    assert budget.worst_mm == 4.0 and budget.typical_mm == pytest.approx(1.414, abs=1e-3)


@pytest.mark.parametrize("joins", [0, 1, 5, 9])
def test_worst_and_typical_are_those_of_every_way_to_be_off(joins: int) -> None:
    """Brute force over all ways in which every join is off by 0.5 mm to one side or the other."""
    ends = np.array([sum(way) for way in itertools.product((-0.5, 0.5), repeat=joins)] or [0.0])
    budget = TapingBudget(joins, 0.5)
    assert budget.worst_mm == np.abs(ends).max()
    assert budget.typical_mm == pytest.approx(np.sqrt((ends**2).mean()))


def test_check_marks_lie_as_far_apart_as_they_say() -> None:
    """Read from the PDF by another library and put together at the pages' true places."""
    runner = galley_runner()
    done = tile_piece(guide_piece(runner, quilting(runner)), SETTING)
    drawing = Drawing("Galley", pages("Galley", tiled_sheets(done, SETTING), SETTING))
    first: dict[int, float] = {}
    with pdfplumber.open(io.BytesIO(pdf.render(drawing))) as read:
        for page, (row, column) in zip(read.pages, done.tiling.cells(), strict=True):
            words = page.extract_words()
            at = next(i for i, word in enumerate(words) if word["text"] == "check")
            told = float(next(w["text"] for w in words[at + 1 :] if w["text"][0] == "(")[1:])
            place = words[at]["x0"] * MM_PER_POINT + done.tiling.window(row, column)[0]
            start = first.setdefault(row, place)
            assert place - start == pytest.approx(told, abs=0.1)
    assert max(np.count_nonzero(row) for row in done.tiling.needed) >= 3


def test_the_page_map_tells_what_the_joins_may_come_to() -> None:
    runner = galley_runner()
    done = tile_piece(guide_piece(runner, quilting(runner)), SETTING)
    along, _ = along_and_up(done.tiling)
    assert along.joins == done.tiling.needed.shape[1] - 1
    texts = [
        item.text
        for row in map_rows([done], 190.0)
        for part in row.items
        for item in (part.walk() if hasattr(part, "walk") else [part])
        if hasattr(item, "text")
    ]
    assert "Lay a tape measure along the small crosses" in " ".join(texts)


def test_a_single_page_has_no_joins_to_tell_of() -> None:
    marks = np.array([shapely.box(0, 0, 100, 50).exterior], dtype=object)
    tiling = fewest_pages(marks, {"upright": (198.0, 285.0)}, 10.0)
    assert [b.worst_mm for b in along_and_up(tiling)] == [0, 0]
