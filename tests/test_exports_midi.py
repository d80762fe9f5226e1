"""MIDI files, read by pretty_midi: the same beats within a tick, bars on the phrases."""

from __future__ import annotations

import io
from bisect import bisect_right
from dataclasses import replace

import mido
import numpy as np
import pretty_midi
import pytest
from cue_cases import WORDS, heard, planned
from cue_drawing import Case, cases, of
from hypothesis import given, settings

from aquatempo.cues import timeline
from aquatempo.errors import InputError
from aquatempo.exports.midi import TICKS_PER_BEAT, midi_file
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plan import Block


def read(made: CueTimeline) -> pretty_midi.PrettyMIDI:
    """Return the file as pretty_midi reads it."""
    return pretty_midi.PrettyMIDI(io.BytesIO(midi_file(made)))


def clicks_s(file: pretty_midi.PrettyMIDI) -> list[float]:
    """Return the onsets of the click [s]."""
    return sorted(note.start for note in file.instruments[0].notes)


def assert_within_a_tick(seen: list[float], made: CueTimeline) -> None:
    """Compare onsets with beats; a tick is the shortest beat over the ticks of a beat."""
    tick_s = float(np.diff(made.beats_s).min()) / TICKS_PER_BEAT
    assert len(seen) == len(made.beats_s)
    assert float(np.abs(np.array(seen) - made.beats_s).max()) < tick_s


@settings(max_examples=25, deadline=None)
@given(cases())
def test_clicks_are_within_a_tick_of_the_beats(case: Case) -> None:
    """At 80 to 190 bpm with bridges, each click is less than a tick from its beat."""
    made = of(case)
    assert_within_a_tick(clicks_s(read(made)), made)


def irregular(seed: int, step: float) -> CueTimeline:
    """Return a timeline whose beats wander by some share of a beat."""
    rng = np.random.default_rng(seed)
    beats = 1.37 + np.cumsum(0.48 * (1 + step * rng.standard_normal(64)))
    analysis = heard((("phrase", 32), ("phrase", 32)), 125.0, beats_s=beats.tolist())
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jack")]])
    return timeline(analysis, plan, WORDS)


@pytest.mark.parametrize("step", [0.005, 0.05])
def test_irregular_beats_have_a_tempo_each(step: float) -> None:
    """Beats that wander by 0.5 or 5 percent are still met within a tick, all along."""
    made = irregular(3, step)
    file = read(made)
    assert_within_a_tick(clicks_s(file), made)
    assert len(file.get_tempo_changes()[0]) > 40


def test_a_steady_song_has_a_steady_tempo() -> None:
    """A steady song is written with a handful of tempo events, at its own tempo."""
    analysis = heard([("phrase", 32)] * 10, 131.0)
    plan = planned(analysis, [[Block(32, "jog")]] * 10)
    _, tempos = read(timeline(analysis, plan, WORDS)).get_tempo_changes()
    assert len(tempos) < 12
    assert tempos[1:] == pytest.approx([131.0] * (len(tempos) - 1), abs=0.05)


@pytest.mark.parametrize("first_s", [0.013, 0.2, 0.44, 0.7, 5.3])
def test_a_file_begins_at_the_tempo_of_the_song(first_s: float) -> None:
    """Wherever the first beat lies, the tempo before it is that of the song, within 5 percent."""
    analysis = heard([("phrase", 32)] * 2, 131.0, first_beat_s=first_s)
    made = timeline(analysis, planned(analysis, [[Block(32, "jog")]] * 2), WORDS)
    _, tempos = read(made).get_tempo_changes()
    assert tempos == pytest.approx([131.0] * len(tempos), rel=0.05)
    assert_within_a_tick(clicks_s(read(made)), made)


def test_phrases_start_bars_and_carry_markers() -> None:
    """Each phrase is a bar line with a marker, also after a bridge of 6 counts and a lead-in."""
    spans = [("intro", 6), ("phrase", 32), ("bridge", 6), ("phrase", 32)]
    analysis = heard(spans, 120.0, first_beat_s=1.1)
    plan = planned(analysis, [[], [Block(32, "jack")], [Block(6, "jog")], [Block(32, "ski")]])
    made = timeline(analysis, plan, WORDS)
    file = read(made)
    downbeats = file.get_downbeats()
    for phrase in made.phrases:
        assert np.abs(downbeats - phrase.start_s).min() < 0.002
    marks = [
        message.text
        for message in mido.MidiFile(file=io.BytesIO(midi_file(made))).tracks[0]
        if message.type == "marker"
    ]
    assert marks == [
        "1 intro, 6 counts",
        "2 phrase, 32 counts: Jack",
        "3 bridge, 6 counts: Jog",
        "4 phrase, 32 counts: Cross-country ski",
    ]


def test_count_one_is_accented() -> None:
    """The accent (high wood block) is on count 1 of each eight, the rest are low and softer."""
    made = irregular(1, 0.0)
    notes = sorted(read(made).instruments[0].notes, key=lambda note: note.start)
    assert [note.pitch == 76 for note in notes] == [beat % 8 == 0 for beat in range(64)]
    assert min(n.velocity for n in notes[::8]) > max(n.velocity for n in notes[1:8])
    assert read(made).instruments[0].is_drum


def test_the_calls_are_lyrics_at_their_times() -> None:
    """Every call is a lyric on its beat, signs in brackets where nothing is said."""
    made = irregular(2, 0.01)
    lyrics = read(made).lyrics
    assert [lyric.text.strip() for lyric in lyrics][-2:] == ["jack", "Jack"]
    for lyric, cue in zip(lyrics, made.cues, strict=True):
        assert abs(lyric.time - cue.time_s) < 0.002


def test_music_from_the_first_sample_has_no_lead_in() -> None:
    """A first beat at 0 s is the first tick."""
    analysis = heard([("phrase", 32)], 120.0, first_beat_s=0.0)
    made = timeline(analysis, planned(analysis, [[Block(32, "jog")]]), WORDS)
    assert clicks_s(read(made))[0] == 0.0
    assert bisect_right(made.beats_s, 0.0) == 1


def test_a_timeline_without_beats_is_refused() -> None:
    """Without beats there is nothing to line up with."""
    with pytest.raises(InputError, match="no beats to write"):
        midi_file(replace(irregular(1, 0.0), beats_s=()))
