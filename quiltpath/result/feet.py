"""Which foot a design is sewn with, and which of its layers hands move, not the feed dogs."""

from __future__ import annotations

import numpy as np

from quiltpath.patterns import Lines
from quiltpath.patterns.kinds import KINDS
from quiltpath.project import Project
from quiltpath.project.materials_sections import BOTH_FEET, DARNING_FOOT, WALKING_FOOT
from quiltpath.result.machine_parts import profile_of
from quiltpath.routing import Runs


def foot_of(project: Project, lines: Lines, runs: Runs) -> str:
    """The foot that the project names, that of its machine, or what its patterns ask for: a walking
    foot keeps layers from creeping wherever the feed dogs may be up (common practice)."""
    profile = profile_of(project)
    if "foot" in project.instructions.model_fields_set:
        return project.instructions.foot
    if profile is not None:
        return profile.foot
    by_hand = layers_by_hand(project, lines, runs)
    if not by_hand:
        return WALKING_FOOT
    return DARNING_FOOT if len(by_hand) == len(lines.layers) else BOTH_FEET


def layers_by_hand(project: Project, lines: Lines, runs: Runs) -> tuple[str, ...]:
    """Names of the layers that are sewn with a darning foot, the feed dogs down: those that turn
    more than a walking foot can (common practice), and those that share a run with one of them,
    since nobody changes feet on the way. None where a machine moves the work, or where the file
    names a foot of its own."""
    if project.machine.profile or "foot" in project.instructions.model_fields_set:
        return ()
    free = np.array([KINDS[layer.kind].is_free_motion(layer) for layer in project.quilting])
    if not free.any():
        return ()
    on_a_line = runs.piece_line >= 0
    run = np.repeat(np.arange(len(runs)), np.diff(runs.run_start))[on_a_line]
    layer = lines.layer[runs.piece_line[on_a_line]]
    freely = np.zeros(len(runs), dtype=np.bool_)
    freely[run[free[layer]]] = True
    free[layer[freely[run]]] = True
    return tuple(name for name, by_hand in zip(lines.layers, free, strict=True) if by_hand)
