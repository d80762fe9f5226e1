"""Chained Ogg files, as recordings of streams and joined files are: heard to their end."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from audio_making import CLICKS_S, clicks, onsets_s, write_blocks

from aquatempo import audio
from aquatempo.audio.ogg import find_links

RATE_HZ = 44_100
LINK_S = 6.0


def link(path: Path, rate_hz: int = RATE_HZ, channels: int = 1, codec: str = "VORBIS") -> bytes:
    """Return the bytes of one Ogg stream with clicks."""
    samples = np.stack([clicks(LINK_S, rate_hz)] * channels, axis=1)
    return write_blocks(path, samples, rate_hz, format="OGG", subtype=codec).read_bytes()


@pytest.mark.parametrize("codec", ["VORBIS", "OPUS"])
def test_every_link_is_heard_in_its_place(tmp_path: Path, codec: str) -> None:
    """Three links, of other rates and channels too, follow each other to the sample."""
    rates_hz = (48_000, 24_000, 48_000) if codec == "OPUS" else (44_100, 32_000, 44_100)
    parts = [
        link(tmp_path / "part.ogg", rate_hz, channels, codec)
        for rate_hz, channels in zip(rates_hz, (1, 2, 1), strict=True)
    ]
    chain = tmp_path / "chain.ogg"
    chain.write_bytes(b"".join(parts))
    assert len(find_links(chain)) == 3
    heard = audio.load_mono(chain, RATE_HZ)
    assert audio.probe(chain).duration_s == pytest.approx(3 * LINK_S, abs=0.001)
    assert heard.duration_s == pytest.approx(3 * LINK_S, abs=0.001)
    assert heard.notes == ()
    for number in range(3):
        part = heard.samples[round(number * LINK_S * RATE_HZ) :]
        assert onsets_s(part, RATE_HZ) == pytest.approx(CLICKS_S, abs=0.001)  # coding smears


def test_damaged_link_costs_itself_only(tmp_path: Path) -> None:
    """A link that cannot be opened is left out with a note; those around it are heard."""
    one = link(tmp_path / "part.ogg")
    broken = bytearray(one)
    broken[100:3000] = bytes(2900)  # the code books of this link
    chain = tmp_path / "chain.ogg"
    chain.write_bytes(one + broken + one)
    heard = audio.load_mono(chain, RATE_HZ)
    assert heard.duration_s == pytest.approx(2 * LINK_S, abs=0.001)
    assert heard.notes == ("a part could not be read: the file is damaged",)


def test_flag_of_a_page_alone_starts_no_link(tmp_path: Path) -> None:
    """A damaged flag in the middle of a stream does not cut it in two."""
    data = bytearray(link(tmp_path / "part.ogg"))
    third = data.index(b"OggS", data.index(b"OggS", 100) + 1)
    data[third + 5] |= 2
    chain = tmp_path / "chain.ogg"
    chain.write_bytes(data)
    assert find_links(chain) == (0,)


def test_pages_are_found_again_behind_rubbish(tmp_path: Path) -> None:
    """Bytes that are no page, however many, do not hide the link behind them."""
    one = link(tmp_path / "part.ogg")
    for rubbish in (b"x", b"OggS", bytes(65_534), bytes(200_001)):
        chain = tmp_path / "chain.ogg"
        chain.write_bytes(one + rubbish + one)
        found = find_links(chain)
        assert found[-1] == len(one) + len(rubbish), len(rubbish)
