"""Why no class fits a brief: the asks that clash, and the least change that would help.

The asks are switched off one by one and the problem is solved again. What has to stay on
for it to fail is the clash; the change that helps is looked for among those asks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import ceil

from aquatempo.class_shape import class_shape, interval_seconds
from aquatempo.errors import InfeasibleError
from aquatempo.feasibility import thresholds
from aquatempo.planning.moves.palette import Palette, usual_kinds
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.choice import pick_tracks
from aquatempo.planning.songs.outline import LEAST_SHARE, task_for
from aquatempo.planning.songs.song import Song, songs_of
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Brief, PartName, PlannedTrack
from aquatempo.records.track import Track

__all__ = ["Lines", "check_moves", "check_shape", "least_clash", "no_choice", "no_outline"]

Lines = Mapping[str, int]
_ROUNDING = 0.1
WORKING_PARTS = (PartName.MAIN, PartName.INTERVALS)
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

    brief: what is asked of the class; lines: where the brief's asks stand in its file;
    all_once: whether the class lasts as long as the music.
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
        f"{remedy}, or minutes = {ceil(total)}.",
    )


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

    tracks: of the user; palette: the rated moves that the brief leaves; effort: how hard to
    search, and the seed; lines: where the brief's asks stand in its file.
    """
    songs, others = songs_of(tracks)
    if not songs:
        reasons = "; ".join(dict.fromkeys(reason for _, reason in others)) or "no tracks were given"
        return InfeasibleError([f"music: {reasons}"], "Give tracks with a beat, or track sheets.")
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
    return InfeasibleError(told, _least_change(songs, brief, palette, effort, clash))


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

    palette: the rated moves that the brief leaves; tracks: of the outline; lines: where the
    brief's asks stand in its file.
    """
    if not palette.holds:
        ask = f"banned_moves = {', '.join(palette.brief.banned_moves)}"
        raise InfeasibleError(
            [_told("banned_moves", ask, lines), "bridges are carried by a holding move"],
            "Least change: allow easy jog.",
        )
    for track in tracks:
        part = PartName(track.part)
        if part is PartName.STRETCH:
            continue
        tempo = track.tempo_bpm * track.speed
        kinds = usual_kinds(part)
        if len(palette.starts(palette.of(*kinds), tempo)) < LEAST_MOVES:
            raise _too_few(palette, kinds, track, tempo, lines)


def no_choice(palette: Palette, track: PlannedTrack, lines: Lines) -> InfeasibleError:
    """Return the error for a track whose moves cannot follow one another.

    palette: the rated moves that the brief leaves; lines: where the brief's asks stand in its
    file.
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
    without: dict[str, Brief] = {}
    told: dict[str, str] = {}
    if brief.allowed_moves:
        without["allowed_moves"] = replace(brief, allowed_moves=())
        told["allowed_moves"] = f"allowed_moves = {', '.join(brief.allowed_moves)}"
    if brief.banned_moves:
        without["banned_moves"] = replace(brief, banned_moves=())
        told["banned_moves"] = f"banned_moves = {', '.join(brief.banned_moves)}"
    without["range_floor"] = replace(brief, range_floor=0.5)
    told["range_floor"] = f"range_floor = {brief.range_floor:g}"
    fields = {"allowed_moves": "allowed_moves", "banned_moves": "banned_moves"}

    def moves_left(on: frozenset[str]) -> int:
        looser = brief
        for ask in set(without) - on:
            name = fields.get(ask, "range_floor")
            looser = replace(looser, **{name: getattr(without[ask], name)})
        other = Palette(looser, [tempo_bpm], palette.source)
        return len(other.starts(other.of(*kinds), tempo_bpm))

    asks = list(without)
    clash = least_clash(asks, lambda on: moves_left(on) < LEAST_MOVES)
    clashes = [_told(ask, told[ask], lines) for ask in clash]
    pool = f"{brief.pool.depth_m:g} m of water"
    clashes.append(f"{track.title} at {tempo_bpm:.0f} bpm in {pool}, {brief.depth.value}")
    return InfeasibleError(clashes, _remedy(palette, kinds, tempo_bpm, clash, moves_left, asks))


def _remedy(
    palette: Palette,
    kinds: Sequence[MoveKind],
    tempo_bpm: float,
    clash: Sequence[str],
    moves_left: Callable[[frozenset[str]], int],
    asks: Sequence[str],
) -> str:
    brief = palette.brief
    helping = [ask for ask in clash if moves_left(frozenset(asks) - {ask}) >= LEAST_MOVES]
    if "range_floor" in helping:
        lower = brief.range_floor
        while lower > 0.5:
            lower = round(lower - 0.01, 2)
            other = Palette(replace(brief, range_floor=lower), [tempo_bpm], palette.source)
            if len(other.starts(other.of(*kinds), tempo_bpm)) >= LEAST_MOVES:
                break
        floor = f"range_floor = {lower:g}"
    else:
        floor = ""
    for ask, verb in (("banned_moves", "take out of banned_moves"), ("allowed_moves", "allow")):
        if ask in helping:
            other = Palette(replace(brief, **{ask: ()}), [tempo_bpm], palette.source)  # type: ignore[arg-type]
            have = palette.starts(palette.of(*kinds), tempo_bpm)
            more = [key for key in other.starts(other.of(*kinds), tempo_bpm) if key not in have]
            names = " and ".join(more[: LEAST_MOVES - len(have)])
            return f"Least change: {verb} {names}" + (f", or {floor}." if floor else ".")
    if floor:
        return f"Least change: {floor}."
    return "Take a slower song, or another place in the pool."


def _told(ask: str, text: str, lines: Lines) -> str:
    """Return an ask with the line of the brief that makes it."""
    line = lines.get(ask)
    return f"line {line}: {text}" if line is not None else text
