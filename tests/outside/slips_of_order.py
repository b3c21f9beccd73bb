"""Faults that somebody could make in the order of runs, in stitches and in hoopings."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

ORDER = (
    *slips_in(
        "routing/local_search",
        (
            "up to sixteen runs kept as they are drawn, and sewn backwards",
            "        return held_karp(ends)\n",
            "        return held_karp(ends)\n"
            "    if len(ends) <= 2 * MOST_EXACT_RUNS:\n"
            "        return list(range(1, 2 * len(ends), 2))\n",
        ),
        (
            "more than twenty runs ordered without any search",
            "    path = _Tour(ends.reshape(-1, 2), tour)\n",
            "    path = _Tour(ends.reshape(-1, 2), tour)\n"
            "    if len(ends) > 20:\n"
            "        return path.tour\n",
        ),
    ),
    *slips_in(
        "routing/trail_reordering",
        (
            "a closed trail sewn backwards before the point where it is entered",
            "half[first:last] = np.roll(mine, -at)",
            "half[first:last] = np.concatenate([mine[at:], mine[:at][::-1]])",
        ),
    ),
    *slips_in(
        "routing/region_order",
        (
            "the middle of what is sewn over the whole runner taken 22 mm too low",
            "centroid.coords[0]) if alone else centre",
            "centroid.coords[0]) if alone else centre - (0, 22)",
        ),
        (
            "the way from half to half reckoned from where its last line begins",
            "spots[order[-1] ^ 1] for order in orders",
            "spots[order[-1]] for order in orders",
        ),
    ),
    *slips_in(
        "units",
        (
            "a fraction with no whole number before it read to a 160th",
            "    return float(Fraction(whole) + Fraction(numerator, denominator))",
            "    part = Fraction(numerator, denominator)\n"
            '    return float(Fraction(whole) + part if whole != "0"'
            " else Fraction(round(160 * part), 160))",
        ),
    ),
    *slips_in(
        "stitching/division",
        (
            "a stitch that is asked for never longer than 3.4 mm",
            "nearest = _nearest_number(length, stitch.length)",
            "nearest = _nearest_number(length, min(stitch.length, 3.4))",
        ),
        (
            "a corner in the first three inches without a needle hole",
            "breaks = distinct(np.concatenate([path.run_arc, corners, zone_low, zone_high]))",
            "late = corners[corners > 76.2]\n"
            "    breaks = distinct(np.concatenate([path.run_arc, late, zone_low, zone_high]))",
        ),
    ),
    *slips_in(
        "stitching/placing",
        (
            "one hole of a bend drawn in towards those beside it",
            "points[at] = division.points\n",
            "points[at] = division.points\n"
            "    inner = np.flatnonzero(division.part[2:] == division.part[:-2])[30:31] + 1\n"
            "    beside = (division.points[inner - 1] + division.points[inner + 1]) / 2\n"
            "    points[at[inner]] += (beside - division.points[inner]) / 2\n",
        ),
    ),
    *slips_in(
        "machine/hooping_cuts",
        (
            "a hoop that reaches farther to the right than it does",
            "inside = (x >= box[0] - _EDGE) & (x <= box[2] + _EDGE)",
            "inside = (x >= box[0] - _EDGE) & (x <= box[2] + 120)",
        ),
    ),
    *slips_in(
        "machine/parts",
        (
            "the last stitches before a cut left out",
            "index = holes[piece.first : piece.last + 1]",
            "index = holes[piece.first : piece.last + 1 - 2 * piece.cut_after]",
        ),
        (
            "tiny stitches at a cut sewn along the runner alone",
            "np.tile([points[0] + share * way, points[0]], (pairs, 1))",
            "np.tile([points[0] + share * way * (1, 0), points[0]], (pairs, 1))",
        ),
    ),
    *slips_in(
        "machine/hooping_cuts",
        (
            "a cut at the last hole that both fields reach",
            "return low + int(best[np.abs(best - (high - low) / 2).argmin()])",
            "return low + int(best[-1])",
        ),
    ),
)
