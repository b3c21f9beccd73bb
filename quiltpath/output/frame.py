"""Where a group lies on its page: the arithmetic that all three sinks share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.drawing import Group

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Frame:
    """A group's coordinates to page coordinates in mm: ``page = factor * point + shift``.

    A negative ``factor_x`` mirrors left to right. There is no rotation in the drawing model.
    """

    factor_x: float = 1.0
    factor_y: float = 1.0
    shift_x: float = 0.0
    shift_y: float = 0.0

    def inside(self, group: Group) -> Frame:
        """The frame of what ``group`` holds."""
        across = group.scale * group.stretch[0] * (-1.0 if group.mirrored else 1.0)
        up = group.scale * group.stretch[1]
        return Frame(
            self.factor_x * across,
            self.factor_y * up,
            self.factor_x * group.shift_mm[0] + self.shift_x,
            self.factor_y * group.shift_mm[1] + self.shift_y,
        )

    @property
    def scale(self) -> float:
        """How much line widths and text grow."""
        return (abs(self.factor_x) * abs(self.factor_y)) ** 0.5

    @property
    def mirrored(self) -> bool:
        """True where left and right are swapped."""
        return self.factor_x < 0

    def points(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """(n, 2) points on the page, in mm."""
        return points * (self.factor_x, self.factor_y) + (self.shift_x, self.shift_y)

    def point(self, at: tuple[float, float]) -> tuple[float, float]:
        """One point on the page, in mm."""
        return self.factor_x * at[0] + self.shift_x, self.factor_y * at[1] + self.shift_y

    def box(self, box: Box) -> Box:
        """A box on the page, lower left corner first."""
        (x0, y0), (x1, y1) = self.point(box[:2]), self.point(box[2:])
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
