"""A left hand cuts and sews the other way round; large print asks for larger letters alone.

Which way a hand works is common practice, from memory: a right hand sews slip stitches from right
to left and cuts with the cloth to its right; a machine has its arm on the right for everybody.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pdfplumber
import pytest

from quiltpath.documents.instructions import Layout, instruction_files, steps
from quiltpath.documents.instructions.step import for_left_hands
from quiltpath.drawing.page_model import Drawn, Group, Points, Shape, Text
from quiltpath.drawing.sketch import Picture
from quiltpath.jobs.make import outputs
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures

SMALL = """
title = "Bean trug"
units = "in"
[runner]
length = "34 in"
width = "12 in"
[grid]
along = 3
sashing = "1 in"
outer_sashing = "1 in"
[machine]
profile = "longarm-small"
formats = ["dst"]
[paper]
sheets = ["marking"]
[[quilting]]
kind = "straight"
spacing = "about 2 in"
"""
SHEETS = ("marking.pdf", "machine/placement.pdf", "sewing-notes.txt", "machine/LOADING.txt")


@functools.cache
def made(told: str = "") -> Result:
    return compute(parse(f"{SMALL}[instructions]\n{told}"))


@functools.cache
def files(told: str = "") -> dict[str, bytes]:
    return {file.name: file.content for file in outputs(made(told))}


def words_at(told: str) -> Iterator[dict[str, float]]:
    """For each page of the instructions: where each word begins, in points; of one that stands in
    a picture and in the words below it, in the picture."""
    with pdfplumber.open(io.BytesIO(files(told)["instructions.pdf"])) as pdf:
        for page in pdf.pages:
            words = sorted(page.extract_words(), key=lambda word: -word["top"])
            yield {word["text"]: word["x0"] for word in words}


def texts(picture: Picture) -> list[str]:
    return [i.text for i in Group("all", picture.items).walk() if isinstance(i, Text)]


def points_of(item: Drawn) -> Points:
    return np.vstack(item.rings) if isinstance(item, Shape) else item.points


def test_a_left_hand_has_the_ruler_on_its_right_and_the_cloth_on_its_left() -> None:
    for told, ruler_first in (("", True), ("left_handed = true", False)):
        (page,) = [words for words in words_at(told) if "ruler" in words and "away" in words]
        assert (page["ruler"] < page["away"]) is ruler_first


@pytest.mark.parametrize(
    ("told", "way"), [("", "right to left"), ("left_handed = true", "left to right")]
)
def test_slip_stitches_go_towards_the_other_hand(told: str, way: str) -> None:
    with pdfplumber.open(io.BytesIO(files(told)["instructions.pdf"])) as pdf:
        text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert f"from {way}" in text


def test_hands_alone_change_sides_and_words_are_read_as_before() -> None:
    own = steps(made(), Layout.of("A4", False).picture_room, Measures("inches"))
    before = {p.name: p for step in own for p in step.pictures}
    after = {p.name: p for step in for_left_hands(own) for p in step.pictures}
    turned = {name for name, picture in after.items() if picture is not before[name]}
    assert {"diagonal join", "fold", "slip stitches", "cutting along a ruler"} <= turned
    assert not turned & {"quilting", "marking", "cover", "squaring up", "sewing on", "size"}
    for name in turned:
        assert texts(after[name]) == texts(before[name])
        for one, other in zip(before[name].items, after[name].items, strict=True):
            if isinstance(one, Drawn) and isinstance(other, Drawn):
                old, new = (
                    np.vstack(getattr(i, "rings", None) or (i.points,)) for i in (one, other)
                )
                assert new[:, 0] == pytest.approx(before[name].width_mm - old[:, 0])
                assert new[:, 1] == pytest.approx(old[:, 1])


def test_mirrored_twice_a_picture_is_itself() -> None:
    own = steps(made(), Layout.of("A4", False).picture_room, Measures("inches"))
    for picture in (p for step in own for p in step.pictures if p.by_hand):
        for one, other in zip(picture.items, picture.mirrored.mirrored.items, strict=True):
            if isinstance(one, Text) and not one.angle_deg:
                assert isinstance(other, Text) and other.anchor == one.anchor
                assert other.at == pytest.approx(one.at)


def test_what_is_true_to_size_and_what_a_machine_reads_is_the_same_for_either_hand() -> None:
    names = set(files()) - {"instructions.pdf", "instructions.html", "report.json"}
    assert "marking.pdf" in names and any(name.endswith(".dst") for name in names)
    changed = {name for name in names if files()[name] != files("left_handed = true")[name]}
    assert changed == set()


def test_large_print_leaves_every_sheet_on_as_many_pages() -> None:
    large = files("large_print = true")
    there = [name for name in SHEETS if name in files()]
    assert "marking.pdf" in there and len(there) > 1
    for name in there:
        assert large[name] == files()[name]


def test_pictures_of_large_print_keep_within_the_page_and_share_it() -> None:
    result = replace(made(), project=made("large_print = true").project)
    content = {name: content for name, content, _ in instruction_files(result)}
    with pdfplumber.open(io.BytesIO(content["instructions.pdf"])) as pdf:
        for page in pdf.pages:
            for drawn in (*page.chars, *page.lines, *page.curves, *page.rects):
                assert drawn["x0"] >= 20 and drawn["x1"] <= page.width - 20


@pytest.mark.parametrize(
    ("policy", "told"),
    [("continuous", "when it runs low in number 1;"), ("walking-foot", "after number")],
)
def test_a_bobbin_is_changed_between_starts_or_on_the_way(policy: str, told: str) -> None:
    """One path that takes more than a bobbin has no end before which to change it."""
    text = SMALL.replace('[machine]\nprofile = "longarm-small"\nformats = ["dst"]\n', "")
    result = compute(parse(f'{text}[sewing]\npolicy = "{policy}"\n[thread]\nbobbin = 4\n'))
    own = steps(result, Layout.of("A4", False).picture_room, Measures("inches"))
    (quilt,) = [step for step in own if step.title == "Quilt"]
    (said,) = [task for task in quilt.tasks if "full bobbin" in task]
    assert told in said and "wind" in said


PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""ISO 216 and ANSI/ASME Y14.1, from memory."""


def test_one_layout_is_held_by_both_papers() -> None:
    """Printed at 100 % on either, nothing is cut off; a printer leaves 4 mm (common practice)."""
    project = parse(SMALL.replace("[paper]", '[paper]\nsize = "A4 or Letter"'))
    result = replace(made(), project=project)
    content = {name: content for name, content, _ in instruction_files(result)}
    with pdfplumber.open(io.BytesIO(content["instructions.pdf"])) as pdf:
        for page in pdf.pages:
            wide, high = float(page.width) * 25.4 / 72, float(page.height) * 25.4 / 72
            assert all(wide <= w + 0.1 and high <= h + 0.1 for w, h in PAPERS_MM.values())
            for letter in page.chars:
                assert letter["x0"] >= 11 and letter["x1"] <= page.width - 11
                assert letter["top"] >= 11 and letter["bottom"] <= page.height - 11


def test_names_on_the_placement_page_stay_on_its_drawing() -> None:
    """The words begin 172 mm from the left; what is named beside its place ends before them."""
    with pdfplumber.open(io.BytesIO(files()["machine/placement.pdf"])) as pdf:
        for page in pdf.pages[1:]:
            named = [w for w in page.extract_words() if w["text"] in ("start", "end", "cross")]
            drawn = [word for word in named if word["x0"] < 165 * 72 / 25.4]
            assert drawn and all(word["x1"] < 170 * 72 / 25.4 for word in drawn)
            assert all(word["x0"] > 5 * 72 / 25.4 for word in drawn)
