"""The two decoders agree wherever both can read a file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from audio_making import encode, write_blocks
from numpy.typing import NDArray

from aquatempo import audio
from aquatempo.audio.readers import PyavReader, SoundfileReader

RATE_HZ = 44_100


def noise(channels: int) -> NDArray[np.float32]:
    """Return 2 s of repeatable noise, shape (frames, channels)."""
    values = np.random.default_rng(13).uniform(-0.9, 0.9, (2 * RATE_HZ, channels))
    return values.astype(np.float32)


@pytest.mark.parametrize("channels", [1, 2, 6])
@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_every_sample_format_reads_alike(tmp_path: Path, subtype: str, channels: int) -> None:
    """Whole numbers of any width, and floats, come out the same from both decoders."""
    path = str(write_blocks(tmp_path / "a.wav", noise(channels), RATE_HZ, subtype=subtype))
    one, other = SoundfileReader(path), PyavReader(path)
    here = np.concatenate(list(one.blocks()))
    there = np.concatenate(list(other.blocks()))
    one.close()
    other.close()
    np.testing.assert_allclose(here, there, atol=1e-6)  # float32 rounding
    assert (one.damaged, other.damaged) == (False, False)
    assert (one.info.sample_rate_hz, one.info.channels) == (RATE_HZ, channels)
    assert (other.info.sample_rate_hz, other.info.channels) == (RATE_HZ, channels)


def test_lossless_m4a_is_lossless(tmp_path: Path) -> None:
    """Apple lossless in m4a gives the samples back to 16 bits."""
    path = encode(tmp_path / "a.m4a", noise(2), RATE_HZ, "alac")
    back = audio.load_stereo(path).samples
    np.testing.assert_allclose(back[: 2 * RATE_HZ], noise(2), atol=1.1 / 32_768)
