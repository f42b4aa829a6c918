"""Writes Standard MIDI Files (MIDI 1.0, RP-001): repeats played out, one track a line."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import mido

from beginnerband.music.playing import order, sounds
from beginnerband.music.score import Line, Measure, added

TICKS = 480
"""Ticks a quarter note; 480 divides by every tuplet up to 6 and by 64th notes' triplets' halves exactly enough."""

_DRUM_KEYS = {"snare": 38, "bass-drum": 36, "cymbal": 49}  # General MIDI level 1 percussion key map
_VELOCITY = {"pp": 33, "p": 49, "mp": 64, "mf": 80, "f": 96, "ff": 112, "fp": 96, "sfz": 112}
DRUM_CHANNEL = 9
"""Channel 10, counted from 0."""


@dataclass(frozen=True, slots=True)
class Track:
    """One line as it sounds."""

    line: Line
    """At sounding pitch."""
    name: str = ""
    """Track name."""
    program: int = 57
    """General MIDI program, 1 to 128."""


def midi(tracks: Sequence[Track], title: str = "", unfold: bool = True) -> bytes:
    """The file. ``unfold`` plays repeats out; without it every bar is heard once."""
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    file.tracks.append(_conductor(tracks[0].line, title, unfold))
    for number, track in enumerate(tracks):
        channel = number % 15
        file.tracks.append(_track(track, channel if channel < DRUM_CHANNEL else channel + 1, unfold))
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


def _ticks(quarters: Fraction) -> int:
    over, under = quarters.as_integer_ratio()
    whole, left = divmod(over * TICKS, under)
    return round(quarters * TICKS) if left else whole


def _conductor(line: Line, title: str, unfold: bool) -> mido.MidiTrack:
    """Title, tempo, metre and key, at the bars where they change."""
    track = mido.MidiTrack()
    if title:
        track.append(mido.MetaMessage("track_name", name=title, time=0))
    now = Fraction(0)  # when anything was told last
    passed: list[Measure] = []  # the bars since
    speed, metre = Fraction(0), (0, 0)  # as they stand, so that a jump back to other ones is told
    tempos, times = line.tempos, line.times
    for place in order(line) if unfold else range(len(line.measures)):
        tempo, time = tempos[place].quarters_a_minute, times[place]
        messages = []
        if tempo != speed:
            messages.append(mido.MetaMessage("set_tempo", tempo=round(60_000_000 / tempo)))
        if (time.beats, time.unit) != metre:
            messages.append(mido.MetaMessage("time_signature", numerator=time.beats, denominator=time.unit))
        if messages:
            last, now = now, now + added(bar.quarters for bar in passed)
            messages[0].time, passed = _ticks(now) - _ticks(last), []
            track += messages
        speed, metre = tempo, (time.beats, time.unit)
        passed.append(line.measures[place])
    return track


def _track(track: Track, channel: int, unfold: bool) -> mido.MidiTrack:
    out = mido.MidiTrack()
    out.append(mido.MetaMessage("track_name", name=track.name or "part", time=0))
    out.append(mido.Message("program_change", program=max(track.program, 1) - 1, channel=channel, time=0))
    events: list[tuple[int, int, str, int, int, int]] = []  # when, off before on, kind, note, velocity, channel
    velocity = _VELOCITY["mf"]
    end = 0
    for sound in sounds(track.line, unfold):
        start, end = end, _ticks(sound.onset + sound.quarters)
        bar, place = sound.places[0]
        velocity = _VELOCITY.get(track.line.measures[bar].notes[place].dynamic, velocity)
        if sound.rest:
            continue
        number = sound.pitch.midi if sound.pitch else _DRUM_KEYS[sound.drum]
        where = channel if sound.pitch else DRUM_CHANNEL
        events.append((start, 1, "note_on", number, velocity, where))
        events.append((end, 0, "note_off", number, 0, where))
    now = 0
    for when, _, kind, number, speed, where in sorted(events):
        out.append(mido.Message(kind, skip_checks=True, note=number, velocity=speed, channel=where, time=when - now))
        now = when
    return out
