"""Result to machine files: the whole design in each format, or each part for the machine.

Every file is read back and compared before it is handed on. The files of a part share one zero:
what is sewn, what is traced beforehand and what is left after a break. Parts come with a sheet of
text and pages to print. A format that cannot hold the set is left out of it, and told.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

import numpy as np

from quiltpath.documents.instructions.loading_sheet import loading_text, zero_words
from quiltpath.documents.instructions.placement import machine_pages
from quiltpath.drawing import pdf
from quiltpath.drawing.page_model import reword_drawing
from quiltpath.errors import FormatLimitError, InputError
from quiltpath.formats import FileFormat, FileOrder, formats_named, part_title, write_file
from quiltpath.formats.all_formats import refuse_unheld, secured_ends
from quiltpath.formats.file_variants import VARIANT_WORDS, varied
from quiltpath.formats.short_names import TRACE_LETTER, file_stem, screen_letter, short_ending
from quiltpath.jobs.folder import LEFT_OUT, OutputFile
from quiltpath.language import say, say_known, speaking
from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.loads import FileFacts, Load, trace_stitches, whole_load
from quiltpath.project import Project
from quiltpath.project.sewing_sections import FileVariant
from quiltpath.result.machine_parts import MachineParts, Refusal, nothing_to_sew
from quiltpath.result.values import Result
from quiltpath.stitching import PointKind, Stitches
from quiltpath.units import say_in_units

FOLDER = "machine"
WHOLE = "runner"
TRACE = "trace file"
VARIANT = "variant file"


@dataclasses.dataclass(frozen=True)
class FileRequest:
    """What is wanted of the files for a machine.

    ``formats``       names of stitch and path formats; none takes those of the profile
    ``tolerance_mm``  how far a path may stray from the needle points
    ``secure_paths``  whether path files keep tiny securing stitches; None as the profile has it
    ``variants``      further files of each part that lie otherwise or begin at a corner
    ``short_names``   files are called in 8 letters and 3
    """

    formats: tuple[str, ...] = ()
    tolerance_mm: float = 0.05
    secure_paths: bool | None = None
    variants: tuple[FileVariant, ...] = ()
    short_names: bool = False


@dataclasses.dataclass(frozen=True)
class WrittenFiles:
    """Files that were read back, what each does at thread ends, and formats that were left out.

    ``facts``    the facts of the sewing files of each part, by the part's name
    ``refused``  for each format that cannot hold the set, its name and why
    """

    files: tuple[OutputFile, ...]
    facts: dict[str, tuple[FileFacts, ...]] = dataclasses.field(default_factory=dict)
    refused: tuple[tuple[str, str], ...] = ()

    @property
    def left_out(self) -> tuple[OutputFile, ...]:
        """The file that tells of formats left out; nothing where all were written."""
        if not self.refused:
            return ()
        text = "".join(f"{name} is left out: {reason}\n" for name, reason in self.refused)
        return (OutputFile("LEFT-OUT.txt", text.encode("utf-8"), LEFT_OUT),)


def machine_files(result: Result) -> tuple[OutputFile, ...]:
    """Everything for the machine: the whole in each format, or parts, sheet and pages.

    Formats that cannot hold the design are left out and told in a file of kind ``LEFT_OUT``.
    Raises :class:`InputError` for a format or machine that is not known or cannot sew the runner,
    where no format can hold it, and where nothing is drawn; ``VerificationError`` where a file
    does not read back as meant.
    """
    try:
        return _files(result)
    except InputError as error:
        raise result.in_project_words(error) from None
    except FormatLimitError as error:
        raise _none_holds(result, str(error)) from None


def _files(result: Result) -> tuple[OutputFile, ...]:
    machine = result.machine_parts
    if machine is None:
        written = whole_files(result)
        return (*written.files, *written.left_out)
    title, request, sewn = result.project.title, request_of(result.project), result.as_sewn
    units = result.project.handout_units
    with speaking(result.project.instructions.language):
        written = part_files(machine, title, request)
        lines = _variant_lines(machine, request)
        told = loading_text(title, machine, sewn, result.runner, written.facts, lines, units)
        drawn = machine_pages(title, machine, sewn, result.runner.outline)
    sheet = OutputFile("LOADING.txt", told.encode("utf-8"), "loading sheet")
    pages = pdf.render(reword_drawing(drawn, lambda words: say_in_units(words, units)))
    every = [*written.files, sheet, *written.left_out]
    files = sorted(every, key=lambda file: file.name)
    files.append(OutputFile("placement.pdf", pages, "placement"))
    return tuple(dataclasses.replace(file, name=f"{FOLDER}/{file.name}") for file in files)


def _variant_lines(machine: MachineParts, request: FileRequest) -> dict[str, tuple[str, ...]]:
    """For each part, what its variants are for, what they are called, where each begins."""
    return {
        part.name: tuple(
            _variant_line(machine, part.number, load, variant, request)
            for variant in request.variants
        )
        for part, load in zip(machine.parts, machine.loads, strict=True)
    }


def _variant_line(
    machine: MachineParts, number: int, load: Load, variant: FileVariant, request: FileRequest
) -> str:
    order = part_orders(machine, number, load, "", request)[0].order
    made = _variant_of(order, variant, number, len(machine.parts))
    stem = file_stem(machine.parts[number - 1].name, request.short_names, variant=variant)
    first = made.stitches.needle_holes[0]
    check = zero_words(made.load or load, first, machine.profile.kind)
    return say(
        "  {file}: {use}. On the screen it is called {title}. With the needle over its first stitch"
        " {reads}.",
        file=stem,
        use=say_known(VARIANT_WORDS[variant]),
        title=made.title,
        reads=check,
    )


def request_of(project: Project) -> FileRequest:
    """What the project wants of its files."""
    section = project.machine
    return FileRequest(
        section.asked_formats,
        section.tolerance,
        section.secure_paths,
        tuple(dict.fromkeys(section.variants)),
        section.short_names,
    )


@dataclasses.dataclass(frozen=True)
class FileToWrite:
    """One file: its name without ending, what it holds, and its kind if it is not the usual one."""

    stem: str
    order: FileOrder
    kind: str | None = None


def part_files(machine: MachineParts, title: str, request: FileRequest) -> WrittenFiles:
    """Each part in each format, with its trace where the machine moves a head over the work.

    Raises ``FormatLimitError`` where no format can hold the parts.
    """
    wanted = [
        file
        for part, load in zip(machine.parts, machine.loads, strict=True)
        for file in part_orders(machine, part.number, load, title, request)
    ]
    formats = formats_named(request.formats or machine.profile.formats)
    return _write(wanted, formats, request.short_names)


def refused_formats(result: Result) -> tuple[str, ...]:
    """A line for each format that ``make`` would leave out; nothing is written.

    Raises :class:`InputError` as :func:`machine_files` does where no format can hold the design. A
    machine that refuses the runner is told by the findings, and has no files.
    """
    machine, request = result.machine, request_of(result.project)
    if isinstance(machine, Refusal) or not result.stitches.stitch_count:
        return ()
    if machine is None:
        wanted, names = [FileToWrite(WHOLE, whole_order(result))], result.project.machine.formats
    else:
        wanted = [
            file
            for part, load in zip(machine.parts, machine.loads, strict=True)
            for file in part_orders(machine, part.number, load, "", request)
        ]
        names = request.formats or machine.profile.formats
    told = []
    for form in formats_named(names):
        for each in wanted:
            try:
                refuse_unheld(form, each.order)
            except FormatLimitError as reason:
                told.append(f"{form.name} is left out: {each.stem}: {reason}")
                break
    if told and len(told) == len(formats_named(names)):
        raise _none_holds(result, told[0].partition(": ")[2])
    return tuple(told)


def _none_holds(result: Result, reason: str) -> InputError:
    """No format that is asked for can hold the design."""
    in_parts = "" if result.machine else ", or name a machine that sews the runner in parts"
    file = result.project.file_name
    return InputError(file, "machine.formats", reason, f"leave that format out{in_parts}")


def part_orders(
    machine: MachineParts, number: int, load: Load, title: str, request: FileRequest
) -> list[FileToWrite]:
    """What the part of that number needs: its sewing file, its trace, and variants of both."""
    profile, part = machine.profile, machine.parts[number - 1]
    stitches = as_sewn(part.machine_stitches, profile)
    sewn = FileOrder(
        stitches,
        part_title(title, number, len(machine.parts)),
        profile,
        profile.longest_jump,
        request.tolerance_mm,
        load,
        _secures(request, profile),
    )
    orders = [sewn]
    if profile.kind is not MachineKind.HOOP:
        orders.append(_trace_of(sewn, load, number, len(machine.parts)))
    plain = [_wanted(part.name, order, request.short_names) for order in orders]
    return plain + [
        _wanted(
            part.name,
            _variant_of(order, variant, number, len(machine.parts)),
            request.short_names,
            variant,
        )
        for variant in request.variants
        for order in orders
    ]


def _wanted(
    part: str, order: FileOrder, short: bool, variant: FileVariant | None = None
) -> FileToWrite:
    stem = file_stem(part, short, trace=not order.sews, variant=variant)
    usual = None if order.sews else TRACE
    return FileToWrite(stem, order, VARIANT if variant else usual)


def _variant_of(order: FileOrder, variant: FileVariant, number: int, count: int) -> FileOrder:
    """Named on the screen by what it is, so that it is not taken for the file that it varies."""
    title = part_title(variant, number, count, screen_letter(variant, not order.sews))
    return dataclasses.replace(varied(order, variant), title=title)


def _trace_of(sewn: FileOrder, load: Load, number: int, count: int) -> FileOrder:
    stitches = sewn.stitches
    usual = float(np.median(stitches.step_mm[stitches.is_stitch]))
    return dataclasses.replace(
        sewn,
        stitches=as_sewn(trace_stitches(load, usual), sewn.profile),
        title=part_title("trace", number, count, TRACE_LETTER if count > 1 else ""),
        sews=False,
        usual_stitch_mm=usual,
    )


def _secures(request: FileRequest, profile: MachineProfile) -> bool:
    return profile.secure_paths if request.secure_paths is None else request.secure_paths


def _write(
    wanted: Sequence[FileToWrite], formats: Iterable[FileFormat], short: bool = False
) -> WrittenFiles:
    """All files in each format, or none of them in a format that cannot hold one."""
    files: list[tuple[int, OutputFile]] = []
    facts: dict[str, tuple[FileFacts, ...]] = {}
    refused: list[tuple[str, str]] = []
    for form in formats:
        try:
            made = [_file(each, form, short) for each in wanted]
        except FormatLimitError as reason:
            refused.append((form.name, str(reason)))
            continue
        for place, (each, (file, fact)) in enumerate(zip(wanted, made, strict=True)):
            files.append((place, file))
            if each.order.sews:
                facts[each.stem] = (*facts.get(each.stem, ()), fact)
    if refused and not files:
        raise FormatLimitError(refused[0][1])
    in_order = sorted(files, key=lambda entry: entry[0])
    return WrittenFiles(tuple(file for _, file in in_order), facts, tuple(refused))


def _file(wanted: FileToWrite, form: FileFormat, short: bool) -> tuple[OutputFile, FileFacts]:
    try:
        made = write_file(form, wanted.order)
    except FormatLimitError as reason:
        raise FormatLimitError(f"{wanted.stem}: {reason}") from None
    name = (wanted.stem + short_ending(made.ending)).upper() if short else wanted.stem + made.ending
    file = OutputFile(name, made.content, wanted.kind or made.kind, verified=True)
    ends = secured_ends(wanted.order.stitches)
    return file, FileFacts(name, ends, made.secured_ends, made.way)


def as_sewn(stitches: Stitches, profile: MachineProfile) -> Stitches:
    """Where the machine cannot cut thread, it waits for the person to do it."""
    if profile.trims:
        return stitches
    kind = np.where(stitches.kind == PointKind.TRIM, PointKind.STOP, stitches.kind)
    return dataclasses.replace(stitches, kind=kind.astype(np.int8))


def whole_files(result: Result) -> WrittenFiles:
    """``result.stitches`` in each format that the project names, read back and compared."""
    formats = formats_named(result.project.machine.formats)
    if formats and not result.stitches.stitch_count:
        raise nothing_to_sew()
    return _write([FileToWrite(WHOLE, whole_order(result))], formats)


def whole_order(result: Result) -> FileOrder:
    """The whole design as one file, without a machine's parts."""
    project = result.project
    request, builder = request_of(project), _builder(project)
    return FileOrder(
        result.stitches,
        project.title,
        builder,
        tolerance_mm=request.tolerance_mm,
        load=whole_load(result.stitches) if result.stitches.stitch_count else None,
        secure=_secures(request, builder),
    )


def rest_files(result: Result, name: str, rest: Stitches, stem: str, title: str) -> WrittenFiles:
    """``rest`` is what is left to sew of the part called ``name``, as the machine sees it: in each
    format, from the zero of the file that was being sewn. Raises as :func:`machine_files`.
    """
    machine, request = result.machine_parts, request_of(result.project)
    part = next((p for p in machine.parts if p.name == name), None) if machine else None
    if machine is None or part is None:
        order, formats = whole_order(result), result.project.machine.formats
    else:
        load = machine.loads[part.number - 1]
        order = part_orders(machine, part.number, load, title, request)[0].order
        rest = as_sewn(rest, machine.profile)
        formats = request.formats or machine.profile.formats
    order = dataclasses.replace(order, stitches=rest, title=title)
    short = request.short_names and part is not None
    return _write([FileToWrite(stem, order)], formats_named(formats), short)


def _builder(project: Project) -> MachineProfile:
    """Only its words for the needle and its speed matter here; the project gives the speed."""
    gantry = ProfileRegistry().find("gantry")
    return gantry.model_copy(update={"speed": project.time.stitches_per_minute})
