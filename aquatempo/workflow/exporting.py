"""A planned class to files: the job behind ``aquatempo export``.

Everything is encoded by ``exports``; this module decides which files there are, refuses to
replace any before the first is written, and writes each whole. What carries the song is
made only when asked for, in a folder of its own (``workflow/song_files.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from aquatempo import cues
from aquatempo.errors import InputError, UnknownNameError
from aquatempo.moves import Catalogue
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.plan import ClassPlan
from aquatempo.records.track import Track
from aquatempo.workflow.call_words import call_words
from aquatempo.workflow.cueing import HOLDING
from aquatempo.workflow.deck import deck_book
from aquatempo.workflow.naming import file_stem
from aquatempo.workflow.writing import refuse_existing, write_result

__all__ = ["FORMATS", "SONG_FORMATS", "ExportOptions", "export_class", "timelines_of"]

Progress = Callable[[int, int], None]

# name: what it is, for --help and for the files' order
FORMATS = {
    "card": "deck card, PDF",
    "silent": "deck card with the counts written out, PDF",
    "sheet": "substitute's sheet, PDF",
    "page": "deck page that counts with the music, HTML",
    "captions": "calls as WebVTT, a file a track",
    "json": "changes and calls as JSON, a file a track",
    "csv": "changes and calls as CSV, a file a track",
    "midi": "beats, phrases and a click as a Standard MIDI File, a file a track",
    "picture": "energy, phrases, moves and calls as SVG, a file a track",
    "clicks": "the count click alone, Ogg Vorbis, a file a track",
}
SONG_FORMATS = {
    "rehearsal": "the song under counts and spoken calls, Ogg Vorbis, a file a track",
    "song-page": "the deck page with the songs inside, HTML",
    "mix": "all tracks joined on phrases, Ogg Vorbis, with its own captions and JSON",
}


@dataclass(frozen=True, slots=True)
class ExportOptions:
    """What is made and how. only: names of FORMATS; songs: names of SONG_FORMATS."""

    only: tuple[str, ...] = tuple(FORMATS)
    songs: tuple[str, ...] = ()
    size: str = "a5"
    cues: CueOptions = field(default_factory=CueOptions)
    loudness_lufs: float = -16.0
    force: bool = False


@dataclass(frozen=True, slots=True)
class _Job:
    path: Path
    make: Callable[[Path], None]


def export_class(
    plan: ClassPlan,
    folder: str,
    source: Catalogue,
    options: ExportOptions,
    progress: Progress | None = None,
) -> tuple[str, ...]:
    """Write a class to a folder; return the files written, in order.

    Each track of the plan carries its analysis. Raises UnknownNameError for a format that
    does not exist, OutputError where a file exists (unless forced) or cannot be written:
    then nothing was replaced, and files written before it stay.
    """
    for names, known in ((options.only, FORMATS), (options.songs, SONG_FORMATS)):
        for name in names:
            if name not in known:
                raise UnknownNameError("export format", name, known)
    timelines = timelines_of(plan, source, options.cues)
    book = deck_book(plan, timelines, source, options.cues)
    jobs = [
        *_class_jobs(book, Path(folder), options),
        *_track_jobs(plan, timelines, folder, options),
    ]
    if options.songs:
        from aquatempo.workflow.song_files import song_jobs

        jobs += [_Job(*job) for job in song_jobs(plan, timelines, book, Path(folder), options)]
    for job in jobs:
        refuse_existing(job.path, options.force)
    for done, job in enumerate(jobs, 1):
        job.make(job.path)
        if progress is not None:
            progress(done, len(jobs))
    return tuple(str(job.path) for job in jobs)


def timelines_of(
    plan: ClassPlan, source: Catalogue, options: CueOptions
) -> tuple[CueTimeline, ...]:
    """Return the timeline of each track; moves done in earlier tracks count as known.

    Raises InputError for a track without an analysis.
    """
    own_names = {**dict(plan.brief.move_names), **dict(options.own_names)}
    own_signs = {**dict(plan.brief.move_signs), **dict(options.own_signs)}
    options = replace(
        options, own_names=tuple(own_names.items()), own_signs=tuple(own_signs.items())
    )
    words = call_words(source)
    known = [*options.known_moves, *plan.brief.known_moves, *HOLDING.values()]
    timelines = []
    for track in plan.tracks:
        if track.analysis is None:
            raise InputError(f"track {track.title!r} has no beats: its audio or sheet is needed")
        now = replace(options, known_moves=tuple(dict.fromkeys(known)))
        timelines.append(cues.timeline(track.analysis, track, words, now))
        known += [block.move for phrase in track.phrases for block in phrase.blocks]
    return tuple(timelines)


def _class_jobs(book: DeckBook, folder: Path, options: ExportOptions) -> Iterator[_Job]:
    def job(name: str, make: Callable[[], str | bytes]) -> _Job:
        return _Job(folder / name, lambda path: write_result(path, make(), options.force))

    if "card" in options.only:
        yield job("deck_card.pdf", lambda: _card(book, options.size, False))
    if "silent" in options.only:
        yield job("deck_card_without_sound.pdf", lambda: _card(book, options.size, True))
    if "sheet" in options.only:
        yield job("substitute_sheet.pdf", lambda: _sheet(book, options.size))
    if "page" in options.only:
        yield job("deck_page.html", lambda: _page(book))


def _card(book: DeckBook, size: str, without_sound: bool) -> bytes:
    from aquatempo.exports.card import deck_card

    return deck_card(book, size, without_sound)


def _sheet(book: DeckBook, size: str) -> bytes:
    from aquatempo.exports.substitute import substitute_sheet

    return substitute_sheet(book, size)


def _page(book: DeckBook) -> str:
    from aquatempo.exports.page import deck_page

    return deck_page(book)


def _track_jobs(
    plan: ClassPlan, timelines: Sequence[CueTimeline], folder: str, options: ExportOptions
) -> Iterator[_Job]:
    from aquatempo.exports.captions import webvtt
    from aquatempo.exports.csv_text import cue_csv
    from aquatempo.exports.json_text import cue_json

    texts = (("captions", ".vtt", webvtt), ("json", ".json", cue_json), ("csv", ".csv", cue_csv))
    for number, (planned, timeline) in enumerate(zip(plan.tracks, timelines, strict=True), 1):
        stem = Path(folder) / "tracks" / file_stem(number, planned.title)
        for name, suffix, encode in texts:
            if name in options.only:
                yield _Job(stem.with_suffix(suffix), _written(encode, timeline, options.force))
        if "midi" in options.only:
            yield _Job(stem.with_suffix(".mid"), _written(_midi, timeline, options.force))
        assert planned.analysis is not None, "timelines_of has refused the track"
        if "picture" in options.only:
            track = Track(planned.file, planned.title, planned.analysis, planned.content_key)
            yield _Job(stem.with_suffix(".svg"), _pictured(track, timeline, options.force))
        if "clicks" in options.only:
            yield _Job(stem.with_name(f"{stem.name}_clicks.ogg"), _clicked(timeline, options.force))


def _written(
    encode: Callable[[CueTimeline], str | bytes], timeline: CueTimeline, force: bool
) -> Callable[[Path], None]:
    return lambda path: write_result(path, encode(timeline), force)


def _midi(timeline: CueTimeline) -> bytes:
    from aquatempo.exports.midi import midi_file

    return midi_file(timeline)


def _pictured(track: Track, timeline: CueTimeline, force: bool) -> Callable[[Path], None]:
    from aquatempo.workflow.showing import write_picture

    return lambda path: write_picture(track, str(path), timeline, force)


def _clicked(timeline: CueTimeline, force: bool) -> Callable[[Path], None]:
    from aquatempo.workflow.showing import write_count_click

    return lambda path: write_count_click(timeline, str(path), force)
