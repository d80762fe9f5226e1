"""What of a track is searched for, and how it suits the stated pools."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from statistics import fmean

from aquatempo.records.library import StoredVerdict
from aquatempo.records.people import Group, Pool
from aquatempo.records.plain import from_plain
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.store.library.tables import Facts

__all__ = ["Stated", "corrected", "facts_of", "pools_of", "verdicts_of"]

Stated = Mapping[str, tuple[Pool, Group]]
"""Stated pools with their groups, by name."""


def corrected(content_key: str, analysis: RhythmAnalysis) -> tuple[RhythmAnalysis, bool]:
    """Return an analysis with the user's corrections, and whether there are any.

    content_key: of the audio; analysis: as it came.
    """
    from aquatempo import rhythm
    from aquatempo.store.correction_files import load_corrections

    stored = load_corrections(content_key)
    if stored is None or stored.empty:
        return analysis, False
    return rhythm.apply_corrections(analysis, stored), True


def facts_of(
    title: str, artist: str, analysis: RhythmAnalysis, is_corrected: bool, method: str
) -> Facts:
    """Return what is searched for in a track, from its analysis after corrections.

    title, artist: as tagged; is_corrected: whether corrections changed it; method: by which
    it was heard.
    """
    kinds = [phrase.kind for phrase in analysis.phrases]
    return Facts(
        title=title,
        artist=artist,
        duration_s=analysis.duration_s,
        tempo_bpm=analysis.tempo_bpm,
        confidence=analysis.confidence,
        beats_per_bar=analysis.beats_per_bar,
        steady=analysis.steady,
        phrases=kinds.count(PhraseKind.PHRASE),
        bridges=kinds.count(PhraseKind.BRIDGE),
        breaks=kinds.count(PhraseKind.BREAK),
        energy=fmean(phrase.energy for phrase in analysis.phrases) if kinds else 0.0,
        corrected=is_corrected,
        method=method,
    )


def pools_of(stated: Mapping[str, Mapping[str, object]]) -> Stated:
    """Return stated pools and their groups from the plain data that are kept of them."""
    return {
        name: (from_plain(Pool, one["pool"]), from_plain(Group, one["group"]))
        for name, one in stated.items()
    }


def verdicts_of(
    tempo_bpm: float | None,
    beats_per_bar: int | None,
    steady: bool,
    phrases: int,
    stated: Stated,
) -> Sequence[StoredVerdict]:
    """Return how a track suits each stated pool.

    tempo_bpm [beats/min], None where no beat was heard; beats_per_bar, steady, phrases: as
    heard. What is not all in steady phrases of four suits with changes at best, as ``check``
    says it.
    """
    rounded = None if tempo_bpm is None else round(tempo_bpm, 1)
    whole = beats_per_bar in (None, 4) and steady and phrases
    found = []
    for name, (pool, group) in stated.items():
        fit, speed, reason = _fit(rounded, pool, group)
        if fit == "suits" and not whole:
            fit, reason = "suits with changes", f"{reason}; not all in steady phrases of four"
        found.append(StoredVerdict(name, fit, speed, reason))
    return found


@cache
def _fit(tempo_bpm: float | None, pool: Pool, group: Group) -> tuple[str, float, str]:
    from aquatempo.feasibility import fit_track
    from aquatempo.moves import catalogue

    found = fit_track(tempo_bpm, pool, group, source=catalogue())  # the same for all
    return str(found.fit), round(found.speed, 4), found.reason
