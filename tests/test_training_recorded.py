"""Music by others as songs to be joined: only what is sure, from its first count 1 on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf

pytest.importorskip("tinysoundfont", reason="training is an optional part")

from aquatempo.rhythm.analysis import analyse
from aquatempo.rhythm.features import SAMPLE_RATE_HZ
from aquatempo.training.mix import Sound, play_class
from aquatempo.training.recorded import as_written, songs_in

TEMPO_BPM = 120.0
LEAD_S = 0.7  # of silence before the first count
COUNTS = 200


@pytest.fixture(scope="module")
def song() -> Sound:
    """Kick, snare, hats and a bass that changes with each bar, at 120 bpm."""
    rng = np.random.default_rng(1)
    size = int((LEAD_S + COUNTS * 60 / TEMPO_BPM + 1) * SAMPLE_RATE_HZ)
    out = np.zeros(size)

    def put(at_s: float, sound: np.ndarray) -> None:
        at = round(at_s * SAMPLE_RATE_HZ)
        out[at : at + len(sound)] += sound[: size - at]

    t = np.arange(int(0.25 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    kick = np.sin(2 * np.pi * (50 * t - 8 * np.exp(-30 * t))) * np.exp(-12 * t)
    snare = rng.normal(0, 0.5, len(t)) * np.exp(-18 * t)
    hat = np.diff(rng.normal(0, 0.3, len(t) + 1)) * np.exp(-60 * t)
    for count in range(COUNTS):
        at_s = LEAD_S + count * 60 / TEMPO_BPM
        put(at_s, kick if count % 2 == 0 else snare)
        put(at_s, 0.4 * hat)
        put(at_s + 30 / TEMPO_BPM, 0.3 * hat)
        if count % 4 == 0:
            root_hz = (110.0, 87.3, 130.8, 98.0)[count // 4 % 4]
            long = np.arange(int(1.9 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
            chord = sum(np.sin(2 * np.pi * root_hz * part * long) for part in (1, 2.5, 3))
            put(at_s, 0.15 * chord * np.exp(-long))
        if count % 32 == 0:
            put(
                at_s,
                0.5 * rng.normal(0, 1, 2 * len(t)) * np.exp(-4 * np.arange(2 * len(t)) / 22050),
            )
    return (0.3 * out).astype(np.float32)


def test_a_sure_song_begins_with_its_first_count(song: Sound) -> None:
    """Its sound begins on a count 1, its tempo is right, its sections tile it without gap."""
    written = as_written(song, analyse(song, SAMPLE_RATE_HZ))
    assert written is not None
    assert written.tempo_bpm == pytest.approx(TEMPO_BPM, rel=1e-3)
    cut_s = (len(song) - len(written.samples)) / SAMPLE_RATE_HZ
    counts = (cut_s - LEAD_S) * TEMPO_BPM / 60
    assert counts % 4 == pytest.approx(0, abs=0.05) or counts % 4 == pytest.approx(4, abs=0.05)
    at = 0
    for begin, counts, _ in written.sections:
        assert begin == at
        at += counts


def test_unsure_or_uneven_songs_are_left_out(song: Sound) -> None:
    """Three beats a bar, an unsure count 1 and beats that leave a line are no material."""
    heard = analyse(song, SAMPLE_RATE_HZ)
    late = tuple(time_s + 0.02 * (place % 50 == 7) for place, time_s in enumerate(heard.beats_s))
    assert as_written(song, replace(heard, beats_per_bar=3)) is None
    assert as_written(song, replace(heard, confidence=0.84)) is None
    assert as_written(song, replace(heard, beats_s=late)) is None
    assert as_written(song, heard) is not None


def test_a_folder_gives_its_songs_and_they_can_be_joined(song: Sound, tmp_path: Path) -> None:
    """Files that are no audio are told and passed over; what is left makes a mix."""
    for name in "ab":
        sf.write(tmp_path / f"{name}.wav", song, SAMPLE_RATE_HZ)
    (tmp_path / "notes.mp3").write_text("no music")
    songs = songs_in(tmp_path)
    assert len(songs) == 2
    mixes = [play_class(seed, songs * 6) for seed in range(12)]
    assert any(mix.joins for mix in mixes)
    for mix in mixes:
        assert all(0 < join < len(mix.beats_s) for join in mix.joins)
