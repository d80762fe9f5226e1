"""Memory stays bounded on long files, whatever is in them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from audio_making import encode, silent_wav

from aquatempo import audio
from aquatempo.audio.mixdown import WATCH_S, MonoMix
from aquatempo.errors import TooLongError

DECODE = """
import re, sys
from aquatempo import audio
frames = sum(len(block) for block in audio.mono_blocks(sys.argv[1]))
peak = re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())
print(frames / 22050, int(peak[1]) / 1024)
"""

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="reads the peak from /proc")


def decoded(path: Path) -> tuple[float, float]:
    """Return the seconds decoded, and the peak memory of the whole process [MB]."""
    done = subprocess.run(
        [sys.executable, "-c", DECODE, str(path)], capture_output=True, text=True, check=True
    )
    duration_s, peak_mb = map(float, done.stdout.split())
    return duration_s, peak_mb


@pytest.mark.long
def test_half_an_hour_of_mp3_streams_in_bounded_memory(tmp_path: Path) -> None:
    """Half an hour of mp3 decodes to mono under 150 MB peak, whole process.

    The mono track alone would take 159 MB, so this holds only if nothing keeps it.
    """
    noise = np.random.default_rng(7).uniform(-0.3, 0.3, (30 * 44_100, 2)).astype(np.float32)
    # Frames that stand alone can be repeated: no Xing header, no bit reservoir.
    part = encode(
        tmp_path / "part.mp3",
        noise,
        44_100,
        "libmp3lame",
        {"write_xing": "0", "id3v2_version": "0"},
        {"reservoir": "0"},
    )
    long = tmp_path / "long.mp3"
    long.write_bytes(part.read_bytes() * 60)
    duration_s, peak_mb = decoded(long)
    assert duration_s == pytest.approx(1800, rel=0.01)  # a frame of padding a part
    assert peak_mb < 150


def test_silence_at_the_start_of_stereo_is_not_kept(tmp_path: Path) -> None:
    """Half an hour of silence before anything sounds is not kept: it would take 635 MB."""
    duration_s, peak_mb = decoded(silent_wav(tmp_path / "long.wav", 0.5, 44_100, 2))
    assert duration_s == pytest.approx(1800)
    assert peak_mb < 150


def test_silence_between_sounds_waits_without_memory() -> None:
    """What waits until it is known whether channels cancel is the sound, not the silence."""
    mix, rate_hz = MonoMix(), 44_100
    sound = np.tile(np.array([0.5, -0.5], dtype=np.float32), (rate_hz, 1))
    silence = np.zeros((rate_hz, 2), dtype=np.float32)
    out = list(mix.feed(sound, rate_hz))
    for _ in range(600):
        out += mix.feed(silence, rate_hz)
    assert out == []
    waiting = mix._waiting or []
    assert sum(one.base.nbytes if one.base is not None else one.nbytes for one, _ in waiting) < 1e6
    for _ in range(round(WATCH_S)):
        out += mix.feed(sound, rate_hz)
    out += mix.flush()
    whole = np.concatenate(out)
    assert mix.cancels
    assert len(whole) == (1 + 600 + round(WATCH_S)) * rate_hz
    assert (whole[:rate_hz] == 0.5).all()
    assert (whole[rate_hz : 601 * rate_hz] == 0).all()


def test_a_day_is_refused_at_the_stated_length(tmp_path: Path) -> None:
    """A day of sound is refused with the length that is heard at most."""
    path = silent_wav(tmp_path / "day.wav", 24.0, 8_000, 1)
    blocks = iter(audio.mono_blocks(path))
    with pytest.raises(TooLongError) as caught:
        next(blocks)  # it is refused before anything is worked on
    assert str(caught.value) == (
        f"{str(path)!r} lasts more than 4 h, the longest recording that is heard "
        "(cut it into parts, or check whether it is what it should be)"
    )


def test_header_that_tells_days_is_not_believed(tmp_path: Path) -> None:
    """A short song whose header tells 27 hours is heard, with a note."""
    import soundfile

    path = tmp_path / "song.flac"
    noise = np.random.default_rng(8).uniform(-0.3, 0.3, 10 * 8_000)
    soundfile.write(path, noise, 8_000)
    data = bytearray(path.read_bytes())
    # STREAMINFO: 36 bits of total samples end at byte 26 (RFC 9639, section 8.2).
    data[21] = data[21] & 0xF0
    data[22:26] = (8_000 * 100_000).to_bytes(4, "big")
    path.write_bytes(data)
    told_s = audio.probe(path).duration_s
    assert told_s == pytest.approx(100_000)
    heard = audio.load_mono(path)
    assert 8.0 < heard.duration_s <= 10.0  # the last read, up to 8.2 s at this rate, is cut off
    assert "of 100000.0 s could be read" in heard.notes[0]
