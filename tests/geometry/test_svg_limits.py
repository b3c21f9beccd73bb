"""Drawings up to each documented limit are read, and the first beyond it is refused in a line."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.geometry.svg_guard import check_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg">'
SQUARE = '<path d="M0 0h9v9z"/>'


def padded(size: int) -> str:
    """A drawing of so many bytes, most of them in a remark."""
    return f"{HEAD}{SQUARE}<!--{'x' * (size - len(HEAD) - len(SQUARE) - 7 - 6)}--></svg>"


def nested(depth: int) -> str:
    """Elements inside one another, the drawing itself among them."""
    return HEAD + "<g>" * (depth - 1) + "</g>" * (depth - 1) + "</svg>"


def attributes(number: int) -> str:
    """An element under others that have all but one of so many attributes and properties."""
    half = number // 2
    listed = " ".join(f'a{k}="1"' for k in range(half - 2))
    styled = ";".join(f"b{k}:1" for k in range(number - half))
    # The name of the attribute style is one, and that of the drawing's namespace another.
    return f'{HEAD}<g {listed}><g style="{styled}"/></g></svg>'


LIMITS = {
    "bytes": (padded(20_000_000), padded(20_000_001), "larger than 20 MB"),
    "depth": (nested(100), nested(101), "more than 100 deep"),
    "elements": (
        HEAD + "<g/>" * 19_999 + "</svg>",
        HEAD + "<g/>" * 20_000 + "</svg>",
        "more than 20000 elements",
    ),
    "path data": (
        f'{HEAD}<path d="{"h" * 600_000}"/><polyline points="{"1" * 400_000}"/></svg>',
        f'{HEAD}<path d="{"h" * 600_000}"/><polyline points="{"1" * 400_001}"/></svg>',
        "about 100,000 points",
    ),
    "style sheet": (
        f"{HEAD}<style>{'x' * 30_000}</style><style>{'x' * 20_000}</style></svg>",
        f"{HEAD}<style>{'x' * 30_000}</style><style>{'x' * 20_001}</style></svg>",
        "style sheet of more than 50000",
    ),
    "attributes": (attributes(100), attributes(101), "more than 100 attributes"),
}


@pytest.mark.parametrize("limit", LIMITS)
def test_a_limit_is_where_it_is_said_to_be(limit: str) -> None:
    last, first, words = LIMITS[limit]
    check_svg(last.encode(), "leaf.svg")
    with pytest.raises(InputError, match=words):
        check_svg(first.encode(), "leaf.svg")


@pytest.mark.parametrize("side", ["1", "0.5mm", "100%", "12 in", ".5cm", "1e2px", "+3pt", "4.pc"])
def test_pages_and_shapes_are_measured_in_any_unit_of_the_standard(side: str) -> None:
    check_svg(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}" height="9">'
        f'<rect width="{side}" height="auto"/></svg>'.encode(),
        "leaf.svg",
    )


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ('width="0" height="9"', "page without size"),
        ('width="9" height="0mm"', "page without size"),
        ('width="-9" height="9"', "page without size"),
        ('viewBox="0 0 0 9"', "page without size"),
        ('viewBox="0,0,9,-9"', "page without size"),
    ],
)
def test_a_page_has_a_size(page: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        check_svg(f'<svg xmlns="http://www.w3.org/2000/svg" {page}/>'.encode(), "leaf.svg")
    check_svg(b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 -5 9 9" width="9"/>', "leaf.svg")


@pytest.mark.parametrize("value", ["9 furlongs", "x", "", "1e4000", "9mm 9mm"])
def test_a_shape_measured_in_nothing_known_is_told(value: str) -> None:
    with pytest.raises(InputError, match="<circle> whose r is"):
        check_svg(f'{HEAD}<circle r="{value}"/></svg>'.encode(), "leaf.svg")
    check_svg(f'{HEAD}<text r="{value}"/></svg>'.encode(), "leaf.svg")
