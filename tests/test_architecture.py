"""Imports point down the floors, and there is no circle: read from the code itself."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "quiltpath"

FLOORS = [
    {"units", "errors", "files", "geometry", "version", "process", "distinct", "telling", "aside"},
    {"project"},
    {"runner"},
    {"quilting"},
    {"routing"},
    {"stitching"},
    {"checks", "estimate", "materials", "machines"},
    {"result"},
    {"output"},
    {"make", "early"},
    {"live"},
    {"cli"},
    {"__main__"},
]
FLOOR_OF = {name: number for number, names in enumerate(FLOORS) for name in names}


def modules() -> list[Path]:
    return sorted(path for path in PACKAGE.rglob("*.py") if "patterns" not in path.parts)


def dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def imported(path: Path) -> set[str]:
    """Every module of the package that a file imports, late imports included."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module)
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
    return {name for name in names if name.split(".")[0] == "quiltpath"}


def floor_of(module: str) -> int | None:
    parts = module.split(".")
    return FLOOR_OF.get(parts[1]) if len(parts) > 1 else None


@pytest.mark.parametrize("path", modules(), ids=dotted)
def test_a_module_imports_only_from_its_own_floor_or_below(path: Path) -> None:
    own = floor_of(dotted(path))
    if own is None:
        assert dotted(path) == "quiltpath"
        return
    above = sorted(
        name for name in imported(path) if (floor := floor_of(name)) is not None and floor > own
    )
    assert above == []


def test_there_is_no_circle_of_imports() -> None:
    known = {dotted(path): path for path in modules()}
    edges = {
        name: {target for target in imported(path) if target in known and target != name}
        for name, path in known.items()
    }
    state: dict[str, int] = {}

    def visit(name: str, trail: list[str]) -> None:
        if state.get(name) == 2:
            return
        assert state.get(name) != 1, f"circle: {' > '.join([*trail, name])}"
        state[name] = 1
        for target in sorted(edges[name]):
            visit(target, [*trail, name])
        state[name] = 2

    for name in sorted(edges):
        visit(name, [])


def test_only_the_folder_writer_and_the_starter_open_files_for_writing() -> None:
    """``make`` is the only floor that touches the disk for writing."""
    writers = {
        dotted(path)
        for path in modules()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in {"write_bytes", "write_text"}
    }
    assert {name.split(".")[1] for name in writers} <= {"make"}
