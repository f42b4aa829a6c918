"""Words about music that are true for everyone in the room, built from written note, fingering and harmonic.

A text of the course holds them in braces: ``{fingers calling}`` becomes a sentence about how the music ``calling`` is
played by this band, ``{calling}`` its title. A sentence such as "only fingers move" is true for a cornet and false for
an F horn that takes both notes with one valve; so it is never written by hand.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from difflib import get_close_matches

from beginnerband.music.pitch import Pitch
from beginnerband.music.player import Player
from beginnerband.music.tuning import pull_mm, pull_words
from beginnerband.music.words import COUNTS, capital, counted, series
from beginnerband.teaching.hands import HANDS, KINDS, STILL, kept, kinds, moved, together
from beginnerband.teaching.heard import Heard, code, crossings, same_tube, slides
from beginnerband.teaching.who import called
from beginnerband.teaching.wording import half_step

PLACE = re.compile(r"\{([a-z-]+)(?: ([a-z0-9-]+))?\}")
"""A phrase in a text."""

FAR = 6
"""The slide position from which a short arm does not reach."""


EARLIER = ("long-note", "second-sound", "third-sound", "low-note", "own-five", "five")
"""Music that brings notes before any beyond the five steps: a room with notes of its own has some of these by then."""


def octaves_away(half_steps: int) -> str:
    """From a note to the same one higher or lower: ``an octave up``, ``three octaves down``; empty for any other."""
    octaves, more = divmod(abs(half_steps), 12)
    if more or not octaves:
        return ""
    count = "an octave" if octaves == 1 else f"{counted(octaves)} octaves"
    return f"{count} {'up' if half_steps > 0 else 'down'}"


class UnknownPhraseError(ValueError):
    """A phrase that stands for nothing; the message says which."""


class Phrases:
    """The phrases of one band."""

    def __init__(
        self,
        parts: Mapping[str, Sequence[Heard]],
        titles: Mapping[str, str],
        english: str,
        facts: Mapping[str, str],
    ) -> None:
        """``parts`` by music id, ``titles`` of music and pieces by id, ``english`` the band's, ``facts`` by name."""
        self._parts, self._titles, self._english = parts, titles, english
        self._facts = facts
        self._everyone = {each.player.id: each.player for heard in parts.values() for each in heard}.values()

    def among(self, players: Collection[Player]) -> Phrases:
        """The same where only these are spoken of."""
        parts = {ident: [each for each in heard if each.player in players] for ident, heard in self._parts.items()}
        return Phrases(parts, self._titles, self._english, self._facts)

    def fill(self, text: str) -> str:
        """``text`` with its phrases; :class:`UnknownPhraseError` for one that is not known."""

        def one(match: re.Match[str]) -> str:
            name, music = match[1], match[2]
            if music is None:
                return self._plain(name)
            known = PHRASES
            if name not in known:
                joined = f"{name}-{music}"
                hint = (
                    f"did you mean {{{joined}}}?" if joined in self._titles else f"there are {', '.join(sorted(known))}"
                )
                raise UnknownPhraseError(f"no phrase {name!r}; {hint}")
            if music not in self._parts:
                near = get_close_matches(music, self._parts, n=1)
                hint = f"; did you mean {{{name} {near[0]}}}?" if near else ""
                raise UnknownPhraseError(f"no music {music!r} for the phrase {match[0]}{hint}")
            return known[name](self, self._parts[music])

        return re.sub(r"(?<=[.:?!,;])\s+(?:[.,;])|\s{2,}", " ", PLACE.sub(one, text)).strip()

    def fault(self, text: str) -> str:
        """What is wrong with the first mark of ``text`` that stands for nothing; empty where all are known."""
        try:
            self.fill(text)
        except UnknownPhraseError as error:
            return str(error)
        return ""

    @property
    def known(self) -> Collection[str]:
        """Ids of music and pieces, and names of facts."""
        return {*self._titles, *self._facts}

    def knows(self, ident: str) -> bool:
        """Whether there is music or a piece of this id."""
        return ident in self._titles

    def _plain(self, name: str) -> str:
        found = self._titles.get(name) or self._facts.get(name)
        if found is None:
            raise UnknownPhraseError(f"no music, piece, fact or word {name!r}")
        return found

    def name(self, players: Sequence[Player]) -> str:
        """Players by instrument, or by what they have in common: ``cornet and trumpet``, ``E♭ instruments``."""
        return called(players, self._everyone, self._english)

    def names(self, heard: Sequence[Heard]) -> str:
        """Written letters with fingerings, by those who share them: ``B♭ cornet: F (1); E♭ tenor horn: C (open)``."""
        groups: dict[str, list[Player]] = {}
        for each in heard:
            if each.player.instrument.pitched:
                groups.setdefault(self._notes(each), []).append(each.player)
        return capital("; ".join(f"{self.name(players)} {notes}" for notes, players in groups.items()))

    def top(self, heard: Sequence[Heard]) -> str:
        """The same for the highest note alone: ``B♭ cornet B♭ (1); E♭ tenor horn F (1)``."""
        return self._one(heard, max)

    def low(self, heard: Sequence[Heard]) -> str:
        """The same for the lowest note alone."""
        return self._one(heard, min)

    def _one(self, heard: Sequence[Heard], pick: Callable[..., Pitch]) -> str:
        groups: dict[str, list[Player]] = {}
        for each in heard:
            if each.player.instrument.pitched and each.notes:
                note = pick(each.notes, key=lambda pitch: pitch.midi)
                groups.setdefault(f"{note.letter_sign}{code(each, note)}", []).append(each.player)
        return "; ".join(f"{self.name(players)} {note}" for note, players in groups.items())

    def _notes(self, heard: Heard) -> str:
        return series([f"{note.letter_sign}{code(heard, note)}" for note in heard.notes])

    def fingers(self, heard: Sequence[Heard]) -> str:
        """Whether only fingers and slides move from note to note, or lips as well, and for whom."""
        brass = [each for each in heard if each.player.instrument.brass]
        still = [each for each in brass if crossings(each) and not moved(each)]
        crossing = [each for each in brass if crossings(each) and each not in still]
        moving_kinds = kinds(each for each in brass if each not in still)
        moving, move = _moving(moving_kinds)
        if not moving_kinds and not still:
            return "Nothing moves: hands, lips and air stay as they were." if brass else ""
        if not crossing and not still:
            return f"Only {moving} {move}. Lips and air stay as they were."
        if len(still) == len(brass):
            return "Only lips and air change; hands keep still."
        alone = f" On the {self._from_to(still)} only lips and air change." if still else ""
        stay = [each for each in brass if each not in crossing and each not in still]
        if _many(crossing) > _many(stay):
            with_them = series(kinds(crossing))
            with_them = {"fingers": "the fingers", "slides": "the slide"}.get(with_them, with_them)
            only = " ".join(_moving(kinds(stay)))
            but = f", except on the {self.name([each.player for each in stay])}: there only {only}" if stay else ""
            return f"Lips and air change with {with_them}{but}.{alone}"
        if not crossing:
            return f"{capital(moving)} {move}; lips stay.{alone}"
        return f"{capital(moving)} {move}; lips stay, except on the {self._from_to(crossing)}.{alone}"

    def move(self, heard: Sequence[Heard]) -> str:
        """What hands do with this music, sung or played: ``finger it``, ``finger or slide it``, or what is so for all.

        Where nobody moves anything, what all hold, as ``hold valve 1 down``. A few who move neither are told so by
        :meth:`hands`. Who does not blow plays in the air.
        """
        brass = [each for each in heard if each.player.instrument.brass]
        moving = kinds(brass)
        if moving[:2] == KINDS[:2]:
            return "finger or slide it"
        if moving:
            return HANDS[moving[0]].do
        told = {kept(each) for each in brass}
        return "play it in the air" if not brass else told.pop() if len(told) == 1 else STILL.do

    def hands(self, heard: Sequence[Heard]) -> str:
        """What hands take care of where these notes change, as a sentence; and whose hands keep still."""
        still = [each.player for each in heard if each.player.instrument.brass and not moved(each)]
        told = _sentence(together(heard, lambda hands: hands.care))
        return f"{told} {capital(self.name(still))}: {STILL.care}." if still and kinds(heard) else told

    def seen(self, heard: Sequence[Heard]) -> str:
        """How hands look that move as they should, as a sentence."""
        return _sentence(together(heard, lambda hands: hands.seen))

    def slip(self, heard: Sequence[Heard]) -> str:
        """How they look where they do not, as what goes wrong is put: without a full stop."""
        return together(heard, lambda hands: hands.slip)

    def mend(self, heard: Sequence[Heard]) -> str:
        """What helps then, as a sentence."""
        return _sentence(together(heard, lambda hands: hands.mend))

    def _from_to(self, crossing: Sequence[Heard]) -> str:
        """Who changes harmonic, and first between which notes: ``E♭ tenor horn from G to A``."""
        by_notes: dict[str, list[Player]] = {}
        for each in crossing:
            by_notes.setdefault(crossings(each)[0], []).append(each.player)
        return " and on the ".join(f"{self.name(players)} from {notes}" for notes, players in by_notes.items())

    def lips(self, heard: Sequence[Heard]) -> str:
        """Two of these notes that each player has on the same valves or position, for slurs of the lips alone."""
        found: dict[str, list[Player]] = {}
        for each in heard:
            pair = same_tube(each)
            if pair:
                found.setdefault(pair, []).append(each.player)
        if not found:
            sliding = {slides(each) for each in heard if each.player.instrument.brass}
            ways = "with the same fingers", "in the same position"
            return f"Find two notes that you play {' or '.join(ways[each] for each in sorted(sliding or {False}))}"
        return "; ".join(f"{self.name(players)} {pair}" for pair, players in found.items())

    def signs(self, heard: Sequence[Heard]) -> str:
        """Who sees a flat or sharp before a note, where no key signature stands; empty where nobody does."""
        found: dict[str, list[Player]] = {}
        for each in heard:
            signs = dict.fromkeys({-1: "flat", 1: "sharp"}.get(note.alter, "") for note in each.notes)
            for sign in filter(None, signs):
                found.setdefault(sign, []).append(each.player)
        said = [
            f"{self.name(players)} {_verb(players, 'see')} a {sign} before it: that is part of its name"
            for sign, players in found.items()
        ]
        sentence = "; ".join(said)
        return f"{capital(sentence)}." if sentence else ""

    def octaves(self, heard: Sequence[Heard]) -> str:
        """Whether all sound in unison, or in which octaves."""
        lows: dict[int, list[Player]] = {}
        for each in heard:
            if each.player.instrument.pitched and each.line.pitches:
                sounding = each.player.reading.sounding(each.line.pitches[0])
                lows.setdefault(sounding.octave * 12 + sounding.midi % 12, []).append(each.player)
        if len({height % 12 for height in lows}) > 1:
            return "each room on its own note"
        if len(lows) <= 1:
            return "all at one height"
        lowest, *between, highest = sorted(lows)
        middle = f", {self.name(lows[between[0]])} between" if len(between) == 1 else ""
        count = f"{COUNTS[len(lows)]} octaves"
        return f"in {count}: {self.name(lows[highest])} highest{middle}, {self.name(lows[lowest])} lowest"

    def _moves(self, heard: Sequence[Heard]) -> tuple[list[Player], list[Player]]:
        """Who goes below what they played in the five steps, and who above."""
        had = {each.player.id: [note.midi for note in each.notes] for each in self._parts.get("five", ())}
        pairs = [(each.player, [note.midi for note in each.notes], had.get(each.player.id)) for each in heard]
        down = [player for player, now, before in pairs if now and before and min(now) < min(before)]
        return down, [player for player, now, before in pairs if now and before and max(now) > max(before)]

    def ways(self, heard: Sequence[Heard]) -> str:
        """Who finds notes below the five steps, and who above; and who knows them already, from a room of their own."""
        down, up = self._moves(heard)
        goes: dict[tuple[str, bool], list[Player]] = {}
        for way, players in (("down", down), ("up", up)):
            for player in players:
                goes.setdefault((way, self._new(player, heard)), []).append(player)
        if not goes:
            return "We fill the steps between."
        if len(goes) == 1:
            [(way, new)] = goes
            return f"We go {way} to {'new notes' if new else 'notes we know'}."
        said, before = list[str](), None
        for (way, new), players in goes.items():
            where = "" if new is before else " to new notes" if new else " to known notes"
            said.append(f"{self.name(players)} {_verb(players, 'go')} {way}{where}")
            before = new
        return _sentence(capital("; ".join(said)))

    def _new(self, player: Player, heard: Sequence[Heard]) -> bool:
        """Whether any note of this music is new to a player."""
        parts = [part for ident in EARLIER for part in self._parts.get(ident, ()) if part.player.id == player.id]
        known = {note.midi for part in parts for note in part.notes}
        return any({note.midi for note in each.notes} - known for each in heard if each.player.id == player.id)

    def octave(self, heard: Sequence[Heard]) -> str:
        """Who begins this music on the first note in another octave; empty where nobody does."""
        first = {each.player.id: each.line.pitches[0].midi for each in self._parts.get("long-note", ())
                 if each.player.instrument.pitched}  # fmt: skip
        found: dict[str, list[Player]] = {}
        for each in heard:
            away = each.line.pitches[0].midi - first.get(each.player.id, 0) if each.player.id in first else 0
            if way := octaves_away(away):
                found.setdefault(way, []).append(each.player)
        said = [f"{self.name(players)} {_verb(players, 'take')} our note {way}" for way, players in found.items()]
        return _sentence(capital("; ".join(said)))

    def more(self, heard: Sequence[Heard]) -> str:
        """Who finds a note in this music that is in none before it, and where; empty where nobody does."""
        found: dict[str, list[Player]] = {}
        for each in heard:
            known = {note.midi for ident in ("five", "two-more", "key-note") for part in self._parts.get(ident, ())
                     if part.player.id == each.player.id for note in part.notes}  # fmt: skip
            new = {note.midi for note in each.notes} - known
            if new and known:
                where = "above" if min(new) > max(known) else "below" if max(new) < min(known) else "between"
                found.setdefault(f"{COUNTS[len(new)]} more {where}", []).append(each.player)
        said = "; ".join(f"{self.name(players)} {_verb(players, 'find')} {what}" for what, players in found.items())
        return _sentence(capital(said))

    def turns(self, heard: Sequence[Heard]) -> str:
        """Who takes turns where some go down and some up, or all one way."""
        if all(self._moves(heard)):
            return "Two bars by those who go down, two by those who go up"
        return "Two bars by the odd chairs, two by the even ones"

    def slide(self, heard: Sequence[Heard]) -> str:
        """Where the slide goes, and what a short arm does where that is far; empty without a trombone."""
        found: dict[tuple[tuple[int, ...], str], list[Player]] = {}
        for each in filter(slides, heard):
            ways = [(note, way) for note in each.notes if (way := each.way(note)) and way.position]
            places = tuple(dict.fromkeys(way.position for _, way in ways if way.position))
            if places:
                down = series([note.letter_sign for note, way in ways if way.trigger])
                found.setdefault((places, f", with the trigger for {down}" if down else ""), []).append(each.player)
        said = [
            f"{capital(self.name(players)) if len(found) > 1 else 'Slide'}: position{'s' * (len(places) > 1)} "
            f"{series(map(str, places))}{trigger}."
            for (places, trigger), players in found.items()
        ]
        if any(max(places) >= FAR for places, _ in found):
            said.append("A short arm leaves that note out or turns the shoulder; never stretch the hand off the stay.")
        return " ".join(said)

    def pull(self, heard: Sequence[Heard]) -> str:
        """How far tuning slides come out for 20 cents, smallest and largest: a pull is never the same for all."""
        pulls = [(pull_mm(each.player.instrument, 20), each.player) for each in heard if each.player.instrument.brass]
        if not pulls:
            return "Keyed percussion cannot be tuned; it is the pitch the others tune to."
        least, most = min(pulls, key=lambda pair: pair[0]), max(pulls, key=lambda pair: pair[0])
        step = half_step(self._english)
        said = f"a fifth of a {step} is {pull_words(least[0], self._english)} on the {self.name([least[1]])}"
        if most[0] - least[0] < 1:
            return said
        return f"{said} and {pull_words(most[0], self._english)} on the {self.name([most[1]])}"


PHRASES: Mapping[str, Callable[[Phrases, Sequence[Heard]], str]] = {
    "names": Phrases.names,
    "top": Phrases.top,
    "low": Phrases.low,
    "fingers": Phrases.fingers,
    "move": Phrases.move,
    "hands": Phrases.hands,
    "seen": Phrases.seen,
    "slip": Phrases.slip,
    "mend": Phrases.mend,
    "octaves": Phrases.octaves,
    "lips": Phrases.lips,
    "signs": Phrases.signs,
    "slide": Phrases.slide,
    "turns": Phrases.turns,
    "ways": Phrases.ways,
    "pull": Phrases.pull,
    "more": Phrases.more,
    "octave": Phrases.octave,
}
"""Phrases that speak of a piece of music."""


def _moving(kinds_of: Sequence[str]) -> tuple[str, str]:
    """What moves, and the verb for it: ``fingers and slides``, ``move``."""
    return series(kinds_of), "moves" if tuple(kinds_of) == ("the trigger",) else "move"


def _many(heard: Sequence[Heard]) -> int:
    """How many play it."""
    return sum(max(each.player.count, 1) for each in heard)


def _sentence(words: str) -> str:
    return f"{words}." if words else ""


def _verb(players: Sequence[Player], verb: str) -> str:
    """A verb after the names of instruments: each is named once, however many play it."""
    return verb if len(players) > 1 else {"go": "goes"}.get(verb, f"{verb}s")
