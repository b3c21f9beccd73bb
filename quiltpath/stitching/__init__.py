"""Stitching: runs to needle points."""

from __future__ import annotations

from quiltpath.stitching.placing import place
from quiltpath.stitching.stitches import PointKind, Stitches

__all__ = ["PointKind", "Stitches", "place"]
