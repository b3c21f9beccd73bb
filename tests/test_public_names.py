"""What a program imports is there, documented, and as quick to reach as it is to name."""

from __future__ import annotations

import doctest
import inspect
import subprocess
import sys

import pytest

import quiltpath


@pytest.mark.parametrize("name", [n for n in quiltpath.__all__ if n != "__version__"])
def test_every_public_name_is_there_and_says_what_it_does(name: str) -> None:
    thing = getattr(quiltpath, name)
    assert inspect.getdoc(thing)


def test_a_name_that_is_not_there_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'sew'"):
        _ = quiltpath.sew


def test_the_example_in_the_package_runs() -> None:
    results = doctest.testmod(quiltpath)
    assert results.attempted > 0
    assert results.failed == 0


def test_help_needs_no_geometry() -> None:
    """numpy and shapely are imported where they are used, not to print a help text."""
    code = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from quiltpath.cli import main\n"
        "assert CliRunner().invoke(main, ['--help']).exit_code == 0\n"
        "print(sorted({'numpy', 'shapely', 'pyembroidery'} & set(sys.modules)))\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
