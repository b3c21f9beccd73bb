"""Files of polylines for machines that place their own stitches: one row for each format."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.errors import FormatRefused, VerificationFailed
from quiltpath.formats.dxf import read_dxf, write_dxf
from quiltpath.formats.gcode import read_gcode, write_gcode
from quiltpath.formats.plain_paths import read_points, read_svg, write_points, write_svg
from quiltpath.formats.stitch_writing import safe_title
from quiltpath.formats.thread_paths import ThreadPaths, thread_paths, worst_difference
from quiltpath.geometry.arrays import Points
from quiltpath.machine import MachineProfile
from quiltpath.stitching import Stitches

ROUNDING_MM = 0.001
"""Text keeps thousandths of a millimetre."""


@dataclass(frozen=True)
class PathRequest:
    """What a path file is made from."""

    paths: ThreadPaths
    layers: tuple[str, ...]
    feed_mm_per_min: float
    profile: MachineProfile
    title: str
    sews: bool


@dataclass(frozen=True)
class PathFormat:
    """A format of polylines: how its files are called, written, read back, and who reads it."""

    name: str
    ending: str
    read_by: str
    write: Callable[[PathRequest], bytes]
    read: Callable[[bytes], list[Points]]


PATH_FORMATS = (
    PathFormat(
        "dxf", ".dxf", "frames, gantries, drawing programs",
        lambda r: write_dxf(r.paths.lines, r.layers), read_dxf,
    ),
    PathFormat(
        "gcode", ".gcode", "gantries",
        lambda r: write_gcode(
            r.paths.lines, r.feed_mm_per_min, r.profile.gcode, r.title, sews=r.sews
        ),
        read_gcode,
    ),
    PathFormat(
        "svg", ".svg", "frames, gantries, cutters",
        lambda r: write_svg(r.paths.lines, r.paths.size, r.title), read_svg,
    ),
    PathFormat(
        "points", "-points.csv", "spreadsheets, other programs",
        lambda r: write_points(r.paths.lines), read_points,
    ),
)  # fmt: skip


@dataclass(frozen=True)
class PathCheck:
    """What reading a path file back showed, lengths in mm.

    ``worst_mm``      largest distance between a point read and the point meant
    ``deviation_mm``  largest distance of a needle hole from its polyline
    ``runs`` and ``points`` are counts
    """

    worst_mm: float
    deviation_mm: float
    runs: int
    points: int
    faults: tuple[str, ...]

    @property
    def verified(self) -> bool:
        """True where nothing differs."""
        return not self.faults


def deliver_paths(
    stitches: Stitches,
    form: PathFormat,
    profile: MachineProfile,
    title: str,
    *,
    tolerance_mm: float = 0.05,
    kinds: Sequence[str] = (),
    sews: bool = True,
) -> tuple[bytes, PathCheck]:
    """A path file, read back and compared.

    ``kinds`` gives the layer of each quilting line; without it all are on ``quilting``. With
    ``sews`` false the file is a trace, for which no needle is ever put down.
    Raises ``FormatRefused`` where nothing is sewn, ``VerificationFailed`` where the file does not
    read back as meant.
    """
    if not (stitches.stretch >= 0).any():
        raise FormatRefused(f"{form.name.upper()}: there is nothing to sew")
    paths = thread_paths(stitches, tolerance_mm)
    layers = tuple(kinds[line] if 0 <= line < len(kinds) else "quilting" for line in paths.line)
    steps = stitches.step_mm[stitches.is_stitch]
    feed = float(np.median(steps)) * profile.speed
    contents = form.write(PathRequest(paths, layers, feed, profile, safe_title(title), sews))
    verdict = check_paths(contents, form, paths, tolerance_mm)
    if not verdict.verified:
        raise VerificationFailed(f"{form.name.upper()}: {'; '.join(verdict.faults)}")
    return contents, verdict


def check_paths(
    contents: bytes, form: PathFormat, paths: ThreadPaths, tolerance_mm: float
) -> PathCheck:
    """Read ``contents`` back and compare with the polylines meant, and those with the holes."""
    try:
        read = form.read(contents)
    except (ValueError, LookupError, OSError) as unreadable:
        return PathCheck(float("inf"), paths.deviation_mm, 0, 0, (str(unreadable),))
    worst = worst_difference(read, paths.lines)
    faults = []
    if worst > ROUNDING_MM:
        faults.append("the lines come back otherwise than they were meant")
    if paths.deviation_mm > tolerance_mm + 1e-9:
        faults.append(f"a needle hole lies {paths.deviation_mm:.3f} mm off its line")
    return PathCheck(
        worst, paths.deviation_mm, len(read), sum(len(line) for line in read), tuple(faults)
    )
