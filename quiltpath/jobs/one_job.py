"""One row a job: what serves its command and its key under [also] alike.

A job is asked for in the words of its key, whether they stand in the project file or come from the
options of the command, and the section of the file reads both. It comes to files, to what the
report says of them under the job's name, and to rows for a person.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from quiltpath.documents.notes import ReportEntry
from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile, only_own_set, with_report, write_set
from quiltpath.jobs.summary import Row, file_table, table
from quiltpath.project import Project, load
from quiltpath.project.document_sections import AlsoSection
from quiltpath.project.faults import first_fault
from quiltpath.result.computing import compute
from quiltpath.result.values import Result


@dataclass(frozen=True)
class Design:
    """A project with its result, which is computed where a job asks for it."""

    project: Project
    made: Result | None = None

    @cached_property
    def result(self) -> Result:
        """Everything computed for the project."""
        return compute(self.project) if self.made is None else self.made


@dataclass(frozen=True)
class JobOutput:
    """What a job came to: its files, what the report says of it, and rows to print.

    ``say_rows`` says the rows again, in the language that is spoken by then.
    """

    title: str
    files: tuple[OutputFile, ...]
    report: dict[str, Any]
    rows: Sequence[Row] = ()
    say_rows: Callable[[], Sequence[Row]] | None = None


@dataclass(frozen=True)
class Job:
    """One thing that is asked for by a command, by a key of [also], or by both.

    ``name``     of the command, of the key, and of what the report says
    ``work``     gets the designs (one, under [also]) and what was asked, as the key's section reads
                 it; a command may hand over more by name
    ``heading``  over its words in the sewing notes, and
    ``notes``    those words, from what the report says; both only for a key of [also]
    ``options``  the command's options by the key that each stands for, where they differ
    ``earlier``  the report's key for it in sets of an earlier version, which are its own as well
    """

    name: str
    work: Callable[..., JobOutput]
    heading: str = ""
    notes: Callable[[ReportEntry], list[str]] | None = None
    options: Mapping[str, str] = field(default_factory=dict)
    earlier: str | None = None

    @property
    def is_key(self) -> bool:
        """Whether a project file can ask for it."""
        return self.name in AlsoSection.model_fields

    def asked(self, value: object, project: Project) -> Any:
        """What a command asks for, read as the key of [also]; a fault names the option."""
        if not self.is_key:
            return value
        try:
            section = AlsoSection.model_validate(
                {self.name: value}, context={"units": project.units}
            )
        except ValidationError as error:
            fault = first_fault(error, {self.name: value}, AlsoSection, self.name)
            key = fault.key.split("[")[0].rpartition(".")[2]
            option = self.options.get(key, "" if key == self.name else f"--{key}")
            remedy = fault.remedy.replace(f"write {key} = ", f"write {option} ")
            raise InputError(self.name, option, fault.fault, remedy) from None
        return getattr(section, self.name)


def carry_out(
    job: Job, files: Sequence[Path], value: object, folder: Path | None = None, **more: Any
) -> str:
    """The job as a command: its files and its report put into ``folder`` whole; what is printed.

    Without a folder nothing is written. Raises :class:`InputError`, also for a folder that holds
    another set.
    """
    designs = tuple(Design(load(file)) for file in files)
    asked = job.asked(value, designs[0].project)
    if folder is not None:
        make_room(job, folder)
    output = job.work(designs, asked, **more)
    if folder is None:
        return f"{output.title}\n{table(output.rows)}"
    written = put_into(job, output, folder)
    return "\n\n".join(part for part in (table(output.rows), file_table(written)) if part)


def make_room(job: Job, folder: Path) -> None:
    """Raises :class:`InputError` where the folder holds another set than one of the job's own."""
    only_own_set(folder, job.name, job.earlier or job.name)


def put_into(job: Job, output: JobOutput, folder: Path) -> Sequence[OutputFile]:
    """What a job came to with its report, written into ``folder`` whole."""
    written = with_report(output.files, {"title": output.title, job.name: output.report})
    write_set(written, folder)
    return written
