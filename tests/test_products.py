"""What rooms make aside is taken over whole, and nothing is claimed twice."""

from __future__ import annotations

from dataclasses import fields

import pytest

from beginnerband.products import Products


def test_everything_another_room_made_is_taken_over() -> None:
    """Whatever fields there are: one that ``add`` forgets is empty afterwards."""
    other, all_of_it = Products(), Products()
    for field in fields(Products):
        kept = getattr(other, field.name)
        kept.append(field.name) if isinstance(kept, list) else kept.update({field.name: object()})
    all_of_it.add(other)
    assert all_of_it == other


@pytest.mark.parametrize("kind", ["pages", "assets", "prints"])
def test_what_two_rooms_make_is_named(kind: str) -> None:
    one, other = Products(), Products()
    for products in (one, other):
        getattr(products, kind)["tunes/one.md"] = object()
    with pytest.raises(ValueError, match=r"two rooms make tunes/one\.md"):
        one.add(other)
