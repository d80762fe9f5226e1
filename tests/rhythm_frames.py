"""Signals of a track made of plain arrays, without any audio (self-made values)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ, MEL_BANDS, PITCHES, Features
from aquatempo.rhythm.frames import BANDS, Frames
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM

Floats = NDArray[np.float32]


def floats(values: object) -> Floats:
    """Return values as the arrays that signals are."""
    return np.asarray(values, np.float32)


def made_frames(
    count: int,
    *,
    beat: object = None,
    downbeat: object = None,
    phrase: object = None,
    tempo: object = None,
    level_db: object = None,
    bands: object = None,
    pitch: object = None,
    mel: object = None,
) -> Frames:
    """Return signals of so many frames, a multiple of four; what is not given is even.

    pitch and mel: amplitudes, of mean power 1.
    """
    rows, classes = count // 100 + 1, len(TEMPO_CLASSES_BPM)
    features = Features(
        np.asarray(np.ones((count, MEL_BANDS)) if mel is None else mel, np.float16),
        np.asarray(np.ones((count // 4, PITCHES)) if pitch is None else pitch, np.float16),
        1.0,
        1.0,
    )
    return Frames(
        floats(np.full(count, 0.05) if beat is None else beat),
        floats(np.full(count, 0.05) if downbeat is None else downbeat),
        floats(np.full(count, 0.05) if phrase is None else phrase),
        floats(np.full((rows, classes), 1 / classes) if tempo is None else tempo),
        floats(np.zeros(count) if level_db is None else level_db),
        floats(np.ones((count, BANDS)) if bands is None else bands),
        features,
        count / FRAME_RATE_HZ,
    )


def struck(count: int, places: object, height: float = 0.9, floor: float = 0.02) -> Floats:
    """Return an activation of some height on some frames, and a floor elsewhere."""
    out = np.full(count, floor)
    out[np.asarray(places, int)] = height
    return floats(out)
