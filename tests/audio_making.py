"""Make audio files whose content is known to the sample."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

CLICKS_S = (0.5, 1.0, 2.25, 3.3, 5.5)
CLICK_LENGTH_S = 0.005


def clicks(duration_s: float = 6.0, sample_rate_hz: int = 44_100) -> NDArray[np.float32]:
    """Return mono silence with a short block at each of CLICKS_S."""
    samples = np.zeros(round(duration_s * sample_rate_hz), dtype=np.float32)
    for time_s in CLICKS_S:
        start = round(time_s * sample_rate_hz)
        samples[start : start + round(CLICK_LENGTH_S * sample_rate_hz)] = 0.8
    return samples


def onsets_s(samples: NDArray[np.float32], sample_rate_hz: int) -> list[float]:
    """Return the time [s] of the first loud sample near each of CLICKS_S."""
    found = []
    for time_s in CLICKS_S:
        start = round((time_s - 0.2) * sample_rate_hz)
        loud = np.abs(samples[start : start + round(0.4 * sample_rate_hz)]) > 0.4
        found.append((start + int(np.argmax(loud))) / sample_rate_hz)
    return found


def write_blocks(path: Path, samples: NDArray[np.float32], rate_hz: int, **how: str) -> Path:
    """Write with soundfile in short blocks (one long block of Vorbis overruns its stack)."""
    channels = 1 if samples.ndim == 1 else samples.shape[1]
    with soundfile.SoundFile(path, "w", rate_hz, channels, **how) as file:
        for start in range(0, len(samples), 8192):
            file.write(samples[start : start + 8192])
    return path


def encode(
    path: Path,
    samples: NDArray[np.float32],
    rate_hz: int,
    codec: str,
    container_options: dict[str, str] | None = None,
    codec_options: dict[str, str] | None = None,
    tags: dict[str, str] | None = None,
) -> Path:
    """Write stereo samples, shape (frames, 2), with one of FFmpeg's encoders."""
    import av

    with av.open(f"file:{path}", "w", options=container_options or {}) as container:
        container.metadata.update(tags or {})
        stream = container.add_stream(
            codec, rate=rate_hz, layout="stereo", options=codec_options or {}
        )
        assert isinstance(stream, av.AudioStream)
        for start in range(0, len(samples), 1024):
            planes = np.ascontiguousarray(samples[start : start + 1024].T)
            frame = av.AudioFrame.from_ndarray(planes, format="fltp", layout="stereo")
            frame.sample_rate, frame.pts = rate_hz, start
            for packet in stream.encode(frame):
                container.mux(packet)
        for packet in stream.encode(None):
            container.mux(packet)
    return path


def silent_wav(path: Path, hours: float, rate_hz: int, channels: int) -> Path:
    """Write a wav of silence, a file of holes that takes no room on the disk.

    Where its data are longer than a header can tell, the header tells the most.
    """
    frame = 2 * channels  # bytes, at 16 bits
    data = round(hours * 3600) * rate_hz * frame
    told = min(data, 0xFFFFFFFF - 36)
    head = struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", told + 36, b"WAVE", b"fmt ", 16, 1, channels,
                       rate_hz, rate_hz * frame, frame, 16, b"data", told)  # fmt: skip
    with path.open("wb") as file:
        file.write(head)
        file.truncate(len(head) + data)
    return path
