"""A deck page run through a whole class, far faster than it is taught, and watched meanwhile."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import deck_making
import pytest
from deck_making import make_book, make_track

from aquatempo.records.deck import DeckBook, DeckTrack
from aquatempo.records.rhythm import PhraseKind

__all__ = ["ENDED", "SEEN", "WATCH", "Shown", "faults_of", "short_class", "shown_of"]

SHORT_FORM = (
    (8, PhraseKind.INTRO, "easy jog"),
    (16, PhraseKind.PHRASE, "knee lift"),
    (8, PhraseKind.BRIDGE, "easy jog"),
    (16, PhraseKind.PHRASE, "jack"),
)
# Notes what the page shows, whenever it changes; a song that waits is started by a tap on count 1,
# as one does with another player.
WATCH = """(() => {
window.shown = [];
window.watch = (speed, taps) => {
  // A media element without sound need not be able to play so fast.
  if (taps) Object.defineProperty(song, "playbackRate", { value: 1, writable: true });
  setGap(0);
  setSpeed(speed);
  const told = (id) => document.getElementById(id).textContent;
  const look = () => {
    const at = view.draw(track(), clock.heard(performance.now()));
    const now = JSON.stringify([current, at.change ? track().changes.indexOf(at.change) : -1,
                                told("move"), told("next"), told("count"), at.count, at.ended]);
    if (clock.running && shown[shown.length - 1] !== now) shown.push(now);
    if (taps && !clock.running && told("message") !== words.class_ends) byId("one").click();
    requestAnimationFrame(look);
  };
  look();
};
})()"""
SEEN = "shown"
ENDED = "document.getElementById('message').textContent === words.class_ends"


@dataclass(frozen=True, slots=True)
class Shown:
    """What stood on the page: number of song and line, texts; counted: the count that it meant."""

    song: int
    line: int
    move: str
    next: str
    count: str
    counted: int
    ended: bool


def short_class(songs: int = 3) -> DeckBook:
    """Return a class of songs of some seconds each."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(deck_making, "FORM", SHORT_FORM)
        tracks: list[DeckTrack] = [
            replace(make_track(f"Lane {number}", 150.0 + number), file_name=f"lane{number}.wav")
            for number in range(1, songs + 1)
        ]
    return make_book(*tracks)


def shown_of(texts: Sequence[str]) -> list[Shown]:
    """Return what ``WATCH`` noted."""
    return [Shown(*json.loads(text)) for text in texts]


def faults_of(book: DeckBook, shown: Sequence[Shown], least_counts: int = 0) -> list[str]:
    """Return what was wrong while a class ran: songs, lines, names or counts out of order.

    A line of less than least_counts may pass between two frames of a fast run.
    """
    faults = []
    songs = [number for number, _ in groupby(one.song for one in shown)]
    if songs != [*range(len(book.tracks))]:
        faults.append(f"songs in the order {songs}")
    for number, track in enumerate(book.tracks):
        mine = [one for one in shown if one.song == number and one.line >= 0]
        lines = [line for line, _ in groupby(one.line for one in mine)]
        long = {n for n, line in enumerate(track.lines) if line.counts >= least_counts}
        missed = sorted(long - {*lines})
        if missed or lines != sorted(lines):
            faults.append(f"song {number + 1}: lines {lines}, of {len(track.lines)}")
        for one in mine:
            line = track.lines[one.line]
            if not one.ended and not one.move.endswith(line.name):
                faults.append(f"song {number + 1}, line {one.line + 1}: {one.move!r}")
            after = track.lines[one.line + 1 : one.line + 2]
            if after and not one.next.endswith(after[0].name):
                faults.append(f"song {number + 1}, line {one.line + 1}: next {one.next!r}")
    for one, two in pairwise(shown):
        # Where a song starts, its sound comes a moment after the count: a fast run steps back.
        if (one.song, max(one.line, 0)) > (two.song, max(two.line, 0)):
            faults.append(f"back from {one} to {two}")
    counts = {one.counted for one in shown}
    if not {1, 2, 3, 4, 5, 6, 7, 8} <= counts:
        faults.append(f"counts {sorted(counts)}")
    return faults
