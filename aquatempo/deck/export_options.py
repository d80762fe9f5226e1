"""Which files are made of a class, and how."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.units import check_range

__all__ = [
    "FORMATS",
    "SONG_FORMATS",
    "USUAL_FORMATS",
    "ExportOptions",
    "Job",
    "check_options",
]

Job = tuple[Path, Callable[[Path], None]]
"""A file and what writes it."""

# name: what it is, in the order in which the files are made
FORMATS = {
    "card": "deck card, one side a song, PDF",
    "compact": "deck card, the class on two sides, PDF",
    "large": "deck card in the largest type, PDF",
    "silent": "deck card with the counts written out, PDF",
    "sheet": "substitute's sheet, PDF",
    "page": "deck page that counts with the music, HTML",
    "figures": "the moves as figures with their end positions, HTML to print",
    "app": "the deck page as a folder for a web space, from which it can be installed",
    "track-cards": "deck card, PDF, a file a track",
    "captions": "calls as WebVTT, a file a track",
    "json": "changes and calls as JSON, a file a track",
    "csv": "changes and calls as CSV, a file a track",
    "midi": "beats, phrases and a click as a Standard MIDI File, a file a track",
    "picture": "energy, phrases, moves and calls as SVG, a file a track",
    "clicks": "the count click alone, a file a track",
}
USUAL_FORMATS = tuple(
    name for name in FORMATS if name not in ("large", "app", "figures", "track-cards")
)
SONG_FORMATS = {
    "rehearsal": "the song under counts and spoken calls, a file a track",
    "song-page": "the deck page with the songs inside, HTML",
    "mix": "all tracks joined on phrases, with its own captions and JSON",
}
SOUNDS = ("ogg", "wav", "flac")
LOUDNESS_LUFS = (-40.0, -6.0)  # below, a pool drowns it; above, limiting flattens the music


@dataclass(frozen=True, slots=True)
class ExportOptions:
    """What is made and how.

    only: names of FORMATS; songs: names of SONG_FORMATS. two_sided: cards on paper of two
    sides are in order for a printer that prints both faces. language: of calls and labels,
    empty for the brief's own. silent: signs in place of spoken calls. figures: cards, but for
    the compact one, and the substitute's sheet show the moves. sound: of SOUNDS.
    force: replace files that exist; own_only: of these, only what was written here before.
    """

    only: tuple[str, ...] = USUAL_FORMATS
    songs: tuple[str, ...] = ()
    paper: str = "a5"
    two_sided: bool = False
    language: str = ""
    silent: bool = False
    figures: bool = False
    loudness_lufs: float = -16.0
    sound: str = "ogg"
    force: bool = False
    own_only: bool = False


def check_options(options: ExportOptions) -> None:
    """Raise InputError, UnknownNameError or RangeError for options that no export can follow."""
    from aquatempo.exports.sheets import PAPERS

    named: tuple[tuple[str, tuple[str, ...], Iterable[str]], ...] = (
        ("export format", options.only, FORMATS),
        ("export format with songs", options.songs, SONG_FORMATS),
        ("sound format", (options.sound,), SOUNDS),
    )
    for kind, names, known in named:
        for name in names:
            if name not in known:
                raise UnknownNameError(kind, name, known)
    if options.paper not in PAPERS:
        raise InputError(f"no page size named {options.paper!r}; known: {', '.join(PAPERS)}")
    slip = "LUFS are below zero: did you mean -16?" if options.loudness_lufs > 0 else ""
    check_range("loudness", options.loudness_lufs, "LUFS", *LOUDNESS_LUFS, slip)
