"""Decoding: every format, rate, depth and channel layout, with onsets in their place."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from audio_making import CLICKS_S, clicks, encode, onsets_s, write_blocks

from aquatempo import audio

# A resampled edge may cross the threshold up to two samples of 22,050 Hz aside.
ONSET_TOLERANCE_S = 0.0001


@pytest.mark.parametrize(
    ("name", "how", "rate_hz"),
    [
        ("a.wav", {"subtype": "PCM_16"}, 44_100),
        ("a.wav", {"subtype": "PCM_U8"}, 22_050),
        ("a.wav", {"subtype": "PCM_24"}, 96_000),
        ("a.wav", {"subtype": "FLOAT"}, 48_000),
        ("a.flac", {}, 44_100),
        ("a.aiff", {}, 32_000),
    ],
)
def test_lossless_formats_keep_onsets(
    tmp_path: Path, name: str, how: dict[str, str], rate_hz: int
) -> None:
    """Lossless files of any rate and depth decode with every click within 0.1 ms."""
    path = write_blocks(tmp_path / name, clicks(sample_rate_hz=rate_hz), rate_hz, **how)
    heard = audio.load_mono(path)
    assert heard.sample_rate_hz == 22_050
    assert heard.samples.dtype == np.float32
    assert heard.duration_s == pytest.approx(6.0, abs=0.001)
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=ONSET_TOLERANCE_S)
    assert heard.notes == ()


@pytest.mark.parametrize("name", ["a.mp3", "a.ogg", "a.m4a"])
def test_lossy_formats_keep_onsets(tmp_path: Path, name: str) -> None:
    """Encoder delay is trimmed: clicks stay within 1 ms in mp3, Vorbis and m4a."""
    stereo = np.stack([clicks()] * 2, axis=1)
    if name == "a.m4a":
        path = encode(tmp_path / name, stereo, 44_100, "aac")
    else:
        path = write_blocks(tmp_path / name, stereo, 44_100)
    heard = audio.load_mono(path)
    # 1 ms: lossy coding smears an edge by some samples; the untrimmed delay is over 20 ms.
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=0.001)
    assert heard.duration_s == pytest.approx(6.0, abs=0.03)  # m4a ends on a whole packet


def test_eight_kilohertz_mono_is_raised_to_the_analysis_rate(tmp_path: Path) -> None:
    """A telephone-quality recording decodes at 22,050 Hz with its onsets in place."""
    path = write_blocks(tmp_path / "a.wav", clicks(sample_rate_hz=8_000), 8_000)
    heard = audio.load_mono(path)
    assert len(heard.samples) == pytest.approx(6 * 22_050, abs=2)
    # One sample of 8 kHz: the edge itself is no sharper.
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=1 / 8_000)


def test_surround_mixes_to_the_mean_whatever_the_order_of_channels(tmp_path: Path) -> None:
    """5.1 channels mix to their mean, so that reordering channels changes nothing."""
    noise = np.random.default_rng(1).uniform(-0.5, 0.5, (6 * 44_100, 6)).astype(np.float32)
    there = write_blocks(tmp_path / "a.wav", noise, 44_100, subtype="FLOAT")
    back = write_blocks(tmp_path / "b.wav", noise[:, ::-1], 44_100, subtype="FLOAT")
    one, other = audio.load_mono(there, 44_100).samples, audio.load_mono(back, 44_100).samples
    np.testing.assert_allclose(one, noise.mean(axis=1), atol=1e-6)  # float32 rounding
    np.testing.assert_allclose(one, other, atol=1e-6)


def test_surround_folds_to_stereo_by_the_published_weights(tmp_path: Path) -> None:
    """5.1 folds down with centre and surrounds at -3 dB: ITU-R BS.775-3, Table 2."""
    channels = np.zeros((44_100, 6), dtype=np.float32)
    channels[:, 2] = 0.5  # centre
    channels[:, 3] = 0.9  # low frequency: left out
    channels[:, 4] = 0.25  # surround left
    path = write_blocks(tmp_path / "a.wav", channels, 44_100, subtype="FLOAT")
    left, right = audio.load_stereo(path).samples[100]
    scale = 1 / (1 + 2 * 0.7071)
    assert left == pytest.approx((0.7071 * 0.5 + 0.7071 * 0.25) * scale, abs=1e-4)
    assert right == pytest.approx(0.7071 * 0.5 * scale, abs=1e-4)


def test_stereo_for_playing_is_untouched(tmp_path: Path) -> None:
    """A stereo file loads for playing at its own rate, sample for sample."""
    noise = np.random.default_rng(2).uniform(-0.9, 0.9, (48_000, 2)).astype(np.float32)
    path = write_blocks(tmp_path / "a.wav", noise, 48_000, subtype="FLOAT")
    played = audio.load_stereo(path)
    assert played.sample_rate_hz == 48_000
    np.testing.assert_array_equal(played.samples, noise)


def test_mono_plays_on_both_sides(tmp_path: Path) -> None:
    """A mono file loads for playing with the same samples left and right."""
    path = write_blocks(tmp_path / "a.wav", clicks(), 44_100, subtype="FLOAT")
    played = audio.load_stereo(path).samples
    np.testing.assert_array_equal(played[:, 0], clicks())
    np.testing.assert_array_equal(played[:, 1], clicks())


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_stream_equals_one_shot_resampling(tmp_path: Path, rate_hz: int) -> None:
    """Streaming in blocks gives what soxr gives for the whole track at once."""
    import soxr  # type: ignore[import-untyped]

    noise = np.random.default_rng(3).uniform(-0.5, 0.5, 7 * rate_hz).astype(np.float32)
    path = write_blocks(tmp_path / "a.wav", noise, rate_hz, subtype="FLOAT")
    streamed = np.concatenate(list(audio.mono_blocks(path)))
    np.testing.assert_allclose(streamed, soxr.resample(noise, rate_hz, 22_050), atol=1e-6)


def test_silence_decodes(tmp_path: Path) -> None:
    """Silence is sound of level zero, and no error here."""
    path = write_blocks(tmp_path / "a.wav", np.zeros((6 * 44_100, 2), np.float32), 44_100)
    heard = audio.load_mono(path)
    assert not heard.samples.any()
    assert heard.notes == ()


@pytest.mark.parametrize(
    "name", ["two words.wav", 'it\'s "quoted".wav', "🎵 wave 水.wav", "new\nline.wav", "http:a.wav"]
)
@pytest.mark.skipif(sys.platform == "win32", reason="Windows forbids such names")
def test_odd_names_decode(tmp_path: Path, name: str) -> None:
    """Spaces, quotes, emoji, newlines and colons in a name change nothing."""
    path = write_blocks(tmp_path / "plain.wav", clicks(), 44_100).rename(tmp_path / name)
    assert audio.load_mono(path).duration_s == pytest.approx(6.0)
    m4a = encode(tmp_path / "plain.m4a", np.zeros((44_100, 2), np.float32), 44_100, "aac")
    assert audio.probe(m4a.rename(tmp_path / f"{name}.m4a")).codec == "aac"
    assert len(audio.content_key(path)) == 32


def test_probe_reads_header_and_tags(tmp_path: Path) -> None:
    """A probe tells length, rate, channels, coding, title and artist without decoding."""
    flac = tmp_path / "a.flac"
    with soundfile.SoundFile(flac, "w", 44_100, 1) as file:
        file.title, file.artist = "Lane Four", "The Demo Band"
        file.write(clicks())
    info = audio.probe(flac)
    assert (info.title, info.artist) == ("Lane Four", "The Demo Band")
    assert (info.duration_s, info.sample_rate_hz, info.channels) == (6.0, 44_100, 1)
    assert info.decoder == "soundfile"
    stereo = np.stack([clicks()] * 2, axis=1)
    tags = {"title": "Lane Four", "artist": "The Demo Band"}
    info = audio.probe(encode(tmp_path / "a.mp3", stereo, 44_100, "libmp3lame", tags=tags))
    assert (info.title, info.artist) == ("Lane Four", "The Demo Band")
    assert info.duration_s == pytest.approx(6.0, abs=0.06)  # two mp3 frames of padding
    assert (info.format, info.codec, info.decoder) == ("mp3", "mp3", "PyAV")
    info = audio.probe(encode(tmp_path / "a.m4a", stereo, 44_100, "aac"))
    assert (info.format, info.codec, info.decoder) == ("m4a", "aac", "PyAV")


def test_reversed_channel_does_not_silence_a_track(tmp_path: Path) -> None:
    """Where one channel is wired in reverse the first is heard, and a note says so."""
    pair = np.stack((clicks(), -clicks()), axis=1)
    heard = audio.load_mono(write_blocks(tmp_path / "a.wav", pair, 44_100))
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=ONSET_TOLERANCE_S)
    assert heard.notes == (
        "the channels cancel (one is wired in reverse): only the first is heard",
    )


def test_package_import_is_light() -> None:
    """Importing the package loads neither numpy nor a decoder, and names resolve on use."""
    code = (
        "import sys, aquatempo.audio as a; "
        "bad = {'numpy', 'av', 'soundfile', 'soxr', 'scipy'} & set(sys.modules); "
        "assert not bad, bad; [getattr(a, name) for name in a.__all__]"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_unknown_name_of_the_package_is_an_attribute_error() -> None:
    """A misspelt function is reported as for any module."""
    package: Any = audio
    with pytest.raises(AttributeError, match="no attribute 'load_quad'"):
        package.load_quad  # noqa: B018
