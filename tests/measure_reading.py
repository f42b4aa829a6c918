"""Measures how music is read and written: thousands of files nobody here chose, against music21 and partitura.

    .venv/bin/python tests/measure_reading.py [tunes] [files]

Tunes are from the ABC collections in music21's corpus, files its MusicXML. Each is read by our reader and by
music21's; what we read is written as MusicXML and read back by music21, partitura and ourselves. Compared are pitches,
lengths (ties joined), the lengths of bars, keys, and repeats.

Each ends as one of: read rightly; refused rightly (the reason is found in the file by other means: see ``REASONS``);
refused wrongly; wrong. Where the two readers of a tune disagree, the standard decides; those cases have a name and a
section in ``DECIDED`` and are counted apart.
"""

from __future__ import annotations

import multiprocessing
import os
import re
import sys
import tempfile
import time
import warnings
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "hooks")]

from folksongs import abc_tunes  # noqa: E402
from music21 import abcFormat, converter, corpus, harmony, stream  # noqa: E402
from music21_side import (  # noqa: E402
    Events,
    Written,
    exact,
    m21_abc,
    m21_bars,
    m21_events,
    m21_keys,
    m21_repeats,
    m21_written,
)

from beginnerband.data.abc import read_abc  # noqa: E402
from beginnerband.data.read_musicxml import read_musicxml  # noqa: E402
from beginnerband.music.playing import heard  # noqa: E402
from beginnerband.music.score import Line, Score  # noqa: E402
from beginnerband.render.write_musicxml import Staff, musicxml  # noqa: E402

COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs", "miscFolk", "essenFolksong")

DECIDED: dict[str, tuple[str, Callable[[str], bool]]] = {
    "a triplet in 6/8, 9/8 … of other than three notes": (
        "ABC 2.1 section 4.13: (5, (7 and (9 are in the time of 3 in compound metres, else of 2",
        lambda text: bool(re.search(r"\([579](?![:\d])", text)),
    ),
    "a tuplet with its ratio": (
        "ABC 2.1 section 4.13: (p:q:r, and an empty q or r has its usual value",
        lambda text: bool(re.search(r"\(\d:", text)),
    ),
    "an accidental and a barline left out at the end of a line": (
        "ABC 2.1 section 4.2: accidentals hold to the end of the bar, and a line's end is no barline",
        lambda text: bool(re.search(r"[\^_=][A-Ga-g][^|\n]*\n", text)),
    ),
    "an order of parts": (
        "ABC 2.1 section 3.1.9: P: in the header says in which order the parts are played",
        lambda text: bool(re.search(r"(?m)^P:", text.partition("\nK:")[0])),
    ),
    "a repeat sign in the middle of a bar": (
        "ABC 2.1 section 4.8: a repeat sign may stand anywhere; the bar is cut in two",
        lambda text: ":|" in text or "|:" in text or "::" in text,
    ),
    "broken rhythm over a grace note, a slur or a sign": (
        "ABC 2.1 section 4.4: > and < change the two notes they stand between, whatever else stands there",
        lambda text: bool(re.search(r"[<>]\s*[\"{(.~!A-Z]|[)}]\s*[<>]", text)),
    ),
    "a tied note whose accidental holds over the barline": (
        "common practice: a tie joins two notes of one pitch, so that the second has the accidental of the first",
        lambda text: bool(re.search(r"[\^_=][A-Ga-g][,']*[\d/]*-\s*\|", text)),
    ),
    "voices named in the header before their music": (
        "ABC 2.1 section 7: V: in the header names a voice, V: in the body begins its music; music21 has an empty part",
        lambda text: bool(re.search(r"(?m)^V:", text.partition("\nK:")[0])),
    ),
    "a change of metre, unit length or key within the tune": (
        "ABC 2.1 section 3: a field in the body or in brackets holds from there on",
        lambda text: bool(re.search(r"(?m)^[MLK]:|\[[KML]:", text.partition("\nK:")[2])),
    ),
}  # fmt: skip
"""Where music21's ABC reader is known to differ: what, which rule decides, and how such a tune is known."""


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one file."""

    name: str
    kind: str
    """``rightly``, ``refused rightly``, ``refused wrongly``, ``wrong`` or ``decided``."""
    why: str = ""


# -- our own side


def events(line: Line) -> Events:
    return {(onset, length, midi) for onset, length, midi in heard(line, unfold=False)}


def bars(line: Line) -> list[Fraction]:
    return [bar.quarters for bar in line.measures]


def keys(line: Line) -> list[int]:
    found = [bar.key.fifths for bar in line.measures if bar.key]
    return [fifths for place, fifths in enumerate(found) if not place or found[place - 1] != fifths]


def repeats(line: Line) -> list[tuple[int, str]]:
    return [
        *((place, "start") for place, bar in enumerate(line.measures) if bar.repeat_start),
        *((place, "end") for place, bar in enumerate(line.measures) if bar.repeat_end),
    ]


# -- the way back


def written_back(score: Score) -> str:
    """What is wrong with our own file when others, and we, read it back; empty when nothing is."""
    text = musicxml([Staff(line) for line in score.lines], "t")
    read = converter.parseData(text, format="musicxml", forceSource=True)
    for line, part in zip(score.lines, read.parts, strict=True):
        if m21_written(part) != written(line):
            return "music21 reads other notes in our MusicXML"
        if m21_bars(part)[: whole_bars(line)] != bars(line)[: whole_bars(line)]:
            return "music21 reads other bars in our MusicXML"
        if m21_keys(part) != keys(line):
            return "music21 reads other keys in our MusicXML"
        if m21_repeats(part) != repeats(line):
            return "music21 reads other repeats in our MusicXML"
    if partitura_events(text) != set().union(*({(o, n, m) for o, n, m in events(line)} for line in score.lines)):
        return "partitura reads other notes in our MusicXML"
    again, _ = read_musicxml(text.encode())
    if again is None:
        return "we refuse our own MusicXML"
    for line, back in zip(score.lines, again.lines, strict=True):
        if (events(line), bars(line), keys(line), repeats(line)) != (
            events(back),
            bars(back),
            keys(back),
            repeats(back),
        ):
            return "we read our own MusicXML otherwise"
    return ""


def whole_bars(line: Line) -> int:
    """How many bars to compare: without a last bar of rests that is shorter than its metre.

    music21 takes a whole rest alone in a bar for the whole bar, whatever the metre; MusicXML 4.0 says it is one where
    ``<rest measure="yes"/>`` says so, and else lasts its ``<duration>``.
    """
    last = line.measures[-1]
    short = all(note.rest for note in last.notes) and last.quarters < line.times[-1].quarters
    return len(line.measures) - short


def partitura_events(text: str) -> Events:
    import partitura

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "t.musicxml"
        path.write_text(text, encoding="utf-8")
        found: Events = set()
        for part in partitura.load_musicxml(str(path)).parts:
            array = part.note_array()
            shift = -min(float(part.quarter_map(part.first_point.t)), 0.0)
            for note in array:
                if note["duration_quarter"]:
                    found.add(
                        (quick(note["onset_quarter"] + shift), quick(note["duration_quarter"]), int(note["pitch"]))
                    )
    start = min((onset for onset, _, _ in found), default=Fraction(0))
    return {(onset - min(start, Fraction(0)), length, midi) for onset, length, midi in found}


def quick(value: float) -> Fraction:
    return Fraction(float(value)).limit_denominator(480)


# -- refusals, confirmed by other means


def uneven(text: str) -> bool:
    """Whether a bar, as music21's tokenizer cuts them, is not as long as its metre (a pickup and the last make one)."""
    handler = abcFormat.ABCHandler()
    lines = (line.partition("%")[0] for line in text.splitlines())
    music = (
        line if re.match("[A-Za-z]:", line) else line.replace("x", "z") for line in lines
    )  # x is a rest, too (4.5)
    handler.process("\n".join(music))
    metre, lengths = Fraction(4), []
    for cut in handler.splitByMeasure():
        for token in cut.tokens:
            if isinstance(token, abcFormat.ABCMetadata) and token.isMeter():
                sign = token.getTimeSignatureObject()
                metre = exact(sign.barDuration.quarterLength) if sign else metre
        notes = [token for token in cut.tokens if isinstance(token, abcFormat.ABCNote) and not token.inGrace]
        if notes:
            lengths.append((sum((exact(note.quarterLength) for note in notes), Fraction(0)), metre))
    inner = any(length != full for length, full in lengths[1:-1])
    ends = lengths[0][0] + lengths[-1][0]
    return inner or (lengths[-1][0] != lengths[-1][1] and ends != lengths[-1][1]) or lengths[0][0] > lengths[0][1]


_TIE = re.compile(r"([A-Ga-g][,']*)[\d/<>]*-[^A-Ga-gzx\[]*?(?P<sign>[\^_=]*)(?P<next>[A-Ga-gzx][,']*|\[)")


def untied(text: str) -> bool:
    """A tie is followed by another letter, another octave, a new accidental or a rest."""
    music = re.sub(r'(?m)^[A-Za-z]:.*$|%.*|"[^"]*"|\{[^}]*\}|![^!\n]+!|[:|\\\s()]', "", text.partition("\nK:")[2])
    return any(match["next"] != match[1] or match["sign"] for match in _TIE.finditer(music))


def slurs_apart(text: str) -> bool:
    music = re.sub(r'(?m)^[A-Za-z]:.*$|"[^"]*"|!\w+!|%.*|\(\d', "", text)
    return music.count("(") != music.count(")") or bool(re.search(r"[|\s]\)", music)) or "-" in music


_BODY = re.compile(r"(?m)^[A-Za-z]:.*$|%.*")
_PLAIN_KEY = re.compile(r"(?im)^K:\s*[A-G][b#]?\s*(m|(maj|min|mix|dor|phr|lyd|loc|ion|aeo)[a-z]*)?\s*(%.*)?$")


def has(pattern: str) -> Callable[[str], bool]:
    """Whether a pattern is in the text."""
    return lambda text: bool(re.search(pattern, text))


def free(text: str) -> bool:
    return not re.search(r"(?m)^M:", text) or bool(re.search(r"(?m)^M:\s*(none|.*[^\dC|/ +()%\s])", text))


def odd_key(text: str) -> bool:
    return not _PLAIN_KEY.search(text)


def stray_header(text: str) -> bool:
    return bool(re.search(r"(?m)^(?![A-Za-z+]:|%|\s*$)", text.partition("\nK:")[0]))


def silent(text: str) -> bool:
    return not re.search(r"[A-Ga-g]", _BODY.sub("", text.partition("\nK:")[2]))


REASONS: tuple[tuple[str, Callable[[str], bool], str], ...] = (
    (
        "older files write several notes",
        has(r"\+[^+\n]*[A-Ga-g][^+\n]*\+"),
        "two notes at once for one player (ABC 1.6)",
    ),
    ("beats", uneven, "a bar is not as long as its metre (music21 counts the same)"),
    (
        "several notes at once",
        has(r"\[[^\]:|]*[A-Ga-g][^\]:|]*[A-Ga-g][^\]:|]*\]"),
        "two notes at once for one player (ABC 2.1, 4.17)",
    ),
    ("is no group of notes", has(r"\[[^\]:]*[zx]"), "a rest within a chord"),
    ("a tie", untied, "a tie between two pitches (ABC 2.1, 4.11)"),
    ("slur", slurs_apart, "a slur without its other end (ABC 2.1, 4.11)"),
    ("no metre|the tune has no M:", free, "free metre (ABC 2.1, 3.1.6)"),
    ("no mode|no key|is no key|in K:", odd_key, "a key that is none (ABC 2.1, 3.1.14)"),
    (
        "has no meaning in music|follows no note|beyond what",
        has(r"[=^,}:\\+/;\]0-9]"),
        "a sign that stands where ABC has none for it",
    ),
    ("stands before the K:", stray_header, "a line of the header that is no field (ABC 2.1, 2.2)"),
    ("there are no notes", silent, "no notes in it"),
    ("no chord", has('"'), "words before a note that are no chord symbol (ABC 2.1, 4.18)"),
    ("that is not there|nothing is marked", has("!D|D\\.[SC]|Segno|Fine"), "a jump that leads nowhere"),
    ("no order of parts|^P: ", has("(?m)^P:"), "an order of parts that names none (ABC 2.1, 3.1.9)"),
    ("no group|inside a group|not complete", has(r"\(\d"), "a tuplet cut by a barline"),
    ("stands where no", has("[<>]"), "broken rhythm without two notes (ABC 2.1, 4.4)"),
    ("cannot be written|no note lasts", has(r"\d"), "a length that notes do not have"),
    ("its repeats never end|ending", has(r"[|\[]\s*\d"), "endings out of order"),
)
"""What a message says, how it is confirmed in the file, and why that is refused."""


def refused(name: str, text: str, message: str) -> Result:
    for pattern, found, why in REASONS:
        if re.search(pattern, message):
            try:
                good = found(text)
            except Exception as error:
                return Result(name, "refused wrongly", f"{message}: not confirmed ({type(error).__name__}: {error})")
            return Result(name, "refused rightly" if good else "refused wrongly", why if good else message)
    return Result(name, "refused wrongly", message)


def measure_tune(case: tuple[str, str]) -> Result:
    name, text = case
    warnings.simplefilter("ignore")
    read = read_abc(text)
    if read.score is None:
        return refused(name, text, read.mistakes[0].message)
    line = read.score.lines[0]
    wrong = written_back(read.score)
    if wrong:
        return Result(name, "wrong", wrong)
    try:
        part = m21_abc(text)
        theirs = (run(m21_events(part)), m21_keys(part))
    except Exception as error:
        return Result(name, "decided", f"music21 cannot read it ({type(error).__name__})")
    if theirs[0] != run(events(line)):
        return decided(name, text, "music21 reads other notes")
    if theirs[1] != keys(line):
        return decided(name, text, f"music21 reads other keys {theirs[1]} {keys(line)}")
    return Result(name, "rightly")


def decided(name: str, text: str, what: str) -> Result:
    for case, (_, applies) in DECIDED.items():
        if applies(text):
            return Result(name, "decided", f"{what}: {case}")
    return Result(name, "wrong", what)


def run(found: Events) -> list[tuple[Fraction, int]]:
    return [(length, midi) for _, length, midi in sorted(found)]


# -- MusicXML


def files() -> Iterator[Path]:
    for path in corpus.getCorePaths():
        if Path(path).suffix in (".mxl", ".xml", ".musicxml"):
            yield Path(path)


def measure_file(path: Path) -> Result:
    warnings.simplefilter("ignore")
    name = f"{path.parent.name}/{path.name}"
    score, mistakes = read_musicxml(path.read_bytes(), split=True)
    try:
        parsed = converter.parse(path, forceSource=True, storePickle=False)
        parsed = parsed.toSoundingPitch()
    except Exception as error:
        return Result(
            name, "decided" if score else "refused rightly", f"music21 cannot read it ({type(error).__name__})"
        )
    if score is None:
        return refused_file(name, parsed, mistakes[0].message)
    ours: Written = set().union(*(written(line) for line in score.lines))
    theirs: Written = set().union(*(m21_written(part) for part in parsed.parts))
    if not same(ours, theirs):
        odd = sorted(ours ^ theirs)[:3]
        return Result(name, "wrong", f"music21 reads other notes ({len(ours - theirs)} and {len(theirs - ours)}) {odd}")
    wrong = written_back(score)
    return Result(name, "wrong" if wrong else "rightly", wrong)


def written(line: Line) -> Written:
    found: Written = set()
    for place, bar in enumerate(line.measures):
        at = Fraction(0)
        for note in bar.notes:
            if note.pitch:
                found.add((place, at, note.quarters, note.pitch.midi))
            at += note.quarters
    return found


def same(ours: Written, theirs: Written) -> bool:
    """Equal but for places and lengths that differ by less than a 128th, as coarse divisions make them."""
    left, right = (
        sorted(each, key=lambda one: (one[0], one[3], round(one[1] * 8))) for each in (ours - theirs, theirs - ours)
    )
    return len(left) == len(right) and all(
        (one[0], one[3]) == (two[0], two[3]) and max(abs(one[1] - two[1]), abs(one[2] - two[2])) < Fraction(1, 32)
        for one, two in zip(left, right, strict=True)
    )


def crowded(part: stream.Stream) -> bool:
    """Whether three notes sound at once in a part, or two in a part that also has a second voice."""
    chords = [len(one.pitches) for one in part.recurse().notes if one.isChord and not isinstance(one, harmony.Harmony)]
    return max(chords, default=0) > (1 if part.recurse().getElementsByClass(stream.Voice) else 2)


def refused_file(name: str, parsed: stream.Score, message: str) -> Result:
    """Chords for a keyboard, voices that cross a staff, bars that are not full: music21 finds them, too."""
    if "several notes" in message or "two voices" in message:
        many = any(crowded(part) for part in parsed.parts)
        return Result(
            name, "refused rightly" if many else "refused wrongly", "chords of several notes" if many else message
        )
    if "beats" in message or "shorter than the others" in message:
        for part in parsed.parts:
            metre = None
            for measure in list(part.getElementsByClass(stream.Measure))[:-1]:
                metre = measure.timeSignature or metre
                if metre and exact(measure.duration.quarterLength) != exact(metre.barDuration.quarterLength):
                    return Result(
                        name, "refused rightly", "a bar is not as long as its metre (music21 counts the same)"
                    )
        return Result(name, "refused wrongly", message)
    for pattern, why in (
        ("no time signature", "no metre: how long a bar is cannot be known"),
        ("seven sharps", "a key of its own making"),
        ("that brass players read", "quarter tones"),
        ("cannot be written", "a length that notes do not have"),
        ("no notes to play", "a part with rests only"),
        ("same number of bars|different endings", "parts that do not go together"),
        ("another transposition", "an instrument that changes"),
        ("bars|larger than|repeat bars", "a limit that the page on your own tunes states"),
        ("has no ending 1 before", "an ending whose number is left empty"),
        ("jumps to|nothing is marked|never end", "a jump that leads nowhere"),
    ):
        if re.search(pattern, message):
            return Result(name, "refused rightly", why)
    return Result(name, "refused wrongly", message)


# -- the report


def report(title: str, results: list[Result]) -> int:
    counts = Counter(result.kind for result in results)
    print(f"\n{title}: {len(results)}")
    for kind in ("rightly", "decided", "refused rightly", "refused wrongly", "wrong"):
        print(f"  {kind:16} {counts[kind]:5}  {100 * counts[kind] / max(1, len(results)):6.2f} %")
        whys = Counter(
            re.sub(r"\(\d+ and .*", "", result.why) for result in results if result.kind == kind and result.why
        )
        for why, count in whys.most_common(12):
            example = next(result.name for result in results if result.kind == kind and result.why.startswith(why))
            print(f"      {count:5}  {why[:110]}  (as {example})")
    for result in [result for result in results if result.kind in ("wrong", "refused wrongly")][:10]:
        print(f"  look at {result.name}: {result.kind}: {result.why}", flush=True)
    return counts["wrong"] + (counts["refused wrongly"] * 100 >= len(results))


def guarded(measure: Callable[[object], Result], case: object) -> Result:
    try:
        return measure(case)
    except Exception as error:
        name = case[0] if isinstance(case, tuple) else str(case)
        return Result(str(name), "wrong", f"{type(error).__name__}: {error}"[:120])


def _tune(case: tuple[str, str]) -> Result:
    return guarded(measure_tune, case)  # type: ignore[arg-type]


def _file(path: Path) -> Result:
    return guarded(measure_file, path)  # type: ignore[arg-type]


def watched(results: Iterator[Result]) -> list[Result]:
    """The results, with a count on the way: this takes a while."""
    found: list[Result] = []
    for result in results:
        found.append(result)
        if result.kind in ("wrong", "refused wrongly") or len(found) % 100 == 0:
            print(len(found), dict(Counter(one.kind for one in found)), result, file=sys.stderr, flush=True)
    return found


def main(tunes: int = 3000, many: int = 300) -> int:
    """Print the report; 1 where something is wrong, or one in a hundred is refused wrongly."""
    start = time.monotonic()
    cases = [case for name in COLLECTIONS for case in abc_tunes(name)]
    chosen = sorted(cases, key=lambda case: zlib.crc32(case[0].encode()))[:tunes]
    picked = sorted(files(), key=lambda path: zlib.crc32(path.name.encode()))[:many]
    with multiprocessing.Pool(min(2, os.cpu_count() or 1)) as pool:
        failed = report("ABC tunes", watched(pool.imap(_tune, chosen, chunksize=10)))
        failed += report("MusicXML files", watched(pool.imap(_file, picked, chunksize=3)))
    print(f"\n{time.monotonic() - start:.0f} s")
    return int(bool(failed))


def from_command_line() -> int:
    """As the command line asks."""
    return main(*map(int, sys.argv[1:3]))


if __name__ == "__main__":
    sys.exit(from_command_line())
