"""What the user names becomes a list of tracks, and a reason for each that is not there."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from aquatempo.music.gathering import gather
from aquatempo.records.track import Failure


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with two audio names, a text, a hidden file and a folder below."""
    for name in ("b.mp3", "a.WAV", "notes.txt", ".hidden.mp3", "below/c.flac", ".git/d.ogg"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.touch()
    return tmp_path


def names(items: tuple[str | Failure, ...]) -> list[str]:
    """Return the file names of the tracks among items."""
    return [Path(item).name for item in items if isinstance(item, str)]


def test_a_folder_gives_its_audio_files_and_those_below(folder: Path) -> None:
    """Audio is told by its suffix in any case; hidden files and folders are left out."""
    assert names(gather([str(folder)])) == ["a.WAV", "b.mp3", "c.flac"]


def test_a_folder_gives_its_track_sheets(folder: Path) -> None:
    """Track sheets are told from plans and briefs; one beside its audio is left out."""
    sheet = 'title = "Lanes"\nlength = "3:20"\ntempo_bpm = 132\n'
    (folder / "lanes.toml").write_text(sheet)
    (folder / "b.toml").write_text(sheet)
    (folder / "brief.toml").write_text("minutes = 45\n[group]\nsize = 12\n")
    (folder / "plan.toml").write_text('[[tracks]]\nlength = "3:20"\ntempo_bpm = 132\n')
    assert names(gather([str(folder)])) == ["a.WAV", "b.mp3", "c.flac", "lanes.toml"]


def test_a_folder_without_audio_says_what_is_needed(tmp_path: Path) -> None:
    """An empty folder is a failure with one clear line."""
    (item,) = gather([str(tmp_path)])
    assert isinstance(item, Failure)
    assert item.reason.startswith("no audio in folder")
    assert "mp3" in item.reason


def test_a_playlist_gives_its_entries_and_names_the_missing(folder: Path) -> None:
    """Entries are relative to the playlist; comments are skipped; missing ones are told."""
    text = "#EXTM3U\n#EXTINF:1,x\nb.mp3\nbelow\\c.flac\ngone.mp3\nhttps://example.org/x.mp3\n"
    (folder / "list.m3u").write_text(text)
    items = gather([str(folder / "list.m3u")])
    assert names(items) == ["b.mp3", "c.flac"]
    reasons = [item.reason for item in items if isinstance(item, Failure)]
    assert "'gone.mp3' in playlist 'list.m3u' does not exist" in reasons[0]
    assert "is a network address" in reasons[1]


def test_a_track_named_twice_is_taken_once(folder: Path) -> None:
    """A file given by name and by its folder is one track."""
    items = gather([str(folder / "b.mp3"), str(folder)])
    assert names(items) == ["b.mp3", "a.WAV", "c.flac"]


def test_one_file_under_several_names_is_one_track(folder: Path) -> None:
    """Links of both kinds to a file in a playlist are the same track."""
    (folder / "soft.mp3").symlink_to("b.mp3")
    os.link(folder / "b.mp3", folder / "hard.mp3")
    (folder / "c.m3u").write_text("b.mp3\nsoft.mp3\nhard.mp3\n./b.mp3\n", encoding="utf-8")
    assert len(gather([str(folder / "c.m3u")])) == 1


@pytest.mark.parametrize("name", ['it\'s a "song".mp3', "näher ⭐.mp3", "two\nlines.mp3"])
def test_odd_names_pass_through(tmp_path: Path, name: str) -> None:
    """Quotes, spaces, other scripts and even a line break in a name change nothing."""
    (tmp_path / name).touch()
    assert names(gather([str(tmp_path)])) == [name]


def test_an_empty_playlist_says_so(tmp_path: Path) -> None:
    """A playlist without entries is a failure."""
    (tmp_path / "none.m3u8").write_text("#EXTM3U\n")
    (item,) = gather([str(tmp_path / "none.m3u8")])
    assert isinstance(item, Failure)
    assert "no entries" in item.reason
