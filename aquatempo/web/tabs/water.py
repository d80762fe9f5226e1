"""The tab Water: a pool and a group, moves as judged there, figures of both."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.water_page import ClassForm, MoveRow, MoveShown, WaterShown
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Endpoint
from aquatempo.workflow import water

__all__ = ["Drawn", "GroupDrawn", "JudgedMoves", "MovesAt", "endpoints"]

SVG = "image/svg+xml"


@dataclass(frozen=True, slots=True)
class MovesAt:
    """Moves at a tempo [beats/min], in a pattern of counts a movement, named in a language."""

    tempo_bpm: float
    pattern: str = "2"
    language: str = "en"


@dataclass(frozen=True, slots=True)
class JudgedMoves:
    """The moves of the depth, judged."""

    moves: tuple[MoveRow, ...]


@dataclass(frozen=True, slots=True)
class GroupDrawn:
    """How the picture of the group is called; words: its lengths, parted by ``|``.

    state: any number that differs for each state of the form, for the browser's memory.
    """

    title: str = ""
    words: str = ""
    state: int = 0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A figure that is asked for: a move, ``jack`` or ``jack+arms=fly``, and how it is drawn.

    tempo_bpm: it moves at this tempo, 0: end positions; first: only the first of them.
    """

    move: str
    tempo_bpm: float = 0.0
    view: str = ""
    mirrored: bool = False
    range_kept: float = 1.0
    language: str = "en"
    captions: bool = True
    first: bool = False


def endpoints(desk: Desk) -> tuple[Endpoint, ...]:
    """Return what the tab Water asks for."""

    def shown() -> WaterShown:
        return water.show_water(water.read_water())

    def moves(at: MovesAt) -> JudgedMoves:
        form = water.read_water()
        return JudgedMoves(water.judged_moves(form, at.tempo_bpm, at.pattern, at.language))

    def move(key: str, at: MovesAt) -> MoveShown:
        return water.show_move(water.read_water(), key, at.tempo_bpm, at.language)

    def group(how: GroupDrawn) -> bytes:
        words = tuple(how.words.split("|")) if how.words else ()
        return water.group_svg(water.read_water(), how.title, words).encode()

    def figure(how: Drawn) -> bytes:
        return water.move_svg(
            water.read_water(),
            how.move,
            tempo_bpm=how.tempo_bpm or None,
            view=how.view,
            mirrored=how.mirrored,
            range_kept=how.range_kept,
            language=how.language,
            captions=how.captions,
            only_first=how.first,
        ).encode()

    at = "/api/water"
    return (
        Endpoint("GET", at, "The pool and the group", shown, WaterShown),
        Endpoint("PUT", at, "Keep a pool and a group", desk.change_water, WaterShown, ClassForm),
        Endpoint("GET", f"{at}/group.svg", "The group drawn", group, bytes, GroupDrawn, media=SVG),
        Endpoint("GET", "/api/moves", "Moves at a tempo", moves, JudgedMoves, MovesAt),
        Endpoint("GET", "/api/moves/{key}", "A move at length", move, MoveShown, MovesAt),
        Endpoint("GET", "/api/figure.svg", "A figure of a move", figure, bytes, Drawn, media=SVG),
    )
