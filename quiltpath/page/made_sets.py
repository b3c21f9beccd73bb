"""Sets of files that were made from the page: what lies in their folders, to be fetched again."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from quiltpath.errors import InputError


@dataclass(frozen=True)
class MadeSet:
    """The folder and what each file in it is, by its name; only those are handed out."""

    folder: Path
    kinds: Mapping[str, str]

    @property
    def archive_name(self) -> str:
        """Of the whole set in one file."""
        return f"{self.folder.name}.zip"

    def told(self) -> dict[str, Any]:
        """What the page is told of it."""
        return {"folder": self.folder.name, "files": dict(self.kinds), "all": self.archive_name}

    def content(self, name: str) -> bytes | None:
        """A file of the set, or all of it as one archive; None for any other name.

        Raises :class:`InputError` where it is no longer there.
        """
        if name == self.archive_name:
            return self._archive()
        return self._read(name) if name in self.kinds else None

    def _read(self, name: str) -> bytes:
        try:
            return (self.folder / name).read_bytes()
        except OSError:
            raise InputError(name, "", "is no longer in the folder", "make it again") from None

    def _archive(self) -> bytes:
        packed = io.BytesIO()
        with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
            for name in self.kinds:
                archive.writestr(ZipInfo(name), self._read(name), ZIP_DEFLATED)
        return packed.getvalue()
