"""Small tracks, plans and words for the tests of cues and of what is exported from them."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.records.cues import CallWords
from aquatempo.records.plan import Block, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis

WORDS = (
    CallWords("jog", "Jog", "jog", "pump the arms"),
    CallWords("jack", "Jack", "jack", "arms apart"),
    CallWords("ski", "Cross-country ski", "cross-country ski", "arms swing", short="ski"),
    CallWords("kick", "Front kick", "front kick", "flick the hand"),
    CallWords("press", "press", "press down", "palms down", factor="arms", short="press"),
    CallWords("fist", "fists", "make fists", "show a fist", factor="hands"),
    CallWords("two", "two together", "both together", "join hands", factor="combination"),
)


def heard(
    spans: Sequence[tuple[str, int]],
    tempo_bpm: float = 130.0,
    first_beat_s: float = 0.4,
    beats_s: Sequence[float] | None = None,
) -> RhythmAnalysis:
    """Return an analysis with the given (kind, counts) one after the other."""
    total = sum(counts for _, counts in spans)
    beat_s = 60.0 / tempo_bpm
    beats = tuple(beats_s or (first_beat_s + n * beat_s for n in range(total)))
    ends = (*beats, beats[-1] + beat_s)
    phrases, at = [], 0
    for kind, counts in spans:
        phrases.append(
            Phrase(
                start_s=ends[at],
                end_s=ends[at + counts],
                start_beat=at,
                counts=counts,
                kind=PhraseKind(kind),
                energy=0.5,
                energy_level=EnergyLevel.MEDIUM,
            )
        )
        at += counts
    return RhythmAnalysis(
        duration_s=ends[-1] + 1.0,
        tempo_bpm=tempo_bpm,
        tempo_confidence=0.95,
        confidence=0.9,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=beats,
        beats_inferred=(False,) * len(beats),
        downbeats_s=beats[::4],
        phrases=tuple(phrases),
    )


def planned(
    analysis: RhythmAnalysis, fillings: Sequence[Sequence[Block]], speed: float = 1.0
) -> PlannedTrack:
    """Return a plan whose phrases hold the given blocks, phrase by phrase."""
    return PlannedTrack(
        title="Lindenbad 1",
        file="lindenbad-1.ogg",
        part="main",
        tempo_bpm=analysis.tempo_bpm or 0.0,
        speed=speed,
        phrases=tuple(
            PlannedPhrase(p.start_beat, p.counts, p.kind, p.energy_level, tuple(blocks))
            for p, blocks in zip(analysis.phrases, fillings, strict=True)
        ),
    )
