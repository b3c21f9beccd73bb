"""Every format of machine files under its name, written and read back in one place.

A stitch format holds each needle point; a path format holds lines that a machine follows by itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quiltpath.errors import FormatLimitError, InputError
from quiltpath.formats.path_formats import (
    PATH_FORMATS,
    FileOrder,
    PathCheck,
    PathFormat,
    deliver_paths,
)
from quiltpath.formats.read_back import deliver
from quiltpath.formats.stitch_formats import STITCH_FORMATS, StitchFormat
from quiltpath.formats.stitch_writing import refuse_if_too_big
from quiltpath.formats.thread_paths import blocks
from quiltpath.language import say
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.needle_path import needle_path

FileFormat = StitchFormat | PathFormat


def registry(rows: Iterable[FileFormat]) -> dict[str, FileFormat]:
    """The rows by name. Raises ``ValueError`` for one that cannot stand among the others."""
    found: dict[str, FileFormat] = {}
    endings: dict[str, str] = {}
    for row in rows:
        if row.name in found:
            raise ValueError(f"two formats are called {row.name!r}: give one another name")
        if not row.ending.strip("."):
            raise ValueError(f"format {row.name!r} has no ending for its files: give it one")
        if not row.read_by:
            raise ValueError(f"format {row.name!r} does not say who reads it: fill in read_by")
        if row.ending in endings:
            other = endings[row.ending]
            raise ValueError(f"files of {row.name!r} and {other!r} end alike: change one ending")
        found[row.name], endings[row.ending] = row, row.name
    return found


FORMATS = registry((*STITCH_FORMATS, *PATH_FORMATS))


def formats_named(names: Iterable[str]) -> tuple[FileFormat, ...]:
    """The formats of these names, with or without a dot, each once. Raises ``InputError``."""
    plain = [name.lower().lstrip(".") for name in names]
    for name in plain:
        if name not in FORMATS:
            known = ", ".join(FORMATS)
            raise InputError("", "machine.formats", f"{name!r} is not a format", f"use {known}")
    return tuple(FORMATS[name] for name in dict.fromkeys(plain))


@dataclass(frozen=True)
class DeliveredFile:
    """A file that was read back and is what was meant; ``kind`` says what sort it is.

    ``secured_ends`` of its thread ends are locked by tiny stitches, ``way`` says how.
    """

    content: bytes
    ending: str
    kind: str
    secured_ends: int = 0
    way: str = ""


STITCHES, PATHS = "stitch file", "path file"


def write_file(form: FileFormat, order: FileOrder) -> DeliveredFile:
    """The file in one format, read back and compared.

    Raises ``FormatLimitError`` where the format cannot hold it and ``VerificationError`` where it
    does not read back as meant.
    """
    if isinstance(form, StitchFormat):
        middle = order.load.middle_mm if order.load else None
        content, _ = deliver(order.stitches, form.name, order.title, order.longest_jump_mm, middle)
        ends = secured_ends(order.stitches)
        return DeliveredFile(
            content, form.ending, STITCHES, ends, say("tiny stitches") if ends else ""
        )
    content, check = deliver_paths(form, order)
    return DeliveredFile(content, form.ending, PATHS, check.secured_ends, _way(form, check))


def refuse_unheld(form: FileFormat, order: FileOrder) -> None:
    """Raise ``FormatLimitError`` as :func:`write_file` would, without writing anything."""
    if isinstance(form, StitchFormat):
        refuse_if_too_big(needle_path(order.stitches), form)
    elif not (order.stitches.stretch >= 0).any():
        raise FormatLimitError(f"{form.name.upper()}: there is nothing to sew")


def secured_ends(stitches: Stitches) -> int:
    """Thread ends that tiny stitches lock."""
    return blocks(stitches.kind[stitches.is_hole] == PointKind.SECURING)


def _way(form: PathFormat, check: PathCheck) -> str:
    """How a path file secures, for people."""
    if not check.secured_ends:
        return ""
    if form.has_feeds:
        return say("moves of {mm:.1f} mm at F{feed:.0f}", mm=check.tiny_mm, feed=check.tiny_feed)
    return say("segments of {mm:.1f} mm, one a stitch", mm=check.tiny_mm)
