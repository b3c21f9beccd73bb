"""One runner in its states: flat as it is sewn, quilted as it is bound, washed as it is used.

What is marked, hooped and sewn is the flat top, joined and trimmed but not quilted. Quilting draws
it up; so it is squared up, bound and laid on the table. Washing draws it up once more. A panel as
it is bought is a state of its own: its cuts lead to the flat top (``runner/panels.py``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import numpy as np
import shapely

from quiltpath.language import message

StateName = Literal["flat", "quilted", "washed"]
By = Literal["swatches", "given figure", "usual curve"]
Pair = tuple[float, float]
Shape = TypeVar("Shape", bound=Any)

FLAT_WORDS = message("flat: as it lies before quilting")
QUILTED_WORDS = message("quilted: drawn up and squared up, before any wash")
WASHED_WORDS = message("washed: as it is used")
CLOTH_WORDS = message("cloth as bought, before any wash")
WORDS: dict[StateName, str] = {
    "flat": FLAT_WORDS,
    "quilted": QUILTED_WORDS,
    "washed": WASHED_WORDS,
}
"""What a drawing says of its state in its foot."""


@dataclass(frozen=True)
class Share:
    """A share of a length with the range in which it may lie."""

    likely: float
    low: float
    high: float

    @classmethod
    def exactly(cls, share: float) -> Share:
        """A share without a range."""
        return cls(share, share, share)


NONE = Share.exactly(0.0)


@dataclass(frozen=True)
class Size:
    """Length and width in one state, in mm."""

    length_mm: float
    width_mm: float

    @property
    def pair(self) -> Pair:
        """Along and across."""
        return self.length_mm, self.width_mm

    def times(self, by: Pair) -> Size:
        """The size with its length and its width multiplied."""
        return Size(self.length_mm * by[0], self.width_mm * by[1])


@dataclass(frozen=True)
class States:
    """The sizes of one runner in its states, and what leads from each to the next.

    ``flat``      the top before quilting, as built
    ``wished``    the size that the project asks for
    ``used``      the state in which it asks for it
    ``quilting``  share of the flat size that quilting takes, along and across
    ``washing``   share of the quilted size that washing takes, along and across
    ``by``        where the shares come from
    """

    flat: Size
    wished: Size
    used: StateName = "washed"
    quilting: tuple[Share, Share] = (NONE, NONE)
    washing: tuple[Share, Share] = (NONE, NONE)
    by: By = "given figure"

    def kept(self, state: StateName) -> Pair:
        """Length in ``state`` of 1 mm of flat top, along and across."""
        return share_kept(state, self.quilting, self.washing)

    def size(self, state: StateName) -> Size:
        """Size in ``state``."""
        return self.flat.times(self.kept(state))

    @property
    def wanted(self) -> Size:
        """The flat size that would leave the wished one; larger than ``flat`` where that falls
        short."""
        along, across = self.kept(self.used)
        return Size(self.wished.length_mm / along, self.wished.width_mm / across)

    @property
    def quilted(self) -> Size:
        """Drawn up by quilting: what is squared up, bound and first laid on the table."""
        return self.size("quilted")

    @property
    def washed(self) -> Size:
        """After washing; as quilted where washing takes nothing."""
        return self.size("washed")

    @property
    def used_state(self) -> StateName:
        """The state that the project's wish is about; a wish for the flat top is used washed."""
        return "washed" if self.used == "flat" else self.used

    @property
    def in_use(self) -> Size:
        """The finished piece, on the table."""
        return self.size(self.used_state)

    def between(self, state: StateName) -> tuple[Size, Size]:
        """Least and greatest size in ``state``."""
        low = share_kept(state, self.quilting, self.washing, "high")
        high = share_kept(state, self.quilting, self.washing, "low")
        return self.flat.times(low), self.flat.times(high)

    @property
    def flat_between(self) -> tuple[Size, Size]:
        """Least and greatest flat size that would leave the wished one, by the shares' ranges."""
        if self.used == "flat":
            return self.wished, self.wished
        likely, low, high = (
            share_kept(self.used, self.quilting, self.washing, which)
            for which in ("likely", "low", "high")
        )
        own = self.flat.times(likely)
        return own.times((1 / low[0], 1 / low[1])), own.times((1 / high[0], 1 / high[1]))

    @property
    def area_left_in_use(self) -> float:
        """Share of the flat area that is left in use."""
        along, across = self.kept(self.used_state)
        return along * across

    def mapped(self, shape: Shape, state: StateName) -> Shape:
        """A shape on the flat top as it lies in ``state``."""
        return stretch_shape(shape, self.kept(state))


def share_kept(
    state: StateName,
    quilting: tuple[Share, Share],
    washing: tuple[Share, Share],
    which: Literal["likely", "low", "high"] = "likely",
) -> Pair:
    """Length in ``state`` of 1 mm of flat top: (1 - q), then (1 - q)(1 - w)."""
    left = np.ones(2)
    if state != "flat":
        left *= [1 - getattr(share, which) for share in quilting]
    if state == "washed":
        left *= [1 - getattr(share, which) for share in washing]
    return float(left[0]), float(left[1])


def stretch_shape(shape: Shape, by: Pair) -> Shape:
    """A shape made longer along and across from the lower left corner."""

    def longer(points: Any) -> Any:
        return points * by

    change: Callable[..., Any] = shapely.transform
    return change(shape, longer)
