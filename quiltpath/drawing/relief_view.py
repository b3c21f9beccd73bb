"""What a lit picture is made of: the part shown, the light, the thread, the paint."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.floating[Any]]
Doubles = NDArray[np.float64]
Rgb = NDArray[np.uint8]


class Heights(Protocol):
    """A height field: see ``HeightField`` of the checks."""

    @property
    def height_mm(self) -> Floats:
        """(rows, columns), rows upwards in y."""

    @property
    def cell_mm(self) -> float:
        """Distance of neighbouring nodes."""

    @property
    def origin_mm(self) -> tuple[float, float]:
        """(x, y) of node (0, 0)."""


@dataclass(frozen=True)
class LitView:
    """A rectangle of the cloth's plane in mm, and how many pixels a millimetre gets."""

    low_x: float
    low_y: float
    high_x: float
    high_y: float
    px_per_mm: float

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of the picture."""
        wide, high = self.high_x - self.low_x, self.high_y - self.low_y
        return max(1, round(high * self.px_per_mm)), max(1, round(wide * self.px_per_mm))

    @property
    def width_mm(self) -> float:
        """Size along x."""
        return self.high_x - self.low_x

    @property
    def height_mm(self) -> float:
        """Size along y."""
        return self.high_y - self.low_y

    def to_px(self, points: Doubles) -> Doubles:
        """(n, 2) mm to (n, 2) pixel coordinates (column, row), row 0 at the top."""
        moved = points - np.array([self.low_x, self.high_y])
        return moved * np.array([self.px_per_mm, -self.px_per_mm])

    def centres(self) -> tuple[Floats, Floats]:
        """x (columns,) and y (rows,) of the pixels' centres, in mm."""
        rows, columns = self.shape
        x = self.low_x + (np.arange(columns) + 0.5) / self.px_per_mm
        y = self.high_y - (np.arange(rows) + 0.5) / self.px_per_mm
        return x, y


@dataclass(frozen=True)
class Light:
    """One light: where it comes from and how high it stands.

    ``from_deg``   direction it comes from, counted from x towards y; 135 is the upper left
    ``above_deg``  above the cloth; low light shows relief
    ``sky``        share of the light on flat cloth that comes from everywhere
    """

    from_deg: float = 112.0
    above_deg: float = 24.0
    sky: float = 0.42

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector towards the light in x, y and up."""
        turn, rise = math.radians(self.from_deg), math.radians(self.above_deg)
        flat = math.cos(rise)
        return flat * math.cos(turn), flat * math.sin(turn), math.sin(rise)


@dataclass(frozen=True)
class Thread:
    """Thread as it is sewn: (n, 2) needle points in mm, a row of NaN between runs."""

    points: Doubles
    colour: str = "#3a4a63"
    width_mm: float = 0.4


@dataclass(frozen=True)
class Paint:
    """A shape in one colour; later ones lie on top of earlier ones."""

    shape: BaseGeometry
    colour: str
    opacity: float = 1.0


@dataclass(frozen=True)
class ClothPhoto:
    """A picture of the cloth, straightened, that fills a rectangle in mm; row 0 is at high_y."""

    rgb: Rgb
    low_x: float
    low_y: float
    high_x: float
    high_y: float


@dataclass(frozen=True)
class QuiltedCloth:
    """What lies under the thread: outline, paint, photos of it over the paint, and how it takes up.

    ``take_up``  share that the quilting draws the cloth up: makes the puckers
    ``thick_mm`` of the edge, which throws a shadow on the table
    """

    outline: BaseGeometry
    paint: tuple[Paint, ...]
    photos: tuple[ClothPhoto, ...] = ()
    take_up: float = 0.02
    thick_mm: float = 3.0
    table: str = "#b9b4ab"


@dataclass(frozen=True)
class Surface:
    """The picture before it is lit; arrays of (rows, columns).

    ``albedo``   (rows, columns, 3) linear light that each pixel throws back
    ``slope_x``, ``slope_y``  of the surface at each pixel, y upwards
    ``open``     how much of the sky it sees, 0 to 1
    ``height``   of the cloth in mm, thread included, for shadows
    ``covered``  how far each pixel is cloth and not table, 0 to 1
    ``thick_mm`` of the cloth's edge above the table
    ``gloss``    how much thread, which shines a little, covers it, 0 to 1
    """

    albedo: Floats
    slope_x: Floats
    slope_y: Floats
    open: Floats
    height: Floats
    gloss: Floats
    covered: Floats
    thick_mm: float
    px_per_mm: float


def rgb_of(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0 to 255, of ``#rrggbb``."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
