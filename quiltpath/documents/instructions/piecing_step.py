"""The step that sews a pieced top: rows or columns, pressing, border, what each must measure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from quiltpath.documents.instructions.step import CUTTER, IRON, Step
from quiltpath.drawing.page_model import Item, Text
from quiltpath.drawing.sketch import CLOTH, DARK_CLOTH, Picture, PictureRoom, View, rectangle
from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.language import say
from quiltpath.materials.border_strips import BorderJoins
from quiltpath.materials.pieced_top import CutCount, PiecedTop, TopBorder, TopUnit
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import Measures, join_with_and

MOST_UNITS_TOLD = 12
"""More different rows or columns are told by the drawing of the first ones."""

MOST_DRAWN = 600

SAME_DEG = 0.5
"""Angles that nobody draws apart."""


def piecing_step(
    top: PiecedTop, joins: Mapping[str, BorderJoins], room: PictureRoom, words: Measures
) -> Step:
    """From the cut pieces to the top."""
    seam = words.fine(top.seam_mm)
    tasks = [
        say(
            "Sew with {seam} seams throughout; sew a test seam on a scrap and measure it."
            " Letters are those of the cutting list, where the first measure of a piece lies"
            " along the runner; lay all pieces out by the drawing first.",
            seam=seam,
        ),
        *_units(top, words),
        _pressing(top),
        *_joining(top, words),
    ]
    if top.border is not None:
        tasks += _border(top.border, top, joins, words)
    tasks.append(
        say("The top measures {size} from raw edge to raw edge.", size=words.size(*top.size_mm))
    )
    notes = (
        say(
            "Pieces on the outside have no seam allowance there: the binding is sewn on"
            " level with their raw edge."
        ),
        say("Where a row measures more or less, sew that seam again before it meets the next."),
    )
    picture = _picture(top, room)
    return Step(say("Piece the top"), tuple(tasks), (picture,), notes, (IRON, CUTTER))


def fine_size(size_mm: tuple[float, float], words: Measures) -> str:
    """A size to the finest mark of a ruler: pieces add up, and so does what is rounded."""
    return say("{along} by {across}", along=words.fine(size_mm[0]), across=words.fine(size_mm[1]))


def _units(top: PiecedTop, words: Measures) -> Iterator[str]:
    """Each different row or column once, with how many there are of it."""
    from_where = say("from the left") if top.by == "row" else say("from below")
    for unit in top.units[:MOST_UNITS_TOLD]:
        name = _name(top, unit)
        size = fine_size((unit.along_mm, unit.across_mm), words)
        if len(unit.letters) == 1:
            yield say(
                "{name}: {letter} by itself, {size}.",
                name=name,
                letter=unit.letters[0],
                size=size,
            )
        else:
            letters = _letters_in_words(unit.letters)
            yield say(
                "{name}, {from_where}: {letters}. Each must measure {size}.",
                name=name,
                from_where=from_where,
                letters=letters,
                size=size,
            )
    if len(top.units) > MOST_UNITS_TOLD:
        more = len(top.units) - MOST_UNITS_TOLD
        if top.by == "row":
            yield say("The other {more} kinds of row by the drawing.", more=more)
        else:
            yield say("The other {more} kinds of column by the drawing.", more=more)


def _name(top: PiecedTop, unit: TopUnit) -> str:
    numbers = join_with_and([str(number) for number in unit.numbers])
    if len(unit.numbers) > 1:
        return _by(
            top, say("Rows {numbers}", numbers=numbers), say("Columns {numbers}", numbers=numbers)
        )
    return _by(top, say("Row {numbers}", numbers=numbers), say("Column {numbers}", numbers=numbers))


def _by(top: PiecedTop, row: str, column: str) -> str:
    """What is said of rows, or of columns, whichever the top is pieced by."""
    return row if top.by == "row" else column


def _letters_in_words(letters: Sequence[str]) -> str:
    """Letters in order; a repeated pair or a run of one letter is told once."""
    pair = letters[:2]
    if len(letters) > 6 and len(set(pair)) == 2:
        times = len(letters) // 2
        if list(letters[: 2 * times]) == list(pair) * times:
            tail = say(", then {letter}", letter=letters[-1]) if len(letters) % 2 else ""
            return say(
                "{one} {other}, {times} times{tail}",
                one=pair[0],
                other=pair[1],
                times=times,
                tail=tail,
            )
    runs = [(letter, len(list(group))) for letter, group in groupby(letters)]
    return " ".join(letter if n == 1 else f"{n} x {letter}" for letter, n in runs)


def _pressing(top: PiecedTop) -> str:
    if top.has_sashing:
        return say(
            "Press every seam towards the sashing, away from blocks and cornerstones:"
            " where seams meet they then lie in opposite directions and nest."
        )
    return _by(
        top,
        say(
            "Press the seams of row 1 to one side, of row 2 to the other, and so on in turn, so"
            " that those that meet nest."
        ),
        say(
            "Press the seams of column 1 to one side, of column 2 to the other, and so on in turn,"
            " so that those that meet nest."
        ),
    )


def _joining(top: PiecedTop, words: Measures) -> Iterator[str]:
    if top.joined_units < 2:
        return
    size = top.border.middle_mm if top.border is not None else top.size_mm
    press = say("towards the sashing") if top.has_sashing else say("all one way")
    order = _by(
        top,
        say(
            "Join the {count} rows in the order of their numbers, from the lower edge up:",
            count=top.joined_units,
        ),
        say(
            "Join the {count} columns in the order of their numbers, from left to right:",
            count=top.joined_units,
        ),
    )
    sew = say(
        "pin where seams meet, sew, and press {press}. Together they must measure {size}.",
        press=press,
        size=fine_size(size, words),
    )
    yield f"{order} {sew}"


def _border(
    border: TopBorder, top: PiecedTop, joins: Mapping[str, BorderJoins], words: Measures
) -> Iterator[str]:
    for cut in (border.sides, border.ends):
        if cut.letter in joins:
            yield _joined_strips(cut, joins[cut.letter], words)
    if border.corners == "mitred":
        yield (
            say(
                "Border, mitred: pin {sides} to the long sides and {ends} to the ends,"
                " middle on middle; start and stop {seam} before each corner. {mitre}",
                sides=border.sides.letter,
                ends=border.ends.letter,
                seam=words.fine(top.seam_mm),
                mitre=_mitre(border),
            )
        )
    else:
        yield _butt(border, words)
    yield say("Press the border's seams towards the border.")


def _mitre(border: TopBorder) -> str:
    """Where the seam of a corner runs; at 45 degrees only where sides and ends are equally wide."""
    angle = border.mitre_deg
    if abs(angle - 45) < SAME_DEG:
        return say("Fold the corner at 45 degrees, sew from the inner corner outwards, and trim.")
    return say(
        "Sides and ends are not equally wide: draw the seam from the inner corner to"
        " where the outer edges cross, {angle:.0f} degrees from the long side; sew from"
        " the inner corner outwards, and trim.",
        angle=angle,
    )


def _butt(border: TopBorder, words: Measures) -> str:
    """Sides first; a strip that is shorter than its side has a place to begin."""
    size, sides = fine_size(border.middle_mm, words), border.sides.letter
    at_side = at_end = why = ""
    if border.side_at_mm > 0:
        at_side = say(
            " (beginning {side_at} from the left end)", side_at=words.fine(border.side_at_mm)
        )
    if border.end_at_mm > 0:
        at_end = say(
            " (beginning {end_at} from the lower edge)", end_at=words.fine(border.end_at_mm)
        )
    if at_side or at_end:
        why = say(" The outline needs no more: what is bare at the corners is cut off.")
    return say(
        "Border: measure the middle, it should be {size}. Sew {sides} to both long"
        " sides{at_side} first, press, then {ends} to both ends{at_end}.{why}",
        size=size,
        sides=sides,
        at_side=at_side,
        ends=border.ends.letter,
        at_end=at_end,
        why=why,
    )


def _joined_strips(cut: CutCount, joins: BorderJoins, words: Measures) -> str:
    long, joined = words.cut(joins.strip_mm), words.cut(joins.joined_mm)
    return say(
        "Join the {strips} strips {letter} of {long} end to end with diagonal seams,"
        " {joined} in all, and cut {pieces} of {length} from it.{begun}",
        strips=joins.strips,
        letter=cut.letter,
        long=long,
        joined=joined,
        pieces=joins.pieces,
        length=words.fine(cut.long_mm),
        begun=_begun_at(cut, joins, words),
    )


def _begun_at(cut: CutCount, joins: BorderJoins, words: Measures) -> str:
    """Where each is cut from the joined strip, so that its joins lie away from its ends."""
    if not joins.keeps_clear:
        return say(" A join comes near to a corner: trim that seam narrow and press it open.")
    follow = (i * cut.long_mm for i in range(joins.pieces))
    if all(abs(a - b) < 1.0 for a, b in zip(joins.starts_mm, follow, strict=True)):
        return say(" Cut one after the other; no join then lies in a corner.")
    places = join_with_and([words.cut(at) for at in joins.starts_mm])
    if joins.pieces == 1:
        return say(
            " Begin it {places} from the start of the joined strip: no join then lies in a corner.",
            places=places,
        )
    return say(
        " Begin them {places} from the start of the joined strip: no join then lies in a corner.",
        places=places,
    )


def _picture(top: PiecedTop, room: PictureRoom) -> Picture:
    """The pieces of each row or column with their letters, a little apart."""
    letter = room.letter_mm
    cuts = {cut.letter: cut for cut in top.cuts}
    gap = 0.02 * max(top.size_mm[1], top.size_mm[0] / 6)
    right, high = _draw(top, cuts, gap)
    wide, tall = (0.0, 0.0)
    if top.border is not None:
        wide, tall = top.border.ends.along_mm + gap, top.border.sides.across_mm + gap
    view = room.view((-wide, -tall, right + wide, high + tall), 0.5 * letter, 0.5 * letter)
    items: list[Item] = []
    at = 0.0
    order = sorted(
        ((number, unit) for unit in top.units for number in unit.numbers), key=lambda one: one[0]
    )
    for _, unit in order[:MOST_DRAWN]:
        step = 0.0
        for name in unit.letters:
            cut = cuts[name]
            x, y = (step, at) if top.by == "row" else (at, step)
            box = (x, y, x + cut.along_mm, y + cut.across_mm)
            style = CLOTH if cut.kind is RegionKind.BLOCK else DARK_CLOTH
            items.append(rectangle(view, box, style))
            items += _letter(view.at(box[0], box[1]), view.at(box[2], box[3]), name, letter)
            step += cut.along_mm if top.by == "row" else cut.across_mm
        at += gap + (unit.across_mm if top.by == "row" else unit.along_mm)
    if top.border is not None:
        items += _border_pieces(top.border, gap, (right, high), view, letter)
    shows = _by(
        top,
        say("the pieces in their rows, by letter; rows a little apart"),
        say("the pieces in their columns, by letter; columns a little apart"),
    )
    return Picture("piecing", room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _draw(top: PiecedTop, cuts: Mapping[str, CutCount], gap: float) -> tuple[float, float]:
    """Size of the spread pieces, each as it is cut: larger than they are once they are sewn."""
    by_row = top.by == "row"
    long = max(
        sum(cuts[name].along_mm if by_row else cuts[name].across_mm for name in unit.letters)
        for unit in top.units
    )
    deep = sum(
        (unit.across_mm if by_row else unit.along_mm) * len(unit.numbers) for unit in top.units
    )
    deep += gap * (top.joined_units - 1)
    return (long, deep) if by_row else (deep, long)


def _border_pieces(
    border: TopBorder, gap: float, spread_mm: tuple[float, float], view: View, letter: float
) -> list[Item]:
    """Strips beside the spread middle: sides below and above it, ends left and right of it."""
    right, top = spread_mm
    side, end = border.sides, border.ends
    boxes = []
    for y in (-gap - side.across_mm, top + gap):
        x = (right - side.along_mm) / 2
        boxes.append((side.letter, (x, y, x + side.along_mm, y + side.across_mm)))
    for x in (-gap - end.along_mm, right + gap):
        y = (top - end.across_mm) / 2
        boxes.append((end.letter, (x, y, x + end.along_mm, y + end.across_mm)))
    items: list[Item] = []
    for name, box in boxes:
        items.append(rectangle(view, box, DARK_CLOTH))
        items += _letter(view.at(box[0], box[1]), view.at(box[2], box[3]), name, letter)
    return items


def _letter(
    low: tuple[float, float], high: tuple[float, float], name: str, letter: float
) -> list[Item]:
    """The letter in the middle, as large as there is room for, or nothing."""
    room = min(high[0] - low[0], high[1] - low[1])
    size = min(letter, 0.8 * room)
    if size < 0.45 * letter:
        return []
    middle = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2 - 0.35 * size
    return [Text(middle, name, size, "middle")]
