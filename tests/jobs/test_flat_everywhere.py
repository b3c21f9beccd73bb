"""One project, measured from outside: what is marked and sewn is the flat top, in every file, and
every drawing says below itself how the cloth lies that it shows."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pdfplumber
import pyembroidery
import pytest

from quiltpath.jobs.make import load_and_make
from quiltpath.jobs.summary import summary
from quiltpath.runner.states import CLOTH_WORDS, WORDS

FLAT_MM = 600 / 0.97, 200 / 0.97
"""By hand: 3 percent taken up, so 600 and 200 mm are 97 percent of the flat top."""

PLAIN = """
title = "Measured"
units = "mm"
[runner]
length = 600
width = 200
[[quilting]]
kind = "grid"
angles = [0, 90]
spacing = "about 50 mm"
anchor = "halfway"
overrun = 0
[quilted]
taken_up = 0.03
[instructions]
units = "metric"
[machine]
formats = ["dst"]
[paper]
sheets = ["marking", "tiled", "whole", "projector"]
[also]
resume = [1]
look = "4 m"
nest = { width = 500 }
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    return _made(tmp_path_factory.mktemp("plain"), PLAIN)


def _made(folder: Path, text: str) -> tuple[Path, str]:
    file = folder / "runner.toml"
    file.write_text(text)
    result, files = load_and_make(file, folder / "out")
    return folder / "out", summary(result, files)


def test_the_report_tells_each_state_by_hand_and_the_state_of_every_file(
    made: tuple[Path, str],
) -> None:
    report = json.loads((made[0] / "report.json").read_text())
    states = report["states"]
    assert states["by"] == "given figure"
    assert (states["flat"]["length_mm"], states["flat"]["width_mm"]) == pytest.approx(
        FLAT_MM, abs=1e-3
    )
    for state in ("quilted", "washed"):
        assert states[state] == {"length_mm": 600, "width_mm": 200}
    assert (report["runner"]["length_mm"], report["runner"]["width_mm"]) == (600, 200)
    assert report["runner"]["outline_area_mm2"] == pytest.approx(120_000)
    assert {file["state"] for file in report["files"]} <= {
        "flat", "quilted", "washed", "cloth", "several",
    }  # fmt: skip
    drawn = {file["path"]: file["state"] for file in report["files"]}
    assert drawn["runner.dst"] == drawn["guide.svg"] == drawn["marking.pdf"] == "flat"


def test_the_stitch_file_is_as_large_as_the_flat_top(made: tuple[Path, str]) -> None:
    """Read by pyembroidery, in tenths of a millimetre: lines run from edge to edge."""
    pattern = pyembroidery.read(str(made[0] / "runner.dst"))
    holes = np.array([(x, y) for x, y, kind in pattern.stitches if kind == pyembroidery.STITCH])
    size = (holes.max(axis=0) - holes.min(axis=0)) / 10
    assert size.tolist() == pytest.approx(FLAT_MM, abs=0.2)


def test_the_guide_is_as_large_as_the_flat_top(made: tuple[Path, str]) -> None:
    """Its page is in mm (viewBox); the outline's corners are read from the SVG itself."""
    root = ET.parse(made[0] / "guide.svg").getroot()
    (outline,) = [part for part in root.iter() if part.get("id") == "outline"]
    drawn = " ".join(
        part.get("d") or part.get("points") or "" for part in outline.iter() if part is not outline
    )
    numbers = [float(x) for x in re.findall(r"-?\d+\.?\d*", drawn)]
    x, y = np.array(numbers[0::2]), np.array(numbers[1::2])
    assert (np.ptp(x), np.ptp(y)) == pytest.approx(FLAT_MM, abs=0.01)
    words = "".join(root.itertext())
    assert "flat: as it lies before quilting" in words


def test_the_ruler_list_covers_the_flat_top(made: tuple[Path, str]) -> None:
    """Lines halfway begin half a gap from one edge and end half a gap from the other: the first
    and the last mark come to the size of the top. Marks are rounded to half a millimetre."""
    with pdfplumber.open(made[0] / "marking.pdf") as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "flat: as it lies before quilting" in text
    for edge, size in (("left edge", FLAT_MM[1]), ("lower edge", FLAT_MM[0])):
        told = re.search(rf"{edge.capitalize()}, from the \w+ \w+: ([\d.,\s]+) mm", text)
        assert told is not None, text
        marks = [float(mm) for mm in told[1].split(",")]
        assert len(marks) >= 4, text
        assert min(marks) + max(marks) == pytest.approx(size, abs=1.0)


def test_every_drawing_says_in_its_foot_how_the_cloth_lies(made: tuple[Path, str]) -> None:
    """Each page of each PDF and each SVG of the set; pictures on a page each have it below them."""
    told = {*WORDS.values(), CLOTH_WORDS}
    drawings = [file for file in made[0].rglob("*") if file.suffix in (".svg", ".pdf")]
    names = {file.name for file in drawings}
    assert {"guide.svg", "cutting.svg", "resume.svg", "look.svg", "instructions.pdf"} <= names
    for file in drawings:
        pages = [_words(file)] if file.suffix == ".svg" else _pages(file)
        for number, page in enumerate(pages, start=1):
            assert any(words in page for words in told), f"{file.name}, page {number}"


def test_every_picture_of_the_instructions_has_its_state(made: tuple[Path, str]) -> None:
    """Layers and basting lie flat, binding is of the quilted piece, cloth is cut as bought."""
    page = (made[0] / "instructions.html").read_text()
    captions = re.findall(r"<figcaption>(.*?)</figcaption>", page)
    assert len(captions) >= 12
    states = {state: [c for c in captions if state in c.lower()] for state in WORDS}
    assert any("with the pins" in caption for caption in states["flat"])
    assert any("raw edge" in c or "strip laid" in c for c in states["quilted"])
    for caption in captions:
        assert sum(words in caption.lower() for words in (*WORDS.values(), CLOTH_WORDS)) == 1


def _words(file: Path) -> str:
    return " ".join(ET.parse(file).getroot().itertext())


def _pages(file: Path) -> list[str]:
    with pdfplumber.open(file) as pdf:
        return [page.extract_text() for page in pdf.pages]
