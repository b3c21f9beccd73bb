"""What stayed the same between two computings of a project that is being changed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import shapely

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw, draw_layer, expected_length_mm
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project
from quiltpath.routing import Policy, Runs, SolvedStages, route
from quiltpath.runner import build
from quiltpath.runner.states import Pair

MOST_LAYERS = 64


class Reuse:
    """The last runner in its passes, the layers drawn on it, and the order in which they are sewn;
    pure values, so nothing changes.

    What is kept is put in place whole, so that threads may share it.
    """

    def __init__(self) -> None:
        self._runners: dict[Pair, tuple[Any, Runner]] = {}
        self._layers: dict[tuple[int, Layer], tuple[Runner, Lines]] = {}
        self._stages = SolvedStages()
        self._runs: tuple[tuple[Any, ...], Runs] | None = None

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

    def runs(self, lines: Lines, policy: Policy, runner: Runner) -> Runs:
        """The lines in sewing order. Where none of them changed, nor what they lie on, the order of
        the last time; else stages that did not change keep their trails."""
        asked = _asked_of_route(lines, policy, runner)
        kept = self._runs
        if kept is None or kept[0] != asked:
            regions = [region.shape for region in runner.regions]
            stages = SolvedStages(self._stages)
            outline, margin_mm = runner.outline, runner.margin_mm
            kept = asked, route(lines, policy, outline, margin_mm, regions=regions, solved=stages)
            self._stages, self._runs = stages, kept
        return kept[1]

    def _layer(self, runner: Runner, layer: Layer) -> Lines:
        key = (id(runner), layer)
        kept = self._layers.get(key)
        # The runner is held beside its lines: no other object can have its id meanwhile.
        if kept is None:
            kept = (runner, draw_layer(runner, layer))
            others = self._layers if len(self._layers) < MOST_LAYERS else {}
            self._layers = {**others, key: kept}
        return kept[1]


def _asked_of_route(lines: Lines, policy: Policy, runner: Runner) -> tuple[Any, ...]:
    """All that the sewing order depends on, to be compared with what it was."""
    shapes = [runner.outline, *(region.shape for region in runner.regions)]
    drawn = [
        array.tobytes()
        for each in (lines.geometry, lines.curves)
        for array in (shapely.get_coordinates(each), shapely.get_num_coordinates(each))
    ]
    marks = [each.tobytes() for each in (lines.layer, lines.role, lines.retraceable)]
    words = *lines.source.tolist(), *lines.layers
    return (policy, runner.margin_mm, *shapely.to_wkb(shapes).tolist(), *drawn, *marks, *words)


def _drawings(project: Project) -> tuple[tuple[str, bytes], ...]:
    """The files that shape the cloth, as they were read."""
    names = sorted({file for key, file in project.named_drawings if key.startswith(_OF_THE_CLOTH)})
    return tuple((name, project.drawing(name)) for name in names)


_OF_THE_CLOTH = ("runner.", "motif[")
