"""Photos from anywhere: read upright and within limits, or one line."""

from __future__ import annotations

import builtins
import io
import os
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from quiltpath.errors import InputError
from quiltpath.photo import reading
from quiltpath.photo.reading import photo_in_memory, photo_of, read_photo
from quiltpath.photo.vision import vision


def picture(wide: int = 400, high: int = 300, kind: str = "JPEG", **more: Any) -> bytes:
    y, x = np.mgrid[:high, :wide]
    pixels = np.stack([x * 255 // wide, y * 255 // high, 0 * x + 90], axis=-1).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_read_and_its_file_left_as_it_was(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "panel.jpg"
    file.write_bytes(picture(kind=kind))
    before = file.stat().st_mtime_ns, file.read_bytes()
    photo = read_photo(file)
    assert photo.size_px == (400, 300) and not photo.pixels.flags.writeable
    assert (file.stat().st_mtime_ns, file.read_bytes()) == before


@pytest.mark.parametrize("held", range(1, 9))
def test_a_photo_stands_as_the_camera_was_held(held: int) -> None:
    """Exif 2.32, tag 0x0112: from 5 on the stored picture lies on its side."""
    exif = Image.Exif()
    exif[0x0112] = held
    photo = photo_of(picture(exif=exif))
    assert photo.size_px == ((300, 400) if held >= 5 else (400, 300))
    assert np.abs(photo.pixels.astype(int)[..., 2] - 90).mean() < 3


def claiming(wide: int, high: int) -> bytes:
    """A PNG whose head claims a size that its body does not have (PNG, ISO 15948, 11.2.2)."""
    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b"")]
    body = b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + body


HOSTILE = {
    "nothing": (b"", "not a whole"),
    "text": (b"<svg/>" * 50, "not a whole"),
    "the first half of a photo": (picture()[:3000], "not a whole"),
    "a head without a body": (claiming(600, 600), "not a whole"),
    "more pixels than there are people": (claiming(100_000, 100_000), "million pixels"),
    "just above the limit": (claiming(10_000, 6_001), "million pixels"),
    "another kind of picture": (picture(kind="TIFF"), "not a whole"),
    "an icon": (picture(64, 64), "too small"),
    "a thin strip": (picture(4000, 20), "too small"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_is_told_in_one_line(name: str) -> None:
    data, said = HOSTILE[name]
    with pytest.raises(InputError, match=said) as told:
        photo_of(data, "panel.jpg")
    assert "\n" not in str(told.value) and str(told.value).startswith("panel.jpg")


def test_deep_greys_are_told() -> None:
    out = io.BytesIO()
    Image.fromarray(np.zeros((300, 300), dtype=np.uint16)).save(out, "PNG")
    with pytest.raises(InputError, match="8 bits"):
        photo_of(out.getvalue())


def test_every_byte_may_be_wrong() -> None:
    """Two hundred photos with bytes changed: read or told, nothing else."""
    random = np.random.default_rng(5)
    whole = np.frombuffer(picture(), dtype=np.uint8)
    told = 0
    for _ in range(200):
        broken = whole.copy()
        broken[random.integers(0, 700, 6)] = random.integers(0, 256, 6)
        try:
            photo_of(broken.tobytes())
        except InputError:
            told += 1
    assert told > 20


def test_a_file_is_read_no_further_than_its_limit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading, "MOST_BYTES", 2_000_000)
    large = tmp_path / "large.jpg"
    large.write_bytes(b"\xff" * 2_000_001)
    with pytest.raises(InputError, match="larger than 2 MB"):
        read_photo(large)
    with pytest.raises(InputError, match="larger than 2 MB"):
        photo_of(large.read_bytes())


def test_what_is_no_plain_file_is_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    for name in ("pipe.jpg", "not there.jpg", "", "a\0b.jpg"):
        with pytest.raises(InputError):
            read_photo(tmp_path / name)


@pytest.mark.parametrize(
    "pixels",
    [
        np.zeros((300, 300), dtype=np.uint8),
        np.zeros((300, 300, 4), dtype=np.uint8),
        np.zeros((300, 300, 3)),
    ],
    ids=["one colour", "four", "floats"],
)
def test_arrays_of_another_kind_are_told(pixels: Any) -> None:
    with pytest.raises(InputError, match="uint8"):
        photo_in_memory(pixels)


def test_without_the_library_one_line_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "cv2":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(InputError, match=r"pip install quiltpath\[photo\]") as told:
        vision()
    assert "\n" not in str(told.value)
