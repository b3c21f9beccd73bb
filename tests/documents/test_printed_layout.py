"""Laid out like a good printed pattern: filled pages, nothing on top of anything, all numbers.

What a page is held to is common practice of printed patterns, measured by pdfplumber, which is not
ours.
"""

from __future__ import annotations

import functools
import io

import numpy as np
import pdfplumber
import pytest

from quiltpath.documents.instructions import Layout, cover, steps
from quiltpath.drawing.page_model import Group, Text
from quiltpath.units import Measures
from tests.test_samples import outputs_of, result_of

SAMPLES = ("harvest-supper", "supper-mats")
MM = 72 / 25.4
FOOT_MM, MARGIN_MM = 25.0, 17.0


@functools.cache
def pages_of(sample: str, name: str = "instructions.pdf") -> list[pdfplumber.page.Page]:
    """Each page keeps what was read from it."""
    pdf = pdfplumber.open(io.BytesIO(outputs_of(sample)[name].content))
    return list(pdf.pages)


def fill_of(page: pdfplumber.page.Page) -> float:
    """Lowest ink above the foot, as a share of the height between margins and foot."""
    low = float(page.height) - FOOT_MM * MM
    ink = [o["bottom"] for o in (*page.chars, *page.lines, *page.curves, *page.rects)]
    lowest = max(bottom for bottom in ink if bottom < low + 2)
    return (lowest - MARGIN_MM * MM) / (low - MARGIN_MM * MM)


@pytest.mark.parametrize("sample", SAMPLES)
def test_pages_are_filled(sample: str) -> None:
    fills = [fill_of(page) for page in pages_of(sample)]
    assert len(fills) <= 8
    assert np.mean(fills) > 0.85 and min(fills) > 0.6, fills


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("name", ["instructions.pdf", "marking.pdf"])
def test_no_letter_lies_on_another(sample: str, name: str) -> None:
    assert [clashing(page) for page in pages_of(sample, name) if clashing(page)] == []


def clashing(page: pdfplumber.page.Page) -> list[str]:
    """Upright letters but spaces that lie on another; a quarter of a letter may be shared."""
    chars = [c for c in page.chars if c["upright"] and c["text"].strip()]
    box = np.array([(c["x0"], c["top"], c["x1"], c["bottom"]) for c in chars])
    own = 0.5 * (box[:, 3] - box[:, 1])  # descenders of one line reach into the next
    middle = (box[:, 1] + box[:, 3]) / 2
    found: list[str] = []
    for number, (x0, _, x1, _) in enumerate(box.tolist()):
        level = np.abs(middle - middle[number]) < 0.6 * np.minimum(own, own[number])
        shared = np.minimum(box[:, 2], x1) - np.maximum(box[:, 0], x0)
        clash = level & (shared > 0.25 * (x1 - x0))
        clash[number] = False
        found += [chars[i]["text"] for i in np.flatnonzero(clash)]
    return found


def test_every_start_is_numbered_in_the_order_of_sewing_on_paper() -> None:
    result = result_of("harvest-supper")
    room = Layout.of("A4", False).picture_room
    (quilt,) = [s for s in steps(result, room, Measures("inches")) if s.title == "Quilt"]
    whole = Group("whole", quilt.pictures[0].items)
    texts = [item for item in whole.walk() if isinstance(item, Text)]
    numbers = sorted(int(text.text) for text in texts)
    assert numbers == list(range(1, len(result.runs) + 1))
    assert min(text.size_mm for text in texts) * MM >= 7.0
    names = [picture.name for picture in quilt.pictures[1:]]
    assert names == ["order in A1", "order in B1", "order in C1"]  # pear, leek, wheat ear


def test_the_cover_says_what_it_is_and_shows_it() -> None:
    result = result_of("harvest-supper")
    first = cover(result, Layout.of("A4", False).picture_room, Measures("inches"))
    assert first.facts[0] == "Finished size 72 in by 14 in"
    assert "table of 56 in by 42 in" in first.facts[1] and "8 in at each end" in first.facts[1]
    words = pages_of("harvest-supper")[0].extract_text()
    assert "Finished size 72 in by 14 in" in words and "buy 2 3/8 yd" in words


def test_wide_pictures_go_across_the_page_and_the_others_beside_their_words() -> None:
    layout = Layout.of("A4", False)
    own = steps(result_of("harvest-supper"), layout.picture_room, Measures("inches"))
    wide = {step.title for step in own for p in step.pictures if p.width_mm > layout.picture_mm + 1}
    assert wide == {"Mark the flat top", "Quilt"}
