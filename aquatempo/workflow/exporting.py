"""A planned class to files: the job behind ``aquatempo export``.

Everything is encoded by ``exports``; this module decides which files there are, refuses to
replace any before the first is written, and writes each whole. What carries the song is
made only when asked for, in a folder of its own (``deck/song_files.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from aquatempo import cues
from aquatempo.deck.book import deck_book
from aquatempo.deck.call_words import call_words
from aquatempo.deck.cards import card_files
from aquatempo.deck.drawn_moves import with_figures
from aquatempo.deck.export_options import (
    FORMATS,
    SONG_FORMATS,
    USUAL_FORMATS,
    ExportOptions,
    Job,
    check_options,
)
from aquatempo.deck.figure_files import figure_jobs
from aquatempo.deck.songless_files import class_jobs, track_jobs
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.deck import SheetCount
from aquatempo.records.plan import ClassPlan
from aquatempo.store.manifest import Manifest
from aquatempo.store.results import refuse_existing, refuse_folder
from aquatempo.workflow.class_source import TrackRequest, open_class
from aquatempo.workflow.cueing import HOLDING
from aquatempo.workflow.saying import timeline_said

__all__ = [
    "FORMATS",
    "SONG_FORMATS",
    "USUAL_FORMATS",
    "ExportOptions",
    "ExportReport",
    "check_options",
    "export",
    "export_class",
    "timelines_of",
]

Progress = Callable[[int, int], None]
Counted = Callable[[Sequence[SheetCount]], None]


@dataclass(frozen=True, slots=True)
class ExportReport:
    """What was exported: files in order, those that carry songs, notes, the cards' sides."""

    title: str
    files: tuple[str, ...]
    song_files: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cards: tuple[SheetCount, ...] = ()


def export(
    path: str,
    folder: str,
    request: TrackRequest,
    options: ExportOptions,
    own_moves: str | None = None,
    progress: Callable[[str, int, int], None] | None = None,
    counted: Counted | None = None,
) -> ExportReport:
    """Write the class of a plan file, or of one track with moves, to a folder.

    progress is told (what is done, how many are done, of all). Raises as ``export_class`` and
    for what cannot be read. path: of the plan, audio or sheet; request: moves, pool and group
    for a single track; options: what is made and how; own_moves: the user's catalogue file, or
    None.
    counted: told the sheets of paper that the cards take.
    """

    def told(what: str) -> Progress | None:
        return partial(progress, what) if progress is not None else None

    check_options(options)
    refuse_folder(folder, Path(folder))
    plan, source = open_class(path, request, own_moves, told("listening"))
    return export_class(plan, folder, source, options, told("writing"), counted)


def export_class(
    plan: ClassPlan,
    folder: str,
    source: Catalogue,
    options: ExportOptions,
    progress: Progress | None = None,
    counted: Counted | None = None,
) -> ExportReport:
    """Write a class to a folder; progress is told (files done, of all).

    counted is told how many sides each card takes, before anything is written.

    Each track of the plan carries its analysis. Raises UnknownNameError for a format that
    does not exist, OutputError where a file exists (unless forced) or cannot be written:
    then nothing was replaced, and files written before it stay.
    source: the catalogue in force; options: what is asked for.
    """
    check_options(options)
    spoken = _with_own_words(
        plan,
        CueOptions(language=options.language or plan.brief.language, silent=options.silent),
    )
    timelines = timelines_of(plan, source, spoken)
    book = deck_book(plan, timelines, source, spoken)
    drawn = with_figures(book, plan, timelines, source) if _shows_figures(options) else book
    book = drawn if options.figures else book
    cards = card_files(book, options)
    jobs = [
        *class_jobs(plan, book, drawn, timelines, cards, Path(folder), options),
        *figure_jobs(plan, Path(folder), source, options),
        *track_jobs(plan, book, timelines, Path(folder), options),
    ]
    song_jobs: list[Job] = []
    notes = [f"{one.title}: {note}" for one in timelines for note in one.notes]
    if options.songs:
        from aquatempo.deck import song_files

        song_jobs += song_files.song_jobs(plan, timelines, drawn, Path(folder), options)
        notes += [
            f"{track.title}: no audio file, so no file with its song"
            for track in song_files.songless(plan)
        ]
    jobs += song_jobs
    results = Manifest(Path(folder))
    paths = [path for path, _ in jobs]
    for path in paths:
        refuse_existing(path, options.force)
    if options.own_only:
        results.refuse_foreign(paths)
    counts = tuple(card.count for card in cards)
    if counted is not None:
        counted(counts)
    results.begin(paths)
    for done, (path, make) in enumerate(jobs):
        if progress is not None:
            progress(done, len(jobs))
        make(path)
    results.finish(paths)
    if progress is not None:
        progress(len(jobs), len(jobs))
    return ExportReport(
        title=plan.brief.title,
        files=tuple(str(path) for path, _ in jobs),
        song_files=tuple(str(path) for path, _ in song_jobs),
        notes=tuple(notes),
        cards=counts,
    )


def _shows_figures(options: ExportOptions) -> bool:
    pages = {"page", "app", "song-page"}
    return options.figures or not pages.isdisjoint((*options.only, *options.songs))


def timelines_of(
    plan: ClassPlan, source: Catalogue, options: CueOptions
) -> tuple[CueTimeline, ...]:
    """Return the timeline of each track; moves done in earlier tracks count as known.

    Raises InputError for a track without an analysis. plan: with analyses; source: the
    catalogue in force; options: how calls are made.
    """
    options = _with_own_words(plan, options)
    words = call_words(source)
    known = [*options.known_moves, *plan.brief.known_moves, *HOLDING.values()]
    timelines = []
    for track in plan.tracks:
        if track.analysis is None:
            raise InputError(f"track {track.title!r} has no beats: its audio or sheet is needed")
        now = replace(options, known_moves=tuple(dict.fromkeys(known)))
        timelines.append(timeline_said(cues.timeline(track.analysis, track, words, now)))
        known += [block.move for phrase in track.phrases for block in phrase.blocks]
    return tuple(timelines)


def _with_own_words(plan: ClassPlan, options: CueOptions) -> CueOptions:
    """Return options with the names and signs of the plan's brief; those given go first."""
    own_names = {**dict(plan.brief.move_names), **dict(options.own_names)}
    own_signs = {**dict(plan.brief.move_signs), **dict(options.own_signs)}
    return replace(options, own_names=tuple(own_names.items()), own_signs=tuple(own_signs.items()))
