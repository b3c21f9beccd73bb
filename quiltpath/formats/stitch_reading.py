"""Stitch files read through the embroidery library, as records and as a needle path.

Files come from anywhere, so reading is bounded: a size limit, a stream that gives up when a reader
keeps asking past the end, and one error for whatever a damaged file makes a reader do.
"""

from __future__ import annotations

import csv
import io
import struct
import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.errors import InputError
from quiltpath.formats.stitch_formats import BY_EXTENSION, CutSign
from quiltpath.formats.stitch_writing import COLOUR_CHANGE, JUMP, STITCH, STOP, TRIM, library_codec
from quiltpath.geometry.arrays import Floats
from quiltpath.stitching.needle_path import NeedlePath

LARGEST_FILE = 50_000_000
"""Bytes; about ten million stitches in the wordiest format."""

_NEEDLE_SET = 9
_TENTHS = 0.1
_FAR_MM = 1e6
_READS_PAST_END = 1000

# What readers of other people's making raise on damaged files. Not every exception: a fault of
# our own must still show itself.
_DAMAGE = (
    ArithmeticError, AssertionError, AttributeError, EOFError, LookupError, MemoryError,
    RecursionError, TypeError, ValueError, csv.Error, struct.error, zlib.error,
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class ReadRecords:
    """Records as a file holds them: (m, 2) mm from its origin, y upwards, and (m,) commands."""

    at_mm: Floats
    command: NDArray[np.int64]


class _BoundedStream(io.BytesIO):
    """A file that raises ``EOFError`` for a reader that keeps reading past its end."""

    def __init__(self, contents: bytes) -> None:
        super().__init__(contents)
        self._left = 20 * len(contents) + 1_000_000
        self._past_end = 0

    def read(self, size: int | None = -1, /) -> bytes:
        piece = super().read(size)
        self._left -= len(piece)
        self._past_end += not piece
        if self._left < 0 or self._past_end > _READS_PAST_END:
            raise EOFError("read past the end")
        return piece


def read_records(contents: bytes, extension: str, where: str) -> ReadRecords:
    """All records of a stitch file. Raises ``InputError``, one line that names ``where``."""
    reader = library_codec(extension).get("reader")
    if reader is None:
        raise InputError(
            where, "", f"{extension!r} is not a stitch format that can be read", "use dst, pes, ..."
        )
    if len(contents) > LARGEST_FILE:
        raise InputError(where, "", f"{len(contents)} bytes is too large for a stitch file")
    pattern = _plain_pattern()
    try:
        reader.read(_stream(contents, reader), pattern, None)
        columns = np.array([row[:3] for row in pattern.stitches], dtype=np.float64).reshape(-1, 3)
    except _DAMAGE:
        raise InputError(
            where, "", f"this is damaged or no {extension} file", "save or export it again"
        ) from None
    return _as_records(columns, extension, where)


def _stream(contents: bytes, reader: Any) -> io.TextIOBase | io.BytesIO:
    if getattr(reader, "READ_FILE_IN_TEXT_MODE", False):
        return io.StringIO(contents.decode("utf-8"))
    return _BoundedStream(contents)


def _plain_pattern() -> Any:
    """A pattern that keeps the records as they are, without guessing cuts from jumps."""
    from pyembroidery import EmbPattern

    class PlainPattern(EmbPattern):  # type: ignore[misc]
        def interpolate_trims(self, *_: object) -> None:
            pass

        def interpolate_duplicate_color_as_stop(self) -> None:
            pass

    return PlainPattern()


def _as_records(columns: Floats, extension: str, where: str) -> ReadRecords:
    at_mm = columns[:, :2] * (_TENTHS, -_TENTHS)
    if not np.isfinite(columns).all() or (np.abs(at_mm) > _FAR_MM).any():
        raise InputError(where, "", f"this is damaged or no {extension} file", "export it again")
    command = columns[:, 2].astype(np.int64) & 0xFF
    if not (command == STITCH).any():
        raise InputError(where, "", "the file holds no stitches")
    return ReadRecords(at_mm + 0.0, command)


def path_of(records: ReadRecords, extension: str) -> NeedlePath:
    """The needle path of a file, with cuts as its format marks them."""
    command = records.command
    hole = np.flatnonzero(command == STITCH)
    before = np.searchsorted(hole, np.arange(len(command)))
    cut = _marks(before[_cuts(command, before, extension)], len(hole))
    stop = _marks(before[np.isin(command, (STOP, COLOUR_CHANGE, _NEEDLE_SET))], len(hole))
    moved = _marks(before[command == JUMP], len(hole)) | cut
    moved[:1] = True
    return NeedlePath(records.at_mm[hole], cut[:-1], stop[:-1], moved[:-1], bool(cut[-1]))


def _cuts(command: NDArray[np.int64], before: NDArray[np.intp], extension: str) -> NDArray[np.intp]:
    """Indices of records by which a format says that the thread is cut."""
    sign = BY_EXTENSION[extension].cut if extension in BY_EXTENSION else CutSign.COMMAND
    if sign is CutSign.COMMAND:
        return np.flatnonzero(command == TRIM)
    jumps = np.bincount(before[command == JUMP], minlength=int(before.max()) + 1)
    enough = jumps >= (1 if sign is CutSign.ANY_JUMP else 3)
    return np.flatnonzero((command == JUMP) & enough[before])


def _marks(holes: NDArray[np.intp], count: int) -> NDArray[np.bool_]:
    marks = np.zeros(count + 1, dtype=np.bool_)
    marks[holes] = True
    return marks


def read_path(contents: bytes, extension: str, where: str = "") -> NeedlePath:
    """The needle path of a stitch file. Raises ``InputError``."""
    return path_of(read_records(contents, extension, where), extension)
