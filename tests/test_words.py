"""A person who sews meets the words of the trade, and none of those that programs are made of."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.jobs.summary import summary
from tests.test_samples import NAMES, outputs_of, result_of
from tests.test_what_samples_show import words

SHEETS = ("instructions.html", "sewing-notes.txt", "marking.pdf", "guide.svg")

PROGRAMMERS = re.compile(
    r"\b(runs?|anchor|region|datum|theory|polyline|vertex|vertices|node|trail|lower bound"
    r"|parameter|near miss(es)?|layer (?=\d))\b",
    re.IGNORECASE,
)

AS_THE_TRADE_SAYS_IT = (
    "run it an inch between the layers",  # the needle
    "run them first",  # the machine
    "print runs on",
    "it runs low",  # the bobbin
)
"""The verb is the trade's; the noun is not."""

IN_THE_FILE = re.compile(
    r"(spacing|anchor|angles?|region|clearance) = (\[[^]]*\]|\"[^\"]*\"|[-\d.]+)"
)
"""What a person is to write is quoted as it stands in the file."""


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("sample", NAMES)
def test_no_sheet_speaks_as_programs_do(sample: str, sheet: str) -> None:
    text = IN_THE_FILE.sub("", words(sample, sheet))
    for said in AS_THE_TRADE_SAYS_IT:
        text = text.replace(said, "")
    around = [text[max(0, m.start() - 40) : m.end() + 40] for m in PROGRAMMERS.finditer(text)]
    assert around == []


@pytest.mark.parametrize("sample", NAMES)
def test_no_finding_for_a_person_speaks_as_programs_do(sample: str) -> None:
    assert outputs_of(sample)
    for finding in result_of(sample).for_a_person:
        assert not PROGRAMMERS.search(IN_THE_FILE.sub("", finding.text)), finding.text


@pytest.mark.parametrize(
    ("sample", "sheet"),
    [
        ("boathouse-bench", "machine/LOADING.txt"),
        ("boathouse-bench", "resume/pass-02-of-02-c3/RESUME.txt"),
        ("galley", "resume/c8/RESUME.txt"),
    ],
)
def test_sheets_at_the_machine_tell_places_by_what_is_seen(sample: str, sheet: str) -> None:
    """A place is a block and its edges, or the runner's; nobody measures along and across."""
    text = words(sample, sheet)
    assert not re.search(r"\d (mm|in) (along|across)\b", text)
    assert re.search(r"mm (from|above|below|to the (left|right) of) (the runner|block|its)", text)
    around = [text[max(0, m.start() - 40) : m.end() + 40] for m in PROGRAMMERS.finditer(text)]
    assert [told for told in around if "run them first" not in told] == []


PAGES = sorted(
    path
    for folder in ("page", "documents")
    for path in (Path(__file__).parent.parent / "quiltpath" / folder).rglob("*.html")
)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_no_page_speaks_as_programs_do(page: Path) -> None:
    """Its own labels; what is filled in is told by the sheets and findings above."""
    text = page.read_text(encoding="utf-8")
    bare = re.sub(r"<(script|style).*?</\1>|<[^>]*>|\{\{\w+\}\}", " ", text, flags=re.DOTALL)
    assert len(bare.split()) > 3
    found = [m[0] for m in PROGRAMMERS.finditer(bare)]
    assert found == [] and not re.search(r"\b[Ll]ayers\b", bare)


@pytest.mark.parametrize("sample", ["harvest-supper", "galley"])
def test_the_screen_speaks_as_a_quilter_does_in_the_units_of_the_file(sample: str) -> None:
    """Inches alone where the file is in inches, millimetres alone where it is in those."""
    text = IN_THE_FILE.sub("", summary(result_of(sample), ()))
    around = [text[max(0, m.start() - 40) : m.end() + 40] for m in PROGRAMMERS.finditer(text)]
    assert around == []
    assert not re.search(r"\d in \(\d", text)
    own, other = (" in ", "0 mm by") if sample == "harvest-supper" else (" mm by", "/8 in")
    assert own in text and other not in text


UNITS = {
    "in": re.compile(r"[\d,] ?mm\b"),
    "mm": re.compile(r"\d (in\b(?! (the|a|its|each|your|sashing|sets?|all)\b)|yd\b)"),
}
EITHER_WAY = re.compile(
    r"(Stitch length|tiny stitch(es)? of|tails of|[Pp]uff|by) [\d.]+ mm( at most)?"
    r"|[\d.]+ mm \([\d.]+ to [\d.]+\)"
    r"|\b(100|50) mm|(one is|bar|bar is) [24] in( 4 in)?"
    r"|must show [\d.]+ x [\d.]+ mm \([\d.]+ x [\d.]+ in\)"
)
"""Stitches and loft are in mm for everybody, check squares and a machine's screen in both."""

PAPERS = [
    *((sample, sheet) for sample in NAMES for sheet in SHEETS),
    *((sample, "instructions.pdf") for sample in NAMES),
    *((sample, "preview.html") for sample in NAMES),
    ("galley", "at-hand.txt"),
    ("galley", "resume/c8/RESUME.txt"),
    ("galley", "tiled-guide.pdf"),
    ("supper-mats", "at-hand.txt"),
    ("supper-mats", "nest.pdf"),
    ("supper-mats", "sizes.pdf"),
    ("supper-mats", "sizes.html"),
]


@pytest.mark.parametrize(("sample", "sheet"), PAPERS)
def test_every_paper_is_in_the_units_of_its_file(sample: str, sheet: str) -> None:
    text = EITHER_WAY.sub("", words(sample, sheet))
    other = UNITS["mm" if sample == "galley" else "in"]
    around = [text[max(0, m.start() - 40) : m.end() + 30] for m in other.finditer(text)]
    assert around == []


def test_help_is_whole_sentences() -> None:
    """Of the program and of each command, at the width of a narrow terminal: none is cut short."""
    pages = [["--help"], *([name, "--help"] for name in main.commands)]
    for page in pages:
        told = CliRunner().invoke(main, page, terminal_width=80)
        assert told.exit_code == 0
        words = [line for line in told.output.splitlines() if not line.startswith("Usage:")]
        assert "..." not in "\n".join(words), page
    for command in main.commands.values():
        assert re.fullmatch(r"[A-Z][^.]*\.", command.short_help or "")
