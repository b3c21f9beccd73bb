"""DST files decoded by a decoder of the tests' own, from the public table of bits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import FormatLimitError
from quiltpath.formats import write
from quiltpath.stitching.needle_path import needle_path
from tests.formats.designs import LETTER_F, Sewn, four_runs, stitches_of
from tests.formats.dst_decoder import decode_dst


def test_the_decoder_knows_the_published_colour_change() -> None:
    """00 00 C3 is a colour change ("DST design format", achatina.de)."""
    decoded = decode_dst(b" " * 512 + bytes([0, 0, 0xC3, 0, 0, 0xF3]))
    assert decoded.code == ["colour change"]


def test_the_largest_step_of_the_table_is_121() -> None:
    """81 + 27 + 9 + 3 + 1, by arithmetic on the published table."""
    right_and_up = bytes([0b10100101, 0b10100101, 0b00100111])
    decoded = decode_dst(b" " * 512 + right_and_up + bytes([0, 0, 0xF3]))
    assert decoded.step.tolist() == [[121, 121]]


@given(st.lists(st.tuples(st.integers(-121, 121), st.integers(-121, 121)), min_size=1, max_size=60))
@settings(deadline=None, max_examples=60)
def test_every_step_that_a_record_holds_decodes_to_the_hole_meant(
    steps: list[tuple[int, int]],
) -> None:
    holes = np.vstack([[0, 0], np.cumsum(np.array(steps), axis=0)]) / 10.0
    decoded = decode_dst(write(stitches_of([Sewn(holes)]), "dst", "steps"))
    found = decoded.holes_mm
    assert len(found) == len(holes)
    assert np.abs((found - found[0]) - (holes - holes[0])).max() < 1e-9


def test_the_holes_are_those_meant_about_the_middle_of_the_design() -> None:
    design = four_runs()
    meant = needle_path(design)
    found = decode_dst(write(design, "dst", "galley")).holes_mm
    assert found.shape == meant.holes.shape
    assert np.abs(found - (meant.holes - meant.file_origin(0.1))).max() <= 0.05 + 1e-9


def test_no_record_moves_more_than_121_units() -> None:
    """Travels of 600 mm are cut into jumps (the limit is arithmetic on the published table)."""
    decoded = decode_dst(write(four_runs(), "dst", "galley"))
    assert np.abs(decoded.step).max() <= 121


def test_the_header_says_what_the_records_hold() -> None:
    """Fields of the 512 byte header as the KDE community wiki lists them ("Tajima Ternary")."""
    contents = write(four_runs(), "dst", "Boat club's galley, 2nd runner")
    decoded = decode_dst(contents)
    high, low = np.rint([decoded.holes_mm.max(axis=0) * 10, decoded.holes_mm.min(axis=0) * 10])
    extents = {"+X": high[0], "-X": -low[0], "+Y": high[1], "-Y": -low[1]}
    assert {key: int(decoded.header[key]) for key in extents} == extents
    assert int(decoded.header["ST"]) == (len(contents) - 512) // 3
    assert int(decoded.header["CO"]) == decoded.code.count("colour change") == 2
    assert int(decoded.header["AX"].replace(" ", "")) == decoded.place[-1, 0]
    assert int(decoded.header["AY"].replace(" ", "")) == decoded.place[-1, 1]
    assert decoded.header["LA"] == "Boat club s gall"


def test_the_header_has_512_bytes_ended_by_0x1a_and_spaces() -> None:
    header = write(four_runs(), "dst", "galley")[:512]
    fields, end, filling = header.partition(b"\x1a")
    assert end
    assert set(filling) == {0x20}
    assert fields.endswith(b"\r")


def test_a_capital_f_stands_upright_and_reads_forwards() -> None:
    """Its stem is at the left and its longer arm on top, whatever the y axis of the file."""
    holes = decode_dst(write(stitches_of([Sewn(LETTER_F)]), "dst", "F")).holes_mm
    top, left = holes[:, 1].max(), holes[:, 0].min()
    longest_arm = holes[np.argmax(holes[:, 0])]
    assert longest_arm[1] == pytest.approx(top, abs=0.11)
    assert (np.abs(holes[:, 0] - left) < 0.11).sum() > 25


def test_a_cut_is_three_jumps_that_come_back_to_the_spot() -> None:
    decoded = decode_dst(write(stitches_of([Sewn(LETTER_F)]), "dst", "F"))
    assert decoded.code[-3:] == ["jump"] * 3
    assert decoded.step[-3:].sum(axis=0).tolist() == [0, 0]


def test_a_stitch_longer_than_a_record_is_refused_with_its_place() -> None:
    long_stitch = stitches_of([Sewn(np.array([[0.0, 0.0], [12.3, 5.0], [15.0, 5.0]]))])
    with pytest.raises(FormatLimitError, match=r"DST: a stitch of 12\.3 mm .* \(12\.3, 5\.0\)"):
        write(long_stitch, "dst", "long")
