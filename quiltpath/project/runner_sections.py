"""[runner] and [grid]: the cloth as it is to be finished, before any quilting."""

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Position, Section, fault
from quiltpath.units import both_units

Point = tuple[Position, Position]


Shape = Literal[
    "rectangle",
    "pointed",
    "clipped",
    "rounded",
    "oval",
    "hexagon",
    "octagon",
    "scalloped",
    "round",
    "square",
]

MEASURES_OF_A_SHAPE: dict[str, tuple[str, ...]] = {
    "pointed": ("point_angle",),
    "clipped": ("cut",),
    "rounded": ("radius",),
    "scalloped": ("scallop", "scallop_depth"),
}
"""Measures that a shape has besides length and width; the others have none."""

ONE_SIZE = ("round", "square")
"""Shapes that are as wide as they are long."""


class RunnerSection(Section):
    """Finished size, as length and width, as a list of points, or as a drawn outline."""

    shape: Shape = "rectangle"
    """what the outline is; pointed, clipped, rounded and scalloped have measures of their own"""
    length: Length | None = None
    width: Length | None = None
    """a round or square table centre needs the length alone"""
    point_angle: float | None = Field(default=None, ge=20, lt=180)
    """degrees at the tip of a pointed end; 90 where it is left out"""
    cut: Length | None = None
    """what a clipped corner takes off each side; a quarter of the width where it is left out"""
    radius: Length | None = None
    """of rounded corners; half circles where it is left out"""
    scallop: Length | None = None
    """width of one scallop, near enough: whole ones are fitted; 4 in where it is left out"""
    scallop_depth: Length | None = None
    """how far a scallop stands out; a quarter of its width where it is left out"""
    outline: tuple[Point, ...] | None = None
    outline_svg: str | None = None
    margin: LengthOrZero = 75.0
    """wadding beyond the finished edge; 3 in all round is common practice"""
    panel_join: Literal["none", "centre"] | Position = "none"
    """where two panels meet along the length: the centre, or a distance from the left end"""

    @model_validator(mode="after")
    def _one_way_to_give_a_size(self) -> Self:
        drawn = [self.outline is not None, self.outline_svg is not None]
        if sum(drawn) > 1:
            raise fault("outline and outline_svg are both given", "keep one of them")
        if any(drawn) and (self.length or self.width):
            raise fault("an outline and a length or width are both given", "keep one of them")
        if any(drawn) and self.shape != "rectangle":
            raise fault("an outline and a shape are both given", "keep one of them")
        if self.outline is not None and len(self.outline) < 3:
            raise fault("an outline needs three points or more", "list its corners in order")
        if not any(drawn):
            self._check_sizes()
        return self

    def _check_sizes(self) -> None:
        if self.length is None:
            raise fault("length is missing", "give length and width, outline, or outline_svg")
        if self.shape in ONE_SIZE:
            if self.width not in (None, self.length):
                raise fault(f"a {self.shape} centre is as wide as long", "leave width out")
        elif self.width is None:
            raise fault("width is missing", "give length and width, outline, or outline_svg")

    @model_validator(mode="after")
    def _measures_fit_the_shape(self) -> Self:
        own = MEASURES_OF_A_SHAPE.get(self.shape, ())
        for shape, measures in MEASURES_OF_A_SHAPE.items():
            for measure in measures:
                if measure not in own and getattr(self, measure) is not None:
                    raise fault(
                        f"{measure} is no measure of a {self.shape} runner",
                        f'write shape = "{shape}", or take it out',
                    )
        return self


Positions = Annotated[tuple[Position, ...], Field(max_length=90)]
"""Where the printed lines of up to 45 blocks lie."""

MOST_BLOCKS = 2_000
"""No runner has so many, and each is a region with lines of its own."""


class GridSection(Section):
    """Blocks and sashing: either counts and sizes, or measured positions of the printed lines."""

    along: int = Field(default=1, ge=1, le=500)
    across: int = Field(default=1, ge=1, le=500)
    block: Length | tuple[Length, Length] | None = None
    """side of a square block, or (along, across)"""
    sashing: LengthOrZero = 0.0
    cornerstones: bool = False
    outer_sashing: LengthOrZero = 0.0
    border: LengthOrZero = 0.0
    printed_along: Positions | None = None
    """where each block starts and ends, measured from the left finished end, in order"""
    printed_across: Positions | None = None
    """the same from the lower finished edge"""

    @property
    def measured(self) -> bool:
        """True where printed lines were measured instead of counted."""
        return self.printed_along is not None

    @property
    def block_size(self) -> tuple[float, float] | None:
        """Block size along and across, in mm."""
        if isinstance(self.block, tuple):
            return self.block
        return (self.block, self.block) if self.block is not None else None

    @model_validator(mode="after")
    def _not_too_many(self) -> Self:
        if (number := self.along * self.across) > MOST_BLOCKS:
            raise fault(f"{number:,} blocks are more than {MOST_BLOCKS:,}", "give fewer blocks")
        return self

    @model_validator(mode="after")
    def _counted_or_measured(self) -> Self:
        if (self.printed_along is None) != (self.printed_across is None):
            raise fault("printed lines are measured one way only", "give both lists of positions")
        if self.measured and self.block is not None:
            raise fault("block and printed_along are both given", "keep one of them")
        for name in ("printed_along", "printed_across"):
            _check_positions(name, getattr(self, name))
        return self

    @model_validator(mode="after")
    def _sashing_fits(self) -> Self:
        if self.block_size and self.sashing > min(self.block_size):
            raise fault(
                f"the sashing ({both_units(self.sashing)}) is wider than the block"
                f" ({both_units(min(self.block_size))})",
                "common practice is up to a quarter of the block",
            )
        return self


def _check_positions(name: str, positions: tuple[float, ...] | None) -> None:
    if positions is None:
        return
    if len(positions) < 2 or len(positions) % 2:
        raise fault(
            f"{name} has {len(positions)} positions",
            "give two for each block: where it starts, ends",
        )
    if any(later <= earlier for earlier, later in pairwise(positions)):
        raise fault(f"{name} does not rise from one position to the next", "list them in order")
