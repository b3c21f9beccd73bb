"""Result to files: every output as bytes, checked, before anything is on disk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quiltpath.errors import InputError
from quiltpath.make.compute import Tell, silent
from quiltpath.make.folder import REPORT_NAME
from quiltpath.make.output_file import OutputFile
from quiltpath.output.machine import deliver, find_format
from quiltpath.output.pictures import pictures
from quiltpath.output.report import report_json
from quiltpath.result import Result


def outputs(result: Result, tell: Tell = silent) -> tuple[OutputFile, ...]:
    """All files of the set, the report last.

    Raises :class:`InputError` for a format that is not known, ``FormatRefused`` where the design
    breaks a format's limits, and ``VerificationFailed`` where a file does not read back as meant.
    """
    files = list(machine_files(result, tell))
    files += drawn_files(result, tell)
    report = report_json(result, [file.entry() for file in files])
    files.append(OutputFile(REPORT_NAME, report, "report"))
    return tuple(files)


def machine_files(result: Result, tell: Tell = silent) -> Iterator[OutputFile]:
    """A stitch file for each format that the project names, read back and compared."""
    wanted = checked_formats(result)
    for number, extension in enumerate(wanted):
        tell(f"{extension} file", number, len(wanted))
        content, verdict = deliver(result.stitches, extension, result.project.title)
        yield OutputFile(f"runner.{extension}", content, "stitch file", verdict.verified)


def drawn_files(result: Result, tell: Tell = silent) -> Iterator[OutputFile]:
    """The marking guide and the previews."""
    for number, (name, content, kind) in enumerate(pictures(result)):
        tell(name, number + 1, 3)
        yield OutputFile(name, content, kind)


def checked_formats(result: Result) -> Sequence[str]:
    """The formats that the project names, each once."""
    wanted = tuple(dict.fromkeys(name.lower() for name in result.project.machine.formats))
    for name in wanted:
        try:
            find_format(name)
        except InputError as error:
            raise InputError(
                result.project.file_name, "machine.formats", error.fault, error.remedy
            ) from None
    return wanted
