"""The tab Ear: a track as heard, its sound, and changes to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from aquatempo.records.ear import EarChange, EarTrack
from aquatempo.records.track import Track
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Endpoint
from aquatempo.workflow.ear import change_ear, open_ear, redo_ear, undo_ear

__all__ = ["ChangeOnRevision", "OnRevision", "SoundPiece", "endpoints"]


@dataclass(frozen=True, slots=True)
class SoundPiece:
    """Samples of a song: how many frames from which one on, at which speed."""

    first: int
    frames: int
    speed: float = 1.0


@dataclass(frozen=True, slots=True)
class OnRevision:
    """The state that a window shows."""

    revision: str


@dataclass(frozen=True, slots=True)
class ChangeOnRevision:
    """A change, and the state that it was made on."""

    revision: str
    change: EarChange


def endpoints(desk: Desk) -> tuple[Endpoint, ...]:
    """Return what the tab Ear asks for."""

    def path_of(key: str) -> str:
        return desk.music.row(key).file

    def show(key: str) -> EarTrack:
        return open_ear(path_of(key))[0]

    def sound(key: str, piece: SoundPiece) -> bytes:
        return desk.sounds.samples(path_of(key), piece.first, piece.frames, piece.speed)

    def levels(key: str) -> bytes:
        return desk.sounds.levels(path_of(key))

    def told(result: tuple[EarTrack, Track]) -> EarTrack:
        shown, track = result
        desk.track_changed(track, shown.revision)
        return shown

    def change(key: str, asked: ChangeOnRevision) -> EarTrack:
        return told(change_ear(path_of(key), asked.change, asked.revision))

    def moving(step: Callable[[str, str], tuple[EarTrack, Track]]) -> Callable[..., EarTrack]:
        return lambda key, asked: told(step(path_of(key), asked.revision))

    at = "/api/tracks/{key}"
    return (
        Endpoint("GET", at, "A track as it is heard", show, EarTrack),
        Endpoint("GET", f"{at}/sound", "Samples of a song", sound, bytes, SoundPiece),
        Endpoint("GET", f"{at}/levels", "How loud it is, over time", levels, bytes),
        Endpoint("POST", f"{at}/change", "Correct it", change, EarTrack, ChangeOnRevision),
        Endpoint("POST", f"{at}/undo", "Take back", moving(undo_ear), EarTrack, OnRevision),
        Endpoint("POST", f"{at}/redo", "Do again", moving(redo_ear), EarTrack, OnRevision),
    )
