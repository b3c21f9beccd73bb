"""The runner as named shapes: outline, blocks, sashing, borders, motifs and seams.

The words that say where a layer goes, such as ``"blocks"`` or ``"B2"``, become shapes here.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from enum import Enum

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.print_warp import PrintWarp
from quiltpath.language import message


class RegionKind(Enum):
    """What a named part of the runner is."""

    BLOCK = message("block")
    SASHING = message("sashing")
    CORNERSTONE = message("cornerstone")
    OUTER_SASHING = message("outer sashing")
    BORDER = message("border")


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
    """A motif where it lies on the runner: filled shape (holes are holes) and drawn outlines.

    ``is_cut`` is true where a trimmed end has taken a part of it; ``passed_over`` names what else
    its drawing holds; ``is_printed`` is true where it is seen on the cloth, so that nobody has to
    mark it; ``strays_mm`` says how far it leaves the drawing, where that had too many points.
    """

    name: str
    place: str
    shape: MultiPolygon
    outlines: tuple[LineString, ...]
    is_cut: bool = False
    passed_over: tuple[str, ...] = ()
    is_printed: bool = False
    strays_mm: float = 0.0


@dataclass(frozen=True)
class Seam:
    """A seam of the top: the panel join or a sewn sashing seam."""

    name: str
    line: LineString
    is_panel_join: bool = False


@dataclass(frozen=True)
class Runner:
    """The runner as it lies flat, in mm: x along its length, y across, y upwards.

    ``outline``      edge of the flat top, which is the finished edge once it is quilted
    ``regions``      blocks, sashing, cornerstones, borders, in reading order
    ``printed``      the printed or sewn sashing lines, as they run on the cloth
    ``motifs``       motifs where they lie
    ``seams``        seams of the top
    ``margin_mm``    wadding beyond the finished edge on which thread may run
    ``print_warp``   how the print lies, where it was measured
    ``even``         the runner as if the print were even, where it was measured
    ``trimmed_mm``   how far each end and each side is trimmed into the printed blocks
    ``shift_mm``     what brings a place that the project names to where it lies flat
    """

    outline: Polygon
    regions: tuple[Region, ...] = ()
    printed: tuple[LineString, ...] = ()
    motifs: tuple[PlacedMotif, ...] = ()
    seams: tuple[Seam, ...] = ()
    margin_mm: float = 0.0
    print_warp: PrintWarp | None = None
    even: Runner | None = None
    shift_mm: tuple[float, float] = (0.0, 0.0)
    trimmed_mm: tuple[float, float] = (0.0, 0.0)

    def __repr__(self) -> str:
        size = f"{self.length_mm:.1f} x {self.width_mm:.1f} mm"
        return f"Runner({size}, {len(self.blocks)} blocks, {len(self.motifs)} motifs)"

    @property
    def length_mm(self) -> float:
        """Size along x of the outline."""
        low, _, high, _ = self.outline.bounds
        return float(high - low)

    @property
    def width_mm(self) -> float:
        """Size along y of the outline."""
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
        return shapely.union_all([region.shape for region in self.of_kind(*kinds)])


KIND_WORDS = {
    "blocks": RegionKind.BLOCK,
    "sashing": RegionKind.SASHING,
    "outer sashing": RegionKind.OUTER_SASHING,
    "border": RegionKind.BORDER,
    "cornerstones": RegionKind.CORNERSTONE,
}


@dataclass(frozen=True)
class Patch:
    """One shape that a layer fills by itself, in mm, with its name."""

    name: str
    shape: BaseGeometry


def patches(runner: Runner, region: str | tuple[str, ...]) -> tuple[Patch, ...]:
    """The shapes that ``region`` names, in the order of the runner; each shape once.

    Raises :class:`InputError` with the nearest names where one is unknown.
    """
    words = (region,) if isinstance(region, str) else region
    found: dict[str, Patch] = {}
    for word in words:
        for patch in _named(runner, word.strip()):
            found.setdefault(patch.name, patch)
    return tuple(found.values())


def area_of(found: tuple[Patch, ...]) -> BaseGeometry:
    """The patches as one shape."""
    if len(found) == 1:
        return found[0].shape
    return shapely.union_all([patch.shape for patch in found])


def _named(runner: Runner, word: str) -> list[Patch]:
    if word == "runner":
        return [Patch(word, runner.outline)]
    if word == "outside motifs":
        motifs = shapely.union_all([motif.shape for motif in runner.motifs])
        return [Patch(word, shapely.difference(runner.outline, motifs))]
    if word in KIND_WORDS:
        return _of_kind(runner, word)
    return _by_name(runner, word)


def _of_kind(runner: Runner, word: str) -> list[Patch]:
    regions = runner.of_kind(KIND_WORDS[word])
    if not regions:
        raise InputError("", "region", f"this runner has no {word}", "add it to [grid]")
    return [Patch(region.name, region.shape) for region in regions]


def _by_name(runner: Runner, word: str) -> list[Patch]:
    """A block, strip or cornerstone by its name, or every motif of a name."""
    named = [Patch(r.name, r.shape) for r in runner.regions if r.name.lower() == word.lower()]
    if named:
        return named
    inside = [
        Patch(f"{motif.name} in {motif.place}", motif.shape)
        for motif in runner.motifs
        if word in ("motifs", motif.name)
    ]
    if not inside:
        raise _unknown(runner, word)
    return inside


def _unknown(runner: Runner, word: str) -> InputError:
    names = [region.name for region in runner.regions]
    names += ["runner", "outside motifs", "motifs", *KIND_WORDS]
    names += sorted({motif.name for motif in runner.motifs})
    return InputError("", "region", f"there is no region {word!r}", near_names(word, names))


def near_names(word: str, names: list[str]) -> str:
    """A remedy that offers the names that come nearest."""
    by_lower = {name.lower(): name for name in reversed(names)}
    close = difflib.get_close_matches(word.lower(), list(by_lower), n=3, cutoff=0.5)
    if close:
        return f"did you mean {' or '.join(by_lower[name] for name in close)}?"
    return f"use one of {', '.join(names[:8])}"
