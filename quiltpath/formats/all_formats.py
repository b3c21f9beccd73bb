"""Every format of machine files under its name, written and read back in one place.

A stitch format holds each needle point; a path format holds lines that a machine follows by itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quiltpath.errors import InputError
from quiltpath.formats.path_formats import PATH_FORMATS, PathFormat, deliver_paths
from quiltpath.formats.read_back import deliver
from quiltpath.formats.stitch_formats import STITCH_FORMATS, StitchFormat
from quiltpath.machine import MachineProfile
from quiltpath.stitching import Stitches

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
class FileOrder:
    """What a file for a machine is to hold.

    ``profile``       the machine: its speed, its words for the needle, its longest jump
    ``tolerance_mm``  how far a path may stray from the needle points
    ``kinds``         for each quilting line, the layer that path files put it on
    ``sews``          false for a trace, for which no needle is ever put down
    """

    stitches: Stitches
    title: str
    profile: MachineProfile
    longest_jump_mm: float = math.inf
    tolerance_mm: float = 0.05
    kinds: Sequence[str] = ()
    sews: bool = True


@dataclass(frozen=True)
class DeliveredFile:
    """A file that was read back and is what was meant; ``kind`` says what sort it is."""

    content: bytes
    ending: str
    kind: str


STITCHES, PATHS = "stitch file", "path file"


def write_file(form: FileFormat, order: FileOrder) -> DeliveredFile:
    """The file in one format, read back and compared.

    Raises ``FormatRefused`` where the format cannot hold it and ``VerificationFailed`` where it
    does not read back as meant.
    """
    if isinstance(form, StitchFormat):
        content, _ = deliver(order.stitches, form.name, order.title, order.longest_jump_mm)
        return DeliveredFile(content, form.ending, STITCHES)
    content, _ = deliver_paths(
        order.stitches,
        form,
        order.profile,
        order.title,
        tolerance_mm=order.tolerance_mm,
        kinds=order.kinds,
        sews=order.sews,
    )
    return DeliveredFile(content, form.ending, PATHS)
