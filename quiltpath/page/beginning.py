"""A runner from a few answers: the project file that they come to, and how it will look.

The page asks in the order in which a person knows the answers: the table or the size, the cloth,
the wadding, the look. Whatever stands in the file afterwards can be changed there or on the page.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from importlib.resources import files
from pathlib import Path
from typing import Any

from quiltpath.checks.wadding import WADDING_KINDS
from quiltpath.documents.lit_picture import lit_whole
from quiltpath.documents.preview_page import figures, page_style
from quiltpath.drawing.bitmaps import data_url
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.page.page_photo import PhotoProject
from quiltpath.page.photo_use import UsedPhotos
from quiltpath.patterns.book import PatternBook
from quiltpath.project import parse
from quiltpath.project.loading import write_new
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import parse_length

PICTURE_PX = 900
"""Across the picture beside the questions."""

LONGEST_ANSWER = 120

FIRST_ANSWERS = {
    "title": "Table runner",
    "units": "in",
    "known": "table",
    "table_length": "56",
    "table_width": "42",
    "drop": "8",
    "length": "72",
    "width": "14",
    "cloth": "blocks",
    "along": "6",
    "across": "1",
    "sashing": "2",
    "outer_sashing": "1",
    "panel_length": "40",
    "panel_width": "16",
    "rim": "1/2",
    "panels": "2",
    "panel_blocks": "3",
    "panel_sashing": "2",
    "end_strip": "2",
    "wadding": "cotton with scrim",
    "outlines": "yes",
    "pattern": "diagonal-crosshatch",
    "spacing": "1 1/2",
    "paper": "A4",
}
"""What stands in the page when it is opened; also every answer that there is."""

METRIC_ANSWERS = {
    "table_length": "1400",
    "table_width": "1000",
    "drop": "200",
    "length": "1800",
    "width": "360",
    "sashing": "50",
    "outer_sashing": "25",
    "panel_length": "1000",
    "panel_width": "380",
    "rim": "10",
    "panel_sashing": "50",
    "end_strip": "50",
    "spacing": "40",
}
"""The same in mm, where the measures are lengths."""

BEGIN_STATE = {"first": FIRST_ANSWERS, "metric": METRIC_ANSWERS}
"""What the page's script begins from."""

LABELS = {
    "table.length": "the table's length",
    "table.width": "the table's width",
    "table.drop": "what hangs over",
    "runner.length": "the runner's length",
    "runner.width": "the runner's width",
    "grid.along": "blocks along the runner",
    "grid.across": "blocks across it",
    "grid.sashing": "the strips between blocks",
    "grid.outer_sashing": "the strip round all blocks",
    "panel[1]": "the panel",
    "panel[1].size": "the panel's size",
    "panel[1].rim": "the unprinted rim",
    "panel[1].end_strip": "the strip at each end",
    "panel[1].sashing": "the strips between its blocks",
    "panel[1].count": "how many panels",
    "quilting.pattern": "the look",
    "quilting.spacing": "the spacing",
}
"""Keys of the file in the page's own words."""


def begin_page(folder: Path, script: str, photo: str) -> bytes:
    """The page that asks, with the elements for its script and the markup for a photo; what is
    kept goes into ``folder``."""
    book = PatternBook.beside(None, None, "")
    parts = {
        "style": page_style(),
        "folder": html.escape(folder.resolve().name or str(folder)),
        "wadding": _options((kind.name, kind.name) for kind in WADDING_KINDS),
        "pattern": _options((name, book.find(name).title) for name in book.names()),
        "script": script,
        "photo": photo,
    }
    page = re.sub(r"{{([\w-]+)}}", lambda mark: parts[mark[1]], _part("begin.html"))
    return page.encode("utf-8")


def _part(name: str) -> str:
    return files("quiltpath.page").joinpath(name).read_text(encoding="utf-8")


def _options(named: Iterable[tuple[str, str]]) -> str:
    return "".join(
        f'<option value="{html.escape(value)}">{html.escape(shown)}</option>'
        for value, shown in named
    )


def begun(answers: Mapping[str, Any]) -> dict[str, Any]:
    """Picture, figures and what a person may want to change, for the answers so far.

    Raises :class:`InputError` in the page's own words.
    """
    result = _computed(project_text(answers))
    outline = result.runner.outline.bounds
    return {
        "picture": data_url(lit_whole(result, PICTURE_PX / (outline[2] - outline[0]))),
        "shows": _shows(result.runner),
        "figures": figures(result),
        "warnings": [finding.text for finding in result.for_a_person],
    }


def _shows(runner: Runner) -> str:
    blocks = len(runner.blocks)
    return f"the runner as it will look quilted, {blocks or 'no'} block{'s' * (blocks != 1)}"


def create(answers: Mapping[str, Any], name: str, folder: Path) -> Path:
    """The project file of that name in ``folder``, never over one that is there; its path.

    Raises :class:`InputError` in the page's own words.
    """
    text = project_text(answers)
    _computed(text)
    path = folder / _file_name(name)
    write_new(path, text)
    return path


def create_from_photo(panel: PhotoProject, name: str, folder: Path) -> Path:
    """The project file of a panel in a photo, with the files that it names, none over one that is
    there; its path. Raises :class:`InputError` in the page's own words.
    """
    path, used = folder / _file_name(name), UsedPhotos(folder)
    if path.exists():
        raise InputError(path.name, "", "is there already", "choose another name")
    text = used.text(used.add(panel))
    parse(text, name=path.name, folder=folder, given=used.files)
    used.write(used.files)
    write_new(path, text)
    return path


def _file_name(name: str) -> str:
    plain = name.strip().removesuffix(".toml")
    if not re.fullmatch(r"[\w][\w .-]{0,80}", plain):
        fault = f"{name!r} is no name for a file"
        raise InputError("the file's name", "", fault, "use letters, digits and - alone")
    return f"{plain}.toml"


def _computed(text: str) -> Result:
    try:
        return compute(parse(text, name="the runner"))
    except InputError as error:
        key = re.sub(r"quilting\[\d+\]", "quilting", error.key)
        label = LABELS.get(key) or key.replace("_", " ") or "the runner"
        remedy = error.remedy.partition(", or set units")[0]  # which the page has set
        raise InputError(label, "", error.fault, remedy) from None


def project_text(answers: Mapping[str, Any]) -> str:
    """The project file for the answers, with a comment beside what a person may want to change.

    Raises :class:`InputError` for an answer that cannot be read.
    """
    import tomlkit

    said = _said(answers)
    file = tomlkit.document()
    file.add(tomlkit.comment('"quiltpath keys" lists what else a runner can have.'))
    file.add("title", tomlkit.item(said["title"]))
    file.add("units", tomlkit.item(said["units"]))
    for name, rows in _sections(said):
        table = tomlkit.table()
        for key, value, comment in rows:
            item = tomlkit.item(value)
            table.add(key, item.comment(comment) if comment else item)
        file.add(tomlkit.nl())
        if name.startswith("["):
            entries = file.setdefault(name.strip("[]"), tomlkit.aot())
            entries.append(table)
        else:
            file.add(name, table)
    return tomlkit.dumps(file)


_Row = tuple[str, object, str]


def _sections(said: Mapping[str, str]) -> Iterator[tuple[str, list[_Row]]]:
    """Name and rows of each section in order."""
    unit = said["units"]

    def length(key: str) -> str:
        return _with_unit(said[key], unit)

    two_panels = said["cloth"] == "panels" and _count(said, "panels") > 1
    joined: list[_Row] = [("panel_join", "centre", "where the two panels meet")]
    if said["known"] == "table":
        yield (
            "table",
            [
                ("length", length("table_length"), ""),
                ("width", length("table_width"), ""),
                ("drop", length("drop"), "overhang at each end"),
            ],
        )
        if two_panels:
            yield "runner", joined
    else:
        size: list[_Row] = [
            ("length", length("length"), "in use, once it is washed"),
            ("width", length("width"), ""),
        ]
        yield "runner", [*size, *joined] if two_panels else size
    if said["cloth"] == "panels":
        yield "[[panel]]", list(_panel(said))
    elif said["cloth"] == "blocks":
        yield (
            "grid",
            [
                ("along", _count(said, "along"), "blocks"),
                ("across", _count(said, "across"), ""),
                ("sashing", length("sashing"), "the strips between blocks"),
                ("outer_sashing", length("outer_sashing"), "round all blocks"),
            ],
        )
    has_blocks = said["cloth"] == "blocks" or (
        said["cloth"] == "panels" and _count(said, "panel_blocks") > 0
    )
    if has_blocks and said["outlines"] == "yes":
        yield "[[quilting]]", [("pattern", "along-the-sashing", "holds the layers, so it is first")]
    fill: list[_Row] = [
        ("pattern", said["pattern"], '"quiltpath patterns" lists them'),
        ("spacing", f"about {length('spacing')}", "the nearest that divides evenly"),
    ]
    yield "[[quilting]]", [*fill, ("region", "blocks", "")] if has_blocks else fill
    yield "wadding", [("kind", said["wadding"], "or limit, the figure on the packet")]
    yield "paper", [("size", said["paper"], "")]


def _panel(said: Mapping[str, str]) -> Iterator[_Row]:
    unit, blocks = said["units"], _count(said, "panel_blocks")
    size = [_with_unit(said[key], unit) for key in ("panel_length", "panel_width")]
    yield "size", size, "the cloth as bought, along and across"
    yield "rim", _with_unit(said["rim"], unit), "unprinted cloth all round"
    yield "count", _count(said, "panels"), "at hand"
    if not blocks:
        return
    strip, end = _with_unit(said["panel_sashing"], unit), _with_unit(said["end_strip"], unit)
    long, rim, sashing, ends = (
        _mm(text, label)
        for text, label in (
            (size[0], "the panel's length"),
            (_with_unit(said["rim"], unit), "the unprinted rim"),
            (strip, "the strips between its blocks"),
            (end, "the strip at each end"),
        )
    )
    left = long - 2 * rim - 2 * ends - (blocks - 1) * sashing
    if left <= 0:
        fault = "strips and rim leave nothing for the blocks"
        raise InputError("the panel", "", fault, "measure them again")
    block = left / blocks
    each = f"{round(block, 2):g} mm" if unit == "mm" else f"{_inches(block)} in"
    yield "blocks_along", [each] * blocks, "measure each: they are rarely equal"
    yield "sashing", strip, "between these blocks"
    yield "end_strip", end, "from the last printed line to the end of the print"


def _inches(mm: float) -> str:
    """To 1/64 in, so that blocks add up to their print."""
    whole, rest = divmod(Fraction(round(mm / 25.4 * 64), 64), 1)
    return " ".join(filter(None, (str(whole) if whole or not rest else "", str(rest or ""))))


def _said(answers: Mapping[str, Any]) -> dict[str, str]:
    """Every answer as text, those not given as the page has them."""
    said = {**FIRST_ANSWERS, **(METRIC_ANSWERS if answers.get("units") == "mm" else {})}
    for key, value in answers.items():
        if key not in FIRST_ANSWERS:
            raise InputError("the page", key, "is not asked", "load the page again")
        said[key] = str(value).strip()[:LONGEST_ANSWER]
    return said


def _count(said: Mapping[str, str], key: str) -> int:
    if not said[key].isdecimal():
        label = {"panels": "how many panels", "panel_blocks": "blocks on one panel"}.get(key, key)
        raise InputError(label, "", f"{said[key]!r} is not a whole number", "write it as 3")
    return int(said[key])


def _with_unit(text: str, unit: str) -> str:
    """A bare figure in the unit of the page; what has a unit keeps it."""
    return f"{text} {unit}" if re.fullmatch(r"[\d\s./,]*\d", text) else text


def _mm(text: str, label: str) -> float:
    try:
        return parse_length(text)
    except ValueError as error:
        raise InputError(label, "", str(error), 'write it as "1 1/4 in" or "32 mm"') from None
