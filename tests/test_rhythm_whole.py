"""A whole track heard from its signals alone: known beats, no audio (self-made values)."""

from __future__ import annotations

from dataclasses import replace

import mir_eval
import numpy as np
import pytest
from test_rhythm_choosing import song

from aquatempo.rhythm import analysis, hearing, one_level
from aquatempo.rhythm.analysis import analyse_frames
from aquatempo.rhythm.beats import BeatPath
from aquatempo.rhythm.features import FRAME_RATE_HZ

FRAMES = song(120, 120, count=3200)
TRUE_S = np.arange(60, 3160, 60 * FRAME_RATE_HZ / 120) / FRAME_RATE_HZ


def test_beats_of_a_track_are_those_put_there() -> None:
    """mir_eval's F-measure is 1 within 70 ms, the tempo right to 0.05 bpm, and the song steady."""
    found = analyse_frames(FRAMES, None)
    beats_s = np.array(found.beats_s)
    heard_s = beats_s[(beats_s > 1) & (beats_s < 31)]
    true_s = TRUE_S[(TRUE_S > 1) & (TRUE_S < 31)]
    assert mir_eval.beat.f_measure(true_s, heard_s) == 1.0
    assert found.tempo_bpm == pytest.approx(120.0, abs=0.05)
    assert f"{found.tempo_bpm:.6f}".endswith("000")
    assert found.steady
    assert len(found.tempo_sections) == 1
    assert found.duration_s == round(3200 / FRAME_RATE_HZ, 4)
    assert found.beats_per_bar == 4
    assert set(found.downbeats_s) <= set(found.beats_s)
    ones = np.round((np.array(found.downbeats_s) - TRUE_S[0]) * 2).astype(int)
    assert set(ones % 4) == {0}
    assert sum(phrase.counts for phrase in found.phrases) == len(found.beats_s)
    assert found.evidence is not None
    assert len(found.evidence.bar_odds) == len(found.beats_s)
    assert found.evidence.splices == ()
    assert found.notes == ()


@pytest.mark.parametrize(("duration_s", "mix"), [(480.0, False), (480.1, True)])
def test_more_than_eight_minutes_are_a_mix(duration_s: float, mix: bool) -> None:
    """A recording longer than 480 s is taken for songs joined together."""
    found = analyse_frames(replace(FRAMES, duration_s=duration_s), None)
    assert found.evidence is not None
    assert found.evidence.mix is mix


@pytest.mark.parametrize(
    ("sounding_s", "note"), [(1.9, "silence: nothing to count"), (2.1, "no beat found")]
)
def test_two_seconds_of_sound_are_the_least(
    sounding_s: float, note: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less than two seconds of sound are not listened to, wherever they lie."""
    monkeypatch.setattr(analysis, "hear", lambda *_: None)
    level = np.full(3200, -90.0, np.float32)
    level[1000 : 1000 + round(sounding_s * FRAME_RATE_HZ)] = 0.0
    found = analyse_frames(replace(FRAMES, level_db=level), None)
    assert found.notes == (note,)
    assert (found.tempo_bpm, found.tempo_confidence, found.confidence) == (None, 0.0, 0.0)
    assert not found.steady
    assert found.tempo_drift_percent == 0.0


@pytest.mark.parametrize(("beats", "heard"), [(7, False), (8, True)])
def test_eight_beats_are_the_least(
    beats: int, heard: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seven beats are none to count; eight are."""
    monkeypatch.setattr(hearing, "_joined", lambda _: TRUE_S[:beats])
    assert (hearing.hear(FRAMES) is not None) is heard


@pytest.mark.parametrize(("height", "heard"), [(0.2, False), (0.35, True)])
def test_a_beat_must_be_clear(height: float, heard: bool) -> None:
    """Beats whose activation is below a quarter are no beat found."""
    faint = np.where(FRAMES.beat > 0.5, np.float32(height), FRAMES.beat)
    found = analyse_frames(replace(FRAMES, beat=faint), None)
    assert (found.notes == ("no beat found",)) is not heard


def test_a_song_at_two_tempi_has_a_splice() -> None:
    """120 and then 133 bpm: two sections, and a splice on the first beat of the second."""
    late = song(133, 133, count=3200)
    beat, downbeat, phrase, bands = (
        np.concatenate([getattr(FRAMES, name)[:1600], getattr(late, name)[1600:]])
        for name in ("beat", "downbeat", "phrase", "bands")
    )
    joined = replace(FRAMES, beat=beat, downbeat=downbeat, phrase=phrase, bands=bands)
    found = analyse_frames(joined, None)
    assert [round(part.tempo_bpm) for part in found.tempo_sections] == [120, 133]
    assert not found.steady
    assert found.evidence is not None
    (splice,) = found.evidence.splices
    assert found.beats_s[splice] == pytest.approx(found.tempo_sections[1].start_s, abs=0.3)


@pytest.mark.parametrize(("count", "anew"), [(63, True), (64, False)])
def test_three_quarters_of_a_tempo_are_anew_in_brief_passages_alone(count: int, anew: bool) -> None:
    """Less than 64 beats at 3:4 of the tempo are counted as the rest; from there on they stay."""
    slow = 5 + 20 * np.arange(count)
    fast = slow[-1] + 15 * np.arange(1, 150)
    path = BeatPath(
        np.concatenate([slow, fast]),
        np.concatenate([np.full(count, 20.0), np.full(149, 15.0)]).astype(np.float32),
        0.0,
    )
    odds = np.full(int(fast[-1]) + 5, -3.0, np.float32)
    odds[path.frames] = 3.0
    found = one_level.at_one_level(path, odds)
    assert (found is not path) is anew
    if anew:
        assert found.periods == pytest.approx(np.full(len(found.periods), 15.0), rel=0.05)


@pytest.mark.parametrize("duration_s", [400.0, 500.0])
def test_a_clear_join_begins_a_phrase(duration_s: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A join heard for itself speaks for a phrase and against a bridge, in a mix and in a song.

    It is worth 4 nats to a phrase and costs a bridge 2, on the beat itself and those beside it.
    """
    frames = replace(FRAMES, duration_s=duration_s)
    heard = {}
    for joins in ([], [37]):
        monkeypatch.setattr(hearing, "clear_joins", lambda _, joins=joins: np.array(joins, int))
        monkeypatch.setattr(hearing, "PASSES", 0)
        found = hearing.hear(frames)
        assert found is not None
        heard[len(joins)] = found
    more = np.zeros(len(heard[0].phrases))
    more[36:39] = 1.0
    np.testing.assert_allclose(heard[1].phrases - heard[0].phrases, 4 * more, atol=1e-9)
    np.testing.assert_allclose(heard[1].bridges - heard[0].bridges, -2 * more, atol=1e-9)
