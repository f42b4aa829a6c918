"""The pieces in parts, ``content/pieces/``: four voices in ABC or MusicXML, or a melody to be given three more."""

from __future__ import annotations

from pathlib import Path

from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.scoring import ScoringRules
from beginnerband.data.textfile import is_leftover, kept_by_windows, last_net
from beginnerband.data.tunes import MUSICXML, NO_SOURCE, better_name, first, no_title, note_same_titles, noted_score
from beginnerband.music.breathing import Points, proposed_together
from beginnerband.music.instrument import VOICES
from beginnerband.music.piece import Piece, with_letters, with_own_letters
from beginnerband.music.score import BarError, Line, Score
from beginnerband.music.sung import words_below
from beginnerband.music.voiceleading import moments

FOLDER = "content/pieces"
"""Where pieces are."""

_NAMES = {
    "soprano": "soprano", "s": "soprano", "treble": "soprano", "sopran": "soprano", "melody": "soprano",
    "alto": "alto", "a": "alto", "alt": "alto",
    "tenor": "tenor", "t": "tenor",
    "bass": "bass", "b": "bass", "basso": "bass",
    "descant": "descant", "d": "descant",
}  # fmt: skip


def load_pieces(
    root: Path, scoring: ScoringRules, problems: Problems, breaths: Points | None = None
) -> dict[str, Piece]:
    """Load every piece by id, in the order of file names; mistakes become problems.

    ``breaths`` says where breaths are proposed; without it none are.
    """
    pieces: dict[str, Piece] = {}
    found = len(problems.found)
    folder = root / FOLDER
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if is_leftover(path) or (path.is_dir() and path.suffix not in (".abc", *MUSICXML)):
            continue
        if better := better_name(path):
            problems.add(path, 0, f"name the file in small letters, figures and hyphens, as {better}")
        elif kept := kept_by_windows(path):
            problems.add(path, 0, kept)
        elif path.stem in pieces:
            problems.add(path, 0, f"a second piece named {path.stem!r}; give one of the files another name")
        else:
            with last_net(path, problems):
                if piece := load_piece(path, root, problems, path.stem in scoring.by_rule, breaths):
                    pieces[piece.id] = piece
    note_same_titles(root, pieces.values(), problems)
    if len(problems.found) == found:
        for name, line in scoring.wishes.items():
            if name not in pieces:
                message = f"pieces: no piece {name!r} in {FOLDER}{did_you_mean(name, pieces)}"
                elsewhere = problems.refused(root / "content" / "tunes" / name)
                problems.add(root / "content" / "scoring.yml", line, message, follows=elsewhere)
    return pieces


def load_piece(
    path: Path, root: Path, problems: Problems, by_rule: bool = False, breaths: Points | None = None
) -> Piece | None:
    """Load one piece; ``None`` when it was refused (see ``problems``).

    ``by_rule`` asks for three lower lines to a melody that has no chord symbols.
    """
    found = noted_score(path, problems, split=True)
    if found is None:
        return None
    score, fields = found
    try:
        lines, made = _four(score, by_rule)
        moments(list(lines.values()))
    except ValueError as wrong:
        problems.add(path, wrong.file_line if isinstance(wrong, BarError) else _last_begins(score), str(wrong))
        return None
    wrong_with = [] if score.title else [no_title(path)]
    if path.suffix == ".abc" and not score.source:
        wrong_with.append((1, "it does not say whose arrangement it is; add S: with who made the parts, and when"))
    for line, message in wrong_with:
        problems.add(path, line, message)
    if wrong_with:
        return None
    lines = proposed_together(with_own_letters(with_letters(lines)), breaths)
    return Piece(
        id=path.stem,
        title=score.title,
        composer=score.composer or "trad.",
        origin=first(fields, "O"),
        source=score.source or NO_SOURCE,
        kind=first(fields, "R"),
        lines={voice: lines[voice] for voice in VOICES},
        file=path.relative_to(root).as_posix(),
        descant=lines.get("descant"),
        made=made,
        verses=words_below(fields.get("W", ()), lines["soprano"]),
    )


def _last_begins(score: Score) -> int:
    """The line of the file on which the last voice begins: what is wrong with all of them is seen there."""
    return score.lines[-1].measures[0].file_line


def _four(score: Score, by_rule: bool) -> tuple[dict[str, Line], str]:
    """The lines by voice, and how they came to be; ``ValueError`` says what is missing."""
    count = len(score.lines)
    if count == 1:
        return _from_melody(score.lines[0], by_rule)
    if count not in (4, 5):
        raise ValueError(f"{count} voices where four are meant (soprano, alto, tenor, bass, and perhaps a descant)")
    named = _by_name(score.lines) or (_by_height(score.lines) if count == 4 else None)
    if named is None:
        names = ", ".join(line.name or "?" for line in score.lines)
        raise ValueError(f"five voices ({names}): name them soprano, alto, tenor, bass and descant")
    return named, ""


def _by_name(lines: tuple[Line, ...]) -> dict[str, Line] | None:
    named = {_NAMES.get(line.name.lower().rstrip(".0123456789 "), line.name): line for line in lines}
    wanted = set(VOICES) | ({"descant"} if len(lines) == 5 else set())
    return named if set(named) == wanted else None


def _by_height(lines: tuple[Line, ...]) -> dict[str, Line]:
    """Voices by their mean pitch, for a file whose parts have other names."""

    def mean(line: Line) -> float:
        return -sum(pitch.midi for pitch in line.pitches) / max(1, len(line.pitches))

    return dict(zip(VOICES, sorted(lines, key=mean), strict=True))


def _from_melody(melody: Line, by_rule: bool) -> tuple[dict[str, Line], str]:
    from beginnerband.music.harmony import by_rule as chords_by_rule
    from beginnerband.music.harmony import four_parts, symbols

    if any(note.chord for _, note in melody):
        return four_parts(melody, symbols(melody)), "chords"
    if by_rule:
        return four_parts(melody, chords_by_rule(melody)), "rule"
    raise ValueError(
        "one voice where four are meant; a tune goes into content/tunes; for a piece add chord symbols to the melody, "
        "or ask for a simple harmony made by rule: "
        "in content/scoring.yml, under pieces, the name of this file with 'harmony: by-rule'"
    )
