"""A person who sews meets the words of the trade, and none of those that programs are made of."""

from __future__ import annotations

import re

import pytest

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
