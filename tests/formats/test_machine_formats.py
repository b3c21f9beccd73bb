"""Every stitch format: written, read back, compared; and what is refused."""

from __future__ import annotations

import dataclasses
import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import FormatLimitError, InputError, VerificationError
from quiltpath.formats import FORMATS as EVERY
from quiltpath.formats import (
    StitchFormat,
    deliver,
    find_format,
    part_title,
    safe_title,
    verify,
    write,
)
from quiltpath.stitching import Stitches
from quiltpath.stitching.needle_path import needle_path
from tests.formats.designs import LETTER_F, Sewn, along, four_runs, stitches_of, wander

FORMATS = {name: form for name, form in EVERY.items() if isinstance(form, StitchFormat)}
ALL = sorted(FORMATS)
_BOUNDED = [name for name in ALL if np.isfinite(FORMATS[name].longest_mm)]


def test_the_formats_of_the_trade_are_there() -> None:
    assert {"dst", "exp", "pes", "jef", "vp3", "u01", "xxx", "csv", "json"} <= set(FORMATS)


@pytest.mark.parametrize("extension", ALL)
def test_a_design_with_cuts_halts_and_long_travels_comes_back_as_meant(extension: str) -> None:
    _, verdict = deliver(four_runs(), extension, "harvest supper")
    assert verdict.verified
    assert verdict.worst_mm <= FORMATS[extension].grid_mm / 2 + 1e-6
    assert verdict.holes == verdict.holes_meant == 270
    assert verdict.stops == verdict.stops_meant == 2
    assert verdict.trims >= verdict.trims_meant == 2


@pytest.mark.parametrize("extension", ALL)
@given(seed=st.integers(0, 2**31), shift=st.floats(-500, 500))
@settings(deadline=None, max_examples=12)
def test_any_curve_anywhere_comes_back_within_half_a_unit(
    extension: str, seed: int, shift: float
) -> None:
    runs = [Sewn(wander(seed, 40, (shift, -shift))), Sewn(wander(seed + 1, 2, (shift, 7.7)))]
    _, verdict = deliver(stitches_of(runs), extension, "curve")
    assert verdict.verified


@pytest.mark.parametrize("extension", ALL)
def test_the_same_design_gives_the_same_bytes(extension: str) -> None:
    assert write(four_runs(), extension, "a") == write(four_runs(), extension, "a")


@pytest.mark.parametrize("extension", ALL)
def test_the_library_alone_reads_the_same_holes(extension: str) -> None:
    """The embroidery library with its own settings, without anything of ours around it."""
    import pyembroidery

    design = stitches_of([Sewn(LETTER_F)])
    contents = write(design, extension, "F")
    reader = getattr(pyembroidery, f"{extension.capitalize()}Reader")
    stream = io.StringIO(contents.decode()) if extension == "csv" else io.BytesIO(contents)
    pattern = pyembroidery.EmbPattern.read_embroidery(reader, stream)
    found = np.array([row[:2] for row in pattern.stitches if row[2] == pyembroidery.STITCH]) / 10
    meant = needle_path(design)
    upright = (meant.holes - meant.file_origin(0.1)) * (1, -1)  # the library has y downwards
    assert np.abs(found - upright).max() <= 0.05 + 1e-9


_MOVED = {
    "mirrored left to right": lambda xy: xy * (-1, 1),
    "mirrored top to bottom": lambda xy: xy * (1, -1),
    "turned by half a turn": lambda xy: xy * (-1, -1),
    "turned a quarter to the left": lambda xy: xy[:, ::-1] * (-1, 1),
    "turned a quarter to the right": lambda xy: xy[:, ::-1] * (1, -1),
    "mirrored and turned a quarter to the left": lambda xy: xy[:, ::-1] * (-1, -1),
    "mirrored and turned a quarter to the right": lambda xy: xy[:, ::-1],
}


def _changed(design: Stitches, points: np.ndarray) -> Stitches:
    return dataclasses.replace(design, points=np.asarray(points))


@pytest.mark.parametrize("fault", sorted(_MOVED))
@pytest.mark.parametrize("extension", ALL)
def test_a_turned_or_mirrored_file_is_found_out_and_named(extension: str, fault: str) -> None:
    design = stitches_of([Sewn(LETTER_F)])
    wrong = write(_changed(design, _MOVED[fault](design.points)), extension, "F")
    verdict = verify(wrong, design, extension)
    assert not verdict.verified
    assert verdict.orientation == fault


@pytest.mark.parametrize("extension", ALL)
@pytest.mark.parametrize("scale", [0.5, 1.01, 2.54])
def test_a_wrongly_scaled_file_is_found_out(extension: str, scale: float) -> None:
    design = stitches_of([Sewn(LETTER_F)])
    verdict = verify(
        write(_changed(design, design.points * scale), extension, "F"), design, extension
    )
    assert not verdict.verified
    assert "times the size" in verdict.faults[0]


def test_a_design_sewn_backwards_is_found_out() -> None:
    design = stitches_of([Sewn(LETTER_F)])
    wrong = write(stitches_of([Sewn(LETTER_F[::-1])]), "dst", "F")
    verdict = verify(wrong, design, "dst")
    assert not verdict.in_order
    assert verdict.faults == ("sewn in another order",)


def test_a_hole_out_of_place_is_found_out() -> None:
    design = stitches_of([Sewn(LETTER_F)])
    points = design.points.copy()
    points[20] += (0.4, 0.0)
    verdict = verify(write(_changed(design, points), "dst", "F"), design, "dst")
    assert verdict.worst_mm > 0.3
    assert not verdict.verified


def test_a_lost_cut_and_a_lost_halt_are_found_out() -> None:
    runs = [Sewn(wander(1, 9)), Sewn(wander(2, 9, (90, 9)), halt=True)]
    meant = stitches_of(runs)
    wrong = stitches_of([dataclasses.replace(run, cut=False, halt=False) for run in runs])
    verdict = verify(write(wrong, "exp", "x"), meant, "exp")
    assert verdict.faults == ("1 thread cuts are lost", "1 halts are lost or were not meant")


def test_a_missing_stitch_is_found_out() -> None:
    wrong = write(stitches_of([Sewn(LETTER_F[:-1])]), "jef", "F")
    verdict = verify(wrong, stitches_of([Sewn(LETTER_F)]), "jef")
    assert not verdict.verified
    assert "needle holes come back where" in verdict.faults[0]


def test_a_damaged_file_is_not_verified(monkeypatch: pytest.MonkeyPatch) -> None:
    design = stitches_of([Sewn(LETTER_F)])
    assert not verify(b"", design, "dst").verified
    from quiltpath.formats import read_back as verification

    monkeypatch.setattr(verification, "write", lambda *_: b"no stitches here")
    with pytest.raises(VerificationError, match="DST"):
        deliver(design, "dst", "F")


@pytest.mark.parametrize(
    ("extension", "length_mm"), [("dst", 10010.0), ("pes", 3300.0), ("u01", 6600.0)]
)
def test_a_design_larger_than_the_format_is_refused(extension: str, length_mm: float) -> None:
    design = stitches_of([Sewn(along((0, 0), (length_mm, 0)))])
    with pytest.raises(FormatLimitError, match="the format holds"):
        write(design, extension, "long")


@pytest.mark.parametrize("extension", _BOUNDED)
def test_the_longest_stitch_is_kept_and_one_unit_more_is_refused(extension: str) -> None:
    longest = FORMATS[extension].longest_mm
    fits = stitches_of([Sewn(np.array([[0.0, 0.0], [longest, 0.0]]))])
    assert deliver(fits, extension, "fits")[1].verified
    with pytest.raises(FormatLimitError, match="a record holds"):
        write(stitches_of([Sewn(np.array([[0.0, 0.0], [longest + 0.2, 0.0]]))]), extension, "no")


def test_more_halts_than_a_format_counts_are_refused() -> None:
    runs = [Sewn(along((0, y), (9, y)), halt=True) for y in range(30)]
    with pytest.raises(FormatLimitError, match="29 halts, and the format holds 20"):
        write(stitches_of(runs), "xxx", "halts")


def test_a_design_without_stitches_is_refused() -> None:
    nothing = _changed(stitches_of([Sewn(LETTER_F[:1])]), np.zeros((3, 2)))
    nothing = dataclasses.replace(nothing, kind=np.full(3, 2, dtype=np.int8))
    with pytest.raises(FormatLimitError, match="nothing to sew"):
        write(nothing, "dst", "none")


def test_an_unknown_format_names_the_known_ones() -> None:
    with pytest.raises(InputError, match=r"'\.xyz' is not a stitch format; use dst, exp"):
        find_format(".xyz")


@pytest.mark.parametrize(
    ("title", "safe"),
    [
        ("Harvest supper", "Harvest supper"),
        ("  Süßes Brot / Käse  ", "Sues Brot Kase"),
        ("a\rST:9999999\r", "a ST 9999999"),
        ("日本", "runner"),
        ("", "runner"),
        ("HS 03/14", "HS 03/14"),
    ],
)
def test_titles_are_made_safe_for_a_header(title: str, safe: str) -> None:
    assert safe_title(title) == safe


def test_no_title_breaks_out_of_its_field() -> None:
    header = write(stitches_of([Sewn(LETTER_F)]), "dst", "x\r\n\x1a" * 40)[:512]
    assert header.index(b"ST:") == 20


def test_parts_are_told_apart_by_the_first_eight_letters_of_their_names() -> None:
    """PES keeps eight letters of a name (its reader in the embroidery library)."""
    for count in (2, 14, 120):
        names = [part_title("Harvest supper", number, count) for number in range(1, count + 1)]
        assert len({safe_title(name)[:8] for name in names}) == count
    assert part_title("Harvest supper", 3, 14) == "HS 03/14"
    assert part_title("Harvest supper", 1, 1) == "Harvest supper"


def test_the_name_of_a_part_is_in_the_files() -> None:
    """In DST by the tests' own decoder; in PES the label's own bytes, "LA:" and the name."""
    from tests.formats.dst_decoder import decode_dst

    assert decode_dst(write(four_runs(), "dst", "HS 03/14")).header["LA"] == "HS 03/14"
    assert b"LA:HS 03/14 " in write(four_runs(), "pes", "HS 03/14")
