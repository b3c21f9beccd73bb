"""Putting the edited text in the place of the file, whole, in the file's own way of writing."""

from __future__ import annotations

import codecs
from collections.abc import Callable
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.make.whole_file import put_whole


def write_whole(path: Path, text: str, check: Callable[[], None]) -> None:
    """The file with ``text`` in it; line ends, byte order mark and permissions stay as they were.

    ``check`` is called last before the exchange and raises where it must not be.
    """
    try:
        old = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the folder") from None
    put_whole(path, _as_before(old, text), check)


def _as_before(old: bytes, text: str) -> bytes:
    """``text`` with the line ends and the byte order mark of ``old``."""
    lines = text.replace("\n", "\r\n") if b"\r\n" in old else text
    mark = codecs.BOM_UTF8 if old.startswith(codecs.BOM_UTF8) else b""
    return mark + lines.encode("utf-8")
