"""Cables, plaits, vines, feathers, chains, waves and loops round a border and its corners.

Each side takes a whole number of repeats (a cable half ones as well), every corner gets the same
point of the figure, drawn round the corner and reaching into it, and each strand closes.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.ops import substring

from quiltpath.geometry.arrays import Floats, Points, arc_lengths
from quiltpath.geometry.free_curves.border_band import BorderBand
from quiltpath.geometry.free_curves.feathers import feather
from quiltpath.geometry.free_curves.smooth_band import SmoothBand, any_band_of
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve

SAMPLES = 160  # of a repeat
OFF_THE_CROSSINGS = 0.431  # of a sample: twelfths of a repeat fall between samples
FULL = 0.8  # of the half width, unless asked otherwise
LOOP = 0.3
LINK = 0.66  # of a repeat: half the length of a chain's link
LEAF_FROM, LEAF_WIDE, LEAF_LEAN = 0.3, 0.24, 0.2


class BorderKind(StrEnum):
    """What runs round the border."""

    WAVE = "wave"
    CABLE = "cable"
    PLAIT = "plait"
    LOOPS = "loops"
    VINE = "vine"
    FEATHER = "feather"
    CHAIN = "chain"


WOVEN = (BorderKind.CABLE, BorderKind.PLAIT, BorderKind.CHAIN)
"""Strands that may pass over and under each other."""

FILLING = (BorderKind.FEATHER, BorderKind.CHAIN)
"""What lies along both edges all the way round a corner."""


def border_runs(
    border: Polygon,
    kind: BorderKind | str,
    repeat_mm: float,
    *,
    full: float = FULL,
    under_gap_mm: float = 0.0,
    one_path: bool = False,
) -> list[Points]:
    """Closed lines (n, 2) in mm round a border, one a strand.

    ``border`` is a convex polygon with one convex hole of as many corners, whose sides may differ
    in width, or it has one width round an outline of any shape. A repeat is stretched or shrunk so
    that each side has a whole number, at least one. ``full`` is how much of the band's width the
    figure fills, up to 0.95. ``under_gap_mm`` above 0 leaves out, in what is woven, that much to
    either side of where a strand passes under. ``one_path`` gives a cable one half repeat more
    or less, so that its two strands are one.
    Raises ``ValueError`` where the border or a figure is out of range.
    """
    kind = BorderKind(kind)
    if not repeat_mm > 0 or not 0 < full <= 0.95:
        raise ValueError("repeat_mm must be above 0 and full between 0 and 0.95")
    band = any_band_of(border, full, filled=kind in FILLING)
    repeats = _repeats(band, kind, repeat_mm, one_path)
    slimness = float(band.side_lengths_mm().sum() / repeats.sum() / (band.half_mm.mean() * full))
    drawn = FIGURES[kind](repeats, slimness)
    strands = [_close(band.places(repeats, along, full * off)) for along, off in drawn]
    if under_gap_mm > 0 and kind in WOVEN:
        return [piece for strand in _open_under(strands, under_gap_mm) for piece in strand]
    return strands


def _close(strand: Points) -> Points:
    return simplify_curve(np.vstack([strand, strand[:1]]))


def _repeats(
    band: BorderBand | SmoothBand, kind: BorderKind, repeat_mm: float, one_path: bool
) -> Floats:
    """Repeats of each side; the side that minds least gives or takes half of one if need be."""
    wanted = band.repeats_mm(repeat_mm)
    if kind is not BorderKind.CABLE:
        return band.whole * np.maximum(1.0, np.round(wanted / band.whole))
    halves = np.maximum(2.0, np.round(2 * wanted))
    if bool(halves.sum() % 2) != one_path:
        side = int(np.argmax(np.abs(2 * wanted - halves) / halves + halves * 1e-9))
        halves[side] += 1 if 2 * wanted[side] >= halves[side] or halves[side] == 2 else -1
    return halves / 2


Strands = list[tuple[Floats, Floats]]
Figure = Callable[[Floats, float], Strands]
"""Places along and off of each strand, for the repeats of each side and a repeat's slimness, its
length over the height of the figure's half."""


def _evenly(repeats: float) -> Floats:
    """Places along, none of which is where strands cross."""
    count = round(repeats * SAMPLES)
    return (np.arange(count) + OFF_THE_CROSSINGS) * repeats / count


def _wave(repeats: Floats, slimness: float) -> Strands:
    along = _evenly(float(repeats.sum()))
    return [(along, np.cos(2 * np.pi * along))]


def _cable(repeats: Floats, slimness: float) -> Strands:
    """Two strands half a repeat apart; one that goes round twice where halves are odd."""
    if round(2 * float(repeats.sum())) % 2:
        return _wave(2 * repeats, slimness)
    along = _evenly(float(repeats.sum()))
    return [(along, sign * np.cos(2 * np.pi * along)) for sign in (1, -1)]


def _plait(repeats: Floats, slimness: float) -> Strands:
    along = _evenly(float(repeats.sum()))
    return [(along, np.cos(2 * np.pi * (along + k / 3))) for k in range(3)]


def _loops(repeats: Floats, slimness: float) -> Strands:
    """A curve that goes back at each crest (a prolate trochoid)."""
    turn = _evenly(float(repeats.sum()))
    return [(turn - LOOP * np.sin(2 * np.pi * turn), np.cos(2 * np.pi * turn))]


def _vine(repeats: Floats, slimness: float) -> Strands:
    """A stem that waves, with a leaf at each crest and each hollow, drawn as it is passed; leaves
    lean the way the stem runs, but for those in the corners."""
    corners = set(np.round(np.cumsum(repeats) - repeats).astype(int).tolist())
    along, off = [], []
    for half in range(round(2 * float(repeats.sum()))):
        side = 1.0 if half % 2 == 0 else -1.0
        lean = 0.0 if half % 2 == 0 and half // 2 in corners else LEAF_LEAN
        leaf_along, leaf_off = _leaf(lean, slimness)
        along.append(half / 2 + leaf_along)
        off.append(side * leaf_off)
        stem = np.arange(1, SAMPLES // 2) / SAMPLES
        along.append(half / 2 + stem)
        off.append(side * LEAF_FROM * np.cos(2 * np.pi * stem))
    return [(np.concatenate(along), np.concatenate(off))]


def _leaf(lean: float, slimness: float) -> tuple[Floats, Floats]:
    """A pointed leaf from the stem outwards and back, ``lean`` repeats onwards at its tip."""
    there = np.linspace(0, 1, 48)
    x, y = lean * slimness * there**1.6, (1 - LEAF_FROM) * there
    wide = LEAF_WIDE * np.hypot(x[-1], y[-1]) * np.sin(np.pi * there**0.8)
    dx, dy = np.gradient(x), np.gradient(y)
    size = np.hypot(dx, dy)
    across, up = -dy / size * wide, dx / size * wide
    along = np.concatenate([x + across, (x - across)[::-1]]) / slimness
    return along, LEAF_FROM + np.concatenate([y + up, (y - up)[::-1]])


def _chain(repeats: Floats, slimness: float) -> Strands:
    """Links that reach into their neighbours, one in each corner."""
    turn = _evenly(1.0) * 2 * np.pi
    links = np.arange(round(float(repeats.sum())))
    return [(link + LINK * np.cos(turn), np.sin(turn)) for link in links]


FIGURES: dict[BorderKind, Figure] = {
    BorderKind.WAVE: _wave,
    BorderKind.CABLE: _cable,
    BorderKind.PLAIT: _plait,
    BorderKind.LOOPS: _loops,
    BorderKind.VINE: _vine,
    BorderKind.FEATHER: feather,
    BorderKind.CHAIN: _chain,
}


def _open_under(strands: list[Points], gap_mm: float) -> list[list[Points]]:
    """Each strand in pieces, left out where it passes under: under every other crossing.

    Any drawing of closed strands can be made to alternate (a classic of knot theory, P. G. Tait
    1877); going along a strand, over and under change at each crossing.
    """
    places = crossings(strands)
    under: list[list[float]] = [[] for _ in strands]
    for strand, way in _alternating(places):
        under[strand].append(way)
    return [
        _without(LineString(strand), sorted(ways), gap_mm)
        for strand, ways in zip(strands, under, strict=True)
    ]


Visit = tuple[int, float]


def crossings(strands: list[Points]) -> list[tuple[Visit, Visit]]:
    """Where strands cross: for each crossing both visits, as strand and millimetres along it."""
    starts = [arc_lengths(s) for s in strands]
    pieces = np.concatenate([np.stack([s[:-1], s[1:]], axis=1) for s in strands])
    owner = np.concatenate([np.full(len(s) - 1, k) for k, s in enumerate(strands)])
    begin = np.concatenate([way[:-1] for way in starts])
    lines = shapely.linestrings(pieces)
    first, second = shapely.STRtree(lines).query(lines, predicate="crosses")
    found = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i >= j:
            continue
        at = lines[i].intersection(lines[j])
        visits = [(int(owner[k]), float(begin[k] + lines[k].project(at))) for k in (i, j)]
        found.append((visits[0], visits[1]))
    return found


def _alternating(places: list[tuple[Visit, Visit]]) -> list[Visit]:
    """The visit of each crossing that is under, so that over and under alternate on all strands."""
    visits = sorted(
        (visit, number, which)
        for number, pair in enumerate(places)
        for which, visit in enumerate(pair)
    )
    partner: dict[tuple[int, int], list[tuple[int, int]]] = {}
    by_strand: dict[int, list[tuple[int, int]]] = {}
    for visit, number, which in visits:
        by_strand.setdefault(visit[0], []).append((number, which))
    for order in by_strand.values():
        for here, there in zip(order, order[1:] + order[:1], strict=True):
            partner.setdefault(here, []).append(there)
            partner.setdefault(there, []).append(here)
    over: dict[tuple[int, int], bool] = {}
    for _, number, which in visits:
        _spread((number, which), partner, over)
    return [places[number][which] for (number, which), top in sorted(over.items()) if not top]


def _spread(
    start: tuple[int, int],
    partner: dict[tuple[int, int], list[tuple[int, int]]],
    over: dict[tuple[int, int], bool],
) -> None:
    """Over at the start, then the opposite at each neighbour and at the other visit."""
    waiting = [(start, True)]
    while waiting:
        here, top = waiting.pop()
        if here in over:
            continue
        over[here] = top
        waiting += [(there, not top) for there in partner[here]]
        waiting.append(((here[0], 1 - here[1]), not top))


def _without(strand: LineString, ways: list[float], gap_mm: float) -> list[Points]:
    """The closed strand less a gap to either side of each place; whole if there is none."""
    if not ways:
        return [shapely.get_coordinates(strand)]
    pieces = []
    for start, end in zip(ways, [*ways[1:], ways[0] + strand.length], strict=True):
        start, end = start + gap_mm, end - gap_mm
        if end <= start:
            continue
        line = [substring(strand, start, min(end, strand.length))] if start < strand.length else []
        if end > strand.length:
            line.append(substring(strand, max(0.0, start - strand.length), end - strand.length))
        points = np.vstack([shapely.get_coordinates(part) for part in line])
        pieces.append(simplify_curve(points))
    return pieces
