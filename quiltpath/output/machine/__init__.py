"""Machine files: written through the embroidery library, read back, compared, inspected.

``deliver(stitches, "dst", title)`` is the usual way in: the bytes and what reading them back
showed. ``inspect_file(contents, "dst")`` tells what a file from anywhere holds.
"""

from __future__ import annotations

from quiltpath.output.machine.formats import FORMATS, CutSign, StitchFormat, find_format
from quiltpath.output.machine.inspection import Inspection, inspect_file
from quiltpath.output.machine.likeness import Likeness, compare
from quiltpath.output.machine.needle_path import NeedlePath, needle_path
from quiltpath.output.machine.verification import Verification, deliver, verify
from quiltpath.output.machine.writing import safe_title, write

__all__ = [
    "FORMATS",
    "CutSign",
    "Inspection",
    "Likeness",
    "NeedlePath",
    "StitchFormat",
    "Verification",
    "compare",
    "deliver",
    "find_format",
    "inspect_file",
    "needle_path",
    "safe_title",
    "verify",
    "write",
]
