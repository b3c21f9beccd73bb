"""Steps from the flat top to the basted layers: backing, wadding, basting."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.instructions.runner_pictures import (
    basting_picture,
    layer_picture,
)
from quiltpath.documents.instructions.step import IRON, NEEDLE, SPRAY, TAPE, Step
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.language import say, say_known
from quiltpath.materials.basting import EDGE_BASTING_MM
from quiltpath.materials.piecing import Piecing
from quiltpath.result.values import Result
from quiltpath.units import Measures, count, join_with_and


def layer_steps(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps from the flat top to the basted layers, in order."""
    yield _backing(result, room, words)
    yield _wadding(result, room, words)
    yield _baste(result, room, words)


def _backing(result: Result, room: PictureRoom, words: Measures) -> Step:
    layer = result.cutting.layers.backing
    tasks = [_layer_size(say("Backing"), layer, words)]
    if layer.seams_mm:
        tasks.append(
            say(
                "Sew the pieces together with {seam_allowance} seams.",
                seam_allowance=words.fine(layer.seam_allowance_mm),
            )
        )
        tasks.append(_seams(layer, words))
        tasks.append(say("Press the seams open."))
    tasks.append(say("Press the whole backing."))
    picture = layer_picture(result, layer, "backing", room, words)
    return Step(say("Make the backing"), tuple(tasks), (picture,), _near("backing", layer), (IRON,))


def _layer_size(name: str, layer: Piecing, words: Measures) -> str:
    size = words.size(layer.size.length_mm, layer.size.width_mm)
    pieces = (
        say("in one piece")
        if layer.widths == 1
        else say("from {widths} pieces", widths=layer.widths)
    )
    return say("{name}: {told}.", name=name, told=f"{size}, {pieces}")


def _seams(layer: Piecing, words: Measures) -> str:
    where = _seam_places(layer, words)
    if len(layer.seams_mm) > 1:
        return say("The seams lie {where}.", where=where)
    return say("The seam lies {where}.", where=where)


def _butted(layer: Piecing, words: Measures) -> str:
    where = _seam_places(layer, words)
    if len(layer.seams_mm) > 1:
        return say("The joins lie {where}.", where=where)
    return say("The join lies {where}.", where=where)


def _seam_places(layer: Piecing, words: Measures) -> str:
    low, _ = layer.size.span(layer.axis)
    places = join_with_and([words.cut(at - low) for at in layer.seams_mm])
    if layer.axis == 0:
        return say("{places} from its left end", places=places)
    return say("{places} from its lower edge", places=places)


def _near(name: str, layer: Piecing) -> tuple[str, ...]:
    if not layer.near:
        return ()
    near = join_with_and([say_known(line) for line in layer.near])
    if name == "backing":
        return (say("A backing join cannot be kept clear of {near}: press it well.", near=near),)
    return (say("A wadding join cannot be kept clear of {near}: press it well.", near=near),)


def _wadding(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    layer, basting = plan.layers.wadding, plan.basting
    tasks = [say("Let the wadding lie open for some hours until its folds are out.")]
    tasks.append(_layer_size(say("Wadding"), layer, words))
    cautions: tuple[str, ...] = ()
    if layer.seams_mm:
        tasks.append(say("Butt the pieces edge to edge; never overlap them."))
        tasks.append(_butted(layer, words))
        if basting.stitches is not None:
            tasks.append(
                say(
                    "Hold each join with herringbone stitches by hand, {stitches} in all.",
                    stitches=count(basting.stitches.stitches, "stitch", "stitches"),
                )
            )
        else:
            tasks.append(
                say("Hold the joins with {tape} of fusible tape.", tape=words.cut(basting.tape_mm))
            )
            cautions = (TAPE, IRON)
    picture = layer_picture(result, layer, "wadding", room, words)
    return Step(
        say("Make the wadding"), tuple(tasks), (picture,), _near("wadding", layer), cautions
    )


def _wadding_on(shows_mm: float, words: Measures) -> str:
    """``shows_mm`` of backing along the sides, less than none where the wadding is the wider."""
    if shows_mm >= 0:
        return say(
            "Lay the wadding on it: {shows} of backing shows along the sides.",
            shows=words.cut(shows_mm),
        )
    over = words.cut(-shows_mm)
    return say(
        "Lay the wadding on it: {over} stands over along the sides; trim that off.", over=over
    )


def _load_on_a_frame(result: Result, room: PictureRoom, words: Measures) -> Step:
    """Rollers hold the layers: the backing on the leaders, the top basted along its edges, the far
    one first (common practice on frames with leaders)."""
    shows = result.project.backing.extra - result.project.wadding.extra
    tasks = [
        *_on_the_leaders(result),
        say("Roll the backing up straight and taut, but not stretched."),
        *_wound_seams(result),
        _wadding_on(shows, words),
        *_basted_along_its_edges(result, words.fine(EDGE_BASTING_MM)),
        say("Once the runner is bound, take out whatever of these stitches still shows."),
    ]
    note = say(
        "Layers that are basted already are for a frame without leaders: write method ="
        ' "pins" under [basting], and this step tells of pins.'
    )
    picture = basting_picture(result, room)
    return Step(say("Layer on the frame"), tuple(tasks), (picture,), (note,), (NEEDLE,))


def _lies_crosswise(result: Result) -> bool:
    machine = result.machine_parts
    return machine is not None and machine.parts[0].field.turned


def _on_the_leaders(result: Result) -> tuple[str, ...]:
    """Middle to middle, and which edges the rollers take."""
    if _lies_crosswise(result):
        return (
            say("Crease the middle of both short edges of backing and top."),
            say(
                "Pin or clip the short edges of the backing to the leaders of the two rollers,"
                " wrong side up, middle to middle, its right end towards you."
            ),
        )
    return (
        say("Crease the middle of both long edges of backing and top."),
        say(
            "Pin or clip the long edges of the backing to the leaders of the two rollers,"
            " wrong side up, middle to middle, its lower edge towards you."
        ),
    )


def _wound_seams(result: Result) -> tuple[str, ...]:
    """How seams of the backing lie on the rollers (common practice: along them)."""
    backing = result.cutting.layers.backing
    if not backing.seams_mm:
        return ()
    one = len(backing.seams_mm) == 1
    if not backing.seams_across(int(_lies_crosswise(result))):
        return (
            say("Its seam lies along the rollers, where it winds up flat.")
            if one
            else say("Its seams lie along the rollers, where they wind up flat."),
        )
    return (
        say(
            "Its seam lies across the rollers and builds up in one place. Each time you roll,"
            " smooth the backing on both sides of it until it is as taut there as at the seam."
        )
        if one
        else say(
            "Its seams lie across the rollers and build up in one place each. Each time you roll,"
            " smooth the backing on both sides of them until it is as taut there as at the seams."
        ),
    )


def _basted_along_its_edges(result: Result, inside: str) -> tuple[str, ...]:
    """The top with long stitches along one edge after the other, as the work is rolled on."""
    machine = result.machine_parts
    if machine is not None and machine.in_one:
        return (
            say(
                "Lay the top on it, right side up, in the middle, straight along the far rail."
                " Baste it down along all four edges, the far one first, {inside} inside, with long"
                " stitches by machine or by hand.",
                inside=inside,
            ),
        )
    if _lies_crosswise(result):
        return (
            say(
                "Lay the top on it, right side up, in the middle, its left end straight along the"
                " far rail. Baste it down along that end, {inside} inside, with long stitches by"
                " machine or by hand, and along both long edges as far as they lie open.",
                inside=inside,
            ),
            say("After each rolling on baste both long edges on, and the right end at last."),
        )
    return (
        say(
            "Lay the top on it, right side up, in the middle, its upper edge straight along the"
            " far rail. Baste it down along that edge, {inside} inside, with long stitches by"
            " machine or by hand, and along both ends as far as they lie open.",
            inside=inside,
        ),
        say("After each rolling on baste both ends on, and the lower edge at last."),
    )


def _baste(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    basting, pins = plan.basting, plan.basting.pins
    if basting.on_a_frame:
        return _load_on_a_frame(result, room, words)
    inch = result.project.backing.extra - result.project.wadding.extra
    tasks = [
        say("Tape the backing to a flat surface, wrong side up, smooth but not stretched."),
        _wadding_on(inch, words),
        say("Lay the top on it, right side up, in the middle; smooth it from the centre outwards."),
    ]
    if pins is not None:
        tasks.append(
            say(
                "Pin from the centre outwards: {pins} in {across} rows of {along},"
                " {apart_along} apart along the runner and {apart_across} across. Keep pins"
                " off the lines to be sewn.",
                pins=count(pins.count, "pin"),
                across=pins.across,
                along=pins.along,
                apart_along=words.cut(pins.apart_along_mm),
                apart_across=words.cut(pins.apart_across_mm),
            )
        )
        cautions: tuple[str, ...] = ()
    else:
        tasks += _spray(basting.sections_mm, words)
        cautions = (SPRAY,)
    return Step(
        say("Layer and baste"), tuple(tasks), (basting_picture(result, room),), (), cautions
    )


def _spray(ends_mm: tuple[float, ...], words: Measures) -> list[str]:
    sections = len(ends_mm)
    return [
        say("Fold half the top back. Spray the wadding, never the fabric."),
        say(
            "Work from the middle: {sections} sections in each half, each {length} long;"
            " smooth the top down on each before the next.",
            sections=sections // 2,
            length=words.cut(ends_mm[0]),
        ),
        say("Turn round and do the other half; then the backing in the same way."),
    ]
