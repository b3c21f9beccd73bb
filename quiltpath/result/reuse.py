"""What stayed the same between two computings of a project that is being changed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw, draw_layer
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project
from quiltpath.runner import build

MOST_LAYERS = 64


class Reuse:
    """The last runner, and the layers drawn on it. Pure values, so reuse changes no result.

    What is kept is put in place whole, so that threads may share it.
    """

    def __init__(self) -> None:
        self._runner: tuple[Any, Runner] | None = None
        self._layers: dict[tuple[int, Layer], tuple[Runner, Lines]] = {}

    def runner(self, project: Project) -> Runner:
        """The runner of ``project``: the last one where nothing that shapes it has changed."""
        cloth = (project.runner, project.grid, project.print, project.motif, _drawings(project))
        kept = self._runner
        if kept is None or kept[0] != cloth:
            kept = (cloth, build(project))
            self._runner = kept
        return kept[1]

    def lines(self, runner: Runner, layers: Sequence[Layer]) -> Lines:
        """All layers drawn on ``runner``, those that were drawn on it before taken as they are."""
        return draw(runner, layers, self._layer)

    def _layer(self, runner: Runner, layer: Layer) -> Lines:
        key = (id(runner), layer)
        kept = self._layers.get(key)
        # The runner is held beside its lines: no other object can have its id meanwhile.
        if kept is None:
            kept = (runner, draw_layer(runner, layer))
            others = self._layers if len(self._layers) < MOST_LAYERS else {}
            self._layers = {**others, key: kept}
        return kept[1]


def _drawings(project: Project) -> tuple[tuple[str, bytes], ...]:
    """The files that shape the cloth, as they were read."""
    names = sorted({file for key, file in project.named_drawings if key.startswith(_OF_THE_CLOTH)})
    return tuple((name, project.drawing(name)) for name in names)


_OF_THE_CLOTH = ("runner.", "motif[")
