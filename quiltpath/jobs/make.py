"""``make``: one function from a project file to everything on disk, all or nothing.

Every document is a row of :data:`WRITERS`: a result in, finished files out, none needing another;
the report comes last. What writes is imported where it works, so that a fault in the project file
is told before any of it is loaded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile, write_set
from quiltpath.jobs.set_placing import REPORT_NAME
from quiltpath.progress import Progress, no_progress
from quiltpath.units import say_in_units
from quiltpath.worker_pool import Beside

if TYPE_CHECKING:
    from quiltpath.jobs.all_jobs import FurtherFiles
    from quiltpath.result.relief_facts import ReliefFacts
    from quiltpath.result.values import Result


def _machine(result: Result) -> Iterable[OutputFile]:
    from quiltpath.jobs.machine_files import machine_files

    return machine_files(result)


def _guide(result: Result) -> Iterator[OutputFile]:
    """The marking guide, with the machine's alignment crosses and the checkpoints on it."""
    from quiltpath.documents.guide import marking_guide

    yield OutputFile("guide.svg", marking_guide(result), "marking guide")


def _drawn_preview(result: Result) -> Iterator[OutputFile]:
    """How it will look, in lines."""
    from quiltpath.documents.all_previews import drawn_preview

    yield OutputFile("preview.svg", drawn_preview(result), "preview")


def _lit_previews(result: Result) -> Iterator[OutputFile]:
    """How it will look under light, as a picture and as a page."""
    from quiltpath.documents.all_previews import lit_previews

    return (OutputFile(*made) for made in lit_previews(result))


def _printed(result: Result) -> Iterator[OutputFile]:
    """Everything that is printed to mark by; raises :class:`InputError`."""
    from quiltpath.documents.guide import guide
    from quiltpath.marking import paper_outputs

    given = result.project, result.runner, result.lines, result.runs, guide
    try:
        for file in paper_outputs(*given):
            yield OutputFile(file.name, file.content, file.kind, pages=file.report_entry())
    except InputError as error:
        raise result.in_project_words(error) from None


def _instructions(result: Result) -> Iterator[OutputFile]:
    """On paper and on screen, and the cutting layouts."""
    from quiltpath.documents.instructions import instruction_files

    states = {"cutting layouts": "cloth"}
    for name, content, kind in instruction_files(result):
        yield OutputFile(name, content, kind, state=states.get(kind, "several"))


@dataclass(frozen=True)
class Writer:
    """One kind of document: what it is called while it is written, and who writes it.

    ``by_relief`` says that it needs how the cloth stands up, which takes as long as all the others:
    these are written beside them.
    """

    name: str
    write: Callable[[Result], Iterable[OutputFile]]
    by_relief: bool = False


WRITERS = (
    Writer("machine files", _machine),
    Writer("guide", _guide),
    Writer("preview in lines", _drawn_preview),
    Writer("printed sheets", _printed),
    Writer("instructions", _instructions),
    Writer("lit previews", _lit_previews, by_relief=True),
)
"""In the order in which the report lists their files."""


def load_and_compute(file: Path, progress: Progress = no_progress) -> Result:
    """The result for the project in ``file``; nothing is written."""
    from quiltpath.project import load
    from quiltpath.result.computing import compute

    return compute(load(file), progress)


def load_and_check(file: Path, progress: Progress = no_progress) -> Result:
    """The same, and what ``make`` would refuse is refused: formats and papers that are not known,
    and pictures that are none.

    Raises :class:`InputError` as ``make`` does; a machine that cannot sew the runner is among the
    findings.
    """
    from quiltpath.documents.printed_cloth import cloth_photos
    from quiltpath.formats import formats_named
    from quiltpath.marking.paper_files import paper_setting

    result = load_and_compute(file, progress)
    project = result.project
    try:
        formats_named(project.machine.asked_formats)
        cloth_photos(result)
        if project.sheets:
            paper_setting(project.paper, result.runner)
    except InputError as error:
        raise result.in_project_words(error) from None
    return result


def load_and_make(
    file: Path, folder: Path, formats: Sequence[str] = (), progress: Progress = no_progress
) -> tuple[Result, tuple[OutputFile, ...]]:
    """Do the whole job: load, compute, write all outputs and put them into ``folder`` whole.

    ``formats`` replaces the stitch formats that the project names.
    """
    from quiltpath.project import load
    from quiltpath.result.computing import compute

    project = load(file)
    if formats:
        machine = project.machine.model_copy(update={"formats": tuple(formats)})
        project = project.replaced(machine=machine)
    with Beside(_load_what_lights) as beside:
        result = compute(project, progress)
        written = _written(result, progress, beside)
    files = _whole_set(result, written, progress)
    write_set(files, folder)
    return result, files


def make_and_name(file: Path, folder: Path, progress: Progress = no_progress) -> dict[str, str]:
    """The whole job for ``file`` into ``folder``; what lies there afterwards, by its name."""
    return {made.name: made.kind for made in load_and_make(file, folder, progress=progress)[1]}


def outputs(result: Result, progress: Progress = no_progress) -> tuple[OutputFile, ...]:
    """All files of the set, the report last, as names and bytes; nothing touches the disk.

    Args:
        result: everything computed for one project.
        progress: called with what is being done, the steps done and the steps in all.

    Returns:
        Files in the order in which the report lists them.

    Raises:
        InputError: a format that is not known or cannot hold the design, or a machine that cannot
            sew it.
        VerificationError: a file does not read back as meant.

    Example:
        >>> import quiltpath
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> [file.name for file in quiltpath.outputs(quiltpath.compute(project))][:2]
        ['runner.dst', 'runner.pes']
    """
    with Beside(_load_what_lights) as beside:
        written = _written(result, progress, beside)
    return _whole_set(result, written, progress)


def _load_what_lights() -> None:
    """What the writers by relief would load when they come to it."""
    import scipy.ndimage  # noqa: F401
    import svgwrite  # noqa: F401
    from PIL import Image

    import quiltpath.documents.all_previews  # noqa: F401

    Image.preinit()


def _written(result: Result, progress: Progress, beside: Beside) -> list[OutputFile]:
    """The files of all writers; a fault of those that need no relief comes first."""
    _ = result.sewing, result.distortion  # Both sides tell of them, so they go along.
    lit = beside.begin(_by_relief, result)
    others = _files(result, progress, by_relief=False)
    files, relief = lit()
    result.keep_relief(relief)
    return [*others, *files]


def _by_relief(result: Result) -> tuple[list[OutputFile], ReliefFacts]:
    return _files(result, no_progress, by_relief=True), result.relief


def _whole_set(
    result: Result, written: Sequence[OutputFile], progress: Progress
) -> tuple[OutputFile, ...]:
    """What was written, and what tells of it."""
    return (*written, *_last(result, written, _also(result, progress)))


def _files(result: Result, progress: Progress, *, by_relief: bool) -> list[OutputFile]:
    files: list[OutputFile] = []
    for number, writer in enumerate(WRITERS):
        if writer.by_relief == by_relief:
            progress(writer.name, number, len(WRITERS))
            files += writer.write(result)
    return files


def _also(result: Result, progress: Progress) -> tuple[FurtherFiles, ...]:
    """What the project asks for beside the usual set; its writers are loaded only then."""
    if not result.project.also.asked:
        return ()
    from quiltpath.jobs.all_jobs import also_work

    return also_work(result, progress)


def _last(
    result: Result, files: Sequence[OutputFile], also: Sequence[FurtherFiles]
) -> Iterator[OutputFile]:
    """The notes, what [also] asks for, and the report, which lists every other file."""
    from quiltpath.documents.notes import sewing_notes
    from quiltpath.documents.report import report_json

    told = {made.key: made.report for made in also}
    further = [made.notes for made in also]
    notes = sewing_notes(result, further)
    notes = say_in_units(notes, result.project.handout_units)
    more = [OutputFile("sewing-notes.txt", notes.encode("utf-8"), "sewing notes")]
    more += [file for made in also for file in made.files]
    yield from more
    entries = [file.entry() for file in (*files, *more)]
    pages = [file.pages for file in files if file.pages is not None]
    yield OutputFile(
        REPORT_NAME, report_json(result, entries, pages, told, result.relief), "report"
    )
