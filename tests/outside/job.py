"""A project file in, the finished set out; read back here by readers that others made."""

from __future__ import annotations

import io
import json
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pyembroidery
import shapely
from shapely.geometry import LineString

from quiltpath.documents.report import report_json
from quiltpath.jobs.make import WRITERS
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.once import once

IN = 25.4


def project(length: float | str, width: float | str, more: str = "", size_is: str = "flat") -> str:
    """A project of a plain rectangle, 1200 or "48 in" long, with further tables below it."""
    sides = ", ".join(
        f"{key} = {value:g}" if not isinstance(value, str) else f'{key} = "{value}"'
        for key, value in (("length", length), ("width", width))
    )
    # in both units: a handout in millimetres alone takes round metric figures for what is left open
    head = 'units = "mm"\ninstructions = { units = "both" }\n'
    return f'{head}runner = {{ {sides}, size_is = "{size_is}" }}\n{more}'


def straight(spacing: float | str, more: str = "") -> str:
    """A layer of lengthwise lines that end at the edge."""
    apart = spacing if isinstance(spacing, str) else f"{spacing:g} mm"
    return f'[[quilting]]\nkind = "straight"\nspacing = "{apart}"\noverrun = "0 mm"\n{more}'


@cache
def result(text: str, drawing: str = "") -> Result:
    """What the package makes of a project; ``drawing`` lies beside it as ``drawing.svg``."""
    if not drawing:
        return compute(parse(text))
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "drawing.svg").write_text(drawing, encoding="utf-8")
        return compute(parse(text, folder=Path(folder)))


@once
def told(text: str, drawing: str = "") -> Any:
    """The report as it is written, but for what it says of the set's files."""
    return json.loads(report_json(result(text, drawing), []))


@once
def puffed(text: str) -> Any:
    """What the report says of the relief."""
    made = result(text)
    return json.loads(report_json(made, [], relief=made.relief))["relief"]


@once
def files(writer: str, text: str, drawing: str = "") -> dict[str, bytes]:
    """The files of one row of the set's writers, by name."""
    (row,) = (row for row in WRITERS if row.name == writer)
    return {file.name: file.content for file in row.write(result(text, drawing))}


def machine_file(text: str, extension: str, drawing: str = "") -> bytes:
    """The one machine file of its kind."""
    asked = f'{text}\n[machine]\nformats = ["{extension}"]\n'
    (content,) = files("machine files", asked, drawing).values()
    return content


@cache
def threads(text: str, drawing: str = "") -> tuple[LineString, ...]:
    """What the DXF holds, one line a start of thread, in sewing order, as ezdxf reads it."""
    content = machine_file(text, "dxf", drawing)
    found = ezdxf.read(io.StringIO(content.decode("ascii"))).modelspace().query("LWPOLYLINE")
    return tuple(LineString([point[:2] for point in line.get_points()]) for line in found)


@cache
def holes(text: str, drawing: str = "", extension: str = "csv") -> np.ndarray:
    """Needle holes (n, 2) in mm as pyembroidery reads them; a csv keeps thousandths."""
    return needle_holes(machine_file(text, extension, drawing), extension)


def needle_holes(content: bytes, extension: str) -> np.ndarray:
    """Needle holes (n, 2) of a stitch file in mm, y upwards."""
    pattern = pattern_in(content, extension)
    rows = [row[:2] for row in pattern.stitches if row[2] & 0xFF == pyembroidery.STITCH]
    return np.array(rows) * (0.1, -0.1)


def pattern_in(content: bytes, extension: str) -> pyembroidery.EmbPattern:
    """A stitch file by pyembroidery's reader for its extension."""
    reader = next(
        form["reader"]
        for form in pyembroidery.supported_formats()
        if form["extension"] == extension and "reader" in form
    )
    pattern, stream = pyembroidery.EmbPattern(), io.BytesIO(content)
    reader.read(io.StringIO(content.decode()) if extension == "csv" else stream, pattern, None)
    return pattern


def sewn_mm(lines: tuple[LineString, ...]) -> float:
    """Their length together."""
    return float(shapely.length(np.array(lines, dtype=object)).sum())


def drawn(content: bytes, group: str) -> list[LineString]:
    """The lines and rings of one group of an SVG in mm, as svgelements reads its unit."""
    import svgelements

    read = svgelements.SVG.parse(io.BytesIO(content), ppi=25.4)
    found = []
    for element in read.elements(lambda each: each.values.get("id") == group):
        for path in element.select(lambda each: isinstance(each, svgelements.Shape)):
            for part in svgelements.Path(path).as_subpaths():
                points = [(step.end.x, step.end.y) for step in svgelements.Path(part)]
                found.append(LineString(points))
    return found


def guide(text: str, group: str) -> list[LineString]:
    """A group of the marking guide."""
    return drawn(files("guide", text)["guide.svg"], group)
