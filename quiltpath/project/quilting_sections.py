"""[[quilting]]: the layers of lines, in the order in which they are drawn."""

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from quiltpath.project.drawing_section import DrawingLayer
from quiltpath.project.fields import Length, LengthOrZero, Position, Spacing, fault
from quiltpath.project.layer_section import Angle, Layer
from quiltpath.project.repertoire_sections import REPERTOIRE_KINDS


class SpacedLayer(Layer):
    """Lines that repeat at a distance."""

    spacing: Spacing = Spacing(mm=25.4, about=True)
    anchor: Literal["centre", "edge", "halfway"] | Position = "centre"
    """a line on the centre, on the edge, half a spacing off the centre, or at a position"""
    spacings: tuple[Length, ...] | None = None
    """distances that follow one another and repeat, for pairs and plaids, in place of spacing"""


class StraightLayer(SpacedLayer):
    """Parallel straight lines at any angle."""

    kind: Literal["straight"]
    angle: Angle = 0.0


class GridLayer(SpacedLayer):
    """Two families of parallel lines."""

    kind: Literal["grid"]
    angles: tuple[Angle, Angle] = (0.0, 90.0)
    spacing_2: Spacing | None = None
    """spacing of the second family, where it differs"""
    spacings_2: tuple[Length, ...] | None = None

    @model_validator(mode="after")
    def _two_directions(self) -> Self:
        if abs((self.angles[0] - self.angles[1]) % 180) < 1e-6:
            raise fault("both families of the grid run the same way", "give two different angles")
        return self


class ChevronLayer(SpacedLayer):
    """Zigzag lines that turn at even distances along the runner."""

    kind: Literal["chevron"]
    angle: Annotated[float, Field(gt=0, le=80)] = 45.0
    """slope of the legs against the runner's length"""
    leg: Spacing
    """length of one leg, measured along the runner"""


class EchoLayer(Layer):
    """Rings at even distances from an outline."""

    kind: Literal["echo"]
    around: Literal["outline", "blocks", "motifs"] | str = "motifs"
    """what is echoed: the outline, every block, every motif, or one motif by name"""
    direction: Literal["outwards", "inwards"] = "outwards"
    spacing: Spacing
    first: LengthOrZero | None = None
    """distance of the first ring, where it differs from the spacing"""
    rings: Literal["full"] | Annotated[int, Field(ge=1, le=2000)] = "full"
    corners: Literal["round", "mitred"] = "round"


class SashingLayer(Layer):
    """Along the printed lines of the sashing."""

    kind: Literal["sashing"]
    offset: Position = 0.0
    """beside the printed line, towards the block; 0 is in the ditch"""


class MotifLayer(Layer):
    """Along the outlines of motifs."""

    kind: Literal["motif"]
    motif: str = "all"
    offset: LengthOrZero = 0.0
    """beside the outline, outside"""


LAYER_KINDS: dict[str, type[Layer]] = {
    "straight": StraightLayer,
    "grid": GridLayer,
    "chevron": ChevronLayer,
    "echo": EchoLayer,
    "sashing": SashingLayer,
    "motif": MotifLayer,
    **REPERTOIRE_KINDS,
    "drawing": DrawingLayer,
}
"""One row a kind; a new kind is a model here and a drawing function in ``quiltpath.quilting``."""


def _by_kind(value: Any, info: Any) -> Layer:
    if isinstance(value, Layer):
        return value
    if not isinstance(value, dict):
        raise fault("a layer is a table", 'begin it with [[quilting]] and kind = "straight"')
    if "kind" not in value:
        raise fault("the layer has neither kind nor pattern", "give one: see 'quiltpath patterns'")
    if not isinstance(value["kind"], str) or value["kind"] not in LAYER_KINDS:
        raise fault(f"there is no kind {value['kind']!r}", f"use {', '.join(LAYER_KINDS)}")
    model = LAYER_KINDS[value["kind"]]
    return model.model_validate(value, context=info.context)


AnyLayer = Annotated[Layer, BeforeValidator(_by_kind)]
