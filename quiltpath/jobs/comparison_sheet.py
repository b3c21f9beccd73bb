"""Designs side by side: a sheet of pictures to one scale with a table of figures."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    Drawing,
    Group,
    Line,
    Page,
    Raster,
    Style,
    Text,
)
from quiltpath.drawing.relief_view import Rgb
from quiltpath.jobs.varying_layer import LayerFigures
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import both_units


@dataclass(frozen=True)
class Option:
    """One design of a comparison; lengths in mm, thread in m, time in minutes.

    ``density_m_per_m2``  metres of quilting on a square metre: the more, the stiffer it hangs
    ``draw_up_percent``   how much the quilting is expected to draw the piece up
    ``size_mm``           finished length and width
    ``line_gap_mm``       distance of neighbouring lines of the fill, where they are parallel
    ``layer``             the figures of the layer that varies, there where it fills
    ``cost``              thread and time at the project's prices; None where it gives none
    ``marks``             why it stands out, in words
    """

    label: str
    lines: int
    runs: int
    stitches: int
    stitched_m: float
    needle_m: float
    bobbin_m: float
    bobbins: int
    minutes: float
    widest_gap_mm: float
    limit_mm: float | None
    density_m_per_m2: float
    draw_up_percent: float
    size_mm: tuple[float, float] | None = None
    line_gap_mm: float | None = None
    cost: float | None = None
    layer: LayerFigures | None = None
    marks: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """True where no gap is wider than the wadding allows."""
        return self.limit_mm is None or self.widest_gap_mm <= self.limit_mm


Row = tuple[str, list[str]]


def rows(options: Sequence[Option], currency: str) -> list[Row]:
    """The table: a name for each figure, and that figure of every option."""
    table: list[Row] = [
        *_layer_rows(options),
        ("finished", [_size(o) for o in options]),
        ("lines", [f"{o.lines}" for o in options]),
        ("starts", [f"{o.runs}" for o in options]),
        ("stitches", [f"{o.stitches:,}" for o in options]),
        ("sewn", [f"{o.stitched_m:.1f} m" for o in options]),
        ("needle thread", [f"{o.needle_m:.0f} m" for o in options]),
        ("bobbin thread", [f"{o.bobbin_m:.0f} m" for o in options]),
        ("bobbins", [f"{o.bobbins}" for o in options]),
        ("time", [f"{o.minutes:.0f} min" for o in options]),
        ("line gap", [both_units(o.line_gap_mm) if o.line_gap_mm else "" for o in options]),
        ("widest gap", [both_units(o.widest_gap_mm) for o in options]),
        ("wadding", [_verdict(o) for o in options]),
        ("draw-up", [f"about {o.draw_up_percent:.1f} %" for o in options]),
        ("drape", [_rank(o, options) for o in options]),
    ]
    if any(o.cost is not None for o in options):
        table.append(("cost", [f"{currency}{o.cost or 0:.2f}" for o in options]))
    most = max(len(o.marks) for o in options)
    for number in range(most):
        name = "stands out" if number == 0 else "and also"
        table.append((name, [(*o.marks, *[""] * most)[number] for o in options]))
    return table


def _layer_rows(options: Sequence[Option]) -> list[Row]:
    """The layer that varies; nothing where none fills anything."""
    if not any(option.layer for option in options):
        return []
    told: dict[str, Callable[[LayerFigures], str]] = {
        "what varies": lambda it: it.names,
        "gap in it": lambda it: both_units(it.gap_mm),
        "puff": lambda it: f"{it.puff_mm:.1f} mm ({it.puff_low_mm:.1f} to {it.puff_high_mm:.1f})",
        "line on it": lambda it: f"{it.m_per_m2:.0f} m per sq m",
        "handles": lambda it: it.handles,
        "limited by": lambda it: it.limited_by,
        "time for it": lambda it: f"{it.minutes:.0f} min",
        "thread for it": lambda it: f"{it.thread_m:.0f} m",
        "draw-up there": lambda it: f"about {it.draw_up_percent:.1f} %",
    }
    return [
        (name, [words(option.layer) if option.layer else "" for option in options])
        for name, words in told.items()
    ]


def how_obtained(options: Sequence[Option]) -> tuple[str, ...]:
    """How puff and stiffness were obtained and how far to trust them, each sentence once."""
    said = [
        words
        for option in options
        if (it := option.layer) is not None
        for words in (
            f"Puff: {it.puff_how}; {it.puff_trust}.",
            f"Handles: metres of line on a square metre, by common practice; {it.handles_trust}.",
        )
    ]
    return tuple(dict.fromkeys(said))


def _size(option: Option) -> str:
    if option.size_mm is None:
        return ""
    return " x ".join(both_units(mm) for mm in option.size_mm)


def _verdict(option: Option) -> str:
    if option.limit_mm is None:
        return "limit not given"
    word = "holds" if option.holds else "too wide"
    return f"{word} (limit {both_units(option.limit_mm)})"


def _rank(option: Option, options: Sequence[Option]) -> str:
    """Where it stands from soft to stiff."""
    softer = sum(o.density_m_per_m2 < option.density_m_per_m2 - 1e-9 for o in options)
    return f"number {softer + 1} of {len(options)}, the softest first"


PICTURE_MM = 250.0
CROP_MM = 64.0
LEFT_MM, TOP_MM, GAP_MM = 12.0, 24.0, 10.0
LABEL_MM, NAME_MM, ROW_MM = 7.0, 26.0, 6.0


@dataclass(frozen=True)
class OptionPictures:
    """How a design looks: the ``whole`` as a page in mm, and a part of it seen from nearby.

    ``crop_mm`` is the side of the square of cloth that ``crop`` shows.
    """

    whole: Page
    crop: Rgb
    crop_mm: float


def sheet(
    title: str, options: Sequence[Option], pictures: Sequence[OptionPictures], currency: str
) -> Drawing:
    """One page: the whole of each design beside a part of it, to one scale each, and the table."""
    scale = PICTURE_MM / max(shown.whole.width_mm for shown in pictures)
    near = CROP_MM / max(shown.crop_mm for shown in pictures)
    heights = [max(s.whole.height_mm * scale, s.crop_mm * near) for s in pictures]
    table = rows(options, currency)
    beside = PICTURE_MM + GAP_MM + CROP_MM
    column = max((beside - NAME_MM) / len(options), 44.0)
    width = LEFT_MM * 2 + max(beside, NAME_MM + column * len(options))
    body = sum(heights) + len(pictures) * (LABEL_MM + GAP_MM)
    height = TOP_MM + body + (len(table) + 1) * ROW_MM + 2 * LEFT_MM
    groups = [_heading(title, height)]
    at = height - TOP_MM
    for option, shown, tall in zip(options, pictures, heights, strict=True):
        at -= LABEL_MM + tall
        groups.append(_picture(option, shown, (scale, near), tall, at))
        at -= GAP_MM
    groups.append(_table(options, table, column, at))
    return Drawing(title, (Page(width, height, tuple(groups), title=title),))


def _heading(title: str, height: float) -> Group:
    foot = Text((LEFT_MM, 0.4 * LEFT_MM), FLAT_WORDS, 3.0, colour=GREY)
    return Group("heading", (Text((LEFT_MM, height - 14), title, 7, bold=True), foot))


def _picture(
    option: Option, shown: OptionPictures, scales: tuple[float, float], tall: float, at: float
) -> Group:
    """The whole at the left, upright in its row, and the part at the right."""
    scale, near = scales
    star = f"   ({'; '.join(option.marks)})" if option.marks else ""
    label = Text((LEFT_MM, at + tall + 2), option.label + star, 4.5, bold=bool(option.marks))
    foot = at + (tall - shown.whole.height_mm * scale) / 2
    drawn = Group(
        f"picture {option.label}", shown.whole.groups, shift_mm=(LEFT_MM, foot), scale=scale
    )
    x, side = LEFT_MM + PICTURE_MM + GAP_MM, shown.crop_mm * near
    y = at + (tall - side) / 2
    part = Raster((x, y, x + side, y + side), shown.crop, f"{option.label}, near to")
    inch = f"{both_units(shown.crop_mm)} of cloth"
    size = Text((x, at + tall + 2), inch, 3.4, colour=GREY)
    return Group(f"option {option.label}", (label, size, drawn, Group("near to", (part,))))


def _table(options: Sequence[Option], table: list[Row], column: float, top: float) -> Group:
    import numpy as np

    items: list[Text | Line] = []
    y = top - ROW_MM
    for number, option in enumerate(options):
        x = LEFT_MM + NAME_MM + number * column
        items.append(Text((x, y), option.label, 3.6, bold=True))
    for name, cells in table:
        y -= ROW_MM
        rule = np.array([(LEFT_MM, y + 4.4), (LEFT_MM + NAME_MM + column * len(options), y + 4.4)])
        items.append(Line(rule, Style(GREY, 0.1)))
        items.append(Text((LEFT_MM, y), name, 3.4, colour=INK))
        for number, cell in enumerate(cells):
            items.append(Text((LEFT_MM + NAME_MM + number * column, y), cell, 3.0))
    return Group("table", tuple(items))


def as_json(title: str, options: Sequence[Option]) -> bytes:
    """The comparison for other programs."""
    listed = [{**_plain(option), "holds": option.holds} for option in options]
    content = {"title": title, "options": listed}
    return (json.dumps(content, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _plain(option: Option) -> dict[str, object]:
    return {name: _rounded(value) for name, value in asdict(option).items()}


def _rounded(value: object) -> object:
    if isinstance(value, tuple | list):
        return [_rounded(part) for part in value]
    if isinstance(value, dict):
        return {name: _rounded(part) for name, part in value.items()}
    return round(value, 4) if isinstance(value, float) else value
