"""Result to files: every output as bytes, checked, before anything is on disk.

Drawings and machine files are made in processes of their own where that is safe. Writers are
imported where they work, so that each side of a fork imports only its own, and early.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.aside import Aside
from quiltpath.make.folder import REPORT_NAME
from quiltpath.make.machine_work import MachineWork
from quiltpath.make.output_file import OutputFile
from quiltpath.result import Result
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints
from quiltpath.telling import Tell, silent

if TYPE_CHECKING:
    from quiltpath.make.also import Also
    from quiltpath.output.instructions_machine import MachineLoad

FOR_DRAWING = (
    "quiltpath.make.paper_files",
    "quiltpath.output.instructions",
    "quiltpath.output.pictures",
    "svgwrite",
    "reportlab.pdfgen.canvas",
    "PIL.ImageDraw",
    # Saving a picture of any kind asks for the writers of these five.
    *(f"PIL.{kind}ImagePlugin" for kind in ("Bmp", "Gif", "Jpeg", "Png", "Ppm")),
)
FOR_MACHINES = ("quiltpath.make.machine_files", "pyembroidery")


@dataclass(frozen=True)
class Written:
    """All files but the notes and the report, and what the report says of some of them."""

    files: tuple[OutputFile, ...]
    printed: tuple[dict[str, Any], ...]
    machine: MachineWork


def outputs(
    result: Result, tell: Tell = silent, writing: Aside[Result, Written] | None = None
) -> tuple[OutputFile, ...]:
    """All files of the set, the report last; ``writing`` is a process begun early that writes.

    Raises :class:`InputError` for a format that is not known or cannot hold the design, and
    ``VerificationFailed`` where a file does not read back as meant.
    """
    with writing or Aside(write, load_writers) as writing:
        writing.give(result)
        from quiltpath.output.report import report_json
        from quiltpath.output.sewing_notes import sewing_notes
        from quiltpath.output.sewing_report import sewing_report

        waits = _waits_for_machine(result)
        told = {} if waits else sewing_report(result)
        also = _also(result, tell)
        written = writing.answer(tell)
    if waits:
        work = written.machine
        told = sewing_report(result, work.to_count, _checkpoints_in_parts(work.load))
    told_also = {made.key: made.told for made in also}
    notes = sewing_notes(result.project.title, told, told_also)
    files = [*written.files, OutputFile("sewing-notes.txt", notes.encode("utf-8"), "sewing notes")]
    files += [file for made in also for file in made.files]
    entries = [file.entry() for file in files]
    machine = written.machine.told
    report = report_json(result, entries, machine, written.printed, told, told_also)
    files.append(OutputFile(REPORT_NAME, report, "report"))
    return tuple(files)


def load_writers() -> None:
    """Import what :func:`write` needs."""
    for module in (*FOR_DRAWING, *FOR_MACHINES):
        import_module(module)


def write(result: Result, tell: Tell = silent) -> Written:
    """Drawings and printed sheets, and beside them, in a process of their own, machine files."""
    with Aside(_machine_work) as machine:
        machine.give(result)
        from quiltpath.make.paper_files import paper_work

        printed = paper_work(result, tell)
        drawn = [*preview_files(result, tell), *printed.files]
        waits = _waits_for_machine(result)
        told = [] if waits else [*instruction_set(result, tell)]
        work = machine.answer(tell)
    in_parts = _checkpoints_in_parts(work.load)
    guide = guide_file(result, work.crosses, in_parts)
    if waits:
        told = [*instruction_set(result, tell, work.load)]
    return Written((*work.files, guide, *drawn, *told), printed.told, work)


def _also(result: Result, tell: Tell) -> tuple[Also, ...]:
    """What the project asks for beside the usual set; its writers are loaded only then."""
    if not result.project.also.asked:
        return ()
    from quiltpath.make.also import also_work

    return also_work(result, tell)


def _checkpoints_in_parts(load: MachineLoad | None) -> tuple[tuple[str, Checkpoints], ...]:
    """Each part's own checkpoints by its name; none where the machine sews the whole in one."""
    if load is None or load.plan.in_one:
        return ()
    return tuple((part.name, checkpoints(part.stitches)) for part in load.plan.parts)


def _waits_for_machine(result: Result) -> bool:
    """How a machine is loaded stands in guide and instructions: with one, they wait for it."""
    return result.project.machine.profile is not None


def _machine_work(result: Result, tell: Tell) -> MachineWork:
    from quiltpath.make.machine_files import machine_work

    return machine_work(result, tell)


def instruction_set(
    result: Result, tell: Tell = silent, machine: MachineLoad | None = None
) -> Iterator[OutputFile]:
    """Instructions on paper and on screen, and the cutting layouts."""
    from quiltpath.output.instructions import instruction_files

    for number, (name, content, kind) in enumerate(instruction_files(result, machine)):
        tell(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def preview_files(result: Result, tell: Tell = silent) -> Iterator[OutputFile]:
    """The previews: as vectors, as a picture, and as a page."""
    from quiltpath.output.pictures import previews

    for number, (name, content, kind) in enumerate(previews(result)):
        tell(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def guide_file(
    result: Result,
    crosses: NDArray[np.float64],
    in_parts: Sequence[tuple[str, Checkpoints]] = (),
) -> OutputFile:
    """The marking guide, with the machine's alignment ``crosses`` and checkpoints on it."""
    from quiltpath.output.pictures import marking_guide

    return OutputFile("guide.svg", marking_guide(result, crosses, in_parts), "marking guide")
