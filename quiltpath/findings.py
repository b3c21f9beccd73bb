"""What a check says: a stable code, a place, what is wrong and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One thing that a person should know before sewing.

    ``code``    stable, in words joined by hyphens, such as ``"gap-too-wide"``
    ``message`` what is wrong, in plain words with the figures
    ``remedy``  what would mend it
    ``at_mm``   the place on the runner, where there is one
    ``fails``   true where the check says no (``quiltpath check`` then exits with 1)
    """

    code: str
    message: str
    remedy: str = ""
    at_mm: tuple[float, float] | None = None
    fails: bool = False

    @property
    def text(self) -> str:
        """Message, place and remedy as one line."""
        line = f"{self.message} (at {self.place})" if self.at_mm else self.message
        return f"{line}; {self.remedy}" if self.remedy else line

    @property
    def place(self) -> str:
        """The place from the lower left corner, in words; empty where there is none."""
        if self.at_mm is None:
            return ""
        x, y = self.at_mm
        return f"{x:.0f} mm along, {y:.0f} mm up"
