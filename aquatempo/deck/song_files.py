"""The files that carry the song: rehearsal audio, the page with songs inside, the class mix.

Made only when asked for, in a folder of their own, beside a reminder of the rights.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.deck.export_options import ExportOptions, Job
from aquatempo.deck.mix import MixPlace, merge_timelines, place_tracks
from aquatempo.deck.naming import file_stem
from aquatempo.deck.rehearsal_files import SONG_RATE_HZ, played_song, write_rehearsal
from aquatempo.errors import InputError
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.records.cues import CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.plan import ClassPlan, PlannedTrack
from aquatempo.store.results import write_result

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

__all__ = ["RIGHTS_REMINDER", "SONG_FOLDER", "song_jobs", "songless"]

SONG_FOLDER = "with_song"
RIGHTS_REMINDER = (
    "These files carry recorded songs. Playing them to a class, copying and changing them may "
    "each need a licence where you teach; aquatempo does not know whether you hold it. Keep them "
    "to yourself unless you do."
)


def song_jobs(
    plan: ClassPlan,
    timelines: Sequence[CueTimeline],
    book: DeckBook,
    folder: Path,
    options: ExportOptions,
) -> Iterator[Job]:
    """Yield (path, what writes it) for each file that carries a song.

    Tracks without a song (``songless``) are left out of rehearsal audio and count alone on the
    page. Raises InputError where a file is gone, where no track has a song, and for a mix where
    one has none. plan: the class; timelines: one a track; book: lines of the class; folder:
    where the files go; options: what is made and how.
    """
    without = songless(plan)
    for track in plan.tracks:
        needed = "mix" in options.songs or len(without) == len(plan.tracks)
        gone = track not in without and not Path(track.file).is_file()
        if gone or (needed and track in without):
            raise InputError(f"track {track.title!r} has no audio file: no song can be exported")
    inside, force = folder / SONG_FOLDER, options.force
    yield inside / "RIGHTS.txt", _writing(lambda: RIGHTS_REMINDER + "\n", force)
    if "rehearsal" in options.songs:
        for number, (track, timeline) in enumerate(zip(plan.tracks, timelines, strict=True), 1):
            if track in without:
                continue
            path = inside / f"{file_stem(number, track.title)}_rehearsal.{options.sound}"
            yield (
                path,
                partial(
                    write_rehearsal,
                    track=track,
                    timeline=timeline,
                    loudness_lufs=options.loudness_lufs,
                    force=force,
                ),
            )
    if "song-page" in options.songs:
        yield (
            inside / "deck_page_with_songs.html",
            _writing(lambda: _page(plan, book, timelines), force),
        )
    if "mix" in options.songs and timelines:
        from aquatempo.exports.captions import webvtt
        from aquatempo.exports.json_text import cue_json

        placed = place_tracks(timelines)
        whole = merge_timelines(plan.brief.title, timelines, placed)
        mix = inside / f"class_mix.{options.sound}"
        yield mix, partial(_write_mix, plan=plan, placed=placed, options=options)
        yield inside / "class_mix.vtt", _writing(lambda: webvtt(whole), force)
        yield inside / "class_mix.json", _writing(lambda: cue_json(whole), force)


def songless(plan: ClassPlan) -> tuple[PlannedTrack, ...]:
    """Return the tracks that are counted without a song: by a track sheet, by the clock."""
    return tuple(
        track
        for track in plan.tracks
        if not track.file or track.file.lower().endswith(SHEET_SUFFIXES)
    )


def _writing(make: Callable[[], str], force: bool) -> Callable[[Path], None]:
    return lambda path: write_result(path, make(), force)


def _page(plan: ClassPlan, book: DeckBook, timelines: Sequence[CueTimeline]) -> str:
    from aquatempo.deck.songless_files import page_facts
    from aquatempo.exports.page import deck_page

    sounds = {}
    for number, track in enumerate(plan.tracks):
        if track in songless(plan):
            continue
        media_type = mimetypes.guess_type(track.file)[0] or "audio/mpeg"
        sounds[number] = (media_type, Path(track.file).read_bytes())
    return deck_page(book, sounds, page_facts(plan, timelines))


def _write_mix(
    path: Path, plan: ClassPlan, placed: Sequence[MixPlace], options: ExportOptions
) -> None:
    from aquatempo import audio

    ceiling = audio.ceiling_before_coding(path)

    def parts() -> Iterator[tuple[float, Samples]]:
        for track, place in zip(plan.tracks, placed, strict=True):
            song = played_song(track)
            song = song[round(place.start_s * SONG_RATE_HZ) : round(place.end_s * SONG_RATE_HZ)]
            song = audio.level_to(song, SONG_RATE_HZ, options.loudness_lufs, ceiling)
            fades = (round(s * SONG_RATE_HZ) for s in (place.fade_in_s, place.fade_out_s))
            yield place.at_s, audio.fade(song, *fades)

    joined = audio.join_tracks(parts(), SONG_RATE_HZ)
    blocks = audio.limit_blocks(joined, SONG_RATE_HZ, ceiling)
    tags = {"title": plan.brief.title, "comment": "joined by aquatempo"}
    audio.write_blocks(path, blocks, SONG_RATE_HZ, 2, tags, force=options.force)
