"""One step of the instructions, and the usual cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from quiltpath.drawing.sketch import Picture
from quiltpath.language import message, say_known


@dataclass(frozen=True)
class Step:
    """A numbered step: things to tick off, notes, cautions, drawings."""

    title: str
    tasks: tuple[str, ...]
    pictures: tuple[Picture, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cover:
    """What the first page begins with: the finished piece, and what it is in a few lines."""

    facts: tuple[str, ...]
    picture: Picture


CUTTER = message(
    "Rotary cutter: close the blade whenever it leaves your hand, and cut away from your body."
)
IRON = message("Hot iron: burns; let pressed work cool before you handle it.")
TAPE = message(
    "Fusible tape melts: use a pressing cloth, and never touch the tape with a bare iron."
)
SPRAY = message(
    "Basting spray is flammable and irritates: work outdoors or in a well-aired room,"
    " away from any flame, and follow the instructions on the can."
)
NEEDLE = message(
    "Stop the machine before your hands go near the needle, take pins out before you"
    " reach them, and wear eye protection where the machine's manual asks for it."
)
PINS = message("Take each pin out before the needle reaches it.")
MOVING = message(
    "A machine that moves by itself: trace the outline with the needle up first, keep"
    " hands, hair and tools clear of the moving head, and stay with it. The machine's"
    " own manual comes before these instructions."
)
MARKER = message(
    "Heat-erasable ink comes back in the cold and can leave a trace; some chalks stain."
    " Try the marker on a scrap of the same cloth, through iron and wash, before you"
    " mark the runner."
)
HOT_DISHES = message("A runner is no heatproof mat: use a trivet, and keep it away from flames.")
MICROWAVE = message("Insulated wadding with a metallised film must never go into a microwave.")

REMINDERS = {
    CUTTER: message("Rotary cutter: close the blade."),
    IRON: message("Hot iron."),
    NEEDLE: message("Needle: stop before your hands go near; pins out."),
    PINS: message("Take pins out before the needle."),
}
"""What a caution is cut to where an earlier step has said it in full."""


def for_left_hands(steps: Iterable[Step]) -> Iterator[Step]:
    """The steps with what hands do drawn left for right; the runner and machines stay."""
    for step in steps:
        pictures = (p.mirrored if p.by_hand else p for p in step.pictures)
        yield replace(step, pictures=tuple(pictures))


def with_words_inside(steps: Iterable[Step]) -> Iterator[Step]:
    """The steps, no word of whose pictures stands on what is beside them."""
    for step in steps:
        yield replace(step, pictures=tuple(p.words_inside for p in step.pictures))


def full_cautions_once(steps: Iterable[Step]) -> Iterator[Step]:
    """The steps: each caution in full at the first, in a few words at those that follow.

    A danger that is boxed on every page is read on none (common practice of printed patterns).
    """
    told: set[str] = set()
    for step in steps:
        new = [caution for caution in step.cautions if caution not in told]
        short = [REMINDERS.get(caution, caution) for caution in step.cautions if caution in told]
        told.update(new)
        briefly = [" ".join(map(say_known, short))] if short else []
        yield replace(step, cautions=(*map(say_known, new), *briefly))
