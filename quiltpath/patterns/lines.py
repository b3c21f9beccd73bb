"""The lines that are to be quilted: what patterns hand to routing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import IntEnum

import numpy as np
import shapely
from numpy.typing import NDArray


class LineRole(IntEnum):
    """What a line does for the quilt. Policies sew by role: hold, then outline, then fill."""

    HOLD = 0
    OUTLINE = 1
    FILL = 2


@dataclass(frozen=True)
class Remark:
    """Something about the drawing that a person should know: a stable code, words, a remedy."""

    code: str
    message: str
    remedy: str = ""
    at_mm: tuple[float, float] | None = None


@dataclass(frozen=True)
class Lines:
    """Quilting lines as parallel arrays, one entry a line.

    ``geometry``     (n,) shapely LineStrings in mm; a closed one ends where it starts
    ``layer``        (n,) index into ``layers``
    ``role``         (n,) :class:`LineRole` values
    ``retraceable``  (n,) true where a second pass of thread does not show
    ``source``       (n,) words that name where the line came from, such as ``"leaf in B2"``
    ``layers``       names of the quilting layers, in the order of the project file
    ``curves``       (k,) LineStrings along which thread may run though nothing is drawn there:
                     at the motifs' clearance, where lines end
    ``remarks``      what the drawing has to say about itself

    Two lines across a strip of 60 by 40 mm, in one layer:

    >>> import quiltpath
    >>> project = quiltpath.parse('''
    ... units = "mm"
    ... runner = { length = 60, width = 40 }
    ... quilting = [{ kind = "straight", spacing = 20, anchor = 20, angle = 90, overrun = 0 }]
    ... ''')
    >>> lines = quiltpath.draw(quiltpath.build(project), project.quilting)
    >>> lines
    Lines(2 lines in 1 layer, 0.1 m)
    >>> lines.layer.tolist(), lines.layers, lines.source.tolist()
    ([0, 0], ('straight',), ['runner', 'runner'])
    >>> lines.geometry[0].wkt
    'LINESTRING (20 0, 20 40)'
    """

    geometry: NDArray[np.object_]
    layer: NDArray[np.int32]
    role: NDArray[np.int8]
    retraceable: NDArray[np.bool_]
    source: NDArray[np.object_]
    layers: tuple[str, ...]
    remarks: tuple[Remark, ...] = field(default=())
    curves: NDArray[np.object_] = field(default_factory=lambda: np.zeros(0, dtype=object))

    def __post_init__(self) -> None:
        lengths = {len(self.geometry), len(self.layer), len(self.role)}
        lengths |= {len(self.retraceable), len(self.source)}
        if len(lengths) != 1:
            raise ValueError("the arrays of Lines must have one length")

    def __len__(self) -> int:
        return len(self.geometry)

    def __repr__(self) -> str:
        layers = len(self.layers)
        metres = shapely.length(self.geometry).sum() / 1000
        return f"Lines({len(self)} lines in {layers} layer{'s'[: layers != 1]}, {metres:.1f} m)"

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Lines:
        """The chosen lines, by mask or by index."""
        return Lines(
            self.geometry[chosen],
            self.layer[chosen],
            self.role[chosen],
            self.retraceable[chosen],
            self.source[chosen],
            self.layers,
            self.remarks,
            self.curves,
        )

    def with_remarks(self, *remarks: Remark) -> Lines:
        """The same lines, saying more about themselves."""
        return replace(self, remarks=self.remarks + remarks)


def layer_lines(
    geometry: Sequence[object] | NDArray[np.object_],
    *,
    name: str,
    role: LineRole = LineRole.FILL,
    retraceable: bool = False,
    source: str | Sequence[str] = "",
) -> Lines:
    """The lines of one layer, all with the same role."""
    shapes = np.empty(len(geometry), dtype=object)
    shapes[:] = list(geometry)
    count = len(shapes)
    sources = np.empty(count, dtype=object)
    sources[:] = [source or name] * count if isinstance(source, str) else list(source)
    return Lines(
        shapes,
        np.zeros(count, dtype=np.int32),
        np.full(count, role, dtype=np.int8),
        np.full(count, retraceable, dtype=np.bool_),
        sources,
        (name,),
    )


def join(parts: Sequence[Lines]) -> Lines:
    """All layers as one set of lines; layer indices run on in the order given."""
    if not parts:
        return layer_lines([], name="").take(np.zeros(0, dtype=np.intp))
    shift = np.cumsum([0, *(len(part.layers) for part in parts[:-1])])
    return Lines(
        np.concatenate([part.geometry for part in parts]),
        np.concatenate([part.layer + by for part, by in zip(parts, shift, strict=True)]).astype(
            np.int32
        ),
        np.concatenate([part.role for part in parts]),
        np.concatenate([part.retraceable for part in parts]),
        np.concatenate([part.source for part in parts]),
        tuple(name for part in parts for name in part.layers),
        tuple(remark for part in parts for remark in part.remarks),
        np.concatenate([part.curves for part in parts]),
    )
