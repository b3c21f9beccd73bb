"""Designs side by side as one page: a slider puts each in the place of the other, with no server.

The page is self-contained, so that it can be sent to somebody and opened on a phone; without
scripts everything stands below one another.
"""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from importlib.resources import files

from quiltpath.drawing.bitmaps import data_url
from quiltpath.drawing.page_model import Page, Raster
from quiltpath.drawing.relief_view import Rgb
from quiltpath.jobs.comparison_sheet import Option, OptionPictures, how_obtained, rows
from quiltpath.units import Units, both_units, say_in_units

QUALITY = 82
"""of the JPEGs: a dozen designs stay a few megabytes"""


def as_html(
    title: str,
    options: Sequence[Option],
    pictures: Sequence[OptionPictures],
    currency: str,
    units: Units,
) -> bytes:
    """The page. Pictures are to one scale each: the parts, and the wholes."""
    widest = max(shown.whole.width_mm for shown in pictures)
    side = say_in_units(both_units(max(shown.crop_mm for shown in pictures)), units)
    both = list(zip(options, pictures, strict=True))
    parts = {
        "title": html.escape(title),
        "last": str(len(options) - 1),
        "first": str(_first(options)),
        "side": html.escape(side),
        "crops": "\n".join(_figure(o, shown.crop, "near to") for o, shown in both),
        "figures": "\n".join(
            _figure(o, _rgb(shown.whole), "how it will look", 100 * shown.whole.width_mm / widest)
            for o, shown in both
        ),
        "head": "".join(f'<th scope="col">{html.escape(o.label)}</th>' for o in options),
        "body": "\n".join(
            _row(name, [say_in_units(cell, units) for cell in cells])
            for name, cells in rows(options, currency)
        ),
        "how": "\n".join(f'<p class="how">{html.escape(w)}</p>' for w in how_obtained(options)),
    }
    template = files("quiltpath.jobs").joinpath("comparison_page.html").read_text(encoding="utf-8")
    # One pass over the template: what is put in is never looked at again for marks.
    return re.sub(r"{{(\w+)}}", lambda mark: parts[mark[1]], template).encode("utf-8")


def _first(options: Sequence[Option]) -> int:
    """The one that stands out most is shown first."""
    return max(range(len(options)), key=lambda i: (len(options[i].marks), -i))


def _rgb(page: Page) -> Rgb:
    """The lit picture of a page; what lies over it is told in the figures."""
    return next(
        item.rgb for group in page.groups for item in group.walk() if isinstance(item, Raster)
    )


def _figure(option: Option, rgb: Rgb, words: str, percent: float | None = None) -> str:
    width = f' style="width: {percent:.2f}%"' if percent is not None else ""
    flag = f" <strong>{html.escape('; '.join(option.marks))}</strong>" if option.marks else ""
    name = html.escape(option.label)
    return (
        f'<figure><img alt="{name}: {words}"{width} src="{data_url(rgb, QUALITY)}">'
        f"<figcaption>{name}{flag}</figcaption></figure>"
    )


def _row(name: str, cells: Sequence[str]) -> str:
    told = "".join(f"<td>{html.escape(cell)}</td>" for cell in cells)
    return f'<tr><th scope="row">{html.escape(name)}</th>{told}</tr>'
