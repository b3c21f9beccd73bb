"""Machine files: bits by the public tables, and other people's readers."""

from __future__ import annotations

import io
import re
import tempfile
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pyembroidery
import pyogrio

from quiltpath.formats import FORMATS, FileOrder, thread_paths, write_file
from quiltpath.machine import ProfileRegistry
from quiltpath.stitching import Stitches
from tests.formats.designs import LETTER_F, Sewn, along, four_runs, stitches_of
from tests.formats.dst_decoder import decode_dst
from tests.outside.check import outside

TABLE = "achatina.de, DST design format; KDE community wiki, ternary coding"
DXF = "DXF reference"
WORDS = "ISO 6983-1 (memory)"
GANTRY = ProfileRegistry().find("gantry")


def written(design: Stitches, name: str, title: str = "Galley") -> bytes:
    return write_file(FORMATS[name], FileOrder(design, title, GANTRY)).content


@cache
def stitch_file(extension: str) -> bytes:
    return written(four_runs(), extension)


@cache
def path_file(name: str) -> bytes:
    return written(four_runs(), name)


def one_step(x_mm: float, y_mm: float) -> str:
    """The three bytes of a single stitch, in hex: the record that follows the first hole."""
    holes = np.array([(0.0, 0.0), (x_mm, y_mm)])
    contents = written(stitches_of([Sewn(holes, cut=False)]), "dst", "one")
    records = contents[512:]
    sewn = [records[i : i + 3] for i in range(0, len(records), 3)]
    moved = [r for r in sewn if r[2] & 0xC3 == 0x03 and r != b"\x00\x00\x03"]
    return moved[-1].hex()


@outside("files", "DST: a stitch of +0.1 mm along x", TABLE + ": byte 1, bit 0", "010003")
def tenth_x() -> str:
    return one_step(0.1, 0.0)


@outside("files", "DST: a stitch of +0.1 mm along y", TABLE + ": byte 1, bit 7", "800003")
def tenth_y() -> str:
    return one_step(0.0, 0.1)


@outside(
    "files",
    "DST: a stitch of +12.1, +12.1 mm",
    TABLE + ": every + bit, 1 + 3 + 9 + 27 + 81",
    "a5a527",
)
def longest_step() -> str:
    return one_step(12.1, 12.1)


@outside("files", "DST: a stitch of -4.0 mm along x", TABLE + ": -1, -3, -9, -27", "0a0a03")
def forty_left() -> str:
    return one_step(-4.0, 0.0)


@outside("files", "DST: bytes of the header", TABLE, 512)
def header_length() -> int:
    contents = stitch_file("dst")
    ended = contents.index(b"\x1a") + 1
    return ended + len(contents[ended:]) - len(contents[ended:].lstrip(b" "))


@outside(
    "files", "DST: fields of the header, in order", TABLE, "LA ST CO +X -X +Y -Y AX AY MX MY PD"
)
def header_fields() -> str:
    return " ".join(decode_dst(stitch_file("dst")).header)


@outside(
    "files", "DST: farthest that a record moves, in 0.1 mm", "arithmetic: 81 + 27 + 9 + 3 + 1", 121
)
def farthest() -> int:
    return int(np.abs(decode_dst(stitch_file("dst")).step).max())


@outside("files", "DST: needle holes off their place by the table of bits", TABLE, 0.0, 0.1)
def dst_holes() -> float:
    found, meant = decode_dst(stitch_file("dst")).holes_mm, four_runs().needle_holes
    return float(np.abs((found - found[0]) - (meant - meant[0])).max())


@outside(
    "files",
    "DST: extent by its header, mm across and up",
    TABLE + ": +X and -X, +Y and -Y",
    (40.0, 60.0),
    0.11,
)
def header_extent() -> tuple[float, ...]:
    design = stitches_of([Sewn(along((0, 0), (40, 0), (40, 60)))])
    header = decode_dst(written(design, "dst")).header
    sides = [int(header[k]) for k in ("+X", "-X", "+Y", "-Y")]
    return (sides[0] + sides[1]) / 10, (sides[2] + sides[3]) / 10


def read_by_library(extension: str) -> float:
    """Largest distance of a needle hole as the library's own reader gives it, in mm."""
    reader = next(f for f in pyembroidery.supported_formats() if f["extension"] == extension)
    pattern = pyembroidery.EmbPattern()
    reader["reader"].read(io.BytesIO(stitch_file(extension)), pattern, None)
    rows = np.array([row[:3] for row in pattern.stitches if row[2] & 0xFF == pyembroidery.STITCH])
    found, meant = rows[:, :2] * (0.1, -0.1), four_runs().needle_holes
    assert len(found) == len(meant)
    return float(np.abs((found - found[0]) - (meant - meant[0])).max())


@outside("files", "PES: needle holes off their place", "pyembroidery's reader", 0.0, 0.11)
def pes() -> float:
    return read_by_library("pes")


@outside("files", "EXP: needle holes off their place", "pyembroidery's reader", 0.0, 0.11)
def exp() -> float:
    return read_by_library("exp")


@outside("files", "JEF: needle holes off their place", "pyembroidery's reader", 0.0, 0.11)
def jef() -> float:
    return read_by_library("jef")


@cache
def drawing() -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(path_file("dxf").decode("ascii")))


@outside("files", "DXF: $INSUNITS", DXF + ": 4 millimetres", 4)
def units() -> int:
    return int(drawing().header["$INSUNITS"])


@outside("files", "DXF: version", DXF + ": AC1015 is R2000", "AC1015")
def version() -> str:
    return drawing().dxfversion


@outside("files", "DXF: faults found by its auditor", "ezdxf, its auditor", 0)
def audit() -> int:
    found = drawing().audit()
    return len(found.errors) + len(found.fixes)


@outside("files", "DXF: polylines for starts of thread", "ezdxf: four starts are sewn", 4)
def polylines() -> int:
    return len(drawing().modelspace().query("LWPOLYLINE"))


@outside("files", "DXF: vertices off their place", "GDAL's DXF driver through pyogrio", 0.0, 0.001)
def by_gdal() -> float:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "galley.dxf"
        file.write_bytes(path_file("dxf"))
        found = pyogrio.raw.read(file)[2]
    import shapely

    read = shapely.get_coordinates(shapely.from_wkb(found))
    meant = np.concatenate(thread_paths(four_runs(), 0.05).lines)
    return float(np.abs(read - meant).max())


@outside("files", "G-code: words that state units, mode and end, in order", WORDS, "G21 G90 M2")
def stated() -> str:
    words = path_file("gcode").decode().split()
    return " ".join(word for word in words if word in ("G20", "G21", "G90", "G91", "M2", "M30"))


@outside("files", "G-code: stops between four starts of thread", WORDS + ": M0 stop", 3)
def stops() -> int:
    return path_file("gcode").decode().split().count("M0")


@outside("files", "G-code: rapid moves to four starts", WORDS + ": G0 rapid", 4)
def rapids() -> int:
    return path_file("gcode").decode().split().count("G0")


@outside(
    "files",
    "G-code: feed of 3.2 mm stitches at the gantry's stitches a minute",
    WORDS + ": F feed rate; arithmetic",
    3.2 * GANTRY.speed,
    1.0,
)
def feed() -> float:
    straight = stitches_of([Sewn(along((0, 0), (320, 0)))])
    program = written(straight, "gcode").decode()
    return float(re.findall(r"F(\d+)", program)[0])


@outside(
    "files",
    "G-code: way at feed along a letter F of 90 by 50",
    "closed form: 90 + 50 + 50 + 40 + 35",
    265.0,
    0.01,
)
def letter() -> float:
    program = written(stitches_of([Sewn(LETTER_F)]), "gcode", "F").decode()
    places = [(float(x), float(y)) for x, y in re.findall(r"G[01] X(\S+) Y(\S+)", program)]
    return float(np.hypot(*np.diff(np.array(places), axis=0).T).sum())
