"""What happens at each beat: the cues that tell count 1 from the others.

Each cue is one value a beat. Changes compare what lies before a beat with what follows
it, over spans of 2 to 16 beats: harmony moves on downbeats, arrangement on phrases.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ, FRAMES_PER_SLOW_FRAME, PITCHES
from aquatempo.rhythm.frames import BANDS, Frames

__all__ = ["BeatCues", "cues_of"]

NEAR = 3  # frames to each side of a beat that count as on it
BASS_PITCHES = 24  # semitones 28 to 51 of MIDI: 41 to 156 Hz
CHUNK = 512  # beats unpacked at a time

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BeatCues:
    """One row a beat.

    level: loudness (mean compressed energy of all bands). onset: rise of each of the
    ``BANDS`` at the beat. busy: mean rise of each band all through the beat. timbre: mean of
    each band over the beat. chroma (12) and bass (24 semitones): what sounds during the
    beat. beat, downbeat, phrase: log-odds of the front end.
    """

    level: Doubles
    onset: Doubles
    busy: Doubles
    timbre: Doubles
    chroma: Doubles
    bass: Doubles
    beat: Doubles
    downbeat: Doubles
    phrase: Doubles


def cues_of(frames: Frames, beats_s: Doubles) -> BeatCues:
    """Return the cues at each of the beats [s], which must be ascending.

    frames: signals of the track; beats_s: ascending [s].
    """
    count = len(beats_s)
    period = float(np.median(np.diff(beats_s))) if count > 1 else 0.5
    ends_s = np.append(beats_s[1:], beats_s[-1:] + period)
    timbre = _means(frames.bands, beats_s, ends_s, FRAME_RATE_HZ)
    near = _near(beats_s, len(frames.bands))
    before = np.clip(near - 2 * NEAR - 1, 0, len(frames.bands) - 1)
    onset = frames.bands[near].max(axis=1) - frames.bands[before].mean(axis=1)
    pitch = np.empty((count, PITCHES))
    rate = FRAME_RATE_HZ / FRAMES_PER_SLOW_FRAME
    for start in range(0, count, CHUNK):
        part = slice(start, start + CHUNK)
        first = max(0, int(beats_s[start] * rate))  # a beat may lie before the sound
        last = int(ends_s[part][-1] * rate) + 2
        rows = frames.features.log_pitch(first, last)
        offset = first / rate
        pitch[part] = _means(rows, beats_s[part] - offset, ends_s[part] - offset, rate)
    chroma = np.zeros((count, 12))
    for number in range(12, PITCHES):
        chroma[:, number % 12] += pitch[:, number]
    return BeatCues(
        level=timbre.mean(axis=1),
        onset=np.asarray(onset, dtype=np.float64).reshape(count, BANDS),
        busy=_means(frames.bands, beats_s, ends_s, FRAME_RATE_HZ, rising=True),
        timbre=timbre,
        chroma=chroma,
        bass=pitch[:, :BASS_PITCHES],
        beat=_odds_near(frames.beat, near),
        downbeat=_odds_near(frames.downbeat, near),
        phrase=_odds_near(frames.phrase, near),
    )


def _near(beats_s: Doubles, count: int) -> NDArray[np.int64]:
    middle = np.round(beats_s * FRAME_RATE_HZ).astype(np.int64)
    return np.asarray(np.clip(middle[:, None] + np.arange(-NEAR, NEAR + 1), 0, count - 1))


def _odds_near(activation: NDArray[np.float32], near: NDArray[np.int64]) -> Doubles:
    top = np.clip(activation[near].max(axis=1), 0.005, 0.995).astype(np.float64)
    return np.asarray(np.log(top / (1 - top)))


def _means(
    rows: NDArray[np.float32],
    starts_s: Doubles,
    ends_s: Doubles,
    rate_hz: float,
    rising: bool = False,
) -> Doubles:
    """Return the mean of the rows, or of their rise, between each start and end.

    Some beats at a time: sums over hours of rows would take as much memory as the spectra.
    """
    first = np.clip(np.round(starts_s * rate_hz).astype(int), 0, len(rows) - 1)
    last = np.clip(np.round(ends_s * rate_hz).astype(int), first + 1, len(rows))
    means = np.empty((len(starts_s), rows.shape[1]))
    for start in range(0, len(starts_s), CHUNK):
        part = slice(start, start + CHUNK)
        low, high = int(first[part].min()), int(last[part].max())
        values = rows[low:high].astype(np.float64)
        if rising:
            before = np.concatenate([rows[max(low - 1, 0)][None], rows[low : high - 1]])
            values = np.maximum(rows[low:high] - before, 0).astype(np.float64)
        sums = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(values, axis=0)])
        counts = (last[part] - first[part])[:, None]
        means[part] = (sums[last[part] - low] - sums[first[part] - low]) / counts
    return means
