"""Continuous mixes: three songs joined, on the beat and off it, and what a long one costs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_making import RATE_HZ, Song, song, steady_beats

from aquatempo.records.rhythm import PhraseKind
from aquatempo.rhythm import analyse, analyse_blocks

TEMPI_BPM = (128.0, 132.0, 126.0)


def joined(gap_s: float) -> Song:
    """Return three songs in a row, each some time after the last beat of the one before."""
    samples, starts_s, now_s = [], [], 0.0
    for number, tempo_bpm in enumerate(TEMPI_BPM):
        part = song(steady_beats(tempo_bpm, 24, start_s=0.0), ("house", "rock", "house")[number])
        length_s = 24 * 4 * 60 / tempo_bpm + gap_s
        samples.append(part.samples[: round(length_s * RATE_HZ)])
        starts_s.append(part.phrases_s + now_s)
        now_s += len(samples[-1]) / RATE_HZ
    phrases_s = np.concatenate(starts_s)
    return Song(np.concatenate(samples), phrases_s, phrases_s, phrases_s)


@pytest.mark.parametrize("gap_s", [0.31, pytest.param(0.0, marks=pytest.mark.long)])
def test_sections_splices_and_phrase_restarts(gap_s: float) -> None:
    """128 to 132 to 126 bpm: three sections to 0.1 bpm, cut within a bar, phrases anew at each."""
    mix = joined(gap_s)
    found = analyse(mix.samples, RATE_HZ)
    assert [part.tempo_bpm for part in found.tempo_sections] == pytest.approx(TEMPI_BPM, abs=0.1)
    splices_s = [part.start_s for part in found.tempo_sections[1:]]
    assert splices_s == pytest.approx([mix.phrases_s[3], mix.phrases_s[6]], abs=2.0)  # a bar
    assert not found.steady
    starts = [phrase.start_s for phrase in found.phrases if phrase.kind is PhraseKind.PHRASE]
    hits = sum(bool(np.abs(np.array(starts) - time_s).min() < 0.1) for time_s in mix.phrases_s)
    assert hits >= 8
    assert len(starts) <= 10
    for before, after in zip(found.tempo_sections, found.tempo_sections[1:], strict=False):
        assert before.end_s == after.start_s


@pytest.mark.long
def test_a_long_stream_is_heard_like_a_short_one() -> None:
    """Twelve minutes in blocks of ten seconds: one tempo throughout, no seam anywhere."""
    tempo_bpm = 126.0
    once = song(steady_beats(tempo_bpm, 42, start_s=0.0), "house").samples
    loop = once[: round(42 * 4 * 60 / tempo_bpm * RATE_HZ)]

    def blocks() -> Iterator[NDArray[np.float32]]:
        for start in range(0, 9 * len(loop), 10 * RATE_HZ):
            yield np.take(loop, np.arange(start, start + 10 * RATE_HZ), mode="wrap")

    found = analyse_blocks(blocks(), RATE_HZ)
    assert found.steady
    assert found.tempo_bpm == pytest.approx(tempo_bpm, abs=0.02)
    assert len(found.tempo_sections) == 1
