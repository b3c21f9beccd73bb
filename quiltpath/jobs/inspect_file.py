"""``inspect``: what a stitch or path file from anywhere holds, and whether it is a project's.

Set beside a project, a file is compared with all that the project writes: the whole or its parts,
their traces, and what is left from each checkpoint. What is nearest is named, with what is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice
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
from quiltpath.formats import (
    FORMATS,
    FileFormat,
    FileOrder,
    Inspection,
    PathFormat,
    StitchFormat,
    inspect_file,
    thread_paths,
)
from quiltpath.formats.comparing import inspect_path
from quiltpath.formats.figures import Figure, ending_of, is_path_file, path_of_lines, read_figure
from quiltpath.formats.first_difference import NOTHING_ALIKE, difference
from quiltpath.formats.path_formats import load_in
from quiltpath.jobs.machine_files import TRACE, WHOLE, part_orders, request_of, whole_order
from quiltpath.jobs.summary import table
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.stitching.checkpoints import checkpoints, stitches_left
from quiltpath.stitching.needle_path import needle_path

_UNIT_MM = 0.1
"""Grid of stitch formats that are not ours to write, and what paths are compared to."""
_CLEAR = 0.25
"""A file that differs by less than this from one of the project's is that one."""

MAX_STITCH_FILE_BYTES = 20_000_000
"""About six million stitches, far above any runner; more would fill the memory."""


def inspect_file_at(
    path: Path, project: Path | None = None, picture: Path | None = None
) -> tuple[str, bool]:
    """The facts of the file at ``path`` as a table, and false where it is not ``project``'s.

    With ``picture`` it is drawn into that file, which must not exist yet.
    Raises :class:`InputError`.
    """
    contents = _content(path)
    figure, facts = _read(contents, path.name)
    parts = [path.name, table(_rows(facts, figure.noun))]
    same = True
    if project is not None:
        words, same = compare_with_project(figure, _form(path.name, contents), project)
        parts.append(f"  {words}")
    if picture is not None:
        _draw(facts, path.name, picture)
        parts.append(f"  drawn in {picture}")
    return "\n".join(parts), same


def _read(contents: bytes, name: str) -> tuple[Figure, Inspection]:
    figure = read_figure(contents, name)
    ending = ending_of(name)
    if is_path_file(name, contents):
        return figure, inspect_path(figure.path, ending)
    return figure, inspect_file(contents, ending, name)


def _form(name: str, contents: bytes) -> FileFormat | None:
    """The format of the file among those that are written, None for one that is only read."""
    ending = ending_of(name)
    if ending == "csv" and is_path_file(name, contents):
        return FORMATS["points"]
    return FORMATS.get({"nc": "gcode", "pts": "points"}.get(ending, ending))


@dataclass(frozen=True)
class Candidate:
    """A file of the project, in words, with what it holds; ``must_see`` where one that came before
    may be the same figure laid otherwise."""

    words: str
    order: FileOrder
    must_see: bool = False

    def figure(self, form: FileFormat | None) -> Figure:
        """What the file holds in that format, as it would lie in it."""
        order = self.order
        if isinstance(form, PathFormat):
            secure = order.secure and order.sews
            paths = thread_paths(
                order.stitches,
                order.tolerance_mm,
                load_in(form, order.load),
                secure=secure,
                halts=form.has_feeds,
            )
            return Figure(path_of_lines(paths.lines), "point")
        path = needle_path(order.stitches, order.load.middle_mm if order.load else None)
        grid_mm = form.grid_mm if isinstance(form, StitchFormat) else _UNIT_MM
        return Figure(replace(path, holes=path.holes - path.file_origin(grid_mm)), "hole")


def compare_with_project(read: Figure, form: FileFormat | None, project: Path) -> tuple[str, bool]:
    """Which file of the project it is and what is the matter, and whether nothing is."""
    result = compute(load(project))
    tolerance = form.tolerance_mm if isinstance(form, StitchFormat) else _UNIT_MM / 2
    best: tuple[float, str, str] | None = None
    for candidate in _candidates(result):
        if best is not None and best[0] < _CLEAR and not candidate.must_see:
            break
        found = difference(read, candidate.figure(form), tolerance)
        if found.same:
            return f"this is {candidate.words} of the project, as meant", True
        if best is None or found.distance < best[0]:
            best = found.distance, candidate.words, found.words
    if best is None or best[0] >= NOTHING_ALIKE.distance:
        return f"this is no file of the project: {_counts(read, form, result)}", False
    return f"this is {best[1]} of the project, but {best[2]}", False


def _counts(read: Figure, form: FileFormat | None, result: Result) -> str:
    few = list(islice(_candidates(result), 3))
    own = ", ".join(f"{each.words} has {len(each.figure(form).path)}" for each in few)
    return f"{len(read.path)} {read.noun}s; {own}"


def _candidates(result: Result) -> Iterator[Candidate]:
    """The project's own files: what is sewn, what is traced, and what is left after a break."""
    machine, title = result.machine_parts, result.project.title
    sewn: list[Candidate] = []
    laid: list[Candidate] = []
    traces: list[Candidate] = []
    request = request_of(result.project)
    several = bool(request.variants)
    if machine is not None:
        for part, load_ in zip(machine.parts, machine.loads, strict=True):
            for file in part_orders(machine, part.number, load_, title, request):
                group = sewn if file.kind is None else traces if file.kind == TRACE else laid
                group.append(Candidate(file.stem, file.order, several))
    if machine is None or not machine.in_one:
        sewn.append(Candidate(WHOLE, whole_order(result), several))
    yield from (*sewn, *traces, *laid)
    for candidate in sewn:
        stitches = candidate.order.stitches
        for number, point in enumerate(checkpoints(stitches).point.tolist(), start=1):
            rest = replace(candidate.order, stitches=stitches_left(stitches, point))
            yield Candidate(f"the file to resume {candidate.words} from c{number}", rest)


def _content(path: Path) -> bytes:
    try:
        contents = read_bounded(path, MAX_STITCH_FILE_BYTES)
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if contents is None:
        raise InputError(path.name, "", "is larger than 20 MB", "give a stitch file")
    return contents


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


def _rows(facts: Inspection, noun: str) -> list[tuple[str, str]]:
    wide_in, high_in = facts.size_in
    shortest, median, longest = facts.stitch_mm
    ends = [
        ("starts at", f"{facts.start_mm[0]:.1f}, {facts.start_mm[1]:.1f} mm"),
        ("ends at", f"{facts.end_mm[0]:.1f}, {facts.end_mm[1]:.1f} mm"),
    ]
    size = f"{facts.width_mm:.1f} x {facts.height_mm:.1f} mm ({wide_in:.2f} x {high_in:.2f} in)"
    if noun != "hole":
        lines = f"{facts.jumps + 1:,} of {len(facts.path):,} points, {facts.sewn_mm / 1000:.1f} m"
        return [("size", size), ("lines", lines), *ends]
    return [
        ("size", size),
        ("stitches", f"{facts.stitches:,}, {facts.sewn_mm / 1000:.1f} m sewn"),
        ("stitch length", f"{shortest:.2f} to {longest:.2f} mm, median {median:.2f} mm"),
        ("jumps", str(facts.jumps)),
        ("trims", str(facts.trims)),
        ("colour changes", str(facts.colour_changes)),
        ("stops", str(facts.stops)),
        *ends,
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
        Group(
            "ends", tuple(_marked_ends(sheet, sheet.at(*facts.start_mm), sheet.at(*facts.end_mm)))
        ),
        Group("words", (_heading(name), Text((EDGE, EDGE), size, 4.0))),
    )
    return Drawing(name, (Page(WIDTH, HEIGHT, groups, title=name),))
