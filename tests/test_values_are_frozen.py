"""Values that flow through the package are frozen: no floor changes what another one made."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil

import pytest

import quiltpath

MODULES = sorted(
    found.name
    for found in pkgutil.walk_packages(quiltpath.__path__, "quiltpath.")
    if not found.name.endswith("__main__")
)


@pytest.mark.parametrize("name", MODULES)
def test_every_dataclass_is_frozen(name: str) -> None:
    """A builder whose name begins with an underscore never leaves its module, and may change."""
    module = importlib.import_module(name)
    loose = [
        value.__name__
        for value in vars(module).values()
        if isinstance(value, type)
        and value.__module__ == name
        and not value.__name__.startswith("_")
        and dataclasses.is_dataclass(value)
        and not value.__dataclass_params__.frozen  # type: ignore[attr-defined]
    ]
    assert loose == []
