"""Machine files of a project: bits by the public tables, and other people's readers."""

from __future__ import annotations

import csv
import io
import itertools
import json
import re
import tempfile
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import shapely
import svgelements

from tests.formats.dst_decoder import decode_dst
from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, layer
from tests.outside.job import (
    IN,
    files,
    holes,
    machine_file,
    needle_holes,
    pattern_in,
    project,
    sewn_mm,
    straight,
    threads,
    told,
)

TABLE = "achatina.de, DST design format; KDE community wiki, ternary coding"
DXF = "DXF reference"
WORDS = "ISO 6983-1 (memory)"
SLANTED = project(320, 160, AS_GIVEN + layer("grid", "spacing = 40\nangles = [45, 120]"))
LEVEL = project(320, 120, AS_GIVEN + straight(40))
UPRIGHT = project(120, 320, AS_GIVEN + straight(40, "angle = 90\n"))
CURVED = project(320, 160, AS_GIVEN + layer("waves", "spacing = 50\nwave = 100\nheight = 20"))


def records(text: str) -> set[str]:
    """The records of stitches of a DST, in hex; those of securing and of jumps left out."""
    triples = [body(text)[i : i + 3] for i in range(0, len(body(text)), 3)]
    return {t.hex() for t in triples if t[2] & 0xC3 == 0x03 and t != b"\x00\x00\x03"}


@outside(
    "files",
    "DST: records of stitches of 3.2 mm to the right and left, up and down, 32 = 27 + 9 - 3 - 1",
    TABLE + ": bits 0-3 of bytes 1 and 2, bits 4-7",
    ("060603", "090903", "606003", "909003"),
)
def stitch_records() -> tuple[str, ...]:
    return (*sorted(records(LEVEL)), *sorted(records(UPRIGHT)))


@outside("files", "DST: bytes of the header", TABLE, 512)
def header_length() -> int:
    contents = machine_file(LEVEL, "dst")
    ended = contents.index(b"\x1a") + 1
    return ended + len(contents[ended:]) - len(contents[ended:].lstrip(b" "))


@outside(
    "files", "DST: fields of the header, in order", TABLE, "LA ST CO +X -X +Y -Y AX AY MX MY PD"
)
def header_fields() -> str:
    return " ".join(decode_dst(machine_file(LEVEL, "dst")).header)


def body(text: str) -> bytes:
    """A DST after its header, to the last record."""
    return machine_file(text, "dst")[512:].rstrip(b"\x1a")


@outside("files", "DST: records that its header counts, less those there are", TABLE + ": ST", 0)
def header_count() -> int:
    count = decode_dst(machine_file(SLANTED, "dst")).header["ST"]
    return int(count) - len(body(SLANTED)) // 3


@outside("files", "DST: last record", TABLE + ": 00 00 f3 ends the design", "0000f3")
def last_record() -> str:
    return body(SLANTED)[-3:].hex()


@outside(
    "files",
    "DST: a step of 40 mm to the next line, taken in records of at most 12.1 mm: the longest",
    "arithmetic: 81 + 27 + 9 + 3 + 1 tenths; " + TABLE,
    "at most 121, more than 90",
)
def farthest() -> str:
    longest = int(np.abs(decode_dst(machine_file(LEVEL, "dst")).step).max())
    return "at most 121, more than 90" if 90 < longest <= 121 else f"{longest}"


@outside(
    "files",
    "DST: extent by its header, mm across and up, of lines from edge to edge",
    TABLE + ": +X and -X, +Y and -Y",
    (320.0, 80.0),
    0.11,
)
def header_extent() -> tuple[float, ...]:
    header = decode_dst(machine_file(LEVEL, "dst")).header
    sides = [int(header[k]) for k in ("+X", "-X", "+Y", "-Y")]
    return (sides[0] + sides[1]) / 10, (sides[2] + sides[3]) / 10


def off(found: np.ndarray) -> float:
    """Largest distance of needle holes from those of the file in thousandths, but for a common
    shift, in mm."""
    meant = holes(SLANTED)
    assert len(found) == len(meant)
    apart = found - meant
    return float(np.hypot(*(apart - apart.mean(axis=0)).T).max())


@outside("files", "DST: needle holes off those of the CSV, by the table of bits", TABLE, 0.0, 0.1)
def dst_holes() -> float:
    return off(decode_dst(machine_file(SLANTED, "dst")).holes_mm)


def read_by_library(extension: str) -> float:
    return off(needle_holes(machine_file(SLANTED, extension), extension))


PYE = "pyembroidery's reader"


@outside("files", "PES: needle holes off those of the CSV", PYE, 0.0, 0.1)
def pes() -> float:
    return read_by_library("pes")


@outside("files", "EXP: needle holes off those of the CSV", PYE, 0.0, 0.1)
def exp() -> float:
    return read_by_library("exp")


@outside("files", "JEF: needle holes off those of the CSV", PYE, 0.0, 0.1)
def jef() -> float:
    return read_by_library("jef")


@outside("files", "VP3: needle holes off those of the CSV", PYE, 0.0, 0.1)
def vp3() -> float:
    return read_by_library("vp3")


@outside("files", "U01: needle holes off those of the CSV", PYE, 0.0, 0.1)
def u01() -> float:
    return read_by_library("u01")


@outside("files", "XXX: needle holes off those of the CSV", PYE, 0.0, 0.1)
def xxx() -> float:
    return read_by_library("xxx")


@outside(
    "files",
    "CSV: needle holes off the lines of the DXF, of waves, in mm",
    "ezdxf, GEOS; holes lie on the lines but for 0.05, which few points save, and rounding",
    0.0,
    0.06,
)
def csv_on_lines() -> float:
    drawn = shapely.union_all(threads(CURVED))
    found = holes(CURVED)
    low = np.array(shapely.total_bounds(np.array(threads(CURVED), dtype=object))[:2])
    placed = shapely.points(found - found.min(axis=0) + low)
    return float(shapely.distance(placed, drawn).max())


@outside("files", "PES: version and thread changes", PYE + "; its first eight bytes", "#PES0001, 0")
def pes_version() -> str:
    content = machine_file(SLANTED, "pes")
    changes = sum(r[2] & 0xFF == 5 for r in pattern_in(content, "pes").stitches)
    return f"{content[:8].decode()}, {changes}"


@outside("files", "JEF: threads that begin, less those of the DXF", PYE + "; ezdxf counts them", 0)
def jef_starts() -> int:
    commands = [row[2] & 0xFF for row in pattern_in(machine_file(SLANTED, "jef"), "jef").stitches]
    between = sum(one == 0 != other for one, other in itertools.pairwise(commands))
    return between - len(threads(SLANTED))


@cache
def drawing() -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(machine_file(SLANTED, "dxf").decode("ascii")))


@outside("files", "DXF: $INSUNITS", DXF + ": 4 millimetres", 4)
def units() -> int:
    return int(drawing().header["$INSUNITS"])


@outside(
    "files",
    "DXF: version, and faults found by its auditor",
    DXF + ": AC1015 is R2000; ezdxf, its auditor",
    "AC1015, 0",
)
def version() -> str:
    found = drawing().audit()
    return f"{drawing().dxfversion}, {len(found.errors) + len(found.fixes)}"


@outside("files", "DXF: polylines less the runs that the report tells", "ezdxf's reader", 0)
def polylines() -> int:
    return len(threads(SLANTED)) - int(told(SLANTED)["stitching"]["runs"])


@outside("files", "DXF: extent by its header, mm", DXF + ": $EXTMIN, $EXTMAX", (320.0, 80.0), 0.01)
def extent() -> tuple[float, ...]:
    read = ezdxf.read(io.StringIO(machine_file(LEVEL, "dxf").decode("ascii"))).header
    low, high = read["$EXTMIN"], read["$EXTMAX"]
    return high[0] - low[0], high[1] - low[1]


@outside(
    "files", "DXF: length by another reader over ezdxf's", "GDAL's DXF driver, pyogrio", 1, 1e-6
)
def by_gdal() -> float:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "galley.dxf"
        file.write_bytes(machine_file(SLANTED, "dxf"))
        found = pyogrio.raw.read(file)[2]
    return float(shapely.length(shapely.from_wkb(found)).sum()) / sewn_mm(threads(SLANTED))


@outside("files", "SVG paths: length over the DXF's", "svgelements, 96 px to the inch", 1.0, 1e-4)
def svg_length() -> float:
    read = svgelements.SVG.parse(io.BytesIO(machine_file(SLANTED, "svg")), ppi=96.0)
    paths = [svgelements.Path(e) for e in read.elements() if isinstance(e, svgelements.Shape)]
    return sum(float(path.length()) for path in paths) * IN / 96 / sewn_mm(threads(SLANTED))


@outside("files", "points: runs and length over the DXF's", "Python's csv module", (1.0, 1.0), 1e-5)
def points() -> tuple[float, ...]:
    rows = list(csv.DictReader(io.StringIO(machine_file(SLANTED, "points").decode())))
    ways: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        ways.setdefault(row["run"], []).append((float(row["x_mm"]), float(row["y_mm"])))
    length = sum(shapely.LineString(way).length for way in ways.values())
    return len(ways) / len(threads(SLANTED)), length / sewn_mm(threads(SLANTED))


@outside("files", "JSON: needle holes off those of the CSV", "Python's json module", 0.0, 0.002)
def json_stitches() -> float:
    rows = json.loads(machine_file(SLANTED, "json"))["stitches"]
    sewn = [row[:2] for row in rows if row[2] == "STITCH" or row[2] == 0]
    return off(np.array(sewn) * (0.1, -0.1))


@cache
def program(text: str = SLANTED) -> str:
    return machine_file(text, "gcode").decode()


@outside("files", "G-code: words that state units, mode and end, in order", WORDS, "G21 G90 M2")
def stated() -> str:
    words = program().split()
    return " ".join(word for word in words if word in ("G20", "G21", "G90", "G91", "M2", "M30"))


@outside(
    "files",
    "G-code: stops and rapid moves less the starts of thread there are, the first without a stop",
    WORDS + ": M0, G0",
    (0, 0),
)
def stops() -> tuple[float, ...]:
    starts, words = len(threads(SLANTED)), program().split()
    return words.count("M0") - (starts - 1), words.count("G0") - starts


@outside(
    "files",
    "G-code: feed of 3.2 mm stitches at 600 stitches a minute",
    WORDS + ": F in mm a minute; arithmetic; 320 mm in 100 stitches",
    1920.0,
    1.0,
)
def feed() -> float:
    return float(re.findall(r"F(\d+)", program(LEVEL))[0])


@outside("files", "G-code: way at feed over the DXF's lines", "Euclid; ezdxf", 1.0, 1e-4)
def way() -> float:
    found, at = 0.0, np.zeros(2)
    for word, x, y in re.findall(r"(G[01]) X(\S+) Y(\S+)", program()):
        to = np.array([float(x), float(y)])
        found += float(np.hypot(*(to - at))) if word == "G1" else 0.0
        at = to
    return found / sewn_mm(threads(SLANTED))


MIRRORED = (
    SLANTED + '[machine]\nprofile = "gantry"\nformats = ["points"]\nvariants = ["mirrored"]\n'
)


@outside(
    "files",
    "mirrored variant: its points, turned over, off those of the plain file",
    "symmetry: x to its negative; Python's csv module",
    0.0,
    0.002,
)
def mirrored() -> float:
    made = files("machine files", MIRRORED)
    plain, turned = (
        np.array([[float(r["x_mm"]), float(r["y_mm"])] for r in csv.DictReader(io.StringIO(text))])
        for name in ("machine/whole-points.csv", "machine/whole-mirrored-points.csv")
        for text in [made[name].decode()]
    )
    turned = turned * (-1, 1)
    return float(np.abs((plain - plain.min(axis=0)) - (turned - turned.min(axis=0))).max())
