"""What stands side by side once phrases are dropped, and what may not: told as clashes of cuts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean

from aquatempo.class_shape.standards import (
    HOLD_SECONDS,
    LEAP_RPE,
    MOVE_SECONDS,
    MUSCLE_SECONDS,
    PLANE_SECONDS,
    TOLD_SHARE,
)
from aquatempo.planning.blocks.showing import jumps_high
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.windows import moment
from aquatempo.records.moves import MoveKind, Plane
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import PartName
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = ["Clash", "Carried", "clashes"]

_WORKING = (PartName.WARM_UP, PartName.MAIN, PartName.INTERVALS, PartName.COOL_DOWN)
_PLANES = {plane.value for plane in Plane}
_DULL_RPE = 1.0  # loud phrases so far below quiet ones are told
_MOVE = "move "


@dataclass(frozen=True)
class Carried:
    """Some counts of a form in their place. track, phrase: from 0; seconds: how long [s]."""

    track: int
    phrase: int
    part: str
    kind: PhraseKind
    energy: EnergyLevel
    rated: Rated
    seconds: float


@dataclass(frozen=True)
class Clash:
    """Cuts that do not go together: these tracks as they are cut, and one that plays so far.

    cut: the tracks that are to stay as they are cut, from 0; track, phrases: the one in which it
    shows, and how many of its phrases it takes to show.
    """

    cut: tuple[int, ...]
    track: int
    phrases: int


def clashes(done: Sequence[Carried], depth: ClassDepth) -> list[Clash]:
    """Return where a class that was cut is too long at one thing, too early, leaps, or is dull.

    done: all that the class does, in order; depth: of the class.
    """
    return [*_too_long(done), *_too_early(done, depth), *_leap(done), *_dull(done)]


def _too_long(done: Sequence[Carried]) -> Iterator[Clash]:
    """Yield where a plane, a muscle, a move or an effort goes on for too long."""
    limits = {f"RPE {level:g}": seconds for level, seconds in HOLD_SECONDS}
    runs: dict[str, list[Carried]] = {}
    for one in done:
        names = _names(one)
        runs = {name: [*runs.get(name, ()), one] for name in names}
        for name, run in runs.items():
            limit = limits.get(name, MOVE_SECONDS if name.startswith(_MOVE) else None)
            if limit is None:
                limit = TOLD_SHARE * (PLANE_SECONDS if name in _PLANES else MUSCLE_SECONDS)
            if sum(part.seconds for part in run) > limit:
                first = run[0].track
                cut = range(first, one.track) if first < one.track else [one.track]
                yield Clash(tuple(cut), one.track, one.phrase + 1)


def _names(one: Carried) -> set[str]:
    move = one.rated.form.move
    if one.part not in _WORKING or move.kind in (MoveKind.HOLDING, MoveKind.STRETCH):
        return set()
    legs = {_MOVE + move.key} if move.kind is not MoveKind.ARMS_ONLY else set()
    return {*moment(one.rated, one.seconds)[0], *legs}


def _too_early(done: Sequence[Carried], depth: ClassDepth) -> Iterator[Clash]:
    """Yield big jumps in what is the first song of the main part now."""
    main = [one for one in done if one.part == PartName.MAIN]
    if not main or depth is ClassDepth.DEEP:
        return
    first = main[0].track
    for one in main:
        if one.track == first and jumps_high(one.rated.form):
            yield Clash(tuple(range(first)), first, one.phrase + 1)
            return


def _leap(done: Sequence[Carried]) -> Iterator[Clash]:
    """Yield a main part that does not begin where what is left of the warm-up ends."""
    up, main = (
        [one for one in done if one.part == part and one.kind is PhraseKind.PHRASE]
        for part in (PartName.WARM_UP, PartName.MAIN)
    )
    last = list(dict.fromkeys((one.track, one.phrase) for one in up))[-2:]
    first = list(dict.fromkeys((one.track, one.phrase) for one in main))[:2]
    before = [one for one in up if (one.track, one.phrase) in last]
    after = [one for one in main if (one.track, one.phrase) in first]
    if before and after and _rpe(after) > _rpe(before) + LEAP_RPE:
        track, phrase = first[-1]
        yield Clash(tuple(range(last[0][0], track)), track, phrase + 1)


def _dull(done: Sequence[Carried]) -> Iterator[Clash]:
    """Yield songs of the main part that are lighter where they are loud, as they are cut now."""
    for track in dict.fromkeys(one.track for one in done if one.part == PartName.MAIN):
        mine = [one for one in done if one.track == track and one.kind is PhraseKind.PHRASE]
        loud, quiet = (
            [one for one in mine if one.energy is energy]
            for energy in (EnergyLevel.HIGH, EnergyLevel.LOW)
        )
        if loud and quiet and _rpe(loud) < _rpe(quiet) - _DULL_RPE:
            yield Clash((track,), track, 0)


def _rpe(done: Sequence[Carried]) -> float:
    return fmean([one.rated.rpe for one in done], [one.seconds for one in done])
