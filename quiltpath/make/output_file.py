"""A finished output: a name and its bytes, before anything is on disk."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass


@dataclass(frozen=True)
class OutputFile:
    """One file of the set that ``make`` delivers.

    ``verified`` is true only for a file that was read back and compared with what was meant;
    None where reading back has no meaning.
    """

    name: str
    content: bytes
    kind: str
    verified: bool | None = None

    def entry(self) -> dict[str, object]:
        """The file's row in report.json."""
        return {
            "path": self.name,
            "kind": self.kind,
            "bytes": len(self.content),
            "sha256": hashlib.sha256(self.content).hexdigest(),
            "verified": self.verified,
        }
