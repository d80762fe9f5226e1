"""From the beat grid to seconds: drift, sway, swing, scatter; and the truth that follows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from studio.mix import Sounding
from studio.players import Note

from .arrangement import Piece

TAIL_S = 2.5
FADE_END_DB = -34.0
Times = NDArray[np.float64]


@dataclass(frozen=True)
class Performance:
    """Notes in time, the beats they were played to, and the length of the track."""

    soundings: list[Sounding]
    beats_s: Times
    end_s: float
    fade_from_s: float | None


def pulse_times(piece: Piece, rng: np.random.Generator) -> Times:
    """Return the time of every beat from the pick-up to one past the last.

    The tempo wanders within the drift as a sum of two slow waves; on top of it the whole
    band pushes or drags single beats by the sway, half of it carried on to the next beat.
    """
    count = piece.pickup_counts + piece.counts + 1
    turns = rng.uniform(0, 2 * np.pi, 2)
    position = np.arange(count) / count
    wander = np.sin(2 * np.pi * 1.3 * position + turns[0]) + 0.5 * np.sin(
        2 * np.pi * 4.1 * position + turns[1]
    )
    wander *= 0.5 / max(1e-9, np.abs(wander).max())
    periods = 60 / (piece.tempo_bpm * (1 + piece.pulse.drift * wander))
    times = piece.silence_s + np.concatenate([[0.0], np.cumsum(periods[:-1])])
    sway = np.zeros(count)
    for beat in range(1, count):
        sway[beat] = 0.5 * sway[beat - 1] + rng.normal(0, piece.pulse.sway_ms / 1000)
    return np.asarray(times + np.clip(sway, -0.03, 0.03))


def perform(piece: Piece, notes: list[Note]) -> Performance:
    """Return the notes in time. Scatter is symmetric, and the drummer's is half of it."""
    rng = np.random.default_rng(piece.seed + 1)
    beats = pulse_times(piece, rng)
    grid = np.arange(len(beats)) - piece.pickup_counts
    soundings = []
    for note in sorted(notes, key=lambda note: (note.beat, note.sound, note.pitch)):
        start = at(note.beat, piece.style.swing, grid, beats)
        stop = at(note.beat + note.beats, 0.5, grid, beats)
        scatter = piece.pulse.scatter_ms / 1000 * (0.5 if note.pitch == 0 else 1.0)
        late = float(np.clip(rng.normal(0, 1), -2.5, 2.5)) * scatter
        held = max(0.05, stop - start)
        soundings.append(
            Sounding(note.sound, max(0.0, start + late), held, note.pitch, note.velocity)
        )
    if not piece.fade_counts:
        return Performance(soundings, beats, float(beats[-1]) + TAIL_S, None)
    return Performance(soundings, beats, float(beats[-1]), float(beats[-1 - piece.fade_counts]))


def at(beat: float, swing: float, grid: NDArray[np.int_], beats: Times) -> float:
    """Return the time of a position; beyond the last beat the tempo runs on."""
    whole, part = divmod(beat, 1.0)
    part = part * 2 * swing if part < 0.5 else swing + (part - 0.5) * 2 * (1 - swing)
    place = whole + part - grid[0]
    last = len(beats) - 1
    if place >= last:
        return float(beats[-1] + (place - last) * (beats[-1] - beats[-2]))
    return float(np.interp(place, np.arange(len(beats)), beats))


def truth_of(piece: Piece, performance: Performance) -> dict[str, Any]:
    """Return the truth record: beats as the band meant them, stretches, bridges."""
    beats, heard_s = performance.beats_s, performance.end_s
    if performance.fade_from_s is not None:
        part = 10 ** (FADE_END_DB / 40)
        heard_s -= (heard_s - performance.fade_from_s) * part
        beats = beats[:-1]
    beats = beats[beats <= heard_s]
    spans = [(s.counts, s.kind, s.energy_level) for s in piece.stretches]
    if piece.pickup_counts:
        spans.insert(0, (piece.pickup_counts, "intro", "low"))
    phrases, begin = [], 0
    for counts, kind, level in spans:
        if begin >= len(beats):
            break
        stop = performance.beats_s[min(begin + counts, len(performance.beats_s) - 1)]
        phrases.append(
            {
                "start_s": round(float(beats[begin]), 4),
                "end_s": round(float(min(stop, heard_s)), 4),
                "start_beat": begin,
                "counts": min(counts, len(beats) - begin),
                "kind": kind,
                "energy_level": level,
            }
        )
        begin += counts
    return {
        "title": piece.name,
        "tempo_bpm": round(float(60 / np.median(np.diff(beats))), 3)
        if piece.pulse.drift or piece.pulse.sway_ms
        else piece.tempo_bpm,
        "beats_per_bar": piece.beats_per_bar,
        "duration_s": round(performance.end_s, 3),
        "beats_s": [round(float(time), 4) for time in beats],
        "downbeats_s": [
            round(float(time), 4) for time in beats[piece.pickup_counts :: piece.beats_per_bar]
        ],
        "phrases": phrases,
        "bridges": [phrase for phrase in phrases if phrase["kind"] == "bridge"],
        "steady": not (piece.pulse.drift or piece.pulse.sway_ms),
        "level_arguable": piece.arguable,
        "tags": list(piece.tags),
        "notes": piece.notes,
        **piece.extra,
    }
