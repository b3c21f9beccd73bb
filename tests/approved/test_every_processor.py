"""The same drawing on every processor.

numpy picks its sines, logarithms and sorting by what the processor can do; results differ in the
last bits, and equals come in another order. Here every job is drawn again by the plainest of them.
numpy's manual, "Runtime dispatch", tells of the variable.
"""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from tests.approved.jobs import jobs

SAY_EACH = """
import hashlib
from tests.approved.jobs import jobs
from tests.approved.record import as_text, came_to
for name, text in jobs().items():
    print(name, hashlib.sha256(as_text(came_to(name, text)).encode()).hexdigest())
"""


def _found() -> list[str]:
    config = np.show_config(mode="dicts")
    assert config is not None
    return list(config["SIMD Extensions"].get("found", ()))


@pytest.mark.exhaustive
@pytest.mark.skipif(not _found(), reason="this processor has numpy's plainest ways only")
def test_every_job_is_drawn_alike_without_the_processors_own_ways() -> None:
    plain = _all_jobs_with(NPY_DISABLE_CPU_FEATURES=" ".join(_found()))
    assert plain == _all_jobs_with()
    assert len(plain.splitlines()) == len(jobs())


def _all_jobs_with(**settings: str) -> str:
    found = subprocess.run(
        [sys.executable, "-c", SAY_EACH],
        env={**os.environ, **settings},
        capture_output=True,
        text=True,
        check=True,
    )
    return found.stdout
