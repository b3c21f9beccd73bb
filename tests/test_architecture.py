"""The house: every import points down a floor, and there is no circle; read from the code."""

from __future__ import annotations

import ast
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "quiltpath"

FLOORS = (
    # Rooms of one floor do not know each other; modules of the ground may.
    {"units", "language", "errors", "findings", "files", "progress", "schema", "toml_slips",
     "process", "worker_pool", "version", "command_line"},
    {"geometry", "drawing", "photo"},
    {"patterns"},
    {"project", "routing"},
    {"runner", "stitching"},
    {"checks", "materials", "machine"},
    {"result"},
    {"documents", "marking", "formats"},
    {"jobs", "page"},
    {"cli"},
    {"__main__"},
)  # fmt: skip
FLOOR_OF = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
GROUND = FLOORS[0]
FACE = "quiltpath"
"""The package's own face hands out names of all floors, each when it is asked for."""

MOST_LINES = 450
"""of a module"""
MOST_OF_ALL = 1 / 6
"""of the package's lines, in one room"""


@cache
def modules() -> dict[str, Path]:
    """Every module of the package by its dotted name."""
    return {dotted(path): path for path in sorted(PACKAGE.rglob("*.py"))}


def dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def imported(path: Path) -> set[str]:
    """Every name of the package that a file imports, late imports included."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0 and node.module, f"{path}: imports name whole modules"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
    return {name for name in names if name.split(".")[0] == FACE}


def module_of(name: str, known: Mapping[str, Path]) -> str:
    """The module that a dotted name of a module or of something in it lies in."""
    while name not in known:
        name = name.rpartition(".")[0]
    return name


@cache
def arrows() -> dict[str, set[str]]:
    """Who imports whom, module by module; a package's own face is left out of neither side."""
    known = modules()
    return {
        name: {module_of(target, known) for target in imported(path)} - {name}
        for name, path in known.items()
        if name != FACE
    }


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else FACE


@cache
def folder_of(module: str) -> str:
    """The folder that a module lies in: its room, or a folder in a room."""
    return dotted(modules()[module].parent / "__init__.py")


@pytest.mark.parametrize("module", sorted(set(modules()) - {FACE}))
def test_a_module_stands_on_a_floor_and_imports_from_its_room_or_below(module: str) -> None:
    own = room_of(module)
    assert own in FLOOR_OF, f"{own} stands on no floor"
    wrong = [
        target
        for target in sorted(arrows()[module])
        if room_of(target) not in (own, FACE)
        and not (FLOOR_OF[room_of(target)] < FLOOR_OF[own] or {own, room_of(target)} <= GROUND)
    ]
    assert wrong == []


def test_only_the_ways_in_import_the_face() -> None:
    """Below, everybody names the module that a thing lives in."""
    assert {room_of(name) for name, targets in arrows().items() if FACE in targets} <= {
        "cli",
        "__main__",
    }


def test_there_is_no_circle_of_modules() -> None:
    assert circle(arrows()) == []


def test_there_is_no_circle_of_folders_or_rooms() -> None:
    for place in (folder_of, room_of):
        drawn: dict[str, set[str]] = defaultdict(set)
        for name, targets in arrows().items():
            drawn[place(name)] |= {place(target) for target in targets} - {place(name), FACE}
        assert circle(drawn) == []


def circle(edges: Mapping[str, Iterable[str]]) -> list[str]:
    """The names along some circle of arrows, or none."""
    done: set[str] = set()

    def visit(name: str, trail: list[str]) -> list[str]:
        if name in trail:
            return [*trail[trail.index(name) :], name]
        if name in done:
            return []
        for target in sorted(edges.get(name, ())):
            if found := visit(target, [*trail, name]):
                return found
        done.add(name)
        return []

    for name in sorted(edges):
        if found := visit(name, []):
            return found
    return []


def test_a_circle_would_be_found() -> None:
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]
    assert circle({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def test_no_two_modules_bear_one_name() -> None:
    names = Counter(path.stem for path in modules().values() if path.stem != "__init__")
    assert [name for name, times in names.items() if times > 1] == []


def test_no_two_public_classes_bear_one_name() -> None:
    """A name that is met anywhere says which class it is."""
    names = Counter(
        node.name
        for path in modules().values()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert [name for name, times in names.items() if times > 1] == []


def test_no_module_is_too_long_and_no_room_too_large() -> None:
    lines = {name: path.read_text(encoding="utf-8").count("\n") for name, path in modules().items()}
    assert {name: count for name, count in lines.items() if count > MOST_LINES} == {}
    rooms: Counter[str] = Counter()
    for name, count in lines.items():
        rooms[room_of(name)] += count
    most = sum(lines.values()) * MOST_OF_ALL
    assert {room: count for room, count in rooms.items() if count > most} == {}


def test_only_jobs_and_whole_files_open_files_for_writing() -> None:
    writers = {
        name
        for name, path in modules().items()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in {"write_bytes", "write_text"}
    }
    assert {room_of(name) for name in writers} <= {"jobs", "files"}


COMPUTING = {"patterns", "routing", "stitching", "checks", "materials", "machine", "result"}
"""Rooms whose values a document reads and whose functions it leaves alone."""


@pytest.mark.parametrize(
    "module", sorted(name for name in modules() if room_of(name) == "documents")
)
def test_a_document_calls_no_search_router_or_fit(module: str) -> None:
    """It is handed a complete result: what it would have to compute is a value there already."""
    tree = ast.parse(modules()[module].read_text(encoding="utf-8"))
    computing = {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and room_of(node.module or "") in COMPUTING
        for alias in node.names
        if alias.name.islower()
    }
    called = {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert called & computing == set()


def test_no_document_imports_one_of_another_folder() -> None:
    """Each folder of documents stands for itself; what two need lies in a room below."""
    wrong = {
        (name, target)
        for name, targets in arrows().items()
        for target in targets
        if room_of(name) in ("documents", "marking")
        and room_of(target) in ("documents", "marking")
        and folder_of(name) != folder_of(target)
    }
    assert wrong == set()
