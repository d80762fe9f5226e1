"""Music by others as songs to be joined: it has the sounds and forms that no generator writes.

What is heard of a song alone stands for what is true of it. So only songs are taken of which the
beats are straight, the bars sure and all of four; where they are joined is known exactly.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from aquatempo.audio import load_mono
from aquatempo.errors import AquatempoError
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.rhythm.analysis import analyse
from aquatempo.rhythm.features import SAMPLE_RATE_HZ
from aquatempo.training.mix import LEAST_COUNTS, Sound, Written

__all__ = ["as_written", "songs_in"]

LONGEST_S = 170.0  # of a song: more is never played of one
LEAST_SURE = 0.85
STRAIGHT_S = 0.015  # by which beats may leave a straight line
WHOLE = (PhraseKind.PHRASE, PhraseKind.BREAK)


def songs_in(folder: Path) -> list[Written]:
    """Return the songs of the audio files in a folder that can be joined, by name."""
    found = []
    for path in sorted(folder.iterdir()):
        try:
            samples = load_mono(path, SAMPLE_RATE_HZ).samples[: int(LONGEST_S * SAMPLE_RATE_HZ)]
        except AquatempoError as error:
            print(error)
            continue
        song = as_written(samples, analyse(samples, SAMPLE_RATE_HZ))
        found += [song] if song else []
    return found


def as_written(samples: Sound, heard: RhythmAnalysis) -> Written | None:
    """Return a song from its first count 1 on, or None where its beats or bars are not sure.

    samples: mono at ``SAMPLE_RATE_HZ``; heard: of them.
    """
    beats_s = np.array(heard.beats_s)
    if heard.beats_per_bar != 4 or len(beats_s) < LEAST_COUNTS or heard.confidence < LEAST_SURE:
        return None
    at = np.arange(len(beats_s))
    period_s, begin_s = np.polyfit(at, beats_s, 1)
    if np.abs(beats_s - begin_s - period_s * at).max() > STRAIGHT_S:
        return None
    first = int(np.abs(beats_s - heard.downbeats_s[0]).argmin())
    sections = [
        (one.start_beat - first, one.counts, one.kind in WHOLE and one.counts == 32)
        for one in heard.phrases
        if one.start_beat >= first
    ]
    if sum(counts for _, counts, whole in sections if whole) < 2 * 32:
        return None
    start = max(round((begin_s + period_s * first) * SAMPLE_RATE_HZ), 0)
    return Written(60 / float(period_s), sections, np.asarray(samples[start:], np.float32))
