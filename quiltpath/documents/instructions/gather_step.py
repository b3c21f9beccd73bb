"""The step that gathers what is needed: panels, cloth, thread, tools."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.instructions.cutting_layout import (
    cloths_picture,
)
from quiltpath.documents.instructions.step import Step
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.language import say, say_known, with_a_capital
from quiltpath.materials.shopping import ShoppingItem
from quiltpath.result.values import Result
from quiltpath.units import Measures, count, join_with_and


def gather_step(result: Result, room: PictureRoom, words: Measures) -> Step:
    tasks = tuple(shopping_line(item, words) for item in result.cutting.shopping)
    tasks = (*_panels(result, words), *tasks, _from_the_basket(result))
    thread = result.thread
    note = say(
        "The thread allows {wastage_share:.0%} for ends and breaks; a bobbin holds {bobbin:g} m.",
        wastage_share=thread.setting.wastage_share,
        bobbin=thread.setting.bobbin_m,
    )
    bought = say("Widths are without selvedges. What you have in stock is taken off.")
    picture = cloths_picture(result.cutting, room)
    return Step(say("Gather what you need"), tasks, (picture,), (bought, note))


def _panels(result: Result, words: Measures) -> Iterator[str]:
    """The printed panels that are used, with the size that they are sold in; else the top that is
    there already, which no other line would tell of."""
    plan = result.cutting
    if not plan.panel_choices and result.project.top.made == "at hand":
        tops = count(plan.copies, "flat top", "flat tops")
        size = words.size(plan.top.cut_length_mm, plan.top.cut_width_mm)
        yield say("{tops} of your own: {size}.", tops=tops, size=size)
    if result.cutting.panel_choices:
        best = result.cutting.panel_choices[0]
        size = words.size(best.panel.length_mm, best.panel.width_mm)
        used = best.panels_used * result.cutting.copies
        yield say(
            "{used} of {size} ({name}).",
            used=count(used, "printed panel"),
            size=size,
            name=best.panel.name,
        )


def _from_the_basket(result: Result) -> str:
    """What the steps use and nobody buys by the yard."""
    tools = [
        say("a rotary cutter with its mat"),
        say("a long ruler"),
        say("a tape measure"),
        say("a hand needle"),
    ]
    if result.cutting.basting.on_a_frame:
        tools.append(say("pins or clips for the leaders"))
    machine, project = result.machine_parts, result.project
    by_hand = machine is None and any(reason is None for reason in result.sewing.unmarked)
    in_parts = machine is not None and not machine.in_one
    if by_hand or in_parts:  # lines, or the crosses by which parts meet
        tools.append(say("a marker and a scrap to try it on"))
    asked = "sheets" in project.paper.model_fields_set
    if (by_hand or asked) and set(project.sheets) - {"projector"}:
        tools.append(say("printer paper"))
    return say(
        "From your workbox: {tools}.",
        tools=join_with_and([*tools, say("thread for piecing and binding")]),
    )


def shopping_line(item: ShoppingItem, words: Measures) -> str:
    """One line of the shopping list, with what the stock leaves to buy."""
    note = f" ({say_known(item.note)})" if item.note else ""
    named = say_known(item.name)
    name = with_a_capital(named)
    if item.is_sold_by_length:
        wide = say(", {width} wide", width=words.cut(item.width_mm)) if item.width_mm else ""
        more = words.cut(item.allowance_mm)
        spare = (
            say(", {more} of it for crooked cuts and the first wash", more=more)
            if item.allowance_mm
            else ""
        )
        amount = f"{words.cut(item.need)}{wide}{spare}"
        buy = words.to_buy(item.short)
    elif item.unit == "m of thread":
        amount = say("{metres:.0f} m", metres=item.need)
        spools = count(item.buy_packs, "spool")
        buy = say("{spools} of {metres:g} m", spools=spools, metres=item.pack)
    else:
        have = "" if not item.have else say("; you have enough")
        if item.have and item.short > 0:
            have = say("; buy {buy_packs} more", buy_packs=item.buy_packs)
        return say("{name}: {told}.", name=f"{name}{note}", told=f"{item.need:.0f}{have}")
    told = say("buy {buy}", buy=buy) if item.short > 0 else say("you have enough")
    return say("{name}: {told}.", name=name, told=f"{amount}{note}; {told}")
