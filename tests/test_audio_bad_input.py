"""Files that are not what they seem: one clear line each, or the best that can be done."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile
from audio_making import CLICKS_S, clicks, encode, onsets_s, write_blocks

from aquatempo import audio
from aquatempo.audio.readers import PyavReader
from aquatempo.errors import DecodeError, TooShortError, UnreadableFileError


def test_missing_file_suggests_the_nearest(tmp_path: Path) -> None:
    """A missing file is said to be missing, and a similar name beside it is offered."""
    write_blocks(tmp_path / "Lane Four.wav", clicks(), 44_100)
    with pytest.raises(UnreadableFileError) as caught:
        audio.load_mono(tmp_path / "Lane For.wav")
    path = str(tmp_path / "Lane For.wav")
    assert str(caught.value) == (
        f"cannot read {path!r}: there is no such file (did you mean 'Lane Four.wav'?)"
    )


def test_a_link_to_nowhere_is_not_its_own_suggestion(tmp_path: Path) -> None:
    """A link whose file is gone is told with where it leads, not with "did you mean" itself."""
    link = tmp_path / "lanes.wav"
    try:
        link.symlink_to("gone.wav")
    except OSError:
        pytest.skip("links need a right here")
    with pytest.raises(UnreadableFileError, match=r"it is a link to 'gone\.wav'"):
        audio.load_mono(link)


def test_folder_is_not_a_file(tmp_path: Path) -> None:
    """A folder given in place of a song is named as one."""
    with pytest.raises(UnreadableFileError) as caught:
        audio.load_mono(tmp_path)
    assert str(caught.value) == (
        f"cannot read {str(tmp_path)!r}: this is a folder, not a file (give the songs in it)"
    )


def test_empty_file(tmp_path: Path) -> None:
    """A file of zero bytes is named as empty."""
    path = tmp_path / "a.mp3"
    path.touch()
    with pytest.raises(UnreadableFileError) as caught:
        audio.probe(path)
    assert str(caught.value) == (
        f"cannot read {str(path)!r}: it is empty (0 bytes) (copy or download it again)"
    )


@pytest.mark.skipif(sys.platform == "win32", reason="permissions work otherwise there")
def test_forbidden_file(tmp_path: Path) -> None:
    """A file without read permission is named as forbidden, for an ordinary user."""
    path = write_blocks(tmp_path / "a.wav", clicks(), 44_100)
    path.chmod(0)
    code = (
        "import os, sys, aquatempo.audio as a; from aquatempo.errors import UnreadableFileError\n"
        "a.load_mono, a.probe\n"  # load the modules before giving up the right to read them
        "if os.geteuid() == 0: os.setuid(65534)\n"
        "try: a.probe(sys.argv[1])\n"
        "except UnreadableFileError as exc: print(exc)\n"
    )
    if os.geteuid() == 0:  # the other user must reach the folder
        for folder in (tmp_path, *tmp_path.parents[:3]):
            folder.chmod(folder.stat().st_mode | 0o011)
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=False
    )
    assert done.stdout.strip() == (
        f"cannot read {str(path)!r}: permission to read it is missing "
        "(is it yours, or open in another program?)"
    ), done.stderr


@pytest.mark.parametrize(
    ("head", "slip"),
    [
        (b"Tuesday group: jog, jack, ski\n" * 40, "this is a text file, renamed?"),
        (
            b"<!DOCTYPE html><html><body>Not found</body></html>",
            "this is a web page: the download saved a page instead of the song",
        ),
        (
            b"#EXTM3U\nsong.mp3\n",
            "this is a playlist: name a song in it",
        ),
        (b"PK\x03\x04" + bytes(100), "this is a zip archive: unpack it first"),
        (
            np.random.default_rng(4).bytes(4096),
            "is it whole? Copy or download it again, or convert it to wav or mp3",
        ),
    ],
    ids=["text", "web page", "playlist", "archive", "noise"],
)
def test_not_audio_names_decoders_reasons_and_slip(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], head: bytes, slip: str
) -> None:
    """What is not audio lists each decoder with its reason, and the likely slip."""
    path = tmp_path / "song.mp3"
    path.write_bytes(head)
    with pytest.raises(DecodeError) as caught:
        audio.load_mono(path)
    assert [decoder for decoder, _ in caught.value.attempts] == ["PyAV", "soundfile"]
    assert all(reason for _, reason in caught.value.attempts)
    text = str(caught.value)
    assert text.startswith(f"cannot decode {str(path)!r} (PyAV: ")
    assert "; soundfile: Format not recognised); " in text
    assert text.endswith(slip)
    assert "\n" not in text
    assert capfd.readouterr().err == ""  # decoders keep their own chatter to themselves


def test_video_without_sound(tmp_path: Path) -> None:
    """A file with pictures only is said to hold no sound."""
    import av

    path = tmp_path / "a.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=10, width=16, height=16)
        frame = av.VideoFrame.from_ndarray(np.zeros((16, 16, 3), np.uint8), format="rgb24")
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)
    with pytest.raises(DecodeError, match="PyAV: no sound in it"):
        audio.probe(path)


def test_zero_length_wav(tmp_path: Path) -> None:
    """A wav of a header and no samples is said to hold no sound."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros((0, 2)), 44_100)
    with pytest.raises(DecodeError) as caught:
        audio.load_mono(path)
    assert str(caught.value) == (
        f"cannot decode {str(path)!r} (soundfile: 0 samples); "
        "it holds no sound at all: was the export or the copy cut off?"
    )


def test_three_seconds_are_too_short(tmp_path: Path) -> None:
    """Three seconds are refused for hearing a beat, and taken where none is needed."""
    path = write_blocks(tmp_path / "a.wav", clicks()[: 3 * 44_100], 44_100)
    with pytest.raises(TooShortError) as caught:
        audio.load_mono(path)
    assert str(caught.value) == (
        f"{str(path)!r} lasts 3.0 s: at least 5 s are needed to hear a beat"
    )
    assert audio.load_mono(path, shortest_s=0).duration_s == pytest.approx(3.0)


def test_truncated_mp3_decodes_what_is_there(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A cut-off mp3 gives the part that is there, and a note on how much is missing."""
    stereo = np.stack([np.tile(clicks(), 4)] * 2, axis=1)
    path = write_blocks(tmp_path / "a.mp3", stereo, 44_100)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    heard = audio.load_mono(path)
    assert 9 < heard.duration_s < 15
    assert heard.notes == (
        f"only {heard.duration_s:.1f} s of 24.0 s could be read: the file is damaged or cut off",
    )
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=0.001)
    assert capfd.readouterr().err == ""


def test_truncated_flac_decodes_what_is_there(tmp_path: Path) -> None:
    """A cut-off flac gives the part that is there, and a note."""
    noise = np.random.default_rng(5).uniform(-0.5, 0.5, 20 * 44_100).astype(np.float32)
    path = write_blocks(tmp_path / "a.flac", noise, 44_100)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    heard = audio.load_mono(path)
    assert 5 < heard.duration_s < 11
    assert heard.notes[0].endswith("of 20.0 s could be read: the file is damaged or cut off")


def test_damage_in_the_middle_is_stepped_over(tmp_path: Path) -> None:
    """A damaged stretch of an m4a costs that stretch only, and a note tells of it."""
    tone = np.sin(np.arange(20 * 44_100) * 0.05).astype(np.float32) * 0.5
    path = encode(tmp_path / "a.m4a", np.stack([tone] * 2, axis=1), 44_100, "aac")
    data = bytearray(path.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 3000] = np.random.default_rng(6).bytes(3000)
    path.write_bytes(data)
    heard = audio.load_mono(path)
    assert heard.duration_s > 17
    assert heard.notes[0].endswith(("the file is damaged", "the file is damaged or cut off"))


def test_samples_that_are_no_numbers_count_as_silence(tmp_path: Path) -> None:
    """NaN, infinite and absurd samples become silence, counted in a note."""
    samples = clicks()
    samples[1000:1010] = np.nan
    samples[2000] = np.inf
    samples[2001] = -1e30
    heard = audio.load_mono(write_blocks(tmp_path / "a.wav", samples, 44_100, subtype="FLOAT"))
    assert np.isfinite(heard.samples).all()
    assert heard.notes == (
        "12 samples are no sound (NaN, infinite or absurdly large) and count "
        "as silence: the file was exported wrongly or is damaged",
    )
    assert onsets_s(heard.samples, 22_050) == pytest.approx(CLICKS_S, abs=0.0001)


def test_absurd_sample_rate_is_refused(tmp_path: Path) -> None:
    """A damaged header that claims 20 samples a second is refused, not played for days."""
    path = write_blocks(tmp_path / "a.wav", clicks(), 44_100)
    data = bytearray(path.read_bytes())
    data[24:28] = (20).to_bytes(4, "little")  # the sample rate of a RIFF header
    path.write_bytes(data)
    with pytest.raises(DecodeError, match="soundfile: sample rate 20 Hz: needs 4000 to 768000 Hz"):
        audio.probe(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes here")
def test_pipe_is_refused_at_once(tmp_path: Path) -> None:
    """A named pipe, which might never give a byte, is refused instead of waited for."""
    path = tmp_path / "song.mp3"
    os.mkfifo(path)
    for reading in (audio.probe, audio.content_key, audio.load_mono):
        with pytest.raises(UnreadableFileError) as caught:
            reading(path)
        assert str(caught.value) == (
            f"cannot read {str(path)!r}: this is a pipe, not a file "
            "(save what comes through it to a file first)"
        )


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there are no device files here")
def test_device_is_refused() -> None:
    """A device, which may give bytes without end, is refused."""
    with pytest.raises(UnreadableFileError, match="this is a device, not a file"):
        audio.probe("/dev/zero")


def test_file_cannot_have_others_opened(tmp_path: Path) -> None:
    """A script that names another file is no song, whatever the library would make of it."""
    import av

    write_blocks(tmp_path / "secret.wav", clicks(), 44_100)
    script = tmp_path / "song.mp3"
    script.write_text("ffconcat version 1.0\nfile secret.wav\n")
    with av.open(str(script)) as container:  # what the library does when nobody stops it
        assert container.streams.audio
    with pytest.raises(DecodeError, match="this is a text file, renamed"):
        audio.probe(script)
    segments = tmp_path / "list.m3u8"
    segments.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\nsecret.wav\n")
    with pytest.raises(av.FFmpegError):
        PyavReader(str(segments))
