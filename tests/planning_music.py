"""Tracks made by hand for tests of planning: phrases, bridges and breaks, no audio."""

from __future__ import annotations

import random
from collections.abc import Sequence

from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track

__all__ = ["folder", "made_track"]


def made_track(
    title: str,
    tempo_bpm: float | None,
    layout: Sequence[tuple[int, str]],
    energies: Sequence[str] = (),
    duration_s: float = 0.0,
) -> Track:
    """Return a track of (counts, kind) stretches; tempo None: no beat, only a duration."""
    if tempo_bpm is None:
        analysis = RhythmAnalysis(
            *(duration_s, None, 0.0, 0.9, (), (), False, 0.0, None, (), (), (), ()),
        )
        return Track(f"{title}.ogg", title, analysis)
    beat_s, at, phrases = 60.0 / tempo_bpm, 0, []
    for index, (counts, kind) in enumerate(layout):
        level = EnergyLevel(energies[index % len(energies)] if energies else "medium")
        times = (at * beat_s, (at + counts) * beat_s)
        phrases.append(Phrase(*times, at, counts, PhraseKind(kind), 0.5, level))
        at += counts
    beats_s = tuple(index * beat_s for index in range(at))
    analysis = RhythmAnalysis(
        duration_s=at * beat_s,
        tempo_bpm=tempo_bpm,
        tempo_confidence=0.95,
        confidence=0.95,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=beats_s,
        beats_inferred=(False,) * at,
        downbeats_s=beats_s[::4],
        phrases=tuple(phrases),
        origin=Origin.ENTERED,
    )
    return Track(f"{title}.ogg", title, analysis)


def folder(tempos_bpm: Sequence[float], phrases: int, seed: int = 1) -> list[Track]:
    """Return a track a tempo, each of about so many phrases, with odd bridges and breaks."""
    rng = random.Random(seed)
    tracks = []
    for number, tempo in enumerate(tempos_bpm, 1):
        layout = [(rng.choice([3, 8, 16, 32]), "intro")]
        for _ in range(phrases):
            layout.append((32, "phrase"))
            if rng.random() < 0.15:
                layout.append((rng.choice([4, 8, 16]), rng.choice(["bridge", "break"])))
        layout.append((rng.choice([3, 8, 16]), "outro"))
        energies = [rng.choice(["low", "medium", "high"]) for _ in range(3)]
        runs = [level for level in energies for _ in range(4)]
        tracks.append(made_track(f"Lindenbad {number}", round(tempo, 1), layout, runs))
    return tracks
