"""Result to the passes of a frame that cannot reach the whole depth of the runner at once."""

from __future__ import annotations

import numpy as np

from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.part_plan import PartPlan, PartSetting, plan
from quiltpath.machine.parts import CutSecuring
from quiltpath.machine.pass_bands import PassBands
from quiltpath.machine.passes import FramedCloth, SewnPasses, sewn_passes
from quiltpath.machine.profile import profile_from
from quiltpath.result.computing import stitch_setting
from quiltpath.result.values import Result
from quiltpath.routing import Policy, policy_named

PATH_POLICY = "continuous"
LEAST_OVERLAP_MM = 6.0
"""Two short stitches: room enough to choose where a line is cut."""


def passes_of(result: Result, profile: MachineProfile, setting: PartSetting) -> SewnPasses | None:
    """The passes, or nothing where one holds the whole or the machine makes none.

    Each is sewn as one path where the lines allow it, whatever the policy of the project.
    """
    if profile.kind is not MachineKind.LONGARM or not len(result.stitches.needle_holes):
        return None
    low, high = _extent(result)
    along, across = profile.usable
    if high[1] - low[1] <= across + 1e-6 or high[0] - low[0] > along + 1e-6:
        return None
    middle = float(low[0] + high[0]) / 2
    runner = result.runner
    return sewn_passes(
        result.lines,
        result.runs,
        _bands(result, float(low[1]), float(high[1]), across, setting.overlap_mm),
        _policy(result),
        stitch_setting(result.project),
        FramedCloth(
            runner.outline,
            runner.margin_mm,
            (middle - along / 2, middle + along / 2),
            tuple(runner.printed),
        ),
        overlap_stitches=setting.overlap_stitches,
        centre_out=setting.centre_out,
    )


def _extent(result: Result) -> tuple[np.ndarray, np.ndarray]:
    holes = result.stitches.needle_holes
    return holes.min(axis=0), holes.max(axis=0)


def _bands(
    result: Result, low: float, high: float, depth_mm: float, overlap_mm: float
) -> PassBands:
    """With room for the way along the margin, where that takes no further pass."""
    overlap_mm = max(overlap_mm, LEAST_OVERLAP_MM, result.project.stitch.longest + 0.01)
    outline, beyond = result.runner.outline.bounds, result.runner.margin_mm / 2
    plain = PassBands(low, high, depth_mm, overlap_mm)
    roomy = PassBands(
        min(low, outline[1] - beyond), max(high, outline[3] + beyond), depth_mm, overlap_mm
    )
    return roomy if len(roomy) == len(plain) else plain


def _policy(result: Result) -> Policy:
    """The project's own way of sewing one path, unless its order keeps runs apart."""
    sewing = result.project.sewing
    own = policy_named(PATH_POLICY, sewing.settings if sewing.policy == PATH_POLICY else None)
    return policy_named(PATH_POLICY) if own.joins_in_order else own


def profile_of(result: Result) -> MachineProfile | None:
    """The machine that the project names, if it names one. Raises :class:`InputError`."""
    section = result.project.machine
    if section.own_profile:
        return profile_from(result.project.drawing(section.own_profile), section.own_profile)
    return ProfileRegistry().find(section.profile) if section.profile else None


def part_setting(result: Result) -> PartSetting:
    """How the project wants its design cut up."""
    section, stitch = result.project.machine, result.project.stitch
    count = stitch.securing_count if stitch.securing == "tiny" else 0
    return PartSetting(
        overlap_mm=section.overlap,
        overlap_stitches=section.overlap_stitches,
        centre_out=section.order == "centre-out",
        sew_crosses=section.sew_crosses,
        securing=CutSecuring(count, stitch.securing_length),
    )


def part_plan(result: Result) -> PartPlan | None:
    """The parts for the project's machine, without their files."""
    profile = profile_of(result)
    if profile is None:
        return None
    runner = result.runner
    return plan(
        result.stitches,
        profile,
        part_setting(result),
        outline=runner.outline,
        printed=runner.printed,
        passes=passes_of(result, profile, part_setting(result)),
    )
