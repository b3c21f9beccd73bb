"""What a photo showed, as the page draws it, and back with what a hand has corrected.

The page knows the panel in mm from its lower left corner, y upwards; a motif's outline from the
middle of the block that it lies in, so that it is one for all its places.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
from shapely.geometry import LineString, Point

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Points
from quiltpath.page.sent_values import number
from quiltpath.photo.motif_outlines import Piece, pieces_of, unite_pieces
from quiltpath.photo.panel_photo import PanelPhoto
from quiltpath.photo.printed_motifs import FoundMotif, Place
from quiltpath.photo.sashing import Block, PrintedLine, Sashing

Part = dict[str, Any]
BY_HAND_MM = 0.5
"""How well a hand sets a line or an outline under the loupe; common practice."""

MOST_LINES = 90
MOST_MOTIFS = 200
MOST_POINTS = 20_000
CRUMB_MM2 = 4.0
"""Less is a slip of the brush."""

WIDEST_BRUSH_MM = 100.0


def shown(found: PanelPhoto) -> Part:
    """Corners, lines, motifs and blocks without one, each with its error and confidence."""
    middles = {block.name: block.middle_mm for block in found.sashing.blocks}
    errors = found.corner_errors_mm
    return {
        "length": found.length_mm,
        "width": found.width_mm,
        "corners": [
            {"error": _hundredth(error), "sure": _hundredth(sure)}
            for error, sure in zip(errors, found.corners.confidence, strict=True)
        ],
        "along": [_line(line) for line in found.sashing.along],
        "across": [_line(line) for line in found.sashing.across],
        "motifs": [_motif(motif, middles) for motif in found.motifs],
        "not_found": [
            {"block": one.block, "why": one.why, "at": list(middles[one.block])}
            for one in found.not_found
        ],
    }


def corrected(found: PanelPhoto, content: Mapping[str, Any]) -> PanelPhoto:
    """What was found with the lines and motifs that the page shows in their places.

    Raises :class:`InputError` for lines that make no blocks and motifs that lie in none.
    """
    along = _lines(content.get("along"), found.sashing.along, found.length_mm, "upright")
    across = _lines(content.get("across"), found.sashing.across, found.width_mm, "level")
    if bool(along) != bool(across):
        raise _fault("lines", "blocks need lines both ways", "add the others, or take all away")
    sashing = Sashing(along, across)
    given = content.get("motifs")
    if not isinstance(given, list) or len(given) > MOST_MOTIFS:
        raise _fault("motifs", "is no list of motifs", f"send up to {MOST_MOTIFS}")
    motifs = tuple(_read_motif(one, number, sashing) for number, one in enumerate(given, start=1))
    has_one = {place.block for motif in motifs for place in motif.places}
    names = {block.name for block in sashing.blocks}
    missing = (one for one in found.not_found if one.block in names - has_one)
    return replace(found, sashing=sashing, motifs=motifs, not_found=tuple(missing))


def brushed(content: Mapping[str, Any]) -> Part:
    """A motif's ``pieces`` with a ``stroke`` of the brush added, or taken away from them."""
    shape = unite_pieces(_pieces(content.get("pieces"))).buffer(0)
    stroke = points_of(content.get("stroke"), 1, "stroke")
    radius = float(number(content.get("radius")))
    if not 0 < radius <= WIDEST_BRUSH_MM:
        fault = f"is {radius:g} mm wide to each side"
        raise _fault("brush", fault, f"use up to {WIDEST_BRUSH_MM:g} mm")
    way = LineString(stroke) if len(stroke) > 1 else Point(stroke[0])
    painted = way.buffer(radius)
    after = shape.union(painted) if content.get("adds") else shape.difference(painted)
    return {"pieces": [_piece(piece) for piece in pieces_of(after, CRUMB_MM2)]}


def points_of(value: Any, least: int, name: str) -> Points:
    """Points as (n, 2) mm; raises :class:`InputError` for anything else."""
    if not isinstance(value, list) or not least <= len(value) <= MOST_POINTS:
        raise _fault(name, "is no list of points", f"send {least} to {MOST_POINTS}")
    if not all(isinstance(point, list) and len(point) == 2 for point in value):
        raise _fault(name, "has a point that is none", "send two lengths in mm each")
    return np.array([[float(number(x)) for x in point] for point in value])


def _hundredth(value: float) -> float:
    return round(float(value), 2) + 0.0


def _line(line: PrintedLine) -> Part:
    return {
        "at": _hundredth(line.at_mm),
        "error": _hundredth(line.error_mm),
        "sure": _hundredth(line.confidence),
    }


def _motif(motif: FoundMotif, middles: Mapping[str, tuple[float, float]]) -> Part:
    return {
        "error": _hundredth(motif.error_mm),
        "sure": _hundredth(motif.confidence),
        "pieces": [_piece(piece) for piece in motif.pieces],
        "places": [
            {
                "at": [_hundredth(x) for x in np.add(middles[place.block], place.aside_mm)],
                "turned": place.turned,
            }
            for place in motif.places
        ],
    }


def _piece(piece: Piece) -> Part:
    return {
        "outline": np.round(piece.outline, 2).tolist(),
        "holes": [np.round(hole, 2).tolist() for hole in piece.holes],
    }


def _lines(
    value: Any, before: tuple[PrintedLine, ...], size_mm: float, way: str
) -> tuple[PrintedLine, ...]:
    if not isinstance(value, list) or len(value) > MOST_LINES:
        raise _fault("lines", "is no list of places", f"send up to {MOST_LINES}")
    at = sorted(float(number(place)) for place in value)
    if len(at) % 2:
        fault = f"there are {len(at)} {way} lines"
        raise _fault("lines", fault, "each block has two: add one, or take one away")
    if at and not -0.01 <= at[0] <= at[-1] <= size_mm + 0.01:
        raise _fault("lines", f"an {way} line lies beside the panel", "move it onto the panel")
    if any(b - a < 1 for a, b in pairwise(at)):
        raise _fault("lines", f"two {way} lines lie on each other", "take one of them away")
    return tuple(_as_found(place, before) for place in at)


def _as_found(place: float, before: tuple[PrintedLine, ...]) -> PrintedLine:
    """The line that was found there, or one that a hand has set."""
    for line in before:
        if _hundredth(line.at_mm) == place:
            return line
    return PrintedLine(place, BY_HAND_MM, 1.0)


def _read_motif(value: Any, count: int, sashing: Sashing) -> FoundMotif:
    name = f"print-{count}"
    value = value if isinstance(value, Mapping) else {}
    parts = pieces_of(unite_pieces(_pieces(value.get("pieces"))).buffer(0), CRUMB_MM2)
    places = value.get("places")
    if not parts or not isinstance(places, list) or not 0 < len(places) <= len(sashing.blocks):
        if not sashing.blocks:
            raise _fault(name, "lies in no block", "add the lines of its block, or take it away")
        raise _fault(name, "has no outline or no place", "take it away")
    by_hand = value.get("by_hand") is True
    return FoundMotif(
        name,
        parts,
        tuple(_place(place, name, sashing.blocks) for place in places),
        BY_HAND_MM if by_hand else float(number(value.get("error"))),
        1.0 if by_hand else float(number(value.get("sure"))),
    )


def _place(value: Any, name: str, blocks: tuple[Block, ...]) -> Place:
    value = value if isinstance(value, Mapping) else {}
    ((x, y),) = points_of([value.get("at")], 1, name).tolist()
    turned = value.get("turned")
    if turned not in (0, 180):
        raise _fault(name, f"is turned by {turned!r}", "measure the photo again")
    for block in blocks:
        if block.low_x <= x <= block.high_x and block.low_y <= y <= block.high_y:
            middle_x, middle_y = block.middle_mm
            return Place(block.name, int(turned), (x - middle_x, y - middle_y))
    raise _fault(name, "lies in no block", "add the lines of its block, or take it away")


def _pieces(value: Any) -> tuple[Piece, ...]:
    if not isinstance(value, list) or len(value) > MOST_MOTIFS:
        raise _fault("motif", "is no list of pieces", f"send up to {MOST_MOTIFS}")
    return tuple(_read_piece(one) for one in value)


def _read_piece(value: Any) -> Piece:
    value = value if isinstance(value, Mapping) else {}
    holes = value.get("holes", [])
    if not isinstance(holes, list) or len(holes) > MOST_MOTIFS:
        raise _fault("motif", "has holes that are none", "measure the photo again")
    outline = points_of(value.get("outline"), 3, "outline")
    return Piece(outline, tuple(points_of(hole, 3, "hole") for hole in holes))


def _fault(key: str, wrong: str, right: str) -> InputError:
    return InputError("the photo", key, wrong, right)
