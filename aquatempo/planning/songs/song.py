"""A track as planning sees it: stretches, where it may end, how long that lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.records.origin import Origin
from aquatempo.records.plan import PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["CLOCK_BPM", "Song", "counted_by_clock", "songs_of", "usable"]

CLOCK_BPM = 60.0  # without a beat the class counts seconds
LEAST_SHARE = 0.5  # a song is not cut below this share of itself
LEAST_SECONDS = 45.0


@dataclass(frozen=True)
class Song:
    """A track that can be planned. tempo_bpm None: no beat, counted by the clock."""

    track: Track
    tempo_bpm: float | None
    phrases: tuple[Phrase, ...]
    ends: tuple[int, ...]  # how many of phrases may be used, longest first

    def seconds(self, end: int) -> float:
        """Return how long the first phrases last as recorded [s]."""
        return self.phrases[end - 1].end_s - self.phrases[0].start_s

    @property
    def bridging(self) -> float:
        """The share of counts that lie outside phrases, 0 to 1."""
        counts = sum(phrase.counts for phrase in self.phrases)
        return sum(p.counts for p in self.phrases if not usable(p)) / counts


def usable(phrase: Phrase | PlannedPhrase) -> bool:
    """Return whether a stretch carries a move: a phrase of at least two whole eights."""
    whole = phrase.counts % COUNTS_PER_EIGHT == 0 and phrase.counts >= 2 * COUNTS_PER_EIGHT
    return phrase.kind is PhraseKind.PHRASE and whole


def songs_of(
    tracks: Sequence[Track], whole: bool = False
) -> tuple[list[Song], list[tuple[Track, str]]]:
    """Return the tracks that can be planned, and the others each with the reason why not.

    whole: songs are played to their last count; otherwise they end with a whole phrase.
    """
    found: list[Song] = []
    others: list[tuple[Track, str]] = []
    for track in tracks:
        analysis = track.analysis
        if analysis.tempo_bpm is None or len(analysis.beats_s) < COUNTS_PER_EIGHT:
            clock = counted_by_clock(analysis.duration_s)
            if len(clock.phrases) < 1:
                others.append((track, "no beat was heard and it is shorter than a phrase"))
                continue
            found.append(_song(replace(track, analysis=clock), None, whole))
        elif not any(usable(phrase) for phrase in analysis.phrases):
            others.append((track, "no whole phrase of 32 counts was heard in it"))
        else:
            found.append(_song(track, analysis.tempo_bpm, whole))
    return found, others


def counted_by_clock(duration_s: float, tempo_bpm: float = CLOCK_BPM) -> RhythmAnalysis:
    """Return even counts from 0 s, in phrases of 32, for music without a beat or none.

    tempo_bpm: counts a minute; one a second where nothing else is said. duration_s: length [s].

    >>> len(counted_by_clock(65.0).phrases)
    2
    """
    beat_s = 60.0 / tempo_bpm
    whole = int(duration_s / beat_s + 1e-9) // COUNTS_PER_PHRASE
    beats = tuple(index * beat_s for index in range(int(duration_s / beat_s + 1e-9)))
    phrases = tuple(
        Phrase(
            start_s=index * COUNTS_PER_PHRASE * beat_s,
            end_s=(index + 1) * COUNTS_PER_PHRASE * beat_s,
            start_beat=index * COUNTS_PER_PHRASE,
            counts=COUNTS_PER_PHRASE,
            kind=PhraseKind.PHRASE,
            energy=0.0,
            energy_level=EnergyLevel.LOW,
        )
        for index in range(whole)
    )
    return RhythmAnalysis(
        duration_s=duration_s,
        tempo_bpm=tempo_bpm,
        tempo_confidence=1.0,
        confidence=1.0,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=beats,
        beats_inferred=(False,) * len(beats),
        downbeats_s=beats[::4],
        phrases=phrases,
        origin=Origin.ENTERED,
        notes=("no beat: counted by the clock",),
    )


def _song(track: Track, tempo_bpm: float | None, to_the_end: bool) -> Song:
    phrases = track.analysis.phrases
    song = Song(track, tempo_bpm, phrases, ())
    if to_the_end:
        return replace(song, ends=(len(phrases),))
    whole = song.seconds(len(phrases))
    least = max(LEAST_SHARE * whole, LEAST_SECONDS)
    first, *others = [end for end in range(len(phrases), 0, -1) if usable(phrases[end - 1])]
    return replace(song, ends=(first, *(end for end in others if song.seconds(end) >= least)))
