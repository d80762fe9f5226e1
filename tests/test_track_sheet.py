"""A track sheet stands in where there is no audio file."""

from __future__ import annotations

import pytest

from aquatempo.documents.track_sheet import read_track_sheet
from aquatempo.errors import TextFileError
from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import PhraseKind

SHEET = """\
title = "Morning lanes"
length = "1:00"
tempo_bpm = 120
first_count_1_s = 2.0
phrases = [16, 32, 8, 32]
"""


def test_a_sheet_gives_beats_and_phrases_by_arithmetic() -> None:
    """At 120 bpm a beat lasts 0.5 s: phrases start 8, 24 and 28 s after count 1 (arithmetic)."""
    title, analysis = read_track_sheet("lanes.toml", SHEET)
    assert title == "Morning lanes"
    assert analysis.origin is Origin.ENTERED
    assert len(analysis.beats_s) == 116
    starts = [phrase.start_s for phrase in analysis.phrases]
    assert starts == pytest.approx([2.0, 10.0, 26.0, 30.0])
    kinds = [phrase.kind for phrase in analysis.phrases]
    assert kinds == [PhraseKind.INTRO, PhraseKind.PHRASE, PhraseKind.BRIDGE, PhraseKind.PHRASE]
    assert analysis.downbeats_s[:2] == pytest.approx((2.0, 4.0))


def test_without_phrases_a_sheet_counts_in_thirty_twos() -> None:
    """A sheet with tempo and length only is taken as phrases of 32 and a rest."""
    _, analysis = read_track_sheet("a.toml", 'tempo_bpm = 128\nlength = 60\ntitle = "A"')
    assert [phrase.counts for phrase in analysis.phrases] == [32, 32, 32, 32]
    assert analysis.beats_s[0] == 0.0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('length = "3:20"', "no tempo_bpm: needs tempo_bpm = 30 to 300 bpm"),
        ("tempo_bpm = -4\nlength = 60", "line 1: tempo_bpm -4: needs 30 to 300 bpm"),
        (
            "tempo_bpm = 120\nlength = 'long'",
            "line 2: length .long.: needs seconds .83.5. or minutes and seconds",
        ),
        (
            "tempo_bpm = 120\nlength = 60\nphrases = [32, 0]",
            "line 3: counts 0: needs 1 to 4096 counts",
        ),
        (
            "tempo_bpm = 120\nlength = 20\nphrases = [32, 32]",
            "phrases take 64 counts but the track",
        ),
        (
            "tempo_bpm = 120\nlength = 60\n[[phrases]]\ncounts = 8\nkind = 'verse'",
            "line 5: kind 'verse': needs one of intro, phrase, bridge, break, outro",
        ),
        ("tempo_bpm = 120\nlenght = 60", "line 2: unknown key 'lenght'"),
    ],
)
def test_a_wrong_sheet_is_refused_with_its_line(text: str, message: str) -> None:
    """Each mistake gives one line: what was seen, what is needed, where."""
    with pytest.raises(TextFileError, match=message):
        read_track_sheet("sheet.toml", text)
