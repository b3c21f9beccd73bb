"""The package's version, where every floor can read it."""

from __future__ import annotations

__version__ = "0.2.0"
