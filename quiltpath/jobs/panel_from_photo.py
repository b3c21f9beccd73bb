"""``photo``: a photo of a printed panel as a project, or of the quilted piece against its plan."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import shapely

from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile, only_own_set, with_report, write_set
from quiltpath.jobs.summary import table
from quiltpath.photo.against_plan import AgainstPlan, against_plan, stray_map
from quiltpath.photo.overlay import overlay
from quiltpath.photo.panel_photo import PanelPhoto, read_panel
from quiltpath.photo.project_text import project_files
from quiltpath.photo.reading import read_photo
from quiltpath.photo.real_size import SHEETS_MM, RealSize
from quiltpath.photo.straighten import straight_picture
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import parse_size

KIND = "photo"
PROJECT_NAME = "runner.toml"
PICTURE_NAME = "panel.jpg"


def panel_to_project(photo_file: Path, size: str, folder: Path) -> str:
    """A project of the printed panel in the photo, put into ``folder`` whole; what was found.

    ``size`` is the panel's own, as ``"44 x 11 in"``: a photo has no scale. Beside the project file
    lie its drawings and an overlay to be looked at. The photo is only read. Raises
    :class:`InputError` where no panel can be measured.
    """
    only_own_set(folder, KIND)
    length_mm, width_mm = _size(size)
    photo = read_photo(photo_file)
    found = read_panel(photo, length_mm, width_mm)
    title = photo_file.stem.replace("-", " ").replace("_", " ").capitalize()
    made = project_files(found, title, PICTURE_NAME)
    files = [OutputFile(PROJECT_NAME, made.text.encode("utf-8"), "project")]
    files += [OutputFile(name, content, "drawing") for name, content in made.drawings]
    files.append(OutputFile(PICTURE_NAME, straight_picture(found.flat), "picture"))
    files.append(OutputFile("overlay.png", overlay(photo, found), "overlay"))
    _write(files, folder, {"title": title, KIND: _panel_report(found)})
    places = sum(len(motif.places) for motif in found.motifs)
    rows = [
        ("panel", f"{length_mm:.1f} x {width_mm:.1f} mm"),
        ("corners", f"within {found.corner_errors_mm.max():.1f} mm"),
        ("sashing", _sashing_words(found)),
        (
            "motifs",
            f"{len(found.motifs)} kinds in {places} places",
        ),
        *((f"not found in {one.block}", one.why) for one in found.not_found),
        ("look at", str(folder / "overlay.png")),
        ("then", f"quiltpath make {folder / PROJECT_NAME} --out out"),
    ]
    return f"{title}\n{table(rows)}"


def photo_against_plan(
    photo_file: Path, project_file: Path, folder: Path | None, sheet: str | None
) -> str:
    """Where the sewing in a photo of the quilted piece strays from the project's lines, in words.

    ``folder`` gets a map of it; ``sheet`` ("A4" or "Letter") lies beside the piece and gives the
    real size, and so what quilting drew up. Raises :class:`InputError`.
    """
    if folder is not None:
        only_own_set(folder, KIND)
    result = compute(load(project_file))
    runner = result.runner
    low_x, low_y, _, _ = runner.outline.bounds
    planned = [shapely.get_coordinates(line) - (low_x, low_y) for line in result.lines.geometry]
    found = against_plan(
        read_photo(photo_file), planned, runner.length_mm, runner.width_mm, sheet_mm=_sheet(sheet)
    )
    if folder is not None:
        files = [OutputFile("strays.png", stray_map(found), "map")]
        _write(files, folder, {"title": result.project.title, KIND: _stray_report(found)})
    rows = _stray_rows(found, result)
    if folder is not None:
        rows.append(("map", str(folder / "strays.png")))
    return f"{result.project.title}, as sewn\n{table(rows)}"


def _size(size: str) -> tuple[float, float]:
    try:
        return parse_size(size)
    except ValueError as error:
        raise InputError("", "--size", str(error), 'write it as --size "44 x 11 in"') from None


def _sheet(name: str | None) -> tuple[float, float] | None:
    if name is None:
        return None
    for known, size in SHEETS_MM.items():
        if known.lower() == name.lower():
            return size
    fault = f"{name!r} is no sheet that is known"
    raise InputError("", "--sheet", fault, f"lay down one of {', '.join(SHEETS_MM)}")


def _write(files: list[OutputFile], folder: Path, report: dict[str, Any]) -> None:
    write_set(with_report(files, report), folder)


def _sashing_words(found: PanelPhoto) -> str:
    if not found.sashing.found:
        return "not found: no blocks are written"
    along, across = len(found.sashing.along), len(found.sashing.across)
    return f"{along} printed lines across and {across} along, {len(found.sashing.blocks)} blocks"


def _panel_report(found: PanelPhoto) -> dict[str, Any]:
    return {
        "size_mm": [round(found.length_mm, 2), round(found.width_mm, 2)],
        "corner_errors_mm": [round(error, 3) for error in found.corner_errors_mm.tolist()],
        "printed_along_mm": [round(line.at_mm, 2) for line in found.sashing.along],
        "printed_across_mm": [round(line.at_mm, 2) for line in found.sashing.across],
        "motifs": [
            {
                "name": motif.name,
                "blocks": [place.block for place in motif.places],
                "error_mm": round(motif.error_mm, 3),
                "confidence": round(motif.confidence, 3),
            }
            for motif in found.motifs
        ],
        "not_found": [{"block": one.block, "why": one.why} for one in found.not_found],
    }


def _stray_rows(found: AgainstPlan, result: Result) -> list[tuple[str, str]]:
    rows = [("largest distance", f"{found.largest_mm:.1f} mm, true within {found.error_mm:.1f} mm")]
    if found.worst is not None:
        index, x, y = found.worst
        source = result.lines.source[index]
        rows.append(("where", f"{source}, {x:.0f} mm along and {y:.0f} mm across"))
    if found.too_coarse:
        rows.append(("missing lines", "the photo is too coarse to tell"))
    else:
        rows.append(("missing lines", str(len(found.missing)) if found.missing else "none"))
    if found.stitch_mm is not None:
        rows.append(("stitch length", f"{found.stitch_mm:.2f} mm"))
    if found.real is not None:
        length, width = found.real.drawn_up(result.runner.length_mm, result.runner.width_mm)
        within = f"true within {found.real.error_share:.1%}"
        rows.append(("drawn up", f"{length:.1%} along, {width:.1%} across, {within}"))
        swatch = swatch_of(result, found.real)
        if swatch is not None:
            rows.append(("for the next one", swatch))
    return rows


def swatch_of(result: Result, real: RealSize) -> str | None:
    """The quilted piece as a swatch of its layers, one line for the top of the next project file;
    None where it did not get smaller, which no swatch does.

    Its density is that of all its lines, in metres on a square metre of the flat top.
    """
    runner = result.runner
    before, quilted = (runner.length_mm, runner.width_mm), (real.length_mm, real.width_mm)
    if any(after > first for first, after in zip(before, quilted, strict=True)):
        return None
    density = float(shapely.length(result.lines.geometry).sum()) / runner.outline.area * 1000
    sizes = (f'["{long:.1f} mm", "{wide:.1f} mm"]' for long, wide in (before, quilted))
    return "swatch = [{{ density = {:.2f}, before = {}, quilted = {} }}]".format(density, *sizes)


def _stray_report(found: AgainstPlan) -> dict[str, Any]:
    return {
        "largest_mm": round(found.largest_mm, 3),
        "error_mm": round(found.error_mm, 3),
        "missing_lines": list(found.missing),
        "stitch_mm": None if found.stitch_mm is None else round(found.stitch_mm, 3),
    }
