"""``make`` for a class: several projects, or one design in a table of sizes, with one list.

Each gets a folder of its own with the whole set; beside them lie a merged shopping list with common
layouts and one sheet that tells what belongs to whom. All of it is put in place in one step.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.files import read_bounded
from quiltpath.jobs.class_sheet import class_sheet
from quiltpath.jobs.folder import OutputFile, only_own_set, with_report, write_set
from quiltpath.jobs.make import outputs
from quiltpath.jobs.summary import Row, table
from quiltpath.jobs.variants import with_size
from quiltpath.materials.merged_shopping import MergedShopping, merged_shopping
from quiltpath.progress import Progress, no_progress
from quiltpath.project import Project, load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures, both_units

KEY = "class"
MOST = 40
"""A class is no larger; each of its members takes a whole set of files."""

LARGEST_TABLE = 100_000
COLUMNS = ("name", "size", "copies")
EXAMPLE = 'write a first row "name,size" and rows such as "Ada,72 x 36 in" or "Ben,mat 18 x 12 in"'


@dataclass(frozen=True)
class Member:
    """One of a class: whose it is, the folder's name, and the design in its size."""

    name: str
    folder: str
    project: Project


def make_several(
    files: Sequence[Path],
    folder: Path,
    sizes: Path | None = None,
    formats: Sequence[str] = (),
    progress: Progress = no_progress,
) -> str:
    """Make all of them into ``folder``; the words to print. Raises :class:`InputError`."""
    only_own_set(folder, KEY)
    members = _members(files, sizes, formats)
    results = [(member, compute(member.project)) for member in members]
    plans = [(member.name, result.cutting) for member, result in results]
    allowance = max(member.project.materials.allowance for member in members)
    merged = merged_shopping(plans, allowance)
    made: list[OutputFile] = []
    for number, (member, result) in enumerate(results):
        progress(member.name, number, len(results))
        made += [_in_folder(member.folder, file) for file in outputs(result)]
    told = [(member.name, member.folder, result) for member, result in results]
    made += [OutputFile(*sheet) for sheet in class_sheet(told, merged)]
    report = {"title": members[0].project.title, KEY: _class_report(results, merged)}
    write_set(with_report(made, report), folder)
    return _in_words(results, merged)


def _in_folder(name: str, file: OutputFile) -> OutputFile:
    return replace(file, name=f"{name}/{file.name}")


def _members(
    files: Sequence[Path], sizes: Path | None, formats: Sequence[str]
) -> tuple[Member, ...]:
    """Whose they are, in order; folders get names of their own."""
    if sizes is not None and len(files) != 1:
        raise InputError(
            str(sizes), "", f"{len(files)} designs are named with it", "name one design"
        )
    named = list(_of_sizes(load(files[0]), sizes)) if sizes else [(f, load(f)) for f in files]
    if not 1 <= len(named) <= MOST:
        raise InputError(
            str(sizes or "make"), "", f"{len(named)} are to be made", f"name 1 to {MOST}"
        )
    taken: dict[str, int] = {}
    members = []
    for name, project in named:
        told = name if isinstance(name, str) else project.title
        slug = _plain(told)
        taken[slug] = taken.get(slug, 0) + 1
        place = slug if taken[slug] == 1 else f"{slug}-{taken[slug]}"
        members.append(Member(told, place, _with_formats(project, formats)))
    return tuple(members)


def _plain(name: str) -> str:
    """A folder's name: letters without their accents, figures and dashes."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", letters.lower()).strip("-")[:40] or "runner"


def _with_formats(project: Project, formats: Sequence[str]) -> Project:
    if not formats:
        return project
    machine = project.machine.model_copy(update={"formats": tuple(formats)})
    return project.replaced(machine=machine)


def _of_sizes(project: Project, path: Path) -> Iterator[tuple[str, Project]]:
    """The design in the size of each row of the table, under the row's name."""
    for number, row in enumerate(_rows(path), start=2):
        name, size = row["name"].strip()[:60], row["size"].strip()
        try:
            _, changed = with_size(project, size)
            copies = int(row["copies"] or 1) if "copies" in row else project.materials.copies
        except ValueError as error:
            raise InputError(str(path), f"line {number}", str(error), EXAMPLE) from None
        if not name or not 1 <= copies <= 50:
            fault = "no name" if not name else f"{copies} copies"
            raise InputError(str(path), f"line {number}", fault, "give a name and 1 to 50 copies")
        materials = changed.materials.model_copy(update={"copies": copies})
        title = f"{project.title}: {name}"[:120]
        yield name, changed.replaced(title=title, materials=materials)


def _rows(path: Path) -> list[dict[str, str]]:
    """The rows of a table with commas, its columns by their first row."""
    try:
        content = read_bounded(path, LARGEST_TABLE)
        text = (content or b"").decode("utf-8-sig")
    except (OSError, ValueError) as error:
        raise InputError(str(path), "", f"cannot be read: {error}", EXAMPLE) from None
    reader = csv.DictReader(io.StringIO(text), restval="")
    columns = reader.fieldnames or ()
    if not {"name", "size"} <= set(columns) or not set(columns) <= set(COLUMNS):
        raise InputError(
            str(path), "line 1", f"columns are {', '.join(columns) or 'missing'}", EXAMPLE
        )
    try:
        return [{key: row[key] or "" for key in columns} for row in reader if any(row.values())]
    except (csv.Error, KeyError) as error:
        raise InputError(str(path), "", f"is no table: {error}", EXAMPLE) from None


def _class_report(
    results: Sequence[tuple[Member, Result]], merged: MergedShopping
) -> dict[str, Any]:
    """For other programs: who makes what, and what is bought for all."""
    return {
        "members": [
            {
                "name": member.name,
                "folder": member.folder,
                "copies": result.cutting.copies,
                "length_mm": round(result.states.in_use.length_mm, 2),
                "width_mm": round(result.states.in_use.width_mm, 2),
            }
            for member, result in results
        ],
        "shopping": [
            {
                "name": item.name,
                "unit": item.unit,
                "need": round(item.need, 2),
                "have": round(item.have, 2),
                "short": round(item.short, 2),
            }
            for item in merged.items
        ],
        "saved_mm": {name: round(mm, 2) for name, mm in merged.saved_mm},
    }


def _in_words(results: Sequence[tuple[Member, Result]], merged: MergedShopping) -> str:
    rows: list[Row] = [
        (
            member.name,
            Measures(result.project.handout_units).size(*result.states.in_use.pair)
            + f"{f', {result.cutting.copies} of it' if result.cutting.copies > 1 else ''}"
            f"; in {member.folder}/",
        )
        for member, result in results
    ]
    warned = [
        f"  ! {member.name}: {finding.text}"
        for member, result in results
        for finding in result.for_a_person
    ]
    cloth = [
        (item.name, f"{both_units(item.short)} to buy")
        for item in merged.items
        if item.unit == "mm of cloth"
    ]
    return "\n".join([table(rows), *warned, "", table(cloth), "", "class.pdf has the whole list"])
