"""The tab Music: what is open, the list, hearing it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.music.dropping import receive_song
from aquatempo.music.places import folders_in, is_within, real_path, tops
from aquatempo.records.music import Folders, MusicPage, MusicQuery
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Done, Endpoint
from aquatempo.workflow.music_list import MusicList

__all__ = ["At", "Dropped", "HearingWanted", "Opened", "SongName", "endpoints"]


@dataclass(frozen=True, slots=True)
class At:
    """A folder by its path; "" for the tops."""

    path: str = ""


@dataclass(frozen=True, slots=True)
class HearingWanted:
    """Whether what waits is to be heard."""

    on: bool


@dataclass(frozen=True, slots=True)
class Opened:
    """How many tracks of a folder are new to the list."""

    new: int


@dataclass(frozen=True, slots=True)
class SongName:
    """What the browser calls a song that it sends."""

    name: str


@dataclass(frozen=True, slots=True)
class Dropped:
    """A song that was taken: its id in the list."""

    id: str


def endpoints(desk: Desk) -> tuple[Endpoint, ...]:
    """Return what the tab Music asks for."""
    music = desk.music

    def open_folder(at: At) -> Opened:
        real = real_path(at.path)
        if not Path(real).is_dir() or not any(is_within(real, top) for top in tops()):
            raise InputError(f"folder {at.path!r} is none of those offered")
        return _opened(desk, music, real)

    def open_samples() -> Opened:
        from aquatempo.workflow.demo import sample_folder

        return _opened(desk, music, sample_folder())

    def close_place(at: At) -> Done:
        music.close(at.path)
        return Done()

    def look_again() -> Done:
        music.refresh()
        desk.hear()
        return Done()

    def set_hearing(hearing: HearingWanted) -> Done:
        music.set_stopped(not hearing.on)
        if hearing.on:
            desk.hear()
        return Done()

    async def drop(song: SongName, body: AsyncIterator[bytes]) -> Dropped:
        key = music.add_dropped(str(await receive_song(song.name, body)))
        desk.hear()
        return Dropped(key)

    return (
        Endpoint("GET", "/api/music", "Some rows of the list", music.page, MusicPage, MusicQuery),
        Endpoint("GET", "/api/folders", "Folders that can be opened", _folders, Folders, At),
        Endpoint("POST", "/api/music/open", "Open a folder", open_folder, Opened, At),
        Endpoint("POST", "/api/music/samples", "Open the sample music", open_samples, Opened),
        Endpoint("POST", "/api/music/close", "Close a folder", close_place, Done, At),
        Endpoint("POST", "/api/music/again", "Look for new files", look_again, Done),
        Endpoint(
            "POST", "/api/music/hearing", "Stop hearing, or go on", set_hearing, Done, HearingWanted
        ),
        Endpoint(
            "POST", "/api/music/dropped", "Take a dropped song", drop, Dropped, bytes, SongName
        ),
    )


def _opened(desk: Desk, music: MusicList, path: str) -> Opened:
    new = music.open([path])
    desk.hear()
    return Opened(new)


def _folders(at: At) -> Folders:
    return folders_in(at.path)
