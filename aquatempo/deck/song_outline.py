"""What a song sounds like in a few kilobytes, so that a deck page knows its file again.

The level in a low and a middle band, 20 times a second, differenced in time: it survives other
formats, sampling rates and loudness, and two songs of one tempo differ in it. The page computes
the same from the file that one chooses (``exports/page_parts/songs.js``) and correlates.
"""

from __future__ import annotations

import base64
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.errors import AudioError
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.records.plan import ClassPlan

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["BANDS_HZ", "STEP_S", "outline", "song_outlines", "to_text"]

STEP_S = 0.05
BANDS_HZ = (150.0, 1500.0)  # below the first; between the two: what every rate and format keeps
QUIET = 1e-9  # power below which a step is silence
LEVELS = 40.0  # steps of a signed byte in a factor of ten of power


def outline(samples: NDArray[np.float32], rate_hz: float) -> NDArray[np.float32]:
    """Return the change of level from step to step, a row a band [factors of ten of power].

    samples: shape (count,); rate_hz: of the samples [Hz].
    """
    import numpy as np
    from scipy.signal import lfilter

    keep = [float(np.exp(-2 * np.pi * hz / rate_hz)) for hz in BANDS_HZ]
    low, middle = (lfilter([1 - k], [1, -k], samples) for k in keep)
    ends = np.floor(np.arange(1, int(len(samples) / (rate_hz * STEP_S)) + 1) * rate_hz * STEP_S)
    starts = np.concatenate([[0.0], ends[:-1]]).astype(int)
    counts = ends - starts
    rows = []
    for band in (low, middle - low):
        power = np.add.reduceat(band[: int(ends[-1])] ** 2, starts) / counts if len(ends) else []
        level = np.log10(np.asarray(power) + QUIET)
        rows.append(np.diff(level, prepend=level[:1]))
    return np.asarray(rows, dtype=np.float32)


def to_text(rows: NDArray[np.float32]) -> str:
    """Return an outline as a signed byte a step, band after band, in base64.

    rows: shape (bands, steps).
    """
    import numpy as np

    steps = np.clip(np.rint(rows * LEVELS), -127, 127).astype(np.int8)
    return base64.b64encode(steps.tobytes()).decode("ascii")


def song_outlines(plan: ClassPlan) -> dict[int, str]:
    """Return the outlines of a plan's songs by track number from 0, where files can be read."""
    found = {}
    for number, track in enumerate(plan.tracks):
        if track.file.lower().endswith(SHEET_SUFFIXES) or not Path(track.file).is_file():
            continue
        try:
            found[number] = to_text(_outline_of(track.file))
        except AudioError:
            continue  # a page without it compares length and name
    return found


def _outline_of(path: str) -> NDArray[np.float32]:
    import numpy as np

    from aquatempo import audio

    stream = audio.mono_blocks(path)
    blocks = [*stream]
    return outline(np.concatenate(blocks), stream.sample_rate_hz)
