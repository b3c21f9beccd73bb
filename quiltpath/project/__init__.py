"""The project file: TOML in, one validated model out."""

from quiltpath.project.loading import load, parse
from quiltpath.project.model import Project
from quiltpath.project.patterns import Pattern, PatternBook

__all__ = ["Pattern", "PatternBook", "Project", "load", "parse"]
