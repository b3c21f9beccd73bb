"""DXF R2000: one LWPOLYLINE for each start of thread, in mm, on a layer for its role.

Sources: DXF reference, system variables INSUNITS (4 for millimetres), MEASUREMENT (1 for metric),
EXTMIN and EXTMAX. Roles differ in colour and in line type, so that neither is needed to tell them
apart.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.machine.parts import ARM_MM

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

MILLIMETRES = 4

DECIMALS = 6
"""Of a millimetre. What lies behind them differs from processor to processor."""

SEWING, TRACE, EDGE, CROSSES, CUTS = "sewing", "trace", "edge", "crosses", "cuts"

_SOLID = "CONTINUOUS"
_LINE_TYPES = {
    # A name, and its pattern in mm: total, stroke, gap, ...
    "DASHES": (9.0, 6.0, -3.0),
    "DOTS": (3.0, 0.5, -2.5),
    "DASH_DOT": (12.0, 6.0, -2.5, 0.5, -3.0),
}
_LOOKS = {
    # Colours by AutoCAD colour index of the DXF reference: black or white, blue, orange, grey,
    # sky blue; blue and orange stay apart for colour-blind readers.
    SEWING: (7, _SOLID),
    TRACE: (5, "DASHES"),
    EDGE: (8, "DASH_DOT"),
    CROSSES: (30, _SOLID),
    CUTS: (140, "DOTS"),
}


def write_dxf(
    lines: Sequence[Points],
    layers: Sequence[str],
    crosses: Floats | None = None,
    cuts: Floats | None = None,
) -> bytes:
    """The drawing as ASCII DXF; ``layers`` names the layer of each polyline, which is a role.

    ``crosses`` are drawn as two lines each and ``cuts`` as points: a machine that follows polylines
    passes them by.
    """
    from ezdxf import options  # type: ignore[attr-defined]
    from ezdxf.filemanagement import new

    lines = [np.round(line, DECIMALS) for line in lines]
    # The library stamps times and random identifiers unless told that files are to be compared.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        drawing = new("R2000", units=MILLIMETRES)
        drawing.header["$MEASUREMENT"] = 1
        _add_layers(drawing)
        space = drawing.modelspace()
        for line, layer in zip(lines, layers, strict=True):
            space.add_lwpolyline(line.tolist(), dxfattribs={"layer": layer})
        marks = [
            np.zeros((0, 2)) if place is None else np.round(place, DECIMALS)
            for place in (crosses, cuts)
        ]
        _add_marks(space, *marks)
        arms = [marks[0] + arm for arm in (-ARM_MM, ARM_MM)]
        _set_extents(drawing, np.vstack([*lines, *arms, marks[1]]))
        stream = io.StringIO()
        drawing.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode("ascii")


def _add_layers(drawing: Drawing) -> None:
    for name, pattern in _LINE_TYPES.items():
        drawing.linetypes.add(name, list(pattern))
    for name, (colour, line_type) in _LOOKS.items():
        drawing.layers.add(name, color=colour, linetype=line_type)


def _add_marks(space: Modelspace, crosses: Floats, cuts: Floats) -> None:
    for x, y in crosses.tolist():
        look = {"layer": CROSSES}
        space.add_line((x - ARM_MM, y), (x + ARM_MM, y), dxfattribs=look)
        space.add_line((x, y - ARM_MM), (x, y + ARM_MM), dxfattribs=look)
    for x, y in cuts.tolist():
        space.add_point((x, y), dxfattribs={"layer": CUTS})


def _set_extents(drawing: Drawing, points: Floats) -> None:
    low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    space = drawing.modelspace()
    space.reset_extents((*low, 0.0), (*high, 0.0))
    # In the header too: the library does not carry over a corner that is (0, 0).
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    space.reset_limits((low[0], low[1]), (high[0], high[1]))


def read_dxf(contents: bytes) -> list[Points]:
    """The polylines of a DXF, in file order; raises ``ValueError`` where its audit finds faults."""
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.filemanagement import read
    from ezdxf.lldxf.const import DXFError

    try:
        drawing = read(io.StringIO(contents.decode("ascii")))
    except DXFError as fault:
        raise ValueError(str(fault)) from None
    audit = drawing.audit()
    if audit.has_errors or audit.has_fixes:
        raise ValueError("the drawing does not pass its audit")
    if drawing.header["$INSUNITS"] != MILLIMETRES:
        raise ValueError("the drawing is not in millimetres")
    found = drawing.modelspace().query("LWPOLYLINE")
    return [
        np.array(line.get_points("xy"), dtype=np.float64)
        for line in found
        if isinstance(line, LWPolyline)
    ]
