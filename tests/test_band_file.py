"""The band file: when and where the band meets."""

from __future__ import annotations

from datetime import time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from conftest import ROOT

from beginnerband.data.band import Band, load_band
from beginnerband.data.instruments import load_instruments
from beginnerband.data.problems import DataError, Problems


def band_with(tmp_path: Path, course: str) -> Band:
    content = tmp_path / "content"
    content.mkdir()
    (content / "instruments").symlink_to(ROOT / "content" / "instruments")
    text = f"name: A Band\ncourse:\n{course}players:\n  - {{instrument: cornet}}\n"
    (content / "band.yml").write_text(text, encoding="utf-8")
    problems = Problems(tmp_path)
    band = load_band(tmp_path, load_instruments(tmp_path, problems), problems)
    problems.stop_if_any()
    assert band is not None
    return band


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("18:30", time(18, 30)),
        ('"18:30"', time(18, 30)),
        ('"9.05"', time(9, 5)),
        ('"18.00"', time(18)),
        ("09:05", time(9, 5)),
        ("0:15", time(0, 15)),
    ],
)
def test_a_time_of_day_is_read_as_people_write_it(tmp_path: Path, written: str, meant: time) -> None:
    """YAML 1.1 (yaml.org/type/int.html) would read 18:30 as the number 1110, to the base 60; ours does not."""
    band = band_with(
        tmp_path, f"  start: 2026-09-16\n  time: {written}\n  time_zone: Europe/London\n  place: The hall\n"
    )
    assert (band.time, band.time_zone, band.place) == (meant, ZoneInfo("Europe/London"), "The hall")


@pytest.mark.parametrize(
    ("course", "line", "words"),
    [
        (
            "  start: 2026-09-16\n  time: half past six\n  time_zone: Europe/London\n",
            4,
            "write hours and minutes, as 18:30",
        ),
        (
            "  start: 2026-09-16\n  time: 18.30\n  time_zone: Europe/London\n",
            4,
            "'18.3' is no time of day; write it as 18:30",
        ),
        (
            "  start: 2026-09-16\n  time: 18.5\n  time_zone: Europe/London\n",
            4,
            "'18.5' is no time of day; write it as 18:50",
        ),
        (
            "  start: 2026-09-16\n  time: 18\n  time_zone: Europe/London\n",
            4,
            "'18' is no time of day; write it as 18:00",
        ),
        (
            "  start: 2026-09-16\n  time: 930\n  time_zone: Europe/London\n",
            4,
            "'930' is no time of day; write it as 09:30",
        ),
        ("  start: 2026-09-16\n  time: 18:30\n", 2, "'time' needs 'time_zone'"),
        ("  start: 2026-09-16\n  time_zone: Europe/Londn\n", 4, "did you mean 'Europe/London'"),
    ],
)
def test_what_is_wrong_with_time_and_place_is_said(tmp_path: Path, course: str, line: int, words: str) -> None:
    with pytest.raises(DataError) as found:
        band_with(tmp_path, course)
    assert str(found.value.problems[0]).startswith(f"content/band.yml:{line}: ")
    assert words in str(found.value)
