"""Minutes shared out: a plan made for one length, fitted to another."""

from __future__ import annotations

from collections.abc import Sequence


def shared_out(total: int, shares: Sequence[int]) -> tuple[int, ...]:
    """``total`` minutes in the proportions of ``shares``, whole minutes that add up to it, at least one each.

    Largest remainders get the minutes that rounding down leaves over; of equal ones the earlier. ``ValueError`` when
    there are fewer minutes than shares.
    """
    if total < len(shares):
        raise ValueError(f"{total} minutes cannot be shared out among {len(shares)}")
    spare, whole = total - len(shares), sum(shares)
    exact = [spare * share / whole for share in shares]
    found = [int(part) for part in exact]
    by_rest = sorted(range(len(shares)), key=lambda place: (found[place] - exact[place], place))
    for place in by_rest[: spare - sum(found)]:
        found[place] += 1
    return tuple(1 + part for part in found)
