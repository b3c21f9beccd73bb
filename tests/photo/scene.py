"""Photographs made up from known shapes: a printed panel on a table, seen through a lens.

The panel is painted in mm, then looked up for every pixel of the photo through a pinhole camera
with one radial term (Hartley and Zisserman, Multiple PanelView Geometry, 7.4, from memory), so that
every corner, line and outline is known exactly. Light, folds, blur and noise come on top.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import fft, ndimage

Points = NDArray[np.float64]


def ellipse(x: float, y: float, a: float, b: float, n: int = 60) -> Points:
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    return np.column_stack([x + a * np.cos(angle), y + b * np.sin(angle)])


def flower(size: float = 90.0, petals: int = 5, depth: float = 0.3) -> Points:
    angle = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    radius = size / 2 * (1 - depth / 2 + depth / 2 * np.cos(petals * angle))
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def jug(size: float = 100.0) -> Points:
    corners = [
        (-30, -50),
        (30, -50),
        (42, -10),
        (22, 25),
        (30, 50),
        (-34, 50),
        (-22, 25),
        (-42, -10),
    ]
    return np.array(corners, dtype=float) * size / 100


def leaf(size: float = 110.0) -> Points:
    t = np.linspace(0, np.pi, 60)
    upper = np.column_stack([-np.cos(t), 0.32 * np.sin(t)])
    lower = np.column_stack([np.cos(t), -0.22 * np.sin(t)])
    return np.vstack([upper, lower[1:-1]]) * size / 2


@dataclass(frozen=True)
class Panel:
    """A printed panel: equal blocks between strips, a shape in each, all in mm."""

    length: float = 640.0
    width: float = 200.0
    along: tuple[float, ...] = (24.0, 204.0, 230.0, 410.0, 436.0, 616.0)
    across: tuple[float, ...] = (22.0, 178.0)
    sashing: str = "#3f5a46"
    blocks: tuple[str, ...] = ("#efe6d0",)
    motifs: tuple[tuple[Points, str], ...] = field(
        default_factory=lambda: ((flower(), "#b5482f"), (jug(), "#3d6a7d"), (leaf(), "#6b7a2c"))
    )
    turned: bool = False
    """every second block upside down"""
    small_print: str = ""
    """colour of small dots all over the blocks"""
    dots_apart: float = 9.0
    threads: tuple[tuple[Points, str, float], ...] = ()
    """sewn lines, mm, with the thread's colour and the stitch length"""
    missing_corner: float = 0.0
    """so much is folded under at the upper right"""

    def block_boxes(self) -> list[tuple[str, float, float, float, float]]:
        """Name, left, lower, right, upper edge of each block, row by row from the lowest."""
        return [
            (f"{'ABCDEFGHIJ'[i]}{j + 1}", x0, y0, x1, y1)
            for j, (y0, y1) in enumerate(zip(self.across[::2], self.across[1::2], strict=True))
            for i, (x0, x1) in enumerate(zip(self.along[::2], self.along[1::2], strict=True))
        ]

    def shape_in(self, index: int) -> Points:
        """The printed shape of a block, in mm on the panel."""
        _, x0, y0, x1, y1 = self.block_boxes()[index]
        shape, _ = self.motifs[index % len(self.motifs)]
        sign = -1 if self.turned and index % 2 else 1
        return sign * shape + ((x0 + x1) / 2, (y0 + y1) / 2)

    def painted(self, px_per_mm: float) -> NDArray[np.uint8]:
        """The flat panel; row 0 at the top."""
        s = px_per_mm
        image = Image.new("RGB", (round(self.length * s), round(self.width * s)), self.sashing)
        pen = ImageDraw.Draw(image)

        def at(points: Points) -> list[tuple[float, float]]:
            # A polygon's corner at c covers pixels from c - 1/2 on: half a pixel is taken off.
            return [(x * s - 0.5, (self.width - y) * s - 0.5) for x, y in points]

        for index, box in enumerate(self.block_boxes()):
            _, x0, y0, x1, y1 = box
            low, high = (
                (round(x0 * s), round((self.width - y1) * s)),
                (round(x1 * s), round((self.width - y0) * s)),
            )
            image.paste(self.blocks[index % len(self.blocks)], (*low, *high))
            self._dots(pen, at, box)
            if self.motifs:
                pen.polygon(at(self.shape_in(index)), fill=self.motifs[index % len(self.motifs)][1])
        for line, colour, stitch_mm in self.threads:
            for a, b in _stitches(line, stitch_mm):
                pen.line(at(np.array([a, b])), fill=colour, width=round(0.7 * s))
        return np.asarray(image)

    def _dots(self, pen: Any, at: Any, box: tuple[str, float, float, float, float]) -> None:
        _, x0, y0, x1, y1 = box
        if not self.small_print:
            return
        for x in np.arange(x0 + 4, x1 - 3, self.dots_apart):
            for y in np.arange(y0 + 4, y1 - 3, self.dots_apart):
                pen.polygon(at(ellipse(x, y, 1.1, 1.1, 16)), fill=self.small_print)


def _stitches(line: Points, stitch_mm: float) -> list[tuple[Points, Points]]:
    """Ends of each stitch's thread on the face: it dives for a quarter of the way."""
    step = np.hypot(*np.diff(line, axis=0).T)
    length = np.concatenate([[0], np.cumsum(step)])

    def at(distance: NDArray[np.float64]) -> Points:
        return np.column_stack([np.interp(distance, length, c) for c in line.T])

    start = np.arange(0, length[-1] - stitch_mm, stitch_mm)
    return list(zip(at(start), at(start + 0.75 * stitch_mm), strict=True))


def plain_table(wide: int, high: int) -> NDArray[np.float32]:
    return np.full((high, wide, 3), (196, 188, 176), dtype=np.float32)


def wooden_table(wide: int, high: int) -> NDArray[np.float32]:
    """Boards with grain, a dark gap between them."""
    random = np.random.default_rng(3)
    grain = _smoothed(random.normal(size=(high, wide)), (1.2, wide / 12))
    grain = grain / grain.std() * 9
    board = high / 5.3
    rows = np.arange(high)
    shade = random.normal(0, 10, 8)[(rows // board).astype(int)]
    gap = np.where(rows % board < 0.012 * high, -45.0, 0.0)
    out = np.array((176, 140, 100)) + (grain + (shade + gap)[:, None])[..., None]
    return out.astype(np.float32)


def _smoothed(picture: NDArray[np.float64], widths: tuple[float, float]) -> NDArray[np.float64]:
    """As by ``ndimage.gaussian_filter``, at the same cost for any width: a Gaussian is a Gaussian
    of the frequencies too, and cosines mirror at the ends."""
    down, across = (
        np.exp(-0.5 * (width * np.pi * np.arange(n) / n) ** 2)
        for width, n in zip(widths, picture.shape, strict=True)
    )
    smooth: NDArray[np.float64] = fft.idctn(fft.dctn(picture) * np.outer(down, across))
    return smooth


def checked_cloth(wide: int, high: int) -> NDArray[np.float32]:
    side = wide / 22
    y, x = np.mgrid[:high, :wide]
    turned = (0.94 * x + 0.34 * y) // side % 2 + (-0.34 * x + 0.94 * y) // side % 2
    colours = np.array([(236, 232, 224), (214, 150, 140), (190, 84, 72)], dtype=np.float32)
    return colours[turned.astype(int)]


def round_cloth(wide: int, high: int) -> NDArray[np.float32]:
    """A round tablecloth with rings on a darker floor."""
    y, x = np.mgrid[:high, :wide]
    radius = np.hypot(x - wide / 2, y - high / 2)
    out = np.full((high, wide, 3), (92, 84, 78), dtype=np.float32)
    cloth = radius < 0.49 * high
    ring = (radius // (0.05 * high)) % 2 == 0
    out[cloth] = (222, 214, 226)
    out[cloth & ring] = (180, 160, 200)
    return out


SEEN = ((0.10, 0.68), (0.90, 0.66), (0.86, 0.38), (0.15, 0.40))


@dataclass(frozen=True)
class Scene:
    """How the panel was photographed."""

    panel: Panel = field(default_factory=Panel)
    picture: tuple[int, int] = (1600, 1200)
    corners: tuple[tuple[float, float], ...] = SEEN
    """lower left, lower right, upper right, upper left in shares of the picture, undistorted"""
    radial: float = 0.0
    """r_seen = r (1 + radial r^2), r in half diagonals of the picture"""
    table: Any = plain_table
    noise: float = 2.5
    light: float = 0.25
    """how much darker one end is than the other"""
    folds: float = 0.0
    """depth of the shade at folds across the panel"""
    blur: float = 0.6
    others: tuple[Scene, ...] = ()
    """panels that lie beside it, each with corners of its own"""

    @property
    def corners_px(self) -> Points:
        return np.array(self.corners) * self.picture

    def homography(self) -> Points:
        """mm on the panel to undistorted pixels, by numpy's SVD (direct linear transformation)."""
        w, h = self.panel.length, self.panel.width
        rows = []
        for (x, y), (u, v) in zip([(0, 0), (w, 0), (w, h), (0, h)], self.corners_px, strict=True):
            rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
            rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
        return np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)

    def seen(self, points_mm: Points) -> Points:
        """mm on the panel to pixels of the photo."""
        flat = np.column_stack([points_mm, np.ones(len(points_mm))]) @ self.homography().T
        flat = flat[:, :2] / flat[:, 2:]
        middle, half = self._lens()
        away = (flat - middle) / half
        return middle + half * away * (1 + self.radial * (away**2).sum(axis=1))[:, None]

    def _lens(self) -> tuple[Points, float]:
        wide, high = self.picture
        return np.array([(wide - 1) / 2, (high - 1) / 2]), float(np.hypot(wide, high) / 2)

    def _undistorted(self, seen: Points) -> Points:
        if not self.radial:
            return seen
        middle, half = self._lens()
        away = (seen - middle) / half
        straight = away.copy()
        for _ in range(8):
            straight = away / (1 + self.radial * (straight**2).sum(axis=-1))[..., None]
        return middle + half * straight

    def mm_per_px(self) -> float:
        """On the coarse side: the largest in the panel's corners and middle."""
        w, h = self.panel.length, self.panel.width
        places = np.array([(0, 0), (w, 0), (w, h), (0, h), (w / 2, h / 2)], dtype=float)
        steps = [self.seen(places + step) - self.seen(places) for step in ((1, 0), (0, 1))]
        return float(1 / min(np.linalg.norm(step, axis=1).min() for step in steps))

    def photo(self, seed: int = 1) -> NDArray[np.uint8]:
        """Red, green and blue, as a camera would give it."""
        wide, high = self.picture
        picture = np.asarray(self.table(wide, high), dtype=np.float32).copy()
        for scene in (self, *self.others):
            replace(scene, picture=self.picture, radial=self.radial)._laid(picture)
        y, x = np.mgrid[:high, :wide].astype(np.float32)
        picture *= (1 - self.light * (0.7 * x / wide + 0.3 * y / high))[..., None]
        if self.blur:
            picture = ndimage.gaussian_filter(picture, (self.blur, self.blur, 0))
        random = np.random.default_rng(seed)
        noise = random.standard_normal(picture.shape, dtype=np.float32) * self.noise
        return np.clip(picture + noise, 0, 255).astype(np.uint8)

    def _laid(self, picture: NDArray[np.float32]) -> None:
        """Lay the panel into the picture where it is seen."""
        wide, high = self.picture
        edge = self.seen(self._round_the_edge())
        low = np.floor(edge.min(axis=0)).astype(int) - 2
        top = np.ceil(edge.max(axis=0)).astype(int) + 3
        low, top = np.maximum(low, 0), np.minimum(top, (wide, high))
        for row in range(low[1], top[1], 200):
            part = slice(row, min(row + 200, top[1])), slice(low[0], top[0])
            y, x = np.mgrid[part]
            picture[part] = self._looked_up(np.stack([x, y], axis=-1).astype(float), picture[part])

    def _round_the_edge(self) -> Points:
        t = np.linspace(0, 1, 40)[:, None]
        w, h = self.panel.length, self.panel.width
        corners = np.array([(0, 0), (w, 0), (w, h), (0, h), (0, 0)], dtype=float)
        return np.vstack([a + t * (b - a) for a, b in pairwise(corners)])

    def _looked_up(self, seen: Points, under: NDArray[np.float32]) -> NDArray[np.float32]:
        """What stands at pixels: the panel where it covers them, what was there elsewhere."""
        flat = self._undistorted(seen)
        back = np.linalg.inv(self.homography())
        mm = np.concatenate([flat, np.ones((*flat.shape[:2], 1))], axis=-1) @ back.T
        mm = mm[..., :2] / mm[..., 2:]
        scale, cloth = _painted(self.panel, self.mm_per_px())
        row = (self.panel.width - mm[..., 1]) * scale - 0.5
        column = mm[..., 0] * scale - 0.5
        found = np.stack(
            [
                ndimage.map_coordinates(cloth[..., c], [row, column], order=1, mode="nearest")
                for c in range(3)
            ],
            axis=-1,
        ).astype(np.float32)
        if self.folds:
            found *= self._shade_of_folds(mm)[..., None]
        per_mm = 1 / self.mm_per_px()
        inside = np.minimum.reduce(
            [mm[..., 0], self.panel.length - mm[..., 0], mm[..., 1], self.panel.width - mm[..., 1]]
        )
        if self.panel.missing_corner:
            gone = self.panel.length + self.panel.width - self.panel.missing_corner
            inside = np.minimum(inside, (gone - mm.sum(axis=-1)) / np.sqrt(2))
        covered = np.clip(inside * per_mm + 0.5, 0, 1)[..., None].astype(np.float32)
        return covered * found + (1 - covered) * under

    def _shade_of_folds(self, mm: Points) -> NDArray[np.float32]:
        places = np.array([0.27, 0.52, 0.79]) * self.panel.length
        shade = sum(np.exp(-(((mm[..., 0] - p) / 4.0) ** 2)) for p in places)
        shade = shade + np.exp(-(((mm[..., 1] - 0.45 * self.panel.width) / 4.0) ** 2))
        return (1 - self.folds * np.minimum(shade, 1)).astype(np.float32)


_KEPT: dict[tuple[int, float], tuple[float, NDArray[np.float32]]] = {}


def _painted(panel: Panel, mm_per_px: float) -> tuple[float, NDArray[np.float32]]:
    """The painted panel, smoothed as a pixel of the photo does; the last one is kept, since it is
    looked up band by band."""
    key = (id(panel), round(mm_per_px, 6))
    if key not in _KEPT:
        _KEPT.clear()
        fine = 5.0
        flat = panel.painted(fine).astype(np.float32)
        blur = 0.4 * mm_per_px * fine
        flat = ndimage.gaussian_filter(flat, (blur, blur, 0), truncate=2.5)
        _KEPT[key] = (flat.shape[1] / panel.length, flat)
    return _KEPT[key]
