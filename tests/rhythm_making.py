"""Music with known beats, made of plain numpy: drums, bass and chords, placed to the sample.

Nothing here is shared with the package or with what its front end was trained on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 22_050

Sound = NDArray[np.float32]

PATTERNS: dict[str, dict[str, Sequence[float]]] = {
    "rock": {"kick": (0, 2, 2.5), "snare": (1, 3), "hat": tuple(np.arange(0, 4, 0.5))},
    "house": {"kick": (0, 1, 2, 3), "snare": (1, 3), "hat": (0.5, 1.5, 2.5, 3.5)},
    "half-time": {"kick": (0, 1.5), "snare": (2,), "hat": tuple(np.arange(0, 4, 0.5))},
    "swing": {
        "kick": (0, 2),
        "snare": (1, 3),
        "hat": (0, 2 / 3, 1, 5 / 3, 2, 8 / 3, 3, 11 / 3),
    },
    "waltz": {"kick": (0,), "snare": (1, 2), "hat": (0, 1, 2)},
}
"""Beats of the bar on which each drum plays."""

CHORDS = ((45, 52, 60, 64), (41, 48, 57, 60), (48, 55, 60, 64), (43, 50, 59, 62))
"""Bass note and chord tones of four bars, as MIDI numbers: Am F C G."""


@dataclass(frozen=True)
class Song:
    """Samples (n,) at ``RATE_HZ`` and the times [s] at which beats and bars were put."""

    samples: Sound
    beats_s: NDArray[np.float64]
    downbeats_s: NDArray[np.float64]
    phrases_s: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))


def steady_beats(
    tempo_bpm: float, bars: int, start_s: float = 0.5, meter: int = 4
) -> NDArray[np.float64]:
    """Return the times of the beats, and of the one after the last, at a constant tempo."""
    return np.asarray(start_s + np.arange(bars * meter + 1) * 60 / tempo_bpm)


def song(
    beats_s: NDArray[np.float64],
    pattern: str = "rock",
    *,
    meter: int = 4,
    bass: Sequence[float] = (0, 1.5, 2, 3),
    bass_gain: float = 0.25,
    silent_drums: tuple[int, int] = (0, 0),
    phrase_beats: int = 32,
    seed: int = 1,
) -> Song:
    """Return music on the given beats (the last one only ends the music).

    bass: beats of the bar on which it plays. silent_drums: first beat, and end, of a
    passage without drums and bass. A crash and a fill mark each phrase.
    """
    beats = len(beats_s) - 1
    place = np.interp  # beats, with fractions, to seconds
    index = np.arange(beats + 1)
    out = np.zeros(int((beats_s[-1] + 2.0) * RATE_HZ), np.float32)
    kit = _kit(np.random.default_rng(seed))
    for bar in range(0, beats, meter):
        drums = not silent_drums[0] <= bar < silent_drums[1]
        last = (bar + meter) % phrase_beats == 0
        for drum, places in PATTERNS[pattern].items():
            for beat in places if drums else ():
                if bar + beat < beats and not (last and drum == "hat" and beat >= meter - 1):
                    _add(out, kit[drum], place(bar + beat, index, beats_s))
        if drums and last:
            for beat in np.arange(meter - 1, meter, 0.25):
                _add(out, kit["snare"] * 0.7, place(min(bar + beat, beats), index, beats_s))
        if drums and bar % phrase_beats == 0:
            _add(out, kit["crash"], place(bar, index, beats_s))
        root, *tones = CHORDS[bar // meter % len(CHORDS)]
        ends = [*bass[1:], meter]
        for beat, end in zip(bass, ends, strict=True) if drums else ():
            start_s, end_s = place((bar + beat, bar + end), index, beats_s)
            _add(out, _note(root - 12, end_s - start_s, 6) * bass_gain, start_s)
        start_s, end_s = place((bar, bar + meter), index, beats_s)
        for tone in tones:
            _add(out, _note(tone, end_s - start_s, 4) * 0.07, start_s)
    out *= 0.5 / np.abs(out).max()
    return Song(out, beats_s[:-1], beats_s[:-1:meter], beats_s[:-1:phrase_beats])


def click_track(beats_s: NDArray[np.float64], length_s: float) -> Sound:
    """Return short clicks at some times, in silence."""
    out = np.zeros(int(length_s * RATE_HZ), np.float32)
    ticks = np.arange(int(0.03 * RATE_HZ)) / RATE_HZ
    click = np.sin(2 * np.pi * 1000 * ticks) * np.exp(-ticks / 0.006)
    for time_s in beats_s:
        _add(out, click.astype(np.float32), float(time_s))
    return out


def _kit(random: np.random.Generator) -> dict[str, Sound]:
    def ticks(length_s: float) -> NDArray[np.float64]:
        return np.arange(int(length_s * RATE_HZ)) / RATE_HZ

    def noise(t: NDArray[np.float64], decay_s: float, order: int) -> NDArray[np.float64]:
        hiss = random.standard_normal(len(t))
        for _ in range(order):  # differences take the low frequencies off
            hiss = np.diff(hiss, prepend=0.0) / 1.4
        return np.asarray(hiss * np.exp(-t / decay_s))

    t = ticks(0.25)
    sweep = 2 * np.pi * (50 * t + 90 * 0.03 * (1 - np.exp(-t / 0.03)))
    kick = np.sin(sweep) * np.exp(-t / 0.08)
    body = np.sin(2 * np.pi * 185 * t) * np.exp(-t / 0.05)
    return {
        "kick": kick.astype(np.float32),
        "snare": (0.4 * body + 0.3 * noise(t, 0.07, 1)).astype(np.float32),
        "hat": (0.12 * noise(ticks(0.08), 0.02, 3)).astype(np.float32),
        "crash": (0.3 * noise(ticks(1.5), 0.4, 2)).astype(np.float32),
    }


def _note(number: float, length_s: float, harmonics: int) -> Sound:
    t = np.arange(int(max(length_s, 0.05) * RATE_HZ)) / RATE_HZ
    frequency = 440 * 2 ** ((number - 69) / 12)
    wave = sum(np.sin(2 * np.pi * k * frequency * t) / k for k in range(1, harmonics + 1))
    shape = np.minimum(t / 0.004, 1) * np.minimum((t[-1] - t) / 0.02, 1) * np.exp(-t / 1.5)
    return np.asarray(wave * np.clip(shape, 0, 1), dtype=np.float32)


def _add(out: Sound, sound: Sound, time_s: float) -> None:
    first = round(float(time_s) * RATE_HZ)
    room = max(0, min(len(sound), len(out) - first))
    out[first : first + room] += sound[:room]
