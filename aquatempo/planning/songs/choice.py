"""Which track plays in which part of the class, to which phrase end, how fast.

A constraint problem: each track is used at most once; the parts are filled to their
minutes in whole phrases; what suits a part less costs more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from aquatempo.class_shape.parts import SLOW_PARTS, ClassPart
from aquatempo.planning.solver.solving import Effort, Solved, minimise
from aquatempo.planning.songs.song import Song
from aquatempo.records.plan import Brief, PartName

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = [
    "CUT_COST",
    "FREE",
    "PART_FREE",
    "NOT_FOR_BOTH",
    "PART_SECOND_COST",
    "SECOND_COST",
    "Offer",
    "Picked",
    "TrackTask",
    "length_tenths",
    "missing_cost",
    "offers_for",
    "pick_tracks",
    "refused",
    "silent_cost",
]

ENOUGH_MOVES = 6  # so many base moves that keep their range make any tempo teachable
CUT_COST = 100  # what a cut song costs; 10 is a second off the wanted minutes
SECOND_COST = 10
FREE, PART_FREE = 100, 200  # tenths of a second off that nobody minds
PART_SECOND_COST = 3  # off the minutes of a part, where the whole is right
_MISSING = {
    PartName.WARM_UP: 6000,
    PartName.MAIN: 9000,
    PartName.INTERVALS: 3000,
    PartName.COOL_DOWN: 5000,
    PartName.STRETCH: 300,
}
# Counting by the clock instead of music: (once, a second).
_SILENT = {PartName.COOL_DOWN: (300, 8), PartName.STRETCH: (300, 4)}
_OUTSIDE = 300
_STAYS_OUTSIDE = 900  # more than two songs that are brought into their range unheard
_TEMPO, _NEW_TEMPO, _HARD_TEMPO = 2, 5, 8  # a beat a minute off what suits the part best
_UNSUITABLE = 2500
NOT_FOR_BOTH = 2500  # a song for a twin that the other depth cannot use
_WANTED = 3000  # for a song that the brief wants in this part
_TOO_SOON = 4000  # for a song that was played too few weeks ago
_FAR_TENTHS = 10**7
_EDGE = 0.01  # share of a tempo: as in feasibility, nearer to a range it stands at its edge
_FAR_BPM = 40.0  # further than this from its range no part takes a song


@dataclass(frozen=True)
class Offer:
    """A song for a part: at which speed, what that costs, and what to say of it."""

    song: int
    part: int
    cost: int
    speed: float = 1.0
    speed_reason: str = ""
    note: str = ""


@dataclass(frozen=True)
class TrackTask:
    """What is asked of the track stage.

    lengths_s: song -> seconds for each of its ends, as recorded. most_s, least_s: bounds
    on the whole class [s]; least_parts_s: on each part. all_once: each song is
    used whole, once. missing_costs: of parts that nothing is left for.
    """

    wanted_s: tuple[float, ...]
    lengths_s: tuple[tuple[float, ...], ...]
    offers: tuple[Offer, ...]
    silent_costs: tuple[int | None, ...]
    missing_costs: tuple[int, ...]
    least_parts_s: tuple[float, ...]
    least_s: float
    most_s: float
    all_once: bool = False


@dataclass(frozen=True)
class Picked:
    """An offer taken up; end: index into the song's ends."""

    offer: Offer
    end: int


def offers_for(
    songs: Sequence[Song],
    parts: Sequence[ClassPart],
    brief: Brief,
    moves_at: Callable[[float], int],
    anywhere: bool = False,
) -> tuple[Offer, ...]:
    """Return what each song can do in each part.

    moves_at: how many base moves keep their range at a tempo. A song outside the range of a
    part is played as recorded where enough moves suit its tempo, and otherwise faster or
    slower; outside a range of the brief's own it is played into the range, or not at all.
    anywhere: no song is refused. songs: that there are; parts: of the class.
    """
    found = []
    for number, song in enumerate(songs):
        for place, part in enumerate(parts):
            offer = _asked(song, part, brief, _offer(number, song, place, part, brief, moves_at))
            wanted = not part.own_range and _own_part(song, brief) is part.name
            if offer is None and (anywhere or wanted) and not refused(song, brief):
                offer = _played_anyway(number, song, place, part, brief)
                offer = replace(offer, cost=max(0, offer.cost - _WANTED * wanted))
            if offer is not None:
                found.append(offer)
    return tuple(found)


def _played_anyway(number: int, song: Song, place: int, part: ClassPart, brief: Brief) -> Offer:
    """Return what a song is in a part that it does not suit: nearer by what nobody hears."""
    note = "asked for" if _own_part(song, brief) is part.name else "used because all are"
    if song.tempo_bpm is None:
        return Offer(number, place, _UNSUITABLE, note=note)
    tempo, (low, high) = song.tempo_bpm, part.tempo_bpm
    off = max(low - tempo, tempo - high, 0.0)
    needed = min(max(tempo, low), high) / tempo
    speed = min(max(needed, 1.0 - brief.free_speed), 1.0 + brief.free_speed)
    side = "above" if tempo > high else "below"
    if off:
        note = f"{tempo:.0f} is {side} {low:.0f}-{high:.0f} for the {part.name}; {note}"
    return Offer(number, place, _UNSUITABLE + round(20 * off), speed, note if off else "", note)


def refused(song: Song, brief: Brief) -> str:
    """Return why a song is not to be played at all, "" where it may be.

    brief: what was asked.
    """
    track = song.track
    names = (track.title, track.file, track.file.rpartition("/")[2])
    if any(one.leave_out and one.title in names for one in brief.songs):
        return "the brief leaves it out"
    approved = brief.rules.songs if brief.rules is not None else ()
    if approved and not any(name in approved for name in names):
        return "not among the approved songs"
    return ""


def _own_part(song: Song, brief: Brief) -> PartName | None:
    """Return the part in which the brief wants a song, None where it says nothing."""
    names = (song.track.title, song.track.file, song.track.file.rpartition("/")[2])
    return next((one.part for one in brief.songs if one.title in names and one.part), None)


def _asked(song: Song, part: ClassPart, brief: Brief, offer: Offer | None) -> Offer | None:
    """Return an offer as the brief wants the song: in its own part, and not too soon again."""
    track = song.track
    names = (track.title, track.file, track.file.rpartition("/")[2])
    if refused(song, brief):
        return None
    own = _own_part(song, brief)
    if own is not None:
        if own is not part.name:
            return None
        if offer is not None:
            offer = replace(offer, cost=max(0, offer.cost - _WANTED))
    weeks = max(
        brief.course.songs_after if brief.course is not None else 0,
        brief.rules.songs_after if brief.rules is not None else 0,
    )
    soon = any(title in names and ago <= weeks for title, ago in brief.songs_used)
    return replace(offer, cost=offer.cost + _TOO_SOON) if offer is not None and soon else offer


def _offer(
    number: int,
    song: Song,
    place: int,
    part: ClassPart,
    brief: Brief,
    moves_at: Callable[[float], int],
) -> Offer | None:
    quiet = part.name in SLOW_PARTS
    unsure = round(100 * (1.0 - song.track.analysis.confidence)) + round(200 * song.bridging)
    if song.tempo_bpm is None:
        note = "no beat: the class counts seconds"
        return Offer(number, place, 20, note=note) if quiet else None
    tempo, (low, high) = song.tempo_bpm, part.tempo_bpm
    off = max(low - tempo, tempo - high, 0.0)
    if off == 0.0:
        weight = _HARD_TEMPO if part.hard else _NEW_TEMPO if part.new else _TEMPO
        return Offer(number, place, unsure + round(weight * abs(tempo - part.working_bpm)))
    side = "at the edge of" if off <= _EDGE * tempo else "above" if tempo > high else "below"
    outside = f"{tempo:.0f} is {side} {low:.0f}-{high:.0f} for the {part.name}"
    needed = min(max(tempo, low), high) / tempo - 1.0
    enough = moves_at(tempo) >= ENOUGH_MOVES
    heard = abs(needed) > brief.free_speed
    worth = part.own_range or (not quiet and not (heard and enough))
    if abs(needed) <= brief.most_speed and worth:
        why = outside + ("" if part.own_range or enough else ": too few moves keep their range")
        why += "; a change over 4 % is heard" if heard else ""
        cost = unsure + _OUTSIDE + round(3000 * abs(needed)) + (300 if heard else 0)
        return Offer(number, place, cost, 1.0 + needed, why)
    if part.own_range or off > _FAR_BPM or (not enough and not quiet):
        return None
    near = off <= brief.most_speed * tempo
    cost = unsure + (_STAYS_OUTSIDE if near else _UNSUITABLE) + round(20 * off)
    remedy = "half water tempo" if quiet else "enough moves keep their range: played as recorded"
    return Offer(number, place, cost, note=f"{outside}; {remedy}")


def missing_cost(part: ClassPart) -> int:
    """Return what it costs that a part has neither music nor anything else."""
    return _MISSING[part.name]


def silent_cost(part: ClassPart) -> int | None:
    """Return what a part without music costs, None where it needs some."""
    if part.name not in _SILENT:
        return None
    once, a_second = _SILENT[part.name]
    return once + round(a_second * 60.0 * part.minutes)


def length_tenths(task: TrackTask, offer: Offer, end: int) -> int:
    """Return how long a song lasts to one of its ends, as it is played [0.1 s].

    task: with the lengths of the songs; offer: song and speed; end: which end.
    """
    return round(10 * task.lengths_s[offer.song][end] / offer.speed)


def pick_tracks(
    task: TrackTask, effort: Effort
) -> tuple[tuple[Picked, ...], tuple[int, ...], Solved] | None:
    """Return the tracks picked, the parts without music and how sure that is; None if none fit.

    task: the problem; effort: how long the solver may search, and its seed.
    """
    from ortools.sat.python import cp_model

    LinearExpr = cp_model.LinearExpr  # noqa: N806 - a class under its own name

    model = cp_model.CpModel()
    cases = [
        (Picked(offer, end), model.new_bool_var(""))
        for offer in task.offers
        for end in range(1 if task.all_once else len(task.lengths_s[offer.song]))
    ]
    silent = [None if price is None else model.new_bool_var("") for price in task.silent_costs]
    for song in range(len(task.lengths_s)):
        once = [var for case, var in cases if case.offer.song == song]
        (model.add_exactly_one if task.all_once else model.add_at_most_one)(once)
    costs = [10 * (case.offer.cost + (CUT_COST if case.end else 0)) for case, _ in cases]
    terms = [LinearExpr.weighted_sum([var for _, var in cases], costs)]
    lengths = []
    for part, wanted in enumerate(task.wanted_s):
        mine = [(case, var) for case, var in cases if case.offer.part == part]
        pairs = [(var, length_tenths(task, case.offer, case.end)) for case, var in mine]
        quiet, price = silent[part], task.silent_costs[part]
        if quiet is not None and price is not None:
            pairs.append((quiet, round(10 * wanted)))
            for _, var in mine:
                model.add_implication(quiet, ~var)
            terms.append(10 * price * quiet)
        missing = model.new_bool_var("")
        model.add(LinearExpr.sum([missing, *(var for var, _ in pairs)]) >= 1)
        terms.append(10 * task.missing_costs[part] * missing)
        length = LinearExpr.weighted_sum([var for var, _ in pairs], [n for _, n in pairs])
        lengths.append(length)
        model.add(length >= ceil(10 * task.least_parts_s[part]))
        off = _distance(model, length, round(10 * wanted), PART_FREE)
        terms.append(PART_SECOND_COST * off)
    total = LinearExpr.sum(lengths)
    model.add(total <= int(10 * task.most_s))
    model.add(total >= ceil(10 * task.least_s))
    whole = sum(round(10 * want) for want in task.wanted_s)
    terms.append(SECOND_COST * _distance(model, total, whole, FREE))
    model.minimize(LinearExpr.sum(terms))
    result = minimise(model, effort)
    if result is None:
        return None
    solved, solver = result
    picked = tuple(case for case, var in cases if solver.boolean_value(var))
    quiet_parts = tuple(
        part for part, var in enumerate(silent) if var is not None and solver.boolean_value(var)
    )
    return picked, quiet_parts, solved


def _distance(
    model: cp_model.CpModel, amount: cp_model.LinearExpr, wanted: int, free: int
) -> cp_model.IntVar:
    """Return a variable that is at least the distance [tenths] beyond what is free."""
    off = model.new_int_var(0, _FAR_TENTHS, "")
    model.add(off >= amount - wanted - free)
    model.add(off >= wanted - free - amount)
    return off
