"""The runner as its top lies before quilting: larger by what quilting and washing will take."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.routing import Runs

Factors = tuple[float, float]


def grown_runner(runner: Runner, by: Factors) -> Runner:
    """Every part of the runner larger along and across by ``by``, from the lower left corner."""

    def larger(shape: Any) -> Any:
        return shapely.transform(shape, lambda points: points * by)

    return replace(
        runner,
        outline=larger(runner.outline),
        regions=tuple(replace(part, shape=larger(part.shape)) for part in runner.regions),
        printed=tuple(larger(line) for line in runner.printed),
        motifs=tuple(
            replace(
                motif,
                shape=larger(motif.shape),
                outlines=tuple(larger(line) for line in motif.outlines),
            )
            for motif in runner.motifs
        ),
        seams=tuple(replace(seam, line=larger(seam.line)) for seam in runner.seams),
    )


def grown_lines(lines: Lines, by: Factors) -> Lines:
    """The quilting lines on that larger top."""
    moved: NDArray[np.object_] = shapely.transform(lines.geometry, lambda points: points * by)
    return replace(lines, geometry=moved)


def grown_runs(runs: Runs, by: Factors) -> Runs:
    """The runs on that larger top."""
    return replace(runs, coordinates=runs.coordinates * by)
