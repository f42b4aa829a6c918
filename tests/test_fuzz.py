"""Content damaged by chance: no traceback, never slow, refused on its line. ``measure_fuzz.py`` tries thousands."""

from __future__ import annotations

import pytest
from fuzzing import KINDS, WHOLE_FILE, Damage, Field
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Field:
    return Field(tmp_path_factory.mktemp("field") / "project")


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_content_is_used_or_refused_on_its_line(field: Field, kind: str) -> None:
    @settings(max_examples=20, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def tried(data: st.DataObject) -> None:
        damage = data.draw(field.damages[kind])
        outcome = field.outcome(damage)
        assert outcome.answer != "traceback", outcome.said
        assert outcome.seconds < 5, "processor time, not that of a clock"
        assert damage.trick or not [said for said in outcome.without_line if not WHOLE_FILE.search(said)]

    tried()


@pytest.mark.parametrize("step", ["", "CD", "H"])
def test_a_note_without_a_letter_of_its_own_is_refused(field: Field, step: str) -> None:
    name = "content/tunes/hot-cross-buns-again.musicxml"
    content = field.files[name].replace(b"<step>D</step>", f"<step>{step}</step>".encode(), 1)
    outcome = field.outcome(Damage("MusicXML", name, content))
    assert outcome.answer == "refused"
    assert not outcome.without_line
