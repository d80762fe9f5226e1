"""The content key: the same sound has the same key, whatever its name and tags."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from audio_making import clicks, encode, write_blocks

from aquatempo import audio
from aquatempo.errors import UnreadableFileError


@pytest.mark.parametrize(
    ("suffix", "codec"),
    [("mp3", "libmp3lame"), ("m4a", "aac"), ("flac", "flac"), ("ogg", "libopus")],
)
def test_tags_and_name_do_not_count(tmp_path: Path, suffix: str, codec: str) -> None:
    """Retagging and renaming keep the key; another song changes it."""
    rate_hz = 48_000  # Opus takes no 44.1 kHz
    stereo = np.stack([clicks(sample_rate_hz=rate_hz)] * 2, axis=1)
    tags = {"title": "Lane Four", "artist": "The Demo Band", "comment": "long " * 2000}
    if codec == "flac":
        first = write_blocks(tmp_path / "a.flac", stereo, rate_hz)
        data = first.read_bytes()
        # A padding block (type 1) after STREAMINFO (42 bytes in), as taggers leave them.
        second = tmp_path / "b.flac"
        second.write_bytes(data[:42] + b"\x01\x00\x04\x00" + bytes(1024) + data[42:])
    else:
        first = encode(tmp_path / f"a.{suffix}", stereo, rate_hz, codec)
        second = encode(tmp_path / f"b.{suffix}", stereo, rate_hz, codec, tags=tags)
    assert first.read_bytes() != second.read_bytes()
    assert audio.content_key(first) == audio.content_key(second)
    stereo[5000] += 0.5
    other = tmp_path / f"c.{suffix}"
    if codec == "flac":
        write_blocks(other, stereo, rate_hz)
    else:
        encode(other, stereo, rate_hz, codec)
    assert audio.content_key(first) != audio.content_key(other)


def test_key_of_unreadable_file_says_why(tmp_path: Path) -> None:
    """A key needs a readable file, and says so as decoding does."""
    with pytest.raises(UnreadableFileError, match="there is no such file"):
        audio.content_key(tmp_path / "a.mp3")


@pytest.mark.parametrize("codec", ["PCM_16", "PCM_24", "FLOAT"])
def test_another_rate_or_count_of_channels_is_another_sound(tmp_path: Path, codec: str) -> None:
    """The same bytes under another sample rate or number of channels sound otherwise."""
    samples = np.random.default_rng(3).uniform(-0.5, 0.5, (6 * 44_100, 2)).astype(np.float32)
    first = write_blocks(tmp_path / "a.wav", samples, 44_100, subtype=codec)
    faster = write_blocks(tmp_path / "b.wav", samples, 48_000, subtype=codec)
    mono = write_blocks(tmp_path / "c.wav", samples.ravel(), 44_100, subtype=codec)
    keys = {audio.content_key(path) for path in (first, faster, mono)}
    assert len(keys) == 3
