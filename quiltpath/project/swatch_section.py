"""[[swatch]]: samples of the user's own, measured before quilting, after it, and after washing."""

from itertools import pairwise
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from quiltpath.project.fields import Length, Section, fault

MM_PER_M = 1000.0


def _both_ways(value: Any) -> Any:
    """One size stands for a square."""
    return value if isinstance(value, list | tuple) else (value, value)


Size = Annotated[tuple[Length, Length], BeforeValidator(_both_ways)]
"""Along and across; one size for a square."""


class SwatchSection(Section):
    """One quilted sample of the same layers and thread."""

    density: Annotated[float, Field(gt=0, le=1000)] | None = None
    """metres of seam on a square metre; or give the spacing"""
    spacing: Length | None = None
    """distance of parallel lines on the sample"""
    crossed: bool = False
    """lines both ways at that spacing, as in a crosshatch"""
    before: Size
    quilted: Size
    washed: Size | None = None

    @model_validator(mode="after")
    def _one_density(self) -> Self:
        if (self.density is None) == (self.spacing is None):
            raise fault("a swatch has a density or a spacing", "give one of the two")
        return self

    @model_validator(mode="after")
    def _does_not_grow(self) -> Self:
        steps = [self.before, self.quilted, self.washed or self.quilted]
        for earlier, later in pairwise(steps):
            if any(b > a for a, b in zip(earlier, later, strict=True)):
                raise fault("the swatch grew", "measure before, quilted and washed again")
            if any(b < 0.7 * a for a, b in zip(earlier, later, strict=True)):
                raise fault("the swatch lost more than 30 percent", "check the sizes and units")
        return self

    @property
    def m_per_m2(self) -> float:
        """Lines s apart are 1 / s long on a unit of area; crossed lines twice that."""
        if self.density is not None:
            return self.density
        assert self.spacing is not None
        return (2 if self.crossed else 1) * MM_PER_M / self.spacing
