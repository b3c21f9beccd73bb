"""Papers in other languages: nothing of them is English, nothing else is not, and all fits."""

from __future__ import annotations

import html
import io
import json
import re
from functools import cache
from typing import get_args

import pdfplumber
import pytest

from quiltpath import compute, language, outputs, parse
from quiltpath.language import Language
from tests.documents.test_printed_layout import clashing
from tests.languages.sentences import sentences
from tests.small_projects import PLAIN, PRINTED

OTHERS = [name for name in get_args(Language) if name != "en"]
PROJECT = f"""{PRINTED}
[table]
length = "30 in"
width = "20 in"
[[quilting]]
pattern = "diagonal-crosshatch"
spacing = "about 1 1/2 in"
[[quilting]]
kind = "motif"
[wadding]
kind = "cotton with scrim"
[machine]
formats = ["dst"]
[paper]
sheets = ["marking", "pricking", "stencils"]
"""
HOOPED = f"""{PLAIN.replace("and plain", "plain")}
[[quilting]]
pattern = "meander"
[machine]
formats = ["dst"]
profile = "hoop-130x180"
"""
STAYS = set(
    re.findall(
        r"\w+",
        """
        Small print plain diamond marking pdf LOADING RESUME txt placement quilted bias cut binding
        mm in yd dst sheets paper projector tiled bar across up quiltpath resume part code sewing
        notes machine trace of hooping HOOPING OF und
        """,
    )
)
"""A person's own words, names of files and parts, units, what stands in the project file; "and"
as the list of the language has it."""


@cache
def papers(name: str, text: str) -> dict[str, bytes]:
    told = f'{text}[instructions]\nlanguage = "{name}"\n'
    return {file.name: file.content for file in outputs(compute(parse(told)))}


def words_of(name: str, content: bytes) -> str:
    """What a person reads of a file; of a drawing its texts, not the names of its groups."""
    if name.endswith(".pdf"):
        pages = pdfplumber.open(io.BytesIO(content)).pages
        return "\n".join(page.extract_text() for page in pages)
    text = content.decode("utf-8")
    if name.endswith(".svg"):
        return html.unescape("\n".join(re.findall(r"<text[^>]*>([^<]+)</text>", text)))
    if name.endswith(".html"):
        text = re.sub(r"<style>.*?</style>|<title>step.*?</title>", "", text, flags=re.S)
        text = re.sub(r"<title>[^<]*</title>", "", text)
        return html.unescape(re.sub(r"<[^>]+>", "\n", text))
    return text


class _Blots(language._Catalogue):
    """A language in which every letter of every sentence is the same one: ours shows as blots."""

    def __init__(self) -> None:
        super().__init__("de")
        for sentence in sentences():
            self.sentences[sentence.text] = _blot(sentence.text)
            if sentence.many:
                self._plurals[sentence.key] = (_blot(sentence.text), _blot(sentence.many))


def _blot(text: str) -> str:
    return re.sub(r"(\{[^}]*\})|[A-Za-z]", lambda found: found[1] or "ø", text)


@pytest.mark.parametrize("text", [PROJECT, HOOPED])
def test_no_english_is_left(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is read on paper comes out of a catalogue."""
    blots = _Blots()
    monkeypatch.setattr(language, "_catalogue", lambda _: blots)
    left = {
        word: file.name
        for file in outputs(compute(parse(f'{text}[instructions]\nlanguage = "de"\n')))
        if file.name.endswith((".pdf", ".svg", ".html", ".txt"))
        and not file.name.startswith(("preview", "report"))
        for word in re.findall(r"[A-Za-z]{2,}", words_of(file.name, file.content))
        if word not in STAYS
    }
    assert left == {}


@pytest.mark.parametrize("name", OTHERS)
def test_the_report_stays_english(name: str) -> None:
    """All but the bytes of the files is the same."""
    reports = [json.loads(papers(each, PROJECT)["report.json"]) for each in ("en", name)]
    for report in reports:
        for file in report["files"]:
            file.pop("bytes"), file.pop("sha256")
    assert reports[0] == reports[1]


@pytest.mark.parametrize("name", OTHERS)
def test_the_page_says_its_language(name: str) -> None:
    page = papers(name, PROJECT)["instructions.html"].decode("utf-8")
    assert f'<html lang="{name}">' in page
    assert '<html lang="en-GB">' in papers("en", PROJECT)["instructions.html"].decode("utf-8")


@pytest.mark.parametrize("name", OTHERS)
def test_there_are_as_many_cautions_and_tasks_as_in_english(name: str) -> None:
    pages = [papers(each, PROJECT)["instructions.html"].decode() for each in ("en", name)]
    for part in ('<p class="caution">', '<input type="checkbox">'):
        assert pages[0].count(part) == pages[1].count(part) > 0


@pytest.mark.parametrize("name", OTHERS)
@pytest.mark.parametrize("file", ["instructions.pdf", "marking.pdf"])
def test_every_letter_is_on_its_page_and_on_no_other(name: str, file: str) -> None:
    """Measured by pdfplumber, which is not ours."""
    for page in pdfplumber.open(io.BytesIO(papers(name, PROJECT)[file])).pages:
        assert clashing(page) == []
        for letter in page.chars:
            assert letter["x0"] >= 0 and letter["x1"] <= float(page.width), letter["text"]
