"""Problems found in content: where, what is wrong, and what would be right."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import KW_ONLY, dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One mistake in one file."""

    file: str
    """Path from the project's root, with forward slashes."""
    line: int
    """Line number from 1; 0 when the whole file is meant."""
    _: KW_ONLY
    message: str
    """What is wrong and what would be right, one line."""
    follows: str = ""
    """File whose own mistake brings this one with it; empty where it stands for itself."""

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        return f"{where}: {' '.join(self.message.split())}"


@dataclass(slots=True)
class Problems:
    """Collects problems from all files, so that they are reported together."""

    root: Path
    """The project's root; paths are reported from here."""
    found: list[Problem] = field(default_factory=list)
    """Problems so far, in the order found."""
    remarks: list[Problem] = field(default_factory=list)
    """What is worth saying and stops nothing."""

    def add(self, file: Path | str, line: int, message: str, follows: Path | str = "") -> None:
        """Note a problem in ``file`` (absolute, or from the root); ``follows`` is the file it is a consequence of."""
        self.found.append(
            Problem(self._place(file), line, message=message, follows=self._place(follows) if follows else "")
        )

    def refused(self, stem: Path) -> str:
        """The file at ``stem`` (a path without its ending) in which something is wrong; empty where there is none.

        Also where only its name is wrong: ``March.abc`` and ``my march.abc.txt`` are meant to be ``my-march``.
        """
        wanted = self._place(stem)
        return next((one.file for one in self.found if _meant_stem(one.file) == wanted), "")

    def remark(self, file: Path | str, line: int, message: str) -> None:
        """Note something in ``file`` that does not stop the build."""
        self.remarks.append(Problem(self._place(file), line, message=message))

    def _place(self, file: Path | str) -> str:
        path = Path(file)
        if path.is_absolute() and path.is_relative_to(self.root):
            path = path.relative_to(self.root)
        return path.as_posix()

    def stop_if_any(self) -> None:
        """Raise :class:`DataError` with everything found, or do nothing."""
        if self.found:
            raise DataError(self.found)

    def __iter__(self) -> Iterator[Problem]:
        return iter(self.found)


def _meant_stem(file: str) -> str:
    folder, _, name = file.rpartition("/")
    return f"{folder}/{re.sub(r'[^a-z0-9]+', '-', name.partition('.')[0].lower()).strip('-')}"


MANY, SHOWN = 12, 4
"""In more places than this, one and the same mistake has one cause, as a source that was taken out and is named on
fifty pages: so many of them are named then."""


class DataError(Exception):
    """Content that cannot be built; its text is the whole report, one line a problem.

    What only follows from a mistake in another file is counted on that mistake's line, not listed.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(dict.fromkeys(problems)))
        """Every problem once, by file and line."""
        wrong = {problem.file for problem in self.problems}
        roots = [problem for problem in self.problems if problem.follows not in wrong]
        after = Counter(problem.follows for problem in self.problems if problem.follows in wrong)
        count = len(roots)
        head = f"{count} problem{'s' if count != 1 else ''} in the content; nothing was built."
        alike = Counter(root.message for root in roots)
        lines, said = [head], Counter[str]()
        for root in roots:
            said[root.message] += 1
            more, many = _more(after.pop(root.file, 0)), alike[root.message] > MANY
            if more or not many or said[root.message] <= SHOWN:
                last = many and said[root.message] == SHOWN
                again = f" (and in {alike[root.message] - SHOWN} more places)" if last else ""
                lines.append(f"{root}{more}{again}")
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[type[DataError], tuple[tuple[Problem, ...]]]:
        """So that it can be sent from the process of a room to the build."""
        return type(self), (self.problems,)


def _more(count: int) -> str:
    return f" ({count} more follow{'s' if count == 1 else ''} from this)" if count else ""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A closing hint: ``; did you mean 'cornet'?``, or the choices when nothing is near and they are few."""
    choices = _sorted(known)
    if near := nearest(word, choices):
        return f"; did you mean {near!r}?"
    return f"; use one of {', '.join(choices)}" if 0 < len(choices) <= 20 else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """What was probably meant by ``word``; empty when nothing is near."""
    choices = _sorted(known)
    if alike := [choice for choice in choices if choice.casefold() == str(word).casefold()]:
        return alike[0]
    near = difflib.get_close_matches(str(word), choices, n=5, cutoff=0.6)
    if near:
        return max(near, key=lambda choice: _alike(str(word), choice))
    begun = [choice for choice in choices if _begins(choice.casefold(), str(word).casefold())]
    return begun[0] if len(begun) == 1 else ""


def _sorted(known: Iterable[str]) -> list[str]:
    return sorted(filter(None, map(str, known)))


def _begins(choice: str, word: str) -> bool:
    """Whether one is the beginning of the other, as ``wed`` is of ``wednesday``."""
    return min(len(choice), len(word)) > 1 and (choice.startswith(word) or word.startswith(choice))


def _alike(word: str, choice: str) -> tuple[float, bool]:
    """How near a choice is; of equals, one that begins like the word is nearer."""
    return difflib.SequenceMatcher(None, word, choice).ratio(), choice.startswith(word)
