"""The photo with what was found in it, for a person to check: lines, outlines, confidences.

Colours from Okabe & Ito's palette, chosen for all kinds of colour vision; the kind of line is the
second sign: edges are drawn thick, printed lines thin, motifs with dots at their points.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

import numpy as np

from quiltpath.photo.panel_photo import PanelPhoto
from quiltpath.photo.printed_motifs import FoundMotif
from quiltpath.photo.reading import Photo, Pixels, Points
from quiltpath.photo.sashing import PrintedLine

EDGE, LINE, MOTIF, DOUBT = "#56b4e9", "#e69f00", "#cc79a7", "#d55e00"

SURE = 0.6
"""From this confidence on a line is drawn whole; below it, in strokes and another colour."""

MOST_SIDE_PX = 2400


def overlay(photo: Photo, found: PanelPhoto) -> bytes:
    """PNG of the photo with what was found drawn over it."""
    pale = PaleCopy.of(photo.pixels, whiter=0.25)
    sheet = _Sheet(pale.pen, found, pale.share, max(pale.size_px) / 1600)
    sheet.motifs()
    sheet.lines()
    sheet.edges()
    sheet.legend(pale.size_px)
    return pale.png()


@dataclass(frozen=True)
class PaleCopy:
    """A paler picture to draw on, its larger side at most ``MOST_SIDE_PX``.

    ``share``  its size in times of the picture's own
    """

    image: Any
    pen: Any
    share: float

    @classmethod
    def of(cls, pixels: Pixels, whiter: float) -> PaleCopy:
        """``whiter`` is the share of white that is mixed in, 0 to 1."""
        from PIL import Image, ImageDraw

        high, wide = pixels.shape[:2]
        share = min(1.0, MOST_SIDE_PX / max(wide, high))
        size = max(1, round(wide * share)), max(1, round(high * share))
        image = Image.fromarray(pixels).resize(size, Image.Resampling.LANCZOS)
        image = Image.blend(image, Image.new("RGB", size, "#ffffff"), whiter)
        return cls(image, ImageDraw.Draw(image), share)

    @property
    def size_px(self) -> tuple[int, int]:
        """Columns and rows."""
        wide, high = self.image.size
        return wide, high

    def png(self) -> bytes:
        """The picture with what was drawn on it."""
        out = io.BytesIO()
        self.image.save(out, "PNG", compress_level=3)
        return out.getvalue()


class _Sheet:
    """Draws on the picture; places are given in mm on the panel."""

    def __init__(self, pen: Any, found: PanelPhoto, share: float, unit: float) -> None:
        self.pen, self.found, self.share, self.unit = pen, found, share, max(0.5, unit)

    def at(self, points_mm: Points) -> list[tuple[float, float]]:
        seen = (self.found.view.seen(points_mm) + 0.5) * self.share
        return [(float(x), float(y)) for x, y in seen]

    def wide(self, units: float) -> int:
        return max(1, round(units * self.unit))

    def line(self, start: Points, end: Points, colour: str, width: float, sure: bool) -> None:
        """Straight on the cloth, bent as the lens bends it; in strokes where it is not sure."""
        steps = np.linspace(0, 1, 49)[:, None]
        points = self.at(np.asarray(start) + steps * (np.asarray(end) - np.asarray(start)))
        parts = [points] if sure else [points[i : i + 3] for i in range(0, 48, 4)]
        for part in parts:
            self.pen.line(part, fill=colour, width=self.wide(width), joint="curve")

    def edges(self) -> None:
        length, width = self.found.length_mm, self.found.width_mm
        corners = np.array([(0, 0), (length, 0), (length, width), (0, width)], dtype=float)
        for i, sure in enumerate(self.found.corners.sides):
            colour = EDGE if sure >= SURE else DOUBT
            self.line(corners[i], corners[(i + 1) % 4], colour, 3.5, sure >= SURE)
        outward = corners - corners.mean(axis=0)
        away = corners + outward / np.hypot(*outward.T)[:, None] * 0.03 * max(length, width)
        for corner, place, sure in zip(corners, away, self.found.corners.confidence, strict=True):
            self.ring(corner, EDGE if sure >= SURE else DOUBT)
            self.words(place, f"{100 * sure:.0f} %", EDGE if sure >= SURE else DOUBT)

    def ring(self, place_mm: Points, colour: str) -> None:
        (x, y), r = self.at(place_mm[None])[0], 7 * self.unit
        self.pen.ellipse((x - r, y - r, x + r, y + r), outline=colour, width=self.wide(2))

    def lines(self) -> None:
        length, width = self.found.length_mm, self.found.width_mm
        for one in self.found.sashing.along:
            self._printed(one, np.array((one.at_mm, 0.0)), np.array((one.at_mm, width)))
        for one in self.found.sashing.across:
            self._printed(one, np.array((0.0, one.at_mm)), np.array((length, one.at_mm)))

    def _printed(self, one: PrintedLine, start: Points, end: Points) -> None:
        sure = one.confidence >= SURE
        self.line(start, end, LINE if sure else DOUBT, 1.8, sure)
        if not sure:
            self.words(end, f"{100 * one.confidence:.0f} %", DOUBT)

    def motifs(self) -> None:
        blocks = {block.name: block for block in self.found.sashing.blocks}
        for motif in self.found.motifs:
            for place in motif.places:
                block = blocks[place.block]
                middle = np.add(block.middle_mm, place.aside_mm)
                self._motif(motif, middle, -1 if place.turned else 1)
                self._block_words(np.array((block.low_x, block.low_y)), place.block, motif)
        for missing in self.found.not_found:
            block = blocks[missing.block]
            corner = np.array((block.low_x, block.low_y))
            self.words(corner, f"{block.name} not found", DOUBT, left=True)

    def _block_words(self, corner: Points, block: str, motif: FoundMotif) -> None:
        text = f"{block} {motif.name} {100 * motif.confidence:.0f} %"
        self.words(corner, text, MOTIF if motif.confidence >= SURE else DOUBT, left=True)

    def _motif(self, motif: FoundMotif, middle: Points, sign: int) -> None:
        colour = MOTIF if motif.confidence >= SURE else DOUBT
        for piece in motif.pieces:
            for ring in (piece.outline, *piece.holes):
                points = self.at(sign * ring + middle)
                width = self.wide(1.8)
                self.pen.line([*points, points[0]], fill=colour, width=width)
                r = 1.6 * self.unit
                for x, y in points:
                    self.pen.ellipse((x - r, y - r, x + r, y + r), fill=colour)

    def words(self, place_mm: Points, text: str, colour: str, left: bool = False) -> None:
        x, y = self.at(np.asarray(place_mm)[None])[0]
        anchor = "ls" if left else "mm"
        aside = (4 * self.unit, -5 * self.unit) if left else (0, 0)
        self._text((x + aside[0], y + aside[1]), text, colour, anchor)

    def _text(self, at: tuple[float, float], text: str, colour: str, anchor: str) -> None:
        from PIL import ImageFont

        font = ImageFont.load_default(max(11, 15 * self.unit))
        box = self.pen.textbbox(at, text, font=font, anchor=anchor)
        pad = 2 * self.unit
        self.pen.rectangle((box[0] - pad, box[1] - pad, box[2] + pad, box[3] + pad), fill="#ffffff")
        self.pen.line((box[0], box[3] + pad, box[2], box[3] + pad), fill=colour, width=2)
        self.pen.text(at, text, fill="#1a1a1a", font=font, anchor=anchor)

    def legend(self, size: tuple[int, int]) -> None:
        rows = [(EDGE, "panel's edge"), (LINE, "printed line"), (MOTIF, "motif"), (DOUBT, "unsure")]
        step, x = 24 * self.unit, 14 * self.unit
        for i, (colour, text) in enumerate(rows):
            y = size[1] - (len(rows) - i) * step
            self._text((x + 34 * self.unit, y), text, colour, "lm")
            width = self.wide(4)
            for a, b in [(0, 28)] if colour != DOUBT else [(0, 7), (10, 17), (20, 28)]:
                self.pen.line(
                    (x + a * self.unit, y, x + b * self.unit, y), fill=colour, width=width
                )
