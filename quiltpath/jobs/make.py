"""One function from a project file to everything on disk, all or nothing.

Result to files: every output as bytes, checked, before anything is on disk.

Drawings and machine files are made in processes of their own where that is safe. Writers are
imported where they work, so that each side of a fork imports only its own, and early.

Result to printed files: what [paper] asks for, and what the report says about it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.documents.guide import guide, marking_guide
from quiltpath.errors import InputError
from quiltpath.jobs.folder import REPORT_NAME, OutputFile, write_set
from quiltpath.jobs.machine_set import MachineWork
from quiltpath.marking import PaperFile, paper_outputs
from quiltpath.progress import Progress, no_progress
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints
from quiltpath.worker_pool import Worker

if TYPE_CHECKING:
    from quiltpath.jobs.all_jobs import Also
    from quiltpath.machine.part_facts import MachineLoad


def load_and_compute(file: Path, progress: Progress = no_progress) -> Result:
    """The result for the project in ``file``; nothing is written."""
    return compute(load(file), progress)


def load_and_make(
    file: Path,
    folder: Path,
    formats: Sequence[str] = (),
    progress: Progress = no_progress,
    writing: Worker[Result, Written] | None = None,
) -> tuple[Result, tuple[OutputFile, ...]]:
    """Do the whole job: load, compute, write all outputs and put them into ``folder`` whole.

    ``formats`` replaces the stitch formats that the project names; ``writing`` is a process begun
    early that writes.
    """
    project = load(file)
    if formats:
        machine = project.machine.model_copy(update={"formats": tuple(formats)})
        project = project.replaced(machine=machine)
    with writing or Worker(write, load_writers) as writing:
        result = compute(project, progress)
        files = outputs(result, progress, writing)
    write_set(files, folder)
    return result, files


def make_and_name(file: Path, folder: Path, progress: Progress = no_progress) -> tuple[str, ...]:
    """The whole job for ``file`` into ``folder``; the names of what lies there afterwards."""
    return tuple(made.name for made in load_and_make(file, folder, progress=progress)[1])


FOR_DRAWING = (
    "quiltpath.jobs.make",
    "quiltpath.documents.instructions",
    "quiltpath.documents.all_previews",
    "svgwrite",
    "reportlab.pdfgen.canvas",
    "PIL.ImageDraw",
    # Saving a picture of any kind asks for the writers of these five.
    *(f"PIL.{kind}ImagePlugin" for kind in ("Bmp", "Gif", "Jpeg", "Png", "Ppm")),
)


FOR_MACHINES = ("quiltpath.jobs.machine_set", "pyembroidery")


@dataclass(frozen=True)
class Written:
    """All files but the notes and the report, and what the report says of some of them."""

    files: tuple[OutputFile, ...]
    printed: tuple[dict[str, Any], ...]
    machine: MachineWork


def outputs(
    result: Result, progress: Progress = no_progress, writing: Worker[Result, Written] | None = None
) -> tuple[OutputFile, ...]:
    """All files of the set, the report last; ``writing`` is a process begun early that writes.

    Raises :class:`InputError` for a format that is not known or cannot hold the design, and
    ``VerificationFailed`` where a file does not read back as meant.
    """
    with writing or Worker(write, load_writers) as writing:
        writing.submit(result)
        from quiltpath.documents.notes import sewing_notes
        from quiltpath.documents.report import report_json, sewing_report

        waits = _waits_for_machine(result)
        told = {} if waits else sewing_report(result)
        also = _also(result, progress)
        written = writing.result(progress)
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


def write(result: Result, progress: Progress = no_progress) -> Written:
    """Drawings and printed sheets, and beside them, in a process of their own, machine files."""
    with Worker(_machine_work) as machine:
        machine.submit(result)
        pass

        printed = paper_work(result, progress)
        drawn = [*preview_files(result, progress), *printed.files]
        waits = _waits_for_machine(result)
        told = [] if waits else [*instruction_set(result, progress)]
        work = machine.result(progress)
    in_parts = _checkpoints_in_parts(work.load)
    guide = guide_file(result, work.crosses, in_parts)
    if waits:
        told = [*instruction_set(result, progress, work.load)]
    return Written((*work.files, guide, *drawn, *told), printed.told, work)


def _also(result: Result, progress: Progress) -> tuple[Also, ...]:
    """What the project asks for beside the usual set; its writers are loaded only then."""
    if not result.project.also.asked:
        return ()
    from quiltpath.jobs.all_jobs import also_work

    return also_work(result, progress)


def _checkpoints_in_parts(load: MachineLoad | None) -> tuple[tuple[str, Checkpoints], ...]:
    """Each part's own checkpoints by its name; none where the machine sews the whole in one."""
    if load is None or load.plan.in_one:
        return ()
    return tuple((part.name, checkpoints(part.stitches)) for part in load.plan.parts)


def _waits_for_machine(result: Result) -> bool:
    """How a machine is loaded stands in guide and instructions: with one, they wait for it."""
    return result.project.machine.profile is not None


def _machine_work(result: Result, progress: Progress) -> MachineWork:
    from quiltpath.jobs.machine_set import machine_work

    return machine_work(result, progress)


def instruction_set(
    result: Result, progress: Progress = no_progress, machine: MachineLoad | None = None
) -> Iterator[OutputFile]:
    """Instructions on paper and on screen, and the cutting layouts."""
    from quiltpath.documents.instructions import instruction_files

    for number, (name, content, kind) in enumerate(instruction_files(result, machine)):
        progress(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def preview_files(result: Result, progress: Progress = no_progress) -> Iterator[OutputFile]:
    """The previews: as vectors, as a picture, and as a page."""
    from quiltpath.documents.all_previews import previews

    for number, (name, content, kind) in enumerate(previews(result)):
        progress(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def guide_file(
    result: Result,
    crosses: NDArray[np.float64],
    in_parts: Sequence[tuple[str, Checkpoints]] = (),
) -> OutputFile:
    """The marking guide, with the machine's alignment ``crosses`` and checkpoints on it."""

    return OutputFile("guide.svg", marking_guide(result, crosses, in_parts), "marking guide")


@dataclass(frozen=True)
class PaperWork:
    """Printed files, and a line about each for the report."""

    files: tuple[OutputFile, ...]
    told: tuple[dict[str, Any], ...]


def paper_work(result: Result, progress: Progress = no_progress) -> PaperWork:
    """Everything that is printed; raises :class:`InputError` in the project's own words."""
    made: list[PaperFile] = []
    wanted = len(result.project.paper.sheets)
    top = result.cutting.top
    size = top.cut_length_mm, top.cut_width_mm
    try:
        given = result.project, result.runner, result.lines, result.runs, size, guide
        for file in paper_outputs(*given):
            made.append(file)
            progress(file.name, min(len(made), wanted), wanted)
    except InputError as error:
        raise error.at(error.where or result.project.file_name) from None
    files = tuple(OutputFile(file.name, file.content, file.kind) for file in made)
    return PaperWork(files, tuple(file.told() for file in made))
