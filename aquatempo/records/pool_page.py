"""What is made of a class for the pool: sheets with their sides, a folder, a shared page."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MadeFile", "MadeFolder", "PoolChoice", "PoolShown", "ShareAsked", "Shared"]


@dataclass(frozen=True, slots=True)
class PoolChoice:
    """What is made and how; names as ``aquatempo export`` has them.

    only: formats without songs; songs: formats that carry songs. paper: of sheets; language:
    of calls and labels, "" for the plan's own. silent: signs in place of spoken calls. figures:
    cards and sheet show the moves.
    """

    only: tuple[str, ...] = ("card", "sheet", "page", "figures")
    songs: tuple[str, ...] = ()
    paper: str = "a5"
    language: str = ""
    silent: bool = False
    figures: bool = False


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file of a preview. kind: its ending; sides: pages of a PDF, 0 for others; size [bytes]."""

    name: str
    format: str
    kind: str
    sides: int
    size: int


@dataclass(frozen=True, slots=True)
class PoolShown:
    """The preview of a class. at: names this state of it, in the address of its files.

    formats, song_formats: all that can be asked for; papers: all sizes.
    """

    at: str
    title: str
    options: PoolChoice
    files: tuple[MadeFile, ...]
    notes: tuple[str, ...]
    formats: tuple[str, ...]
    song_formats: tuple[str, ...]
    papers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MadeFolder:
    """A folder that was made, or how far that is. error: why it failed, "" for not."""

    running: bool = False
    done: int = 0
    all: int = 0
    folder: str = ""
    files: int = 0
    error: str = ""


@dataclass(frozen=True, slots=True)
class ShareAsked:
    """Share the deck page of a class on an address of this machine, for some minutes."""

    plan: str
    address: str
    minutes: float = 180.0


@dataclass(frozen=True, slots=True)
class Shared:
    """Whether a deck page is shared. link: opens it until it ends; left_s: until then [s].

    addresses: those of this machine, to choose from; fetched: how often it was opened.
    """

    on: bool
    addresses: tuple[str, ...]
    plan: str = ""
    title: str = ""
    address: str = ""
    link: str = ""
    left_s: float = 0.0
    fetched: int = 0
