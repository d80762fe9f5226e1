"""The yardstick's sets stay as they were frozen, and the truth scores full marks."""

from __future__ import annotations

import hashlib
import json

import numpy as np
import pytest
from yardstick import forms, hard
from yardstick.arrangement import Piece, notes_of
from yardstick.held import sung
from yardstick.singing import Syllable, periods, voiced
from yardstick.tables import scored
from yardstick.timing import perform, truth_of

pytest.importorskip("mir_eval", reason="scoring is an optional part")
RATE_HZ = 44_100
FROZEN = {
    # Regression: digests of the sets on the day they were frozen (numpy 2.4 random streams).
    "form": "7944d5d091a45138",
    "hard": "6b8d644a2f152cbb",
    "sung": "1990e62579ba1612",
}


def digest(pieces: list[Piece]) -> str:
    """Return a digest of what the songs play: every note, pitch and stretch."""
    parts = []
    for piece in pieces:
        stretches = [(s.counts, s.kind, s.energy_level, s.ending) for s in piece.stretches]
        notes = [(n.sound, round(n.beat, 4), n.pitch) for n in notes_of(piece)]
        parts.append(json.dumps([piece.name, piece.tempo_bpm, stretches, notes]))
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16]


@pytest.mark.long
@pytest.mark.parametrize("name", ["form", "hard"])
def test_the_sets_are_as_frozen(name: str) -> None:
    """No song changes after the decoder has been run on it: a change makes another set."""
    assert digest({"form": forms, "hard": hard}[name].pieces()) == FROZEN[name]


@pytest.mark.long
def test_the_sung_set_is_as_frozen() -> None:
    """No song and no sung line changes after the set was heard: bands, words, pitches, places."""
    songs = [sung.song(number) for number in range(len(sung.PLAN))]
    parts = [digest([made.piece for made in songs])]
    for made in songs:
        beats = perform(made.piece, notes_of(made.piece)).beats_s
        tune = sung.tune(made, beats, np.random.default_rng(made.piece.seed))
        notes = [(note.syllable, round(note.time_s, 3), note.pitch) for note in tune]
        parts.append(json.dumps([made.singer.name, made.doubled, notes]))
    assert hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16] == FROZEN["sung"]


def test_a_spoken_syllable_is_sung_at_the_pitch_and_length_of_its_note() -> None:
    """Periods of a spoken vowel are found, and laid anew a fifth higher and drawn out."""
    t = np.arange(int(0.3 * RATE_HZ)) / RATE_HZ
    pulses = np.zeros(len(t))
    pulses[:: RATE_HZ // 120] = 1.0
    ring = np.exp(-t[:400] * 500) * np.sin(2 * np.pi * 700 * t[:400])
    spoken = np.convolve(pulses, ring)[: len(t)] * np.minimum(1, (t[-1] - t) / 0.05)
    marks = periods(spoken)
    assert np.median(np.diff(marks)) == pytest.approx(RATE_HZ / 120, rel=0.02)
    out, lead = voiced(Syllable(spoken, marks), np.full(200, 180.0), 0.8)
    middle = out[lead + RATE_HZ // 5 : lead + RATE_HZ // 2]
    alike = np.correlate(middle, middle, "full")[len(middle) - 1 :]
    assert 150 + int(np.argmax(alike[150:500])) == pytest.approx(RATE_HZ / 180, rel=0.02)
    loud = np.flatnonzero(np.abs(out) > 0.05 * np.abs(out).max())
    assert (loud[-1] - lead) / RATE_HZ == pytest.approx(0.8, abs=0.1)


@pytest.mark.parametrize("delay", [-700, 0, 1105])
def test_a_coder_delay_is_taken_off(delay: int) -> None:
    """A copy that comes back early or late lies where the music was, so that the truth holds."""
    samples = np.random.default_rng(1).standard_normal((30_000, 2))
    back = sung.placed(np.roll(samples, delay, axis=0), samples)
    assert back.shape == samples.shape
    assert np.allclose(back[2000:-2000], samples[2000:-2000])


@pytest.mark.parametrize("number", [3, 10, 21])
def test_the_truth_of_a_form_song_scores_full_marks(number: int) -> None:
    """An answer equal to the truth scores 1 on beats, bars, phrases and bridges."""
    piece = forms.piece(number, "form")
    truth = truth_of(piece, perform(piece, notes_of(piece)))
    track = {**truth, "set": "form", "id": piece.name}
    row = scored(track, {**truth, "confidence": 1.0})
    figures = (row.score.beat_f, row.score.cmlt, row.score.downbeat_f, row.score.phrase_f)
    assert figures == (1, 1, 1, 1)
    hit, there, heard = row.bridges
    assert hit == there == heard


def test_played_time_wanders_as_stated() -> None:
    """A played piece of 3 % drift changes its tempo by that much, and never runs backwards."""
    piece = next(piece for piece in hard.pieces() if piece.pulse.drift == 0.03)
    beats = np.array(truth_of(piece, perform(piece, notes_of(piece)))["beats_s"])
    tempi = 60 * 16 / (beats[16:] - beats[:-16])
    assert np.all(np.diff(beats) > 0)
    assert 0.01 < np.ptp(tempi) / piece.tempo_bpm < 0.035
