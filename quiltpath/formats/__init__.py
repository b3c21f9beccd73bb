"""Machine files: stitch formats, and path formats (DXF, G-code, SVG, points).

``write_file(FORMATS["dst"], FileOrder(...))`` is the usual way in: the bytes of a file that was
read back and is what was meant. ``inspect_file(contents, "dst")`` says what a file from anywhere
holds.
"""

from __future__ import annotations

from quiltpath.formats.all_formats import (
    FORMATS,
    DeliveredFile,
    FileFormat,
    formats_named,
    write_file,
)
from quiltpath.formats.comparing import Inspection, Likeness, compare, inspect_file
from quiltpath.formats.path_formats import FileOrder, PathCheck, PathFormat, deliver_paths
from quiltpath.formats.read_back import Verification, deliver, verify
from quiltpath.formats.stitch_formats import CutSign, StitchFormat, find_format
from quiltpath.formats.stitch_writing import part_title, safe_title, write
from quiltpath.formats.thread_paths import ThreadPaths, thread_paths

__all__ = [
    "FORMATS",
    "CutSign",
    "DeliveredFile",
    "FileFormat",
    "FileOrder",
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
    "formats_named",
    "inspect_file",
    "part_title",
    "safe_title",
    "thread_paths",
    "verify",
    "write",
    "write_file",
]
