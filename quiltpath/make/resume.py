"""``resume``: stitch files from a checkpoint on, for a machine that was stopped half way."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.make.compute import compute
from quiltpath.make.folder import REPORT_NAME, only_own_set, write_set
from quiltpath.make.machine_files import WHOLE, part_plan, whole_files
from quiltpath.make.output_file import OutputFile
from quiltpath.output import svg
from quiltpath.output.machine_parts.parts import Part
from quiltpath.output.resume_sheet import checkpoint_list, resume_picture, resume_text
from quiltpath.project import load
from quiltpath.result import Result
from quiltpath.stitching.checkpoints import checkpoints, resumed
from quiltpath.stitching.stitches import Stitches

KIND = "resume"


def load_and_list(file: Path, part: str | None = None) -> str:
    """The checkpoints of the project in ``file``, or of one part for its machine, as a table."""
    result = compute(load(file))
    stitches, _, name = _sewn(result, part)
    return f"{result.project.title}, {name}\n{checkpoint_list(checkpoints(stitches))}"


def load_and_resume(
    file: Path, number: int, folder: Path, part: str | None = None
) -> tuple[OutputFile, ...]:
    """Files that sew what is left from checkpoint ``number`` on, put into ``folder`` whole.

    Raises :class:`InputError` for a checkpoint or part that there is not, and for a folder that
    holds another set.
    """
    result = compute(load(file))
    only_own_set(folder, KIND)
    title, made = resume_files(result, number, part)
    report = {"title": title, KIND: number, "files": [file.entry() for file in made]}
    text = json.dumps(report, indent=2, ensure_ascii=False) + "\n"
    files = (*made, OutputFile(REPORT_NAME, text.encode("utf-8"), "report"))
    write_set(files, folder)
    return files


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
    rest = resumed(for_machine, int(places.point[number - 1]))
    title = f"{result.project.title}, {name} from c{number}"
    stem = f"{name}-from-{number}"
    picture = resume_picture(title, result.runner, stitches, places, number)
    files = [
        replace(sewn, name=sewn.name.replace(WHOLE, stem, 1))
        for sewn in whole_files(replace(result, stitches=rest))
    ]
    sheet = resume_text(title, stitches, places, number)
    files.append(OutputFile("RESUME.txt", sheet.encode("utf-8"), KIND))
    files.append(OutputFile("resume.svg", svg.render(picture, decimals=1), KIND))
    return title, tuple(files)


def _sewn(result: Result, part: str | None) -> tuple[Stitches, Stitches, str]:
    """What is sewn in one go: in runner's coordinates, as the machine sees it, and its name."""
    plan = part_plan(result)
    parts = list(plan.parts) if plan else []
    if part is None and len(parts) <= 1:
        return _of_part(parts[0]) if parts else (result.stitches, result.stitches, WHOLE)
    for found in parts:
        if found.name == part:
            return _of_part(found)
    names = ", ".join(found.name for found in parts)
    fault = f"there is no part {part!r}" if part else "the design is sewn in several parts"
    remedy = f"name one of {names}" if parts else "leave --part out: it is sewn in one go"
    raise InputError(result.project.file_name, "--part", fault, remedy)


def _of_part(part: Part) -> tuple[Stitches, Stitches, str]:
    return part.stitches, part.machine_stitches, part.name
