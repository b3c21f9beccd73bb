"""Result to files: every output as bytes, checked, before anything is on disk."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from quiltpath.make.compute import Tell, silent
from quiltpath.make.folder import REPORT_NAME
from quiltpath.make.machine_files import machine_work
from quiltpath.make.output_file import OutputFile
from quiltpath.make.paper_files import paper_work
from quiltpath.output.instructions import instruction_files
from quiltpath.output.pictures import pictures
from quiltpath.output.report import report_json
from quiltpath.output.sewing_notes import sewing_notes
from quiltpath.output.sewing_report import sewing_report
from quiltpath.result import Result


def outputs(result: Result, tell: Tell = silent) -> tuple[OutputFile, ...]:
    """All files of the set, the report last.

    Raises :class:`InputError` for a format that is not known, ``FormatRefused`` where the design
    breaks a format's limits, and ``VerificationFailed`` where a file does not read back as meant.
    """
    work = machine_work(result, tell)
    printed = paper_work(result, tell)
    drawn = drawn_files(result, tell, work.crosses)
    files = [*work.files, *drawn, *printed.files, *written_files(result, tell)]
    told = sewing_report(result, work.to_count)
    notes = sewing_notes(result.project.title, told)
    files.append(OutputFile("sewing-notes.txt", notes.encode("utf-8"), "sewing notes"))
    entries = [file.entry() for file in files]
    report = report_json(result, entries, work.told, printed.told, told)
    files.append(OutputFile(REPORT_NAME, report, "report"))
    return tuple(files)


def written_files(result: Result, tell: Tell = silent) -> Iterator[OutputFile]:
    """Instructions on paper and on screen, and the cutting layouts."""
    for number, (name, content, kind) in enumerate(instruction_files(result)):
        tell(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def drawn_files(
    result: Result, tell: Tell = silent, crosses: NDArray[np.float64] | None = None
) -> Iterator[OutputFile]:
    """The marking guide, with the machine's alignment ``crosses`` on it, and the previews."""
    for number, (name, content, kind) in enumerate(pictures(result, crosses)):
        tell(name, number + 1, 3)
        yield OutputFile(name, content, kind)
