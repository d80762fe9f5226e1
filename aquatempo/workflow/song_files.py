"""The files that carry the song: rehearsal audio, the page with songs inside, the class mix.

Made only when asked for, in a folder of their own, beside a reminder of the rights.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.errors import InputError
from aquatempo.records.cues import CueKind, CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.plan import ClassPlan, PlannedTrack
from aquatempo.workflow.class_mix import Placed, merge_timelines, place_tracks
from aquatempo.workflow.deck_files import Job
from aquatempo.workflow.gathering import SHEET_SUFFIX
from aquatempo.workflow.naming import file_stem
from aquatempo.workflow.showing import timeline_clicks
from aquatempo.workflow.writing import write_result

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from aquatempo.workflow.exporting import ExportOptions

    Samples = NDArray[np.float32]

__all__ = ["RIGHTS_REMINDER", "SONG_FOLDER", "song_jobs"]

SONG_FOLDER = "with_song"
RIGHTS_REMINDER = (
    "These files carry recorded songs. Playing them to a class, copying and changing them may "
    "each need a licence where you teach; aquatempo does not know whether you hold it. Keep them "
    "to yourself unless you do."
)
MIX_RATE_HZ = 44_100
DUCK_DB = 9.0


def song_jobs(
    plan: ClassPlan,
    timelines: Sequence[CueTimeline],
    book: DeckBook,
    folder: Path,
    options: ExportOptions,
) -> Iterator[Job]:
    """Yield (path, what writes it) for each file that carries a song.

    Raises InputError where a track has no audio file.
    """
    for track in plan.tracks:
        if track.file.lower().endswith(SHEET_SUFFIX) or not Path(track.file).is_file():
            raise InputError(f"track {track.title!r} has no audio file: no song can be exported")
    inside = folder / SONG_FOLDER
    yield (
        inside / "RIGHTS.txt",
        partial(write_result, content=RIGHTS_REMINDER + "\n", force=options.force),
    )
    if "rehearsal" in options.songs:
        for number, (track, timeline) in enumerate(zip(plan.tracks, timelines, strict=True), 1):
            path = inside / f"{file_stem(number, track.title)}_rehearsal.ogg"
            yield path, partial(_write_rehearsal, track=track, timeline=timeline, options=options)
    if "song-page" in options.songs:
        yield (
            inside / "deck_page_with_songs.html",
            partial(_write_page, plan=plan, book=book, options=options),
        )
    if "mix" in options.songs and timelines:
        placed = place_tracks(timelines)
        whole = merge_timelines(plan.brief.title, timelines, placed)
        yield (
            inside / "class_mix.ogg",
            partial(_write_mix, plan=plan, placed=placed, options=options),
        )
        yield inside / "class_mix.vtt", partial(_write_captions, timeline=whole, options=options)
        yield inside / "class_mix.json", partial(_write_json, timeline=whole, options=options)


def _write_rehearsal(
    path: Path, track: PlannedTrack, timeline: CueTimeline, options: ExportOptions
) -> None:
    from aquatempo import audio

    song, rate_hz = _played(track)
    calls = [
        (cue.time_s, _call(cue.words, cue.kind, cue.end_s - cue.time_s, rate_hz, timeline.language))
        for cue in timeline.cues
        if cue.words and cue.kind is not CueKind.COUNT_ONE
    ]
    stems = audio.rehearsal_stems(song, rate_hz, timeline_clicks(timeline), calls, DUCK_DB)
    ceiling = audio.ceiling_before_coding(path)
    mix = audio.level_to(stems.mix, rate_hz, options.loudness_lufs, ceiling)
    tags = {"title": f"{track.title}, rehearsal", "comment": "counts and calls by aquatempo"}
    audio.write_audio(path, mix, rate_hz, tags, force=options.force)


def _call(words: str, kind: CueKind, longest_s: float, rate_hz: int, language: str) -> Samples:
    from aquatempo import audio

    if audio.can_speak():
        return audio.speak(words, rate_hz, language, longest_s)
    return audio.call_tone(kind, rate_hz)[: int(longest_s * rate_hz)]


def _played(track: PlannedTrack) -> tuple[Samples, int]:
    """Return the song at its planned speed, shape (frames, 2), and its rate [Hz]."""
    from aquatempo import audio

    song = audio.load_stereo(track.file, MIX_RATE_HZ)
    return audio.stretch(song.samples, MIX_RATE_HZ, track.speed), MIX_RATE_HZ


def _write_page(path: Path, plan: ClassPlan, book: DeckBook, options: ExportOptions) -> None:
    from aquatempo.exports.page import deck_page

    sounds = {}
    for number, track in enumerate(plan.tracks):
        media_type = mimetypes.guess_type(track.file)[0] or "audio/mpeg"
        sounds[number] = (media_type, Path(track.file).read_bytes())
    write_result(path, deck_page(book, sounds), options.force)


def _write_mix(
    path: Path, plan: ClassPlan, placed: Sequence[Placed], options: ExportOptions
) -> None:
    from aquatempo import audio

    ceiling = audio.ceiling_before_coding(path)

    def parts() -> Iterator[tuple[float, Samples]]:
        for number, (track, place) in enumerate(zip(plan.tracks, placed, strict=True)):
            song, rate_hz = _played(track)
            song = song[round(place.start_s * rate_hz) : round(place.end_s * rate_hz)]
            song = audio.level_to(song, rate_hz, options.loudness_lufs, ceiling)
            last = number + 1 == len(placed)
            yield place.at_s, audio.fade(song, 0, 2 * rate_hz if last else 0)

    joined = audio.join_tracks(parts(), MIX_RATE_HZ)
    blocks = audio.limit_blocks(joined, MIX_RATE_HZ, ceiling)
    audio.write_blocks(
        path, blocks, MIX_RATE_HZ, 2, {"title": plan.brief.title}, force=options.force
    )


def _write_captions(path: Path, timeline: CueTimeline, options: ExportOptions) -> None:
    from aquatempo.exports.captions import webvtt

    write_result(path, webvtt(timeline), options.force)


def _write_json(path: Path, timeline: CueTimeline, options: ExportOptions) -> None:
    from aquatempo.exports.json_text import cue_json

    write_result(path, cue_json(timeline), options.force)
