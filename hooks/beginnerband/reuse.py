"""Work that is done again only when something it used has changed.

``book.reuse.of(work, book, "one-tune")`` calls ``work(book, "one-tune")``, keeps what it gives in ``.cache/kept``, and
notes everything that was asked of the book meanwhile: ``band.english``, one tune, the answer to a question
(:func:`question`). Another build gives back what was kept while every one of these is still as it was, and neither
the code nor a library has changed. So nobody lists by hand what depends on what, and nothing can be forgotten: work
gets no other way to the book than one that takes notes.

Files of the project that work opens and folders it lists (the cache and the code apart) are noted, too.

What is asked of the book's large parts (:data:`PARTS`) is noted field by field, and of collections (:data:`ITEMS`)
item by item. A question is asked of the whole book and has a short answer, as "the number of the lesson in week 3":
only the answer is noted, so that work which asks it does not depend on every word of every lesson.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import is_dataclass
from functools import lru_cache, wraps
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO, ParamSpec, TypeVar, cast

from beginnerband.digest import Digests, code, names_of
from beginnerband.wholefile import drop_older, write_whole

Result = TypeVar("Result")
Given = ParamSpec("Given")

WHOLE = frozenset({"beginnerband.data.book.Book", "beginnerband.data.band.Band"})
"""Classes whose fields are noted one by one in any case; all else is noted whole by a whole room's work."""

PARTS = WHOLE | frozenset(
    {
        "beginnerband.data.course.CourseBook",
        "beginnerband.teaching.course.Course",
    }
)
"""Classes whose fields are noted one by one."""

ITEMS = frozenset({("tunes",), ("pieces",)})
"""Mappings whose items are noted one by one, by their place in the book."""

FREE = frozenset({("root",), ("reuse",)})
"""What is not noted: where the project stands decides nothing that is made."""

Note = tuple[str, tuple[Any, ...]]
"""``field``, ``kind`` or ``keys`` and a path in the book; ``item`` and a path with a key; ``question`` and a function
with its arguments; ``file`` or ``folder`` and a path from the project's root."""


class Reuse:
    """What was made before, and of what."""

    def __init__(self, cache: Path | None) -> None:
        """``cache`` is the project's ``.cache``; ``None`` keeps nothing."""
        self._all = cache / "kept" if cache else None
        self._folder: Path | None = None
        self._digests = Digests()
        self._book: object = None
        self._answers: dict[Note, bytes] = {}  # of that book
        self._told: dict[Note, object] = {}  # answers to questions of that book: many are asked again and again
        self._wide: dict[Note, dict[Note, bytes]] = {}  # of wide questions of that book: what they asked
        self._often: dict[Path, tuple[dict[Note, bytes], object]] = {}  # of that book, by where it is kept

    def of(
        self, work: Callable[..., Result], book: Any, *values: Any, whole: bool = False, often: bool = False
    ) -> Result:
        """``work(book, *values)``, or what it gave when everything it asked of ``book`` was as it is now.

        ``values`` and the result must be values that nobody changes, and such as can be pickled. ``whole`` work, as all
        of a room's, depends on the course and on other parts as they are, not on their fields. What several ask for
        ``often`` is remembered as long as the book is the same.
        """
        if isinstance(book, Watched):  # inside other work, which depends on all that this depends on
            notes, result = self._made(work, book._value, values, whole=whole, often=often)
            for note, then in notes.items():
                wide = book._instead_of(note)
                book._notes.update({note: then} if wide is None else wide)
            return cast(Result, result)
        return cast(Result, self._made(work, book, values, whole=whole, often=often)[1])

    def known(self, work: Callable[..., Result], book: Any, *values: Any) -> Result | None:
        """What :meth:`of` would give back without working; ``None`` where it would have to work."""
        if self._all is None:
            return None
        found = self._still(self._place(work, values, self._all), book)
        return cast(Result, found[1]) if found else None

    def of_values(
        self, name: str, values: tuple[object, ...], make: Callable[[], Result], good: Callable[[], bool]
    ) -> Result:
        """What ``make`` gives, or what it gave when ``values``, which are all it is made from, were as they are now.

        Kept under ``name``, and only if ``good`` says afterwards that all went well.
        """
        if self._all is None:
            return make()
        kept, then = self._place(name, (), self._all), self._digests.of(values)
        found = _read(kept, lambda key: key == then)
        if found is not None:
            self._digests.mark(found[1], then)
            return cast(Result, found[1])
        made = make()
        if good():
            self._digests.mark(made, then)
            _write(kept, then, made)
        return made

    def _made(
        self, work: Callable[..., object], book: Any, values: tuple[object, ...], *, whole: bool, often: bool
    ) -> tuple[dict[Note, bytes], object]:
        if self._all is None:
            return {}, work(book, *values)
        kept = self._place(work, values, self._all)
        self._turn_to(book)
        found = self._often.get(kept) or self._still(kept, book) or self._anew(kept, work, book, values, whole)
        if often:
            self._often[kept] = found
        return found

    def _anew(
        self, kept: Path, work: Callable[..., object], book: Any, values: tuple[object, ...], whole: bool
    ) -> tuple[dict[Note, bytes], object]:
        notes: dict[Note, bytes] = {}
        with noting_files(book.root) as files:
            made = work(Watched(book, (), notes, self, WHOLE if whole else PARTS), *values)
        for note in files:
            notes[note] = self._now(book, note)
        _write(kept, notes, made)
        return notes, made

    def _still(self, kept: Path, book: Any) -> tuple[dict[Note, bytes], object] | None:
        """What is kept, if all that it was made from is still as it was."""
        found = _read(
            kept,
            lambda notes: (
                isinstance(notes, dict) and all(self._now(book, note) == then for note, then in notes.items())
            ),
        )
        return cast(tuple[dict[Note, bytes], object] | None, found)

    def _place(self, work: Callable[..., object] | str, values: tuple[object, ...], every: Path) -> Path:
        if self._folder is None:
            self._folder = every / code()
            drop_older(self._folder)
        return self._folder / f"{self._digests.of((work, values)).hex()}.pickle"

    def _now(self, book: Any, note: Note) -> bytes:
        """Digest of what a note is about, as it is now."""
        self._turn_to(book)
        if note not in self._answers:
            try:
                answer = self._answered(book, note)
            except LookupError:  # a question that can no more be asked
                answer = _GONE
            self._answers[note] = self._digests.of(answer)
        return self._answers[note]

    def _answered(self, book: Any, note: Note) -> object:
        """What a note is about; what a wide question asked for that is remembered."""
        kind, about = note
        if kind != "question":
            return _answer(book, note)
        if note not in self._told:
            self._told[note] = self._asked(book, note) if about[0] in _WIDE else _answer(book, note)
        return self._told[note]

    def _asked(self, book: Any, note: Note) -> object:
        """The answer to a wide question; what it asked, and files that it read, are noted for whoever asks it later."""
        notes = self._wide[note] = {}
        function, *values = note[1]
        with noting_files(book.root) as files:
            answer = function.__wrapped__(Watched(book, (), notes, self, WHOLE), *values)
        notes.update((file, self._now(book, file)) for file in files)
        return answer

    def _turn_to(self, book: Any) -> None:
        """Forget what was so of another book."""
        if self._book is not book:
            self._book, self._answers, self._told, self._wide, self._often = book, {}, {}, {}, {}


def question(function: Callable[Given, Result]) -> Callable[Given, Result]:
    """Mark a function of the book (and plain values) with a short answer: work that asks it depends on the answer."""

    @wraps(function)
    def asked(*args: Given.args, **kwargs: Given.kwargs) -> Result:
        if args and isinstance(args[0], Watched):
            return cast(Result, args[0]._ask(asked, args[1:]))
        return function(*args, **kwargs)

    return asked


def wide_question(function: Callable[Given, Result]) -> Callable[Given, Result]:
    """Mark a :func:`question` with a long answer, as "all that lesson 3 shows", which takes a while to find.

    A whole room's work that asks it, or has parts that do, depends on what was looked at for the answer, not on the
    answer; so where nothing of that has changed, it need not be found at all.
    """
    asked = question(function)
    _WIDE.add(asked)
    return asked


_WIDE: set[object] = set()


class Watched:
    """Stands for the book, or a part of it, and notes what is asked."""

    __slots__ = ("_notes", "_parts", "_path", "_reuse", "_value")

    def __init__(
        self, value: Any, path: tuple[str, ...], notes: dict[Note, bytes], reuse: Reuse, parts: frozenset[str]
    ) -> None:
        self._value, self._path, self._notes, self._reuse, self._parts = value, path, notes, reuse, parts

    def __getattr__(self, name: str) -> Any:
        value, path = getattr(self._value, name), (*self._path, name)
        if path in FREE:
            return value
        if callable(value) and hasattr(value, "__self__"):
            raise TypeError(f"{'.'.join(path)}() cannot be noted; make it a question")
        kind = f"{type(value).__module__}.{type(value).__qualname__}"
        if kind in self._parts:
            self._note(("kind", path), kind)
            return Watched(value, path, self._notes, self._reuse, self._parts)
        if path in ITEMS and self._parts is PARTS:
            return WatchedItems(value, path, self._note)
        self._note(("field", path), value)
        return value

    def _note(self, note: Note, value: object) -> None:
        if note not in self._notes:
            self._notes[note] = self._reuse._digests.of(value)

    def _ask(self, function: Callable[..., object], values: tuple[object, ...]) -> object:
        if self._path:
            raise TypeError("a question is asked of the whole book")
        self._reuse._turn_to(self._value)
        note = ("question", (function, *values))
        answer = self._reuse._answered(self._value, note)
        wide = self._instead_of(note)
        if wide is None:
            self._note(note, answer)
        else:
            self._notes.update(wide)
        return answer

    def _instead_of(self, note: Note) -> dict[Note, bytes] | None:
        """What was looked at for a wide question, on which a whole room's work depends instead of on the answer."""
        return self._reuse._wide.get(note) if self._parts is WHOLE else None


class WatchedItems(Mapping[str, Any]):
    """Stands for a mapping of the book, and notes which items are asked for."""

    def __init__(self, value: Mapping[str, Any], path: tuple[str, ...], note: Callable[[Note, object], None]) -> None:
        self._value, self._path, self._note = value, path, note

    def __getitem__(self, key: str) -> Any:
        value = self._value.get(key)
        self._note(("item", (*self._path, key)), value)
        return self._value[key]

    def __iter__(self) -> Iterator[str]:
        self._note(("keys", self._path), tuple(self._value))
        return iter(self._value)

    def __len__(self) -> int:
        self._note(("keys", self._path), tuple(self._value))
        return len(self._value)


_GONE = ("no more",)


def _answer(book: Any, note: Note) -> object:
    """What a note is about, in ``book``; ``LookupError`` where a question can no more be asked."""
    kind, about = note
    if kind == "file":
        return _content(book.root / about[0])
    if kind == "folder":
        return _names(book.root / about[0])
    if kind == "question":
        function, *values = about
        return function(book, *values)
    value = book
    for name in about[:-1] if kind == "item" else about:
        value = getattr(value, name, None)
    if kind == "item":
        return value.get(about[-1]) if value is not None else None
    if kind == "keys":
        return tuple(value) if value is not None else None
    return f"{type(value).__module__}.{type(value).__qualname__}" if kind == "kind" else value


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def _names(folder: Path) -> tuple[str, ...] | None:
    try:
        return tuple(sorted(os.listdir(folder)))
    except OSError:
        return None


_listening: list[tuple[str, set[Note]]] = []
"""Who notes files now: the project's root, and the notes."""


@contextmanager
def noting_files(root: Path) -> Iterator[set[Note]]:
    """Note each file below ``root`` that is opened, and each folder that is listed, but in the cache and the code."""
    _listen()
    notes: set[Note] = set()
    _listening.append((os.path.join(os.path.abspath(root), ""), notes))
    try:
        yield notes
    finally:
        _listening.pop()  # the one added above, since work is done within work


@lru_cache(maxsize=1)
def _listen() -> None:
    """Hear of every file from Python itself (PEP 578); that cannot be ended, so it is begun once."""
    sys.addaudithook(_heard)


def _heard(event: str, about: tuple[object, ...]) -> None:
    if _listening and event in ("open", "os.listdir", "os.scandir") and isinstance(about[0], str | os.PathLike):
        path = str(os.path.abspath(os.fspath(about[0])))
        for root, notes in _listening:
            if not path.startswith(root):
                continue
            inside = path[len(root) :].replace(os.sep, "/")
            if not inside.startswith((".cache/", "hooks/", ".venv/")):
                notes.add(("file" if event == "open" else "folder", (inside,)))


def _read(kept: Path, good: Callable[[object], bool]) -> tuple[object, object] | None:
    """What it was made of, if that is ``good``, and what was made, which is not read else."""
    try:
        file = kept.open("rb")
    except OSError:
        return None
    with file:
        of_what = _next(file)
        if of_what is _GONE or not good(of_what):
            return None
        made = _next(file)
    return None if made is _GONE else (of_what, made)


def _next(file: BinaryIO) -> object:
    """What was written next; where it cannot be read, it is made anew."""
    try:
        return pickle.load(file)
    except (OSError, EOFError, pickle.UnpicklingError, AttributeError, ImportError, IndexError):
        return _GONE


def _write(kept: Path, of_what: object, made: object) -> None:
    content = BytesIO()
    for each in (of_what, made):
        _Pickler(content, pickle.HIGHEST_PROTOCOL).dump(each)
    write_whole(kept, content.getvalue())


class _Pickler(pickle.Pickler):
    """Has dataclasses read back by their names alone: as they do it themselves, it takes three times as long."""

    def reducer_override(self, value: Any) -> Any:
        if isinstance(value, type) or not is_dataclass(value) or hasattr(value, "__dict__"):
            return NotImplemented
        kind: Any = type(value)
        return _rebuilt, (kind, *(getattr(value, name) for name in names_of(kind)))


def _rebuilt(kind: Any, *values: object) -> object:
    made: object = object.__new__(kind)
    for name, value in zip(names_of(kind), values, strict=True):
        object.__setattr__(made, name, value)
    return made
