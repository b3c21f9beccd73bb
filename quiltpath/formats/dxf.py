"""DXF R2000: one LWPOLYLINE for each start of thread, in mm, on a layer for each kind of line.

Source of the unit code: DXF reference, system variable INSUNITS, 4 for millimetres.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np

from quiltpath.geometry.arrays import Points

MILLIMETRES = 4


def write_dxf(lines: Sequence[Points], layers: Sequence[str]) -> bytes:
    """The drawing as ASCII DXF; ``layers`` names the layer of each polyline."""
    from ezdxf import options  # type: ignore[attr-defined]
    from ezdxf.filemanagement import new

    # The library stamps times and random identifiers unless told that files are to be compared.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        drawing = new("R2000", units=MILLIMETRES)
        drawing.header["$MEASUREMENT"] = 1
        for name in dict.fromkeys(layers):
            drawing.layers.add(name)
        space = drawing.modelspace()
        for line, layer in zip(lines, layers, strict=True):
            space.add_lwpolyline(line.tolist(), dxfattribs={"layer": layer})
        stream = io.StringIO()
        drawing.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode("ascii")


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
