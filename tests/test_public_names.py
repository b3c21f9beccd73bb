"""What a program imports is there, documented, and as quick to reach as it is to name."""

from __future__ import annotations

import doctest
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

import quiltpath

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize("name", [n for n in quiltpath.__all__ if n != "__version__"])
def test_every_public_name_is_there_and_says_what_it_does(name: str) -> None:
    thing = getattr(quiltpath, name)
    assert inspect.getdoc(thing)


def test_a_name_that_is_not_there_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'sew'"):
        _ = quiltpath.sew


def test_help_on_the_package_lists_every_public_name() -> None:
    """``python -m pydoc quiltpath`` and a completing shell see what nobody has asked for yet."""
    code = "import pydoc, quiltpath; print(pydoc.render_doc(quiltpath, renderer=pydoc.plaintext))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    for name in FUNCTIONS:
        assert f"\n    {name}(" in said.stdout
    for name in set(quiltpath.__all__) - {*FUNCTIONS, "__version__"}:
        assert f"\n    class {name}" in said.stdout


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


FUNCTIONS = sorted(
    name for name in quiltpath.__all__ if inspect.isfunction(getattr(quiltpath, name, None))
)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_says_what_it_takes_gives_and_refuses(name: str) -> None:
    told = inspect.getdoc(getattr(quiltpath, name)) or ""
    for heading in ("Args:", "Returns:", "Raises:", "Example:"):
        assert heading in told
    for parameter in inspect.signature(getattr(quiltpath, name)).parameters:
        assert f"    {parameter}: " in told


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_of_a_public_function_runs(name: str) -> None:
    function = getattr(quiltpath, name)
    finder = doctest.DocTestFinder(recurse=False)
    (example,) = finder.find(function, name, globs=dict(function.__globals__))
    assert example.examples
    assert doctest.DocTestRunner().run(example).failed == 0


EXAMPLES = (
    "quiltpath.patterns.lines",
    "quiltpath.routing.runs",
    "quiltpath.stitching.stitches",
)
"""Values whose arrays are shown in a small worked example."""


@pytest.mark.parametrize("module", EXAMPLES)
def test_the_examples_of_the_values_run(module: str) -> None:
    results = doctest.testmod(importlib.import_module(module))
    assert results.attempted > 0
    assert results.failed == 0


SCRIPT = """
from pathlib import Path

import quiltpath

project: quiltpath.Project = quiltpath.load(Path("runner.toml"))
result: quiltpath.Result = quiltpath.compute(project)
runs = quiltpath.route(quiltpath.draw(result.runner, project.quilting), "walking-foot")
stitches = quiltpath.place(runs, quiltpath.StitchSection(length=3.0))
metres: float = stitches.stitched_mm / 1000
quiltpath.write_set(quiltpath.outputs(result), Path("out"))
"""


def test_a_users_ten_lines_are_typed(tmp_path: Path) -> None:
    """The package says that it is typed (PEP 561), and a strict checker finds the one slip."""
    script = tmp_path / "mine.py"
    script.write_text(SCRIPT + "inches: str = stitches.stitched_mm / 25.4\n")
    words = [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent"]
    told = subprocess.run([*words, str(script)], capture_output=True, text=True, cwd=ROOT).stdout
    (slip,) = [line for line in told.splitlines() if "error" in line and "Found" not in line]
    assert '"float"' in slip and '"str"' in slip


def test_a_value_shows_itself_in_one_line() -> None:
    project = quiltpath.parse(
        'units = "mm"\nrunner = { length = 600, width = 200 }\n'
        'quilting = [{ kind = "straight", spacing = 25 }]\n'
    )
    result = quiltpath.compute(project)
    values = (project, result.runner, result.lines, result.runs, result.stitches, result)
    for value in values:
        assert len(repr(value)) < 150 and "\n" not in repr(value)
        assert repr(value).startswith(type(value).__name__ + "(")
