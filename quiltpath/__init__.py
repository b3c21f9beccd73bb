"""quiltpath: quilting paths, marking guides, machine files and cutting plans for a runner.

The names a program needs, from file to files:

    >>> import quiltpath
    >>> project = quiltpath.parse('''
    ... [runner]
    ... length = "600 mm"
    ... width = "200 mm"
    ... [[quilting]]
    ... kind = "straight"
    ... spacing = "about 25 mm"
    ... ''')
    >>> result = quiltpath.compute(project)
    >>> len(result.lines), len(result.runs)
    (7, 7)

Each floor can be used by itself: ``build`` a runner, ``draw`` lines on it, ``route`` them into
runs by a policy's name, ``place`` stitches on the runs:

    >>> runner = quiltpath.build(project)
    >>> lines = quiltpath.draw(runner, project.quilting)
    >>> runs = quiltpath.route(lines, "continuous")
    >>> quiltpath.place(runs, quiltpath.StitchSection(length=3.4))
    Stitches(1288 stitches, 4.4 m, 7 trims)

``outputs`` gives all files of a result as bytes, and ``write_set`` puts them into a folder whole:

    >>> [file.name for file in quiltpath.outputs(result)][-2:]
    ['sewing-notes.txt', 'report.json']
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quiltpath.version import __version__

if TYPE_CHECKING:
    from quiltpath.errors import InputError as InputError
    from quiltpath.errors import QuiltpathError as QuiltpathError
    from quiltpath.jobs.folder import write_set as write_set
    from quiltpath.jobs.make import outputs as outputs
    from quiltpath.patterns import draw as draw
    from quiltpath.project import Project as Project
    from quiltpath.project import load as load
    from quiltpath.project import parse as parse
    from quiltpath.project.sewing_sections import StitchSection as StitchSection
    from quiltpath.result.computing import compute as compute
    from quiltpath.result.values import Result as Result
    from quiltpath.routing import policy_named as policy_named
    from quiltpath.routing import route as route
    from quiltpath.runner import build as build
    from quiltpath.stitching import place as place


_HOME = {
    "InputError": "errors",
    "Project": "project",
    "QuiltpathError": "errors",
    "Result": "result.values",
    "StitchSection": "project.sewing_sections",
    "build": "runner",
    "compute": "result.computing",
    "draw": "patterns",
    "load": "project",
    "outputs": "jobs.make",
    "parse": "project",
    "place": "stitching",
    "policy_named": "routing",
    "route": "routing",
    "write_set": "jobs.folder",
}

__all__ = [*_HOME, "__version__"]


def __getattr__(name: str) -> Any:
    """Import a name from its floor when it is asked for: ``--help`` needs none of them."""
    if name not in _HOME:
        raise AttributeError(f"module 'quiltpath' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"quiltpath.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    """The public names, also those that nobody has asked for yet."""
    return sorted({*globals(), *__all__})
