"""One project, measured from outside: what is marked and sewn is the flat top, in every file; and
what several files tell is one number."""

from __future__ import annotations

import html
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
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    return _made(tmp_path_factory.mktemp("plain"), PLAIN)


@pytest.fixture(scope="module")
def hooped(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    text = PLAIN.replace('formats = ["dst"]', 'profile = "hoop-200x300"\nformats = ["dst"]')
    return _made(tmp_path_factory.mktemp("hooped"), text)


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
        marks = [float(mm) for mm in re.findall(rf"{edge}: [^(\n]*\(([\d.]+) mm\)", text)]
        assert len(marks) >= 4, text
        assert min(marks) + max(marks) == pytest.approx(size, abs=1.0)


def _told(folder: Path, terminal: str) -> dict[str, dict[str, str]]:
    """Each figure by the document that tells it."""
    page = (folder / "instructions.html").read_text()
    page = html.unescape(re.sub(r"<[^>]+>", " ", page))
    report = json.loads((folder / "report.json").read_text())
    preview = html.unescape(re.sub(r"<[^>]+>", " ", (folder / "preview.html").read_text()))
    ranks = [finding["rank"] for finding in report["warnings"]]
    told = {
        "stitches": {
            "terminal": _found(r"stitches +([\d,]*\d)", terminal),
            "handout": _found(r"About ([\d,]+) stitches", page),
            "report": f"{report['as_sewn']['stitches']:,}",
            "preview": _found(r"Stitches\s+([\d,]+)", preview),
        },
        "minutes": {
            "terminal": _found(r"time +(\d+) min", terminal),
            "handout": _found(r"(\d+) minutes at the machine", page),
            "report": f"{report['as_sewn']['minutes']:.0f}",
            "preview": _found(r"Time\s+(\d+) min", preview),
        },
        "foot": {
            "handout": _found(r"Stitch length [\d.]+ mm; ([^;]+);", page),
            "shopping": _found(r"Foot: 1 \(([^)]+)\)", page),
            "report": report["as_sewn"]["foot"],
        },
        "finished": {
            "terminal": _found(r"size +([\d.]+ mm by [\d.]+ mm)", terminal),
            "handout": _found(r"finished runner of ([\d.]+ mm by [\d.]+ mm)", page),
            "square up": _found(r"level to ([\d.]+ mm by [\d.]+ mm)", page),
        },
        "flat": {
            "terminal": _found(r"flat top +([\d.]+ mm by [\d.]+ mm)", terminal),
            "handout": _found(r"flat top should measure ([\d.]+ mm by [\d.]+ mm)", page),
        },
        "findings": {
            "terminal": _counted(_found(r"findings\s+([^\n]+)", terminal)),
            "report": ", ".join(
                f"{ranks.count(rank)} {rank}" for rank in ("stop", "think", "record")
            ),
        },
    }
    if (folder / "machine" / "LOADING.txt").exists():
        sheet = (folder / "machine" / "LOADING.txt").read_text()
        told["stitches"]["loading"] = _found(r"IN ALL: ([\d,]+) stitches", sheet)
        told["minutes"]["loading"] = _found(r"IN ALL: .* (\d+) minutes at the machine", sheet)
        parts = re.findall(r"([\d,]+) stitches in", sheet)
        together = sum(int(part.replace(",", "")) for part in parts)
        told["stitches"]["loading, part by part"] = f"{together:,}"
    return told


def _counted(findings: str) -> str:
    """``1 to think about (?), 3 for the record, ...`` by rank, as the report would count them."""
    words = {"stop": "to mend first", "think": "to think about", "record": "for the record"}
    found = {rank: re.search(rf"(\d+) {said}", findings) for rank, said in words.items()}
    return ", ".join(f"{match[1] if match else 0} {rank}" for rank, match in found.items())


def _found(pattern: str, text: str) -> str:
    match = re.search(pattern, " ".join(text.split()) if "\\s" not in pattern else text)
    assert match is not None, pattern
    return match[1]


@pytest.mark.parametrize("how", ["made", "hooped"])
def test_what_several_documents_tell_is_one_number(
    how: str, request: pytest.FixtureRequest
) -> None:
    """In the units that were asked for, whoever tells it."""
    told = _told(*request.getfixturevalue(how))
    for figure, by_document in told.items():
        assert len(set(by_document.values())) == 1, (figure, by_document)
    assert told["finished"]["terminal"] == "600 mm by 200 mm"
    assert told["flat"]["terminal"] == "618.5 mm by 206 mm"
