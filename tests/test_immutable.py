"""Values of the domain are immutable: no code far away can change a note that it was only shown."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from typing import Any

import pytest

BUILDERS = {"beginnerband.people.solver.Programme"}
"""What is filled step by step by the one module that uses it."""


def classes(package: str) -> dict[str, Any]:
    found = {}
    for each in pkgutil.iter_modules(importlib.import_module(package).__path__):
        module = importlib.import_module(f"{package}.{each.name}")
        for kind in vars(module).values():
            if isinstance(kind, type) and dataclasses.is_dataclass(kind) and kind.__module__ == module.__name__:
                found[f"{module.__name__}.{kind.__name__}"] = kind
    return found


@pytest.mark.parametrize("package", ["beginnerband.music", "beginnerband.teaching", "beginnerband.people"])
def test_every_value_is_frozen_and_has_no_other_fields(package: str) -> None:
    found = classes(package)
    assert len(found) >= 10
    for name, kind in found.items():
        if name not in BUILDERS:
            assert kind.__dataclass_params__.frozen, name
            assert "__slots__" in vars(kind), name


@pytest.mark.parametrize("package", ["beginnerband.music", "beginnerband.teaching", "beginnerband.people"])
def test_values_can_stand_in_a_set_and_many_things_go_by_name(package: str) -> None:
    """A mapping cannot be hashed; and of nine things in a row, nobody knows which is which."""
    for name, kind in classes(package).items():
        fields = dataclasses.fields(kind)
        assert name in BUILDERS or all(each.hash is False for each in fields if "Mapping[" in str(each.type)), name
        assert len([each for each in fields if each.init and not each.kw_only]) <= 8, name
