"""Music in words: for screen readers, and for leaders who do not read music yet."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from beginnerband.music.score import Key, Line, Measure, Note, Tempo, Time

VALUE_NAMES = {
    "breve": ("double whole", "breve"),
    "whole": ("whole", "semibreve"),
    "half": ("half", "minim"),
    "quarter": ("quarter", "crotchet"),
    "eighth": ("eighth", "quaver"),
    "16th": ("sixteenth", "semiquaver"),
    "32nd": ("thirty-second", "demisemiquaver"),
    "64th": ("sixty-fourth", "hemidemisemiquaver"),
}
"""Note values by MusicXML name, in American and British words."""

_DRUM_NAMES = {
    "american": {"snare": "snare drum", "bass-drum": "bass drum", "cymbal": "cymbal"},
    "british": {"snare": "side drum", "bass-drum": "bass drum", "cymbal": "cymbal"},
}
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven")
"""How many, in words."""


def counted(count: int) -> str:
    """How many, in words up to seven, then in figures."""
    return COUNTS[count] if count < len(COUNTS) else str(count)


SUGGESTED = "Breath marks in grey are suggestions, at the ends of phrases. Rub out what does not suit you."
"""What stands with music in which breaths are proposed."""


def suggested(*lines: Line) -> str:
    """:data:`SUGGESTED` where a breath in one of the lines is proposed, else empty."""
    return SUGGESTED if any(note.proposed for line in lines for _, note in line) else ""


def value_name(value: str, dots: int, english: str) -> str:
    """A note value for people: ``dotted half``, ``dotted minim``."""
    name = VALUE_NAMES[value][english == "british"]
    return {0: "", 1: "dotted ", 2: "double-dotted "}[dots] + name


def value_words(values: tuple[str, ...], english: str) -> tuple[str, ...]:
    """Values as :func:`beginnerband.music.difficulty.values_used` gives them, in ``american`` or ``british`` words."""
    found = []
    for value in values:
        *before, last = value.split(" ")
        found.append(" ".join([*before, VALUE_NAMES[last][english == "british"]]))
    return tuple(found)


def series(names: Iterable[str]) -> str:
    """Names in a sentence: ``a``, ``a and b``, ``a, b and c``; empty for none.

    What follows a comma in a name of several stands in brackets: ``a (4 valves) and b``.
    """
    *most, last = [*names] or [""]
    if most:
        *most, last = (re.sub(r"^(\w[^,()]*), (\d[^()]*)$", r"\1 (\2)", name) for name in (*most, last))
    return f"{', '.join(most)} and {last}" if most else last


def capital(text: str) -> str:
    """``text`` with its first letter large and the others as they are: ``single F horn`` becomes ``Single F horn``."""
    return text[:1].upper() + text[1:]


AFTER_A_NOTE = ("is", "and", "or", "to", "comes", "sounds", "flat", "sharp", "on", "in", "with", "played", "then")
"""Words that make of an A before them the name of a note, as a comma does."""


def in_sentence(text: str) -> str:
    """``text`` with a small first letter, as inside a sentence, unless it begins with the name of a note.

    ``A`` before any word but one of :data:`AFTER_A_NOTE` is no note.
    """
    first, *others = re.findall(r"[^\s,;]+", text)
    article = text.startswith("A ") and others[:1] and others[0].islower() and others[0] not in AFTER_A_NOTE
    return text[0].lower() + text[1:] if article or (first.isalpha() and first[1:].islower()) else text


def key_words(key: Key) -> str:
    """A signature in words: ``two flats``, ``one sharp``, ``no sharps or flats``."""
    count = abs(key.fifths)
    if not count:
        return "no sharps or flats"
    return f"{COUNTS[count]} {'sharp' if key.fifths > 0 else 'flat'}{'s' if count > 1 else ''}"


def time_words(time: Time) -> str:
    """A metre in words: ``4 beats in a bar``, ``2 beats in a bar, each in three``."""
    felt = time.beats_felt
    beats = f"{felt} beat{'s' if felt > 1 else ''} in a bar"
    return beats + (", each in three" if felt != time.beats else "")


def tempo_words(tempo: Tempo, english: str) -> str:
    """A tempo in words: ``92 crotchets a minute``."""
    try:
        name = value_name(*Note(tempo.beat).value, english)
    except ValueError:
        name = "beat"
    suffix = " notes" if english == "american" and name != "beat" else "s"
    return f"{float(tempo.bpm):g} {name}{suffix} a minute"


def note_words(note: Note, english: str, under: str = "") -> str:
    """One note: ``C4 crotchet``, ``minim rest``; ``under`` is its fingering."""
    value = value_name(*note.value, english)
    if note.tuplet and note.tuplet.actual == 3:
        value = f"triplet {value}"
    if note.rest:
        return f"{value} rest"
    name = note.pitch.sign if note.pitch else _DRUM_NAMES[english][note.drum]
    said = f"{name} {value}"
    if under:
        said += f" ({'open' if under == '0' else under})"
    if note.tie:
        said += " tied on"
    if note.fermata:
        said += ", held"
    if note.breath:
        said += ", breathe here perhaps" if note.proposed else ", breathe"
    return said


def describe(line: Line, english: str, under: tuple[str, ...] = ()) -> str:
    """A line in words, bar by bar; ``under`` gives a fingering for every note in order."""
    codes = iter(under)
    bars = [_bar(measure, english, codes) for measure in line.measures]
    pitched = any(note.pitch for _, note in line)
    head = f"{time_words(line.time)}. "
    if pitched:
        head = f"{key_words(line.key).capitalize()}, {head}"
    return head[0].upper() + head[1:] + " ".join(bars)


def _bar(measure: Measure, english: str, codes: object) -> str:
    said = []
    for note in measure.notes:
        code = next(codes, "")  # type: ignore[call-overload]
        said.append(note_words(note, english, code))
    name = f"Bar {measure.number}" if measure.number else "Pickup" if english == "american" else "Upbeat"
    if measure.repeat_start:
        name = f"Repeat from here. {name}"
    if measure.ending and measure.ending_start:
        name += f" (time {' and '.join(map(str, measure.ending))} through)"
    if measure.time:
        name += "" if measure.number <= 1 else f" ({measure.time.name})"
    end = "."
    if measure.repeat_end:
        end = ". Go back and play it again." if measure.repeat_end == 2 else f". {measure.repeat_end} times in all."
    return f"{name}: {', '.join(said)}{end}"


def beats_words(beats: Fraction) -> str:
    """A number of beats: ``1½``, ``4``, ``⅔``."""
    halves = {Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔"}
    whole, part = divmod(beats, 1)
    if part and part not in halves:
        return f"{float(beats):.2f}"
    return (str(whole) if whole or not part else "") + halves.get(part, "")
