"""The runner itself: outline, blocks, sashing, borders, motifs and seams as named shapes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.runner.print_warp import PrintWarp


class RegionKind(Enum):
    """What a named part of the runner is."""

    BLOCK = "block"
    SASHING = "sashing"
    CORNERSTONE = "cornerstone"
    OUTER_SASHING = "outer sashing"
    BORDER = "border"


@dataclass(frozen=True)
class Region:
    """A named part of the runner; ``shape`` in mm.

    Blocks are named by a letter along the runner and a number across it: ``"B2"``.
    """

    name: str
    kind: RegionKind
    shape: Polygon


@dataclass(frozen=True)
class PlacedMotif:
    """A motif where it lies on the runner: filled shape (holes are holes) and drawn outlines."""

    name: str
    place: str
    shape: MultiPolygon
    outlines: tuple[LineString, ...]


@dataclass(frozen=True)
class Seam:
    """A seam of the top: the panel join or a sewn sashing seam."""

    name: str
    line: LineString
    is_panel_join: bool = False


@dataclass(frozen=True)
class Runner:
    """The runner as it lies finished, in mm: x along its length, y across, y upwards.

    ``outline``      finished edge
    ``regions``      blocks, sashing, cornerstones, borders, in reading order
    ``printed``      the printed or sewn sashing lines, as they run on the cloth
    ``motifs``       motifs where they lie
    ``seams``        seams of the top
    ``margin_mm``    wadding beyond the finished edge on which thread may run
    ``print_warp``   how the print lies, where it was measured
    ``even``         the runner as if the print were even, where it was measured
    """

    outline: Polygon
    regions: tuple[Region, ...] = ()
    printed: tuple[LineString, ...] = ()
    motifs: tuple[PlacedMotif, ...] = ()
    seams: tuple[Seam, ...] = ()
    margin_mm: float = 0.0
    print_warp: PrintWarp | None = None
    even: Runner | None = None

    @property
    def length_mm(self) -> float:
        """Size along x of the finished outline."""
        low, _, high, _ = self.outline.bounds
        return float(high - low)

    @property
    def width_mm(self) -> float:
        """Size along y of the finished outline."""
        _, low, _, high = self.outline.bounds
        return float(high - low)

    def of_kind(self, *kinds: RegionKind) -> tuple[Region, ...]:
        """Regions of the given kinds."""
        return tuple(region for region in self.regions if region.kind in kinds)

    @property
    def blocks(self) -> tuple[Region, ...]:
        """The blocks, in reading order."""
        return self.of_kind(RegionKind.BLOCK)

    def shape_of(self, *kinds: RegionKind) -> BaseGeometry:
        """Union of the regions of the given kinds."""
        import shapely

        return shapely.union_all([region.shape for region in self.of_kind(*kinds)])
