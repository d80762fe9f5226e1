"""Clicks on beats and tone figures for calls, on the sample."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from enum import IntEnum
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.records.cues import CueKind

__all__ = ["Click", "call_tone", "click_track", "clicks_over", "sample_at"]

CLICK_S = 0.03
DECAY_S = 0.006

Samples = NDArray[np.float32]


class Click(IntEnum):
    """How strong a click is."""

    BEAT = 0
    EIGHT = 1  # count 1 of an eight
    PHRASE = 2  # count 1 of a phrase


# Pitch [Hz] and level of each strength: apart in both, within what a pool loudspeaker plays.
_VOICES = {Click.BEAT: (1_000.0, 0.5), Click.EIGHT: (1_500.0, 0.7), Click.PHRASE: (2_000.0, 1.0)}

# Notes of the figure for each kind of call [Hz], one after the other.
_FIGURES = {
    CueKind.WARN: (660.0, 660.0),
    CueKind.PREVIEW: (550.0, 660.0, 550.0),
    CueKind.COUNTDOWN: (880.0,),
    CueKind.NAME: (660.0, 880.0, 1_100.0),
    CueKind.COUNT_ONE: (1_320.0,),
}
NOTE_S = 0.12
NOTE_EDGE_S = 0.008


def sample_at(time_s: float, sample_rate_hz: int) -> int:
    """Return the index of the sample nearest to a time [s].

    time_s: from the start [s]; sample_rate_hz: frames a second [Hz].

    >>> sample_at(0.5, 44_100)
    22050
    """
    return round(time_s * sample_rate_hz)


def click_track(
    times_s: Sequence[float],
    strengths: Sequence[Click],
    frames: int,
    sample_rate_hz: int,
    level: float = 0.5,
) -> Samples:
    """Return mono silence of some frames with a click at each time [s], shape (frames,).

    level is the peak of the strongest click, full scale 1.0. Clicks outside the span are left
    out. Raises InputError where times and strengths differ in number. times_s: of the clicks,
    ascending [s]; sample_rate_hz: frames a second [Hz].
    """
    silence = np.zeros((frames, 1), dtype=np.float32)
    (track,) = clicks_over([silence], times_s, strengths, sample_rate_hz, level)
    return track[:, 0]


def clicks_over(
    blocks: Iterable[Samples],
    times_s: Sequence[float],
    strengths: Sequence[Click],
    sample_rate_hz: int,
    level: float = 0.5,
) -> Iterator[Samples]:
    """Yield the blocks of a song, shape (frames, channels), with the clicks of click_track.

    A song of any length gets its clicks in bounded memory. times_s: of the clicks, ascending
    [s]; strengths: one a click; sample_rate_hz: frames a second [Hz]; level: peak of the
    strongest, 0 to 1.
    """
    if len(times_s) != len(strengths):
        raise InputError(f"{len(times_s)} click times and {len(strengths)} strengths: need as many")
    voices = {
        strength: _click(pitch_hz, level * share, sample_rate_hz)
        for strength, (pitch_hz, share) in _VOICES.items()
    }
    starts = [sample_at(time_s, sample_rate_hz) for time_s in times_s]
    clicks = sorted((start, strength) for start, strength in zip(starts, strengths, strict=True))
    clicks = [click for click in clicks if click[0] >= 0]
    longest = round(CLICK_S * sample_rate_hz)
    first = oldest = 0  # first frame of the block; first click that may still sound
    for block in blocks:
        clicked = block.copy()
        while oldest < len(clicks) and clicks[oldest][0] + longest <= first:
            oldest += 1
        for start, strength in islice(clicks, oldest, None):
            if start >= first + len(block):
                break
            sound = voices[strength][max(0, first - start) :]
            here = clicked[max(0, start - first) :][: len(sound)]
            here += sound[: len(here), None]
        first += len(block)
        yield clicked


def call_tone(kind: CueKind, sample_rate_hz: int, level: float = 0.5) -> Samples:
    """Return the tone figure that stands for a kind of call where there is no speech.

    sample_rate_hz: frames a second [Hz]; level: peak, 0 to 1.
    """
    note_frames = round(NOTE_S * sample_rate_hz)
    time_s = np.arange(note_frames) / sample_rate_hz
    edge = np.clip(np.minimum(time_s, NOTE_S - time_s) / NOTE_EDGE_S, 0.0, 1.0)
    notes = [
        level
        * edge
        * (np.sin(2 * np.pi * pitch * time_s) + 0.3 * np.sin(4 * np.pi * pitch * time_s))
        for pitch in _FIGURES[kind]
    ]
    return np.asarray(np.concatenate(notes) / 1.3, dtype=np.float32)


def _click(pitch_hz: float, level: float, sample_rate_hz: int) -> Samples:
    """Return a decaying cosine: its first sample is its peak."""
    time_s = np.arange(round(CLICK_S * sample_rate_hz)) / sample_rate_hz
    wave = level * np.exp(-time_s / DECAY_S) * np.cos(2 * np.pi * pitch_hz * time_s)
    return wave.astype(np.float32)
