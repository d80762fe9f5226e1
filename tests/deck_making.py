"""A small class for the deck, made by hand: an invented group at the Lindenbad."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from aquatempo.deck.folding import fold
from aquatempo.exports.labels import labels
from aquatempo.records.cues import Cue, CueKind, CuePhrase
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack, MoveNote
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = ["make_book", "make_track", "refolded"]

FORM = (
    (16, PhraseKind.INTRO, "easy jog"),
    (32, PhraseKind.PHRASE, "knee lift"),
    (32, PhraseKind.PHRASE, "cross-country ski"),
    (8, PhraseKind.BRIDGE, "easy jog"),
    (32, PhraseKind.PHRASE, "jack"),
    (32, PhraseKind.PHRASE, "front kick"),
    (32, PhraseKind.PHRASE, "rocking horse"),
    (32, PhraseKind.PHRASE, "leg curl"),
)
STEPS = {"cross-country ski": ((2, 2), (2, 2), (4, 4)), "jack": ((4, 2),)}


def make_track(
    title: str = "Morning lanes", tempo_bpm: float = 132.0, first_s: float = 0.5, speed: float = 1.0
) -> DeckTrack:
    """Return a track of eight lines; times are as played."""
    period_s = 60.0 / tempo_bpm
    starts = [0]
    for counts, _, _ in FORM:
        starts.append(starts[-1] + counts)
    beats_s = tuple(first_s + period_s * beat for beat in range(starts[-1]))
    strip, lines, calls = [], [], []
    for number, ((first, last), (counts, kind, name)) in enumerate(
        zip(pairwise(starts), FORM, strict=True)
    ):
        start_s, end_s = first_s + first * period_s, first_s + last * period_s
        strip.append(CuePhrase(start_s, end_s, first, counts, kind, EnergyLevel.MEDIUM))
        lines.append(
            DeckLine(
                clock_s=start_s,
                counts=counts,
                phrase=number,
                kind=kind,
                name=name,
                short_name=name.split("-")[-1],
                tempo="water (2)",
                lead="right",
                style=("open hands", "forward"),
                spelled="1-2 right up, 3-4 left up",
                repetition_counts=4,
                sign="palm on the knee",
                holding=name == "easy jog",
                beat=first,
                steps=STEPS.get(name, ((2, 2),)),
                movements=("right up", "left up"),
            )
        )
        if first >= 8:
            warn_s = beats_s[first - 8], beats_s[first - 4]
            calls.append(
                Cue(*warn_s, first - 8, 1, number - 1, number, CueKind.WARN, f"next {name}", "")
            )
    folded = fold(lines, strip, beats_s, labels("en"))
    return DeckTrack(
        title=title,
        part="main",
        tempo_bpm=tempo_bpm,
        speed=speed,
        duration_s=beats_s[-1] + period_s + 1.0,
        lines=tuple(lines),
        strip=tuple(strip),
        beats_s=beats_s,
        cues=tuple(calls),
        file_name="morning_lanes.wav",
        rights="rights not checked",
        sets=folded.sets,
        start=folded.start,
        ending=folded.ending,
    )


def refolded(track: DeckTrack, *lines: DeckLine) -> DeckTrack:
    """Return a track with other lines, folded anew."""
    folded = fold(lines, track.strip, track.beats_s, labels("en"))
    return replace(track, lines=lines, sets=folded.sets, start=folded.start, ending=folded.ending)


def make_book(*tracks: DeckTrack, language: str = "en") -> DeckBook:
    """Return a class of tracks, by default one."""
    return DeckBook(
        title="Tuesday group at the Lindenbad",
        tracks=tracks or (make_track(),),
        facts=(("Class", "shallow, 45 minutes"), ("Pool", "1.2 m, 29 °C")),
        moves=(MoveNote("knee lift", "palm on the knee", "Lift a bent knee.", "march"),),
        language=language,
    )
