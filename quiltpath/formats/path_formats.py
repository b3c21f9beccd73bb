"""Files of polylines for machines that place their own stitches: one row for each format."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from quiltpath.errors import FormatLimitError, VerificationError
from quiltpath.formats.dxf import SEWING, read_dxf, write_dxf
from quiltpath.formats.gcode import Feeds, read_gcode, write_gcode
from quiltpath.formats.plain_paths import read_points, read_svg, write_points, write_svg
from quiltpath.formats.stitch_writing import safe_title
from quiltpath.formats.thread_paths import ThreadPaths, thread_paths, worst_difference
from quiltpath.geometry.arrays import Floats, Points
from quiltpath.machine import MachineProfile
from quiltpath.machine.loads import Load, traced_rings
from quiltpath.stitching import Stitches

ROUNDING_MM = 0.001
"""Text keeps thousandths of a millimetre."""


@dataclass(frozen=True)
class FileOrder:
    """What a file for a machine is to hold.

    ``profile``       the machine: its speed, its words for the needle, its longest jump
    ``tolerance_mm``  how far a path may stray from the needle points
    ``load``          what it shares its zero with; without one a path file counts from the lower
                      left corner of what is sewn, a stitch file from its middle
    ``secure``        path files keep tiny securing stitches
    ``sews``          false for a trace, for which no needle is ever put down
    ``usual_stitch_mm``  of the sewing that a trace goes before
    """

    stitches: Stitches
    title: str
    profile: MachineProfile
    longest_jump_mm: float = math.inf
    tolerance_mm: float = 0.05
    load: Load | None = None
    secure: bool = False
    sews: bool = True
    usual_stitch_mm: float | None = None


@dataclass(frozen=True)
class PathRequest:
    """What a path file is made from: ``layers`` has the role of each line, ``marks`` what a trace
    shows beside them."""

    paths: ThreadPaths
    layers: tuple[str, ...]
    feeds: Feeds
    profile: MachineProfile
    title: str
    sews: bool
    marks: tuple[Floats, ...] = ()


@dataclass(frozen=True)
class PathFormat:
    """A format of polylines: how its files are called, written, read back, and who reads it.

    ``has_feeds`` is true where it says how fast to move, ``on_page`` where its lines lie on a page
    of their own, whose lower left corner is always its zero.
    """

    name: str
    ending: str
    read_by: str
    write: Callable[[PathRequest], bytes]
    read: Callable[[bytes], list[Points]]
    has_feeds: bool = False
    on_page: bool = False


PATH_FORMATS = (
    PathFormat(
        "dxf", ".dxf", "frames, gantries, drawing programs",
        lambda r: write_dxf(r.paths.lines, r.layers, *r.marks), read_dxf,
    ),
    PathFormat(
        "gcode", ".gcode", "gantries",
        lambda r: write_gcode(
            r.paths.lines, r.paths.tiny, r.feeds, r.profile.gcode, r.title, sews=r.sews
        ),
        read_gcode, has_feeds=True,
    ),
    PathFormat(
        "svg", ".svg", "frames, gantries, cutters",
        lambda r: write_svg(r.paths.lines, r.paths.size, r.title), read_svg, on_page=True,
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
    ``secured_ends``  thread ends at which tiny moves of ``tiny_mm`` lock the thread, at a feed of
    ``tiny_feed`` mm a minute where the format has feeds
    """

    worst_mm: float
    deviation_mm: float
    runs: int
    points: int
    faults: tuple[str, ...]
    secured_ends: int = 0
    tiny_mm: float = 0.0
    tiny_feed: float = 0.0

    @property
    def verified(self) -> bool:
        """True where nothing differs."""
        return not self.faults


TRACE_SHARE = 0.5
"""Feed of a trace over that of sewing: slow enough to be watched."""


def deliver_paths(form: PathFormat, order: FileOrder) -> tuple[bytes, PathCheck]:
    """A path file, read back and compared.

    Raises ``FormatLimitError`` where nothing is sewn, ``VerificationError`` where the file does not
    read back as meant.
    """
    stitches, tolerance_mm = order.stitches, order.tolerance_mm
    if not (stitches.stretch >= 0).any():
        raise FormatLimitError(f"{form.name.upper()}: there is nothing to sew")
    load, speed = load_in(form, order.load), order.profile.speed
    paths = thread_paths(stitches, tolerance_mm, load, secure=order.secure, halts=form.has_feeds)
    usual = order.usual_stitch_mm or float(np.median(stitches.step_mm[stitches.is_stitch]))
    feeds = Feeds(usual * speed * (1.0 if order.sews else TRACE_SHARE), paths.tiny_mm * speed)
    layers, marks = _roles(paths, None if order.sews else load)
    title = safe_title(order.title)
    request = PathRequest(paths, layers, feeds, order.profile, title, order.sews, marks)
    contents = form.write(request)
    verdict = check_paths(contents, form, paths, tolerance_mm)
    if not verdict.verified:
        raise VerificationError(f"{form.name.upper()}: {'; '.join(verdict.faults)}")
    return contents, replace(verdict, tiny_feed=feeds.tiny)


def load_in(form: PathFormat, load: Load | None) -> Load | None:
    """What a file of that format shares its zero with."""
    return replace(load, corner=(0, 0)) if load is not None and form.on_page else load


def _roles(paths: ThreadPaths, traced: Load | None) -> tuple[tuple[str, ...], tuple[Floats, ...]]:
    """The role of each line, and what a trace shows of crosses and cuts."""
    if traced is None:
        return (SEWING,) * len(paths.lines), ()
    layers = tuple(role for role, _ in traced_rings(traced))
    return layers, (traced.crosses - traced.zero_mm, traced.cuts - traced.zero_mm)


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
        worst,
        paths.deviation_mm,
        len(read),
        sum(len(line) for line in read),
        tuple(faults),
        paths.secured_ends,
        paths.tiny_mm,
    )
