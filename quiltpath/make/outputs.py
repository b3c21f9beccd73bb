"""Result to files: every output as bytes, checked, before anything is on disk.

Writers are imported where they work, so that both sides of a fork import only their own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from quiltpath.make.aside import Aside
from quiltpath.make.compute import Tell, silent
from quiltpath.make.folder import REPORT_NAME
from quiltpath.make.output_file import OutputFile
from quiltpath.result import Result

if TYPE_CHECKING:
    from quiltpath.make.machine_files import MachineWork
    from quiltpath.output.instructions_machine import MachineLoad


def outputs(result: Result, tell: Tell = silent) -> tuple[OutputFile, ...]:
    """All files of the set, the report last.

    Raises :class:`InputError` for a format that is not known, ``FormatRefused`` where the design
    breaks a format's limits, and ``VerificationFailed`` where a file does not read back as meant.
    """
    machine = Aside(lambda: _machine_work(result, tell))
    from quiltpath.make.paper_files import paper_work
    from quiltpath.output.report import report_json
    from quiltpath.output.sewing_notes import sewing_notes
    from quiltpath.output.sewing_report import sewing_report

    printed = paper_work(result, tell)
    # How a machine is loaded stands in the instructions: with one, they wait for its parts.
    waits = result.project.machine.profile is not None
    written = [] if waits else list(written_files(result, tell))
    previews = list(preview_files(result, tell))
    work = machine.answer()
    written = list(written_files(result, tell, work.load)) if waits else written
    marked = guide_file(result, work.crosses)
    files = [*work.files, marked, *previews, *printed.files, *written]
    told = sewing_report(result, work.to_count)
    notes = sewing_notes(result.project.title, told)
    files.append(OutputFile("sewing-notes.txt", notes.encode("utf-8"), "sewing notes"))
    entries = [file.entry() for file in files]
    report = report_json(result, entries, work.told, printed.told, told)
    files.append(OutputFile(REPORT_NAME, report, "report"))
    return tuple(files)


def _machine_work(result: Result, tell: Tell) -> MachineWork:
    from quiltpath.make.machine_files import machine_work

    return machine_work(result, tell)


def written_files(
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


def guide_file(result: Result, crosses: NDArray[np.float64]) -> OutputFile:
    """The marking guide, with the machine's alignment ``crosses`` on it."""
    from quiltpath.output.pictures import marking_guide

    return OutputFile("guide.svg", marking_guide(result, crosses), "marking guide")
