"""The runner: from the project's words to named shapes in mm."""

from __future__ import annotations

from quiltpath.runner.build import build

__all__ = ["build"]
