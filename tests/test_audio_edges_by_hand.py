"""Stretching to the frame, whatever the library returns, and tones of calls (own values)."""

from __future__ import annotations

import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from aquatempo.audio.clicks import call_tone
from aquatempo.audio.mixdown import MonoMix
from aquatempo.audio.stretching import SEED, stretch
from aquatempo.records.cues import CueKind


@pytest.mark.parametrize("off", [-2, -1, 0, 1, 3])
def test_a_stretch_has_its_frames_whatever_the_library_returns(
    off: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1,000 frames at 1.05 are 952: what is missing is silence at the end, what is more is cut."""
    asked: list[Any] = []

    class Stretcher:
        def __init__(self, seed: int) -> None:
            asked.append(seed)

        def preset(self, channels: int, rate_hz: float) -> None:
            asked.extend((channels, rate_hz))

        def setTimeFactor(self, speed: float) -> None:
            asked.append(speed)

        def process(self, samples: Any) -> Any:
            asked.append(samples.shape)
            return np.arange(1, 2 * (952 + off) + 1, dtype=np.float64).reshape(2, -1)

    library = SimpleNamespace(Signalsmith=SimpleNamespace(Stretch=Stretcher))
    monkeypatch.setitem(sys.modules, "python_stretch", library)
    moved = stretch(np.zeros((1000, 2), np.float32), 44_100, 1.05)
    assert asked == [SEED, 2, 44_100.0, 1.05, (2, 1000)]
    kept = min(952, 952 + off)
    assert moved.shape == (952, 2)
    assert moved.dtype == np.float32
    assert moved[:kept, 0].tolist() == list(range(1, kept + 1))
    assert moved[:kept, 1].tolist() == list(range(953 + off, 953 + off + kept))
    assert not moved[kept:].any()


@pytest.mark.parametrize(
    ("kind", "pitches_hz"), [(CueKind.PREVIEW, (550.0, 660.0, 550.0))]
)  # our own choice of notes
def test_a_preview_sounds_as_three_notes(kind: CueKind, pitches_hz: tuple[float, ...]) -> None:
    """The strongest partial of each third of the tone is its note, and an octave above is 0.3."""
    tone = call_tone(kind, 44_100)
    for note, pitch_hz in zip(np.array_split(tone, len(pitches_hz)), pitches_hz, strict=True):
        level = np.abs(np.fft.rfft(note * np.hanning(len(note)), 441_000))  # bins of 0.1 Hz
        peak = int(level.argmax())
        assert peak / 10 == pytest.approx(pitch_hz, abs=0.3)
        assert level[2 * peak - 20 : 2 * peak + 20].max() / level[peak] == pytest.approx(
            0.3, abs=0.02
        )


@pytest.mark.parametrize(("frames", "settled"), [(19_999, False), (20_000, True)])
def test_channels_are_watched_for_20_s_of_sound(frames: int, settled: bool) -> None:
    """At 1,000 frames a second 20,000 frames settle it, one less does not."""
    mix = MonoMix()
    found = list(mix.feed(np.full((frames, 2), 0.5, np.float32), 1000))
    assert bool(found) is settled
    assert sum(len(one) for one in [*found, *mix.flush()]) == frames
