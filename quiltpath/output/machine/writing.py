"""Stitches to the bytes of a stitch file, with nothing added, split or moved on the way.

The embroidery library would by default re-plan a design (split long stitches, add jumps, choose
threads at random, stamp the date). Here it only codes: the records are planned by
:mod:`quiltpath.output.machine.records`, and every setting that could alter them is off.
"""

from __future__ import annotations

import io
import math
import re
import unicodedata
from dataclasses import replace
from typing import Any

from quiltpath.output.machine.formats import StitchFormat, find_format
from quiltpath.output.machine.needle_path import needle_path
from quiltpath.output.machine.records import (
    COLOUR_CHANGE,
    Records,
    machine_records,
    refuse_if_too_big,
)
from quiltpath.stitching.stitches import Stitches

TITLE_LETTERS = 16
"""The shortest title field among the formats."""

_THREAD_COLOUR = "#4a4a4a"
_NO_DATE = "20000101000000"
_DST_HEADER = 512


def safe_title(title: str) -> str:
    """A title that every header can hold: plain letters, digits and spaces, at most 16."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode("ascii")
    words = re.sub(r"[^A-Za-z0-9]+", " ", plain).split()
    return " ".join(words)[:TITLE_LETTERS].strip() or "runner"


def write(
    stitches: Stitches, extension: str, title: str, longest_jump_mm: float = math.inf
) -> bytes:
    """The bytes of a stitch file; the design's centre (to the grid) is its origin.

    Raises ``InputError`` for an unknown format and ``FormatRefused`` where the design breaks one
    of its limits. The same stitches give the same bytes. A jump longer than ``longest_jump_mm``,
    or than a record of the format holds, takes several records.
    """
    form = find_format(extension)
    form = replace(form, jump_mm=min(form.jump_mm, longest_jump_mm))
    path = needle_path(stitches)
    refuse_if_too_big(path, form)
    return encode(machine_records(path, form), form, title)


def encode(records: Records, form: StitchFormat, title: str) -> bytes:
    """The records in the coding of the format."""
    from pyembroidery import EmbPattern

    pattern = _pattern(records, form, title)
    text = form.extension == "json"
    stream: io.StringIO | io.BytesIO = io.StringIO() if text else io.BytesIO()
    settings = {"encode": False, "trims": True, "date": _NO_DATE}
    EmbPattern.write_embroidery(library_codec(form.extension)["writer"], pattern, stream, settings)
    written = stream.getvalue()
    coded = written if isinstance(written, bytes) else written.encode("utf-8")
    return _true_dst_header(coded) if form.extension == "dst" else coded


def library_codec(extension: str) -> dict[str, Any]:
    """The library's own entry for an extension, empty where it has none."""
    from pyembroidery import EmbPattern

    known: list[dict[str, Any]] = [row for row in EmbPattern.supported_formats() if row is not None]
    return next((row for row in known if row["extension"] == extension), {})


def _pattern(records: Records, form: StitchFormat, title: str) -> Any:
    from pyembroidery import EmbPattern, EmbThread

    thread = EmbThread()
    thread.set(_THREAD_COLOUR)
    thread.description = "thread"
    pattern = EmbPattern()
    pattern.metadata("name", safe_title(title))
    # One thread a colour block: where one is missing the library would make up a random one.
    changes = int((records.command == COLOUR_CHANGE).sum())
    pattern.threadlist = [thread] * (changes + 1)
    # The library counts in tenths of a millimetre.
    tenths = records.at if form.grid_mm == 0.1 else (records.at * (10 * form.grid_mm)).round(2)
    columns = (tenths[:, 0].tolist(), tenths[:, 1].tolist(), records.command.tolist())
    pattern.stitches = list(map(list, zip(*columns, strict=True)))
    return pattern


def _true_dst_header(coded: bytes) -> bytes:
    """Header fields made to agree with the records that follow.

    The library counts a cut as one record where it writes three, and names the extents above and
    below the start the wrong way round (the records themselves are right).
    """
    header, body = coded[:_DST_HEADER], coded[_DST_HEADER:]
    count = b"ST:%7d\r" % (len(body) // 3)
    up, down = header[65:74], header[56:65]
    fields = header[:20] + count + header[31:56] + b"+Y" + up[2:] + b"-Y" + down[2:]
    return fields + header[74:] + body
