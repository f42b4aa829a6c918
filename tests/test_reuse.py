"""What was made before is used again only while all that was asked of the book is as it was."""

from __future__ import annotations

import pickle
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from conftest import ROOT

from beginnerband import digest, rendered
from beginnerband.data.abc import read_abc
from beginnerband.data.book import Book
from beginnerband.digest import Digests
from beginnerband.music.pitch import Pitch
from beginnerband.music.score import Measure
from beginnerband.reuse import ITEMS, PARTS, Reuse, question, wide_question

CALLS: list[str] = []


@pytest.fixture
def project(tmp_path: Path, book: Book) -> Book:
    """The shipped book, as that of a project whose cache is empty."""
    CALLS.clear()
    (tmp_path / "handbook").mkdir()
    (tmp_path / "handbook" / "one.md").write_text("# One\n")
    return replace(book, root=tmp_path, reuse=Reuse(tmp_path / ".cache"))


def again(book: Book, **changes: Any) -> Book:
    """The book of the next build, which knows what earlier ones made."""
    return replace(book, reuse=Reuse(book.root / ".cache"), **changes)


def words(book: Book, more: str = "") -> str:
    CALLS.append("words")
    return book.band.english + more


def title(book: Book, ident: str) -> str:
    CALLS.append("title")
    return book.tunes[ident].title


def titles(book: Book) -> list[str]:
    CALLS.append("titles")
    return [title(book, ident) for ident in book.tunes]


def heading(book: Book) -> str:
    CALLS.append("heading")
    return (book.root / "handbook" / "one.md").read_text()


def listing(book: Book) -> int:
    CALLS.append("listing")
    return len(list((book.root / "handbook").glob("*.md")))


def longer(book: Book) -> bool:
    CALLS.append("longer")
    return has_many(book, 3)


def outer(book: Book) -> str:
    CALLS.append("outer")
    return book.reuse.of(words, book) + "."


@wide_question
def first_word(book: Book, ident: str) -> str:
    CALLS.append("shown")
    return book.tunes[ident].title.split()[0]


def part(book: Book, ident: str) -> str:
    return first_word(book, ident)


def room(book: Book) -> list[str]:
    return [book.reuse.of(part, book, ident) for ident in ("row-your-boat", "deck-the-hall")]


def room_itself(book: Book) -> list[str]:
    return [first_word(book, ident) for ident in ("row-your-boat", "deck-the-hall")]


@wide_question
def first_line(book: Book) -> str:
    return (book.root / "handbook" / "one.md").read_text().splitlines()[0]


def one_room(book: Book) -> str:
    return first_line(book)


def other_room(book: Book) -> str:
    return first_line(book) + "."


def some(book: Book) -> str:
    return part(book, "deck-the-hall")


@question
def has_many(book: Book, least: int) -> bool:
    return len(book.band.name) > least


def test_work_is_done_once(project: Book) -> None:
    assert [each.reuse.of(words, each) for each in (project, again(project))] == [project.band.english] * 2
    assert CALLS == ["words"]
    assert project.reuse.of(words, project, "!") == f"{project.band.english}!"  # of other values it is other work
    assert CALLS == ["words"] * 2


def test_only_a_field_that_was_asked_counts(project: Book) -> None:
    project.reuse.of(words, project)
    renamed = again(project, band=replace(project.band, name="Another Band"))
    renamed.reuse.of(words, renamed)
    assert CALLS == ["words"]
    use = "american" if project.band.english == "british" else "british"
    other = again(project, band=replace(project.band, english=use))
    assert other.reuse.of(words, other) == use
    assert CALLS == ["words"] * 2


def test_of_tunes_only_the_one_that_was_asked_counts(project: Book) -> None:
    first, second = list(project.tunes)[:2]
    project.reuse.of(title, project, first)
    changed = {**project.tunes, second: replace(project.tunes[second], title="Another")}
    later = again(project, tunes=changed)
    later.reuse.of(title, later, first)
    assert CALLS == ["title"]
    last = again(project, tunes={**changed, first: replace(project.tunes[first], title="New")})
    assert last.reuse.of(title, last, first) == "New"


def test_a_tune_more_counts_for_what_goes_through_all(project: Book) -> None:
    before = project.reuse.of(titles, project)
    first = next(iter(project.tunes))
    later = again(project, tunes={**project.tunes, "more": replace(project.tunes[first], title="More")})
    assert later.reuse.of(titles, later) == [*before, "More"]


def test_files_count_that_were_read_or_listed(project: Book) -> None:
    assert (project.reuse.of(heading, project), project.reuse.of(listing, project)) == ("# One\n", 1)
    (project.root / "handbook" / "two.md").write_text("# Two\n")
    later = again(project)
    assert (later.reuse.of(heading, later), later.reuse.of(listing, later)) == ("# One\n", 2)
    assert CALLS == ["heading", "listing", "listing"]
    (project.root / "handbook" / "one.md").write_text("# Eins\n")
    last = again(project)
    assert last.reuse.of(heading, last) == "# Eins\n"


def test_of_a_question_only_the_answer_counts(project: Book) -> None:
    assert project.reuse.of(longer, project)
    renamed = again(project, band=replace(project.band, name="Also a long name"))
    assert renamed.reuse.of(longer, renamed)
    assert CALLS == ["longer"]
    short = again(project, band=replace(project.band, name="O"))
    assert not short.reuse.of(longer, short)


@pytest.mark.parametrize("asking", [room, room_itself])
def test_a_room_asks_no_wide_question_again_where_nothing_it_looked_at_changed(
    project: Book, asking: Callable[[Book], list[str]]
) -> None:
    assert project.reuse.of(asking, project, whole=True) == ["Row,", "Deck"]
    assert CALLS == ["shown", "shown"]  # each once, though it is noted, too
    renamed = again(project, band=replace(project.band, name="Another"))
    assert renamed.reuse.of(asking, renamed, whole=True) == ["Row,", "Deck"]
    assert CALLS == ["shown", "shown"]
    tunes = {**project.tunes, "deck-the-hall": replace(project.tunes["deck-the-hall"], title="Halls of Deck")}
    other = again(project, tunes=tunes)
    assert other.reuse.of(asking, other, whole=True) == ["Row,", "Halls"]
    assert CALLS == ["shown"] * 4
    alike = again(other, tunes={**tunes, "deck-the-hall": replace(tunes["deck-the-hall"], title="Halls and more")})
    assert alike.reuse.of(part, alike, "deck-the-hall") == "Halls"


def test_files_that_a_wide_question_read_count_for_all_who_ask_it(project: Book) -> None:
    """Though only the first has it read them."""
    rooms = (one_room, other_room)
    assert [project.reuse.of(each, project, whole=True) for each in rooms] == ["# One", "# One."]
    (project.root / "handbook" / "one.md").write_text("# Eins\n")
    later = again(project)
    assert [later.reuse.of(each, later, whole=True) for each in rooms] == ["# Eins", "# Eins."]


def test_a_question_about_what_is_gone_makes_anew(project: Book) -> None:
    project.reuse.of(some, project)
    gone = again(project, tunes={ident: tune for ident, tune in project.tunes.items() if ident != "deck-the-hall"})
    with pytest.raises(KeyError):
        gone.reuse.of(some, gone)


def test_work_depends_on_what_work_inside_it_asked(project: Book) -> None:
    project.reuse.of(words, project)  # kept, so that the one inside is not done
    project.reuse.of(outer, project)
    use = "american" if project.band.english == "british" else "british"
    other = again(project, band=replace(project.band, english=use))
    assert other.reuse.of(outer, other) == f"{use}."


def test_a_damaged_file_is_made_anew(project: Book) -> None:
    project.reuse.of(words, project)
    for path in (project.root / ".cache" / "kept").rglob("*.pickle"):
        path.write_bytes(b"")
    later = again(project)
    assert later.reuse.of(words, later) == project.band.english
    assert CALLS == ["words"] * 2


def test_the_code_counts(project: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    project.reuse.of(words, project)
    monkeypatch.setattr(digest, "_PYTHON", b"of another version")
    later = again(project)
    later.reuse.of(words, later)
    assert CALLS == ["words"] * 2


def test_the_named_classes_and_fields_are_there() -> None:
    for name in PARTS:
        module, _, kind = name.rpartition(".")
        assert hasattr(__import__(module, fromlist=[kind]), kind), name
    assert all(hasattr(Book, path[0]) for path in ITEMS)


@dataclass(frozen=True)
class Thing:
    name: str
    parts: tuple[object, ...] = ()


def test_equal_values_have_one_digest_and_others_another() -> None:
    values = [
        None, 0, 1, 1.0, True, "1", b"1", "", (), [], (1,), ((1,),), (1, 1), {"a": 1}, {"a": "1"}, {1, 2},
        Fraction(1, 2), date(2026, 9, 1), Thing("a"), Thing("a", (1,)), Thing("b"), Pitch.parse("C4"), Path("a"),
        {"a": 1, "b": 2}, {"b": 2, "a": 1}, ("ab", "c"), ("a", "bc"),
    ]  # fmt: skip
    once, twice = ([Digests().of(value) for value in each] for each in (values, pickle.loads(pickle.dumps(values))))
    assert once == twice
    assert len(set(once)) == len(once)


def test_where_music_stands_in_its_file_makes_no_other_music() -> None:
    """One line more above its notes, and every bar is as it was; another note, and its bar is not."""

    def bars(remark: str = "", last: str = "E4") -> tuple[Measure, ...]:
        read = read_abc(f"X:1\nT:t\n{remark}S:written for this test\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nC4|D4|{last}|]\n")
        assert read.score
        return read.score.lines[0].measures

    lower = bars("% for the concert\n")
    assert [bar.file_line for bar in lower] == [bar.file_line + 1 for bar in bars()]
    assert Digests().of(lower) == Digests().of(bars())
    assert Digests().of(bars(last="F4")) != Digests().of(bars())


def test_digests_are_the_same_in_another_process() -> None:
    """Sets of words come in another order in every process."""
    value = "(frozenset('abcdefgh'), {'x': {'k', 'l', 'm'}})"
    say = f"from beginnerband.digest import Digests; print(Digests().of({value}).hex())"
    runs = [
        subprocess.run([sys.executable, "-c", say], cwd=ROOT / "hooks", capture_output=True, text=True, check=True)
        for _ in range(2)
    ]
    assert runs[0].stdout == runs[1].stdout


def page(**about: Any) -> SimpleNamespace:
    given = {"title": "", "url": "", "children": None, "is_index": False, "meta": {}, "active": False}
    return SimpleNamespace(**{**given, **about})


def shown(title: str, other: str) -> object:
    here, there = page(title=title, url="a.html", active=True), page(title=other, url="b.html")
    here.previous_page, here.next_page, here.canonical_url, here.edit_url = None, None, None, None
    items = [
        page(title="Open", children=[here], active=True),
        page(title="Shut", children=[page(title="first", url="f.html"), there]),
    ]
    return rendered.seen_from(here, SimpleNamespace(items=items, homepage=None))


def test_a_page_is_not_rendered_again_for_a_title_that_it_does_not_show() -> None:
    assert shown("Here", "There") == shown("Here", "Elsewhere")
    assert shown("Here", "There") != shown("Now", "There")


def test_steps_of_a_page_are_done_again_when_what_they_are_made_of_changes(tmp_path: Path) -> None:
    made: list[str] = []

    def step(uri: str, of: str) -> str:
        return kept.step(uri, "words", (of,), lambda: made.append(of) or of.upper())

    for of in ("a", "a", "b"):
        kept = rendered.Rendered(tmp_path, ("settings",))
        assert [step("one.md", of), step("two.md", "z")] == [of.upper(), "Z"]
        kept.close()
    assert made == ["a", "z", "b"]
    kept = rendered.Rendered(tmp_path, ("other settings",))
    step("one.md", "b")
    assert made[-2:] == ["b", "b"]
