"""Passes of a frame, each a route of its own: fewest starts of thread in what one pass reaches.

    split = split_passes(sewn_lines(runs, len(lines)), bands, printed)
    sewn = route_passes(split, lines, bands, PassSewing(policy, stitch), cloth)

Cutting up the needle points of the whole would leave as many starts in each pass as lines cross
it. So the lines are cut instead, and each pass is put in sewing order by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, members
from quiltpath.geometry.polyline_stretches import stretches
from quiltpath.machine.pass_bands import PassBands
from quiltpath.machine.pass_cutting import PLAINLY, LineCut, PartingRule, Pieces, part_at_pass_line
from quiltpath.patterns import Lines
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import PieceKind, Policy, Runs, route
from quiltpath.stitching import Stitches, place

SAME_MM = 1e-3

Onward = dict[tuple[float, float, int], Floats]
"""For the place and the line of a cut, the points along which the line goes on from there."""


@dataclass(frozen=True)
class SewnPass:
    """One pass: lowest and highest y that it reaches, its lines, runs and stitches.

    ``runs`` name lines by their place in ``lines``, ``stitches`` by that among all quilting lines.
    """

    window: tuple[float, float]
    lines: Lines
    runs: Runs
    stitches: Stitches


@dataclass(frozen=True)
class SewnPasses:
    """All passes from the near edge to the far one, and the cuts between each and the next.

    ``order`` are their indices in sewing order. ``crosswise`` says that all of it is as a runner
    lies that goes in turned a quarter to the right: x is then along the rails.
    """

    passes: tuple[SewnPass, ...]
    cuts: tuple[tuple[LineCut, ...], ...]
    order: tuple[int, ...]
    crosswise: bool = False


@dataclass(frozen=True)
class FramedCloth:
    """What the passes are sewn on: finished ``outline``, width of the wadding beyond it, the lowest
    and highest x that the ``rail`` lets the head reach, sashing lines printed on it, and blocks and
    strips that may be finished one by one; mm."""

    outline: shapely.Polygon
    margin_mm: float
    rail: tuple[float, float]
    printed: tuple[shapely.LineString, ...] = ()
    regions: tuple[shapely.Polygon, ...] = ()


@dataclass(frozen=True)
class SplitPasses:
    """Pieces of each pass from the near edge on, and the cuts after each but the last."""

    pieces: tuple[Pieces, ...]
    cuts: tuple[tuple[LineCut, ...], ...]

    @property
    def every_cut(self) -> tuple[LineCut, ...]:
        """The cuts between all passes."""
        return tuple(cut for cuts in self.cuts for cut in cuts)


@dataclass(frozen=True)
class PassSewing:
    """How passes are sewn: ``overlap_stitches`` on beyond a cut by the pass that is sewn first,
    wherever its thread ends there; the far pass first, or with ``centre_out`` the middle one."""

    policy: Policy
    stitch: StitchSection
    overlap_stitches: int = 0
    centre_out: bool = False


def split_passes(
    whole: Pieces,
    bands: PassBands,
    printed: Sequence[shapely.LineString] = (),
    parting: PartingRule = PLAINLY,
    from_far: bool = False,
) -> SplitPasses:
    """The pieces of each pass and the cuts; with ``from_far`` the far pass is filled first."""
    if not from_far:
        return _part_into_passes(whole, bands, printed, parting)
    over = PassBands(-bands.high, -bands.low, bands.depth_mm, bands.overlap_mm)
    mirrored = replace(whole, shape=_upside_down(whole.shape))
    lines = tuple(_upside_down(np.array(list(printed), dtype=object)))
    found = _part_into_passes(mirrored, over, lines, parting)
    pieces = [replace(own, shape=_upside_down(own.shape)) for own in found.pieces]
    cuts = [tuple(_cut_upside_down(cut) for cut in own) for own in found.cuts]
    return SplitPasses(tuple(pieces[::-1]), tuple(cuts[::-1]))


def _upside_down(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    turned: NDArray[np.object_] = shapely.transform(shapes, lambda points: points * (1.0, -1.0))
    return turned


def _cut_upside_down(cut: LineCut) -> LineCut:
    x, y = cut.at_mm
    below, above = (way * np.array([1.0, -1.0]) for way in (cut.above, cut.below))
    return replace(cut, at_mm=(x, -y), below=below, above=above)


def route_passes(
    split: SplitPasses, lines: Lines, bands: PassBands, sewing: PassSewing, cloth: FramedCloth
) -> SewnPasses:
    """Each pass of the split as runs and stitches of its own."""
    pieces, cuts = split.pieces, split.cuts
    order = _order(len(pieces), sewing.centre_out)
    passes = []
    for index, own in enumerate(pieces):
        onward = _cuts_to_sew_on(index, cuts, order) if sewing.overlap_stitches else {}
        window = _window(own, bands, index == 0, index == len(pieces) - 1)
        drawn, found, reach = _route_pass(own, lines, sewing.policy, cloth, window)
        by_mm = sewing.overlap_stitches * sewing.stitch.length
        longer = _lengthen(found, own.origin, onward, by_mm, reach)
        stitches = on_all_lines(place(longer, sewing.stitch), own.origin)
        passes.append(SewnPass(window, drawn, longer, stitches))
    return SewnPasses(tuple(passes), cuts, order)


def _part_into_passes(
    rest: Pieces, bands: PassBands, printed: Sequence[shapely.LineString], parting: PartingRule
) -> SplitPasses:
    """The pieces of each pass from the near edge on, and the cuts after it."""
    pieces, cuts = [], []
    bottom = bands.low
    for number in range(len(bands) - 1):
        zone = bands.zone(number, bottom)
        split = part_at_pass_line(rest, zone, bands.middle(number, bottom), printed, parting)
        if not len(split.above):
            break
        if len(split.below):
            pieces.append(split.below)
            cuts.append(split.cuts)
        rest = split.above
        bottom = _extent(rest)[0]
    return SplitPasses((*pieces, rest), tuple(cuts))


def _order(count: int, centre_out: bool) -> tuple[int, ...]:
    from_far = range(count - 1, -1, -1)
    middle = (count - 1) / 2
    return tuple(sorted(from_far, key=lambda index: abs(index - middle) if centre_out else 0.0))


def _extent(pieces: Pieces) -> tuple[float, float]:
    """Lowest and highest y."""
    bounds = shapely.bounds(pieces.shape)
    return float(bounds[:, 1].min()), float(bounds[:, 3].max())


def _window(pieces: Pieces, bands: PassBands, first: bool, last: bool) -> tuple[float, float]:
    low, high = _extent(pieces)
    low = min(low, bands.low) if first else low
    high = max(high, bands.high) if last else high
    return bands.window(low, high)


def sewn_lines(runs: Runs, count: int) -> Pieces:
    """What runs sew for the quilt's sake, each line (of ``count``) in as few pieces as it allows.

    Retracing and ways along the margin are left out.
    """
    shapes, origin = [], []
    vertices = np.repeat(np.arange(len(runs.piece_kind)), np.diff(runs.piece_start))
    sewn = runs.piece_kind == PieceKind.LINE
    parts = shapely.linestrings(runs.coordinates, indices=vertices)[sewn]
    line_of = runs.piece_line[sewn]
    for line, mine in enumerate(members(line_of, count)):
        own = parts[mine]
        merged = shapely.line_merge(shapely.multilinestrings(own)) if len(own) > 1 else own
        shapes.append(shapely.get_parts(merged))
        origin.append(np.full(len(shapes[-1]), line, dtype=np.int32))
    none = np.zeros(0, dtype=object)
    return Pieces(
        np.concatenate([none, *shapes]),
        np.concatenate([np.zeros(0, dtype=np.int32), *origin]),
    )


def _route_pass(
    pieces: Pieces, lines: Lines, policy: Policy, cloth: FramedCloth, window: tuple[float, float]
) -> tuple[Lines, Runs, shapely.Polygon]:
    """The pass's lines, its runs, and the field that it reaches."""
    own = replace(lines.take(pieces.origin.astype(np.intp)), geometry=pieces.shape, remarks=())
    reach = shapely.box(cloth.rail[0], window[0], cloth.rail[1], window[1]).buffer(1e-6)
    runs = route(own, policy, cloth.outline, cloth.margin_mm, reach, cloth.regions)
    return own, runs, reach


def _cuts_to_sew_on(
    index: int, cuts: Sequence[tuple[LineCut, ...]], order: tuple[int, ...]
) -> Onward:
    """The cuts beyond which the pass sews on: those to passes that are sewn after it."""
    later = order[order.index(index) + 1 :]
    found: Onward = {}
    if index + 1 in later:
        found |= {(*cut.at_mm, cut.line): cut.above for cut in cuts[index]}
    if index - 1 in later:
        found |= {(*cut.at_mm, cut.line): cut.below for cut in cuts[index - 1]}
    return found


def _lengthen(
    runs: Runs, origin: NDArray[np.int32], onward: Onward, by_mm: float, reach: shapely.Polygon
) -> Runs:
    """The runs, those that end at a cut sewn on along the line by as much, within reach."""
    if not onward or not len(runs):
        return runs
    line = np.append(origin, np.int32(-1))[runs.piece_line]
    outer = np.column_stack([line[runs.run_start[:-1]], line[runs.run_start[1:] - 1]]).tolist()
    before: dict[int, Floats] = {}
    after: dict[int, Floats] = {}
    for run, (start, end) in enumerate(np.round(runs.ends, 6).tolist()):
        for at, own, found in ((start, outer[run][0], before), (end, outer[run][1], after)):
            way = onward.get((at[0], at[1], own))
            if way is not None:
                found[run] = _way(way, by_mm, reach)
    return _with_ends(runs, {run: way[::-1] for run, way in before.items()}, after)


def _way(points: Floats, by_mm: float, reach: shapely.Polygon) -> Floats:
    """(k, 2) points beyond the first of ``points``, as far as ``by_mm`` and the reach go."""
    line = shapely.LineString(stretches(points, [(0.0, by_mm)])[0])
    inside = shapely.get_parts(shapely.intersection(line, reach))
    start = shapely.Point(points[0])
    inside = [part for part in inside if shapely.distance(part, start) <= SAME_MM]
    if not inside or not isinstance(inside[0], shapely.LineString):
        return np.zeros((0, 2))
    return shapely.get_coordinates(inside[0])[1:]


def _with_ends(runs: Runs, before: dict[int, Floats], after: dict[int, Floats]) -> Runs:
    """Vertices put in at the starts and ends of runs; they belong to the piece that is there."""
    count = np.diff(runs.piece_start)
    parts = np.split(runs.coordinates, runs.piece_start[1:-1])
    for run, points in before.items():
        piece = int(runs.run_start[run])
        parts[piece] = np.vstack([points, parts[piece]])
        count[piece] += len(points)
    for run, points in after.items():
        piece = int(runs.run_start[run + 1]) - 1
        parts[piece] = np.vstack([parts[piece], points])
        count[piece] += len(points)
    start = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    return replace(runs, coordinates=np.vstack(parts), piece_start=start)


def on_all_lines(stitches: Stitches, origin: NDArray[np.int32]) -> Stitches:
    """Stitches of pieces, named by the lines that those are of: ``origin`` for each piece."""
    known = np.append(origin, np.int32(-1))
    return replace(stitches, line=known[stitches.line])
