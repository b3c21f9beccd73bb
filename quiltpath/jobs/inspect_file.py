"""``inspect``: what a stitch file from anywhere holds, in words."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from quiltpath.documents.instructions.placement import (
    _RIGHT,
    EDGE,
    HEIGHT,
    WIDTH,
    _heading,
    _marked_ends,
    _Sheet,
)
from quiltpath.drawing import png, svg
from quiltpath.drawing.page_model import BLUE, Drawing, Group, Page, Polylines, Style, Text
from quiltpath.errors import InputError
from quiltpath.files import read_bounded
from quiltpath.formats import Inspection, inspect_file
from quiltpath.formats.comparing import against
from quiltpath.jobs.machine_files import WHOLE
from quiltpath.jobs.summary import table
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.stitching import Stitches

MAX_STITCH_FILE_BYTES = 20_000_000
"""About six million stitches, far above any runner; more would fill the memory."""


def inspect_path(
    path: Path, project: Path | None = None, picture: Path | None = None
) -> tuple[str, bool]:
    """The facts of the stitch file at ``path`` as a table, and false where it is not ``project``'s.

    With ``picture`` it is drawn into that file, which must not exist yet.
    Raises :class:`InputError`.
    """
    facts = inspect_file(_content(path), path.suffix, path.name)
    parts = [path.name, table(_rows(facts))]
    same = True
    if project is not None:
        found = against(facts.path, facts.extension, _candidates(project))
        same = found.same
        parts.append(f"  {found.text}")
    if picture is not None:
        _draw(facts, path.name, picture)
        parts.append(f"  drawn in {picture}")
    return "\n".join(parts), same


def _content(path: Path) -> bytes:
    try:
        contents = read_bounded(path, MAX_STITCH_FILE_BYTES)
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if contents is None:
        raise InputError(path.name, "", "is larger than 20 MB", "give a stitch file")
    return contents


def _candidates(project: Path) -> list[tuple[str, Stitches]]:
    """The project's own designs by name: the whole, and the parts for its machine."""
    result = compute(load(project))
    machine = result.machine_parts
    whole = [(WHOLE, result.stitches)]
    parts = machine.parts if machine else ()
    return [*whole, *((part.name, part.machine_stitches) for part in parts)]


def _draw(facts: Inspection, name: str, picture: Path) -> None:
    drawing = file_picture(facts, name)
    suffix = picture.suffix.lower()
    if suffix not in (".svg", ".png"):
        raise InputError(picture.name, "", "is neither .svg nor .png", "give one of them")
    content = svg.render(drawing) if suffix == ".svg" else png.render(drawing.pages[0], 4.0)
    try:
        with picture.open("xb") as stream:
            stream.write(content)
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(picture.name, "", reason, "name a new file") from None


def _rows(facts: Inspection) -> list[tuple[str, str]]:
    wide_in, high_in = facts.size_in
    shortest, median, longest = facts.stitch_mm
    return [
        (
            "size",
            f"{facts.width_mm:.1f} x {facts.height_mm:.1f} mm ({wide_in:.2f} x {high_in:.2f} in)",
        ),
        ("stitches", f"{facts.stitches:,}, {facts.sewn_mm / 1000:.1f} m sewn"),
        ("stitch length", f"{shortest:.2f} to {longest:.2f} mm, median {median:.2f} mm"),
        ("jumps", str(facts.jumps)),
        ("trims", str(facts.trims)),
        ("colour changes", str(facts.colour_changes)),
        ("stops", str(facts.stops)),
        ("starts at", f"{facts.start_mm[0]:.1f}, {facts.start_mm[1]:.1f} mm"),
        ("ends at", f"{facts.end_mm[0]:.1f}, {facts.end_mm[1]:.1f} mm"),
    ]


def file_picture(facts: Inspection, name: str) -> Drawing:
    """A page that shows what a stitch file sews, as it lies in the file, with start and end."""
    left, low, right, high = facts.path.bounds
    room = max(right - left, high - low, 1.0) * 0.02
    sheet = _Sheet(
        (left - room, low - room, right + room, high + room), (EDGE, 24.0, _RIGHT, HEIGHT - 28.0)
    )
    starts = np.append(np.flatnonzero(facts.path.moved), len(facts.path)).astype(np.intp)
    sewn = Polylines(sheet(facts.path.holes), starts, Style(BLUE, 0.3))
    wide_in, high_in = facts.size_in
    size = (
        f"{facts.width_mm:.1f} x {facts.height_mm:.1f} mm ({wide_in:.2f} x {high_in:.2f} in),"
        f" {facts.stitches} stitches"
    )
    groups = (
        Group("stitches", (sewn,)),
        Group("ends", tuple(_marked_ends(sheet.at(*facts.start_mm), sheet.at(*facts.end_mm)))),
        Group("words", (_heading(name), Text((EDGE, EDGE), size, 4.0))),
    )
    return Drawing(name, (Page(WIDTH, HEIGHT, groups, title=name),))
