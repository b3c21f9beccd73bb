"""The passes of a frame that cost a person least.

    found = best_passes(work, profile, sewing, overlaps_mm=(12.0, 4.0), shortest_overrun_mm=6.0)

The number of passes is reckoned for every lay and the fewest are kept. Then splits are tried:
which edge is filled first, the room that is kept for the way along the margin, the height at which
passes meet. A split shows its cuts at once; only those that may be best are put in sewing order,
which shows their starts. How many are tried depends on how much there is to sew, so that a long
runner waits no longer than it must; the same work always gives the same passes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice, product

import shapely

from quiltpath.machine.frame_lays import FramedWork, FrameLay, frame_lays
from quiltpath.machine.loose_ends import JoinLimits, fewest_starts
from quiltpath.machine.part_choice import Choice, PartCost, PartDivision, PartWay, unevenness
from quiltpath.machine.pass_bands import HidingGrade, PassBands
from quiltpath.machine.pass_cutting import PartingRule
from quiltpath.machine.passes import (
    FramedCloth,
    PassSewing,
    SewnPasses,
    SplitPasses,
    route_passes,
    split_passes,
)
from quiltpath.machine.profile import MachineProfile

ROUTED_MM = 25_000.0
"""About as many mm of line are put in order again for the sake of a better division."""
SPLIT_MM = 300_000.0
"""About as many mm of line are split for it."""
MOST_ROUTED, MOST_SPLIT = 12, 40

PARTINGS = (
    PartingRule(),
    PartingRule(shared=False),
    *(PartingRule(rank, shared=shared) for rank in range(1, 4) for shared in (True, False)),
    *(PartingRule(rank, narrow=True) for rank in range(4)),
)
"""Ways to part two passes, the likeliest first."""


@dataclass(frozen=True)
class PassSearch:
    """How far the search goes: ``overlaps_mm`` that are tried, the wished one first, and the
    shortest overrun in mm that lines may be left with where that saves a pass or an open cut."""

    overlaps_mm: tuple[float, ...]
    shortest_overrun_mm: float


@dataclass(frozen=True)
class FoundPasses:
    """The passes that were taken, and the choice that led to them."""

    sewn: SewnPasses
    choice: Choice


@dataclass(frozen=True)
class _Try:
    """One split, not yet put in order."""

    lay: FrameLay
    work: FramedWork
    bands: PassBands
    split: SplitPasses

    @cached_property
    def least(self) -> PartCost:
        """What it costs at least; its starts are no more than a bound."""
        cuts, pieces = self.split.every_cut, self.split.pieces
        open_cuts = sum(cut.hiding == HidingGrade.OPEN for cut in cuts)
        starts = sum(fewest_starts(own, self._joining(index)) for index, own in enumerate(pieces))
        uneven = unevenness([float(shapely.length(own.shape).sum()) for own in pieces])
        return PartCost(len(pieces), open_cuts, starts, len(cuts) - open_cuts, uneven)

    def _joining(self, index: int) -> JoinLimits:
        """What joins the lines of a pass: the margin too, where room was kept for the way."""
        work, room = self.work, self.work.margin_room_mm
        bottom, top = work.outline.bounds[1], work.outline.bounds[3]
        low = bottom if index or self.bands.low <= bottom - room else math.inf
        last = index == len(self.split.pieces) - 1
        high = top if not last or self.bands.high >= top + room else -math.inf
        return JoinLimits(work.lines.retraceable, work.outline, (low, high))

    def division(self, starts: int | None) -> PartDivision:
        """What it costs with so many starts of thread, None where they are not known."""
        heights = [
            sorted(cut.at_mm[1] for cut in cuts)[len(cuts) // 2] for cuts in self.split.cuts if cuts
        ]
        lines = tuple(round(-y if self.lay.crosswise else y, 1) for y in heights)
        overlap = self.bands.overlap_mm if self.least.loadings > 1 else 0.0
        way = PartWay(overlap, self.lay.overrun_mm, self.lay.crosswise, lines)
        cost = self.least._replace(starts=starts or 0)
        return PartDivision(way, cost, starts is not None)


def lays_of(work: FramedWork, profile: MachineProfile, search: PassSearch) -> tuple[FrameLay, ...]:
    """Every way in which the work can lie on the frame, with the passes that each takes."""
    sooner = work.ending_sooner(search.shortest_overrun_mm)
    size, less = work.size_mm, sooner.size_mm
    shorter = (search.shortest_overrun_mm, less) if less != size else None
    return frame_lays(size, shorter, profile, search.overlaps_mm)


def best_passes(
    work: FramedWork,
    lays: Sequence[FrameLay],
    profile: MachineProfile,
    sewing: PassSewing,
) -> FoundPasses:
    """The passes that cost least, of the ``lays`` that the frame takes.

    Raises ``ValueError`` where it takes none.
    """
    able = [lay for lay in lays if lay.allowed and lay.passes is not None]
    if not able:
        raise ValueError("the frame takes no lay of the work")
    fewest = min(lay.passes or 0 for lay in able)
    line_mm = float(shapely.length(work.pieces.shape).sum())
    tries = _tried(work, [lay for lay in able if lay.passes == fewest], profile, line_mm)
    found, others = _routed(tries, profile, sewing, line_mm)
    # A lay that changes nothing but takes more passes is the one to be told of.
    plain = able[0]
    if (plain.passes or 0) > fewest:
        others = [next(_splits(work, [plain], profile)).division(None)]
    runner_up = next((each for each in others if each.way != found[0].way), None)
    return FoundPasses(found[1], Choice(found[0], runner_up, fewest, len(tries)))


def _tried(
    work: FramedWork, lays: Sequence[FrameLay], profile: MachineProfile, line_mm: float
) -> list[_Try]:
    """Splits, those first that cost least as far as is known; of equals the one tried first."""
    most = min(MOST_SPLIT, max(1, int(SPLIT_MM / max(line_mm, 1.0))))
    found: list[_Try] = []
    seen: set[tuple[object, ...]] = set()
    for each in islice(_splits(work, lays, profile), most):
        places = tuple(sorted(cut.at_mm for cut in each.split.every_cut))
        key = (each.lay.crosswise, each.bands.low, each.bands.high, places)
        if key not in seen:
            seen.add(key)
            found.append(each)
        if line_mm > ROUTED_MM and each.least[1:3] == (0, each.least.loadings):
            break
    return sorted(found, key=lambda each: each.least)


def _splits(work: FramedWork, lays: Sequence[FrameLay], profile: MachineProfile) -> Iterator[_Try]:
    """The likeliest first: each lay in the plainest way, then in others."""
    laid = []
    for lay in _unlike(lays):
        own = work if lay.overrun_mm is None else work.ending_sooner(lay.overrun_mm)
        own = own.turned() if lay.crosswise else own
        laid.append((lay, own, _bands(own, lay, profile.usable[1])))
    for parting, (lay, own, bands) in product(PARTINGS, laid):
        for band, from_far in product(bands, (False, True) if len(bands[0]) > 2 else (False,)):
            split = split_passes(own.pieces, band, own.printed, parting, from_far)
            yield _Try(lay, own, band, split)


def _unlike(lays: Sequence[FrameLay]) -> list[FrameLay]:
    """The lays without those that part alike: of two passes none is nearer to the other for
    overlapping more."""
    first: dict[tuple[object, ...], FrameLay] = {}
    for lay in lays:
        overlap = lay.overlap_mm if (lay.passes or 0) > 2 else None
        first.setdefault((lay.crosswise, lay.overrun_mm, overlap), lay)
    return list(first.values())


def _bands(work: FramedWork, lay: FrameLay, depth_mm: float) -> list[PassBands]:
    """With room for the way along the margin on both sides, on one, on none: those that take no
    further pass."""
    _, low, _, high = work.bounds
    outline, room = work.outline.bounds, work.margin_room_mm + 0.1
    lower, higher = min(low, outline[1] - room), max(high, outline[3] + room)
    passes = len(PassBands(low, high, depth_mm, lay.overlap_mm))
    found = []
    for bottom, top in ((lower, higher), (low, higher), (lower, high), (low, high)):
        bands = PassBands(bottom, top, depth_mm, lay.overlap_mm)
        if len(bands) == passes and bands not in found:
            found.append(bands)
    return found


def _routed(
    tries: Sequence[_Try], profile: MachineProfile, sewing: PassSewing, line_mm: float
) -> tuple[tuple[PartDivision, SewnPasses], list[PartDivision]]:
    """The best of the tries once they are put in order, as many as there is time for; and the
    others, the next best first."""
    most = 1 + min(MOST_ROUTED, int(ROUTED_MM / max(line_mm, 1.0)))
    sewn: list[tuple[PartDivision, SewnPasses]] = []
    best: PartCost | None = None
    for each in tries[:most]:
        if best is not None and each.least >= best:
            break
        made = _sewn(each, profile, sewing)
        division = each.division(sum(len(own.runs) for own in made.passes))
        sewn.append((division, made))
        best = min(division.cost, best) if best else division.cost
    left = [each.division(None) for each in tries[len(sewn) :]]
    ranked = sorted(sewn, key=lambda found: found[0].cost)
    return ranked[0], [*(division for division, _ in ranked[1:]), *left]


def _sewn(each: _Try, profile: MachineProfile, sewing: PassSewing) -> SewnPasses:
    left, _, right, _ = each.work.bounds
    middle, half = (left + right) / 2, profile.usable[0] / 2
    work, rail = each.work, (middle - half, middle + half)
    cloth = FramedCloth(work.outline, work.margin_mm, rail, work.printed, work.regions)
    made = route_passes(each.split, work.lines, each.bands, sewing, cloth)
    return replace(made, crosswise=each.lay.crosswise)
