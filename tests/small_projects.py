"""Small runners of each sort, on which the whole repertoire is drawn in a second or two."""

from __future__ import annotations

MOTIF = 'outline = [["0 in", "0 in"], ["1 in", "-1 in"], ["2 in", "0 in"], ["1 in", "1 in"]]\n'

PRINTED = f"""title = "Small print"
units = "in"

[runner]
length = "21 in"
width = "9 in"

[grid]
along = 3
block = "4 in"
sashing = "2 in"
outer_sashing = "1 in"
border = "1 1/2 in"
cornerstones = true

[[motif]]
name = "diamond"
{MOTIF}blocks = "all"
"""
"""It has every kind of region: blocks, sashing, cornerstones, a border, motifs."""

SHAPED = f"""title = "Small points"
units = "in"

[runner]
shape = "pointed"
length = "18 in"
width = "7 in"

[[motif]]
name = "diamond"
{MOTIF}at = [["6 in", "3 1/2 in"], ["12 in", "3 1/2 in"]]
"""

PLAIN = """title = "Small and plain"
units = "in"

[runner]
length = "14 in"
width = "6 in"
"""

SMALL = {"printed": PRINTED, "shaped": SHAPED, "plain": PLAIN}

STRAIGHT = """
[[quilting]]
kind = "straight"
spacing = "2 in"
"""
