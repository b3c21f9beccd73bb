"""Machine files: stitch formats, and path formats (DXF, G-code, SVG, points).

``deliver(stitches, "dst", title)`` and ``deliver_paths`` are the usual ways in: the bytes and what
reading them back showed. ``inspect_file(contents, "dst")`` says what a file from anywhere holds.
"""

from __future__ import annotations

from quiltpath.formats.all_formats import PATH_FORMATS, PathCheck, PathFormat, deliver_paths
from quiltpath.formats.comparing import Inspection, Likeness, compare, inspect_file
from quiltpath.formats.read_back import Verification, deliver, verify
from quiltpath.formats.stitch_formats import FORMATS, CutSign, StitchFormat, find_format
from quiltpath.formats.stitch_writing import safe_title, write
from quiltpath.formats.thread_paths import ThreadPaths, thread_paths

__all__ = [
    "FORMATS",
    "PATH_FORMATS",
    "CutSign",
    "Inspection",
    "Likeness",
    "PathCheck",
    "PathFormat",
    "StitchFormat",
    "ThreadPaths",
    "Verification",
    "compare",
    "deliver",
    "deliver_paths",
    "find_format",
    "inspect_file",
    "safe_title",
    "thread_paths",
    "verify",
    "write",
]
