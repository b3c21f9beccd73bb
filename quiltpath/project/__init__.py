"""The project file: TOML in, one validated model out."""

from __future__ import annotations

from quiltpath.project.loading import load, parse
from quiltpath.project.project_file import Project

__all__ = ["Project", "load", "parse"]
