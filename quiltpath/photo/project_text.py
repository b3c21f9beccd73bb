"""What a photo showed as a project file in TOML with the SVG drawings that it names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.photo.motif_outlines import Piece, unite_pieces
from quiltpath.photo.panel_photo import PanelPhoto
from quiltpath.photo.printed_motifs import FoundMotif, Place
from quiltpath.photo.reading import Points
from quiltpath.photo.sashing import PrintedLine

SAME_PLACE_MM = 1.0
"""Places of a print that lie within this of their mean are written as one."""


@dataclass(frozen=True)
class ProjectFiles:
    """``text`` of the project file, and name and bytes of each drawing to lay beside it."""

    text: str
    drawings: tuple[tuple[str, bytes], ...]


def project_files(
    found: PanelPhoto, title: str = "Printed panel", picture: str | None = None
) -> ProjectFiles:
    """A project of the panel as it lies in the photo; lengths in mm to a tenth.

    Comments say how far each figure may be off, and what was not found. ``picture`` names the
    straightened panel, which is laid beside the file.
    """
    import tomlkit

    file = tomlkit.document()
    file.add(tomlkit.comment("Measured on a photo: look over what was found before you sew."))
    file.add("title", tomlkit.item(title))
    file.add("units", tomlkit.item("mm"))
    for name, table in _tables(found, picture):
        file.add(tomlkit.nl())
        if name.startswith("[["):
            entries = file.setdefault(name.strip("[]"), tomlkit.aot())
            entries.append(_table(table))
        else:
            file.add(name, _table(table))
    drawings = [(f"{motif.name}.svg", motif_svg(motif.pieces)) for motif in found.motifs]
    return ProjectFiles(tomlkit.dumps(file), tuple(drawings))


_Rows = Sequence[tuple[str, object]]
"""Key and value; a key of "#" is a comment."""


def _table(rows: _Rows) -> object:
    import tomlkit

    table = tomlkit.table()
    for key, value in rows:
        if key == "#":
            table.add(tomlkit.comment(str(value)))
        else:
            table.add(key, tomlkit.item(value))
    return table


def _tables(found: PanelPhoto, picture: str | None) -> Iterator[tuple[str, _Rows]]:
    size = [_tenth(found.length_mm), _tenth(found.width_mm)]
    corners = f"corners within {found.corner_errors_mm.max():.1f} mm on the photo"
    yield "runner", [("#", corners), ("length", size[0]), ("width", size[1]), ("size_is", "flat")]
    panel = [("name", "printed panel"), ("size", size), ("printed", size)]
    yield "[[panel]]", [*panel, ("picture", picture)] if picture else panel
    if found.sashing.found:
        yield "grid", list(_grid(found.sashing.along, found.sashing.across))
    for motif in found.motifs:
        yield from (("[[motif]]", rows) for rows in _motif(found, motif))
    for rows in _quilting(found):
        yield "[[quilting]]", rows


def _grid(
    along: tuple[PrintedLine, ...], across: tuple[PrintedLine, ...]
) -> Iterator[tuple[str, object]]:
    lines = [*along, *across]
    sure = min(line.confidence for line in lines)
    error = max(line.error_mm for line in lines)
    yield "#", f"within {error:.1f} mm; the least sure line {100 * sure:.0f} %"
    yield "printed_along", [_tenth(line.at_mm) for line in along]
    yield "printed_across", [_tenth(line.at_mm) for line in across]


def _motif(found: PanelPhoto, motif: FoundMotif) -> Iterator[_Rows]:
    """One entry for all places that lie alike, more where they do not."""
    low_x, low_y, high_x, high_y = unite_pieces(motif.pieces).bounds
    middle = (low_x + high_x) / 2, (low_y + high_y) / 2
    for number, places in enumerate(_alike(motif.places), start=1):
        turned = places[0].turned
        sign = -1 if turned else 1
        aside = np.mean([place.aside_mm for place in places], axis=0) + sign * np.array(middle)
        rows: list[tuple[str, object]] = [
            ("#", f"within {motif.error_mm:.1f} mm, {100 * motif.confidence:.0f} % sure"),
            ("name", motif.name if number == 1 else f"{motif.name} {number}"),
            ("file", f"{motif.name}.svg"),
            ("size", round(max(high_x - low_x, high_y - low_y), 2)),
            ("blocks", [place.block for place in places]),
            ("offset", [_tenth(float(aside[0])), _tenth(float(aside[1]))]),
        ]
        yield [*rows, ("rotate", turned)] if turned else rows


def _alike(places: Sequence[Place]) -> list[list[Place]]:
    groups: list[list[Place]] = []
    for place in places:
        for group in groups:
            mean = np.mean([one.aside_mm for one in group], axis=0)
            near = np.hypot(*(np.array(place.aside_mm) - mean)) <= SAME_PLACE_MM
            if near and group[0].turned == place.turned:
                group.append(place)
                break
        else:
            groups.append([place])
    return groups


def _quilting(found: PanelPhoto) -> Iterator[_Rows]:
    """A beginning to change: along what was found, or else plain lines."""
    missing = ", ".join(f"{one.block}: {one.why}" for one in found.not_found)
    said: list[tuple[str, object]] = [("#", f"not found in {missing}")] if missing else []
    if found.sashing.found:
        yield [*said, ("kind", "sashing"), ("name", "Along the sashing")]
    if found.motifs:
        yield [("kind", "motif"), ("name", "Round the motifs")]
    if not found.sashing.found and not found.motifs:
        none = ("#", "no blocks were found: plain lines to begin with")
        yield [none, ("kind", "straight"), ("spacing", "about 25 mm")]


def _tenth(mm: float) -> float:
    return round(mm, 1) + 0.0


def motif_svg(parts: Sequence[Piece]) -> bytes:
    """An SVG file, 1 user unit a mm, of pieces with their holes; y upwards becomes downwards."""
    low_x, low_y, high_x, high_y = unite_pieces(tuple(parts)).bounds
    wide, high = high_x - low_x, high_y - low_y
    rings = [ring for part in parts for ring in (part.outline, *part.holes)]
    path = " ".join(_path((ring - (low_x, high_y)) * (1, -1)) for ring in rings)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm"'
        f' viewBox="0 0 {wide:.3f} {high:.3f}">'
        f'<path fill="#444" fill-rule="evenodd" d="{path}"/></svg>\n'
    ).encode()


def _path(ring: Points) -> str:
    return "M" + " L".join(f"{x + 0.0:.3f} {y + 0.0:.3f}" for x, y in ring) + " Z"
