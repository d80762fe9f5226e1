"""Why no class fits a brief: the asks that clash, and the least change that would help.

The asks are switched off one by one and the problem is solved again. What has to stay on
for it to fail is the clash; the change that helps is looked for among those asks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import ceil

from aquatempo.class_shape.parts import class_shape, interval_seconds
from aquatempo.errors import InfeasibleError
from aquatempo.feasibility import thresholds
from aquatempo.planning.asks import asks_of
from aquatempo.planning.moves.palette import Palette, usual_kinds
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.choice import pick_tracks, refused
from aquatempo.planning.songs.outline import LEAST_SHARE, task_for
from aquatempo.planning.songs.song import Song, songs_of
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, PartName, PlannedTrack
from aquatempo.records.track import Track

__all__ = ["Lines", "check_moves", "check_shape", "least_clash", "no_choice", "no_outline"]

Lines = Mapping[str, int]
_ROUNDING = 0.1
WORKING_PARTS = (PartName.MAIN, PartName.INTERVALS)
_DEPTH_STEP_M = 0.05
_DEPTHS_M = (0.5, 3.0)
LEAST_MOVES = 2  # a base move has to change to another


def least_clash(asks: Sequence[str], fails: Callable[[frozenset[str]], bool]) -> list[str]:
    """Return a smallest set of asks that fails, none of which can be dropped.

    fails: whether the problem has no solution with these asks on; true for all of them.

    >>> least_clash("abc", lambda on: {"a", "c"} <= on)
    ['a', 'c']
    """
    kept = list(asks)
    for ask in asks:
        without = frozenset(kept) - {ask}
        if fails(without):
            kept.remove(ask)
    return kept


def check_shape(brief: Brief, lines: Lines, all_once: bool) -> None:
    """Raise InfeasibleError in water too hot to work in, and for intervals without room.

    brief: what was asked; lines: where each ask stands in its file; all_once: each song is
    played whole, once.
    """
    _check_heat(brief, lines)
    total = sum(part.minutes for part in class_shape(brief))
    if brief.intervals is None or all_once or total <= brief.minutes + _ROUNDING:
        return
    sets, over = brief.intervals.sets, total - brief.minutes
    each = interval_seconds(brief.intervals) / 60.0 / sets
    fewer = max(0, sets - ceil(over / each))
    remedy = f"Least change: sets = {fewer}" if fewer else "Least change: no intervals"
    raise InfeasibleError(
        [
            _told("minutes", f"minutes = {brief.minutes:g}", lines),
            _told("intervals", f"{sets} sets of intervals take {each * sets:.1f} minutes", lines),
        ],
        f"{remedy}, or minutes = {_long_enough(brief, total)}.",
    )


def _long_enough(brief: Brief, total: float) -> int:
    """Return the least whole minutes that hold all parts, as a longer class has longer ones."""
    minutes = 0
    while total > minutes + _ROUNDING:
        minutes = ceil(total)
        total = sum(part.minutes for part in class_shape(replace(brief, minutes=float(minutes))))
    return minutes


def _check_heat(brief: Brief, lines: Lines) -> None:
    limit, water_c = thresholds().no_aerobic_above_c, brief.pool.temperature_c
    work = [part for part in class_shape(brief) if part.name in WORKING_PARTS and part.minutes > 0]
    if water_c <= limit or not work:
        return
    raise InfeasibleError(
        [
            _told("pool.temperature", f"temperature = {water_c:g}", lines),
            _told("parts", f"{work[0].name}: no aerobic work above {limit:g} C", lines),
        ],
        f"Least change: temperature = {limit:g}, or parts without {' and '.join(WORKING_PARTS)}.",
    )


def no_outline(
    tracks: Sequence[Track], brief: Brief, palette: Palette, effort: Effort, lines: Lines
) -> InfeasibleError:
    """Return the error for a brief that the music cannot fill.

    tracks: the songs, in order; palette: what the class may do here; effort: how long the
    solver may search, and its seed; lines: where each ask stands in its file.
    """
    songs, others = songs_of(tracks)
    if not songs:
        reasons = "; ".join(dict.fromkeys(reason for _, reason in others)) or "no tracks were given"
        return InfeasibleError([f"music: {reasons}"], "Give tracks with a beat, or track sheets.")
    aside = Counter(reason for song in songs if (reason := refused(song, brief)))
    songs = [song for song in songs if not refused(song, brief)]
    if not songs:
        return InfeasibleError(_refusals(aside), "Give other tracks, or let these through.")
    minutes = _longest(songs) / 60.0
    own = [part for part in class_shape(brief) if part.own_range]
    asks = ["minutes", *(f"{part.name.value}.tempo" for part in own)]

    def fails(on: frozenset[str]) -> bool:
        looser = replace(
            brief,
            parts=tuple(
                part if f"{part.name.value}.tempo" in on else replace(part, tempo_bpm=None)
                for part in brief.parts
            ),
        )
        task = task_for(songs, class_shape(looser), looser, palette)
        if "minutes" not in on:
            task = replace(task, least_s=0.0, least_parts_s=(0.0,) * len(task.wanted_s))
        return pick_tracks(task, effort) is None

    clash = least_clash(asks, fails) if fails(frozenset(asks)) else asks[:1]
    told = [_told("minutes", f"minutes = {brief.minutes:g}", lines)] if "minutes" in clash else []
    for part in own:
        if f"{part.name.value}.tempo" in clash:
            low, high = part.tempo_bpm
            ask = f"tempo {low:g}-{high:g} of the {part.name.value}"
            told.append(_told(f"{part.name.value}.tempo", ask, lines))
    told.append(f"{len(songs)} usable tracks of {minutes:.1f} minutes together")
    told += _refusals(aside)
    return InfeasibleError(told, _least_change(songs, brief, palette, effort, clash))


def _refusals(reasons: Mapping[str, int]) -> list[str]:
    """Return how many tracks are not to be played for which reason."""
    return [
        f"{number} {'track' if number == 1 else 'tracks'} left aside: {reason}"
        for reason, number in reasons.items()
    ]


def _longest(songs: Sequence[Song]) -> float:
    return sum(song.seconds(song.ends[0]) for song in songs)


def _least_change(
    songs: Sequence[Song], brief: Brief, palette: Palette, effort: Effort, clash: Sequence[str]
) -> str:
    """Return the remedy that changes least: minutes by a little, or one range by a little."""
    fitting = [song.tempo_bpm for song in songs if song.tempo_bpm]
    for ask in clash:
        if ask == "minutes":
            continue
        name = PartName(ask.removesuffix(".tempo"))
        part = next(one for one in class_shape(brief) if one.name is name)
        low, high = part.tempo_bpm
        wider = sorted(
            {(min(low, tempo), max(high, tempo)) for tempo in fitting},
            key=lambda span: (span[1] - span[0], span),
        )
        for span in wider:
            parts = tuple(
                replace(one, tempo_bpm=(float(int(span[0])), float(int(span[1] + 0.999))))
                if one.name is name
                else one
                for one in brief.parts
            )
            looser = replace(brief, parts=parts)
            task = task_for(songs, class_shape(looser), looser, palette)
            if span != (low, high) and pick_tracks(task, effort) is not None:
                return (
                    f'Least change: tempo = "{int(span[0])}-{int(span[1] + 0.999)}" '
                    f"for the {name.value}, or add music at {low:g} to {high:g} bpm."
                )
    most = _most_minutes(songs, brief, palette, effort)
    missing = LEAST_SHARE * brief.minutes - _longest(songs) / 60.0
    shorter = f"minutes = {most}, or " if most else ""
    return f"Least change: {shorter}add {max(1.0, ceil(missing)):.0f} minutes of music that suits."


def _most_minutes(songs: Sequence[Song], brief: Brief, palette: Palette, effort: Effort) -> int:
    """Return the longest class that the music fills [min], in whole minutes."""

    def fits(minutes: int) -> bool:
        share = minutes / brief.minutes
        parts = tuple(replace(part, minutes=share * part.minutes) for part in brief.parts)
        shorter = replace(brief, minutes=float(minutes), parts=parts)
        task = task_for(songs, class_shape(shorter), shorter, palette)
        return pick_tracks(task, effort) is not None

    low, high = 0, ceil(brief.minutes)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def check_moves(palette: Palette, tracks: Sequence[PlannedTrack], lines: Lines) -> None:
    """Raise InfeasibleError where a track is left with fewer than two moves.

    palette: what the class may do here; tracks: the songs, in order; lines: where each ask
    stands in its file.
    """
    _check_depth(palette, lines)
    if not palette.holds:
        ask = f"banned_moves = {', '.join(palette.brief.banned_moves)}"
        raise InfeasibleError(
            [_told("banned_moves", ask, lines), "bridges are carried by a holding move"],
            "Least change: take easy-jog out of banned_moves.",
        )
    for track in tracks:
        part = PartName(track.part)
        if part is PartName.STRETCH:
            continue
        tempo = track.tempo_bpm * track.speed
        kinds = usual_kinds(part)
        if len(palette.starts(palette.of(*kinds), tempo)) < LEAST_MOVES:
            raise _too_few(palette, kinds, track, tempo, lines)


def _check_depth(palette: Palette, lines: Lines) -> None:
    """Raise InfeasibleError where the water is not of the depth that the class needs."""
    brief = palette.brief
    why = _barred(palette)
    if not why:
        return
    deep = brief.depth is ClassDepth.DEEP
    other = ClassDepth.SHALLOW if deep else ClassDepth.DEEP
    pool = brief.pool
    told = f"{pool.depth_m:g}" if pool.far_depth_m is None else (
        f"{pool.depth_m:g}-{pool.far_depth_m:g}"
    )  # fmt: skip
    low, high = brief.group.height_m
    clashes = [
        _told("depth", f"depth = {brief.depth.value}", lines),
        _told("pool.depth", f"pool depth = {told} m", lines),
        f"{why} for most of a group of {low:.2f} to {high:.2f} m",
    ]
    fitting = _fitting_depth(palette, deep)
    remedy = f'Least change: depth = "{other.value}"'
    if fitting is not None:
        remedy += f", or [pool] depth = {fitting:g}"
    raise InfeasibleError(clashes, f"{remedy}.")


def _barred(palette: Palette) -> str:
    """Return why the depth allows hardly any move, "" where it does."""
    moves = palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY)
    forms = [palette.form(move) for move in moves]
    told = [one.figures.barred for one in palette.rate(forms, palette.tempos_bpm[0])]
    if not told or sum(not why for why in told) >= LEAST_MOVES:
        return ""
    depths = [why.partition(": ")[2] for why in told if why.startswith("depth: too")]
    return max(depths, key=depths.count) if depths else ""


def _fitting_depth(palette: Palette, deeper: bool) -> float | None:
    """Return the nearest depth of water [m] in which most of the group can take part."""
    brief, steps = palette.brief, range(1, 41)
    for step in steps:
        depth_m = round(brief.pool.depth_m + (step if deeper else -step) * _DEPTH_STEP_M, 2)
        if not _DEPTHS_M[0] <= depth_m <= _DEPTHS_M[1]:
            return None
        pool = replace(brief.pool, depth_m=depth_m, far_depth_m=None)
        if not _barred(Palette(replace(brief, pool=pool), palette.tempos_bpm[:1], palette.source)):
            return depth_m
    return None


def no_choice(palette: Palette, track: PlannedTrack, lines: Lines) -> InfeasibleError:
    """Return the error for a track whose moves cannot follow one another.

    palette: what the class may do here; lines: where each ask stands in its file.
    """
    brief = palette.brief
    clashes = []
    for name in ("allowed_moves", "banned_moves"):
        if moves := getattr(brief, name):
            clashes.append(_told(name, f"{name} = {', '.join(moves)}", lines))
    clashes.append(f"{track.title}: no move that is left may follow another")
    return InfeasibleError(clashes, "Least change: allow jog, which any move can go to and from.")


def _too_few(
    palette: Palette,
    kinds: Sequence[MoveKind],
    track: PlannedTrack,
    tempo_bpm: float,
    lines: Lines,
) -> InfeasibleError:
    brief = palette.brief
    asks = {ask.key: ask for ask in asks_of(brief)}

    def moves_left(looser: Brief) -> int:
        other = Palette(looser, [tempo_bpm], palette.source)
        return len(other.starts(other.of(*kinds), tempo_bpm))

    def fails(on: frozenset[str]) -> bool:
        looser = brief
        for key in asks:
            if key not in on:
                looser = asks[key].without(looser)
        return moves_left(looser) < LEAST_MOVES

    clash = least_clash(list(asks), fails)
    clashes = [_told(asks[key].line, asks[key].text, lines) for key in clash]
    pool = f"{brief.pool.depth_m:g} m of water"
    clashes.append(f"{track.title} at {tempo_bpm:.0f} bpm in {pool}, {brief.depth.value}")
    remedies = []
    for key in clash:
        for looser, words in asks[key].looser(brief, palette.source.moves):
            if moves_left(looser) >= LEAST_MOVES:
                remedies.append(words)
                break
    if not remedies:
        return InfeasibleError(clashes, "Take a slower song, or another place in the pool.")
    return InfeasibleError(clashes, f"Least change: {', or '.join(remedies[:2])}.")


def _told(ask: str, text: str, lines: Lines) -> str:
    """Return an ask with the line of the brief that makes it."""
    line = lines.get(ask)
    return f"line {line}: {text}" if line is not None else text
