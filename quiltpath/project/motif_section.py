"""[[motif]]: a shape that is printed or sewn on, drawn or traced, and where it lies."""

from collections.abc import Mapping
from typing import Any, Literal, Self

from pydantic import Field, field_validator, model_validator

from quiltpath.project.fields import Length, Section, fault
from quiltpath.project.runner_sections import Point


class MotifSection(Section):
    """A shape from an SVG file, or traced point by point, and where it goes."""

    name: str = Field(min_length=1, max_length=60)
    file: str | None = None
    """the SVG file, beside the project file"""
    outline: tuple[Point, ...] | None = None
    """the corners of a traced shape in order, as large as it lies on the cloth, in place of file"""
    size: Length | None = None
    """its larger side on the cloth; a traced shape is as large as it was traced without it"""
    blocks: Literal["all"] | tuple[str, ...] | None = None
    offset: Point = (0.0, 0.0)
    """how far it lies from the middle of each of its blocks, along and across"""
    at: tuple[Point, ...] = ()
    """centres, from the lower left corner of the finished rectangle"""
    rotate: float = Field(default=0.0, ge=-360, le=360)
    """degrees, anticlockwise"""

    @field_validator("at", mode="before")
    @classmethod
    def _one_point_or_many(cls, value: Any) -> Any:
        many = isinstance(value, list | tuple) and all(isinstance(x, list | tuple) for x in value)
        return value if many else (value,)

    @model_validator(mode="before")
    @classmethod
    def _somewhere(cls, value: Any) -> Any:
        if isinstance(value, Mapping) and not (value.get("blocks") or value.get("at")):
            raise fault(
                "the motif has no place", 'give blocks = "all", blocks = ["A1"] or at = [x, y]'
            )
        return value

    @model_validator(mode="after")
    def _offset_from_something(self) -> Self:
        if self.offset != (0.0, 0.0) and not self.blocks:
            raise fault("offset is from the middle of a block", "give blocks, or move at instead")
        return self

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        if self.file is not None and self.outline is not None:
            raise fault("file and outline are both given", "keep one of them")
        if self.file is None and self.outline is None:
            raise fault("the motif has no shape", 'give file = "leaf.svg", or an outline')
        if self.file is not None and self.size is None:
            raise fault("size is missing", 'give its larger side on the cloth, as "6 in"')
        if self.outline is not None and len(self.outline) < 3:
            raise fault("an outline needs three points or more", "list its corners in order")
        return self
