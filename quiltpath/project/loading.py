"""Project files on disk: read into a :class:`Project`, and the first one written to start from.

The text becomes tables, named patterns are filled in, the model checks the whole, and the drawings
that it names are read. Whatever is wrong becomes one :class:`InputError` with the key as the user
wrote it.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.files import read_bounded
from quiltpath.patterns.book import PatternBook
from quiltpath.patterns.kinds import KINDS
from quiltpath.project.panel_grid import with_grid_of_panels
from quiltpath.project.project_file import Project
from quiltpath.schema import Section, decoded, toml_content

MAX_FILE_BYTES = 1_000_000
"""A project file of a megabyte is no project file."""

MAX_DRAWING_BYTES = 5_000_000
"""Far above any motif drawn by hand."""

UNITS_OF_A_FILE = ("mm", "cm", "in")


def load(path: Path | str) -> Project:
    """The validated project in ``path``; raises :class:`InputError` with one line."""
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
    return decoded(raw, path.name)


def parse(text: str, *, name: str = "project", folder: Path | None = None) -> Project:
    """The validated project in ``text``; ``folder`` is where its patterns folder is looked for."""
    return parse_content(toml_content(text, name), name=name, folder=folder)


def parse_content(
    content: dict[str, Any], *, name: str = "project", folder: Path | None = None
) -> Project:
    """The validated project in the tables of a project file."""
    content, entry_of_layer = _with_patterns(content, folder, name)
    try:
        project = Project.model_validate(content, context={"units": _units(content, name)})
    except ValidationError as error:
        raise input_error(error, content, name, entry_of_layer) from None
    try:
        project = with_grid_of_panels(project)
    except InputError as error:
        raise error.at(name) from None
    drawings: dict[str, bytes] = {}
    for key, file in project.named_drawings:
        if file not in drawings:
            drawings[file] = _drawing(file, folder, name, key)
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
        layers.extend(drawn)
        origin.extend([index] * len(drawn))
    return {**content, "quilting": layers}, origin


def _filled_in(
    entry: dict[str, Any], book: PatternBook, key: str, name: str
) -> list[dict[str, Any]]:
    wanted = entry.pop("pattern")
    if "kind" in entry:
        raise InputError(name, key, "pattern and kind are both given", "keep one of them")
    try:
        return book.layers(str(wanted), entry)
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
        raise InputError(name, key, f"{file!r} is larger than 5 MB", "simplify the drawing")
    return content


def input_error(
    error: ValidationError, content: Mapping[str, Any], name: str, entry_of_layer: Sequence[int]
) -> InputError:
    """The first fault of a validation as one line: file, key, fault, remedy."""
    first = error.errors(include_url=False)[0]
    location = list(first["loc"])
    key = _key(_as_written(location, entry_of_layer))
    if first["type"] == "quiltpath":
        context = first["ctx"]
        return InputError(name, key, str(context["wrong"]), str(context["right"]))
    if first["type"] == "extra_forbidden":
        return InputError(name, key, "there is no such key", _nearest_key(location, content))
    if first["type"] == "missing":
        return InputError(name, key, "is missing", "add it")
    return InputError(name, key, _plain(first), "")


def _as_written(location: list[Any], entry_of_layer: Sequence[int]) -> list[Any]:
    if len(location) > 1 and location[0] == "quilting" and entry_of_layer:
        return ["quilting", entry_of_layer[location[1]], *location[2:]]
    return location


def _key(location: list[Any]) -> str:
    """``("quilting", 0, "spacing")`` as ``quilting[1].spacing``."""
    key = ""
    for part in location:
        if isinstance(part, int):
            key += f"[{part + 1}]"
        elif not str(part).startswith(("function-", "tuple[", "literal[", "constrained-")):
            key += f".{part}" if key else str(part)
    return key


def _nearest_key(location: list[Any], content: Mapping[str, Any]) -> str:
    """The key that was probably meant, found among those that the table knows."""
    known = _known_keys(location, content)
    close = difflib.get_close_matches(str(location[-1]), known, n=1)
    return f"did you mean {close[0]!r}?" if close else f"use one of {', '.join(known)}"


def _known_keys(location: list[Any], content: Mapping[str, Any]) -> list[str]:
    if location[0] == "quilting" and len(location) > 2:
        kind = content["quilting"][location[1]].get("kind")
        return list(KINDS[kind].model.model_fields)
    model: Any = Project
    for part in location[:-1]:
        if isinstance(part, str):
            model = _section_of(model, part)
    return list(model.model_fields)


def _section_of(model: type[Section], field: str) -> Any:
    annotation: Any = model.model_fields[field].annotation
    for candidate in (annotation, *getattr(annotation, "__args__", ())):
        if isinstance(candidate, type) and issubclass(candidate, Section):
            return candidate
    return model


def _plain(first: Mapping[str, Any]) -> str:
    """pydantic's own sentence, in lower case, with what was given."""
    given = first.get("input")
    text = str(first["msg"]).removeprefix("Value error, ")
    shown = f" (given: {given!r})" if isinstance(given, str | int | float | bool) else ""
    return text[:1].lower() + text[1:] + shown


def starter_text() -> str:
    """A project that makes a runner as it stands."""
    return files("quiltpath.project").joinpath("starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path) -> None:
    """Write the starter to ``path``; raises :class:`InputError` where something is there."""
    text = starter_text().replace("FILE", path.name)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(path.name, "", "is there already", "choose another name") from None
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "choose another folder") from None
