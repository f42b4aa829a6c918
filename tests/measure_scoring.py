"""Who plays what, over many pieces and bands: how often the result is one that no leader would choose.

Run ``python tests/measure_scoring.py [scorings]`` (600 by default). Pieces are the shipped ones and Bach's chorales in
music21's corpus; bands are the shipped one, five usual ones, and made-up ones; lessons say what is taught: everything,
or what the course has taught by then. Printed are the distributions and the worst ten. Goal: no scoring with

- the tune under another line for more than a tenth of the time that the source has it on top,
- the bass not lowest for more than a tenth of the time that the source has it lowest,
- more than half the brass on one line.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "hooks"), str(ROOT / "tests")]

from chorales import CHUNKS, four_part_chorales  # noqa: E402

from beginnerband.data.book import Book, load_book  # noqa: E402
from beginnerband.music.player import Player  # noqa: E402
from beginnerband.music.score import Line  # noqa: E402
from beginnerband.music.scored import played  # noqa: E402
from beginnerband.music.scoring import Desk, Scoring, desks_of  # noqa: E402
from beginnerband.music.sharing import WIDTH, Search  # noqa: E402
from beginnerband.music.voiceleading import moments  # noqa: E402

USUAL: dict[str, dict[str, int]] = {
    "3 cornets, horn, baritone, bass": {"cornet": 3, "tenor-horn": 1, "baritone": 1, "eb-bass": 1},
    "2 cornets, trombone": {"cornet": 2, "trombone": 1},
    "no bass": {"cornet": 4, "tenor-horn": 2, "baritone": 1, "trombone": 1},
    "12 mixed": {
        "soprano-cornet": 1, "cornet": 3, "flugelhorn": 1, "tenor-horn": 2, "baritone": 1, "trombone": 2,
        "euphonium": 1, "bb-bass": 1,
    },
    "40": {
        "soprano-cornet": 1, "cornet": 12, "trumpet": 2, "flugelhorn": 2, "tenor-horn": 6, "baritone": 3,
        "trombone": 5, "euphonium": 3, "eb-bass": 3, "bb-bass": 3,
    },
}  # fmt: skip
HIGH = ("soprano-cornet", "cornet", "trumpet", "flugelhorn")
MIDDLE = ("tenor-horn", "f-horn", "baritone", "trombone", "trombone-f")
LOW = ("euphonium", "euphonium-comp", "eb-bass", "bb-bass")
LIMIT = 10.0
"""Percent of the time."""


@dataclass(frozen=True, slots=True)
class Case:
    """One scoring, measured."""

    piece: str
    band: str
    lesson: str
    tune_under: float
    bass_over: float
    most: float
    seconds: float
    scoring: Scoring

    @property
    def bad(self) -> bool:
        """Whether no leader would choose it."""
        return self.tune_under > LIMIT or self.bass_over > LIMIT or self.most > 50

    def __str__(self) -> str:
        return (
            f"{self.piece}, {self.band}, {self.lesson}: tune under {self.tune_under:.0f} %, "
            f"bass over {self.bass_over:.0f} %, {self.most:.0f} % of the brass on one line"
        )


def random_band(rng: random.Random) -> dict[str, int]:
    """Four to thirty players with somebody high, in the middle and low."""
    found: dict[str, int] = {}
    for choices, least, most in ((HIGH, 1, 3), (MIDDLE, 1, 4), (LOW, 1, 3)):
        for name in rng.sample(choices, rng.randint(least, min(most, len(choices)))):
            found[name] = rng.choice((1, 1, 1, 2, 2, 3)) if name != "cornet" else rng.randint(1, 10)
    return found if sum(found.values()) >= 4 else random_band(rng)


def bands(book: Book, rng: random.Random, extra: int) -> Iterator[tuple[str, Mapping[str, int]]]:
    """The shipped band, the usual ones, and as many random ones as asked."""
    yield "shipped", {player.id: player.count for player in book.band.pitched}
    yield from USUAL.items()
    for _ in range(extra):
        band = random_band(rng)
        yield ", ".join(f"{count} {name}" for name, count in band.items()), band


def desks(book: Book, band: Mapping[str, int], week: int | None) -> tuple[Desk, ...]:
    """Desks of a band in which everything is taught, or what the course has taught by a week to those it knows."""
    assert book.scoring is not None
    readings = {player.id: player.reading for player in book.band.players}
    chairs = [
        Player(book.instruments[name], readings.get(name, book.instruments[name].readings[0]), count)
        for name, count in band.items()
    ]
    made = desks_of(chairs, book.scoring.rules)
    if week is None or book.course is None:
        return made
    grades = book.course.grades
    found = []
    for desk in made:
        weeks = grades.weeks.get(desk.player.id)
        known = weeks and frozenset(
            p.midi + desk.player.reading.semitones for p in weeks[min(week, len(weeks) - 1)].after.notes
        )
        found.append(replace(desk, taught=known or None, leap=8))
    return tuple(found)


def measure(
    lines: Mapping[str, Line], scoring: Scoring, skip: frozenset[str] = frozenset()
) -> tuple[float, float, float]:
    """Percent of the time the tune is under another line, the bass is not lowest, and most brass on one line."""
    seats = [seat for seat in scoring.seats if seat.desk.holds]
    total = sum(seat.desk.player.count for seat in seats)
    most = max(sum(seat.desk.player.count for seat in seats if seat.voice == voice) for voice in lines)
    if total == 1:
        most = 0
    source = list(lines.values())
    heard = moments([*source, *(played(lines[seat.voice], scoring, seat) for seat in seats)])
    voices = list(lines)
    under = over = top = bottom = Fraction(0)
    for moment, later in zip(heard, (*heard[1:], heard[0]), strict=True):
        long = later.beat - moment.beat if later.place == moment.place else Fraction(1)
        was = {voice: pitch.midi for voice, pitch in zip(voices, moment.pitches, strict=False) if pitch}
        now: dict[str, list[int]] = {}
        for seat, pitch in zip(seats, moment.pitches[len(source) :], strict=True):
            if pitch:
                now.setdefault(seat.voice, []).append(pitch.midi)
        tune, bass = now.get("soprano"), now.get("bass")
        if tune and "soprano" in was and was["soprano"] == max(was.values()):
            top += long
            under += long * any(max(own) > max(tune) for voice, own in now.items() if voice != "soprano")
        if bass and "bass" in was and was["bass"] == min(was.values()):
            bottom += long
            over += long * any(min(own) < min(bass) for voice, own in now.items() if voice != "bass")
    return float(100 * under / (top or 1)), float(100 * over / (bottom or 1)), 100 * most / total


def cases(count: int, seed: int = 1) -> Iterator[Case]:
    """Scorings: every shipped piece with every usual band, then chorales and random bands, until there are enough."""
    book, rng = load_book(ROOT), random.Random(seed)
    assert book.scoring is not None
    rules = book.scoring.rules
    pieces: list[tuple[str, Mapping[str, Line]]] = [(piece.id, piece.lines) for piece in book.pieces.values()]
    chorales = [
        (name, lines) for chunk in range(min(CHUNKS, 1 + count // 50)) for name, lines, _ in four_part_chorales(chunk)
    ]
    rng.shuffle(chorales)
    named = list(bands(book, rng, 0))
    weeks = len(book.course.course.weeks) if book.course else 1
    asked = [(piece, band, None) for piece in pieces for band in named]
    asked += [(chorale, band, None) for chorale in chorales[:20] for band in named]
    while len(asked) < count:
        band = rng.choice((*named, *bands(book, rng, 6)))
        asked.append((rng.choice((*pieces, *chorales)), band, rng.choice((None, rng.randrange(weeks)))))
    asked = asked[:count]
    rng.shuffle(asked)  # so that a run cut short tells of all kinds
    for number, ((name, lines), (words, band), week) in enumerate(asked, 1):
        if number % 50 == 0:
            print(f"{number} of {count}", file=sys.stderr, flush=True)
        begin = time.process_time()
        scoring = Search(lines, desks(book, band, week), rules).ranked().best
        spent = time.process_time() - begin
        lesson = "all taught" if week is None else f"week {week + 1}"
        case = Case(name, words, lesson, *measure(lines, scoring), spent, scoring)
        if case.bad:
            print(case, file=sys.stderr, flush=True)
        yield case


def _spread(name: str, values: list[float]) -> None:
    ordered = sorted(values)
    marks = {mark: ordered[min(len(ordered) - 1, len(ordered) * mark // 100)] for mark in (50, 90, 99)}
    shown = ", ".join(f"{mark} %: {value:.1f}" for mark, value in marks.items())
    print(f"{name}: {shown}, most {ordered[-1]:.1f}")


def gap(width: int) -> tuple[int, int, list[float]]:
    """Small cases: how many, for how many the search finds what trying everything finds, and what a beam loses.

    The loss is in percent of the cheapest way's points, for a search that keeps only ``width`` ways open.
    """
    book = load_book(ROOT)
    assert book.scoring is not None
    rules, cases, same, lost = book.scoring.rules, 0, 0, []
    small = ({"cornet": 1, "tenor-horn": 1, "euphonium": 1}, {"cornet": 2, "trombone": 1}, {"cornet": 1, "eb-bass": 1})
    for piece in book.pieces.values():
        for band in small:
            made = desks(book, band, None)
            search, beam = (Search(piece.lines, made, rules, each) for each in (WIDTH, width))
            fifths = piece.key.fifths
            every = product(*(search.options(desk, fifths) for desk in search.desks))
            least = min(search.scoring(chosen, fifths).points for chosen in every)
            cases += 1
            same += search.best_in(fifths).points == least
            lost.append(100 * (beam.best_in(fifths).points - least) / max(least, 1))
    return cases, same, lost


def main() -> None:
    """Print what was found."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 600
    found = list(cases(count))
    print(f"{len(found)} scorings, {sum(one.bad for one in found)} that no leader would choose")
    _spread("tune under another line, percent of the time", [one.tune_under for one in found])
    _spread("bass not lowest, percent of the time", [one.bass_over for one in found])
    _spread("most brass on one line, percent", [one.most for one in found])
    _spread("seconds a scoring in fifteen keys", [one.seconds for one in found])
    print("lines nobody plays:", dict(Counter(", ".join(one.scoring.uncovered) or "none" for one in found)))
    print("folded seats in", sum(any(seat.folded for seat in one.scoring.seats) for one in found), "scorings;", end=" ")
    print("not exact:", sum(not one.scoring.exact for one in found))
    keys = Counter(one.scoring.fifths for one in found)
    print("keys (fifths):", dict(sorted(keys.items())))
    reasons = Counter(reason for one in found for reason in one.scoring.by_reason)
    print("charged in so many:", dict(reasons.most_common()))
    cases_, same, lost = gap(1)
    print(f"against trying everything: {same} of {cases_} small cases the same; keeping one way open only:", end=" ")
    print(f"{sum(loss > 0 for loss in lost)} dearer, by {max(lost):.1f} % at most")
    print("The worst ten:")
    for one in sorted(found, key=lambda one: -max(one.tune_under, one.bass_over, one.most - 40))[:10]:
        print(f"- {one}")
        for seat in one.scoring.seats:
            octaves = "".join(f"{octave:+d}" for octave in (seat.octaves if seat.folded else seat.octaves[:1]))
            bill = ", ".join(f"{charge.reason} {charge.count}" for charge in seat.bill if charge.points > 20)
            print(f"    {seat.desk.player.count} {seat.desk.id}: {seat.voice} {octaves} ({bill})")


if __name__ == "__main__":
    main()
