"""A sample's set as ``make`` writes it, with what the terminal says: made once for all tests."""

from __future__ import annotations

from pathlib import Path

from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.make import outputs
from quiltpath.jobs.summary import summary
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.once import once

SAMPLES = Path(__file__).parent.parent / "samples"


@once
def computed(sample: str) -> Result:
    """The sample's result, with all that is computed when it is first asked for."""
    result = compute(load(SAMPLES / sample / "runner.toml"))
    assert result.relief and result.distortion and result.sewing
    return result


@once
def whole_set(sample: str) -> tuple[str, dict[str, OutputFile]]:
    """The terminal's words, and every file by its name."""
    result = computed(sample)
    files = list(outputs(result))
    return summary(result, files), {file.name: file for file in files}
