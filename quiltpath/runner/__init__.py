"""The runner: from the project's words to named shapes in mm."""

from quiltpath.runner.build import build
from quiltpath.runner.runner import PlacedMotif, Region, RegionKind, Runner, Seam

__all__ = ["PlacedMotif", "Region", "RegionKind", "Runner", "Seam", "build"]
