"""Every length that a set of documents prints, as a person reads it: with its sentence.

A picture's words and its caption are one sentence, since a bare "13 1/2 in" beside an arrow says
nothing by itself. A length is an interval: what it may have been before it was rounded to print.
"""

from __future__ import annotations

import dataclasses
import html
import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import pypdfium2

IN = 25.4
_NUMBER = r"[-+]?(?:\d+ \d+/\d+|\d+/\d+|\d[\d,]*(?:\.\d+)?)"
_UNIT = r"(?:mm|cm|m|in|yd)(?![\w/])"
# "1 in the margin" is no inch
LENGTH = (
    rf"(?:{_NUMBER} in(?: full| scant)? \({_NUMBER} mm\)|{_NUMBER} yd \({_NUMBER} m\)"
    rf"|{_NUMBER} (?!in (?:the|a|its|each|your|sashing|sets?|one|two|all|\d+ sets?)\b){_UNIT})"
)
_ONE = re.compile(rf"({_NUMBER}) ({_UNIT})")
_TOKEN = re.compile(rf"(?<![\w./#]){LENGTH}")
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": IN, "yd": 36 * IN}

STATES = {
    "flat: as it lies before quilting": "flat",
    "quilted: drawn up and squared up, before any wash": "quilted",
    "washed: as it is used": "washed",
    "cloth as bought, before any wash": "cloth",
}
"""What a drawing says of the cloth it shows, and that state's short name."""


@dataclass(frozen=True)
class Sentence:
    """What a document says in one breath, with the state that its drawing's foot names."""

    document: str
    text: str
    state: str | None = None
    part: str = ""
    """the part of the work that is spoken of, as the last heading or the file's folder says"""


@dataclass(frozen=True)
class Printed:
    """A length as it stands there, and between which lengths it may lie, in mm."""

    written: str
    low_mm: float
    high_mm: float

    @classmethod
    def read(cls, written: str) -> Printed:
        """Of "1 1/4 in (32 mm)", "12.5 mm", "1 3/8 yd (1.2 m)"; metres of thread are whole or to
        one decimal, inches to an eighth or a sixteenth, millimetres to a half or to decimals."""
        low, high = -float("inf"), float("inf")
        for number, unit in _ONE.findall(written):
            plain = number.lstrip("+-").replace(",", "")
            size = float(sum(Fraction(part) for part in plain.split())) * _MM[unit]
            size = -size if number.startswith("-") else size
            half = _rounding_mm(plain, unit)
            low, high = max(low, size - half), min(high, size + half)
        return cls(written, low, high)


def _rounding_mm(number: str, unit: str) -> float:
    """Half of the last place that is printed."""
    if "/" not in number and "." in number:
        return float(0.5 * 10.0 ** -len(number.split(".")[1]) * _MM[unit]) + (
            0.2 if unit == "mm" else 0.0
        )
    if unit == "in":
        below = int(number.split("/")[1]) if "/" in number else 8
        return IN / (2 * max(8, below))
    if unit == "yd":
        return _MM["yd"] / 8  # rounded up to be bought
    return {"mm": 0.5, "cm": 5.0, "m": 500.0}[unit]


def lengths_in(text: str) -> Iterator[re.Match[str]]:
    """Where lengths stand in a sentence."""
    return _TOKEN.finditer(text)


def sentences_of(files: Mapping[str, bytes], terminal: str) -> list[Sentence]:
    """Of every document of a set that a person reads, and of the words in its report."""
    said = [Sentence("terminal", spelt_out(line)) for line in _paragraphs(terminal)]
    for name, content in files.items():
        if name.endswith(".txt"):
            text = content.decode("utf-8")
            said += [Sentence(name, spelt_out(line)) for line in _paragraphs(text)]
        elif name.endswith(".html"):
            said += _of_a_page(name, content.decode("utf-8"))
        elif name.endswith(".svg"):
            said += _of_a_drawing(name, content)
        elif name.endswith(".pdf") and name.replace(".pdf", "") + ".html" not in files:
            said += _of_a_print(name, content)
        elif name == "report.json":
            texts = _texts(json.loads(content), "")
            said += [Sentence(f"{name}: {path}", spelt_out(text)) for path, text in texts]
    return list(_with_parts(said))


_PART = re.compile(r"(?i)\b((?:pass|hooping|bed|part)-\d+-of-\d+)")


def _with_parts(said: list[Sentence]) -> Iterator[Sentence]:
    document, part = "", ""
    for sentence in said:
        if sentence.document != document:
            document, part = sentence.document, ""
            part = _last_part(document, "")
        part = _last_part(sentence.text, part)
        yield dataclasses.replace(sentence, part=part)


def _last_part(text: str, before: str) -> str:
    return [before, *_PART.findall(text)][-1].lower()


def spelt_out(text: str) -> str:
    """In one line, with a unit behind each number of "9 x 4 mm", "10 to 20 mm" or "X 1 Y 2"."""
    text = " ".join(text.replace("\u2212", "-").split())
    text = re.sub(r"\bX (-?[\d.]*\d) Y (-?[\d.]*\d)", r"X \1 mm Y \2 mm", text)
    text = re.sub(r"\(([-+]?[\d.]+), ([-+]?[\d.]+)\)(?=,? ends| and| mm|$)", r"\1 mm \2 mm", text)
    number = r"(?<![\w./])(\d+ \d+/\d+|\d+/\d+|[\d.]+)"
    return re.sub(rf"{number} (x|to) (?={number} (mm|in)\b)", r"\1 \4 \2 ", text)


def _paragraphs(text: str) -> list[str]:
    """Paragraphs and entries of a list; a line that is indented further goes on with it."""
    found: list[str] = []
    indent = 0
    for line in text.splitlines():
        depth = len(line) - len(line.lstrip())
        if found and indent and depth > indent and not line.lstrip().startswith("- "):
            found[-1] += " " + line.strip()
        else:
            found.append(line.strip())
            indent = depth
    return [line for line in found if line]


def _of_a_page(name: str, page: str) -> Iterator[Sentence]:
    """Paragraphs, list entries and rows; a figure's words with its caption."""
    page = re.sub(r"(?s)<(style|script|nav|title).*?</\1>", " ", page)
    for figure in re.findall(r"(?s)<figure.*?</figure>", page):
        yield _figure(name, figure)
    page = re.sub(r"(?s)<figure.*?</figure>", " ", page)
    page = re.sub(r"(?s)<(svg)\b.*?</svg>", " ", page)
    for table in re.findall(r"(?s)<table.*?</table>", page):
        yield from _of_a_table(name, table)
    page = re.sub(r"(?s)<table.*?</table>", " ", page)
    page = page.replace("</dt>", ": ")
    for part in re.split(r"</(?:p|li|h\d|dd|tr|div|figcaption|summary|legend)>", page):
        text = html.unescape(re.sub(r"<[^>]+>", " ", part))
        if text.strip():
            yield Sentence(name, spelt_out(text), _state_in(text))


def _of_a_table(name: str, table: str) -> Iterator[Sentence]:
    """Cell by cell: "of this one: sewn: 12.3 m"."""
    rows = [
        [html.unescape(re.sub(r"<[^>]+>", " ", cell)).strip() for _, cell in cells]
        for row in re.findall(r"(?s)<tr.*?</tr>", table)
        if (cells := re.findall(r"(?s)<(t[hd])\b[^>]*>(.*?)</t[hd]>", row))
    ]
    for row in rows[1:]:
        for column, cell in zip(rows[0][1:], row[1:], strict=False):
            yield Sentence(name, spelt_out(f"of {column}: {row[0]}: {cell}"))


def _figure(name: str, figure: str) -> Sentence:
    words = re.findall(r"(?s)<(?:text|figcaption)\b[^>]*>(.*?)</(?:text|figcaption)>", figure)
    plain = [html.unescape(re.sub(r"<[^>]+>", " ", word)) for word in words]
    caption, *_ = [*reversed(plain), ""]
    return Sentence(
        name, spelt_out(" | ".join(["picture", caption, *plain[:-1]])), _state_in(caption)
    )


def _of_a_drawing(name: str, content: bytes) -> Iterator[Sentence]:
    """The words of each group are one sentence."""
    root = ET.fromstring(content)
    groups = [g for g in root.iter() if g.tag.endswith("}g") and g.get("id")]
    whole = _state_in(" ".join(root.itertext()))
    for group in groups:
        texts = [" ".join(t.itertext()) for t in group.iter() if t.tag.endswith("}text")]
        if texts:
            told = " | ".join(["group", group.get("id", ""), *texts])
            yield Sentence(name, spelt_out(told), _state_in(told) or whole)


def _of_a_print(name: str, content: bytes) -> Iterator[Sentence]:
    """A line of print is a sentence; one that is wrapped goes on below."""
    for page in pypdfium2.PdfDocument(content):
        text = page.get_textpage().get_text_range()
        state = _state_in(text)
        lines: list[str] = []
        for line in text.splitlines():
            if (
                lines
                and not re.search(r"[.!?]$", lines[-1])
                and (re.match(r"[a-z(]", line) or re.search(r" (?:X|x|on|and)$", lines[-1]))
            ):
                lines[-1] += " " + line
            else:
                lines.append(line)
        yield from (Sentence(name, spelt_out(line), state) for line in lines)


def _texts(value: Any, path: str) -> Iterator[tuple[str, str]]:
    """Words of the report, by where they stand."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, Mapping):
        for key, part in value.items():
            yield from _texts(part, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for part in value:
            yield from _texts(part, f"{path}[]")


def _state_in(text: str) -> str | None:
    """The one state that is told, or nothing where there are several."""
    plain = " ".join(text.split()).lower()
    found = {short for words, short in STATES.items() if words in plain}
    return found.pop() if len(found) == 1 else None


def report_lengths(report: Mapping[str, Any]) -> Iterator[tuple[str, float]]:
    """Every number of the report whose key ends in mm or m, in mm, by where it stands."""
    yield from _numbers(report, "")


def _numbers(value: Any, path: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from _numbers(part, f"{path}.{key}" if path else key)
        if str(value.get("unit", "")).startswith("mm"):  # of a row of the shopping list
            yield f"{path}.need_mm", value["need"]
    elif isinstance(value, list):
        for place, part in enumerate(value):
            yield from _numbers(part, f"{path}[{_called(part, place)}]")
    elif isinstance(value, int | float) and not isinstance(value, bool):
        last = re.findall(r"_(mm|m)(?:\[[^\]]+\]|\.[^.\[_]+)*$", path)
        if last:
            yield path, value * (1000.0 if last[-1] == "m" else 1.0)


def _called(part: Any, place: int) -> str:
    """An entry of a list by its own name, else by its place."""
    if not isinstance(part, Mapping):
        return str(place)
    if "number" in part:
        return f"{part.get('part') or ''} c{part['number']}".strip()
    if "angle_deg" in part and "corners" in part:
        return f"{part['angle_deg']:g}"
    for key in ("name", "cloth", "patch", "size", "letter", "layer"):
        if isinstance(part.get(key), str):
            return str(part[key])
    return str(place)
