"""The song under a count click and calls, in parts that can be heard and checked apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.audio.clicks import Click, click_track
from aquatempo.audio.loudness import loudness_lufs
from aquatempo.audio.mixing import ducking_gain, place_sounds
from aquatempo.audio.peaks import limit
from aquatempo.errors import InputError

__all__ = ["RehearsalStems", "level_to", "rehearsal_stems"]

CLICK_LEVEL = 0.35  # of full scale: clear over a song at -18 LUFS, without pain
CALL_LEVEL = 0.7
NEAR_LU = 0.1  # a tenth of what an ear would notice
STEM_LUFS = -18.0  # the song before clicks and calls join it

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class RehearsalStems:
    """The parts of a rehearsal track at one gain; their sum is the mix.

    song: the ducked song, shape (frames, 2); clicks, calls: mono, shape (frames,).
    """

    song: Samples
    clicks: Samples
    calls: Samples
    sample_rate_hz: int

    @property
    def mix(self) -> Samples:
        """Everything together, shape (frames, 2), not yet levelled or limited."""
        return self.song + (self.clicks + self.calls)[:, None]


def rehearsal_stems(
    song: Samples,
    sample_rate_hz: int,
    clicks: Sequence[tuple[float, Click]],
    calls: Sequence[tuple[float, Samples]],
    duck_db: float = 9.0,
) -> RehearsalStems:
    """Return song, clicks and calls placed in time; the song gives way to the calls.

    song: shape (frames, 2), at the speed at which it is played. clicks: (time [s], strength).
    calls: (time [s], mono sound at sample_rate_hz). Everything is cut to the song's length; for
    clicks alone, give a silent song. duck_db: by how much the song gives way [dB].
    """
    if song.ndim != 2 or song.shape[1] != 2:
        raise InputError(f"song of shape {song.shape}: needs (frames, 2)")
    frames = len(song)
    spans_s = [(time_s, time_s + len(sound) / sample_rate_hz) for time_s, sound in calls]
    gain = ducking_gain(spans_s, frames, sample_rate_hz, duck_db)
    lufs = loudness_lufs(song, sample_rate_hz)
    if np.isfinite(lufs):
        gain *= _factor(STEM_LUFS - lufs)
    times_s = [time_s for time_s, _ in clicks]
    strengths = [strength for _, strength in clicks]
    return RehearsalStems(
        song=song * gain[:, None],
        clicks=click_track(times_s, strengths, frames, sample_rate_hz, CLICK_LEVEL),
        calls=place_sounds(
            [(time_s, sound * np.float32(CALL_LEVEL)) for time_s, sound in calls],
            frames,
            sample_rate_hz,
        ),
        sample_rate_hz=sample_rate_hz,
    )


def level_to(
    samples: Samples, sample_rate_hz: int, target_lufs: float = -16.0, ceiling_dbtp: float = -1.0
) -> Samples:
    """Return samples, shape (frames,) or (frames, channels), at a loudness [LUFS].

    Their true peaks stay below a ceiling [dBTP].

    Limiting takes a little loudness away, which is given back in a second pass; very spiky
    sound may stay under the target, never over the ceiling. Silence stays silent.
    sample_rate_hz: frames a second [Hz]; target_lufs: loudness wanted [LUFS]; ceiling_dbtp:
    highest true peak [dBTP].
    """
    lufs = loudness_lufs(samples, sample_rate_hz)
    if not np.isfinite(lufs):
        return samples.copy()
    levelled = limit(samples * _factor(target_lufs - lufs), sample_rate_hz, ceiling_dbtp)
    short_lu = target_lufs - loudness_lufs(levelled, sample_rate_hz)
    if short_lu < NEAR_LU:
        return levelled
    return limit(levelled * _factor(short_lu), sample_rate_hz, ceiling_dbtp)


def _factor(gain_db: float) -> np.float32:
    return np.float32(10 ** (gain_db / 20))
