"""Designs side by side: a sheet of pictures to one scale with a table of figures."""

from __future__ import annotations

import html
import json
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from quiltpath.drawing.page_model import GREY, INK, Drawing, Group, Line, Page, Style, Text
from quiltpath.units import both_units, inch_fraction, millimetres


@dataclass(frozen=True)
class Option:
    """One design of a comparison; lengths in mm, thread in m, time in minutes.

    ``density_m_per_m2``  metres of quilting on a square metre: the more, the stiffer it hangs
    ``draw_up_percent``   how much the quilting is expected to draw the piece up
    ``size_mm``           finished length and width
    ``line_gap_mm``       distance of neighbouring lines of the fill, where they are parallel
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
    marks: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """True where no gap is wider than the wadding allows."""
        return self.limit_mm is None or self.widest_gap_mm <= self.limit_mm


Row = tuple[str, list[str]]


def rows(options: Sequence[Option], currency: str) -> list[Row]:
    """The table: a name for each figure, and that figure of every option."""
    table: list[Row] = [
        ("finished", [_size(o) for o in options]),
        ("lines", [f"{o.lines}" for o in options]),
        ("runs", [f"{o.runs}" for o in options]),
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
        ("drape", [f"{o.density_m_per_m2:.0f} m per sq m, {_rank(o, options)}" for o in options]),
    ]
    if any(o.cost is not None for o in options):
        table.append(("cost", [f"{currency}{o.cost or 0:.2f}" for o in options]))
    most = max(len(o.marks) for o in options)
    for number in range(most):
        name = "stands out" if number == 0 else "and also"
        table.append((name, [(*o.marks, *[""] * most)[number] for o in options]))
    return table


def _size(option: Option) -> str:
    if option.size_mm is None:
        return ""
    return " x ".join(inch_fraction(mm) for mm in option.size_mm)


def _verdict(option: Option) -> str:
    if option.limit_mm is None:
        return "limit not given"
    word = "holds" if option.holds else "too wide"
    return f"{word} (limit {millimetres(option.limit_mm)})"


def _rank(option: Option, options: Sequence[Option]) -> str:
    """Where it stands from soft to stiff."""
    softer = sum(o.density_m_per_m2 < option.density_m_per_m2 - 1e-9 for o in options)
    return f"{softer + 1} of {len(options)} from soft"


PICTURE_MM = 250.0
LEFT_MM, TOP_MM, GAP_MM = 12.0, 24.0, 10.0
LABEL_MM, NAME_MM, ROW_MM = 7.0, 26.0, 6.0
MARK = Style("#0072b2", 1.2)


def sheet(
    title: str, options: Sequence[Option], pictures: Sequence[Page], currency: str
) -> Drawing:
    """One page: the pictures under each other to one scale, the table below them."""
    scale = PICTURE_MM / max(page.width_mm for page in pictures)
    heights = [page.height_mm * scale for page in pictures]
    table = rows(options, currency)
    column = max((PICTURE_MM - NAME_MM) / len(options), 44.0)
    width = LEFT_MM * 2 + max(PICTURE_MM, NAME_MM + column * len(options))
    body = sum(heights) + len(pictures) * (LABEL_MM + GAP_MM)
    height = TOP_MM + body + (len(table) + 1) * ROW_MM + 2 * LEFT_MM
    groups = [_heading(title, height)]
    at = height - TOP_MM
    for option, page, tall in zip(options, pictures, heights, strict=True):
        at -= LABEL_MM + tall
        groups.append(_picture(option, page, scale, tall, at))
        at -= GAP_MM
    groups.append(_table(options, table, column, at))
    return Drawing(title, (Page(width, height, tuple(groups), title=title),))


def _heading(title: str, height: float) -> Group:
    return Group("heading", (Text((LEFT_MM, height - 14), title, 7, bold=True),))


def _picture(option: Option, page: Page, scale: float, tall: float, at: float) -> Group:
    star = f"   ({'; '.join(option.marks)})" if option.marks else ""
    label = Text((LEFT_MM, at + tall + 2), option.label + star, 4.5, bold=bool(option.marks))
    drawn = Group(f"picture {option.label}", page.groups, shift_mm=(LEFT_MM, at), scale=scale)
    return Group(f"option {option.label}", (label, drawn))


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
    return round(value, 4) if isinstance(value, float) else value


def as_html(
    title: str,
    options: Sequence[Option],
    pictures: Sequence[tuple[bytes, float]],
    currency: str,
) -> bytes:
    """A self-contained page: the pictures, each a PNG and its width in mm, and the table."""
    widest = max(width for _, width in pictures)
    figures = "\n".join(
        f'<figure><img alt="{html.escape(o.label)}: how it will look"'
        f' style="width: {100 * width / widest:.2f}%"'
        f' src="data:image/png;base64,{b64encode(picture).decode("ascii")}">'
        f"<figcaption>{html.escape(o.label)}{_flag(o)}</figcaption></figure>"
        for o, (picture, width) in zip(options, pictures, strict=True)
    )
    head = "".join(f'<th scope="col">{html.escape(o.label)}</th>' for o in options)
    body = "\n".join(
        f'<tr><th scope="row">{html.escape(name)}</th>'
        + "".join(f"<td>{html.escape(cell)}</td>" for cell in cells)
        + "</tr>"
        for name, cells in rows(options, currency)
    )
    return _PAGE.format(title=html.escape(title), figures=figures, head=head, body=body).encode(
        "utf-8"
    )


def _flag(option: Option) -> str:
    return f" <strong>{html.escape('; '.join(option.marks))}</strong>" if option.marks else ""


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
:root {{ color-scheme: light dark; --ink: #1d1d1b; --paper: #fbfaf7; --rule: #b9b4a8; }}
@media (prefers-color-scheme: dark) {{
  :root {{ --ink: #f1eee6; --paper: #1e1f21; --rule: #5c5a55; }}
}}
body {{ font: 1rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  margin: 1.5rem auto; max-width: 70rem; padding: 0 1rem; }}
figure {{ margin: 1.25rem 0; }}
img {{ height: auto; border: 1px solid var(--rule); background: #fff; }}
.wide {{ overflow-x: auto; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ text-align: left; padding: .35rem .6rem; border-bottom: 1px solid var(--rule);
  vertical-align: top; min-width: 7.5rem; }}
th:first-child {{ min-width: 0; position: sticky; left: 0; background: var(--paper); }}
@media print {{
  :root {{ --ink: #000; --paper: #fff; }}
  figure, tr {{ break-inside: avoid; }} body {{ margin: 0; }}
  .wide {{ overflow: visible; font-size: .8rem; }}
  th, td {{ min-width: 0; padding: .25rem; }} th:first-child {{ position: static; }}
}}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
{figures}
<div class="wide" tabindex="0" role="region" aria-label="Figures side by side">
<table>
<thead><tr><th scope="col">figure</th>{head}</tr></thead>
<tbody>
{body}
</tbody>
</table>
</div>
</main>
</body>
</html>
"""
