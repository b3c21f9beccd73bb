"""What [also] asks for: further files of the set, and what the report and the notes say of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from quiltpath.errors import InputError
from quiltpath.jobs.ask import ASK
from quiltpath.jobs.compare import COMPARE
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.look import LOOK
from quiltpath.jobs.nest import NEST
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.jobs.resume import RESUME
from quiltpath.jobs.sizes import SIZES
from quiltpath.language import Language, say_known, speaking
from quiltpath.progress import Progress, no_progress
from quiltpath.project.document_sections import AlsoSection
from quiltpath.result.values import Result


@dataclass(frozen=True)
class FurtherFiles:
    """The files that one key of [also] asks for, what the report says under it, and the notes."""

    key: str
    files: tuple[OutputFile, ...]
    report: dict[str, Any]
    notes: tuple[str, list[str]]


def by_name(*jobs: Job) -> dict[str, Job]:
    """The registry; raises ``ValueError`` for a key without a job or without words."""
    registry = {job.name: job for job in jobs}
    for key in AlsoSection.model_fields:
        job = registry.get(key)
        if job is None:
            raise ValueError(f"also.{key} has no job; add its row to JOBS in jobs/all_jobs.py")
        if job.notes is None or not job.heading:
            raise ValueError(f"the job {key} says nothing in the sewing notes; give it a heading")
    return registry


JOBS = by_name(
    LOOK,
    SIZES,
    NEST,
    ASK,
    RESUME,
    COMPARE,
)
"""In the order in which the report and the notes tell of them."""


def also_work(result: Result, progress: Progress = no_progress) -> tuple[FurtherFiles, ...]:
    """Everything that the project asks for; raises :class:`InputError` in its own words."""
    asked = {key: getattr(result.project.also, key) for key in AlsoSection.model_fields}
    jobs = [job for job in JOBS.values() if asked.get(job.name)]
    made = []
    for number, job in enumerate(jobs):
        progress(f"also: {job.name}", number, len(jobs))
        made.append(_further(job, _do(job, result, asked), result.project.instructions.language))
    return tuple(made)


def _do(job: Job, result: Result, asked: Mapping[str, Any]) -> JobOutput:
    try:
        return job.work((Design(result.project, result),), asked[job.name])
    except InputError as error:
        file = result.project.file_name
        fault = error.fault.removeprefix(f"{file}: ")
        raise InputError(file, f"also.{job.name}", fault, error.remedy) from None


def _further(job: Job, output: JobOutput, language: Language) -> FurtherFiles:
    with speaking(language):
        told = output.report
        if output.say_rows is not None:
            told = {**told, "words": output.say_rows()}
        lines = job.notes(told) if job.notes is not None else []
        heading = say_known(job.heading)
    return FurtherFiles(job.name, output.files, output.report, (heading, lines))
