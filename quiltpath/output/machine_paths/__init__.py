"""Path files for frames and gantries: DXF, G-code, SVG and points, each read back."""

from quiltpath.output.machine_paths.formats import (
    PATH_FORMATS,
    PathCheck,
    PathFormat,
    deliver_paths,
)
from quiltpath.output.machine_paths.polylines import ThreadPaths, thread_paths

__all__ = [
    "PATH_FORMATS",
    "PathCheck",
    "PathFormat",
    "ThreadPaths",
    "deliver_paths",
    "thread_paths",
]
