"""The project's design divided for its machine: fields of a hoop or a bed, passes of a frame.

Each lay, each overlap and a shorter overrun are looked at, and what costs a person least is taken.
"""

from __future__ import annotations

from dataclasses import replace

import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.machine import MachineKind, MachineProfile
from quiltpath.machine.frame_lays import FramedWork, lay_remedy
from quiltpath.machine.part_plan import (
    PartPlan,
    PartSetting,
    loadings,
    longest_stitch,
    overlaps_of,
    plainly_divided,
    plan_parts,
)
from quiltpath.machine.parts import CutSecuring
from quiltpath.machine.pass_search import FoundPasses, PassSearch, best_passes, lays_of
from quiltpath.machine.passes import PassSewing, on_all_lines, sewn_lines
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.routing import Policy, Runs, policy_named, route
from quiltpath.stitching import Stitches, place
from quiltpath.units import both_units

PATH_POLICY = "continuous"
FITS_MM = 1e-6


def machine_plan(
    project: Project,
    runner: Runner,
    lines: Lines,
    runs: Runs,
    stitches: Stitches,
    profile: MachineProfile,
) -> PartPlan:
    """The parts that cost least. Raises :class:`InputError` where the machine sews no division."""
    setting = part_setting(project)
    work = FramedWork(
        lines,
        sewn_lines(runs, len(lines)),
        runner.outline,
        runner.margin_mm,
        tuple(runner.printed),
        tuple(region.shape for region in runner.regions),
    )
    if profile.kind is MachineKind.LONGARM and not _fits(stitches, profile):
        passes = _passes(project, work, profile, setting, longest_stitch(stitches))
        return _planned(runner, stitches, profile, setting, passes)
    return _in_fields(project, runner, work, stitches, profile, setting)


def _planned(
    runner: Runner,
    stitches: Stitches,
    profile: MachineProfile,
    setting: PartSetting,
    passes: FoundPasses | None = None,
) -> PartPlan:
    return plan_parts(
        stitches,
        profile,
        setting,
        outline=runner.outline,
        printed=runner.printed,
        passes=passes,
    )


def part_setting(project: Project) -> PartSetting:
    """How the project wants its design cut up."""
    section, stitch = project.machine, project.stitch
    count = stitch.securing_count if stitch.securing == "tiny" else 0
    return PartSetting(
        overlap_mm=section.overlap,
        least_overlap_mm=section.least_overlap,
        overlap_stitches=section.overlap_stitches,
        centre_out=section.order == "centre-out",
        sew_crosses=section.sew_crosses,
        short_names=section.short_names,
        securing=CutSecuring(count, stitch.securing_length),
    )


def _fits(stitches: Stitches, profile: MachineProfile) -> bool:
    """Whether the machine sews the whole in one, as it lies or turned."""
    left, low, right, high = _bounds(stitches)
    size, (along, across) = (right - left, high - low), profile.usable
    ways = (size, size[::-1]) if profile.turns else (size,)
    return any(x <= along + FITS_MM and y <= across + FITS_MM for x, y in ways)


def _bounds(stitches: Stitches) -> tuple[float, float, float, float]:
    holes = stitches.needle_holes
    (left, low), (right, high) = holes.min(axis=0).tolist(), holes.max(axis=0).tolist()
    return left, low, right, high


def _passes(
    project: Project,
    work: FramedWork,
    profile: MachineProfile,
    setting: PartSetting,
    longest_mm: float,
) -> FoundPasses:
    """The passes of a frame. Each is sewn as one path where the lines allow it, whatever the
    policy of the project."""
    overlaps = overlaps_of(setting, max(longest_mm, project.stitch.longest))
    tried = dict.fromkeys((overlaps.wished, overlaps.least))
    search = PassSearch(tuple(tried), project.machine.least_overrun)
    lays = lays_of(work, profile, search)
    if not any(lay.allowed and lay.passes is not None for lay in lays):
        along, (length, _) = profile.usable[0], work.size_mm
        fault = (
            f"the quilting is {both_units(length)} long and {profile.title} takes"
            f" {both_units(along)}"
        )
        raise InputError("", "machine.profile", fault, lay_remedy(lays, profile))
    sewing = PassSewing(
        _policy(project), project.stitch, setting.overlap_stitches, setting.centre_out
    )
    return best_passes(work, lays, profile, sewing)


def _policy(project: Project) -> Policy:
    """The project's own way of sewing one path, unless its order keeps runs apart."""
    sewing = project.sewing
    own = policy_named(PATH_POLICY, sewing.settings if sewing.policy == PATH_POLICY else None)
    return policy_named(PATH_POLICY) if own.joins_in_order else own


def _in_fields(
    project: Project,
    runner: Runner,
    work: FramedWork,
    stitches: Stitches,
    profile: MachineProfile,
    setting: PartSetting,
) -> PartPlan:
    """Fields over the stitches as they are, or over lines that end sooner where that saves one."""
    overrun = project.machine.least_overrun
    if not _sooner_is_less(work, overrun, stitches, profile, setting):
        return _planned(runner, stitches, profile, setting)
    shorter = _sewn_sooner(project, runner, work.ending_sooner(overrun))
    found = _planned(runner, shorter, profile, setting)
    other = plainly_divided(stitches, profile, setting, runner.printed)
    if found.choice.taken.cost.loadings >= other.cost.loadings:
        return _planned(runner, stitches, profile, setting)
    way = replace(found.choice.taken.way, overrun_mm=overrun)
    taken = replace(found.choice.taken, way=way)
    choice = replace(found.choice, taken=taken, runner_up=other, tried=found.choice.tried + 1)
    return replace(found, choice=choice)


def _sooner_is_less(
    work: FramedWork,
    overrun_mm: float,
    stitches: Stitches,
    profile: MachineProfile,
    setting: PartSetting,
) -> bool:
    """Whether lines that end sooner could be sewn in fewer fields."""
    edge, own = shapely.bounds(work.outline.buffer(overrun_mm)).tolist(), _bounds(stitches)
    less = max(edge[0], own[0]), max(edge[1], own[1]), min(edge[2], own[2]), min(edge[3], own[3])
    longest = longest_stitch(stitches)
    usual, fewer = (loadings(box, longest, profile, setting) for box in (own, less))
    return fewer < usual


def _sewn_sooner(project: Project, runner: Runner, work: FramedWork) -> Stitches:
    """The whole sewn in the project's own way, with lines and margin that end sooner."""
    pieces = work.pieces
    own = replace(work.lines.take(pieces.origin.astype(int)), geometry=pieces.shape, remarks=())
    policy = policy_named(project.sewing.policy, project.sewing.settings)
    regions = [region.shape for region in runner.regions]
    runs = route(own, policy, runner.outline, work.margin_mm, regions=regions)
    return on_all_lines(place(runs, project.stitch), pieces.origin)
