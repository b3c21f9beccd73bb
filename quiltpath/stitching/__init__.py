"""Stitching: runs to needle points."""

from quiltpath.stitching.placing import place
from quiltpath.stitching.setting import StitchSetting
from quiltpath.stitching.stitches import PointKind, Stitches

__all__ = ["PointKind", "StitchSetting", "Stitches", "place"]
