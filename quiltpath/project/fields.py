"""Field types of the project file: lengths with units, spacings, and the faults they raise.

Bare numbers take the file's ``units``, which the loader hands to pydantic as validation context.
The sections keep their annotations as objects, not as text: pydantic would have to evaluate the
text of each one, which is a fair part of what a small job takes.
"""

from collections.abc import Callable
from typing import Annotated, Any, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from quiltpath.units import parse_length


def fault(wrong: str, right: str) -> PydanticCustomError:
    """A validation error that says what is wrong and what would be right."""
    return PydanticCustomError("quiltpath", "{wrong}; {right}", {"wrong": wrong, "right": right})


class Section(BaseModel):
    """Base of every table in the project file: unknown keys are errors, values are frozen."""

    # A validator is built when its table is first met: most files have few of all kinds there are.
    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True
    )

    @classmethod
    def left_out(cls) -> Self:
        """The section where the file has none: all defaults, for which no validator is built."""
        return cls.model_construct()


def _length(value: Any, info: ValidationInfo) -> float:
    units = (info.context or {}).get("units")
    if not isinstance(value, str | int | float):
        raise fault("a length is expected", 'write it as "1 1/4 in" or "32 mm"')
    try:
        return parse_length(value, units)
    except (ValueError, OverflowError) as error:
        raise fault(
            str(error), 'write it as "1 1/4 in" or "32 mm", or set units = "in" for bare numbers'
        ) from None


MAX_LENGTH_MM = 100_000.0
"""100 m: no runner is longer, and a slip of the unit should not fill the memory."""


def _bounded(low: float, low_open: bool) -> Callable[[Any, ValidationInfo], float]:
    def check(value: Any, info: ValidationInfo) -> float:
        mm = _length(value, info)
        if mm < low or (low_open and mm <= low):
            written = f"{value}"
            if low_open:
                raise fault(f"{written} is not a size", "give a length above 0")
            raise fault(f"{written} is below 0", "give 0 or a length above it")
        if mm > MAX_LENGTH_MM:
            raise fault(f"{value} is more than 100 m", "check the number and its unit")
        return mm

    return check


def _signed(value: Any, info: ValidationInfo) -> float:
    mm = _length(value, info)
    if abs(mm) > MAX_LENGTH_MM:
        raise fault(f"{value} is more than 100 m", "check the number and its unit")
    return mm


Length = Annotated[float, BeforeValidator(_bounded(0.0, True))]
"""A length above 0, in mm."""

LengthOrZero = Annotated[float, BeforeValidator(_bounded(0.0, False))]
"""A length of 0 or more, in mm."""

Position = Annotated[float, BeforeValidator(_signed)]
"""A signed length, in mm."""


class Spacing(BaseModel):
    """Distance between neighbouring lines; ``about`` lets it change so that it divides evenly.

    In the file: ``"1 in"`` is exact; ``"about 1 in"`` is the nearest that divides the region.
    """

    model_config = ConfigDict(frozen=True)

    mm: float
    about: bool = False

    @model_validator(mode="before")
    @classmethod
    def _from_file(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, dict):
            return value
        text = value.strip() if isinstance(value, str) else value
        about = isinstance(text, str) and text.lower().startswith("about ")
        if about:
            text = text[len("about ") :]
        mm = _length(text, info)
        if mm <= 0:
            raise fault(f"a spacing of {value} draws no lines", 'give one above 0, such as "1 in"')
        if mm < 0.5:
            raise fault(f"a spacing of {value} is closer than stitches can be", "give 0.5 mm up")
        if mm > MAX_LENGTH_MM:
            raise fault(f"a spacing of {value} is more than 100 m", "check the number and its unit")
        return {"mm": mm, "about": about}
