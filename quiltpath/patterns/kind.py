"""One kind of layer: its keys, what draws it, and what its lines are for."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, get_args

import numpy as np

from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch, Runner
from quiltpath.language import message
from quiltpath.patterns.clear_rooms import (
    ClearRoom,
    clear_rooms,
    draw_in_clear,
    share_of_the_most,
)
from quiltpath.patterns.frame import Frame, frame_of
from quiltpath.patterns.layer import Layer, RepertoireLayer, check_amount
from quiltpath.patterns.lines import LineRole, Remark
from quiltpath.patterns.strokes import Strokes, polylines, strokes_in

WALKING = message("walking foot")
EITHER = message("walking foot for large figures, darning foot for small ones")
FREE = message("darning foot, or a frame machine")

PRINTED, MOTIFS, BLOCKS = "printed lines", "motifs", "blocks"
"""What a layer may need to find on its runner."""

_Size = tuple[float, float, bool]
"""Length and width of a rectangle, mm, and whether it stands upright."""


@dataclass(frozen=True)
class Kind:
    """The row of one kind, which stands in its module below its keys and its drawing function.

    ``model``         its keys, defaults and limits; ``kind: Literal["rays"]`` there is its word
    ``foot``          which foot or machine suits it

    One of these five draws it, and is given no more than it reads:

    ``in_frame``      (layer, frame): points in the axes of a rectangle; most figures; in
                      rectangles of one size drawn once
    ``in_patch``      (layer, patch): points on the runner, for a figure that follows the shape
    ``in_clear``      (layer, room): points in a region with the motifs taken out of it, for what is
                      one path round any number of them; equal regions are drawn once
    ``over_patches``  (layer, patches): strokes over all patches of the region at once
    ``on_runner``     (runner, layer, patches): strokes that start from motifs or printed lines

    ``most_spacings`` how many times the square of its spacing an ``in_clear`` layer may cover
    ``length_share``  for one that takes long to draw: how much line there is, as a share of its
                      clear area over the distance between lines; told before it is drawn
    ``mean_gap_mm``   (layer, room): that distance in the mean, where it varies
    ``cells``         ``in_frame`` is asked once for each near-square part of a long rectangle
    ``one_path``      a rectangle of it can be sewn in one run
    ``hides_thread``  a second pass along its lines does not show
    ``keeps_clear``   stays away from motifs where the layer asks for a clearance
    ``role``          what its lines are for unless the layer says
    ``needs``         (layer): what must be on the runner, of the three words above, or None
    ``remark``        (layer, patches, number of lines): what a person should know of them
    ``by_hand``       (layer): whether it turns more than a walking foot can, so that the feed dogs
                      are lowered and hands move the cloth; left out, where its foot is ``FREE``
    ``unmarked``      (layer): why it needs no marks on the cloth, or None where it does

    Raises ``TypeError``, one line, where something that a kind must have is missing.
    """

    model: type[Layer]
    foot: str
    in_frame: Callable[[Any, Frame], list[Points]] | None = None
    in_patch: Callable[[Any, Patch], list[Points]] | None = None
    in_clear: Callable[[Any, ClearRoom], list[Points]] | None = None
    over_patches: Callable[[Any, Sequence[Patch]], Strokes] | None = None
    on_runner: Callable[[Runner, Any, Sequence[Patch]], Strokes] | None = None
    most_spacings: float = math.inf
    length_share: float | None = None
    mean_gap_mm: Callable[[Any, ClearRoom], float] | None = None
    cells: bool = False
    one_path: bool = False
    hides_thread: bool = False
    keeps_clear: bool = True
    role: LineRole = LineRole.FILL
    needs: Callable[[Any], str | None] | None = None
    remark: Callable[[Any, Sequence[Patch], int], Remark | None] | None = None
    by_hand: Callable[[Any], bool] | None = None
    unmarked: Callable[[Any], str | None] | None = None

    def __post_init__(self) -> None:
        if lacking := self._lacking():
            raise TypeError(f"{self.model.__name__} is no kind of layer yet: {lacking}")

    def _lacking(self) -> str:
        """What a kind must have and this one has not; empty where it is whole."""
        ways = (
            self.in_frame, self.in_patch, self.in_clear, self.over_patches, self.on_runner,
        )  # fmt: skip
        words = get_args(self.model.model_fields["kind"].annotation)
        if len(words) != 1 or not isinstance(words[0], str):
            return 'give its model one word, such as kind: Literal["rays"]'
        if not self.foot:
            return "say which foot suits it"
        if sum(way is not None for way in ways) != 1:
            return "give one of in_frame, in_patch, in_clear, over_patches and on_runner"
        if self.cells and self.in_frame is None:
            return "cells are parts of a frame, so draw it in_frame"
        return self._lacking_as_a_figure() if self.is_figure else ""

    def _lacking_as_a_figure(self) -> str:
        if not issubclass(self.model, RepertoireLayer):
            return "the model of what is drawn in a frame or a patch is a RepertoireLayer"
        if self.model.amount_key not in self.model.model_fields:
            return f"its amount_key {self.model.amount_key!r} is none of its keys"
        return ""

    @property
    def word(self) -> str:
        """What a project file writes for it."""
        word: str = get_args(self.model.model_fields["kind"].annotation)[0]
        return word

    @property
    def is_figure(self) -> bool:
        """True for the repertoire: figures that fill each patch by itself."""
        ways = (self.in_frame, self.in_patch, self.in_clear)
        return any(way is not None for way in ways)

    def is_free_motion(self, layer: Any) -> bool:
        """Whether hands move the cloth for that layer where no machine does (common practice)."""
        return self.by_hand(layer) if self.by_hand else self.foot == FREE

    @property
    def drawn_even(self) -> bool:
        """Drawn as if the print were even, then bent with it.

        What starts from the runner's own lines lies where they lie.
        """
        return self.on_runner is None

    def strokes(self, runner: Runner, layer: Any, patches: Sequence[Patch]) -> Strokes:
        """What a layer of this kind draws, not yet cut to its region."""
        if self.on_runner is not None:
            return self.on_runner(runner, layer, patches)
        if self.over_patches is not None:
            return self.over_patches(layer, patches)
        area = sum(patch.shape.area for patch in patches)
        check_amount(area / layer.apart_mm, layer.size_mm, layer.amount_key)
        if self.in_clear is not None:
            return draw_in_clear(runner, layer, patches, self.in_clear, self.most_spacings)
        known: dict[_Size, list[Points]] = {}
        figures = [self._figure(layer, patch, known) for patch in patches]
        drawn = polylines([points for figure in figures for points in figure])
        return strokes_in(patches, drawn, list(map(len, figures)))

    def share_of_the_most(self, runner: Runner, layer: Any, patches: Sequence[Patch]) -> float:
        """How much of the most that is drawn of free curves the layer takes up, from 0 to 1."""
        if self.in_clear is None:
            return 0.0
        return share_of_the_most(runner, layer, patches, self.most_spacings)

    def expected_length_mm(self, runner: Runner, layer: Any, patches: Sequence[Patch]) -> float:
        """About how long the lines of a kind with a ``length_share`` will be, without drawing."""
        assert self.length_share is not None
        gap = self.mean_gap_mm or (lambda layer, _: float(layer.apart_mm))
        rooms = clear_rooms(runner, layer, patches)
        return self.length_share * sum(room.clear.area / gap(layer, room) for room in rooms)

    def _figure(self, layer: Any, patch: Patch, known: dict[_Size, list[Points]]) -> list[Points]:
        """The lines of a figure in one patch, not yet cut to it."""
        return self.in_patch(layer, patch) if self.in_patch else self._framed(layer, patch, known)

    def _framed(self, layer: Any, patch: Patch, known: dict[_Size, list[Points]]) -> list[Points]:
        """The figure in the patch's rectangle; in rectangles of one size it is drawn once."""
        frame = frame_of(patch, layer.inset, layer.turned)
        if frame is None or self.in_frame is None:
            return []
        found = []
        for part in frame.cells(layer.between_cells_mm) if self.cells else [frame]:
            size = round(part.length, 6), round(part.width, 6), part.upright
            if size not in known:
                known[size] = self.in_frame(layer, part)
            if known[size]:
                # All in one go: placing them one by one takes longer than drawing them.
                ends = np.cumsum([0, *map(len, known[size])]).tolist()
                placed = part.placed(np.concatenate(known[size]))
                found += [placed[begin:end] for begin, end in pairwise(ends)]
        return found
