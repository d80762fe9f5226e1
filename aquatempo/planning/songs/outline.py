"""The class as a row of tracks, each with its part, its end and its speed, not yet filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.class_shape.parts import SLOW_PARTS, ClassPart, class_shape
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.pairs import twin_brief
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.choice import (
    NOT_FOR_BOTH,
    Offer,
    Picked,
    TrackTask,
    missing_cost,
    offers_for,
    pick_tracks,
    refused,
    silent_cost,
)
from aquatempo.planning.songs.order import in_order
from aquatempo.planning.songs.song import CLOCK_BPM, Song, counted_by_clock, songs_of
from aquatempo.planning.telling import minutes_of, whole_once
from aquatempo.planning.turns import cut_for_intervals, first_counts
from aquatempo.records.brief import CLASS_MINUTES, SongBrief
from aquatempo.records.doubt import doubt_of
from aquatempo.records.plan import (
    Brief,
    IntervalUnit,
    LeftOut,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.rhythm import Phrase, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.units import check_range, clock

__all__ = ["LEAST_SHARE", "Outline", "outline_class", "planned_song", "task_for"]

LEAST_SHARE = 0.9  # of the minutes asked for; with less music there is no such class
_LEAST_OF_PART = 0.5
_OVER_SECONDS = 10.0
_TRACK_WORK = 2.0  # times the work of one other stage


@dataclass(frozen=True)
class Outline:
    """Tracks in order without blocks, and what led to them."""

    brief: Brief
    parts: tuple[ClassPart, ...]
    tracks: tuple[PlannedTrack, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]
    solved: Solved


def outline_class(
    tracks: Sequence[Track], brief: Brief, palette: Palette, effort: Effort, all_once: bool
) -> Outline | None:
    """Return which track plays when, to which phrase end and how fast; None if none fit.

    all_once: every track is played whole, once, and the class lasts as long as they do. tracks:
    the songs, in order; brief: what was asked; palette: what the class may do here; effort: how
    long the solver may search, and its seed.
    """
    songs, others = songs_of(tracks, whole=all_once)
    if not songs:
        return None
    if all_once:
        seconds = sum(song.seconds(song.ends[0]) for song in songs)
        minutes = round(seconds / 60.0, 1)
        slip = "all tracks are played whole: are these those of one class?"
        check_range("all tracks together", minutes, "min", *CLASS_MINUTES, slip)
        brief = replace(brief, minutes=minutes, parts=())
    parts = class_shape(brief)
    task = task_for(songs, parts, brief, palette, all_once)
    if brief.twin and not all_once:
        task = _for_both(task, songs, parts, brief, palette)
    result = pick_tracks(task, Effort(effort.seed, _TRACK_WORK * effort.work))
    if result is None:
        return None
    picked, silent, solved = result
    found, notes = _lay(songs, parts, picked, silent)
    if all_once:  # as long as they are when played
        asked = (*brief.songs, *_asked_for(found, parts))
        brief = replace(brief, minutes=round(minutes_of(found), 1), songs=asked)
    timed = brief.intervals is not None and brief.intervals.unit is IntervalUnit.SECONDS
    if timed and not all_once:
        found, more = _by_the_clock(found, songs, picked, task, parts, brief)
        notes += more
    if all_once:
        notes.insert(0, whole_once(len(songs)))
    left_out = [LeftOut(track.title, reason) for track, reason in others]
    left_out += _not_needed(songs, picked, task.offers, parts, brief)
    return Outline(brief, parts, tuple(found), tuple(left_out), tuple(notes), solved)


def _asked_for(tracks: Sequence[PlannedTrack], parts: Sequence[ClassPart]) -> list[SongBrief]:
    """Return the songs that a class of all songs asks for where their tempo does not suit."""
    ranges = {part.name: part.tempo_bpm for part in parts}
    found = []
    for track in tracks:
        low, high = ranges[PartName(track.part)]
        if not low <= track.tempo_bpm * track.speed <= high:
            found.append(SongBrief(track.title, PartName(track.part)))
    return found


def task_for(
    songs: Sequence[Song],
    parts: Sequence[ClassPart],
    brief: Brief,
    palette: Palette,
    all_once: bool = False,
) -> TrackTask:
    """Return the track problem of a class.

    songs: that there are; parts: of the class; brief: what was asked; palette: what the class
    may do here; all_once: each song is played whole, once.
    """
    wanted = tuple(60.0 * part.minutes for part in parts)
    return TrackTask(
        wanted_s=wanted,
        lengths_s=tuple(tuple(song.seconds(end) for end in song.ends) for song in songs),
        offers=offers_for(songs, parts, brief, palette.suiting, anywhere=all_once),
        silent_costs=tuple(None if all_once else silent_cost(part) for part in parts),
        missing_costs=tuple(missing_cost(part) for part in parts),
        least_parts_s=tuple(0.0 if all_once else _least_s(part) for part in parts),
        least_s=0.0 if all_once else LEAST_SHARE * sum(wanted),
        most_s=1e5 if all_once else sum(wanted) + _OVER_SECONDS,
        all_once=all_once,
    )


def _for_both(
    task: TrackTask,
    songs: Sequence[Song],
    parts: Sequence[ClassPart],
    brief: Brief,
    palette: Palette,
) -> TrackTask:
    """Return a track problem in which a song costs what it costs at both depths."""
    other = twin_brief(brief)
    its_parts = tuple(
        replace(part, tempo_bpm=part.tempo_bpm if part.own_range else own.tempo_bpm)
        for part, own in zip(parts, _alike(class_shape(other), parts), strict=True)
    )
    its_palette = Palette(other, palette.tempos_bpm, palette.source.at(brief.depth))
    its = offers_for(songs, its_parts, other, its_palette.suiting)
    price = {(offer.song, offer.part): offer.cost for offer in its}
    offers = tuple(
        replace(offer, cost=offer.cost + price.get((offer.song, offer.part), NOT_FOR_BOTH))
        for offer in task.offers
    )
    return replace(task, offers=offers)


def _alike(its: Sequence[ClassPart], parts: Sequence[ClassPart]) -> list[ClassPart]:
    by_name = {part.name: part for part in its}
    return [by_name.get(part.name, part) for part in parts]


def _least_s(part: ClassPart) -> float:
    """Return the least that a part needs [s]: the main one, and one with a range of its own."""
    needed = part.name is PartName.MAIN or part.own_range
    return _LEAST_OF_PART * 60.0 * part.minutes if needed else 0.0


def _lay(
    songs: Sequence[Song],
    parts: Sequence[ClassPart],
    picked: Sequence[Picked],
    silent: Sequence[int],
) -> tuple[list[PlannedTrack], list[str]]:
    found: list[PlannedTrack] = []
    notes: list[str] = []
    for place, part in enumerate(parts):
        mine = [one for one in picked if one.offer.part == place]

        def played_bpm(one: Picked) -> float:
            return (songs[one.offer.song].tempo_bpm or CLOCK_BPM) * one.offer.speed

        for one in in_order(part.name, mine, played_bpm):
            song, offer = songs[one.offer.song], one.offer
            end = song.ends[one.end]
            found.append(planned_song(song, part, offer, end))
            title = song.track.title
            if offer.note:
                notes.append(f"{title}: {offer.note}")
            if doubt := doubt_of(song.track.analysis, song.track.file):
                notes.append(f"{title}: {doubt}")
            if one.end:
                notes.append(f"{title}: fade out after {clock(song.seconds(end) / offer.speed)}")
        if place in silent:
            found.append(_without_music(part))
            notes.append(f"{part.name}: no song suits it, so it is counted by the clock")
        elif not mine and part.name is not PartName.STRETCH:
            notes.append(f"{part.name}: no music is left for it")
    return found, notes


def _by_the_clock(
    tracks: Sequence[PlannedTrack],
    songs: Sequence[Song],
    picked: Sequence[Picked],
    task: TrackTask,
    parts: Sequence[ClassPart],
    brief: Brief,
) -> tuple[list[PlannedTrack], list[str]]:
    """Return the tracks with those of timed intervals cut where a set ends, as many as it takes.

    Songs that nothing else needs are added until all sets are in; what is still missing is
    told.
    """
    intervals = brief.intervals
    assert intervals is not None
    place = next(i for i, part in enumerate(parts) if part.name is PartName.INTERVALS)
    used = {one.offer.song for one in picked}
    mine = [one.offer for one in picked if one.offer.part == place]
    spare = sorted(
        (offer for offer in task.offers if offer.part == place and offer.song not in used),
        key=lambda offer: (offer.cost, offer.song),
    )
    found: list[PlannedTrack] = []
    done = 0
    for offer in [*mine, *spare]:
        if done >= 2 * intervals.sets:
            break
        song = songs[offer.song]
        whole = planned_song(song, parts[place], offer, song.ends[0])
        tempo = whole.tempo_bpm * whole.speed
        total = sum(phrase.counts for phrase in whole.phrases)
        counts, turns = cut_for_intervals(total, tempo, intervals, done)
        if turns:
            found.append(replace(whole, phrases=first_counts(whole.phrases, counts)))
            done += turns
    notes = []
    if done < 2 * intervals.sets:
        short = intervals.sets - done // 2
        notes.append(f"intervals: {short} of {intervals.sets} sets are missing, for want of music")
    before = [track for track in tracks if track.part != PartName.INTERVALS.value]
    at = next(
        (i for i, track in enumerate(tracks) if track.part == PartName.INTERVALS.value),
        len(before),
    )
    return [*before[:at], *found, *before[at:]], notes


def planned_song(song: Song, part: ClassPart, offer: Offer, end: int) -> PlannedTrack:
    """Return a song as it plays in a part, to one of its ends, without blocks.

    offer: the song in its part; end: to which of its ends.
    """
    track = song.track
    return PlannedTrack(
        title=track.title,
        file=track.file,
        part=part.name.value,
        tempo_bpm=song.tempo_bpm or CLOCK_BPM,
        phrases=_bare(song.phrases[:end]),
        speed=offer.speed,
        speed_reason=offer.speed_reason,
        content_key=track.content_key,
        analysis=track.analysis,
    )


def _without_music(part: ClassPart) -> PlannedTrack:
    timed: RhythmAnalysis = counted_by_clock(max(60.0 * part.minutes, 32.0) + 0.5)
    return PlannedTrack(
        title=f"{part.name.capitalize()} without music",
        file="",
        part=part.name.value,
        tempo_bpm=CLOCK_BPM,
        phrases=_bare(timed.phrases),
        rights="no music",
        analysis=timed,
    )


def _bare(phrases: Sequence[Phrase]) -> tuple[PlannedPhrase, ...]:
    return tuple(
        PlannedPhrase(one.start_beat, one.counts, one.kind, one.energy_level, ()) for one in phrases
    )


def _not_needed(
    songs: Sequence[Song],
    picked: Sequence[Picked],
    offers: Sequence[Offer],
    parts: Sequence[ClassPart],
    brief: Brief,
) -> list[LeftOut]:
    used = {one.offer.song for one in picked}
    found = []
    for number, song in enumerate(songs):
        if number in used:
            continue
        places = [parts[offer.part].name for offer in offers if offer.song == number]
        tempo = "no beat" if song.tempo_bpm is None else f"{song.tempo_bpm:.0f} bpm"
        if why := refused(song, brief):
            reason = why
        elif not places:
            ranges = ", ".join(f"{p.name} {p.tempo_bpm[0]:.0f}-{p.tempo_bpm[1]:.0f}" for p in parts)
            reason = f"{tempo} suits no part of this class ({ranges})"
        elif all(place in SLOW_PARTS for place in places):
            reason = f"{tempo} would suit {' or '.join(places)} only, which is full"
        else:
            reason = f"not needed: the minutes are full ({tempo})"
        found.append(LeftOut(song.track.title, reason))
    return found
