"""The whole plan for a machine: which parts, in which order, cut where.

``plan_parts(stitches, profile, ...)`` is the way in. A design that fits the field is one part and
keeps every stitch as it is. Otherwise a hoop or a bed takes the fewest fields, and a frame takes
passes along its rails. How far a small mistake in clamping would show at the joins is reckoned from
the plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Floats
from quiltpath.machine.field_choice import Overlaps, choose_fields, covering_fields, field_count
from quiltpath.machine.hooping_cuts import (
    IN_THE_OPEN,
    ON_CORNER,
    ON_CROSSING,
    Cut,
    hiding_grades,
)
from quiltpath.machine.hooping_search import CutTask
from quiltpath.machine.part_choice import Choice, PartDivision, PartWay
from quiltpath.machine.parts import (
    ARM_MM,
    CutSecuring,
    Part,
    alignment_crosses,
    part_stitches,
    shared_crosses,
    turned_back,
    with_crosses,
)
from quiltpath.machine.pass_bands import HidingGrade
from quiltpath.machine.pass_search import FoundPasses
from quiltpath.machine.passes import SewnPasses
from quiltpath.machine.profile import MachineKind, MachineProfile
from quiltpath.machine.rectangle_cover import Field
from quiltpath.stitching import Stitches
from quiltpath.units import both_units

MOST_PARTS = 400

_GRADE = {
    HidingGrade.JOINS: ON_CROSSING,
    HidingGrade.CROSSES: ON_CROSSING,
    HidingGrade.CORNER: ON_CORNER,
    HidingGrade.OPEN: IN_THE_OPEN,
}

Box = tuple[float, float, float, float]

_FILE_UNIT_MM = 0.1
"""Stitch files count from a whole unit of their grid: the nearest one to their design's middle."""

SHIFT_MM = 1.0
TURN_DEG = 0.5


@dataclass(frozen=True)
class PartSetting:
    """How a design is cut up.

    ``overlap_mm``        wished overlap of neighbouring fields
    ``least_overlap_mm``  what they still overlap where that saves a loading or an open cut
    ``overlap_stitches``  stitches sewn twice at a cut; 0 lets the needle points coincide
    ``centre_out``        parts in order from the middle; otherwise along the runner
    ``sew_crosses``       the crosses are the first stitches of each part
    ``short_names``       parts are called in at most 7 letters
    ``securing``          tiny stitches on each side of a cut
    """

    overlap_mm: float = 12.0
    least_overlap_mm: float = 4.0
    overlap_stitches: int = 0
    centre_out: bool = False
    sew_crosses: bool = False
    short_names: bool = False
    securing: CutSecuring = field(default=CutSecuring())


@dataclass(frozen=True)
class PartPlan:
    """Parts in sewing order and the cuts between them, which name parts by number; and the choice
    that led to them."""

    profile: MachineProfile
    parts: tuple[Part, ...]
    cuts: tuple[Cut, ...]
    choice: Choice

    @property
    def in_one(self) -> bool:
        """True where the machine sews the whole with the work clamped once."""
        return len(self.parts) == 1

    def cuts_of(self, part: Part) -> Floats:
        """(k, 2) places where lines pass between ``part`` and another, in mm on the runner."""
        own = [cut.at_mm for cut in self.cuts if part.number in cut.fields]
        return np.array(own, dtype=np.float64).reshape(-1, 2)


def plan_parts(
    stitches: Stitches,
    profile: MachineProfile,
    setting: PartSetting,
    *,
    outline: shapely.Polygon,
    printed: Sequence[shapely.LineString] = (),
    passes: FoundPasses | None = None,
) -> PartPlan:
    """Parts for the machine.

    ``outline`` is the runner's finished edge and ``printed`` its sashing lines, in mm. ``passes``
    are those of a frame that were put in sewing order one by one; then they are the parts.
    Raises ``InputError`` where the machine cannot sew it, with the smallest field that would do.
    """
    _refuse_long_stitches(stitches, profile)
    holes = stitches.hole_indices
    if passes is not None:
        return _plan_of_passes(passes, profile, setting, outline)
    bounds, overlaps = _to_cover(stitches, holes, profile, setting)
    alone = field_count(bounds, profile, overlaps) == 1
    # Where nothing is cut, nothing needs to hide.
    grade = np.zeros(len(holes), np.int8) if alone else hiding_grades(stitches, holes, printed)
    found = choose_fields(stitches, grade, bounds, profile, overlaps, setting.overlap_stitches)
    fields, pieces, cuts = found.made.fields, found.made.pieces, found.made.cuts
    order = _order(fields, sorted({piece.field for piece in pieces}), setting.centre_out)
    used = [fields[index] for index in order]
    owned = [[piece for piece in pieces if piece.field == index] for index in order]
    bare = [part_stitches(stitches, own, setting.securing) for own in owned]
    crosses = _crosses(used, bare, outline, setting)
    number = {index: place for place, index in enumerate(order, start=1)}
    parts = []
    for index, own, plain, marks in zip(order, owned, bare, crosses, strict=True):
        sewn = (
            part_stitches(stitches, own, setting.securing, marks) if setting.sew_crosses else plain
        )
        name = _name(profile.kind, number[index], len(order), setting.short_names)
        place = _centre(fields[index], sewn)
        parts.append(Part(number[index], name, place, sewn, marks, len(own)))
    told = tuple(Cut(c.at_mm, (number[c.fields[0]], number[c.fields[1]]), c.grade) for c in cuts)
    return PartPlan(profile, tuple(parts), told, found.choice)


def _refuse_long_stitches(stitches: Stitches, profile: MachineProfile) -> None:
    longest = longest_stitch(stitches)
    if longest > profile.longest_stitch + 1e-9:
        raise InputError(
            "",
            "stitch.longest",
            f"a stitch of {longest:.1f} mm is longer than this machine sews"
            f" ({profile.longest_stitch:g} mm)",
            "set shorter stitches or another machine",
        )


def plainly_divided(
    stitches: Stitches,
    profile: MachineProfile,
    setting: PartSetting,
    printed: Sequence[shapely.LineString],
) -> PartDivision:
    """What the fewest fields cost as they lie evenly, without a search for better places."""
    holes = stitches.hole_indices
    bounds, overlaps = _to_cover(stitches, holes, profile, setting)
    fields = covering_fields(bounds, profile, overlaps)
    grade = hiding_grades(stitches, holes, printed)
    cutting = CutTask(stitches, grade, setting.overlap_stitches, bounds, overlaps.wished)
    return PartDivision(PartWay(overlaps.wished), cutting.by(fields).cost)


def loadings(bounds: Box, longest_mm: float, profile: MachineProfile, setting: PartSetting) -> int:
    """How many fields it takes to cover ``bounds`` with stitches no longer than that.

    Raises ``InputError`` as :func:`plan_parts` does.
    """
    overlaps = overlaps_of(setting, longest_mm)
    _refuse_small_field(bounds, profile, overlaps.wished)
    return field_count(bounds, profile, overlaps)


def overlaps_of(setting: PartSetting, longest_mm: float) -> Overlaps:
    """The overlaps that are looked at: a stitch must lie whole in one field, so neighbours share
    at least its length, and a cross that is sewn lies in both."""
    step = longest_mm + 0.01
    wished = max(setting.overlap_mm, step)
    crosses = 2 * ARM_MM if setting.sew_crosses else 0.0
    return Overlaps(wished, min(wished, max(setting.least_overlap_mm, step, crosses)))


def longest_stitch(stitches: Stitches) -> float:
    """The longest stitch, in mm."""
    return float(stitches.step_mm[stitches.stretch >= 0].max(initial=0.0))


def _to_cover(
    stitches: Stitches, holes: NDArray[np.intp], profile: MachineProfile, setting: PartSetting
) -> tuple[Box, Overlaps]:
    """The rectangle of the needle holes, and how much fields overlap."""
    points = stitches.points[holes]
    if len(points) == 0:
        raise InputError("", "machine", "there is nothing to sew", "add quilting first")
    low, high = points.min(axis=0), points.max(axis=0)
    bounds = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    count = loadings(bounds, longest_stitch(stitches), profile, setting)
    if count > MOST_PARTS:
        raise InputError(
            "",
            "machine.profile",
            f"{count} parts are more than anybody clamps",
            f"{MOST_PARTS} is the most; use a larger field",
        )
    return bounds, overlaps_of(setting, longest_stitch(stitches))


def _refuse_small_field(
    bounds: tuple[float, float, float, float], profile: MachineProfile, overlap: float
) -> None:
    """A frame must take the whole length, or all of it turned; any field must be larger than the
    overlap."""
    length, width = bounds[2] - bounds[0], bounds[3] - bounds[1]
    along, across = profile.usable
    if profile.turns and width <= along + 1e-6 and length <= across + 1e-6:
        return
    if profile.kind is MachineKind.LONGARM and length > along + 1e-6:
        needed = math.ceil(length + 2 * profile.margin)
        raise InputError(
            "",
            "machine.profile",
            f"the quilting is {both_units(length)} long and {profile.title} takes"
            f" {both_units(along)}",
            f"the smallest rail that would do is {both_units(needed)}",
        )
    fits = length <= along and width <= across
    if not fits and min(along, across) <= 2 * overlap:
        needed = math.ceil(2 * overlap + 2 * profile.margin + 1)
        raise InputError(
            "",
            "machine.overlap",
            f"fields that overlap by {overlap:g} mm need more than {min(along, across):g} mm",
            f"the smallest field that would do is {needed} mm wide; or overlap less",
        )


def _order(fields: Sequence[Field], used: Sequence[int], centre_out: bool) -> list[int]:
    """Fields that have something to sew, in sewing order."""
    centres = np.array([fields[index].centre for index in used])
    if centre_out:
        middle = (centres.min(axis=0) + centres.max(axis=0)) / 2
        away = np.round(np.hypot(*(centres - middle).T), 6)
        ranked = np.lexsort((-centres[:, 1], centres[:, 0], away))
    else:
        ranked = np.lexsort((-centres[:, 1], np.round(centres[:, 0], 6)))
    return [used[index] for index in ranked.tolist()]


def _name(kind: MachineKind, number: int, count: int, short: bool) -> str:
    if count == 1:
        return "WHOLE" if short else "whole"
    digits = max(2, len(str(count)))
    if short:
        of = "OF" if digits == 2 else ""
        return f"{kind.part_words[0][0].upper()}{number:0{digits}d}{of}{count:0{digits}d}"
    return f"{kind.part_words[0]}-{number:0{digits}d}-of-{count:0{digits}d}"


def _centre(field: Field, sewn: Stitches) -> Field:
    """The field about the middle of what it sews, which is where a machine puts a file."""
    holes = sewn.needle_holes
    low, high = holes.min(axis=0), holes.max(axis=0)
    half = np.array([field.right - field.left, field.high - field.low]) / 2
    middle = (low + high) / 2
    on_grid = np.rint(middle / _FILE_UNIT_MM) * _FILE_UNIT_MM
    holds = ((low >= on_grid - half) & (high <= on_grid + half)).all()
    x, y = on_grid if holds else middle
    return Field(
        float(x - half[0]), float(y - half[1]), float(x + half[0]), float(y + half[1]), field.turned
    )


def _crosses(
    fields: Sequence[Field],
    sewn: Sequence[Stitches],
    outline: shapely.Polygon,
    setting: PartSetting,
) -> tuple[Floats, ...]:
    """The crosses of each part: where the needle gets to with the file in the middle, and one
    where a hand would have to mark several on one spot."""
    if setting.sew_crosses:
        return alignment_crosses(fields, outline.bounds, sewn=True)
    places = [_centre(field, own) for field, own in zip(fields, sewn, strict=True)]
    return shared_crosses(places, alignment_crosses(places, outline.bounds))


def _plan_of_passes(
    found: FoundPasses, profile: MachineProfile, setting: PartSetting, outline: shapely.Polygon
) -> PartPlan:
    """Passes as they were routed, in sewing order, with their crosses."""
    passes = found.sewn
    fields = [
        _pass_field(each.stitches, each.window, profile.usable[0], passes.crosswise)
        for each in passes.passes
    ]
    order = passes.order
    number = {index: place for place, index in enumerate(order, start=1)}
    in_order = [fields[index] for index in order]
    bare = [
        turned_back(each.stitches) if passes.crosswise else each.stitches
        for each in (passes.passes[index] for index in order)
    ]
    crosses = _crosses(in_order, bare, outline, setting)
    parts = []
    for index, plain, marks in zip(order, bare, crosses, strict=True):
        sewn = passes.passes[index]
        stitches = with_crosses(plain, marks) if setting.sew_crosses else plain
        parts.append(
            Part(
                number[index],
                _name(profile.kind, number[index], len(order), setting.short_names),
                _centre(fields[index], stitches),
                stitches,
                marks,
                len(sewn.runs),
                sewn.runs.runs_lower_bound,
            )
        )
    told = tuple(
        Cut(_on_runner(cut.at_mm, passes), (number[zone], number[zone + 1]), _GRADE[cut.hiding])
        for zone, cuts in enumerate(passes.cuts)
        for cut in cuts
    )
    return PartPlan(profile, tuple(parts), told, found.choice)


def _on_runner(at_mm: tuple[float, float], passes: SewnPasses) -> tuple[float, float]:
    return (-at_mm[1] + 0.0, at_mm[0]) if passes.crosswise else at_mm


def _pass_field(
    sewn: Stitches, window: tuple[float, float], along_mm: float, crosswise: bool
) -> Field:
    """What the machine reaches in a pass, about the middle of what is sewn along the rails."""
    holes = sewn.needle_holes
    middle = float(holes[:, 0].min() + holes[:, 0].max()) / 2
    left, right = middle - along_mm / 2, middle + along_mm / 2
    if crosswise:
        return Field(-window[1], left, -window[0], right, turned=True)
    return Field(left, window[0], right, window[1])


@dataclass(frozen=True)
class Misplacement:
    """The worst join if the later of its two parts lies ``SHIFT_MM`` and ``TURN_DEG`` off.

    ``offset_mm``  how far the thread ends would lie apart
    ``at_mm``      where on the runner
    ``parts``      numbers of the two parts
    """

    offset_mm: float
    at_mm: tuple[float, float]
    parts: tuple[int, int]


def worst_misplacement(plan: PartPlan) -> Misplacement | None:
    """The join at which a misplaced part would show most; nothing where nothing is cut.

    A part turns about the middle of its two crosses, so a join at distance r from there moves by
    2 r sin(angle / 2), the chord, to which the shift adds at worst.
    """
    if not plan.cuts:
        return None
    at = np.array([cut.at_mm for cut in plan.cuts])
    later = np.array([max(cut.fields) for cut in plan.cuts])
    pivots = np.array([part.crosses.mean(axis=0) for part in plan.parts])
    away = np.hypot(*(at - pivots[later - 1]).T)
    offset = SHIFT_MM + 2.0 * away * math.sin(math.radians(TURN_DEG) / 2.0)
    worst = int(np.argmax(offset))
    cut = plan.cuts[worst]
    return Misplacement(float(offset[worst]), cut.at_mm, cut.fields)
