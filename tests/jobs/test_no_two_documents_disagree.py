"""No two documents of a set disagree about a length.

Every length that is printed is collected with its sentence and named by the words about it
(``length_names.py``). All that bear one name must be able to be one length, whichever document they
stand in, and what a drawing shows must be of the state that its foot tells. What has no name is
listed there by its sentence; the list is held to what is found, so that it can only shrink.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import pytest

from quiltpath.jobs.make import outputs
from quiltpath.jobs.summary import summary
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.documents.length_names import REPORT, REPORT_ALONE, RULES, UNNAMED
from tests.documents.printed_lengths import (
    LENGTH,
    Printed,
    Sentence,
    lengths_in,
    report_lengths,
    sentences_of,
    spelt_out,
)
from tests.once import once
from tests.whole_sets import whole_set

PLAIN = """
title = "Four of them"
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
[materials]
copies = 4
[instructions]
units = "metric"
"""

OWN = {
    "copies, metric": PLAIN,
    "hoop, inches": PLAIN.replace("copies = 4", "").replace("metric", "inches")
    + '[machine]\nprofile = "hoop-200x300"\nformats = ["dst"]\n',
    "pieced": """
title = "Pieced"
units = "in"
[runner]
length = "48 in"
width = "16 in"
[grid]
along = 4
across = 1
sashing = "1 1/2 in"
border = "2 1/2 in"
[top]
made = "pieced"
[[quilting]]
kind = "straight"
spacing = "1 in"
angle = 45
region = "blocks"
""",
    "panels, metric": """
title = "Panels"
units = "mm"
[runner]
length = 1500
width = 340
[[panel]]
name = "panel"
size = [1000, 420]
rim = 15
end_strip = 45
blocks_along = [250, 250, 250]
sashing = 65
count = 2
[[quilting]]
kind = "straight"
spacing = 60
angle = 45
[instructions]
units = "metric"
[paper]
sheets = ["marking", "tiled"]
""",
}
SAMPLES = ["harvest-supper", "galley", "allotment-ends", "supper-mats", "boathouse-bench"]
FURTHER = ["committee-table", "regatta-tea"]
"""They print nothing that the others do not."""


@dataclass(frozen=True)
class Rule:
    """A pattern whose groups ``mm0``, ``mm1`` are lengths, what each is a length of, and the
    document it is for, where it is for one."""

    document: str
    pattern: re.Pattern[str]
    names: tuple[str, ...]


@dataclass(frozen=True)
class Told:
    """A length with its name, and where it stands."""

    name: str
    document: str
    length: Printed


@dataclass
class Collected:
    """Everything that one set tells."""

    told: list[Told] = field(default_factory=list)
    unnamed: list[str] = field(default_factory=list)
    """sentences about lengths that no rule names, figures left out"""
    astray: list[str] = field(default_factory=list)
    """lengths of one state in a drawing of another"""
    alone: list[str] = field(default_factory=list)
    """keys of the report that are printed nowhere else"""
    instructions: tuple[set[str], set[str], set[str]] = (set(), set(), set())
    """lengths as they are written on the page, in its sentences alone, and in print"""


@cache
def _rules() -> tuple[Rule, ...]:
    """Made when they are first asked for: two hundred patterns take long to compile."""
    rules = []
    for row in filter(None, RULES.splitlines()):
        document, _, line = row.rpartition(" @ ")
        names: list[str] = []

        def slot(found: re.Match[str], names: list[str] = names) -> str:
            names.append(found[1])
            return f"(?P<mm{len(names) - 1}>{LENGTH})"

        pattern = re.sub(r"<((?:flat|quilted|washed|cloth|used|tool): [^>]+)>", slot, line)
        rules.append(Rule(document, re.compile(pattern), tuple(names)))
    return tuple(rules)


def collected(files: Mapping[str, bytes], terminal: str) -> Collected:
    """All lengths of a set: from its documents, its terminal and its report."""
    report = json.loads(files["report.json"])
    flat = report["states"]["flat"]
    found = Collected()
    sentences = sentences_of(files, terminal)
    word_by_word = _told_word_by_word(sentences)
    for sentence in sentences:
        _name(sentence, (flat["length_mm"], flat["width_mm"]), word_by_word, found)
    _name_the_report(report, found)
    page = [sentence for sentence in sentences if sentence.document == "instructions.html"]
    paper = sentences_of({"instructions.pdf": files["instructions.pdf"]}, "")
    prose = [sentence for sentence in page if not sentence.text.startswith("picture")]
    found.instructions = _written(page), _written(prose), _written(paper)
    found.told += _sides_of_cloths(found.told)
    return found


def _written(sentences: Sequence[Sentence]) -> set[str]:
    """Lengths as they are written, over the ends of wrapped lines."""
    text = " ".join(sentence.text for sentence in sentences)
    return {found[0] for found in lengths_in(text)}


def _sides_of_cloths(told: Sequence[Told]) -> Iterator[Told]:
    """A layout is drawn with its longer side along the page, whichever that is."""
    used = {t.name.removesuffix(", used"): t for t in told if t.name.endswith(", used")}
    wide = {t.name.removesuffix(", wide"): t for t in told if t.name.endswith(", wide")}
    for name in used.keys() & wide.keys():
        shorter, longer = sorted((used[name], wide[name]), key=lambda one: one.length.low_mm)
        yield replace(longer, name=f"{name}, longer side")
        yield replace(shorter, name=f"{name}, shorter side")


def _told_word_by_word(sentences: Sequence[Sentence]) -> set[str]:
    """Findings that the report and another document tell in the same words and figures."""
    own = {s.text for s in sentences if s.document.startswith("report.json")}
    elsewhere = {
        re.sub(r"^[?!-] ", "", s.text)
        for s in sentences
        if not s.document.startswith("report.json")
    }
    return own & elsewhere


def _name(
    sentence: Sentence, top_mm: tuple[float, float], word_by_word: set[str], into: Collected
) -> None:
    spans: dict[tuple[int, int], str] = {}
    for name, written, span in _by_the_rules(sentence):
        if not any(a < span[1] and span[0] < b for a, b in spans):
            plain, _, turned = name.partition("~")
            spans[span] = _called(plain)
            length = _from_the_near_edge(Printed.read(written), turned, top_mm)
            into.told.append(Told(spans[span], sentence.document, length))
    for found in lengths_in(sentence.text):
        names = [name for (a, b), name in spans.items() if a < found.end() and found.start() < b]
        if not names and re.sub(r"^[?!-] ", "", sentence.text) not in word_by_word:
            into.unnamed.append(_about(sentence, found))
        if names and sentence.state and not names[0].startswith(("tool", "used", sentence.state)):
            into.astray.append(f"{sentence.document}, {sentence.state}: {names[0]}")


def _by_the_rules(sentence: Sentence) -> Iterator[tuple[str, str, tuple[int, int]]]:
    """Name, length as it is written, and where it stands, of all that rules find; the first rule's
    come first."""
    if not re.search(LENGTH, sentence.text):
        return  # two hundred rules are not asked about a sentence without any length
    for rule in _rules():
        if not sentence.document.endswith(rule.document):
            continue
        for found in rule.pattern.finditer(sentence.text):
            words = {key: word for key, word in found.groupdict().items() if word}
            for number, name in enumerate(rule.names):
                written = found[f"mm{number}"]
                if written is not None:
                    named = name.format(part=sentence.part, **words)
                    yield named, written, found.span(f"mm{number}")


def _called(name: str) -> str:
    return " ".join(name.lower().split())


def _from_the_near_edge(length: Printed, turned: str, top_mm: tuple[float, float]) -> Printed:
    if turned == "least":
        return replace(length, high_mm=math.inf)
    if turned == "most":
        return replace(length, low_mm=-math.inf)
    whole = {"right": top_mm[0], "top": top_mm[1], "minus": 0.0}.get(turned)
    if whole is None:
        return length
    return Printed(length.written, whole - length.high_mm, whole - length.low_mm)


def _about(sentence: Sentence, found: re.Match[str]) -> str:
    """The words about a length, without figures; of the report, the key."""
    if sentence.document.startswith("report.json"):
        return sentence.document
    before, after = sentence.text[: found.start()][-30:], sentence.text[found.end() :][:20]
    words = re.sub(r"[-+]?\d[\d/.,]*( #)?", "#", f"{before}<>{after}")
    return f"{sentence.document.rsplit('/')[-1]}: {words}"


def _name_the_report(report: Mapping[str, Any], into: Collected) -> None:
    for path, mm in report_lengths(report):
        unnamed = re.sub(r"\[[^\]]+\]", "[]", path)
        keys = (path, re.sub(r"\[[^\]]+\]", "[]", path, count=1), unnamed)
        key = next((key for key in keys if key in REPORT), None)
        if key is None:
            into.alone.append(unnamed)
            continue
        own = [spelt_out(name) for name in re.findall(r"\[([^\]]+)\]", path)] + ["", ""]
        part, _, number = own[0].rpartition(" ")
        name = _called(REPORT[key].format(*own, part=part, number=number))
        printed = Printed(f"{mm:g} mm", mm - 1e-3, mm + 1e-3)
        into.told.append(Told(name, f"report.json {path}", printed))


def disagreements(told: Sequence[Told]) -> list[str]:
    """Each name whose lengths cannot all be one, with who tells what."""
    by_name: dict[str, list[Told]] = defaultdict(list)
    for one in told:
        by_name[one.name].append(one)
    found = []
    for name, some in by_name.items():
        whole = re.sub(r" apart in .*", " apart", name)  # rows of one place among rows of all
        all_of_it = some if whole == name else some + by_name.get(whole, [])
        low = max(one.length.low_mm for one in all_of_it)
        high = min(one.length.high_mm for one in all_of_it)
        if low > high + 1e-6 and not name.endswith("*"):
            said = sorted({f"{one.length.written} in {one.document}" for one in all_of_it})
            found.append(f"{name}: {'; '.join(said)}")
    return found


@once
def lengths_of(name: str) -> Collected:
    """Of a sample, or of one of the test's own projects."""
    if name in OWN:
        result = compute(parse(OWN[name]))
        made = list(outputs(result))
        terminal, files = summary(result, made), {file.name: file for file in made}
    else:
        terminal, files = whole_set(name)
    return collected({name: file.content for name, file in files.items()}, terminal)


EVERY = [*SAMPLES, *OWN, *(pytest.param(name, marks=pytest.mark.exhaustive) for name in FURTHER)]


@pytest.mark.parametrize("name", EVERY)
def test_what_bears_one_name_is_one_length(name: str) -> None:
    found = lengths_of(name)
    assert disagreements(found.told) == []
    several = Counter(one.name for one in found.told)
    assert len([name for name, times in several.items() if times > 1]) > 40


@pytest.mark.parametrize("name", EVERY)
def test_a_drawing_shows_lengths_of_the_state_that_its_foot_tells(name: str) -> None:
    assert lengths_of(name).astray == []


def test_the_list_of_lengths_without_a_name_is_what_is_found() -> None:
    """No more, so that a new sentence gets a rule; no less, so that the list shrinks."""
    found = [lengths_of(name) for name in (*SAMPLES, *OWN)]
    unnamed = {about for one in found for about in one.unnamed}
    alone = {key for one in found for key in one.alone}
    assert unnamed == set(UNNAMED.strip().splitlines())
    assert alone == set(REPORT_ALONE.strip().splitlines())


def test_all_but_a_few_of_the_printed_lengths_are_named() -> None:
    """Of some thousands; what only the report says is counted by its key above."""
    found = [lengths_of(name) for name in (*SAMPLES, *OWN)]
    named = [told for one in found for told in one.told if "report.json" not in told.document]
    unnamed = [about for one in found for about in one.unnamed if "report.json" not in about]
    assert len(named) > 2500
    assert len(unnamed) <= 4


@pytest.mark.parametrize("name", ["galley", "pieced", "copies, metric"])
def test_the_printed_instructions_hold_the_lengths_of_the_page(name: str) -> None:
    """The same steps on paper: every sentence's lengths are there, and no others than the page's,
    whose pictures have words that stand upright in print and are not read here."""
    page, prose, paper = lengths_of(name).instructions
    assert len(prose) > 30
    assert prose <= paper <= page


def test_a_length_that_is_a_little_off_is_told() -> None:
    """The comparison itself: an eighth of an inch or a millimetre in one document is enough."""
    told = [
        Told("flat: length", where, Printed.read(written))
        for where, written in (("a", "47 3/8 in (1204 mm)"), ("b", "47 3/8 in"), ("c", "1203.8 mm"))
    ]
    assert disagreements(told) == []
    for wrong in ("47 1/2 in", "1205 mm", "47 3/8 in (1205.5 mm)"):
        (said,) = disagreements([*told, Told("flat: length", "d", Printed.read(wrong))])
        assert f"{wrong} in d" in said
