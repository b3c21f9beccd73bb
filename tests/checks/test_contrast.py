"""Thread on cloth: published contrast ratios, and how far lines are seen."""

from __future__ import annotations

import math

import pytest

from quiltpath.jobs.look import ThreadContrast, contrast_ratio, luminance, thread_contrast


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        ("#767676", "#ffffff", 4.54),
        ("#949494", "#ffffff", 3.03),
        ("#0000ff", "#ffffff", 8.59),
        ("#ff0000", "#ffffff", 4.00),
    ],
)
def test_contrast_ratios_are_those_that_are_published(one: str, other: str, ratio: float) -> None:
    """Well-known ratios of the W3C's guidelines: 21 for black on white, and the lightest greys
    that reach 4.5 and 3 on white (from memory)."""
    assert contrast_ratio(one, other) == pytest.approx(ratio, abs=0.01)
    assert contrast_ratio(other, one) == contrast_ratio(one, other)


def test_luminance_weights_add_up_to_white() -> None:
    """0.2126 + 0.7152 + 0.0722 = 1 (Rec. 709)."""
    parts = [luminance(colour) for colour in ("#ff0000", "#00ff00", "#0000ff")]
    assert parts == pytest.approx([0.2126, 0.7152, 0.0722])
    assert luminance("#ffffff") == pytest.approx(1.0)


def test_lines_merge_where_their_gap_is_two_arc_minutes() -> None:
    """tan(2') = 0.000582: 25 mm at 43 m (acuity 1.0 reads letters with strokes of one arc
    minute)."""
    told = thread_contrast("block", "#000000", "#ffffff", 0.4, 25.0)
    assert told.merge_m == pytest.approx(0.025 / math.tan(math.radians(2 / 60)), rel=1e-6)
    assert 42 < told.merge_m < 44


def test_a_black_thread_of_0_4_mm_is_seen_as_far_as_its_smeared_contrast_is_5_percent() -> None:
    """Smeared over an arc minute at d it is 0.4 mm / (d tan 1') of black: tan 1' is
    0.000290888, so 5 % are left at 27.502 m."""
    told = thread_contrast("block", "#000000", "#ffffff", 0.4, 100.0)
    assert told.vanish_m == pytest.approx(27.502, abs=0.001)
    assert told.as_lines_to_m == told.vanish_m


def test_thread_in_the_cloth_s_own_colour_is_not_seen() -> None:
    told = thread_contrast("block", "#d8c39a", "#d8c39a", 0.4, 25.0)
    assert told.ratio == 1.0 and told.as_lines_to_m == 0.0 and "blends in" in told.words


def test_the_nearer_the_tones_the_sooner_the_lines_go() -> None:
    reach = [
        thread_contrast("b", grey, "#ffffff", 0.4, 25).vanish_m
        for grey in ("#000000", "#808080", "#e0e0e0")
    ]
    assert reach == sorted(reach, reverse=True)


@pytest.mark.parametrize("cloth", ["#ffffff", "#808080", "#303030"])
def test_black_thread_is_seen_as_far_on_any_lighter_cloth(cloth: str) -> None:
    """It sends back none of the light that the cloth does: the share is all of it."""
    assert thread_contrast("b", "#000000", cloth, 0.4, 25).vanish_m == pytest.approx(
        27.502, abs=0.001
    )


def test_black_on_black_is_not_seen() -> None:
    assert thread_contrast("b", "#000000", "#000000", 0.4, 25).vanish_m == 0.0


def test_the_darkest_tones_are_linear() -> None:
    """IEC 61966-2-1: up to 10 of 255 a tone is its share of 255 divided by 12.92; from memory
    0.0030353 for 10, and 0.0033465 for 11, where the power begins."""
    assert luminance("#0a0a0a") == pytest.approx(0.0030353, abs=1e-7)
    assert luminance("#0b0b0b") == pytest.approx(0.0033465, abs=1e-7)


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (1.0, "blends in"),
        (1.49, "blends in"),
        (1.5, "shows softly"),
        (2.99, "shows softly"),
        (3.0, "stands out"),
        (21.0, "stands out"),
    ],
)
def test_thread_stands_out_from_the_contrast_that_signs_are_held_to(
    ratio: float, words: str
) -> None:
    """At least 3 to 1 for what must be made out (W3C's guidelines, 1.4.11, from memory); half of
    that is our own figure."""
    assert ThreadContrast("block", ratio, 10.0, 20.0).words.startswith(words)
