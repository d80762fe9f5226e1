"""The yardstick's sets stay as they were frozen, and the truth scores full marks."""

from __future__ import annotations

import hashlib
import json

import numpy as np
import pytest
from yardstick import forms, hard
from yardstick.arrangement import Piece, notes_of
from yardstick.tables import scored
from yardstick.timing import perform, truth_of

pytest.importorskip("mir_eval", reason="scoring is an optional part")
FROZEN = {
    # Regression: digests of the sets on the day they were frozen (numpy 2.4 random streams).
    "form": "7944d5d091a45138",
    "hard": "6b8d644a2f152cbb",
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
