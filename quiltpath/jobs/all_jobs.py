"""What [also] asks for: further files of the set, and what the report and the notes say of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from quiltpath.errors import InputError
from quiltpath.jobs.ask import answers, at_hand_of, given_in_words, in_words, told
from quiltpath.jobs.compare import compared, pictured, sheet_files
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.look import KIND as LOOK
from quiltpath.jobs.look import in_words as look_in_words
from quiltpath.jobs.look import look_files, look_told, shows_of
from quiltpath.jobs.nest import nest_copies, nest_files, nest_told
from quiltpath.jobs.resume import resume_files
from quiltpath.jobs.summary import table
from quiltpath.jobs.variants import Variant, sized
from quiltpath.progress import Progress, no_progress
from quiltpath.project import Project
from quiltpath.project.document_sections import AskSection, NestSection
from quiltpath.result.values import Result
from quiltpath.stitching.checkpoints import checkpoints

AT_HAND = "at-hand.txt"
AS_IT_IS = "this one"


@dataclass(frozen=True)
class Also:
    """The files that one key of [also] asks for, and what the report says under that key."""

    key: str
    files: tuple[OutputFile, ...]
    told: dict[str, Any]


def also_work(result: Result, progress: Progress = no_progress) -> tuple[Also, ...]:
    """Everything that the project asks for; raises :class:`InputError` in its own words."""
    asked = result.project.also
    jobs: list[tuple[str, Callable[[], Also]]] = []
    if asked.look is not None:
        jobs.append(("look", lambda: _look(result, asked.look or 0.0)))
    if asked.sizes:
        jobs.append(("sizes", lambda: _sizes(result, asked.sizes)))
    if (copies := asked.nest) is not None:
        jobs.append(("nest", lambda: _nest(result, copies)))
    if (at_hand := asked.ask) is not None:
        jobs.append(("ask", lambda: _ask(result, at_hand)))
    if asked.resume:
        jobs.append(("resume", lambda: _resume(result, asked.resume)))
    made = []
    for number, (key, job) in enumerate(jobs):
        progress(f"also: {key}", number, len(jobs))
        made.append(_in_project_words(result, f"also.{key}", job))
    return tuple(made)


def _in_project_words(result: Result, key: str, job: Callable[[], Also]) -> Also:
    try:
        return job()
    except InputError as error:
        file = result.project.file_name
        fault = error.fault.removeprefix(f"{file}: ")
        raise InputError(file, key, fault, error.remedy) from None


def _look(result: Result, distance_mm: float) -> Also:
    shows = shows_of(result)
    files = look_files(result, shows, distance_mm)
    words = [list(row) for row in look_in_words(shows)]
    figures = look_told(result, shows, distance_mm)
    return Also("look", files, {**figures.pop(LOOK), **figures, "words": words})


def _sizes(result: Result, wishes: tuple[str, ...]) -> Also:
    """The design as it is first, then each of the sizes."""
    project = result.project
    made = [pictured(AS_IT_IS, result)]
    made += [compared(_of_size(project, wish.strip())) for wish in wishes]
    options = [option for option, _, _ in made]
    title = f"{project.title}: sizes"
    files = sheet_files("sizes", title, project.cost.currency, options, made)
    each = [
        {
            "size": option.label,
            "length_mm": round(option.size_mm[0], 2),
            "width_mm": round(option.size_mm[1], 2),
            "lines": option.lines,
            "line_gap_mm": option.line_gap_mm and round(option.line_gap_mm, 3),
            "widest_gap_mm": round(option.widest_gap_mm, 2),
        }
        for option in options
        if option.size_mm is not None
    ]
    return Also("sizes", files, {"each": each})


def _of_size(project: Project, wish: str) -> Variant:
    try:
        return Variant(*sized(project, wish))
    except ValueError as error:
        raise InputError("", "", str(error)) from None


def _nest(result: Result, asked: NestSection) -> Also:
    nested = nest_copies(result, asked)
    return Also("nest", nest_files(nested), nest_told(nested))


def _ask(result: Result, asked: AskSection) -> Also:
    found = answers(result.project, at_hand_of(asked))
    words = in_words(result.project, found)
    given = table(given_in_words(found.at_hand))
    text = f"WITH WHAT IS AT HAND: {result.project.title}\n\n{given}\n\n{table(words)}\n"
    file = OutputFile(AT_HAND, text.encode("utf-8"), "what is at hand", state="several")
    return Also("ask", (file,), {**told(found), "words": [list(row) for row in words]})


def _resume(result: Result, numbers: tuple[int, ...]) -> Also:
    """Files from each checkpoint on, in a folder of their own; part by part where there are."""
    files: list[OutputFile] = []
    ready = []
    for number, part in _from_where(result, numbers):
        title, made = resume_files(result, number, part)
        folder = f"resume/{part + '-' if part else ''}c{number}"
        files += [replace(file, name=f"{folder}/{file.name}") for file in made]
        ready.append({"checkpoint": number, "part": part, "folder": folder, "title": title})
    return Also("resume", tuple(files), {"ready": ready})


def _from_where(result: Result, numbers: tuple[int, ...]) -> Iterator[tuple[int, str | None]]:
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
