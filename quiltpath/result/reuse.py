"""What stayed the same between two computings of a project that is being changed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import shapely

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw, draw_layer, expected_length_mm
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project
from quiltpath.routing import SolvedStages
from quiltpath.runner import build
from quiltpath.runner.states import Pair

MOST_LAYERS = 64


class Reuse:
    """The last runner in its passes, the layers drawn on it, and the trails of its stages; pure
    values, so nothing changes.

    What is kept is put in place whole, so that threads may share it.
    """

    def __init__(self) -> None:
        self._runners: dict[Pair, tuple[Any, Runner]] = {}
        self._layers: dict[tuple[int, Layer], tuple[Runner, Lines]] = {}
        self._stages = SolvedStages()

    def runner(self, project: Project, kept: Pair) -> Runner:
        """The flat runner of ``project``: an earlier one where nothing that shapes it changed."""
        top = project.top.made, project.top.grows
        sections = project.runner, project.grid, project.print, project.motif, project.panel
        cloth = (*sections, top, _drawings(project))
        earlier = self._runners.get(kept)
        if earlier is None or earlier[0] != cloth:
            earlier = (cloth, build(project, kept))
            others = {k: v for k, v in self._runners.items() if v[0] == cloth}
            self._runners = {**others, kept: earlier}
        return earlier[1]

    def lines(self, runner: Runner, layers: Sequence[Layer]) -> Lines:
        """All layers drawn on ``runner``, those that were drawn on it before taken as they are."""
        return draw(runner, layers, self._layer)

    def length_mm(self, runner: Runner, layers: Sequence[Layer]) -> float:
        """How long these lines are in all."""
        return float(shapely.length(self.lines(runner, layers).geometry).sum())

    def expected_length_mm(self, runner: Runner, layers: Sequence[Layer]) -> float:
        """About as long, without drawing what takes long."""
        return expected_length_mm(runner, layers, self._layer)

    def stages(self) -> SolvedStages:
        """For the trails of the stages to be sewn: those of the last time are at hand."""
        self._stages = SolvedStages(self._stages)
        return self._stages

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
