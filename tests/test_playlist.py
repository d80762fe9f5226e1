"""A saved playlist opens where it was saved, in our reader and in another."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import unquote_to_bytes

import m3u8
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from song_making import make_song

from aquatempo.exports.playlist import playlist
from aquatempo.music.gathering import gather
from aquatempo.records.track import Failure, Track

# Any name that the file system takes: no slash, no NUL, up to 255 bytes.
raw_names = st.binary(min_size=1, max_size=40).filter(
    lambda name: b"/" not in name and b"\0" not in name and name not in (b".", b"..")
)
odd_names = st.sampled_from(
    [b"#1 hit", b" leading", b"trailing ", b"\ttab", b"a\\b", b"file:x", b"http:x", b"a\nb",
     b"caf\xe9", "näher ⭐".encode(), b"#EXTINF:3,x", b"C:song", b"~x", b"%41", b"a\x85b"]
)  # fmt: skip


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Track:
    """Return a track with some analysis."""
    return make_song(tmp_path_factory.mktemp("song") / "song.wav", 132.0)


def opened_by_others(text: str, folder: Path) -> list[bytes]:
    """Return the files that a library for playlists, not ours, finds in a list in a folder."""
    found = []
    for segment in m3u8.loads(text).segments:
        uri = str(segment.uri)
        if uri.startswith("file://"):
            found.append(unquote_to_bytes(uri.removeprefix("file://")))
        else:
            found.append(os.fsencode(folder / uri))
    return found


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere names are text, not bytes")
@settings(max_examples=60, deadline=None)
@given(st.lists(st.one_of(raw_names, odd_names), min_size=1, max_size=4, unique=True))
def test_any_name_comes_back(heard: Track, names: list[bytes]) -> None:
    """Whatever bytes are in the names, both readers find the very files that were saved."""
    with TemporaryDirectory() as place:
        music, lists = Path(place) / "music", Path(place) / "lists" / "below"
        music.mkdir()
        lists.mkdir(parents=True)
        files = [os.fsdecode(os.fsencode(music) + b"/" + name + b".wav") for name in names]
        try:
            for file in files:
                Path(file).touch()
        except OSError:
            assume(False)
        tracks = [
            replace(heard, file=file, title=os.fsdecode(name))
            for file, name in zip(files, names, strict=True)
        ]
        text = playlist(tracks, lists)
        (lists / "saved.m3u8").write_text(text, encoding="utf-8")
        ours = [one for one in gather([str(lists / "saved.m3u8")]) if isinstance(one, str)]
        assert [os.path.realpath(one) for one in ours] == files
        theirs = [os.path.realpath(one) for one in opened_by_others(text, lists)]
        assert theirs == [os.fsencode(file) for file in files]


def test_list_and_music_move_together(heard: Track, tmp_path: Path) -> None:
    """Entries are relative to the list: moved with its music it still opens."""
    first = tmp_path / "here"
    (first / "music").mkdir(parents=True)
    (first / "music" / "#1.wav").touch()
    track = replace(heard, file=str(first / "music" / "#1.wav"))
    (first / "list.m3u").write_text(playlist([track], first))
    first.rename(tmp_path / "there")
    assert gather([str(tmp_path / "there" / "list.m3u")]) == (
        str(tmp_path / "there" / "music" / "#1.wav"),
    )


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"\x00\x01binary\x00", "is no list of files, but something else (renamed?)"),
        (b"x" * 5000, f"{'x' * 120 + '...'!r} in 'a.m3u': File name too long"),
        (b"\xff\xfe", "does not exist"),
    ],
)
def test_what_is_no_list_is_said(tmp_path: Path, content: bytes, reason: str) -> None:
    """Binary data and over-long lines in a list are a failure in one line of bounded length."""
    (tmp_path / "a.m3u").write_bytes(content)
    (item,) = gather([str(tmp_path / "a.m3u")])
    assert isinstance(item, Failure)
    assert reason in item.reason
    assert len(item.reason) < 400


def test_same_file_by_other_names_is_one(tmp_path: Path) -> None:
    """Links and detours in a list lead to the track once."""
    (tmp_path / "a.mp3").touch()
    (tmp_path / "b.mp3").symlink_to(tmp_path / "a.mp3")
    (tmp_path / "l.m3u").write_text("a.mp3\n./a.mp3\nb.mp3\nx/../a.mp3\n")
    (tmp_path / "x").mkdir()
    assert gather([str(tmp_path / "l.m3u")]) == (str(tmp_path / "a.mp3"),)
