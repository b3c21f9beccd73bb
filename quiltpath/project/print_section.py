"""[print]: how the print or the piecing really lies, measured on the cloth."""

from typing import Self

from pydantic import model_validator

from quiltpath.project.fields import Length, Position, Section, fault

Point = tuple[Position, Position]


class PrintSection(Section):
    """Either a few measures of the whole, or the places where the printed lines cross.

    Printed panels are seldom exactly square. With this table quilting lines follow the print.
    """

    lengths: tuple[Length, Length, Length] | None = None
    """of the print: along the lower edge, through the middle, along the upper edge"""
    widths: tuple[Length, Length, Length] | None = None
    """at the left end, in the middle, at the right end"""
    diagonals: tuple[Length, Length] | None = None
    """from lower left to upper right, and from upper left to lower right"""
    bow: Position = 0.0
    """how far the middle of the crosswise lines lies to the right of their ends"""
    bow_lengthwise: Position = 0.0
    """how far the middle of the lengthwise lines lies above their ends"""
    points: tuple[tuple[Point, ...], ...] | None = None
    """where the printed lines cross: a row for each lengthwise line, from the lowest up, from left
    to right, measured from the lower left corner of the finished rectangle"""

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
