"""Project files on disk: read into a :class:`Project`, and the first one written to start from.

The text becomes tables, named patterns are filled in, the model checks the whole, and the drawings
that it names are read. Whatever is wrong becomes one :class:`InputError` with the key as the user
wrote it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.files import read_bounded
from quiltpath.patterns.book import PatternBook
from quiltpath.project.faults import Spelling, first_fault, refuse_unknown_keys
from quiltpath.project.key_facts import values_of_key
from quiltpath.project.metric_figures import fill_metric_figures
from quiltpath.project.panel_grid import with_grid_of_panels
from quiltpath.project.project_file import Project
from quiltpath.project.spelling import Place, in_own_words, layer_in_own_words, pattern_word
from quiltpath.schema import decode_text, toml_content
from quiltpath.units import units_of_faults

MAX_FILE_BYTES = 1_000_000
"""A project file of a megabyte is no project file."""

MAX_DRAWING_BYTES = 5_000_000
"""Far above any motif drawn by hand."""

NO_FILES: Mapping[str, bytes] = MappingProxyType({})

UNITS_OF_A_FILE = ("mm", "cm", "in")


def load(path: Path | str) -> Project:
    """The validated project in a file.

    Args:
        path: a project file (TOML); drawings that it names lie beside it.

    Returns:
        The project; every length in it is in mm.

    Raises:
        InputError: one line that says where the file is wrong and what would be right.

    Example:
        >>> import tempfile
        >>> file = Path(tempfile.mkdtemp()) / "mat.toml"
        >>> _ = file.write_text('runner = { length = "18 in", width = "13 in" }')
        >>> load(file).runner.length
        457.2
    """
    path = Path(path)
    return parse(read_text(path), name=path.name, folder=path.parent)


def read_text(path: Path) -> str:
    """The file as text, whatever its line ends and with or without a byte order mark."""
    try:
        raw = read_bounded(path, MAX_FILE_BYTES)
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", "") or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if raw is None:
        raise InputError(path.name, "", "is larger than a megabyte", "give a project file")
    return decode_text(raw, path.name)


def parse(
    text: str,
    *,
    name: str = "project",
    folder: Path | None = None,
    given: Mapping[str, bytes] = NO_FILES,
) -> Project:
    """The validated project in a text.

    Args:
        text: what a project file would hold (TOML).
        name: stands for the file in messages.
        folder: where drawings and the patterns folder that it names are looked for.
        given: drawings and pictures that are in memory, by the name that the text has for them.

    Returns:
        The project; every length in it is in mm.

    Raises:
        InputError: one line that says where the text is wrong and what would be right.

    Example:
        >>> parse('runner = { length = "72 in", width = "10 in" }').runner.width
        254.0
    """
    content = toml_content(text, name, _lists())
    return parse_content(content, name=name, folder=folder, given=given)


def _lists() -> list[str]:
    """The sections that may stand several times, each time as ``[[name]]``."""
    taken = {name: values_of_key(Project, name) for name in Project.model_fields}
    return [name for name, takes in taken.items() if takes is not None and takes.many]


def parse_content(
    content: dict[str, Any],
    *,
    name: str = "project",
    folder: Path | None,
    given: Mapping[str, bytes] = NO_FILES,
) -> Project:
    """The validated project in the tables of a project file."""
    try:
        return _validated(content, name, folder, given)
    except InputError as error:
        raise error.in_units(units_of_faults(content.get("units"))) from None


def _validated(
    content: dict[str, Any], name: str, folder: Path | None, given: Mapping[str, bytes]
) -> Project:
    content, names = in_own_words(content, Project)
    content, entry_of_layer = _with_patterns(content, folder, name)
    written, units = _spelling(names, entry_of_layer), _units(content, name)
    refuse_unknown_keys(content, Project, name, written)
    try:
        project = Project.model_validate(content, context={"units": units})
    except ValidationError as error:
        raise first_fault(error, content, Project, name, written) from None
    try:
        project = with_grid_of_panels(fill_metric_figures(project))
    except InputError as error:
        raise error.at(name) from None
    drawings: dict[str, bytes] = {}
    for key, file in project.named_drawings:
        if file not in drawings:
            found = given.get(file)
            drawings[file] = _drawing(file, folder, name, key) if found is None else found
    return project.with_files(name, drawings, tuple(entry_of_layer))


def _with_patterns(
    content: dict[str, Any], folder: Path | None, name: str
) -> tuple[dict[str, Any], list[int]]:
    """Each ``pattern = "..."`` entry replaced by the pattern's layers with the user's changes.

    Also returns, for each layer, the index of the entry it came from, so that a fault names the
    entry that the user wrote.
    """
    entries = content.get("quilting")
    if not isinstance(entries, list):
        return content, []
    own = content.get("patterns_folder")
    book = PatternBook.beside(folder, own if isinstance(own, str) else None, name)
    layers: list[Any] = []
    origin: list[int] = []
    for index, entry in enumerate(entries):
        drawn = [entry]
        if isinstance(entry, Mapping) and "pattern" in entry:
            drawn = _filled_in(dict(entry), book, f"quilting[{index + 1}]", name)
        layers += [layer_in_own_words(x) if isinstance(x, Mapping) else x for x in drawn]
        origin.extend([index] * len(drawn))
    return {**content, "quilting": layers}, origin


def _filled_in(
    entry: dict[str, Any], book: PatternBook, key: str, name: str
) -> list[dict[str, Any]]:
    wanted = str(entry.pop("pattern"))
    if "kind" in entry:
        raise InputError(name, key, "pattern and kind are both given", "keep one of them")
    other, known = pattern_word(wanted), book.names()
    try:
        return book.layers(other if wanted not in known and other in known else wanted, entry)
    except InputError as error:
        raise error.at(name, key) from None


def _units(content: Mapping[str, Any], name: str) -> str | None:
    """The unit of bare numbers in this file, needed before any length can be read."""
    units = content.get("units")
    if units is None or units in UNITS_OF_A_FILE:
        return units
    raise InputError(
        name, "units", f"{units!r} is not a unit of this file", f"use {', '.join(UNITS_OF_A_FILE)}"
    )


def _drawing(file: str, folder: Path | None, name: str, key: str) -> bytes:
    """A file that the project names, looked for beside the project file."""
    try:
        content = read_bounded((folder or Path()) / file, MAX_DRAWING_BYTES)
    except (OSError, ValueError):
        raise InputError(
            name, key, f"there is no readable file {file!r}", "put it beside the project file"
        ) from None
    if content is None:
        remedy = "save it smaller" if key.endswith(".picture") else "simplify the drawing"
        raise InputError(name, key, f"{file!r} is larger than 5 MB", remedy)
    return content


def _spelling(names: Mapping[Place, str], entry_of_layer: Sequence[int]) -> Spelling:
    """Places as the user wrote them: other words for keys, entries before patterns were laid in."""

    def written(place: Sequence[str | int]) -> list[str | int]:
        parts = [names.get(tuple(place[: n + 1]), part) for n, part in enumerate(place)]
        if len(parts) > 1 and place[0] == "quilting" and entry_of_layer:
            parts[1] = entry_of_layer[int(place[1])]
        return parts

    return written


def starter_text() -> str:
    """A project that makes a runner as it stands."""
    return files("quiltpath.project").joinpath("starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path) -> None:
    """Write the starter to ``path``; raises :class:`InputError` where something is there."""
    write_new(path, starter_text().replace("FILE", path.name))


def write_new(path: Path, text: str) -> None:
    """Write ``text`` to ``path``; raises :class:`InputError` where something is there."""
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(path.name, "", "is there already", "choose another name") from None
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "choose another folder") from None
