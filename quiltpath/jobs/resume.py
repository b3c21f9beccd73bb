"""``resume``: stitch files from a checkpoint on, for a machine that was stopped half way.

What a person needs to take sewing up again: a sheet of text and a picture.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath

import numpy as np
from numpy.typing import NDArray

from quiltpath.documents.instructions.loading_sheet import CAUTIONS, zero_words
from quiltpath.documents.notes import ReportEntry, bullet_points, wrap_paragraph
from quiltpath.drawing import svg
from quiltpath.drawing.page_model import (
    INK,
    VERMILION,
    Drawing,
    Group,
    Line,
    Page,
    Polylines,
    Style,
    Text,
)
from quiltpath.errors import InputError
from quiltpath.formats.short_names import rest_stem
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.machine_files import WHOLE, rest_files
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.language import message, say, say_known, speaking
from quiltpath.machine.loads import whole_load
from quiltpath.machine.parts import Part
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.runner.places import place_on
from quiltpath.runner.runner_picture import outline_group
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.stitching import Stitches
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints, overlap_start, stitches_left
from quiltpath.units import Measures

KIND = "resume"


def load_and_list(file: Path, part: str | None = None) -> str:
    """The checkpoints of the project in ``file``, or of one part for its machine, as a table."""
    result = compute(load(file))
    stitches, _, name = _sewn(result, part)
    words = Measures(result.project.handout_units)
    listed = checkpoint_list(checkpoints(stitches), result.runner, words)
    return f"{result.project.title}, {name}\n{listed}"


def resume(
    designs: Sequence[Design], numbers: Sequence[int], part: str | None = None, apart: bool = True
) -> JobOutput:
    """Files that sew what is left from each checkpoint on.

    ``apart`` puts them into a folder of their own for each checkpoint, and part by part where the
    machine sews in several; without it they are those of ``part``. Raises :class:`InputError` for
    a checkpoint or part that there is not.
    """
    result = designs[0].result
    files: list[OutputFile] = []
    ready = []
    for number, of in _from_where(result, numbers) if apart else ((n, part) for n in numbers):
        title, made = resume_files(result, number, of)
        folder = PurePosixPath(f"resume/{of + '-' if of else ''}c{number}" if apart else ".")
        files += [replace(file, name=str(folder / file.name)) for file in made]
        ready.append({"checkpoint": number, "part": of, "folder": str(folder), "title": title})
    return JobOutput(str(ready[0]["title"]), tuple(files), {"ready": ready})


def _from_where(result: Result, numbers: Sequence[int]) -> Iterator[tuple[int, str | None]]:
    """Checkpoints with their part; a checkpoint that no part has is a mistake."""
    machine = result.machine_parts
    parts = machine.parts if machine is not None and not machine.in_one else ()
    for number in dict.fromkeys(numbers):
        if not parts:
            yield number, None
            continue
        having = [part.name for part in parts if number <= len(checkpoints(part.stitches))]
        if not having:
            raise InputError("", "", f"no part has a checkpoint {number}", "give a lower number")
        yield from ((number, name) for name in having)


def resume_files(
    result: Result, number: int, part: str | None = None
) -> tuple[str, tuple[OutputFile, ...]]:
    """What is sewn, in words; the stitch files, the sheet and the picture."""
    stitches, for_machine, name = _sewn(result, part)
    places = checkpoints(stitches)
    if not 1 <= number <= len(places):
        raise InputError(
            result.project.file_name,
            "--from",
            f"there is no checkpoint {number}",
            f"give 1 to {len(places)}, as numbered on the guide",
        )
    rest = stitches_left(for_machine, int(places.point[number - 1]))
    title = title_of(result.project.title, name, number)
    stem = rest_stem(name, number, result.project.machine.short_names and name != WHOLE)
    written = rest_files(result, name, rest, stem, f"c{number} {result.project.title}")
    files = [*written.files, *written.left_out]
    words = Measures(result.project.handout_units)
    with speaking(result.project.instructions.language):
        zero = _zero_words(result, name, rest)
        own = title_of(result.project.title, name, number)
        picture = resume_picture(own, result.runner, stitches, places, number)
        sheet = resume_text(own, result.runner, stitches, places, number, zero, words)
    files.append(OutputFile("RESUME.txt", sheet.encode("utf-8"), KIND))
    files.append(OutputFile("resume.svg", svg.render(picture, decimals=1), KIND))
    return title, tuple(files)


def title_of(title: str, part: str, number: int) -> str:
    """What the file that begins at checkpoint ``number`` is called."""
    return say("{title}, {part} from c{number}", title=title, part=say_known(part), number=number)


def _sewn(result: Result, part: str | None) -> tuple[Stitches, Stitches, str]:
    """What is sewn in one go: in runner's coordinates, as the machine sees it, and its name."""
    machine = result.machine_parts
    parts = list(machine.parts) if machine else []
    if part is None and len(parts) <= 1:
        return _of_part(parts[0]) if parts else (result.stitches, result.stitches, WHOLE)
    for found in parts:
        if found.name == part:
            return _of_part(found)
    names = ", ".join(found.name for found in parts)
    fault = f"there is no part {part!r}" if part else "the design is sewn in several parts"
    remedy = f"name one of {names}" if parts else "leave --part out: it is sewn in one go"
    raise InputError(result.project.file_name, "--part", fault, remedy)


def _zero_words(result: Result, name: str, rest: Stitches) -> str:
    """Where the first needle point lies for the file's own zero, which is that of the whole."""
    parts = result.machine_parts
    loads = (
        {part.name: load for part, load in zip(parts.parts, parts.loads, strict=True)}
        if parts
        else {}
    )
    load = loads.get(name) or whole_load(result.stitches)
    return zero_words(load, rest.points[0], parts.profile.kind if parts else None)


def _of_part(part: Part) -> tuple[Stitches, Stitches, str]:
    return part.stitches, part.machine_stitches, part.name


ROOM_MM = 30.0
EARLIER = Style("#8f8f8f", 0.5, (3, 3))
REST = Style(INK, 0.6)


def checkpoint_list(places: Checkpoints, runner: Runner, words: Measures) -> str:
    """One line a checkpoint: how much is sewn before it, and where it is."""
    rows = zip(places.at_mm.tolist(), places.done_mm.tolist(), strict=True)
    return "\n".join(
        say(
            "  c{number:<4} after {metres:5.1f} m  {place}",
            number=number,
            metres=done / 1000,
            place=place_on(runner, (x, y), words),
        )
        for number, ((x, y), done) in enumerate(rows, start=1)
    )


def resume_text(
    title: str,
    runner: Runner,
    stitches: Stitches,
    places: Checkpoints,
    number: int,
    zero: str,
    words: Measures,
) -> str:
    """The sheet for sewing on from checkpoint ``number``, with places as they are seen on the flat
    top. ``zero`` says where the machine's screen has the first point."""
    point = int(places.point[number - 1])
    first = overlap_start(stitches, point)
    overlap = float(stitches.step_mm[first + 1 : point + 1].sum())
    x, y = stitches.points[first].tolist()
    left = stitches.stitched_mm - float(places.done_mm[number - 1])
    about = say("A thread begins there.")
    if overlap > 0:
        about = say("The last {overlap:.0f} mm before it are sewn a second time.", overlap=overlap)
    lines = [say("AFTER A BREAK: {title}", title=title), "", say("CAUTIONS")]
    lines += [f"  ! {say_known(caution)}" for caution in CAUTIONS]
    begin = say(
        "Begin at checkpoint c{number} of the {all} on the marking guide.",
        number=number,
        all=len(places),
    )
    starts = say(
        "The needle starts here: {place}, {state}.",
        place=place_on(runner, (x, y), words),
        state=say_known(FLAT_WORDS),
    )
    lines += [
        "",
        *_filled(f"{begin} {about}"),
        *_filled(starts),
        say(
            "Left to sew: {left:.1f} m of {whole:.1f} m.",
            left=left / 1000,
            whole=stitches.stitched_mm / 1000,
        ),
        "",
        say("1. Cut the old thread ends short and pull them to the back."),
        *_filled(
            say(
                "2. Leave the machine's zero where it was. Bring the needle, by hand and with the"
                " machine stopped, to the place above: {reads}.",
                reads=zero,
            )
        ),
        *_filled(
            say(
                "   Do not let the machine put this file into the middle of its field: it holds"
                " less than the one before, and would lie elsewhere. Let it begin where the needle"
                " is."
            )
        ),
        say("3. Trace with the needle up and compare with the lines already sewn."),
        say("4. Sew. The first stitches lie in the old ones and hold both threads."),
        "",
        say("CHECKPOINTS"),
        checkpoint_list(places, runner, words),
    ]
    return "\n".join(lines) + "\n"


def _filled(told: str) -> list[str]:
    """A paragraph in lines of a printed page's width; those after the first are indented."""
    indent = " " * (len(told) - len(told.lstrip()))
    return textwrap.wrap(told, 92, subsequent_indent=indent or "   ")


def resume_picture(
    title: str, runner: Runner, stitches: Stitches, places: Checkpoints, number: int
) -> Drawing:
    """The runner with what is sewn in grey dashes, what is left in black, and where to begin."""
    low_x, low_y, high_x, high_y = runner.outline.bounds
    first = overlap_start(stitches, int(places.point[number - 1]))
    x, y = stitches.points[first].tolist()
    ring = np.linspace(0, 2 * np.pi, 36, endpoint=False)
    circle = 8.0 * np.column_stack([np.cos(ring), np.sin(ring)]) + (x, y)
    begin = Group(
        "begin here",
        (
            Line(circle, Style(VERMILION, 1.5), closed=True),
            Text((x + 11, y + 6), f"c{number}", 12.0, bold=True, colour=VERMILION),
        ),
        title="where sewing is taken up again",
    )
    groups = (
        outline_group(runner),
        Group("sewn before", (_strokes(stitches, 0, first, EARLIER),)),
        Group("left to sew", (_strokes(stitches, first, len(stitches), REST),)),
        begin,
    )
    shifted = Group("runner", groups, shift_mm=(ROOM_MM - low_x, ROOM_MM - low_y))
    size = high_x - low_x + 2 * ROOM_MM, high_y - low_y + 2 * ROOM_MM
    foot = Group("foot", (Text((ROOM_MM, 0.2 * ROOM_MM), say_known(FLAT_WORDS), 0.36 * ROOM_MM),))
    return Drawing(title, (Page(*size, (shifted, foot), title=title),))


def _strokes(stitches: Stitches, first: int, last: int, style: Style) -> Polylines:
    """Needle points ``first`` to ``last`` as one line a run."""
    part = slice(first, last)
    holes = stitches.is_hole[part]
    points: NDArray[np.float64] = stitches.points[part][holes]
    run = stitches.run[part][holes]
    starts = np.flatnonzero(np.diff(run, prepend=-1))
    return Polylines(points, np.append(starts, len(points)).astype(np.intp), style)


def _notes(told: ReportEntry) -> list[str]:
    lines = []
    for one in told["ready"]:
        part, number = one["part"] or WHOLE, one["checkpoint"]
        title = one["title"].removesuffix(f", {part} from c{number}")
        lines.append(f"{one['folder']}: {title_of(title, part, number)}.")
    return [
        wrap_paragraph(
            say(
                "Files that begin 3/8 to 3/4 in (10 to 20 mm) before a checkpoint; RESUME.txt is"
                " their sheet."
            )
        ),
        *bullet_points(lines),
    ]


RESUME = Job(
    "resume", resume, message("FILES FOR AFTER A BREAK"), _notes, options={"resume": "--from"}
)
