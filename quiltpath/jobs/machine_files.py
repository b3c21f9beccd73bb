"""Result to machine files: the whole design in each format, or each part for the machine.

Every file is read back and compared before it is handed on. Parts come with a sheet of text and
pages to print.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import numpy as np
import shapely

from quiltpath.documents.instructions.loading_sheet import loading_text
from quiltpath.documents.instructions.placement import machine_pages
from quiltpath.drawing import pdf
from quiltpath.errors import FormatRefused, InputError
from quiltpath.formats import FileFormat, FileOrder, formats_named, write_file
from quiltpath.jobs.folder import OutputFile
from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.part_facts import trace_stitches
from quiltpath.machine.parts import Part
from quiltpath.patterns import LineRole
from quiltpath.project import Project
from quiltpath.result.machine_parts import MachineParts, nothing_to_sew
from quiltpath.result.values import Result
from quiltpath.stitching import PointKind, Stitches

FOLDER = "machine"
WHOLE = "runner"
TRACE = "trace file"


@dataclasses.dataclass(frozen=True)
class FileRequest:
    """What is wanted of the files for a machine.

    ``formats``       names of stitch and path formats; none takes those of the profile
    ``tolerance_mm``  how far a path may stray from the needle points
    ``kinds``         for each quilting line, the layer that path files put it on
    """

    formats: tuple[str, ...] = ()
    tolerance_mm: float = 0.05
    kinds: tuple[str, ...] = ()


def machine_files(result: Result) -> tuple[OutputFile, ...]:
    """Everything for the machine: the whole in each format, or parts, sheet and pages.

    Raises :class:`InputError` for a format or machine that is not known or cannot hold or sew the
    runner, and where nothing is drawn; ``VerificationFailed`` where a file does not read back as
    meant.
    """
    try:
        return _files(result)
    except InputError as error:
        raise result.in_project_words(error) from None
    except FormatRefused as error:
        in_parts = "" if result.machine else ", or name a machine that sews the runner in parts"
        file = result.project.file_name
        remedy = f"leave that format out{in_parts}"
        raise InputError(file, "machine.formats", str(error), remedy) from None


def _files(result: Result) -> tuple[OutputFile, ...]:
    machine = result.machine_parts
    if machine is None:
        return whole_files(result)
    runner, title = result.runner, result.project.title
    sewn, refused = part_files(machine, runner.outline, title, _request(result))
    if refused:
        raise FormatRefused(refused[0])
    text = loading_text(title, machine).encode("utf-8")
    sheet = OutputFile("LOADING.txt", text, "loading sheet")
    pages = pdf.render(machine_pages(title, machine, runner.outline))
    files = [*sorted([*sewn, sheet], key=lambda file: file.name)]
    files.append(OutputFile("placement.pdf", pages, "placement"))
    return tuple(dataclasses.replace(file, name=f"{FOLDER}/{file.name}") for file in files)


def _request(result: Result) -> FileRequest:
    section = result.project.machine
    return FileRequest(section.asked_formats, section.tolerance, _kinds(result))


def _kinds(result: Result) -> tuple[str, ...]:
    """The layer of each quilting line in a path file: what the line does for the quilt."""
    return tuple(LineRole(role).name.lower() for role in result.lines.role.tolist())


def part_files(
    machine: MachineParts, outline: shapely.Polygon, title: str, request: FileRequest
) -> tuple[list[OutputFile], list[str]]:
    """Each part in each format, with its trace where the machine moves a head over the work.

    ``outline`` is the runner's finished edge. Beside the files, the formats that cannot hold a
    part, with the reason.
    """
    files: list[OutputFile] = []
    refused: list[str] = []
    for part in machine.parts:
        for form in formats_named(request.formats or machine.profile.formats):
            try:
                files += _part_files(part, form, machine.profile, outline, title, request)
            except FormatRefused as reason:
                refused.append(f"{part.name}: {reason}")
    return files, refused


def _part_files(
    part: Part,
    form: FileFormat,
    profile: MachineProfile,
    outline: shapely.Polygon,
    title: str,
    request: FileRequest,
) -> Iterator[OutputFile]:
    sewn = FileOrder(
        _as_sewn(part.machine_stitches, profile),
        title,
        profile,
        profile.longest_jump,
        request.tolerance_mm,
        request.kinds,
    )
    yield _file(part.name, form, sewn)
    if profile.kind is not MachineKind.HOOP:
        edge = trace_stitches(part, outline)
        trace = dataclasses.replace(sewn, stitches=edge, title="trace", sews=False)
        yield dataclasses.replace(_file(f"{part.name}-trace", form, trace), kind=TRACE)


def _file(stem: str, form: FileFormat, order: FileOrder) -> OutputFile:
    made = write_file(form, order)
    return OutputFile(stem + made.ending, made.content, made.kind, verified=True)


def _as_sewn(stitches: Stitches, profile: MachineProfile) -> Stitches:
    """Where the machine cannot cut thread, it waits for the person to do it."""
    if profile.trims:
        return stitches
    kind = np.where(stitches.kind == PointKind.TRIM, PointKind.STOP, stitches.kind)
    return dataclasses.replace(stitches, kind=kind.astype(np.int8))


def whole_files(result: Result) -> tuple[OutputFile, ...]:
    """``result.stitches`` in each format that the project names, read back and compared."""
    project = result.project
    formats = formats_named(project.machine.formats)
    if formats and not result.stitches.stitch_count:
        raise nothing_to_sew()
    whole = FileOrder(
        result.stitches,
        project.title,
        _builder(project),
        tolerance_mm=project.machine.tolerance,
        kinds=_kinds(result),
    )
    return tuple(_file(WHOLE, form, whole) for form in formats)


def _builder(project: Project) -> MachineProfile:
    """Only its words for the needle and its speed matter here; the project gives the speed."""
    gantry = ProfileRegistry().find("gantry")
    return gantry.model_copy(update={"speed": project.time.stitches_per_minute})
