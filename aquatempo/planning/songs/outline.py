"""The class as a row of tracks, each with its part, its end and its speed, not yet filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.class_shape import SLOW_PARTS, ClassPart, class_shape
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.choice import (
    Offer,
    Picked,
    TrackTask,
    missing_cost,
    offers_for,
    pick_tracks,
    silent_cost,
)
from aquatempo.planning.songs.order import in_order
from aquatempo.planning.songs.song import CLOCK_BPM, Song, counted_by_clock, songs_of
from aquatempo.records.doubt import doubt_of
from aquatempo.records.plan import (
    CLASS_MINUTES,
    Brief,
    LeftOut,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.rhythm import Phrase, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_PHRASE, check_range, clock, counts_duration_s

__all__ = ["LEAST_SHARE", "Outline", "outline_class", "task_for"]

LEAST_SHARE = 0.9  # of the minutes asked for; with less music there is no such class
_LEAST_OF_PART = 0.5
_OVER_SECONDS = 10.0
_TRACK_WORK = 4.0  # times the work of one other stage


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
    of the user; brief: what is asked of the class; palette: the rated moves that the brief
    leaves; effort: how hard to search, and the seed.
    """
    songs, others = songs_of(tracks)
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
    result = pick_tracks(task, Effort(effort.seed, _TRACK_WORK * effort.work))
    if result is None:
        return None
    picked, silent, solved = result
    found, notes = _lay(songs, parts, picked, silent)
    if all_once:
        often = f"each of the {len(songs)} tracks is played whole, once"
        notes.insert(0, f"{often}: the class lasts as long as they do")
    left_out = [LeftOut(track.title, reason) for track, reason in others]
    left_out += _not_needed(songs, picked, task.offers, parts)
    return Outline(brief, parts, tuple(found), tuple(left_out), tuple(notes), solved)


def task_for(
    songs: Sequence[Song],
    parts: Sequence[ClassPart],
    brief: Brief,
    palette: Palette,
    all_once: bool = False,
) -> TrackTask:
    """Return the track problem of a class.

    songs: that can be used; parts: of the class; brief: what is asked of the class; palette:
    the rated moves that the brief leaves; all_once: each song whole, once.
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
            found.append(_planned(song, part, offer, end))
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


def _planned(song: Song, part: ClassPart, offer: Offer, end: int) -> PlannedTrack:
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
    least_s = counts_duration_s(COUNTS_PER_PHRASE, CLOCK_BPM)
    timed: RhythmAnalysis = counted_by_clock(max(60.0 * part.minutes, least_s) + 0.5)
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
) -> list[LeftOut]:
    used = {one.offer.song for one in picked}
    found = []
    for number, song in enumerate(songs):
        if number in used:
            continue
        places = [parts[offer.part].name for offer in offers if offer.song == number]
        tempo = "no beat" if song.tempo_bpm is None else f"{song.tempo_bpm:.0f} bpm"
        if not places:
            ranges = ", ".join(f"{p.name} {p.tempo_bpm[0]:.0f}-{p.tempo_bpm[1]:.0f}" for p in parts)
            reason = f"{tempo} suits no part of this class ({ranges})"
        elif all(place in SLOW_PARTS for place in places):
            reason = f"{tempo} would suit {' or '.join(places)} only, which is full"
        else:
            reason = f"not needed: the minutes are full ({tempo})"
        found.append(LeftOut(song.track.title, reason))
    return found
