"""Settings and end of the command line's own process."""

from __future__ import annotations

import subprocess
import sys

import pytest


def ended(script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)


def test_all_that_was_said_is_out_before_the_process_ends() -> None:
    said = "x" * 100_000
    done = ended(
        "import sys; from quiltpath.process import leave\n"
        f"print('{said}', end=''); print('why', end='', file=sys.stderr); leave(3)"
    )
    assert (done.returncode, done.stdout, done.stderr) == (3, said, "why")


@pytest.mark.parametrize(("wait", "tidied"), [("pass", "tidied"), ("other.join()", "")])
def test_only_a_process_with_no_other_at_work_ends_untidied(wait: str, tidied: str) -> None:
    done = ended(
        "import atexit, time, multiprocessing; from quiltpath.process import leave\n"
        "fork = multiprocessing.get_context('fork')\n"
        "other = fork.Process(target=time.sleep, args=(0.2,)); other.start()\n"
        f"{wait}; atexit.register(lambda: print('tidied', end='')); leave(2)"
    )
    assert (done.returncode, done.stdout) == (2, tidied)


def test_the_command_ends_with_its_own_exit_code() -> None:
    for arguments, code in (["--version"], 0), (["check", "no-such.toml"], 2), (["no-such"], 2):
        done = subprocess.run([sys.executable, "-m", "quiltpath", *arguments], capture_output=True)
        assert done.returncode == code, arguments
