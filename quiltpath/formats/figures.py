"""Files from anywhere as points in sewing order: stitch files, DXF, G-code, SVG and tables alike.

Reading here is lenient where delivering is strict: a file that breaks off gives what it holds, so
that it can be said where it breaks off.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np

from quiltpath.errors import InputError
from quiltpath.formats.plain_paths import read_points
from quiltpath.formats.stitch_reading import LARGEST_FILE, read_path
from quiltpath.geometry.arrays import Floats, Points
from quiltpath.stitching.needle_path import NeedlePath
from quiltpath.units import MM_PER_INCH, MM_PER_UNIT

_SVG_PATH = "{http://www.w3.org/2000/svg}path"
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_DXF_UNITS_MM = {0: 1.0, 1: MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}
"""INSUNITS of the DXF reference: none, inches, millimetres, centimetres, metres."""


@dataclass(frozen=True, eq=False)
class Figure:
    """What a file sews or follows, as it lies in the file.

    ``path``   its needle holes, or the points of its lines
    ``noun``   what one of them is called
    ``ended``  false where the file lacks the mark of its end
    """

    path: NeedlePath
    noun: str
    ended: bool = True

    @property
    def points(self) -> Floats:
        """(n, 2) mm."""
        return self.path.holes


def ending_of(name: str) -> str:
    """How a file's name ends, in the word that its format is known by."""
    ending = name.rpartition(".")[2].lower()
    return {"jsn": "json"}.get(ending, ending)


def is_path_file(name: str, contents: bytes) -> bool:
    """Whether a file holds lines and not stitches, by its name and, for tables, its first row."""
    ending = ending_of(name)
    return ending in _READERS or (ending == "csv" and contents.startswith(b"run,point,"))


def read_figure(contents: bytes, name: str) -> Figure:
    """The figure in a file called ``name``. Raises ``InputError``, one line."""
    ending = ending_of(name)
    if not is_path_file(name, contents):
        path = read_path(contents, ending, name)
        return Figure(path, "hole", _ends_as_it_should(contents, ending))
    if len(contents) > LARGEST_FILE:
        raise InputError(name, "", f"{len(contents)} bytes is too large for a path file")
    try:
        lines, ended = _READERS.get(ending, _points)(contents)
    except (ValueError, LookupError, OSError) as fault:
        what = f"this is damaged or no {ending} file of lines ({fault})"
        raise InputError(name, "", what, "save or export it again") from None
    if not lines:
        raise InputError(name, "", "the file holds no lines", "give a file of lines")
    return Figure(path_of_lines(lines), "point", ended)


def path_of_lines(lines: Sequence[Points]) -> NeedlePath:
    """Lines one after the other, moved to at the first point of each."""
    points = np.vstack(lines)
    no = np.zeros(len(points), dtype=np.bool_)
    moved = no.copy()
    moved[np.cumsum([0, *(len(line) for line in lines[:-1])])] = True
    return NeedlePath(points, no, no, moved, False)


def _ends_as_it_should(contents: bytes, ending: str) -> bool:
    """Formats whose coding has a mark at the very end: three bytes of DST, two of JEF."""
    if ending == "dst":
        return contents.rstrip(b"\x1a\x00").endswith(b"\xf3")
    if ending == "jef":
        return contents.rstrip(b"\x00").endswith(b"\x80\x10")
    return True


_Read = tuple[list[Points], bool]


def _points(contents: bytes) -> _Read:
    whole, _, _ = contents.rpartition(b"\n")
    return read_points(whole), contents.endswith(b"\n")


_UNIT_WORDS = {("G", 20.0): MM_PER_INCH, ("G", 21.0): 1.0}
_MOTION_WORDS = {("G", 0.0): False, ("G", 1.0): True}
"""Whether a move is at feed; ISO 6983."""


def _gcode(contents: bytes) -> _Read:
    """Feed moves, each line begun by the rapid before it; inches and left-out words allowed."""
    program = re.sub(r"\([^)]*\)|;.*", "", contents.decode("ascii").upper())
    lines: list[list[tuple[float, float]]] = []
    at, unit, feeds, ended = {"X": 0.0, "Y": 0.0}, 1.0, False, False
    for block in program.splitlines():
        words = [
            (letter, float(value)) for letter, value in re.findall(rf"([A-Z])\s*({_NUMBER})", block)
        ]
        for letter, value in words:
            if (letter, value) == ("G", 91):
                raise ValueError("relative places (G91)")
            unit = _UNIT_WORDS.get((letter, value), unit)
            feeds = _MOTION_WORDS.get((letter, value), feeds)
            ended = ended or (letter == "M" and value in (2, 30))
            if letter in at:
                at[letter] = value * unit
        if any(letter in at for letter, _ in words):
            if not feeds or not lines:
                lines.append([])
            lines[-1].append((at["X"], at["Y"]))
    return [np.array(line) for line in lines if len(line) > 1], ended


def _dxf(contents: bytes) -> _Read:
    from ezdxf import recover
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.lldxf.const import DXFError

    try:
        drawing, _ = recover.read(io.BytesIO(contents))
    except DXFError as fault:
        raise ValueError(str(fault)) from None
    unit = _DXF_UNITS_MM.get(int(drawing.header.get("$INSUNITS", 0)), 1.0)
    lines = [
        np.array(line.get_points("xy"), dtype=np.float64) * unit
        for line in drawing.modelspace().query("LWPOLYLINE")
        if isinstance(line, LWPolyline)
    ]
    return [line for line in lines if len(line) > 1], contents.rstrip().endswith(b"EOF")


def _svg(contents: bytes) -> _Read:
    """Straight paths, in mm by the size that the drawing states; y upwards from its lower edge."""
    if b"<!ENTITY" in contents or b"<!DOCTYPE" in contents:
        raise ValueError("it declares entities")
    elements: list[ElementTree.Element] = []
    ended = True
    try:
        for _, element in ElementTree.iterparse(io.BytesIO(contents), ("start",)):
            elements.append(element)
    except ElementTree.ParseError:
        ended = False
    if not elements:
        raise ValueError("no drawing")
    scale, height = _svg_scale(elements[0])
    paths = [element for element in elements if element.tag == _SVG_PATH and element.get("d")]
    return [_straight(str(path.get("d")), scale, height) for path in paths], ended


def _svg_scale(root: ElementTree.Element) -> tuple[float, float]:
    """mm for one unit of the drawing, and the height of its view in units."""
    view = [float(number) for number in re.findall(_NUMBER, str(root.get("viewBox")))]
    size = re.fullmatch(rf"({_NUMBER})\s*([a-z]*)", str(root.get("width")).strip())
    if len(view) != 4 or size is None:
        raise ValueError("its size is not stated")
    unit = MM_PER_UNIT.get(size[2], MM_PER_INCH / 96)  # CSS: a bare number is 1/96 in
    return float(size[1]) * unit / view[2], view[1] + view[3]


def _straight(steps: str, scale: float, height: float) -> Points:
    if re.search(r"[^MLZ\d\s,.eE+-]", steps):
        raise ValueError("a path that is curved or relative")
    numbers = np.array([float(number) for number in re.findall(_NUMBER, steps)])
    points = numbers[: len(numbers) // 2 * 2].reshape(-1, 2)
    return np.column_stack([points[:, 0], height - points[:, 1]]) * scale


_READERS: dict[str, Callable[[bytes], _Read]] = {
    "dxf": _dxf,
    "gcode": _gcode,
    "nc": _gcode,
    "svg": _svg,
    "pts": _points,
}
