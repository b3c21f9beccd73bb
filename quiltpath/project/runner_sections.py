"""The cloth before any quilting: [runner] and [grid] as it is to be finished, [[motif]], [print].

A motif is a shape that is printed or sewn on, drawn or traced. [print] says how the print or the
piecing really lies, measured on the cloth. Where [runner] gives no size it follows from the table.
A length is in mm once it is read, whatever unit it was written in.
"""

from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, field_validator, model_validator

from quiltpath.geometry.named_outlines import OUTLINES, NamedOutline
from quiltpath.schema import (
    FileForm,
    Length,
    LengthOrZero,
    Position,
    Section,
    fault,
    two_lengths,
)
from quiltpath.units import MM_PER_INCH, UNITS_OF_PAPERS, both_units, parse_length

Point = tuple[Position, Position]


def _known_shape(word: str) -> str:
    if word not in OUTLINES:
        raise fault(f"there is no shape {word!r}", f"use {', '.join(OUTLINES)}")
    return word


Shape = Annotated[
    str,
    AfterValidator(_known_shape),
    FileForm("the name of a shape", "shapes", '"pointed"', tuple(OUTLINES)),
]
"""The name of an outline."""


class RunnerSection(Section):
    """Finished size, as length and width, as a list of points, or as a drawn outline."""

    shape: Shape = "rectangle"
    """what the outline is; pointed, clipped, rounded and scalloped have measures of their own"""
    length: Length | None = None
    """finished; left out, the table's length and twice the drop"""
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
    """the corners in order, from the lower left, in place of length and width"""
    outline_svg: str | None = None
    """an SVG file with the outline drawn true to size, beside this file"""
    size_is: Literal["washed", "quilted", "flat"] = "washed"
    """when it has that size: once it is washed, once it is quilted and bound, or the top as it lies
    flat before quilting; all measures of the cloth (panels, print, blocks and sashing, motifs,
    spacing of lines) are flat"""
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
        if OUTLINES[self.shape].one_size:
            if self.width not in (None, self.length):
                raise fault(f"a {self.shape} centre is as wide as long", "leave width out")
        elif self.width is None:
            raise fault("width is missing", "give length and width, outline, or outline_svg")

    @model_validator(mode="after")
    def _measures_fit_the_shape(self) -> Self:
        own = OUTLINES[self.shape].measures
        for outline in OUTLINES.values():
            for measure in outline.measures:
                if measure not in own and getattr(self, measure) is not None:
                    raise fault(
                        f"{measure} is no measure of a {self.shape} runner",
                        f'write shape = "{outline.word}", or take it out',
                    )
        return self


def check_measures(outlines: Iterable[NamedOutline]) -> None:
    """Raises ``TypeError`` where an outline has a measure for which ``[runner]`` has no key."""
    for outline in outlines:
        for measure in outline.measures:
            if measure not in RunnerSection.model_fields:
                raise TypeError(f"outline {outline.word!r}: [runner] has no key {measure!r}")


check_measures(OUTLINES.values())


Positions = Annotated[tuple[Position, ...], Field(max_length=90)]
"""Where the printed lines of up to 45 blocks lie."""

Listed = Annotated[tuple[Length, ...], Field(min_length=1, max_length=90)]
"""Lengths of blocks that are not all equal."""

MOST_BLOCKS = 2_000
"""No runner has so many, and each is a region with lines of its own."""


class GridSection(Section):
    """Blocks and sashing: either counts and sizes, or measured positions of the printed lines."""

    along: int = Field(default=1, ge=1, le=500)
    """blocks along the runner"""
    across: int = Field(default=1, ge=1, le=500)
    """blocks across it"""
    block: Annotated[Length | tuple[Length, Length] | None, BeforeValidator(two_lengths)] = None
    """mm, side of a square block, or (along, across); left out, what the runner leaves for each"""
    blocks_along: Listed | None = None
    """lengths of the blocks in order, in place of block; repeated until there are ``along``"""
    blocks_across: Listed | None = None
    """their widths in order, from the lower edge up, in place of block"""
    sashing: LengthOrZero = 0.0
    """mm of finished width between blocks; 0 where they meet"""
    cornerstones: bool = False
    """squares of their own where sashing crosses"""
    outer_sashing: LengthOrZero = 0.0
    """mm of finished width round all blocks"""
    border: LengthOrZero = 0.0
    """mm of finished width round all of that"""
    printed_along: Positions | None = None
    """mm where each block starts and ends, measured from the left end of the flat top, in order"""
    printed_across: Positions | None = None
    """mm, the same from its lower edge"""

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
        self._listed_alone()
        for name in ("printed_along", "printed_across"):
            _check_positions(name, getattr(self, name))
        return self

    def _listed_alone(self) -> None:
        """Lengths of blocks stand in place of one length and of positions, along or across."""
        for axis in ("along", "across"):
            listed = getattr(self, f"blocks_{axis}")
            if listed is None:
                continue
            if self.measured:
                raise fault(f"blocks_{axis} and printed_{axis} are both given", "keep one of them")
            if self.block is not None and self.blocks_along and self.blocks_across:
                raise fault("block and lists of blocks are both given", "keep one of them")
            count = getattr(self, axis)
            if axis in self.model_fields_set and count % len(listed):
                raise fault(
                    f"{count} blocks {axis} are no whole number of times the {len(listed)} listed",
                    f"leave {axis} out, or give a multiple of {len(listed)}",
                )

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


class MotifSection(Section):
    """A shape from an SVG file, or traced point by point, and where it goes."""

    name: str = Field(min_length=1, max_length=60)
    """what it is called"""
    file: str | None = None
    """the SVG file, beside the project file"""
    outline: tuple[Point, ...] | None = None
    """the corners of a traced shape in order, as large as it lies on the cloth, in place of file"""
    size: Length | None = None
    """mm of its larger side on the cloth; a traced shape is as large as it was traced without it"""
    blocks: Literal["all"] | tuple[str, ...] | None = None
    """the blocks that hold it, by name"""
    offset: Point = (0.0, 0.0)
    """mm that it lies from the middle of each of its blocks, along and across"""
    at: Annotated[
        tuple[Point, ...],
        FileForm("a point, or a list of points", "points", '["10 in", "7 in"]', types=("array",)),
    ] = ()
    """centres in mm, from the lower left corner of the runner's rectangle; on the larger flat top
    they keep their distance from its middle"""
    rotate: float = Field(default=0.0, ge=-360, le=360)
    """degrees, anticlockwise"""
    printed: bool = False
    """true where it is printed on the cloth: its outline is followed and needs no template"""
    read_as: Literal["shapes", "lines", "strokes"] | None = None
    """how its drawing is meant: shapes with their edges; lines to sew; or strokes, as wide as they
    are drawn and sewn round. By itself shapes, and lines where nothing in it is closed or filled"""

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
        if self.file is None and self.read_as is not None:
            raise fault("read_as is for a drawing", "give file, or leave read_as out")
        if self.file is not None and self.size is None:
            raise fault("size is missing", 'give its larger side on the cloth, as "6 in"')
        if self.outline is not None and len(self.outline) < 3:
            raise fault("an outline needs three points or more", "list its corners in order")
        return self


class PrintSection(Section):
    """Either a few measures of the whole, or the places where the printed lines cross.

    Printed panels are seldom exactly square. With this table quilting lines follow the print.
    """

    lengths: tuple[Length, Length, Length] | None = None
    """mm of the print: along the lower edge, through the middle, along the upper edge"""
    widths: tuple[Length, Length, Length] | None = None
    """mm at the left end, in the middle, at the right end"""
    diagonals: tuple[Length, Length] | None = None
    """mm from lower left to upper right, and from upper left to lower right"""
    bow: Position = 0.0
    """mm that the middle of the crosswise lines lies to the right of their ends"""
    bow_lengthwise: Position = 0.0
    """mm that the middle of the lengthwise lines lies above their ends"""
    points: tuple[tuple[Point, ...], ...] | None = None
    """where the printed lines cross: a row for each lengthwise line, from the lowest up, from left
    to right, measured from the lower left corner of the flat top"""

    @model_validator(mode="after")
    def _measures_or_points(self) -> Self:
        measures = [self.lengths, self.widths, self.diagonals, self.bow or None]
        measures.append(self.bow_lengthwise or None)
        given = [value for value in measures if value is not None]
        if self.points is not None and given:
            raise fault("points and other measures are both given", "keep one of them")
        if self.points is None and not given:
            raise fault("nothing is measured", "give lengths, widths, diagonals, bow or points")
        self._check_points()
        return self

    def _check_points(self) -> None:
        if self.points is None:
            return
        counts = {len(row) for row in self.points}
        if len(counts) != 1 or len(self.points) < 2 or min(counts) < 2:
            raise fault(
                "the rows of points are not all of one length, two or more",
                "give as many points in each row as there are crosswise lines",
            )


DROP_MM, METRIC_DROP_MM = 8 * MM_PER_INCH, 200.0


def _has_a_size_of_its_own(runner: Mapping[str, Any]) -> bool:
    """True for a drawn outline, and for a round or square centre, which no table's length fits."""
    drawn = "outline" in runner or "outline_svg" in runner
    named = OUTLINES.get(str(runner.get("shape")))
    return drawn or (named is not None and named.one_size)


def _is_metric(content: Mapping[str, Any], own: str | None) -> bool:
    """Whether papers are metric: as asked for, or else by the unit of the file."""
    told = content.get("instructions")
    asked = told.get("units") if isinstance(told, Mapping) else None
    return (asked or UNITS_OF_PAPERS.get(own)) == "metric"


def size_from_table(content: Any, units: str | None) -> Any:
    """The file's tables with the runner's length and width filled in from ``[table]``.

    Length = table length + 2 x drop; width = a third of the table's. What the file says itself
    stays; lengths that cannot be read are left for the model to complain of.
    """
    if not isinstance(content, Mapping) or not isinstance(content.get("table"), Mapping):
        return content
    table, runner = content["table"], content.get("runner", {})
    if not isinstance(runner, Mapping) or _has_a_size_of_its_own(runner):
        return content
    try:
        length = parse_length(table["length"], units)
        width = parse_length(table["width"], units)
        usual = METRIC_DROP_MM if _is_metric(content, units) else DROP_MM
        drop = parse_length(table["drop"], units) if "drop" in table else usual
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError):
        return content
    found = {"length": f"{length + 2 * drop:.6f} mm", "width": f"{width / 3:.6f} mm"}
    return {**content, "runner": {**found, **runner}}
