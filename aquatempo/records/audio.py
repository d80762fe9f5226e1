"""What is known of an audio file, and its samples."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import float32
    from numpy.typing import NDArray

__all__ = ["Audio", "AudioInfo"]


@dataclass(frozen=True, slots=True)
class AudioInfo:
    """What the header of an audio file tells.

    duration_s [s] is None where the header does not tell. format is the container,
    codec the coding within it, decoder the library that reads it.
    """

    path: str
    duration_s: float | None
    sample_rate_hz: int
    channels: int
    format: str
    codec: str
    decoder: str
    title: str | None = None
    artist: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Audio:
    """Samples of a track, full scale 1.0.

    samples: float32, shape (frames,) for mono or (frames, 2) for stereo. notes tell
    what was odd about the file and what was done about it.
    """

    samples: NDArray[float32]
    sample_rate_hz: int
    info: AudioInfo
    notes: tuple[str, ...] = ()

    @property
    def duration_s(self) -> float:
        """Length of the decoded samples [s]."""
        return len(self.samples) / self.sample_rate_hz
