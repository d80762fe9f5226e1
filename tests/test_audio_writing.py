"""Writing sound: tags, whole files only, nothing overwritten unasked."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from aquatempo import audio
from aquatempo.errors import InputError, OutputError

RATE_HZ = 44_100
Samples = NDArray[np.float32]


@pytest.fixture(scope="module")
def song() -> Samples:
    """Return 6 s of stereo noise."""
    values = np.random.default_rng(11).uniform(-0.5, 0.5, (6 * RATE_HZ, 2))
    return values.astype(np.float32)


@pytest.mark.parametrize("suffix", ["wav", "flac", "ogg", "OGG"])
def test_sound_and_tags_come_back(tmp_path: Path, song: Samples, suffix: str) -> None:
    """A written file has the length, the tags and, where lossless, the samples."""
    path = tmp_path / "new folder" / f"mix.{suffix}"
    audio.write_audio(path, song, RATE_HZ, {"title": "Lane Four – mix", "artist": "Demo"})
    info = audio.probe(path)
    assert (info.title, info.artist) == ("Lane Four – mix", "Demo")
    back = audio.load_stereo(path)
    assert len(back.samples) == len(song)
    if suffix.lower() != "ogg":
        np.testing.assert_allclose(back.samples, song, atol=1 / 32_767)  # 16 bits
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


def test_existing_file_stays_unless_forced(tmp_path: Path, song: Samples) -> None:
    """An existing file is refused with the way out, and replaced when asked to."""
    path = tmp_path / "mix.wav"
    path.write_text("precious")
    with pytest.raises(OutputError) as caught:
        audio.write_audio(path, song, RATE_HZ)
    assert str(caught.value) == (
        f"cannot write {str(path)!r}: it exists already (--force overwrites it)"
    )
    assert path.read_text() == "precious"
    audio.write_audio(path, song, RATE_HZ, force=True)
    assert audio.probe(path).duration_s == 6.0


def test_failure_in_the_middle_leaves_nothing(tmp_path: Path, song: Samples) -> None:
    """Where the sound cannot be made to its end, no half file appears."""

    def blocks() -> Iterator[Samples]:
        yield song
        raise InputError("track 2 is gone")

    with pytest.raises(InputError, match="track 2 is gone"):
        audio.write_blocks(tmp_path / "mix.ogg", blocks(), RATE_HZ, 2)
    assert list(tmp_path.iterdir()) == []


def test_folder_that_cannot_be_made(tmp_path: Path, song: Samples) -> None:
    """A folder that cannot be made, as a file has its name, is named with the reason."""
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match=r"cannot write '.*mix\.wav': a file is in the way"):
        audio.write_audio(tmp_path / "file" / "mix.wav", song, RATE_HZ)


FULL = """
import resource, sys
import numpy as np
from aquatempo import audio
from aquatempo.errors import OutputError
song = np.random.default_rng(1).uniform(-0.5, 0.5, (20 * 44_100, 2)).astype(np.float32)
audio.FORMATS  # loaded before files become scarce
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
try:
    audio.write_audio(sys.argv[1], song, 44_100, force=True)
except OutputError as exc:
    print(exc)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="limits of files are set otherwise there")
@pytest.mark.parametrize("suffix", ["wav", "flac", "ogg"])
def test_error_of_the_disk_is_named(tmp_path: Path, suffix: str) -> None:
    """Where the system refuses more bytes, its reason is said and the old file stays whole."""
    path = tmp_path / f"mix.{suffix}"
    path.write_text("precious")
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path)], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"cannot write {str(path)!r}: File too large\n"
    assert done.stderr == ""
    assert [(one.name, one.read_text()) for one in tmp_path.iterdir()] == [(path.name, "precious")]


def test_unknown_format_and_tag_list_the_known(tmp_path: Path, song: Samples) -> None:
    """Another suffix or tag is refused with those that there are."""
    with pytest.raises(InputError, match=r"^sound format '\.mp3': needs wav, flac, ogg$"):
        audio.write_audio(tmp_path / "mix.mp3", song, RATE_HZ)
    with pytest.raises(InputError, match=r"^tag 'mood': needs one of title, artist"):
        audio.write_audio(tmp_path / "mix.wav", song, RATE_HZ, {"mood": "calm"})


def test_loud_samples_are_clipped_not_wrapped(tmp_path: Path) -> None:
    """Samples beyond full scale are clipped."""
    loud = np.array([2.0, -2.0] * 100, dtype=np.float32)
    audio.write_audio(tmp_path / "a.wav", loud, RATE_HZ)
    back, _ = soundfile.read(io.BytesIO((tmp_path / "a.wav").read_bytes()))
    assert back[:2] == pytest.approx([1.0, -1.0], abs=1e-4)
