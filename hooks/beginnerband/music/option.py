"""A line that a desk may take: which, in which octaves, and what it costs by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from beginnerband.music.clashes import Octaves
from beginnerband.music.scoring import Desk


@dataclass(frozen=True, slots=True)
class Option:
    """A line and octaves that a desk may take."""

    points: int
    """What it costs by itself."""
    form: Form
    """The line, and octaves by phrase."""
    counts: tuple[tuple[str, int], ...]
    """What is charged, without what depends on others."""

    @property
    def voice(self) -> str:
        """The line."""
        return self.form[0]

    @property
    def octaves(self) -> Octaves:
        """Octaves by phrase."""
        return self.form[1]

    @property
    def known(self) -> bool:
        """Whether it asks only for notes that were taught."""
        return not {"impossible", "range", "untaught"} & dict(self.counts).keys()


Form = tuple[str, Octaves]
"""A line, and octaves in which it is played."""

Asked = Sequence[Sequence[tuple[int, Option]]]
"""For each desk that holds a line, its options with their places, those that cost least by themselves first."""


def charged_signs(desk: Desk, signs: int) -> tuple[tuple[str, int], ...]:
    """What is charged for so many sharps or flats to read."""
    beyond = 0 if desk.signs is None else max(0, signs - desk.signs)
    return ("signature", signs), ("beyond", beyond)
