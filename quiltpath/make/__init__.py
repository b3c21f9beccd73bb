"""One function from a project file to everything on disk, all or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from quiltpath.aside import Aside
from quiltpath.make.compute import compute
from quiltpath.make.folder import write_set
from quiltpath.make.output_file import OutputFile
from quiltpath.make.outputs import Written, load_writers, outputs, write
from quiltpath.project import load
from quiltpath.result import Result
from quiltpath.telling import Tell, silent

__all__ = ["OutputFile", "compute", "load_and_compute", "load_and_make", "outputs", "write_set"]


def load_and_compute(file: Path, tell: Tell = silent) -> Result:
    """The result for the project in ``file``; nothing is written."""
    return compute(load(file), tell)


def load_and_make(
    file: Path,
    folder: Path,
    formats: Sequence[str] = (),
    tell: Tell = silent,
    writing: Aside[Result, Written] | None = None,
) -> tuple[Result, tuple[OutputFile, ...]]:
    """Do the whole job: load, compute, write all outputs and put them into ``folder`` whole.

    ``formats`` replaces the stitch formats that the project names; ``writing`` is a process begun
    early that writes.
    """
    project = load(file)
    if formats:
        machine = project.machine.model_copy(update={"formats": tuple(formats)})
        project = project.replaced(machine=machine)
    with writing or Aside(write, load_writers) as writing:
        result = compute(project, tell)
        files = outputs(result, tell, writing)
    write_set(files, folder)
    return result, files
