"""The files that carry no song: for the class as a whole, and for each of its tracks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.deck.cards import CardFile
from aquatempo.deck.export_options import ExportOptions, Job
from aquatempo.deck.naming import file_stem
from aquatempo.records.cues import CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.plan import ClassPlan
from aquatempo.records.track import Track
from aquatempo.store.results import write_result

if TYPE_CHECKING:
    from aquatempo.exports.page import SongFacts

__all__ = ["APP_FOLDER", "class_jobs", "page_facts", "track_jobs"]

APP_FOLDER = "deck_page_app"


def class_jobs(
    plan: ClassPlan,
    book: DeckBook,
    drawn: DeckBook,
    timelines: Sequence[CueTimeline],
    cards: Sequence[CardFile],
    folder: Path,
    options: ExportOptions,
) -> Iterator[Job]:
    """Yield the files of the class as a whole.

    plan: the class as planned; book: the class, as printed; drawn: with the figures that pages
    show; timelines: one a track, in order; cards: laid out already; folder: where the files
    lie; options: what is asked for.
    """
    for card in cards:
        yield folder / card.file, partial(_write, make=card.pdf, force=options.force)
    makers: dict[str, tuple[str, Callable[[], str | bytes]]] = {
        "sheet": ("substitute_sheet.pdf", lambda: _sheet(book, options.paper)),
        "page": ("deck_page.html", lambda: _page(plan, drawn, timelines)),
    }
    for name, (file, make) in makers.items():
        if name in options.only:
            yield folder / file, partial(_write, make=make, force=options.force)
    if "app" in options.only:
        yield from _app_jobs(plan, drawn, timelines, folder / APP_FOLDER, options.force)


def _app_jobs(
    plan: ClassPlan,
    book: DeckBook,
    timelines: Sequence[CueTimeline],
    folder: Path,
    force: bool,
) -> Iterator[Job]:
    """Yield the files of the page to be installed; it is made once, with its first file."""
    from aquatempo.exports.page_app import APP_FILES, page_app

    made: dict[str, str | bytes] = {}

    def make(name: str) -> str | bytes:
        if not made:
            made.update(page_app(book, page_facts(plan, timelines)))
        return made[name]

    for name in APP_FILES:
        yield folder / name, partial(_write, make=partial(make, name), force=force)


def page_facts(plan: ClassPlan, timelines: Sequence[CueTimeline]) -> SongFacts:
    """Return how a page knows its songs: what they sound like, where the mix has them.

    plan: the class as planned; timelines: one a track, in order.
    """
    from aquatempo.deck.mix import place_tracks
    from aquatempo.deck.song_outline import STEP_S, song_outlines
    from aquatempo.exports.page import SongFacts

    return SongFacts(song_outlines(plan), STEP_S, place_tracks(timelines))


def track_jobs(
    plan: ClassPlan,
    book: DeckBook,
    timelines: Sequence[CueTimeline],
    folder: Path,
    options: ExportOptions,
) -> Iterator[Job]:
    """Yield the files of each track; a track without an analysis gets no picture.

    plan: the class; book: lines of the class; timelines: one a track; folder: where the files
    go; options: what is made and how.
    """
    from aquatempo.exports.captions import webvtt
    from aquatempo.exports.csv_text import cue_csv
    from aquatempo.exports.json_text import cue_json

    encoders: dict[str, tuple[str, Callable[[CueTimeline], str | bytes]]] = {
        "captions": (".vtt", webvtt),
        "json": (".json", cue_json),
        "csv": (".csv", cue_csv),
        "midi": (".mid", _midi),
    }
    for number, (planned, timeline) in enumerate(zip(plan.tracks, timelines, strict=True), 1):
        stem = file_stem(number, planned.title)
        inside, force = folder / "tracks", options.force
        if "track-cards" in options.only:
            alone = replace(book, tracks=book.tracks[number - 1 : number])
            card = CardFile(f"{stem}_card.pdf", alone, options.paper)
            yield inside / card.file, partial(_write, make=card.pdf, force=force)
        for name, (suffix, encode) in encoders.items():
            if name in options.only:
                make_text = partial(encode, timeline)
                yield inside / f"{stem}{suffix}", partial(_write, make=make_text, force=force)
        if "picture" in options.only and planned.analysis is not None:
            track = Track(planned.file, planned.title, planned.analysis, planned.content_key)
            yield (
                inside / f"{stem}.svg",
                partial(_draw, track=track, timeline=timeline, force=force),
            )
        if "clicks" in options.only:
            yield (
                inside / f"{stem}_clicks.{options.sound}",
                partial(_click, timeline=timeline, force=force),
            )


def _write(path: Path, make: Callable[[], str | bytes], force: bool) -> None:
    write_result(path, make(), force)


def _sheet(book: DeckBook, paper: str) -> bytes:
    from aquatempo.exports.substitute import substitute_sheet

    return substitute_sheet(book, paper)


def _page(plan: ClassPlan, book: DeckBook, timelines: Sequence[CueTimeline]) -> str:
    from aquatempo.exports.page import deck_page

    return deck_page(book, facts=page_facts(plan, timelines))


def _midi(timeline: CueTimeline) -> bytes:
    from aquatempo.exports.midi import midi_file

    return midi_file(timeline)


def _draw(path: Path, track: Track, timeline: CueTimeline, force: bool) -> None:
    from aquatempo.deck.track_files import write_picture

    write_picture(track, str(path), timeline, force)


def _click(path: Path, timeline: CueTimeline, force: bool) -> None:
    from aquatempo.deck.track_files import write_count_click

    write_count_click(timeline, str(path), force)
