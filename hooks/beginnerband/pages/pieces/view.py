"""What a piece's page shows, as plain values: scoring, a sheet for each part, what to watch for, who covers whom."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.data.scoring import COURSE_KEYS
from beginnerband.music.instrument import Drums
from beginnerband.music.part import Part, codes, part_at
from beginnerband.music.percussion import bass_drum, snare
from beginnerband.music.piece import Piece, rests
from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.score import Key, Line, Measure, Note
from beginnerband.music.scored import covers, folded, played, report, sounding
from beginnerband.music.scoring import Desk, Ranked, Rules, Scoring, Seat, desks_of
from beginnerband.music.sharing import Search
from beginnerband.music.transposition import sharps_of
from beginnerband.music.voiceleading import Finding
from beginnerband.music.words import capital, series
from beginnerband.pages.shared.needs import gathered, learners, lesson_number, lesson_with, missing_words
from beginnerband.render import sound
from beginnerband.render.sound import PlayedLine
from beginnerband.reuse import question
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.ladder import Rung
from beginnerband.teaching.readiness import Need, lacking, needs, ready

CUE_BARS = 2
"""Bars of what others play that a cue shows before an entry."""


@dataclass(frozen=True, slots=True)
class PieceSheet:
    """One part, for every desk that reads and fingers it alike."""

    seats: tuple[Seat, ...]
    """Who plays from it."""
    part: Part
    """The music of the first of them."""
    under: tuple[str, ...]
    """Fingering or position for each note."""
    cue: Line | None = None
    """Small notes before entries after a long rest."""

    @property
    def ident(self) -> str:
        """The first desk's id, as in file names; a descant is marked."""
        first = self.seats[0]
        return f"{first.desk.id}-descant" if first.voice == "descant" else first.desk.id

    @property
    def voice(self) -> str:
        """Which line it is."""
        return self.seats[0].voice

    def names(self, english: str) -> str:
        """Who plays from it: ``First B♭ cornet and B♭ trumpet``."""
        return capital(series([seat.desk.name(english) for seat in self.seats]))


@dataclass(frozen=True, slots=True)
class Away:
    """What happens when the only players of a line are not there."""

    seat: Seat
    """Who is away."""
    instead: tuple[Seat, ...]
    """Who covers; empty when nobody can."""
    empty: tuple[str, ...] = ()
    """Lines that nobody plays any more then, besides the one that is covered."""


@dataclass(frozen=True, slots=True)
class PieceView:
    """Everything a piece's page, files and print set are made of."""

    piece: Piece
    """The piece."""
    ranked: Ranked
    """Every key, best first."""
    scoring: Scoring
    """The one that is played: the best, or the best in the key asked for."""
    rules: Rules
    """The rules it follows."""
    sheets: tuple[PieceSheet, ...]
    """Parts in score order, the descant's last."""
    drums: tuple[Line, ...]
    """Snare drum and bass drum, where the band has drums."""
    drummers: tuple[Player, ...]
    """Who plays the drums."""
    findings: tuple[Finding, ...]
    """What a trained ear would notice."""
    away: tuple[Away, ...]
    """Who covers for whom."""
    needs: tuple[tuple[PieceSheet, tuple[Need, ...]], ...]
    """What each sheet asks of those who play from it, drums and descants left out; empty without a course."""
    drum_needs: tuple[Need, ...]
    """What the drum parts ask of the drummers."""

    @property
    def week(self) -> int | None:
        """Week of the course (from 0) after which everybody can play it; ``None``: never, or there is no course."""
        asked = [need for _, some in self.needs for need in some] + list(self.drum_needs)
        return ready(asked) if asked else None

    @property
    def made(self) -> tuple[Finding, ...]:
        """Findings that the scoring made."""
        return tuple(finding for finding in self.findings if not finding.inherited)

    @property
    def inherited(self) -> tuple[Finding, ...]:
        """Findings that the piece itself has."""
        return tuple(finding for finding in self.findings if finding.inherited)

    def at_key(self, voice: str) -> Line:
        """A line as it sounds in the key that is played."""
        return sounding(self.line(voice), self.scoring)

    def line(self, voice: str) -> Line:
        """A line as the piece has it."""
        line = self.piece.descant if voice == "descant" else self.piece.lines[voice]
        assert line is not None
        return line


def known_view(book: Book, ident: str) -> PieceView:
    """:func:`view` of a piece of the book, or what an earlier build kept of it."""
    return book.reuse.of(_view_of, book, ident, often=True)


def _view_of(book: Book, ident: str) -> PieceView:
    return view(book, book.pieces[ident])


def view(book: Book, piece: Piece) -> PieceView:
    """Score a piece for the band; everything its page needs."""
    assert book.scoring is not None
    rules = book.scoring.of(piece.id)
    desks = desks_in(book, piece.id if rules.only_taught else "")
    search = Search(piece.lines, desks, rules)
    ranked = search.ranked()
    asked = keys_asked(book, piece.id)
    scoring = min((search.best_in(fifths) for fifths in asked), key=_points, default=ranked.best)
    drummers = tuple(player for player in book.band.players if isinstance(player.instrument.mechanism, Drums))
    tune = sounding(piece.tune, scoring)
    sheets = tuple(_sheets(piece, scoring, rules))
    drums = (snare(tune), bass_drum(tune)) if drummers else ()
    return PieceView(
        piece=piece,
        ranked=ranked,
        scoring=scoring,
        rules=rules,
        sheets=sheets,
        drums=drums,
        drummers=drummers,
        findings=report(piece.lines, scoring, rules, book.band.english),
        away=tuple(_away(piece, scoring, rules)),
        needs=tuple(_needs(book, sheets)),
        drum_needs=_drum_needs(book, drummers, drums),
    )


def keys_asked(book: Book, piece: str) -> tuple[int, ...]:
    """The concert keys asked for, in fifths: by their own names, or as those in which the course begins and goes on.

    The latter are passed over where there is no course.
    """
    assert book.scoring is not None
    start = book.course.course.start if book.course else None
    computed = {"home": start.home, "second": start.second} if start else {}
    asked = (key for key in book.scoring.keys.get(piece, ()) if key not in COURSE_KEYS or key in computed)
    return tuple(computed[key] if key in computed else sharps_of(key) for key in asked)


def _points(scoring: Scoring) -> int:
    return scoring.points


def desks_in(book: Book, piece: str) -> tuple[Desk, ...]:
    """The band's desks, each with what its players know, and the signs and leaps that the ladder allows them.

    As at the end of the course or, for a ``piece`` of it (by id, else empty), in the lesson that begins it.
    """
    assert book.scoring is not None
    return tuple(_taught(book, desk, piece) for desk in desks_of(book.band.players, book.scoring.rules))


def _taught(book: Book, desk: Desk, piece: str) -> Desk:
    known = _known_by_then(book, desk.player.id, piece)
    if known is None:
        return desk
    (pitches, rung), player = known, desk.player
    notes = frozenset(pitch.midi + player.reading.semitones for pitch in pitches)
    return replace(desk, taught=notes, signs=int(rung.signature.of(player)), leap=int(rung.leap.of(player)))


@question
def _known_by_then(book: Book, player: str, piece: str) -> tuple[frozenset[Pitch], Rung] | None:
    """The written notes a player knows when a piece is begun, or at the end of the course; and the rung of that lesson.

    ``None``: not in a course.
    """
    weeks = book.course.grades.weeks.get(player) if book.course else None
    if not weeks or not book.course:
        return None
    begun = next((week for week in weeks if piece in week.lesson.pieces), weeks[-1])
    return begun.after.notes, book.course.ladder.at(begun.lesson.stage).rung


def _sheets(piece: Piece, scoring: Scoring, rules: Rules) -> Iterator[PieceSheet]:
    lines = {voice: sounding(line, scoring) for voice, line in piece.lines.items()}
    seats = [*scoring.seats]
    if piece.descant:
        lines["descant"] = sounding(piece.descant, scoring)
        seats += _descant(lines["descant"], scoring, rules)
    alike: dict[tuple[object, ...], list[tuple[Seat, Part, tuple[str, ...]]]] = {}
    for seat in seats:
        made = part_at(
            folded(lines[seat.voice], scoring, seat),
            seat.octave,
            seat.desk.player,
            rules.level,
        )
        under = codes(made)
        key = (seat.voice, made.written, under, seat.desk.player.reading.clef)
        alike.setdefault(key, []).append((seat, made, under))
    for together in alike.values():
        first, made, under = together[0]
        cue = _cue(made, first, lines, rules)
        yield PieceSheet(tuple(seat for seat, _, _ in together), made, under, cue)


def _descant(line: Line, scoring: Scoring, rules: Rules) -> Iterator[Seat]:
    """Desks that could leave the tune to others and play the descant, within their range."""
    holding = [seat for seat in scoring.playing("soprano") if seat.desk.holds]
    low, high = line.lowest, line.highest
    assert low is not None
    assert high is not None
    for name in rules.descant:
        for seat in scoring.seats:
            span = seat.desk.player.instrument.sounding_range(rules.level)
            free = seat.voice != "soprano" or len(holding) > 1
            if seat.desk.player.id == name and free and low in span and high in span:
                yield Seat(seat.desk, "descant")


def _cue(made: Part, seat: Seat, lines: Mapping[str, Line], rules: Rules) -> Line | None:
    """What the highest line that is playing has in the last bars of each long rest, as the player would read it."""
    places: dict[int, Measure] = {}
    for start, stop in rests(made.written, rules.cue_bars):
        for place in range(max(start, stop - CUE_BARS), stop):
            playing = [line for voice, line in lines.items() if voice != seat.voice and _sounds(line.measures[place])]
            if playing:
                places[place] = playing[0].measures[place]
    if not places:
        return None
    shown = Line(tuple(places.get(at, _silent(bar)) for at, bar in enumerate(made.sounding.measures)), "cue")
    read = shown.map_pitches(seat.desk.player.reading.written, lambda key: key)
    own = [pitch.midi for pitch in made.written.pitches]
    away = round((sum(own) / len(own) - sum(p.midi for p in read.pitches) / len(read.pitches)) / 12)
    moved = read.octaves_up(away)
    bars = zip(moved.measures, made.written.measures, strict=True)
    return Line(tuple(replace(bar, key=own.key, tempo=None, rehearsal="") for bar, own in bars), "cue")


def _sounds(bar: Measure) -> bool:
    return any(note.pitch for note in bar.notes)


def _silent(bar: Measure) -> Measure:
    return replace(bar, notes=tuple(Note(note.quarters) for note in bar.notes))


def _away(piece: Piece, scoring: Scoring, rules: Rules) -> Iterator[Away]:
    """Who covers for those who alone hold a line: whoever holds the bass alone is moved as little as who has the tune.

    (An inner line can be missed for an evening, what stands below the chords cannot: common practice, no source.)
    """
    kept = replace(rules, uncovered={**rules.uncovered, "bass": rules.uncovered["soprano"]})
    for seat in scoring.seats:
        others = [other for other in scoring.playing(seat.voice) if other.desk.holds and other is not seat]
        if seat.desk.holds and not others:
            rest = [other.desk for other in scoring.seats if other is not seat]
            without = Search(piece.lines, rest, kept).best_in(scoring.fifths)
            instead = tuple(one for one in without.playing(seat.voice) if one.desk.holds)
            yield Away(seat, instead, _left(scoring, seat, {one.desk.id for one in instead}))


def _left(scoring: Scoring, away: Seat, covering: Collection[str]) -> tuple[str, ...]:
    """Lines that nobody plays any more where these desks take the line of who is away, and all others stay."""
    stay = {
        seat.voice for seat in scoring.seats if seat.desk.holds and seat is not away and seat.desk.id not in covering
    }
    held = dict.fromkeys(seat.voice for seat in scoring.seats if seat.desk.holds)
    return tuple(voice for voice in held if voice not in {*stay, away.voice})


def _needs(book: Book, sheets: tuple[PieceSheet, ...]) -> Iterator[tuple[PieceSheet, tuple[Need, ...]]]:
    known = learners(book)
    for sheet in sheets if known else ():
        if sheet.voice != "descant":
            facts = facts_of(sheet.part.written)
            found = (need for seat in sheet.seats for need in needs(facts, known[seat.desk.player.id]))
            yield sheet, tuple(dict.fromkeys(found))


def _drum_needs(book: Book, drummers: tuple[Player, ...], drums: tuple[Line, ...]) -> tuple[Need, ...]:
    known = learners(book)
    facts = [facts_of(line, pitched=False) for line in drums]
    players = [known[player.id] for player in drummers if known]
    return tuple(dict.fromkeys(need for player in players for each in facts for need in needs(each, player)))


def ready_words(book: Book, one: PieceView) -> str:
    """By when everybody knows the notes and their lengths."""
    if one.week is not None and book.course:
        return f"from lesson {lesson_number(book, one.week)}"
    if not book.course:
        return "no course to compare with"
    lesson = lesson_with(book, one.piece.id)
    return f"from lesson {lesson}, whose card says what to show first" if lesson else "after the course"


def missing(book: Book, one: PieceView, week: int) -> str:
    """What is not taught after ``week`` (from 0; -1 is before the first), and to whom; empty when nothing is."""
    english = book.band.english
    asked = {sheet.names(english): lacking(some, week) for sheet, some in one.needs}
    if one.drum_needs:
        asked["Drums"] = lacking(one.drum_needs, week)
    return missing_words(gathered(book, asked))


def never_taught(book: Book, one: PieceView, sheet: PieceSheet) -> str:
    """What a part asks that the course does not bring; empty when it brings all."""
    some = next((some for other, some in one.needs if other is sheet), ())
    found = gathered(book, {"": [need for need in some if need.place is None]})
    return series([each.words + (f" (bar {each.bar})" if each.bar else "") for each in found]) if found else ""


def covered(scoring: Scoring, english: str) -> tuple[str, ...]:
    """Sentences about lines that none of their usual players hold."""
    if not any(seat.desk.holds for seat in scoring.seats):
        return (_no_brass(scoring, english),)
    found = []
    for cover in covers(scoring):
        if cover.seats:
            who = series([seat.desk.name(english) + octave_words(seat.octave) for seat in cover.seats])
            verb = "covers" if len(cover.seats) == 1 else "cover"
            found.append(f"The band has none of the usual players of the {cover.voice}; the {who} {verb} it.")
    if scoring.uncovered:
        lines = series([f"the {voice}" for voice in scoring.uncovered])
        them = "it" if len(scoring.uncovered) == 1 else "them"
        found.append(f"Nobody plays {lines}: the piece sounds without {them}.{_kept(scoring)}")
    return tuple(found)


def _no_brass(scoring: Scoring, english: str) -> str:
    """What is left of a piece without brass."""
    who = series([seat.desk.name(english) for seat in scoring.seats])
    doubled = f" The {who} can play the tune, which others may sing." if who else " The drums can play to a sung tune."
    return f"Nobody in this band plays a brass instrument, so no line can be held.{doubled}"


def _kept(scoring: Scoring) -> str:
    """Why other lines were kept rather than those nobody plays."""
    lost = set(scoring.uncovered)
    if lost == {"alto", "tenor"}:
        return " Where lines are left out, the tune and the bass come first."
    other = {"alto": "tenor", "tenor": "alto"}.get(*lost, "") if len(lost) == 1 else ""  # type: ignore[call-overload]
    if not other:
        return ""
    return f" Where a line is left out, the tune and the bass come first, then the {other}, which the chords miss more."


def fold_words(scoring: Scoring, seat: Seat, line: Line) -> str:
    """As ``an octave higher in bars 5 to 8``, for phrases that are played in another octave than most; or empty."""
    found = []
    ends = [*scoring.phrases[1:], (len(line.measures), Fraction(0))]
    for (first, _), (end, beat), octave in zip(scoring.phrases, ends, seat.octaves, strict=True) if seat.folded else ():
        last = end if beat else end - 1
        if octave != seat.octave:
            bars = bar_words(line.measures[first].number, line.measures[max(first, last)].number)
            found.append(f"{octave_words(octave - seat.octave).strip(' ()')} in {bars}")
    return "; ".join(found)


def bar_words(first: int, last: int) -> str:
    """As ``bar 5`` or ``bars 5 to 8``."""
    return f"bar {first}" if first == last else f"bars {first} to {last}"


def octave_words(octave: int) -> str:
    """As `` (an octave lower)``; empty at pitch."""
    if not octave:
        return ""
    count = "an octave" if abs(octave) == 1 else f"{abs(octave)} octaves"
    return f" ({count} {'higher' if octave > 0 else 'lower'})"


def played_key(one: PieceView) -> Key:
    """The concert key it is played in."""
    return Key(one.scoring.fifths, one.piece.key.mode)


def slowly(book: Book, one: PieceView) -> Markup:
    """Where a button appears that plays a piece slowly, in the band's key: each line as its first players sound, or all
    of them where nobody has any, as in a band of drums.
    """
    seats = {seat.voice: seat for seat in reversed(one.scoring.seats)}
    voices = [
        PlayedLine(played(line, one.scoring, seat), voice, first=None, instrument=seat.desk.player.instrument)
        for voice, line in one.piece.lines.items()
        if (seat := seats.get(voice))
    ]
    if not voices:
        voices = [PlayedLine(sounding(line, one.scoring), voice, first=None) for voice, line in one.piece.lines.items()]
    return sound.slowly(voices, one.piece.title, book.band.pitch_a4)


def clock(seconds: float) -> str:
    """A length as ``1:05``."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
