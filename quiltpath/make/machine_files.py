"""Result to machine files: the whole design in each format, or cut up for the project's machine."""

from __future__ import annotations

from collections.abc import Callable

from quiltpath.checks.void_checklist import counted_in_part
from quiltpath.errors import FormatRefused, InputError
from quiltpath.machines import MachineProfile, ProfileShelf
from quiltpath.machines.shelf import profile_from
from quiltpath.make.compute import thread_setting
from quiltpath.make.machine_passes import passes_of
from quiltpath.make.machine_work import MachineWork
from quiltpath.make.output_file import OutputFile
from quiltpath.output import pdf
from quiltpath.output.instructions_machine import MachineLoad
from quiltpath.output.machine import FORMATS, deliver
from quiltpath.output.machine_parts.misplacement import worst_misplacement
from quiltpath.output.machine_parts.parts import CutSecuring
from quiltpath.output.machine_parts.plan import PartPlan, PartSetting, plan
from quiltpath.output.machine_paths import PATH_FORMATS, deliver_paths
from quiltpath.output.machine_set import MachineRequest, MachineSet, known_formats, machine_set
from quiltpath.quilting.lines import LineRole
from quiltpath.result import Result
from quiltpath.telling import Tell, silent

FOLDER = "machine"
WHOLE = "runner"


def machine_work(result: Result, tell: Tell = silent) -> MachineWork:
    """Everything for the machine, read back and compared.

    Raises :class:`InputError` for a format or machine that is not known or cannot hold or sew the
    runner, and where nothing is drawn; ``VerificationFailed`` where a file does not read back as
    meant.
    """
    return _in_project_words(result, lambda: _work(result, tell))


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


def _work(result: Result, tell: Tell) -> MachineWork:
    profile = profile_of(result)
    if not result.stitches.stitch_count and (profile or result.project.machine.formats):
        fault = "nothing is drawn, so that there is nothing to sew"
        raise InputError("", "quilting", fault, "give a spacing or a region in which lines fit")
    if profile is None:
        return MachineWork(whole_files(result, tell))
    tell("parts for the machine", 0, 1)
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


def profile_of(result: Result) -> MachineProfile | None:
    """The machine that the project names, if it names one. Raises :class:`InputError`."""
    section = result.project.machine
    if section.own_profile:
        return profile_from(result.project.drawing(section.own_profile), section.own_profile)
    return ProfileShelf().find(section.profile) if section.profile else None


def _request(result: Result) -> MachineRequest:
    section = result.project.machine
    return MachineRequest(
        thread_setting(result.project),
        formats=section.asked_formats,
        parts=part_setting(result),
        tolerance_mm=section.tolerance,
        kinds=_kinds(result),
    )


def part_setting(result: Result) -> PartSetting:
    """How the project wants its design cut up."""
    section, stitch = result.project.machine, result.project.stitch
    count = stitch.securing_count if stitch.securing == "tiny" else 0
    return PartSetting(
        overlap_mm=section.overlap,
        overlap_stitches=section.overlap_stitches,
        centre_out=section.order == "centre-out",
        sew_crosses=section.sew_crosses,
        securing=CutSecuring(count, stitch.securing_length),
    )


def part_plan(result: Result) -> PartPlan | None:
    """The parts for the project's machine, without their files."""
    profile = profile_of(result)
    if profile is None:
        return None
    runner = result.runner
    return plan(
        result.stitches,
        profile,
        part_setting(result),
        outline=runner.outline,
        printed=runner.printed,
        passes=passes_of(result, profile, part_setting(result)),
    )


def _kinds(result: Result) -> tuple[str, ...]:
    """The layer of each quilting line in a path file: what the line does for the quilt."""
    return tuple(LineRole(role).name.lower() for role in result.lines.role.tolist())


def whole_files(result: Result, tell: Tell = silent) -> tuple[OutputFile, ...]:
    """``result.stitches`` in each format that the project names, read back and compared."""
    wanted = known_formats(result.project.machine.formats)
    files = []
    for number, name in enumerate(wanted):
        tell(f"{name} file", number, len(wanted))
        files.append(_whole_file(result, name))
    return tuple(files)


def _whole_file(result: Result, name: str) -> OutputFile:
    project = result.project
    if name in FORMATS:
        content, verdict = deliver(result.stitches, name, project.title)
        return OutputFile(f"{WHOLE}.{name}", content, "stitch file", verdict.verified)
    # Only its words for the needle and its speed matter here; the project gives the speed.
    builder = ProfileShelf().find("gantry")
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
