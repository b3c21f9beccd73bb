"""Result to printed files: what [paper] asks for, and what the report says about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from quiltpath.errors import InputError
from quiltpath.make.output_file import OutputFile
from quiltpath.output.paper import PaperFile, paper_outputs
from quiltpath.result import Result
from quiltpath.telling import Tell, silent


@dataclass(frozen=True)
class PaperWork:
    """Printed files, and a line about each for the report."""

    files: tuple[OutputFile, ...]
    told: tuple[dict[str, Any], ...]


def paper_work(result: Result, tell: Tell = silent) -> PaperWork:
    """Everything that is printed; raises :class:`InputError` in the project's own words."""
    made: list[PaperFile] = []
    wanted = len(result.project.paper.sheets)
    top = result.cutting.top
    size = top.cut_length_mm, top.cut_width_mm
    try:
        for file in paper_outputs(result.project, result.runner, result.lines, result.runs, size):
            made.append(file)
            tell(file.name, min(len(made), wanted), wanted)
    except InputError as error:
        raise error.at(error.where or result.project.file_name) from None
    files = tuple(OutputFile(file.name, file.content, file.kind) for file in made)
    return PaperWork(files, tuple(file.told() for file in made))
