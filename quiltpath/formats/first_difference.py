"""What is the matter with a file, named by its first difference from the file that was meant.

People trip over wrong units, mirrored drawings, files that broke off and edits that they forgot;
so a difference is named in words. Points are compared in their order: under the eight ways to lay
a drawing down, the usual slips of units, a free turn and a shift; then backwards, cut short, with
points missing or new; and last without their order.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.formats.comparing import AS_MEANT, TURNS
from quiltpath.formats.figures import Figure
from quiltpath.geometry.arrays import Floats
from quiltpath.units import MM_PER_INCH

MOST_MOVED = 0.2
"""Share of the points that may be moved in a file that is still the same file, edited."""
SAME_VERSION = 0.5
"""Share of the points on lines of both that makes a file another version of the one meant."""
NEARLY_ALL = 0.999
_SLIPS = (1.0, MM_PER_INCH, 1 / MM_PER_INCH, 10.0, 0.1)


@dataclass(frozen=True)
class Difference:
    """How far a file is from the one meant: ``distance`` 0 is the same, and 1 is another drawing.

    ``words`` say what is the matter, nothing where nothing is.
    """

    distance: float
    words: str

    @property
    def same(self) -> bool:
        """True where nothing is the matter."""
        return not self.words


NOTHING_ALIKE = Difference(1.0, "another drawing")


def difference(read: Figure, meant: Figure, tolerance_mm: float) -> Difference:
    """What is the matter with ``read``; points within ``tolerance_mm`` of their place are in it."""
    within = 2.2 * tolerance_mm
    found = _of_points(read.points, meant.points, within, read.noun)
    if found is None:
        found = _out_of_order(read, meant, within)
    if found.same:
        found = _of_commands(read, meant)
    if not read.ended and found.distance < 1.0 and "cut off" not in found.words:
        words = f"{found.words}, and " if found.words else "every point is there, but "
        return Difference(max(found.distance, 0.01), f"{words}the mark of its end is missing")
    return found


def _of_points(read: Floats, meant: Floats, within: float, noun: str) -> Difference | None:
    if len(read) == len(meant):
        for words, points in (("", read), ("sewn in reverse", read[::-1])):
            laid = _orientation_words(points, meant, within, noun)
            if laid is not None:
                told = ", ".join(part for part in (words, laid) if part)
                return Difference(0.1 if told else 0.0, told)
    return _break_words(read, meant, within, noun)


@dataclass(frozen=True, eq=False)
class _Orientation:
    """One way in which the file may lie: ``back`` undoes it."""

    words: str
    back: Floats
    keeps_place: bool


def _orientation_words(read: Floats, meant: Floats, within: float, noun: str) -> str | None:
    """How the same points lie, and which of them are moved; None where it is another figure."""
    best: tuple[int, _Orientation, Floats] | None = None
    for way in _ways(read, meant):
        rest = read @ way.back.T
        shift = np.median(rest - meant, axis=0)
        if not way.keeps_place or np.abs(shift).max() <= within:
            off = rest - meant - (0.0 if way.keeps_place else shift)
        else:
            off = rest - meant - shift
        count = int(
            np.count_nonzero(np.abs(off).max(axis=1) > max(within, within * _size(way.back)))
        )
        if best is None or count < best[0]:
            best = count, way, off
        if count == 0:
            break
    if best is None or best[0] > MOST_MOVED * len(read):
        return None
    count, way, off = best
    parts = [way.words] if way.words else []
    if way.keeps_place:
        shift = np.median(read - meant, axis=0)
        parts += [f"shifted by {_way(shift, noun)}"] if np.abs(shift).max() > within else []
    parts += [_moved_words(off, meant, within * max(1.0, _size(way.back)), noun)] if count else []
    return ", ".join(parts)


def _size(back: Floats) -> float:
    return float(np.abs(back).max())


def _ways(read: Floats, meant: Floats) -> Iterator[_Orientation]:
    """The ways a file may lie, the likeliest first."""
    spread = np.ptp(meant, axis=0)
    for words, turn in TURNS:
        for size in _SLIPS:
            told = [] if words == AS_MEANT else [words]
            told += [] if size == 1.0 else [_times(size)]
            yield _Orientation(", ".join(told), turn / size, not told)
    found = np.ptp(read, axis=0)
    if (spread > 0).all() and (found > 0).all():
        for words, turn in TURNS:
            sizes = np.ptp(read @ turn.T, axis=0) / spread
            told = [] if words == AS_MEANT else [words]
            even = abs(sizes[0] / sizes[1] - 1) < 1e-3
            stretched = f"{sizes[0]:.4g} times as long and {sizes[1]:.4g} times as high"
            told += [f"{sizes.mean():.4g} times the size" if even else stretched]
            yield _Orientation(", ".join(told), turn / sizes[:, None], False)
    yield _free_turn(read, meant)


def _times(size: float) -> str:
    hint = {
        MM_PER_INCH: ": millimetres read as inches",
        1 / MM_PER_INCH: ": inches read as millimetres",
    }
    return f"{size:.4g} times the size{hint.get(size, '')}"


def _free_turn(read: Floats, meant: Floats) -> _Orientation:
    """The turn that fits best (Kabsch, "A solution for the best rotation to relate two sets of
    vectors", Acta Crystallographica A 32, 1976)."""
    a, b = read - read.mean(axis=0), meant - meant.mean(axis=0)
    dot, cross = float((a * b).sum()), float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    angle = float(np.arctan2(cross, dot))
    cos, sin = np.cos(angle), np.sin(angle)
    degrees = -np.degrees(angle)
    side = "left" if degrees > 0 else "right"
    words = f"turned by {abs(degrees):.2f} degrees to the {side}"
    return _Orientation(words, np.array([[cos, -sin], [sin, cos]]), False)


def _way(step: Floats, noun: str) -> str:
    """A step in words: right and left, up and down; holes lie on a grid of 0.1 mm."""
    digits = 1 if noun == "hole" else 2
    x, y = step.tolist()
    told = []
    for size, words in (
        (x, "to the right" if x > 0 else "to the left"),
        (y, "up" if y > 0 else "down"),
    ):
        if abs(size) > 0.6 * 10.0**-digits:
            told.append(f"{abs(size):.{digits}f} mm {words}")
    return " and ".join(told)


def _moved_words(off: Floats, meant: Floats, within: float, noun: str) -> str:
    """Which points are moved: the first by number and place, and the furthest of several."""
    moved = np.flatnonzero(np.abs(off).max(axis=1) > within)
    far = np.hypot(*off[moved].T)
    first = int(moved[0])
    which = f"{noun} {first + 1} of {len(meant)}, {_place(meant[first])}"
    told = f"{which}, is moved by {_way(off[first], noun)}"
    if len(moved) == 1:
        return told
    return f"{len(moved)} {noun}s are moved by up to {far.max():.1f} mm; the first: {told}"


def _place(point: Floats) -> str:
    return f"at {point[0]:.1f}, {point[1]:.1f} mm"


def _break_words(read: Floats, meant: Floats, within: float, noun: str) -> Difference | None:
    """A file that breaks off, begins late, or has points missing or new in its middle."""
    if len(read) == len(meant):
        return None
    few = min(len(read), len(meant))
    head = np.abs(read[:few] - meant[:few]).max(axis=1) <= within
    tail = np.abs(read[::-1][:few] - meant[::-1][:few]).max(axis=1) <= within
    before = few if head.all() else int(head.argmin())
    after = few if tail.all() else int(tail.argmin())
    lost = len(meant) - len(read)
    if lost > 0 and before == len(read):
        return Difference(
            0.2, f"cut off after {before} of {len(meant)} {noun}s, {_place(read[-1])}"
        )
    if lost > 0 and after == len(read):
        return Difference(0.35, f"the first {lost} of {len(meant)} {noun}s are missing")
    if lost > 0:
        shift = np.median(read - meant[: len(read)], axis=0)
        if np.abs(read - meant[: len(read)] - shift).max() <= within:
            words = f"cut off after {len(read)} of {len(meant)} {noun}s"
            return Difference(0.3, f"{words} and shifted by {_way(shift, noun)}")
    if before + after < (1 - MOST_MOVED) * few or before == 0:
        return None
    what = "missing" if lost > 0 else "more than meant"
    count = "1 " + noun if abs(lost) == 1 else f"{abs(lost)} {noun}s"
    verb = "is" if abs(lost) == 1 else "are"
    words = f"{count} {verb} {what} after {noun} {before}, {_place(meant[before - 1])}"
    return Difference(0.3, words)


def _out_of_order(read: Figure, meant: Figure, within: float) -> Difference:
    """The same points in another order, or so many of its lines that it is another version."""
    few, noun = min(len(read.points), len(meant.points)), read.noun
    off = np.abs(read.points[:few] - meant.points[:few]).max(axis=1) > within
    first = int(off.argmax()) if off.any() else few - 1
    at = f"; the first difference is {noun} {first + 1}, {_place(meant.points[first])}"
    if len(read.points) == len(meant.points) and _same_points(read.points, meant.points, within):
        return Difference(0.4, f"sewn in another order{at}")
    there, back = _on_lines(read, meant, within), _on_lines(meant, read, within)
    share = min(there, back)
    if share < SAME_VERSION:
        return NOTHING_ALIKE
    words = f"another version: {share:.0%} of the {noun}s lie on lines of both{at}"
    return Difference(0.5 + (1 - share) / 2, words)


def _same_points(read: Floats, meant: Floats, within: float) -> bool:
    from scipy.spatial import cKDTree

    near = [cKDTree(a).query(b)[0] <= 1.5 * within for a, b in ((read, meant), (meant, read))]
    return min(float(each.mean()) for each in near) > NEARLY_ALL


def _on_lines(points: Figure, of: Figure, within: float) -> float:
    """Share of the points of one that lie on the lines of the other."""
    ends = of.points
    steps = shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1))[~of.path.moved[1:]]
    tree = shapely.STRtree(steps)
    found = tree.query_nearest(
        shapely.points(points.points), max_distance=1.5 * within, all_matches=False
    )
    return len(np.unique(found[0])) / len(points.points)


def _of_commands(read: Figure, meant: Figure) -> Difference:
    """Cuts and halts of the same points, and where a line begins."""
    told = []
    for name, one, other in (
        ("cut of the thread", read.path.cut, meant.path.cut),
        ("halt", read.path.stop, meant.path.stop),
    ):
        lost = np.flatnonzero(other[1:] & ~one[1:]) + 1
        if len(lost):
            plural = "s are" if len(lost) > 1 else " is"
            told.append(
                f"{len(lost)} {name}{plural} missing, the first before {read.noun} {lost[0] + 1},"
                f" {_place(meant.points[lost[0]])}"
            )
    new = np.flatnonzero(read.path.stop[1:] & ~meant.path.stop[1:]) + 1
    if len(new):
        plural = "s are" if len(new) > 1 else " is"
        told.append(f"{len(new)} halt{plural} new, the first before {read.noun} {new[0] + 1}")
    return Difference(0.05 if told else 0.0, "; ".join(told))
