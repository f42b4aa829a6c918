"""Readings: how a written note becomes a sounding one.

A reading is a clef plus the interval from written to sounding. Cornet and baritone both read treble clef "in B♭", the
baritone an octave lower: one reading id (``treble-bb``), two intervals, so an instrument owns its readings.
"""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass

from beginnerband.music.pitch import Pitch, reverse, semitones, transpose

READING_IDS = ("treble-bb", "treble-eb", "treble-f", "treble-c", "bass-c", "rhythm")
"""Every reading family: treble clef in B♭, E♭, F or C, bass clef at concert pitch, and unpitched percussion."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One way of reading music on one instrument."""

    id: str
    """Family, one of :data:`READING_IDS`."""
    _: KW_ONLY
    clef: str
    """``treble``, ``bass`` or ``percussion``."""
    interval: str
    """From written to sounding, a music21 interval name: ``M-2`` sounds a major second lower."""

    @property
    def semitones(self) -> int:
        """Semitones from written to sounding (negative: sounds lower)."""
        return semitones(self.interval)

    def sounding(self, written: Pitch) -> Pitch:
        """What is heard when ``written`` is played."""
        return transpose(written, self.interval)

    def written(self, sounding: Pitch) -> Pitch:
        """What must be written for ``sounding`` to be heard."""
        return transpose(sounding, reverse(self.interval))
