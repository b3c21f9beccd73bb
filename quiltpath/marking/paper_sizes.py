"""Paper: sizes by name, what a printer can reach, and the correction for one that is off."""

from __future__ import annotations

from dataclasses import dataclass

from quiltpath.errors import InputError
from quiltpath.units import MM_PER_INCH, Units, both_units

PAPERS_MM: dict[str, tuple[float, float]] = {
    # ISO 216
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
    # as wide as A4 and as high as Letter: printed at 100 % on either of them nothing is cut off
    "A4 or Letter": (210.0, 11 * MM_PER_INCH),
    # ANSI/ASME Y14.1 sizes A and B, and Legal
    "Letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
    "Legal": (8.5 * MM_PER_INCH, 14 * MM_PER_INCH),
    "Tabloid": (11 * MM_PER_INCH, 17 * MM_PER_INCH),
}
"""Width and height upright, in mm. A new size is one row."""

FOOT_MM = 8.0
"""Room at the bottom of every page for its name and the caution."""

LEAST_WINDOW_MM = 112.0
"""The 4 in check square and its label must fit on every page."""

LONGEST_LINE_MM = 190.0

BAR_MM = 100.0


@dataclass(frozen=True)
class PaperSetting:
    """How pages are printed; lengths in mm.

    ``size``      page, width by height, upright unless it is a roll
    ``margin``    what the printer leaves at every edge
    ``overlap``   shared by neighbouring pages
    ``turns``     the orientations that may be used, ``"upright"`` or ``"sideways"``
    ``measured``  what a printed 100 mm bar measured, across and up
    ``mirrored``  marks left to right, for iron-on and for the light box from the back
    ``roll``      true where the page is cut from a roll and as long as it must be
    ``units``     in which lengths are told
    """

    size: tuple[float, float] = PAPERS_MM["A4"]
    margin: float = 5.0
    overlap: float = 10.0
    turns: tuple[str, ...] = ("upright", "sideways")
    measured: tuple[float, float] = (BAR_MM, BAR_MM)
    mirrored: bool = False
    roll: bool = False
    units: Units = "both"

    @property
    def stretch(self) -> tuple[float, float]:
        """Factors by which everything is drawn larger, so that it comes out true."""
        return BAR_MM / self.measured[0], BAR_MM / self.measured[1]

    def page(self, turn: str) -> tuple[float, float]:
        """The sheet of paper, width by height."""
        width, height = self.size
        return (height, width) if turn == "sideways" else (width, height)

    def true_page(self, turn: str) -> tuple[float, float]:
        """How much cloth the whole sheet shows, width by height."""
        (width, height), (across, up) = self.page(turn), self.stretch
        return width / across, height / up

    def window(self, turn: str) -> tuple[float, float, float, float]:
        """The part that marks may use, (x0, y0, x1, y1) in mm of cloth from the page's corner."""
        (width, height), (across, up) = self.true_page(turn), self.stretch
        beside, below = self.margin / across, self.margin / up
        return beside, below + FOOT_MM, width - beside, height - below

    def room(self, turn: str) -> tuple[float, float]:
        """Width and height of the window."""
        x0, y0, x1, y1 = self.window(turn)
        return x1 - x0, y1 - y0

    def text_room(self, turn: str) -> float:
        """Width for lines of text, mm: no longer than a reader can follow."""
        return min(self.room(turn)[0] - 2.0, LONGEST_LINE_MM)


def check_setting(setting: PaperSetting) -> PaperSetting:
    """The same setting; raises :class:`InputError` where a page cannot carry its own check."""
    for turn in setting.turns:
        width, height = setting.room(turn)
        if min(width, height) < LEAST_WINDOW_MM:
            raise InputError(
                "",
                "paper.size",
                f"the printable part, {both_units(width)} by {both_units(height)},"
                " has no room for the check squares",
                f"it must be {both_units(LEAST_WINDOW_MM)} or more each way",
            )
    return setting


def paper_named(name: str) -> tuple[float, float]:
    """The size of a paper by its name; raises :class:`InputError` with the names there are."""
    by_lower = {known.lower(): size for known, size in PAPERS_MM.items()}
    if name.lower() not in by_lower:
        raise InputError(
            "",
            "paper.size",
            f"there is no paper {name!r}",
            f"use {', '.join(PAPERS_MM)}, or a width and a height",
        )
    return by_lower[name.lower()]
