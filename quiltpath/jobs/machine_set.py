"""What is made for a machine, as it comes back from where it was made: no writer is imported.

Everything that one machine is given for one runner: files, sheets, figures.

How to call it, from where the stitches and the runner are known::

    made = machine_set(
        stitches, profile, outline=runner.outline, printed=runner.printed, title=project.title,
        request=MachineRequest(thread_setting, parts=PartSetting(centre_out=True)),
    )
    for file in made.files:      # name, contents, kind, verified: bytes, nothing touches the disk
        ...
    made.pages                   # a Drawing: an overview and a page for each part
    made.crosses                 # (n, 2) mm, to be drawn on the marking guide
    made.refused                 # formats that cannot hold the design, with the reason

Raises ``InputError`` where the machine cannot sew the runner, with the smallest field that would
do, and ``VerificationFailed`` where a file does not read back as meant: it is not delivered.

Result to machine files: the whole design in each format, or cut up for the project's machine.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.lines_to_count import counted_in_part
from quiltpath.documents.loading_sheet import loading_text
from quiltpath.documents.placement import machine_pages
from quiltpath.drawing import pdf
from quiltpath.drawing.page_model import Drawing
from quiltpath.errors import FormatRefused, InputError
from quiltpath.formats import FORMATS, PATH_FORMATS, deliver, deliver_paths
from quiltpath.geometry.arrays import distinct
from quiltpath.jobs.folder import OutputFile
from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.part_facts import MachineLoad, PartFacts, part_facts, trace_stitches
from quiltpath.machine.part_plan import PartPlan, PartSetting, plan, worst_misplacement
from quiltpath.machine.parts import Part
from quiltpath.machine.passes import SewnPasses
from quiltpath.patterns import LineRole
from quiltpath.progress import Progress, no_progress
from quiltpath.result.computing import thread_setting
from quiltpath.result.machine_parts import part_setting, passes_of, profile_of
from quiltpath.result.values import Result
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.thread_and_time import ThreadSetting

if TYPE_CHECKING:
    from quiltpath.checks.lines_to_count import ToCount


@dataclass(frozen=True)
class MachineWork:
    """Files for the machine, the crosses to be marked on the cloth, and what the report says.

    ``to_count`` lists the lines and crossings of each part, where there are parts; ``load`` is
    what the instructions say of loading them.
    """

    files: tuple[OutputFile, ...]
    crosses: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))
    told: dict[str, object] | None = None
    to_count: tuple[ToCount, ...] = ()
    load: MachineLoad | None = None


@dataclass(frozen=True)
class MachineRequest:
    """What is wanted for the machine; ``formats`` empty takes those of its profile.

    ``thread`` is what the figures of thread rest on. ``kinds`` names, for each quilting line, the
    layer that path files put it on.
    """

    thread: ThreadSetting
    formats: tuple[str, ...] = ()
    parts: PartSetting = field(default=PartSetting())
    tolerance_mm: float = 0.05
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True)
class MachineFile:
    """A file for the machine. ``kind`` is ``"stitches"``, ``"paths"``, ``"trace"`` or ``"text"``;
    ``verified`` tells that it was read back and is what was meant (text is not read back)."""

    name: str
    contents: bytes
    kind: str
    verified: bool


@dataclass(frozen=True)
class MachineSet:
    """Files in an order that sorts by name, the plan behind them, and the pages to print."""

    files: tuple[MachineFile, ...]
    plan: PartPlan
    facts: tuple[PartFacts, ...]
    pages: Drawing
    refused: tuple[str, ...]

    @property
    def crosses(self) -> NDArray[np.float64]:
        """(n, 2) alignment crosses to be marked on the cloth, each once; none for one part."""
        if self.plan.in_one:
            return np.zeros((0, 2))
        every = np.vstack([part.crosses for part in self.plan.parts])
        return distinct(np.round(every, 3), axis=0)


def machine_set(
    stitches: Stitches,
    profile: MachineProfile,
    *,
    outline: shapely.Polygon,
    printed: Sequence[shapely.LineString] = (),
    title: str,
    request: MachineRequest,
    passes: SewnPasses | None = None,
) -> MachineSet:
    """Files, figures and pages of one machine for one runner; see the module's own text.

    ``passes`` are those of a frame, where there are several.
    """
    formats = known_formats(request.formats or profile.formats)
    planned = plan(
        stitches, profile, request.parts, outline=outline, printed=printed, passes=passes
    )
    facts = tuple(part_facts(part, profile, request.thread) for part in planned.parts)
    files: list[MachineFile] = []
    refused: list[str] = []
    for part in planned.parts:
        for name in formats:
            try:
                files += _part_files(part, name, profile, outline, title, request)
            except FormatRefused as reason:
                refused.append(f"{part.name}: {reason}")
    text = loading_text(title, planned, facts).encode("utf-8")
    files.append(MachineFile("LOADING.txt", text, "text", False))
    pages = machine_pages(title, planned, facts, outline)
    return MachineSet(
        tuple(sorted(files, key=lambda file: file.name)), planned, facts, pages, tuple(refused)
    )


def known_formats(names: Sequence[str]) -> tuple[str, ...]:
    """The names of stitch and path formats, each once. Raises ``InputError``."""
    plain = [name.lower().lstrip(".") for name in names]
    for name in plain:
        if name not in FORMATS and name not in PATH_FORMATS:
            known = ", ".join([*FORMATS, *PATH_FORMATS])
            raise InputError("", "machine.formats", f"{name!r} is not a format", f"use {known}")
    return tuple(dict.fromkeys(plain))


def _part_files(
    part: Part,
    name: str,
    profile: MachineProfile,
    outline: shapely.Polygon,
    title: str,
    request: MachineRequest,
) -> list[MachineFile]:
    """The part in one format, with its trace where the machine moves a head over the work."""
    sewn = _as_sewn(part.machine_stitches, profile)
    files = [_file(part.name, sewn, name, profile, title, request)]
    if profile.kind is not MachineKind.HOOP:
        edge = trace_stitches(part, outline)
        files.append(_file(f"{part.name}-trace", edge, name, profile, "trace", request, sews=False))
    return files


def _file(
    stem: str,
    stitches: Stitches,
    name: str,
    profile: MachineProfile,
    title: str,
    request: MachineRequest,
    *,
    sews: bool = True,
) -> MachineFile:
    if name in PATH_FORMATS:
        contents, seen = deliver_paths(
            stitches,
            name,
            profile,
            title,
            tolerance_mm=request.tolerance_mm,
            kinds=request.kinds,
            sews=sews,
        )
        ending, verified = PATH_FORMATS[name].ending, seen.verified
    else:
        contents, verdict = deliver(stitches, name, title, longest_jump_mm=profile.longest_jump)
        ending, verified = f".{name}", verdict.verified
    kind = "trace" if not sews else "paths" if name in PATH_FORMATS else "stitches"
    return MachineFile(stem + ending, contents, kind, verified)


def _as_sewn(stitches: Stitches, profile: MachineProfile) -> Stitches:
    """Where the machine cannot cut thread, it waits for the person to do it."""
    if profile.trims:
        return stitches
    kind = np.where(stitches.kind == PointKind.TRIM, PointKind.STOP, stitches.kind)
    return dataclasses.replace(stitches, kind=kind.astype(np.int8))


FOLDER = "machine"
WHOLE = "runner"


def machine_work(result: Result, progress: Progress = no_progress) -> MachineWork:
    """Everything for the machine, read back and compared.

    Raises :class:`InputError` for a format or machine that is not known or cannot hold or sew the
    runner, and where nothing is drawn; ``VerificationFailed`` where a file does not read back as
    meant.
    """
    return _in_project_words(result, lambda: _work(result, progress))


def _in_project_words(result: Result, step: Callable[[], MachineWork]) -> MachineWork:
    file = result.project.file_name
    try:
        return step()
    except InputError as error:
        raise error.at(error.where or file) from None
    except FormatRefused as error:
        in_parts = "" if profile_of(result) else ", or name a machine that sews the runner in parts"
        raise InputError(
            file, "machine.formats", str(error), f"leave that format out{in_parts}"
        ) from None


def _work(result: Result, progress: Progress) -> MachineWork:
    profile = profile_of(result)
    if not result.stitches.stitch_count and (profile or result.project.machine.formats):
        fault = "nothing is drawn, so that there is nothing to sew"
        raise InputError("", "quilting", fault, "give a spacing or a region in which lines fit")
    if profile is None:
        return MachineWork(whole_files(result, progress))
    progress("parts for the machine", 0, 1)
    made = machine_set(
        result.stitches,
        profile,
        outline=result.runner.outline,
        printed=result.runner.printed,
        title=result.project.title,
        request=_request(result),
        passes=passes_of(result, profile, part_setting(result)),
    )
    if made.refused:
        raise FormatRefused(made.refused[0])
    files = [_delivered(file.name, file.contents, file.kind, file.verified) for file in made.files]
    files.append(OutputFile(f"{FOLDER}/placement.pdf", pdf.render(made.pages), "placement"))
    to_count = tuple(counted_in_part(part.name, part.stitches) for part in made.plan.parts)
    load = MachineLoad(made.plan, made.facts)
    return MachineWork(tuple(files), made.crosses, _told(made), to_count, load)


def _delivered(name: str, contents: bytes, kind: str, verified: bool) -> OutputFile:
    if kind == "text":
        return OutputFile(f"{FOLDER}/{name}", contents, "loading sheet")
    return OutputFile(f"{FOLDER}/{name}", contents, _KIND_WORDS[kind], verified)


_KIND_WORDS = {"stitches": "stitch file", "paths": "path file", "trace": "trace file"}


def _request(result: Result) -> MachineRequest:
    section = result.project.machine
    return MachineRequest(
        thread_setting(result.project),
        formats=section.asked_formats,
        parts=part_setting(result),
        tolerance_mm=section.tolerance,
        kinds=_kinds(result),
    )


def _kinds(result: Result) -> tuple[str, ...]:
    """The layer of each quilting line in a path file: what the line does for the quilt."""
    return tuple(LineRole(role).name.lower() for role in result.lines.role.tolist())


def whole_files(result: Result, progress: Progress = no_progress) -> tuple[OutputFile, ...]:
    """``result.stitches`` in each format that the project names, read back and compared."""
    wanted = known_formats(result.project.machine.formats)
    files = []
    for number, name in enumerate(wanted):
        progress(f"{name} file", number, len(wanted))
        files.append(_whole_file(result, name))
    return tuple(files)


def _whole_file(result: Result, name: str) -> OutputFile:
    project = result.project
    if name in FORMATS:
        content, verdict = deliver(result.stitches, name, project.title)
        return OutputFile(f"{WHOLE}.{name}", content, "stitch file", verdict.verified)
    # Only its words for the needle and its speed matter here; the project gives the speed.
    builder = ProfileRegistry().find("gantry")
    builder = builder.model_copy(update={"speed": project.time.stitches_per_minute})
    content, seen = deliver_paths(
        result.stitches,
        name,
        builder,
        project.title,
        tolerance_mm=project.machine.tolerance,
        kinds=_kinds(result),
    )
    return OutputFile(WHOLE + PATH_FORMATS[name].ending, content, "path file", seen.verified)


def _told(made: MachineSet) -> dict[str, object]:
    """What report.json says of the machine; lengths in mm, time in minutes."""
    worst = worst_misplacement(made.plan)
    return {
        "profile": made.plan.profile.title,
        "parts": [
            {
                "name": part.name,
                "centre_mm": list(part.field.centre),
                "turned": part.field.turned,
                "size_mm": [fact.width_mm, fact.height_mm],
                "stitches": fact.stitches,
                "starts": fact.starts,
                "starts_lower_bound": part.fewest,
                "sewing_min": fact.sewing_min,
            }
            for part, fact in zip(made.plan.parts, made.facts, strict=True)
        ],
        "cuts": len(made.plan.cuts),
        "worst_misplacement_mm": worst.offset_mm if worst else None,
    }
