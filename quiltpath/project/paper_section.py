"""[paper]: what is printed, on what, and by which printer."""

from typing import Literal, Self

from pydantic import model_validator

from quiltpath.project.fields import Length, LengthOrZero, Section, fault

PaperSet = Literal["marking", "tiled", "whole", "stencils", "projector"]
"""ruler lists, strips and templates; the full-size guide over pages; on one page; motifs as
stencils; light on dark"""


class PaperSection(Section):
    """Sheets to print, with the printer's own error taken out."""

    sheets: tuple[PaperSet, ...] = ("marking",)
    size: str | tuple[Length, Length] = "A4"
    """a name such as "A4" or "Letter", or width and height"""
    roll: Length | None = None
    """width of a roll, in place of a size; pages are then as long as they must be"""
    margin: LengthOrZero = 6.0
    """what the printer leaves at the edges; 3 to 6 mm is common practice"""
    overlap: Length = 10.0
    """paper shared by neighbouring pages"""
    orientation: Literal["fewest", "upright", "sideways"] = "fewest"
    bar_across: Length = 100.0
    """what the 100 mm square measures across on a page that this printer printed"""
    bar_up: Length = 100.0
    marks_for: Literal["finished", "before quilting"] = "finished"
    """sizes as the file gives them, or larger by what quilting and washing will take"""
    mirrored: bool = False
    """for iron-on marks, and for the light box from the back"""

    @model_validator(mode="after")
    def _plausible(self) -> Self:
        for name, bar in (("bar_across", self.bar_across), ("bar_up", self.bar_up)):
            if not 80 <= bar <= 125:
                raise fault(
                    f"{name} is {bar:g} mm for a bar of 100 mm",
                    "measure the 100 mm square again; over a fifth is no printer's error",
                )
        if not 2 <= self.overlap <= 50:
            raise fault(f"an overlap of {self.overlap:g} mm", "give 2 to 50 mm; 10 mm is usual")
        if self.margin > 30:
            raise fault(f"a printer's margin of {self.margin:g} mm", "give 30 mm or less")
        return self
