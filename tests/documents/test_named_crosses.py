"""A cross has one name: in the list, on its pictures, on its part's page and on the sheet."""

from __future__ import annotations

import io
import itertools
import re

import numpy as np
import pdfplumber
import pytest

from quiltpath.documents.guide import marking_guide
from quiltpath.documents.instructions import Layout, Step, steps
from quiltpath.drawing.names_beside import HIGH, names_beside
from quiltpath.drawing.page_model import Text
from quiltpath.drawing.text_width import text_width
from quiltpath.jobs.machine_files import machine_files
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures

RUNNER = """
title = "Hoop mat"
units = "mm"
[runner]
length = {length}
width = 350
[[quilting]]
kind = "grid"
angles = [45, 135]
spacing = 50
[machine]
profile = "{profile}"
formats = ["dst"]
"""


def result_of(profile: str, length: int = 900) -> Result:
    return compute(parse(RUNNER.format(length=length, profile=profile)))


def marking(result: Result) -> Step:
    own = steps(result, Layout.of("A4", False).picture_room, Measures("metric"))
    return next(step for step in own if step.title == "Mark the flat top")


def told_places(step: Step) -> dict[str, tuple[float, float]]:
    """Each name with its mm from the left end and from the lower edge, as a person reads them."""
    found = {}
    for task in step.tasks:
        if one := re.fullmatch(
            r"Cross (x\d+): ([\d.]+) mm from the left end, ([\d.]+) mm .*", task
        ):
            found[one[1]] = (float(one[2]), float(one[3]))
        if row := re.fullmatch(
            r"x(\d+)(?: (?:to|and) x(\d+))?, ([\d.]+) mm from the (left end|lower edge): at (.*)",
            task,
        ):
            others = [float(mm) for mm in re.findall(r"([\d.]+) mm", row[5])]
            numbers = range(int(row[1]), int(row[2] or row[1]) + 1)
            for number, other in zip(numbers, others, strict=True):
                at = float(row[3])
                found[f"x{number}"] = (at, other) if row[4] == "left end" else (other, at)
    return found


@pytest.mark.parametrize(
    ("profile", "length"), [("hoop-200x300", 900), ("longarm-small", 900), ("hoop-100x100", 500)]
)
def test_a_cross_bears_one_name_on_every_paper(profile: str, length: int) -> None:
    """The place told for a name is the place of the cross of that name in each part that has it."""
    result = result_of(profile, length)
    machine = result.machine_parts
    assert machine is not None
    told = told_places(marking(result))
    assert sorted(told, key=lambda name: int(name[1:])) == [
        f"x{number + 1}" for number in range(len(machine.crosses))
    ]
    files = {file.name: file.content for file in machine_files(result)}
    with pdfplumber.open(io.BytesIO(files["machine/placement.pdf"])) as pdf:
        pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
    loading = " ".join(files["machine/LOADING.txt"].decode().split())
    pairs = re.findall(r"Its crosses: (x\d+) and (x\d+)\.", loading)
    assert len(pairs) == len(machine.parts)
    guide = marking_guide(result).decode()
    for part, pair, page in zip(machine.parts, pairs, pages[1:], strict=True):
        for cross, name in zip(part.crosses, pair, strict=True):
            assert told[name] == pytest.approx(tuple(cross.tolist()), abs=0.3)
            assert page.count(name) >= 2  # beside its cross, and in the words
    assert f">{pairs[0][0]}<" in guide


@pytest.mark.parametrize("profile", ["hoop-200x300", "hoop-100x100"])
def test_names_in_the_picture_can_be_read(profile: str) -> None:
    """None on another, and where there is room each cross has its own."""
    (picture,) = marking(result_of(profile)).pictures
    names = [item for item in picture.items if isinstance(item, Text)]
    assert len(names) >= 8 and all(re.fullmatch(r"x\d+", item.text) for item in names)
    boxes = [
        (*item.at, item.at[0] + text_width(item.text, item.size_mm), item.at[1] + item.size_mm / 2)
        for item in names
    ]
    for one, other in itertools.combinations(boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_where_not_all_have_room_the_first_of_each_row_is_named() -> None:
    """Twenty crosses 4 mm apart: names of 3 mm are wider; two crosses far off have theirs."""
    close = [f"x{i + 1}" for i in range(20)], np.array([(4.0 * i, 0.0) for i in range(20)])
    apart = ["x21", "x22"], np.array([(0.0, 50.0), (40.0, 50.0)])
    texts = [item for item in names_beside([close, apart], 3.0, 1.0) if isinstance(item, Text)]
    named = {item.text: item.at for item in texts}
    assert {"x1", "x21", "x22"} <= named.keys() and len(named) < 22
    for name, (x, y) in named.items():
        wide = text_width(name, 3.0)
        for names, places in (close, apart):
            for own, at in zip(names, places.tolist(), strict=True):
                hit = x < at[0] + 1 and at[0] - 1 < x + wide
                hit = hit and y < at[1] + 1 and at[1] - 1 < y + HIGH * 3
                assert own == name or not hit
