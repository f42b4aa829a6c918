"""Mistakes in instrument and band files: each is reported with its file, its line, and what would be right."""

from __future__ import annotations

import pickle
import shutil
from pathlib import Path

import pytest
from conftest import ROOT
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from beginnerband.data.band import load_band
from beginnerband.data.book import Book, _check_copies, _check_folders, load_book
from beginnerband.data.instruments import load_instruments
from beginnerband.data.problems import DataError, Problem, Problems
from beginnerband.data.search import SearchWords, check_pages

BAND = """name: Test Band
paper: a4
words: british
pitch_a4: 440
players:
  - {instrument: cornet, players: 5}
  - {instrument: trumpet, players: 1}
  - {instrument: tenor-horn, players: 3}
  - {instrument: eb-bass, reading: treble-eb, players: 1}
"""


class Project:
    """A project with some of the shipped instruments and a small band, to make mistakes in."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.content = root / "content"
        self.content.mkdir(parents=True)
        (self.content / "instruments").mkdir()
        for name in ("cornet", "trumpet", "tenor-horn", "eb-bass", "euphonium", "euphonium-4", "trombone", "baritone"):
            shutil.copy(ROOT / "content" / "instruments" / f"{name}.yml", self.content / "instruments")
        self.write("band.yml", BAND)

    def change(self, name: str, old: str, new: str) -> int:
        """Change the first ``old`` in a file and return the line it stood on."""
        path = self.content / name
        text = path.read_text(encoding="utf-8")
        assert old in text, f"{name} has no {old!r}"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        return text[: text.index(old)].count("\n") + 1

    def write(self, name: str, text: str | bytes) -> None:
        path = self.content / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)

    def report(self) -> list[str]:
        """Every problem found in instruments and band, as printed."""
        problems = Problems(self.root)
        instruments = load_instruments(self.root, problems)
        load_band(self.root, instruments, problems)
        return [str(each) for each in problems]


@pytest.fixture
def project(tmp_path: Path) -> Project:
    return Project(tmp_path / "project")


CORNET = "instruments/cornet.yml"


def test_files_without_a_mistake_have_no_problem(project: Project) -> None:
    assert project.report() == []


# file, what stands there, what is written instead, and words that the report must have
MISTAKES = [
    pytest.param("band.yml", "instrument: tenor-horn", "instrument: tenor-hron",
                 ["no instrument 'tenor-hron'", "did you mean 'tenor-horn'?"], id="unknown instrument"),
    pytest.param("band.yml", "instrument: eb-bass, reading: treble-eb", "instrument: eb-bass, reading: treble-bb",
                 ["eb-bass is not read in 'treble-bb'", "did you mean 'treble-eb'?"], id="unknown reading"),
    pytest.param("band.yml", "instrument: trumpet", "instrument: cornet",
                 ["'cornet' is listed twice"], id="instrument twice in the band"),
    pytest.param("band.yml", "words: british", "words: britsh",
                 ["words: 'britsh' is not known", "did you mean 'british'?"], id="unknown words"),
    pytest.param("band.yml", "paper: a4", "paper: A4",
                 ["paper: 'A4' is not known", "a4"], id="paper in capitals"),
    pytest.param("band.yml", "pitch_a4: 440", "pitch_a4: 44",
                 ["pitch_a4", "too small; at least 415", "'44'"], id="impossible pitch"),
    pytest.param("band.yml", "pitch_a4: 440", "pitch_a4: loud",
                 ["pitch_a4", "'loud'"], id="pitch that is no number"),
    pytest.param("band.yml", "players: 5", "players: -5", ["players", "'-5'"], id="negative head count"),
    pytest.param("band.yml", "players: 5", "player: 5",
                 ["unknown key 'player'", "did you mean 'players'?"], id="mistyped key in a row"),
    pytest.param("band.yml", "name: Test", "nmae: Test",
                 ["unknown key 'nmae'", "did you mean 'name'?"], id="mistyped key"),
    pytest.param(CORNET, "key: Bb", "key: B", ["key: 'B' is not known", "Bb"], id="key of the tube"),
    pytest.param(CORNET, "fundamental: Bb2", "fundamental: H2", ["fundamental", "'H2' is not a pitch"], id="no pitch"),
    pytest.param(CORNET, "fundamental: Bb2", "fundamental: C2",
                 ["the open tube sounds C2, so its key is not Bb"], id="key and fundamental disagree"),
    pytest.param(CORNET, "interval: M-2", "interval: M-3",
                 ["a written C in treble-bb does not sound Bb after M-3"], id="wrong interval"),
    pytest.param(CORNET, "interval: M-2", "interval: down", ["'down' is no interval", "M-2"], id="no interval"),
    pytest.param(CORNET, "interval: M-2", "interval: P-2", ["'P-2' is no interval"], id="an interval that is none"),
    pytest.param(CORNET, "id: treble-bb", "id: treble-b",
                 ["'treble-b' is not known", "did you mean 'treble-bb'?"], id="unknown reading id"),
    pytest.param(CORNET, "full: [F#3, C6]", "full: [C3, C6]",
                 ["impossible range", "no valve or position reaches written C#3"], id="impossible range"),
    pytest.param(CORNET, "full: [F#3, C6]", "full: [C6, F#3]",
                 ["a range goes from low to high, and C6 is not below F#3"], id="range upside down"),
    pytest.param(CORNET, "first-year: [Bb3, D5]", "first-year: [D4, D5]",
                 ["the starter range must lie inside the first-year range"], id="levels that do not nest"),
    pytest.param(CORNET, "starter: [C4, G4]", "starter: [C4]",
                 ["ranges.starter", "too few entries; at least 2"], id="half a range"),
    pytest.param(CORNET, "starter:", "beginner:", ["beginner", "starter"], id="unknown level"),
    pytest.param(CORNET, "kind: valves", "kind: valve", ["'valve' is not known", "'valves'?"], id="unknown kind"),
    pytest.param(CORNET, "valves: {count: 3", "valvs: {count: 3",
                 ["unknown key 'valvs'", "did you mean 'valves'?"], id="mistyped valves"),
    pytest.param(CORNET, "count: 3", "count: 5", ["valves.count", "3"], id="five valves"),
    pytest.param(CORNET, "moving_slides: [3]", "moving_slides: [4]",
                 ["valve 4 has no slide to move", "3 valves"], id="a slide of a valve it does not have"),
    pytest.param(CORNET, "weight_kg: 1.2", "weight_kg: 1200", ["weight_kg", "less than 40"], id="weight in grams"),
    pytest.param(CORNET, "weight_kg: 1.2", "weight_kg: .nan", ["weight_kg"], id="weight that is no number"),
    pytest.param(CORNET, "covers: [soprano, alto]", "covers: [soprano, altoo]",
                 ["'altoo' is not known", "did you mean 'alto'?"], id="unknown voice"),
    pytest.param(CORNET, "covers: [soprano, alto]", "covers: [soprano, soprano]",
                 ["'soprano' stands twice"], id="a voice twice"),
    pytest.param(CORNET, "group: bb", "group: eb", ["group", "bb"], id="learning group of another key"),
    pytest.param(CORNET, "midi_program: 57", "midi_program: 157", ["midi_program", "128"], id="no such MIDI program"),
    pytest.param(CORNET, "midi_program: 57", "midi_program: 0",
                 ["midi_program", "1 to 128"], id="drum program for brass"),
    pytest.param("instruments/euphonium-4.yml", "variant_of: euphonium", "variant_of: euphonum",
                 ["no instrument 'euphonum' to be a variant of", "did you mean 'euphonium'?"], id="unknown family"),
    pytest.param("instruments/trombone.yml", "tube_m: 2.7", "tube_m: 27",
                 ["slide.tube_m", "less than 6"], id="tube in the wrong unit"),
    pytest.param("instruments/trombone.yml", "kind: slide", "kind: valves", ["'kind: valves' needs"], id="no valves"),
    pytest.param("instruments/baritone.yml", "{id: bass-c, interval: P1}", "{id: treble-bb, interval: M-9}",
                 ["the reading 'treble-bb' stands twice"], id="a reading twice"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "words"), MISTAKES)
def test_a_mistake_names_file_line_and_remedy(
    project: Project, name: str, old: str, new: str, words: list[str]
) -> None:
    line = project.change(name, old, new)
    report = project.report()
    mine = [each for each in report if each.startswith(f"content/{name}:")]
    assert mine, report
    said = next((each for each in mine if all(word in each for word in words)), None)
    assert said, mine
    at = int(said.split(":")[1])
    beside = {"starter range must lie": line - 1, "needs 'valves": 2}  # the narrower level; the file as a whole
    assert at == next((where for about, where in beside.items() if about in said), line)
    assert "\n" not in said


def test_a_missing_key_is_named(project: Project) -> None:
    project.change(CORNET, "group: bb\n", "")
    assert any("'group' is missing" in each and "content/instruments/cornet.yml" in each for each in project.report())


def test_a_key_written_twice_gives_both_lines(project: Project) -> None:
    line = project.change(CORNET, "group: bb", "group: bb\ngroup: eb")
    (said,) = project.report()
    assert said == f"content/{CORNET}:{line + 1}: 'group' stands twice, first on line {line}; keep one"


def test_broken_yaml_names_the_line(project: Project) -> None:
    line = project.change(CORNET, "covers: [soprano, alto]", "covers: [soprano, alto")
    broken = next(each for each in project.report() if "opens here" in each)
    assert broken.startswith(f"content/{CORNET}:{line}: a [ opens here and is not closed before line {line + 1}")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the file is empty"),
        ("# only a comment\n", "the file is empty"),
        ("just words\n", "must be a list of 'key: value' lines"),
        ("- a\n- b\n", "must be a list of 'key: value' lines"),
        (b"\xff\xfe\x00", "saved as UTF-16; open it in the editor it came from and save it as UTF-8"),
        (b"a: \xff", "not UTF-8 text"),
        ("a: b: c\n", "a text with a colon in it"),
        ("\tname: x\n", "a tab at the beginning"),
        ("a: !!python/object/apply:os.system ['true']\n", "python/object/apply:os.system are not used here"),
        ("a: &x [*x]\n", "aliases such as *x are not used here"),
        ("? [1, 2]\n: 3\n", "key"),
        ("start: 2026-13-45\n", "unknown key"),
    ],
)
def test_hostile_files_are_reported_and_never_raise(project: Project, text: str | bytes, words: str) -> None:
    project.write(CORNET, text)
    said = [each for each in project.report() if each.startswith(f"content/{CORNET}")]
    assert any(words in each for each in said), said


def test_a_document_that_grows_without_end_is_refused(project: Project) -> None:
    # nested aliases: ten lines that would unfold into a billion items
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10)]
    project.write(CORNET, "\n".join(lines))
    assert any("aliases" in each for each in project.report())


def test_a_missing_band_file_is_named(project: Project) -> None:
    (project.content / "band.yml").unlink()
    assert project.report() == ["content/band.yml: this file is missing"]


def test_no_instruments_at_all(project: Project) -> None:
    shutil.rmtree(project.content / "instruments")
    assert any("no instrument files here" in each for each in project.report())


def test_an_id_that_is_not_the_files_name(project: Project) -> None:
    text = (project.content / CORNET).read_text(encoding="utf-8")
    project.write("instruments/cornet-2.yml", "id: cornet\n" + text)
    (said,) = project.report()
    assert said.startswith("content/instruments/cornet-2.yml:1: the id 'cornet' which is another file")
    assert "use 'cornet-2'" in said


def test_two_files_for_one_id(project: Project) -> None:
    shutil.copy(project.content / CORNET, project.content / "instruments" / "cornet.yaml")
    assert any("two files for the id 'cornet'" in each for each in project.report())


def test_a_name_with_markup_is_only_text(project: Project) -> None:
    # markup in a name is no mistake: it is escaped where it is shown (tests of the pages)
    project.change(CORNET, "british: B♭ cornet", 'british: "<b>cornet</b> [[x]] & co"')
    assert project.report() == []


def test_a_file_name_that_cannot_stand_in_an_address_is_refused(project: Project) -> None:
    shutil.copy(project.content / CORNET, project.content / "instruments" / "My Cornet!.yml")
    assert any("small letters, digits and hyphens" in each and "my-cornet" in each for each in project.report())


def test_mistakes_of_all_files_come_in_one_report(project: Project) -> None:
    lines = [
        project.change(CORNET, "group: bb", "gruop: bb"),
        project.change("instruments/trumpet.yml", "interval: M-2", "interval: M-9x"),
        project.change("band.yml", "words: british", "words: scottish"),
    ]
    report = project.report()
    for name, line in zip((CORNET, "instruments/trumpet.yml", "band.yml"), lines, strict=True):
        assert any(each.startswith(f"content/{name}:{line}:") for each in report), report
    problems = Problems(project.root)
    load_band(project.root, load_instruments(project.root, problems), problems)
    with pytest.raises(DataError, match="problems in the content; nothing was built") as error:
        problems.stop_if_any()
    assert str(error.value).count("\n") == len(error.value.problems)


def test_an_instrument_with_a_mistake_is_not_called_unknown_in_the_band(project: Project) -> None:
    project.change(CORNET, "group: bb", "group: xx")
    assert not [each for each in project.report() if "no instrument 'cornet'" in each]


SCALARS = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), st.text(max_size=8), st.dates().map(str)
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_any_value_in_any_place_is_reported_or_loaded_but_never_raises(
    book: Book, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    import yaml

    root = tmp_path_factory.mktemp("fuzz")
    folder = root / "content" / "instruments"
    folder.mkdir(parents=True)
    document = yaml.safe_load((ROOT / "content" / CORNET).read_text(encoding="utf-8"))
    document[data.draw(st.sampled_from(sorted(document)))] = data.draw(VALUES)
    (folder / "cornet.yml").write_text(yaml.safe_dump(document, allow_unicode=True), encoding="utf-8")
    problems = Problems(root)
    loaded = load_instruments(root, problems)
    assert problems.found or loaded
    for each in problems:
        assert "\n" not in str(each)
        assert each.file.startswith("content/instruments")


def test_the_report_survives_the_way_between_processes() -> None:
    """Rooms that work in processes of their own send what they raise to the build, pickled."""
    sent = DataError(
        [Problem("content/band.yml", 3, message="no such key"), Problem("content/ladder.yml", 0, message="is empty")]
    )
    received = pickle.loads(pickle.dumps(sent))
    assert (str(received), received.problems) == (str(sent), sent.problems)


def test_words_for_pages_that_were_taken_out_are_one_short_remark(tmp_path: Path) -> None:
    (tmp_path / "content").mkdir()
    gone = {f"tunes/{name}.md": ["x"] for name in "abcde"}
    text = "pages:\n" + "".join(f"  {uri}: [x]\n" for uri in gone)
    (tmp_path / "content" / "search.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    check_pages(tmp_path, SearchWords(pages=gone), (), problems)
    (said,) = problems.remarks
    assert str(said) == (
        "content/search.yml: pages: words for what is not there are left out: "
        "tunes/a.md, tunes/b.md, tunes/c.md and 2 more"
    )
    assert not problems.found


def test_one_mistake_in_many_places_is_not_listed_for_each() -> None:
    few = DataError([Problem(f"{name}.abc", 7, message="bar 2: it holds 3 of 4 beats") for name in "abcdefg"])
    assert len(str(few).splitlines()) == 1 + 7  # these are as many mistakes
    many = DataError([Problem("a.md", line, message="no source 'x'") for line in range(1, 14)])
    assert str(many).splitlines()[1:] == [
        "a.md:1: no source 'x'",
        "a.md:2: no source 'x'",
        "a.md:3: no source 'x'",
        "a.md:4: no source 'x' (and in 9 more places)",
    ]


def test_music_in_a_folder_inside_the_tunes_is_not_passed_over(tmp_path: Path) -> None:
    (tmp_path / "tunes" / "carols").mkdir(parents=True)
    (tmp_path / "tunes" / "empty").mkdir()
    (tmp_path / "tune").mkdir()
    (tmp_path / "old things").mkdir()
    (tmp_path / "tunes" / "carols" / "noel.abc").write_text("X:1", encoding="utf-8")
    problems = Problems(tmp_path)
    _check_folders(tmp_path, problems)
    said = "folders inside content/tunes are not read; put the files into tunes itself"
    assert [str(each) for each in problems] == [f"tunes/carols: {said}"]
    assert [str(each) for each in problems.remarks] == ["tune: nothing reads this folder; did you mean 'tunes'?"]


@pytest.mark.parametrize(
    ("there", "todo"),
    [
        ("look-up.md", "put it back, or begin a new one with a '# ' and its title"),
        ("index.md.txt", "'index.md.txt' is here: give it the name 'index.md'"),
        ("index.md", ""),
    ],
)
def test_a_handbook_without_its_first_page_says_so(tmp_path: Path, there: str, todo: str) -> None:
    (tmp_path / "handbook").mkdir()
    (tmp_path / "handbook" / there).write_text("# Home\n", encoding="utf-8")
    with pytest.raises(DataError) as told:  # nothing else is there either
        load_book(tmp_path)
    said = f"handbook/index.md: the handbook's first page is missing; {todo}"
    assert [line for line in str(told.value).splitlines() if "first page" in line] == [said][: bool(todo)]


def test_a_copy_of_a_file_that_would_be_changed_in_vain_is_told(tmp_path: Path) -> None:
    (tmp_path / "instruments").mkdir()
    read = ("band.yml", "scoring.yml", "instruments/cornet.yml", "instruments/cornet.yaml")
    copies = ("band (1).yml", "band - Copy (2).yml", "band.yml.txt", "scoring - Copy.yml", "instruments/drums.yml.txt")
    for name in (*read, "instruments/drums.yml", "matching.yml", "matching.yml.bak", *copies):
        (tmp_path / name).write_text("", encoding="utf-8")
    capital = ["Band.yml"] if not (tmp_path / "BAND.yml").exists() else []  # where letters' size tells files apart
    for name in capital:
        (tmp_path / name).write_text("", encoding="utf-8")
    problems = Problems(tmp_path)
    _check_copies(tmp_path, problems)
    problems.remarks.sort()
    said = "nothing reads this file, since '{}' is there; keep one of the two"
    assert [str(each) for each in problems.remarks] == [
        *(f"{copy}: {said.format('band.yml')}" for copy in capital),
        *(f"{copy}: {said.format('band.yml')}" for copy in copies[:3]),
        "instruments/drums.yml.txt: " + said.format("drums.yml"),
        "scoring - Copy.yml: " + said.format("scoring.yml"),
    ]
    assert not list(problems)
