"""Project files, drawings and stitch files as people and accidents make them."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import strategies as st

from quiltpath.patterns.kinds import KINDS

UNITS = ("mm", "cm", "in")
LENGTH_UNITS = ("mm", "cm", "m", "in", "ft", "yd")
REGIONS = (
    "runner", "blocks", "sashing", "outer sashing", "border", "cornerstones", "A1", "B1", "Z9",
)  # fmt: skip


def lengths(low: float, high: float) -> st.SearchStrategy[str]:
    """A written length between two sizes in mm, in any of the units."""
    units = st.sampled_from([("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
    return st.builds(lambda mm, unit: f"{mm / unit[1]:.3f} {unit[0]}", st.floats(low, high), units)


ODD = st.sampled_from(
    [0, -1, 1e308, "nan", "inf mm", "", "1/0 in", "9 hands", True, [], {}, "¼", "\u0000", "x" * 300]
)
"""What a slip of the hand or another program leaves behind."""


TITLES = st.text(st.characters(exclude_categories=["C"]), max_size=20)
"""What a person can type; control characters have tests of their own."""


@st.composite
def layers(draw: Any, grid: bool = True) -> dict[str, Any]:
    """One [[quilting]] entry, with figures that are mostly sensible, for a runner with a grid."""
    kind = draw(st.sampled_from(sorted(KINDS)))
    layer: dict[str, Any] = {"kind": kind}
    fields = KINDS[kind].model.model_fields
    if "spacing" in fields:
        about = draw(st.sampled_from(["", "about "]))
        layer["spacing"] = about + draw(lengths(6.0, 80.0))
    if draw(st.booleans()):
        layer["region"] = draw(st.sampled_from(REGIONS if grid else REGIONS[:1]))
    if draw(st.booleans()):
        layer["clearance"] = draw(lengths(0.0, 15.0))
    if draw(st.booleans()):
        layer["overrun"] = draw(lengths(0.0, 40.0))
    if "angle" in fields and draw(st.booleans()):
        layer["angle"] = draw(st.floats(-90, 90, allow_nan=False).map(lambda v: round(v, 1)))
    return layer


@st.composite
def projects(draw: Any) -> dict[str, Any]:
    """A project as tables: a small runner, so that many cases are quick."""
    length, width, grid = (
        draw(st.integers(150, 900)),
        draw(st.integers(100, 400)),
        draw(st.booleans()),
    )
    content: dict[str, Any] = {
        "title": draw(TITLES),
        "units": draw(st.sampled_from(UNITS)),
        "runner": {"length": f"{length} mm", "width": f"{width} mm"},
        "quilting": draw(st.lists(layers(grid), max_size=3)),
    }
    if grid:
        content["grid"] = {
            "along": draw(st.integers(1, 4)),
            "across": draw(st.integers(1, 2)),
            "sashing": draw(lengths(0.0, 30.0)),
            "outer_sashing": draw(lengths(5.0, 20.0)),
            "border": draw(lengths(5.0, 20.0)),
            "cornerstones": draw(st.booleans()),
        }
    if draw(st.booleans()):
        content["motif"] = [
            {"name": "leaf", "file": "leaf.svg", "size": draw(lengths(10, 60)), "blocks": "all"}
        ]
    content["sewing"] = {"policy": draw(st.sampled_from(["walking-foot", "continuous", "hoop"]))}
    return content


@st.composite
def projects_with_units_slipped(draw: Any) -> dict[str, Any]:
    """A project with a wadding, one or two of whose lengths are in another unit than was meant."""
    content = draw(projects())
    content["wadding"] = {"kind": draw(st.sampled_from(["cotton", "wool", "cotton with scrim"]))}
    tables = [content["runner"], *content["quilting"], *content.get("motif", [])]
    tables += [content["grid"]] if "grid" in content else []
    places = [
        (table, key)
        for table in tables
        for key, value in table.items()
        if isinstance(value, str) and value.endswith((" mm", " cm", " in"))
    ]
    for table, key in draw(st.lists(st.sampled_from(places), min_size=1, max_size=2)):
        table[key] = f"{table[key].rpartition(' ')[0]} {draw(st.sampled_from(LENGTH_UNITS))}"
    return content


@st.composite
def nearly_valid_projects(draw: Any) -> dict[str, Any]:
    """A project with one thing in it spoilt: a value, a key or a table."""
    content = draw(projects())
    tables = [content, content["runner"], content["sewing"], *content["quilting"]]
    tables += [content[name] for name in ("grid",) if name in content] + content.get("motif", [])
    table = draw(st.sampled_from(tables))
    key = draw(st.sampled_from(sorted(table)))
    act = draw(st.sampled_from(["spoil", "drop", "misname"]))
    if act == "spoil":
        table[key] = draw(ODD)
    elif act == "drop":
        del table[key]
    else:
        table[f"{key}s"] = table.pop(key)
    return content


def toml(content: dict[str, Any]) -> str:
    """The tables as TOML text, by the library that the live page writes with."""
    import tomlkit

    return tomlkit.dumps(json.loads(json.dumps(content)))


def _curled(line: str) -> str:
    return line.replace('"', "\u201c", 1).replace('"', "\u201d", 1)


def _with_commas(line: str) -> str:
    return line.replace(".", ",")


def _in_marks(line: str) -> str:
    return line.replace(' in"', "''\"").replace(' mm"', '"')


def _without_marks(line: str) -> str:
    return line.replace('"', "")


def _in_a_list(line: str) -> str:
    key, _, value = line.partition(" = ")
    return f"{key} = [{value}]" if value else f"[{line}"


def _as_a_size(line: str) -> str:
    return line.replace('mm"', 'x 11 in"')


def _twice(line: str) -> str:
    return f"{line}\n{line}"


SLIPS_OF_A_LINE = (
    _curled,
    _with_commas,
    _in_marks,
    _without_marks,
    _in_a_list,
    _as_a_size,
    _twice,
    lambda line: line[:-1],
    lambda line: line[1:],
    lambda line: line.replace("=", ":"),
    lambda line: line.replace("=", " "),
    lambda line: line.replace("_", " "),
    lambda line: line.partition("=")[0] + "= true",
    lambda line: line.partition("=")[0] + "= {}",
    lambda line: line.partition("=")[0] + '= "soon"',
    lambda line: line.partition("=")[0] + "= -1e9",
    lambda line: line.partition("=")[0] + "= 2026-11-27",
    lambda line: line.replace("[", "", 1),
    lambda line: line + ",",
    lambda line: line + " or so",
    lambda line: "",
)
"""What a slip of the hand makes of a line."""


@st.composite
def files_with_slips(draw: Any) -> str:
    """A project file with one line or a few written as people write them by mistake."""
    lines = toml(draw(st.one_of(projects(), nearly_valid_projects()))).splitlines()
    for _ in range(draw(st.integers(1, 3))):
        place = draw(st.integers(0, max(len(lines) - 1, 0)))
        lines[place] = draw(st.sampled_from(SLIPS_OF_A_LINE))(lines[place])
    return "\n".join(lines)


@st.composite
def svg_drawings(draw: Any) -> bytes:
    """Drawings with paths, shapes, transforms and odd attributes."""
    number = st.one_of(
        st.floats(-200, 200).map(lambda v: f"{v:.2f}"), st.sampled_from(["1e9", "nan", "", "1e-9"])
    )
    letters = st.sampled_from(list("MLHVCSQTAZmlhvcsqtaz"))
    path = "M0 0" + "".join(
        f"{draw(letters)}{' '.join(draw(st.lists(number, max_size=7)))}"
        for _ in range(draw(st.integers(0, 8)))
    )
    transform = draw(
        st.sampled_from(["", "rotate(30)", "scale(0)", "scale(-1 2)", "matrix(1 2)", "skewX(89)"])
    )
    more = draw(
        st.sampled_from(["", "<rect width='9' height='9'/>", "<circle r='5'/>", "<use href='#a'/>"])
    )
    rule = draw(st.sampled_from(["evenodd", "nonzero", "odd"]))
    body = f"<g id='a' transform='{transform}'><path fill-rule='{rule}' d='{path}'/>{more}</g>"
    return f"<svg xmlns='http://www.w3.org/2000/svg'>{body}</svg>".encode()
