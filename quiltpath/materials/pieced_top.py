"""A pieced top: what is cut for its blocks, sashing and cornerstones, and how many of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from quiltpath.materials.piecing import CutPiece
from quiltpath.runner.runner import Region, RegionKind


@dataclass(frozen=True)
class CutCount:
    """So many equal pieces of one kind; cut size in mm, seam allowances included."""

    kind: RegionKind
    count: int
    along_mm: float
    across_mm: float

    def pieces(self) -> Iterator[CutPiece]:
        """Each piece, the longer side along the cloth."""
        long, short = max(self.along_mm, self.across_mm), min(self.along_mm, self.across_mm)
        for _ in range(self.count):
            yield CutPiece(self.kind.value, long, short)


def cut_mm(finished_mm: float, seam_mm: float) -> float:
    """Cut size of a pieced part: a seam allowance on each side (1/4 in seams take 1/2 in)."""
    return finished_mm + 2 * seam_mm


def pieced_cuts(regions: tuple[Region, ...], seam_mm: float) -> tuple[CutCount, ...]:
    """What to cut for the regions of a runner, equal pieces counted together, to 0.1 mm."""
    counts: Counter[tuple[str, float, float]] = Counter()
    for region in regions:
        low_x, low_y, high_x, high_y = region.shape.bounds
        size = cut_mm(high_x - low_x, seam_mm), cut_mm(high_y - low_y, seam_mm)
        counts[(region.kind.value, round(size[0], 1), round(size[1], 1))] += 1
    return tuple(
        CutCount(RegionKind(kind), count, along, across)
        for (kind, along, across), count in counts.items()
    )


def grid_counts(rows: int, columns: int) -> Mapping[str, int]:
    """Sashing strips and cornerstones of a grid with sashing all round.

    Cornerstones (n + 1)(m + 1), strips (n + 1) m + (m + 1) n ("Quilt math", susanintexas, 2009).
    """
    return {
        "cornerstones": (rows + 1) * (columns + 1),
        "strips": (rows + 1) * columns + (columns + 1) * rows,
    }
