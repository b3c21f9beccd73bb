"""A layer that repeats the user's own drawing."""

from typing import ClassVar, Literal, Self

from pydantic import Field, PrivateAttr, model_validator

from quiltpath.project.fields import LengthOrZero, Spacing, fault
from quiltpath.project.repertoire_layer import QUARTER_INCH, RepertoireLayer, about

Arrangement = Literal["rows", "brick", "half drop", "mirrored", "mirrored rows", "nested", "fitted"]


class DrawingLayer(RepertoireLayer):
    """A drawing from an SVG file, repeated edge to edge, or warped to fill each block.

    ``rows``           one repeat after the other, row over row
    ``brick``          every second row set off by half a repeat
    ``half drop``      every second repeat half a row lower
    ``mirrored``       every second repeat turned round, so that each end meets its own mirror
    ``mirrored rows``  every second row upside down
    ``nested``         rows set off and moved together until they are ``apart`` from each other
    ``fitted``         once in each region, stretched and bent into its shape
    """

    amount_key: ClassVar[str] = "size"
    kind: Literal["drawing"]
    file: str = Field(min_length=1)
    """the SVG file, beside the project file or the pattern that names it"""
    arrangement: Arrangement = "rows"
    size: Spacing = about(6 * 25.4)
    """length of one repeat along the row"""
    row: Spacing | None = None
    """from one row to the next; the drawing's own height where it is left out"""
    apart: LengthOrZero = QUARTER_INCH
    """what nested rows keep free between them"""
    inset: LengthOrZero = QUARTER_INCH
    """kept free beside the outermost rows; rows themselves run from end to end"""

    _svg: bytes = PrivateAttr(default=b"")

    @model_validator(mode="after")
    def _keys_that_matter(self) -> Self:
        if self.row is not None and self.arrangement in ("nested", "fitted"):
            raise fault(
                f"{self.arrangement} drawings find their rows by themselves", "take row out"
            )
        return self

    @property
    def svg(self) -> bytes:
        """The file's content, read when the project was loaded."""
        return self._svg

    def with_svg(self, content: bytes) -> Self:
        """The same layer, holding the file that it names so that later floors touch no disk."""
        whole = self.model_copy()
        whole._svg = content
        return whole
