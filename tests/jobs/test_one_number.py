"""One number, one place: whatever several documents of a set tell, they tell alike.

The figures are read from the documents as a person reads them: terminal, handout, notes, loading
sheet, preview, guide and the report's own plain numbers.
"""

from __future__ import annotations

import html
import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from quiltpath.jobs.make import load_and_make
from quiltpath.jobs.summary import summary
from quiltpath.units import Measures, Units

PROJECT = """
title = "Told once"
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
[wadding]
limit = 40
[table]
length = 500
width = 500
drop = 50
[instructions]
units = "{units}"
[machine]
{machine}
"""

HAND, HOOP = 'formats = ["dst"]', 'profile = "hoop-200x300"\nformats = ["dst"]'
Figures = dict[str, dict[str, str]]
"""What each document tells of a figure, by the figure."""


class Set:
    """A set as it was made, with its documents as text."""

    def __init__(self, folder: Path, units: Units, machine: str) -> None:
        file = folder / "runner.toml"
        file.write_text(PROJECT.format(units=units, machine=machine))
        result, files = load_and_make(file, folder / "out")
        self.units, out = units, folder / "out"
        self.terminal = summary(result, files)
        self.handout = _plain((out / "instructions.html").read_text())
        self.preview = _plain((out / "preview.html").read_text())
        self.notes = (out / "sewing-notes.txt").read_text()
        self.guide = " ".join(ET.parse(out / "guide.svg").getroot().itertext())
        self.report: dict[str, Any] = json.loads((out / "report.json").read_text())
        sheet = out / "machine" / "LOADING.txt"
        self.loading = sheet.read_text() if sheet.exists() else ""


def _plain(page: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"(?s)<(style|script).*?</\1>", " ", page)))


@pytest.fixture(scope="module", params=[("metric", HAND), ("inches", HOOP)], ids=["hand", "hoop"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Set:
    units, machine = request.param
    return Set(tmp_path_factory.mktemp(units), units, machine)


def test_sizes_are_one_number_in_each_state(made: Set) -> None:
    states, words = made.report["states"], Measures(made.units)
    flat, used = (
        words.size(states[state]["length_mm"], states[state]["width_mm"])
        for state in ("flat", "washed")
    )
    one = r"([\d./ ]+(?:mm|in) by [\d./ ]+(?:mm|in))"
    told: Figures = {
        "finished": {
            "report": used,
            "terminal": _found(rf"size {one}", made.terminal),
            "handout": _found(rf"finished runner of {one}", made.handout),
            "square up": _found(rf"level to {one}", made.handout),
            "leaves": _found(rf"which leaves {one}", made.handout),
            "preview": " by ".join(
                _found(rf"{side} ([\d./ ]+(?:mm|in))", made.preview) for side in ("Length", "Width")
            ),
        },
        "flat": {
            "report": flat,
            "terminal": _found(rf"flat top {one}", made.terminal),
            "handout": _found(rf"flat top should measure {one}", made.handout),
            "preview": _found(rf"Drawn flat {one}", made.preview),
            "guide": _found(r": ([^:]+) flat", made.guide).replace(" x ", " by "),
        },
    }
    are_alike(told)


def test_counts_are_one_number(made: Set) -> None:
    report, sewn = made.report, made.report["as_sewn"]
    told: Figures = {
        "stitches": {
            "report": f"{sewn['stitches']:,}",
            "terminal": _found(r"stitches ([\d,]*\d)", made.terminal),
            "handout": _found(r"About ([\d,]+) stitches", made.handout),
            "preview": _found(r"Stitches ([\d,]+)", made.preview),
        },
        "minutes": {
            "report": f"{sewn['minutes']:.0f}",
            "terminal": _found(r"time (\d+) min", made.terminal),
            "handout": _found(r"(\d+) minutes at the machine", made.handout),
            "preview": _found(r"Time (\d+) min", made.preview),
        },
        "metres": {
            "report": f"{report['stitching']['stitched_mm'] / 1000:.1f}",
            "terminal": _found(r"([\d.]+) m sewn", made.terminal),
            "handout": _found(r"([\d.]+) m of line", made.handout),
            "preview": _found(r"Sewn ([\d.]+) m", made.preview),
        },
        "starts": {
            "report": str(report["stitching"]["runs"]),
            "terminal": _found(r"starts (\d+)", made.terminal),
            "preview": _found(r"Starts (\d+)", made.preview),
        },
        "bobbins": {
            "report": str(report["thread"]["bobbins"]),
            "terminal": _found(r"bobbins (\d+) of", made.terminal),
            "shopping": _found(r"Bobbins \([^)]*\): (\d+)", made.handout),
            "preview": _found(r"(\d+) bobbin", made.preview),
        },
        "thread": {
            "report": f"{report['thread']['needle_m']:.0f}",
            "terminal": _found(r"needle (\d+) m", made.terminal),
            "preview": _found(r"Needle thread (\d+) m", made.preview),
        },
        "foot": {
            "report": sewn["foot"],
            "handout": _found(r"Stitch length [\d.]+ mm; ([^;]+);", made.handout),
            "shopping": _found(r"Foot \(([^)]+)\): 1", made.handout),
        },
    }
    if made.loading:
        told["stitches"]["loading"] = _found(r"IN ALL: ([\d,]+) stitches", made.loading)
        told["minutes"]["loading"] = _found(
            r"IN ALL: .* (\d+) minutes at the machine", made.loading
        )
        in_parts = r"\d+.*?; (\d+) when sewn in \d+ parts"
        told["starts in parts"] = {
            "report": str(sewn["starts"]),
            "terminal": _found(rf"starts {in_parts}", made.terminal),
            "preview": _found(rf"Starts {in_parts}", made.preview),
            "handout": _found(r"with (\d+) starts of thread", made.handout),
        }
        assert sewn["starts"] != report["stitching"]["runs"]
        parts = re.findall(r"([\d,]+) stitches in", made.loading)
        together = sum(int(part.replace(",", "")) for part in parts)
        told["stitches"]["loading, part by part"] = f"{together:,}"
    else:
        told["starts"]["handout"] = _found(r"direction of its arrows: (\d+) starts", made.handout)
    are_alike(told)


def test_the_widest_place_and_the_rows_are_one_number(made: Set) -> None:
    """By hand: 200 / 0.97 mm in 4 and 600 / 0.97 in 12 gaps, all of 51.55 mm."""
    apart = Measures(made.units).cut(600 / 0.97 / 12)
    length, rows = r"([\d./ ]+(?:mm|in))", made.report["sewing"]["guide_bar"][0]
    told: Figures = {
        "gap": {
            "report": Measures(made.units).cut(made.report["gap"]["widest_mm"]),
            "terminal": _found(rf"widest gap {length}", made.terminal),
            "handout": _found(rf"widest unquilted place of the flat top is {length}", made.handout),
            "preview": _found(rf"Widest gap {length}", made.preview),
            "warning": _found(rf"widest unquilted place is {length}", made.terminal),
        },
        "rows": {
            "hand": apart,
            "report": Measures(made.units).cut(rows["steps"][1]["setting_mm"]),
        },
    }
    if not made.loading:  # a machine that moves the work has no guide bar
        told["rows"]["notes"] = _found(rf"bar at {length}", made.notes)
    are_alike(told)


def test_warnings_are_the_same_ones_in_the_same_words(made: Set) -> None:
    warnings = made.report["warnings"]
    ranks = [warning["rank"] for warning in warnings]
    line = _found(r"findings (.*?) [!?] ", made.terminal)
    words = {"stop": "to mend first", "think": "to think about"}
    for rank, said in words.items():
        assert f"{ranks.count(rank)} {said}" in line
        for warning in (w for w in warnings if w["rank"] == rank):
            assert " ".join(warning["message"].split()) in " ".join(made.terminal.split())


def test_lengths_are_in_the_units_that_were_asked_for(made: Set) -> None:
    """No document converts beside them; what is set in mm everywhere, a stitch, a print's check
    bar, a drawing's scale, a machine's screen and fields, stays so."""
    after = r"(?= (?:by|along|across|apart|wide|x|from|inside|beyond)\b|[,.;:)]|$)"
    other = r"\d mm\b" if made.units == "inches" else rf"\d in{after}"
    everywhere = r"Stitch length|tiny|tails|bars: 100 mm|10 to 20 mm|field|Work that lies|and 4 in"
    everywhere += "|screen must|first stitch is|print bar|overlapping by"
    for name in ("terminal", "handout", "notes", "guide"):
        text = " ".join(getattr(made, name).split())
        for sentence in re.split(r"(?<=[a-z)])[.;] ", text):
            if re.search(other, sentence):
                assert re.search(everywhere, sentence), (name, sentence)


def test_a_metric_handout_has_round_metric_figures(made: Set) -> None:
    """What the file leaves open: 6 cm strips, 7.5 mm seams, 10 cm more backing all round, cloth
    of a metre (common practice); 600 / 0.97 and 200 mm beyond are 818.5 mm."""
    if made.units == "inches":
        assert "strips 2 1/4 in wide" in made.handout and "1/4 in seam" in made.handout
        return
    for told in (
        "strips 60 mm wide",
        "a 7.5 mm seam",
        "Trim each seam to 6 mm",
        "Leave 100 mm loose",
    ):
        assert told in made.handout
    assert "Backing: 818.5 mm by 406 mm" in made.handout
    assert "1000 mm wide, 50 mm of it for crooked cuts" in made.handout


def _found(pattern: str, text: str) -> str:
    match = re.search(pattern, " ".join(text.split()))
    assert match is not None, pattern
    return match[1].strip()


def are_alike(told: Figures) -> None:
    for figure, by_document in told.items():
        assert len(set(by_document.values())) == 1, (figure, by_document)
