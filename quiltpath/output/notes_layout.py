"""How the sheet of notes is laid out: plain text that fits a printed page."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

WIDTH = 88


def wrapped(text: str, indent: str = "  ") -> str:
    """A paragraph, its further lines set in a little more."""
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def bulleted(lines: Sequence[str]) -> list[str]:
    """One point a line."""
    return [wrapped(f"- {line}") for line in lines]
