"""The guide as content: every page keeps its promise, and what breaks it is reported with file and line."""

from __future__ import annotations

import math
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Literal

import pytest
import yaml
from conftest import ROOT
from readability import measure, prose

from beginnerband.data.book import Book
from beginnerband.data.guide import PARTS, load_guide
from beginnerband.data.problems import Problems
from beginnerband.music.instrument import Slide
from beginnerband.music.slide import places
from beginnerband.pages import blocks, rooms
from beginnerband.pages.guide.room import glossary_data
from beginnerband.products import Products
from beginnerband.render.pictures import DRAWINGS, brass
from beginnerband.render.terms import Glossary, mark
from beginnerband.site import fill
from beginnerband.teaching import exposure

PAGES = sorted((ROOT / "handbook" / "guide").glob("*.md"))


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the guide and its data, to break."""
    (tmp_path / "content").mkdir()
    for name in ("glossary", "guide", "pictures", "sources", "troubles"):
        shutil.copy(ROOT / "content" / f"{name}.yml", tmp_path / "content")
    shutil.copytree(ROOT / "handbook" / "guide", tmp_path / "handbook" / "guide")
    return tmp_path


def report(root: Path) -> list[str]:
    problems = Problems(root)
    load_guide(root, None, problems)
    return [str(problem) for problem in problems.found]


def change(root: Path, name: str, edit: Callable[[str], str]) -> int:
    """Edit a file and give the first line that changed."""
    path = root / name
    before = path.read_text(encoding="utf-8")
    after = edit(before)
    assert after != before
    path.write_text(after, encoding="utf-8")
    return next(
        (n for n, (old, new) in enumerate(zip(before.split("\n"), after.split("\n"), strict=False), 1) if old != new), 0
    )


def block_problems(book: Book, text: str) -> list[str]:
    problems = Problems(book.root)
    blocks.expand(text, blocks.Context(book, Products(), "guide/breathing.md"), rooms.blocks(), problems, "page.md")
    return [str(problem) for problem in problems.found]


def test_the_shipped_guide_has_no_problem(copy: Path) -> None:
    assert report(copy) == []


def test_every_page_has_its_four_parts_and_the_guide_covers_what_it_promises(book: Book) -> None:
    pages = list(book.guide.pages())
    assert len(pages) >= 48
    for page in pages:
        if page.name != "troubles":
            assert [head for head in re.findall(r"^## (.*)$", page.text, re.M) if head in PARTS] == list(PARTS)
    promised = (
        "sitting holding breathing embouchure buzzing hearing lifting stuck tuning conducting children-and-adults"
    )
    assert set(promised.split()) <= {page.name for page in pages}


def test_a_claim_marker_without_a_source_is_a_problem(book: Book) -> None:
    assert block_problems(book, "Blow. [[fact]]") == [
        "page.md:1: [[fact]]: a claim needs its source; write src=ID from content/sources.yml, or src=common-practice"
    ]
    assert (
        "no src 'niosh-1989'; did you mean 'niosh-1998'?" in block_problems(book, "\nLoud. [[fact src=niosh-1989]]")[0]
    )
    assert block_problems(book, "Blow. [[fact src=common-practice]]") == []


def test_a_figure_or_a_part_without_a_source_is_a_problem(copy: Path) -> None:
    line = change(
        copy, "handbook/guide/buzzing.md", lambda text: text.replace("\n## Say", "\nBuzz for 90 seconds.\n\n## Say")
    )
    assert report(copy) == [
        f"handbook/guide/buzzing.md:{line}: the figure '90' has no source; add [[fact src=…]], "
        "or [[fact src=common-practice]]"
    ]


def test_an_empty_part_is_a_problem(copy: Path) -> None:
    change(
        copy,
        "handbook/guide/buzzing.md",
        lambda text: re.sub(r"(## Stop when\n).*\n\n(\[\[back\]\])", r"\1\n\2", text, flags=re.S),
    )
    found = report(copy)
    assert len(found) == 1
    assert re.match(r"handbook/guide/buzzing\.md:\d+: 'Stop when' is empty", found[0])


def test_a_glossary_term_used_but_not_defined_is_a_problem(book: Book) -> None:
    assert block_problems(book, "The [[term embouchre]].") == [
        "page.md:1: [[term]]: the glossary has no term 'embouchre'; did you mean 'embouchure'?"
    ]
    for word in ("quarter-nots", "crotchett", "crotchets"):  # what either kind of band calls it is no id
        said = f"the glossary has no term '{word}'; did you mean 'quarter-note'?"
        assert said in block_problems(book, f"A [[word {word}]].")[0]


def test_a_page_with_no_way_back_is_a_problem(copy: Path) -> None:
    change(copy, "handbook/guide/tuning.md", lambda text: text.replace("[[back]]", ""))
    found = report(copy)
    assert len(found) == 1
    assert re.match(r"handbook/guide/tuning\.md:\d+: no way back to the lesson that needs this page", found[0])


def test_a_page_in_no_section_and_a_section_with_no_page_are_problems(copy: Path) -> None:
    (copy / "handbook" / "guide" / "tunning.md").write_text("---\ntitle: T\nstages: [sound]\nsummary: S\n---\n")
    line = change(copy, "content/guide.yml", lambda text: text.replace("tuning,", "tunin,"))
    found = report(copy)
    assert any(
        re.match(rf"content/guide\.yml:{line}: no page 'tunin' in handbook/guide; did you mean", one) for one in found
    )
    assert any("tunning.md:1: this page is in no section" in one for one in found)


def test_a_mistyped_front_matter_names_its_line(copy: Path) -> None:
    line = change(copy, "handbook/guide/slurs.md", lambda text: text.replace("summary:", "sumary:"))
    found = report(copy)
    assert f"handbook/guide/slurs.md:{line}: unknown key 'sumary'; did you mean 'summary'?" in found


def test_a_title_may_hold_a_block_that_makes_words(copy: Path) -> None:
    title = 'title: "How [[band-name]] counts [[word quarter-note plural]]"'
    change(copy, "handbook/guide/slurs.md", lambda text: re.sub("(?m)^title: .*", title, text, count=1))
    problems = Problems(copy)
    guide = load_guide(copy, None, problems, ("Ann: & Co", "british"))
    assert not problems.found
    assert guide
    page = guide.page("slurs")
    assert page
    assert page.title == "How Ann: & Co counts crotchets"


def test_a_title_may_hold_no_other_block(copy: Path) -> None:
    title = 'title: "[[doors]] and slurs"'
    line = change(copy, "handbook/guide/slurs.md", lambda text: re.sub("(?m)^title: .*", title, text, count=1))
    said = "a title holds words alone: [[band-name]] or [[word …]], not [[doors]]"
    assert report(copy) == [f"handbook/guide/slurs.md:{line}: {said}"]


def test_a_block_in_the_title_of_a_page_is_said_in_its_front_matter(book: Book) -> None:
    mistakes: list[tuple[int, str]] = []
    named = replace(book, band=replace(book.band, name='The "Brass": #1'))
    text = "---\ntitle: Read with [[band-name]]\n---\n\n# [[band-name]]\n"
    said = blocks.titled(text, named, lambda *what: mistakes.append(what))
    assert yaml.safe_load(said.split("---")[1])["title"] == 'Read with The "Brass": #1'
    assert said.endswith("\n\n# [[band-name]]\n")
    blocks.titled(text.replace("band-name", "doors"), named, lambda *what: mistakes.append(what))
    assert [line for line, _ in mistakes] == [2]


def test_a_stage_the_course_does_not_have_is_a_problem(copy: Path) -> None:
    problems = Problems(copy)
    load_guide(copy, ["sound", "pulse"], problems)
    assert any("no stage 'parts' in the course" in str(problem) for problem in problems.found)


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        (("to: no-sound", "to: no-sond"), r"no question or trouble 'no-sond'; did you mean 'no-sound'\?"),
        (("to: sound\n", "to: start\n"), r"the answer leads back to 'start'; a path only goes on"),
        (("to: blocked", "to: gurgle"), r"no answer of the path leads to the trouble 'blocked'"),
        (("page: buzzing", "page: buzing"), r"no page 'buzing' in handbook/guide; did you mean 'buzzing'\?"),
        (
            ("sources: [medline-hyper", "sources: [medlin-hyper"),
            r"no source 'medlin-hyper'; did you mean 'medline-hyper'\?",
        ),
        (("    causes:", "    cause:"), r"unknown key 'cause'; did you mean 'causes'\?"),
    ],
)
def test_a_broken_trouble_path_is_reported(copy: Path, edit: tuple[str, str], message: str) -> None:
    change(copy, "content/troubles.yml", lambda text: text.replace(edit[0], edit[1], 1))
    assert any(re.search(r"^content/troubles\.yml:\d+: .*" + message, one) for one in report(copy)), report(copy)


def test_one_form_for_two_terms_is_a_problem(copy: Path) -> None:
    change(copy, "content/glossary.yml", lambda text: text.replace("also: [embouchures]", "also: [buzz]", 1))
    assert any("'buzz' already means" in one for one in report(copy))


def test_one_name_for_two_terms_is_a_problem_explained_or_not(copy: Path) -> None:
    change(copy, "content/glossary.yml", lambda text: text.replace("    name: cornet\n", "    name: Embouchure\n", 1))
    said = [one for one in report(copy) if "is already the name of" in one]
    assert len(said) == 2, said  # to an American and to a British band
    assert "content/glossary.yml:" in said[0]


def test_every_drawing_has_words_and_every_word_a_drawing(book: Book) -> None:
    assert set(DRAWINGS) == set(book.guide.pictures)
    shown = {name for page in book.guide.pages() for name in re.findall(r"\[\[picture ([a-z0-9-]+)\]\]", page.text)}
    assert shown == set(DRAWINGS)


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_take_their_colours_from_the_page_and_stay_inside_their_field(book: Book, name: str) -> None:
    drawn = DRAWINGS[name](book)
    assert not re.search(r"#[0-9a-fA-F]{3}|rgb|fill=|stroke=|style=", drawn.body)
    if "<g " not in drawn.body:
        xs = [float(x) for x in re.findall(r' (?:x|cx)="(-?[\d.]+)"', drawn.body)]
        ys = [float(y) for y in re.findall(r' (?:y|cy)="(-?[\d.]+)"', drawn.body)]
        assert all(0 <= x <= drawn.width for x in xs)
        assert all(0 <= y <= drawn.height for y in ys)


def test_slide_positions_are_drawn_to_scale(book: Book) -> None:
    """Each step outwards is longer than the last by the ratio of a semitone (equal temperament: 2 to the 1/12)."""
    drawn = DRAWINGS["slide-positions"](book)
    xs = [float(x) for x in re.findall(r'<circle class="bb-w" cx="([\d.]+)"', drawn.body)]
    steps = [after - before for before, after in pairwise(xs)]
    assert len(xs) == 7
    for step, following in pairwise(steps):
        assert following / step == pytest.approx(2 ** (1 / 12), rel=0.01)


def test_american_bands_see_the_slide_in_inches(book: Book) -> None:
    """The same places, over 2.54 (international yard and pound agreement, 1959), to the half inch."""
    slide = book.instruments["trombone"].mechanism
    assert isinstance(slide, Slide)
    said = brass.slide_positions(slide, "american").words
    told = [float(figure) for figure in re.findall(r" at ([\d.]+)", said)]
    assert "inches" in said
    assert told == pytest.approx([place.cm / 2.54 for place in places(slide) if not place.trigger], abs=0.2501)


# NIOSH publication 98-126 (1998), table of combinations of level and time that must not be exceeded; from memory.
@pytest.mark.parametrize(
    ("dba", "minutes"),
    [(80, 25 * 60 + 24), (82, 16 * 60), (85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (106, 3.75)],
)
def test_exposure_times_are_those_published(dba: float, minutes: float) -> None:
    assert exposure.allowed_minutes(dba) == pytest.approx(minutes, rel=0.005)


def test_a_week_at_91_dba_uses_up_the_who_and_itu_limit_for_children_in_an_hour() -> None:
    # WHO-ITU H.870 (2018), from memory: 75 dBA for 40 hours a week; 16 dB more is 40 times the energy.
    assert exposure.same_energy_minutes(91, 75, 40 * 60) == pytest.approx(60, rel=0.01)


def test_times_are_spoken_plainly_and_limits_never_rounded_up() -> None:
    assert [exposure.in_words(minutes) for minutes in (1500, 480, 60, 90, 59.5, 30, 7.5, 3.75, 1, 0.5)] == [
        "all day", "8 hours", "1 hour", "1.5 hours", "59 minutes", "30 minutes", "7 minutes", "3 minutes", "1 minute",
        "under a minute",
    ]  # fmt: skip


def test_figures_worked_by_hand_stand_in_the_prose() -> None:
    """Twice the power is 3 dB; a degree at room temperature is about 3 cents (sound goes with the root of kelvins)."""
    assert 10 * math.log10(2) == pytest.approx(3, abs=0.02)
    assert 1200 * math.log2(math.sqrt((273.15 + 21) / (273.15 + 20))) == pytest.approx(3, abs=0.1)
    # Old Philharmonic pitch, A at 452.5 Hz (from memory): about half a semitone
    assert 1200 * math.log2(452.5 / 440) == pytest.approx(50, abs=5)
    assert "half a semitone too high" in (ROOT / "handbook" / "guide" / "cupboard.md").read_text(encoding="utf-8")
    tuning = (ROOT / "handbook" / "guide" / "tuning.md").read_text(encoding="utf-8")
    assert "about 3 cents" in tuning
    hearing = (ROOT / "handbook" / "guide" / "hearing.md").read_text(encoding="utf-8")
    assert "85 dBA for eight hours" in hearing
    assert "about 3 dB more" in hearing


def test_note_names_have_the_lengths_music21_gives_them(book: Book) -> None:
    """American names against music21's durations; the British pairs are common practice, no source."""
    from music21.duration import typeToDuration

    beats = {
        "whole-note": "four beats",
        "half-note": "two beats",
        "quarter-note": "one beat",
        "eighth-note": "half a beat",
    }
    words = {4.0: "four beats", 2.0: "two beats", 1.0: "one beat", 0.5: "half a beat"}
    british = {"whole-note": "semibreve", "half-note": "minim", "quarter-note": "crotchet", "eighth-note": "quaver"}
    for term_id, spoken in beats.items():
        term = book.guide.glossary[term_id]
        assert words[typeToDuration[term.american.removesuffix(" note")]] == spoken
        assert spoken in term.means
        assert term.british == british[term_id]


def test_the_readability_indices_are_computed_as_published() -> None:
    # Widely published worked example: "The cat sat on the mat." has ease 116 and grade -1.45.
    assert measure("The cat sat on the mat.") == pytest.approx((116.1, -1.45), abs=0.1)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_every_page_reads_easily(path: Path) -> None:
    """Flesch (1948): 60 to 70 is plain English for a general reader. We ask for 70, "fairly easy", and grade 6."""
    ease, grade = measure(prose(path.read_text(encoding="utf-8")))
    assert ease >= 70, f"reading ease {ease:.0f}"
    assert grade <= 6, f"grade {grade:.1f}"


def test_the_data_that_is_read_as_prose_reads_easily(book: Book) -> None:
    table = book.guide.troubles.troubles.values()
    said = [text for item in table for cause in item.causes for text in (cause.check, cause.do)]
    assert measure(prose("\n".join([*said, *(item.stop for item in table)])))[0] >= 70
    assert measure(prose("\n".join(term.means for term in book.guide.glossary.values())))[0] >= 60
    assert measure(prose("\n".join(picture.text for picture in book.guide.pictures.values())))[0] >= 60


def _expanded(book: Book, text: str, uri: str = "guide/breathing.md") -> str:
    products, problems = Products(), Problems(book.root)
    text = blocks.expand(text, blocks.Context(book, products, uri), rooms.blocks(), problems, "page.md")
    assert not problems.found
    return fill(text, products.fragments)


@pytest.mark.parametrize(
    ("words", "said"), [("american", "A quarter note, two half notes."), ("british", "A crotchet, two minims.")]
)
def test_words_follow_the_band(book: Book, words: Literal["american", "british"], said: str) -> None:
    band = replace(book.band, english=words)
    html = _expanded(replace(book, band=band), "A [[word quarter-note]], two [[word half-note plural]].")
    assert re.sub(r"<[^>]*>", "", html) == said
    assert "Staff" in _expanded(replace(book, band=replace(band, english="american")), "[[word Staff]]")


@pytest.mark.parametrize("words", ["american", "british"])
def test_every_page_of_the_guide_can_be_built_in_both_kinds_of_words(
    book: Book, words: Literal["american", "british"]
) -> None:
    told = replace(book, band=replace(book.band, english=words))
    whole = " ".join(_expanded(told, page.text, page.uri) for page in told.guide.pages())
    theirs = {"american": ("quarter note", "alto horn"), "british": ("crotchet", "tenor horn")}
    mine, other = theirs[words], theirs["british" if words == "american" else "american"]
    assert all(word in whole for word in mine)
    assert not any(word in whole for word in other)


def test_text_from_the_data_is_never_live(book: Book) -> None:
    hostile = "<img src=x onerror=alert(1)>\"'&"
    guide = book.guide
    term = guide.glossary["embouchure"].model_copy(update={"name": hostile, "means": hostile})
    cause = guide.troubles.troubles["airy"].causes[0].model_copy(update={"check": hostile, "do": hostile})
    trouble = guide.troubles.troubles["airy"].model_copy(
        update={"symptom": hostile, "causes": [cause], "stop": hostile}
    )
    table = guide.troubles.model_copy(update={"troubles": {**guide.troubles.troubles, "airy": trouble}})
    picture = guide.pictures["cheeks"].model_copy(update={"title": hostile, "text": hostile, "caption": hostile})
    source = guide.sources["niosh-1998"].model_copy(update={"title": hostile, "by": hostile})
    bad = replace(
        guide,
        glossary={**guide.glossary, "embouchure": term},
        troubles=table,
        pictures={**guide.pictures, "cheeks": picture},
        sources={**guide.sources, "niosh-1998": source},
    )
    asked = "[[glossary]] [[sources]] [[term embouchure]] [[trouble airy]] [[fact src=niosh-1998]]\n\n"
    asked += "[[trouble-path]]\n\n[[trouble-table]]\n\n[[picture cheeks]]"
    html = mark(
        _expanded(replace(book, guide=bad), asked), "guide/x.md", Glossary.of(glossary_data(replace(book, guide=bad)))
    )
    assert html.count("&lt;img src=x") >= 12
    assert "<img" not in html
