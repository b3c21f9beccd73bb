"""The same drawing on every processor.

numpy picks its sines, logarithms and sorting by what the processor can do; results differ in the
last bits, and equals come in another order. Here jobs are drawn again by the plainest of them.
numpy's manual, "Runtime dispatch", tells of the variable.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys

import numpy as np
import pytest

from tests.approved.jobs import jobs
from tests.approved.record import approved, from_text
from tests.approved.test_as_approved import alike

DRAWN = ("pattern-", "drawing-", "place-")
"""What rests on choices among equals; other jobs lay the same lines in other ways."""

SAY_EACH = """
import json, sys
from tests.approved.jobs import jobs
from tests.approved.record import as_text, came_to
texts = jobs()
json.dump({name: as_text(came_to(name, texts[name])) for name in sys.argv[1:]}, sys.stdout)
"""


def _found() -> list[str]:
    config = np.show_config(mode="dicts")
    assert config is not None
    return list(config["SIMD Extensions"].get("found", ()))


@pytest.mark.exhaustive
@pytest.mark.skipif(not _found(), reason="this processor has numpy's plainest ways only")
def test_jobs_are_drawn_alike_without_the_processors_own_ways() -> None:
    names = [name for name in jobs() if name.startswith(DRAWN)]
    child = subprocess.run(
        [sys.executable, "-c", SAY_EACH, *names],
        env={**os.environ, "NPY_DISABLE_CPU_FEATURES": " ".join(_found())},
        capture_output=True,
        text=True,
        check=True,
    )
    drawn = {name: from_text(text) for name, text in json.loads(child.stdout).items()}
    others = []
    for name in names:
        before, now = approved(name), drawn[name]
        same = before.keys() == now.keys() and all(
            before[place].keys() == now[place].keys()
            and all(alike(figure, now[place][key]) for key, figure in before[place].items())
            for place in before
        )
        others += [] if same else [name]
    assert names and not others
