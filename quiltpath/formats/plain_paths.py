"""Plain files of polylines: an SVG with one path for each start of thread, a table of points."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from itertools import groupby
from xml.etree import ElementTree

import numpy as np

from quiltpath.geometry.arrays import Points

_SVG = "http://www.w3.org/2000/svg"
_DECIMALS = 3


def write_svg(lines: Sequence[Points], size: tuple[float, float], title: str) -> bytes:
    """True to size in mm, with one unit of the viewBox a millimetre; SVG has y downwards."""
    ElementTree.register_namespace("", _SVG)
    width, height = (round(side, _DECIMALS) for side in size)
    root = ElementTree.Element(
        f"{{{_SVG}}}svg",
        {
            "width": f"{width:.3f}mm",
            "height": f"{height:.3f}mm",
            "viewBox": f"0 0 {width:.3f} {height:.3f}",
            "version": "1.1",
        },
    )
    ElementTree.SubElement(root, f"{{{_SVG}}}title").text = title
    for line in lines:
        steps = " L ".join(f"{x:.3f},{height - y:.3f}" for x, y in line.tolist())
        look = {"d": f"M {steps}", "fill": "none", "stroke": "#000000", "stroke-width": "0.3"}
        ElementTree.SubElement(root, f"{{{_SVG}}}path", look)
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="utf-8", xml_declaration=True) + b"\n"


def read_svg(contents: bytes) -> list[Points]:
    """The polylines of a file written by :func:`write_svg`, y upwards again.

    Raises ``ValueError`` where it is no such file.
    """
    try:
        root = ElementTree.fromstring(contents)
    except ElementTree.ParseError as fault:
        raise ValueError(str(fault)) from None
    height = float(str(root.get("viewBox")).split()[3])
    found = []
    for path in root.iter(f"{{{_SVG}}}path"):
        points = [step.split(",") for step in str(path.get("d")).removeprefix("M ").split(" L ")]
        line = np.array(points, dtype=np.float64)
        found.append(np.column_stack([line[:, 0], height - line[:, 1]]))
    return found


def write_points(lines: Sequence[Points]) -> bytes:
    """A table with a row for each point: run and point from 1, x and y in mm."""
    stream = io.StringIO()
    table = csv.writer(stream, lineterminator="\n")
    table.writerow(["run", "point", "x_mm", "y_mm"])
    for run, line in enumerate(lines, start=1):
        rounded = np.round(line, _DECIMALS) + 0.0
        table.writerows(
            [run, point, f"{x:.3f}", f"{y:.3f}"]
            for point, (x, y) in enumerate(rounded.tolist(), start=1)
        )
    return stream.getvalue().encode("ascii")


def read_points(contents: bytes) -> list[Points]:
    """The polylines of a table written by :func:`write_points`."""
    rows = list(csv.reader(io.StringIO(contents.decode("ascii"))))[1:]
    return [
        np.array([[float(row[2]), float(row[3])] for row in run])
        for _, run in groupby(rows, key=lambda row: row[0])
    ]
