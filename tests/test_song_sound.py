"""The sound that the page plays: the samples of the decoder that heard the song."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from aquatempo.errors import AudioError, InputError
from aquatempo.music import sound
from aquatempo.music.sound import SOUND_RATE_HZ, SongSounds

RATE_HZ = SOUND_RATE_HZ


@pytest.fixture
def sounds() -> Iterator[SongSounds]:
    """Return sounds that are closed again."""
    kept = SongSounds()
    yield kept
    kept.close()


@pytest.fixture(scope="module")
def clicks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a stereo file of 12 s with a click each half second, louder on the left."""
    samples = np.zeros((12 * RATE_HZ, 2), dtype=np.float32)
    for start in range(RATE_HZ // 2, len(samples), RATE_HZ // 2):
        tone = np.sin(2 * np.pi * 1000 * np.arange(800) / RATE_HZ) * np.exp(-np.arange(800) / 200)
        samples[start : start + 800, 0] += 0.8 * tone
        samples[start : start + 800, 1] += 0.4 * tone
    path = tmp_path_factory.mktemp("sound") / "clicks.wav"
    soundfile.write(path, samples, RATE_HZ, subtype="PCM_16")
    return path


def read(data: bytes) -> np.ndarray:
    """Return samples of shape (frames, 2), full scale 1.0."""
    return np.frombuffer(data, dtype="<i2").reshape(-1, 2) / 32_767.0


def clicks_s(samples: np.ndarray) -> list[float]:
    """Return when clicks begin on the left: where it rises over a third of the loudest."""
    loud = np.abs(samples[:, 0]) > np.abs(samples[:, 0]).max() / 3
    edges = np.flatnonzero(np.diff(loud.astype(int)) == 1) + 1
    first = [edge for edge in edges if not np.any(loud[max(0, edge - RATE_HZ // 5) : edge])]
    return [edge / RATE_HZ for edge in first]


def test_samples_are_those_of_the_file(sounds: SongSounds, clicks: Path) -> None:
    """Any piece equals the same piece of the file, to a step of 16 bits; beyond the end is none."""
    truth, _ = soundfile.read(clicks)
    for first, frames in ((0, 1000), (22_000, 3000), (500_000, 40_000)):
        got = read(sounds.samples(str(clicks), first, frames))
        np.testing.assert_allclose(got, truth[first : first + frames], atol=2 / 32_767)
    assert len(read(sounds.samples(str(clicks), len(truth) - 10, 100))) == 10
    assert sounds.samples(str(clicks), len(truth) + 5, 100) == b""


def test_another_rate_is_resampled_in_place(sounds: SongSounds, tmp_path: Path) -> None:
    """A file of 22.05 kHz mono plays at 44.1 kHz stereo with its clicks where they were."""
    samples = np.zeros(6 * 22_050, dtype=np.float32)
    times_s = np.arange(1, 11) * 0.5
    for time_s in times_s:
        start = round(time_s * 22_050)
        samples[start : start + 400] = 0.7 * np.exp(-np.arange(400) / 80)
    path = tmp_path / "mono.flac"
    soundfile.write(path, samples, 22_050)
    got = read(sounds.samples(str(path), 0, 6 * RATE_HZ))
    np.testing.assert_array_equal(got[:, 0], got[:, 1])
    assert clicks_s(got) == pytest.approx(times_s, abs=0.001)


def test_half_speed_is_twice_as_long_without_a_gap(sounds: SongSounds, clicks: Path) -> None:
    """At half speed clicks lie twice as far apart to 5 ms, as stretching smears, across pieces."""
    parts = []
    first = 0
    while part := sounds.samples(str(clicks), first, 30_000, 0.5):
        parts.append(read(part))
        first += 30_000
    slow = np.concatenate(parts)
    assert len(slow) == 24 * RATE_HZ
    found = clicks_s(slow)
    assert found == pytest.approx(np.arange(1, 24) * 1.0, abs=0.005)
    joins = np.abs(np.diff(slow[:, 1]))
    assert joins.max() < 0.2, "a crack where two pieces meet"


def test_levels_show_where_it_is_loud(sounds: SongSounds, clicks: Path) -> None:
    """The loudness curve has a byte each 10 ms, high at clicks and zero in silence."""
    levels = np.frombuffer(sounds.levels(str(clicks)), dtype=np.uint8)
    assert len(levels) == 1200
    loud = np.flatnonzero(levels > 60)
    assert set(loud // 50 * 50) == {50 * beat for beat in range(1, 24)}
    assert levels[10:45].max() == 0


def test_a_piece_comes_before_the_rest_is_decoded(
    sounds: SongSounds, clicks: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first piece waits for its own samples alone, not for the end of the song."""
    from aquatempo import audio

    going_on = threading.Event()

    def slowly(path: str, rate_hz: int) -> Iterator[np.ndarray]:
        yield np.full((RATE_HZ, 2), 0.5, dtype=np.float32)
        assert going_on.wait(20)
        yield np.full((RATE_HZ, 2), 0.25, dtype=np.float32)

    monkeypatch.setattr(audio, "stereo_blocks", slowly)
    assert read(sounds.samples(str(clicks), 0, 1000)).max() == pytest.approx(0.5, abs=1e-4)
    going_on.set()
    assert read(sounds.samples(str(clicks), RATE_HZ, 1000)).max() == pytest.approx(0.25, abs=1e-4)


def test_what_is_no_sound_says_so(sounds: SongSounds, tmp_path: Path) -> None:
    """A damaged or missing file, and a piece that makes no sense, are one clear sentence."""
    broken = tmp_path / "broken.mp3"
    broken.write_bytes(b"not music" * 100)
    with pytest.raises(AudioError, match=r"broken\.mp3"):
        sounds.samples(str(broken), 0, 10)
    with pytest.raises(InputError, match="missing"):
        sounds.samples(str(tmp_path / "missing.mp3"), 0, 10)
    with pytest.raises(InputError, match=r"needs 1 or 0\.5"):
        sounds.samples(str(broken), 0, 10, 0.75)


def test_a_song_without_end_is_cut_off(
    sounds: SongSounds, clicks: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is longer than a class can be is refused instead of filling the disk."""
    monkeypatch.setattr(sound, "LONGEST_S", 3.0)
    with pytest.raises(InputError, match="longer than"):
        sounds.levels(str(clicks))


def test_songs_used_last_are_kept(sounds: SongSounds, clicks: Path, tmp_path: Path) -> None:
    """Only the last few songs are held; the one that went is decoded anew when asked for."""
    for number in range(sound.KEPT_SONGS + 2):
        other = tmp_path / f"{number}.wav"
        other.write_bytes(clicks.read_bytes())
        sounds.samples(str(other), 0, 10)
    assert len(sounds._songs) == sound.KEPT_SONGS
    assert sounds.samples(str(tmp_path / "0.wav"), 0, 10)
