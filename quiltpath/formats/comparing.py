"""What a stitch file holds, and whether it is the figure that was meant.

A stitch file carries no scale check of its own, and people trip over wrong units and mirrored
drawings; so a difference is named in words (how it was turned, scaled, put in another order)
rather than given as a distance alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from quiltpath.formats.stitch_reading import path_of, read_records
from quiltpath.formats.stitch_writing import COLOUR_CHANGE, STOP
from quiltpath.geometry.arrays import Floats
from quiltpath.stitching.needle_path import NeedlePath
from quiltpath.units import MM_PER_INCH

AS_MEANT = "as meant"

# The eight ways of laying a square down: what undoes the turn, in words for what was done.
TURNS: tuple[tuple[str, Floats], ...] = tuple(
    (words, np.array(rows, dtype=np.float64))
    for words, rows in (
        (AS_MEANT, ((1, 0), (0, 1))),
        ("turned by half a turn", ((-1, 0), (0, -1))),
        ("turned a quarter to the left", ((0, 1), (-1, 0))),
        ("turned a quarter to the right", ((0, -1), (1, 0))),
        ("mirrored left to right", ((-1, 0), (0, 1))),
        ("mirrored top to bottom", ((1, 0), (0, -1))),
        ("mirrored and turned a quarter to the right", ((0, 1), (1, 0))),
        ("mirrored and turned a quarter to the left", ((0, -1), (-1, 0))),
    )
)

_Fit = tuple[float, str, Floats, bool]


@dataclass(frozen=True)
class Likeness:
    """How a figure read from a file compares with the figure that was meant.

    ``turned``    ``"as meant"``, or how the file's figure lies
    ``scale``     size of the file's figure over the size meant
    ``worst_mm``  largest distance along an axis once turn, scale and place are undone
    ``in_order``  false where the same holes come in another order
    ``same``      true where it is the figure meant, in size, orientation and order
    """

    turned: str
    scale: float
    worst_mm: float
    in_order: bool
    same: bool

    @property
    def fault(self) -> str:
        """What is wrong, in words; empty where nothing is."""
        if self.same:
            return ""
        if not np.isfinite(self.worst_mm):
            return "it is another figure"
        parts = [self.turned] if self.turned != AS_MEANT else []
        parts += [f"{self.scale:.4g} times the size"] if abs(self.scale - 1) > 1e-3 else []
        parts += [] if self.in_order else ["sewn in another order"]
        return ", ".join(parts) or f"holes are up to {self.worst_mm:.2f} mm off"


def compare(read: NeedlePath, meant: NeedlePath, tolerance_mm: float) -> Likeness:
    """The turn and scale under which ``read`` comes nearest to ``meant``.

    A figure that looks the same when turned (a square sewn from its middle, say) counts as meant.
    Where the holes agree only after more than ``20 * tolerance_mm`` it is another figure.
    """
    if len(read) != len(meant) or len(read) == 0:
        return Likeness(AS_MEANT, 1.0, np.inf, False, False)
    found, goal = read.holes - read.centre, meant.holes - meant.centre
    scale = _scale(found, goal)
    fits = [(_worst(_lay(found, turn) / scale, goal), words, turn, True) for words, turn in TURNS]
    best = min(fits, key=lambda fit: fit[0])
    if best[0] > 20 * tolerance_mm:
        best = min((_shuffle(found, goal, scale, fit) for fit in fits), key=lambda fit: fit[0])
    worst, words, _, in_order = best
    if worst > 20 * tolerance_mm:
        return Likeness(AS_MEANT, scale, np.inf, False, False)
    plain = _worst(found, goal)
    same = in_order and words == AS_MEANT and plain <= 2 * tolerance_mm + 1e-9
    return Likeness(words, scale, worst, in_order, same)


def _lay(points: Floats, turn: Floats) -> Floats:
    return points @ turn.T


def _worst(found: Floats, goal: Floats) -> float:
    return float(np.abs(found - goal).max())


def _scale(found: Floats, goal: Floats) -> float:
    """Ratio of spreads about the middle, which no turn or change of order alters."""
    spread = [float(np.hypot(*points.T).sum()) for points in (found, goal)]
    return spread[0] / spread[1] if min(spread) > 0 else 1.0


def _shuffle(found: Floats, goal: Floats, scale: float, fit: _Fit) -> _Fit:
    """The same fit with both sets of holes put into one order of their own."""
    _, words, turn, _ = fit
    laid = _lay(found, turn) / scale
    return _worst(_sort(laid), _sort(goal)), words, turn, False


def _sort(points: Floats) -> Floats:
    # Rounded first: the last bit of a float must not decide which hole comes first.
    rough = np.rint(points).astype(np.int64)
    return points[np.lexsort((points[:, 1], points[:, 0], rough[:, 1], rough[:, 0]))]


@dataclass(frozen=True, eq=False)
class Inspection:
    """Facts of a stitch file; lengths in mm, y upwards, from the file's own origin.

    ``stitch_mm``  shortest, median and longest stitch; zeros where nothing is sewn
    ``start_mm`` / ``end_mm``  first and last needle hole
    ``path``       the holes themselves, for a picture or a comparison
    """

    extension: str
    width_mm: float
    height_mm: float
    stitches: int
    stitch_mm: tuple[float, float, float]
    sewn_mm: float
    jumps: int
    trims: int
    colour_changes: int
    stops: int
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    path: NeedlePath

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height in inches."""
        return self.width_mm / MM_PER_INCH, self.height_mm / MM_PER_INCH


def inspect_file(contents: bytes, extension: str, where: str = "") -> Inspection:
    """The facts of a stitch file in any format that the embroidery library reads.

    ``where`` names the file in errors. Raises ``InputError``, one line, for what is no such file,
    is damaged, is too large or holds no stitches.
    """
    kind = extension.lower().lstrip(".")
    records = read_records(contents, kind, where)
    facts = inspect_path(path_of(records, kind), kind)
    return replace(
        facts,
        colour_changes=int(np.count_nonzero(records.command == COLOUR_CHANGE)),
        stops=int(np.count_nonzero(records.command == STOP)),
    )


def inspect_path(path: NeedlePath, kind: str) -> Inspection:
    """The facts of holes, or of the points of lines, that were read from a file."""
    left, low, right, high = path.bounds
    lengths = path.stitch_mm
    return Inspection(
        extension=kind,
        width_mm=right - left,
        height_mm=high - low,
        stitches=len(lengths),
        stitch_mm=_spread(lengths),
        sewn_mm=float(lengths.sum()),
        jumps=int(np.count_nonzero(path.moved[1:])),
        trims=path.trims,
        colour_changes=0,
        stops=path.stops,
        start_mm=_point(path.holes[0]),
        end_mm=_point(path.holes[-1]),
        path=path,
    )


def _spread(lengths: Floats) -> tuple[float, float, float]:
    if len(lengths) == 0:
        return 0.0, 0.0, 0.0
    return float(lengths.min()), float(np.median(lengths)), float(lengths.max())


def _point(hole: Floats) -> tuple[float, float]:
    return float(hole[0]), float(hole[1])
