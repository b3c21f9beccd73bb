"""Which foot a design asks for where hands, not a frame, move the cloth."""

from __future__ import annotations

from collections.abc import Sequence

from quiltpath.language import message
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.layer import Layer

WALKING, DARNING = message("walking foot"), message("darning foot")
BOTH = message("walking foot and darning foot")


def is_free_motion(layer: Layer) -> bool:
    """Whether its lines turn more than a walking foot can: the feed dogs are lowered, and the hands
    move the cloth (common practice)."""
    return KINDS[layer.kind].foot.startswith(DARNING)


def usual_foot(layers: Sequence[Layer]) -> str:
    """The foot for all of them, or both; a walking foot keeps layers from creeping wherever the
    feed dogs may be up (common practice)."""
    free = [is_free_motion(layer) for layer in layers]
    if not any(free):
        return WALKING
    return DARNING if all(free) else BOTH
