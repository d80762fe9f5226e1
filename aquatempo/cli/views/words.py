"""Figures in the words and forms that people read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.rhythm import Phrase, PhraseKind, RhythmAnalysis
from aquatempo.records.verdict import Verdict
from aquatempo.units import COUNTS_PER_PHRASE, percent

__all__ = ["form_words", "kept_words", "pool_words", "tempo_words"]


def tempo_words(analysis: RhythmAnalysis) -> str:
    """Return the tempo to a tenth, or that there is no beat."""
    return "no beat" if analysis.tempo_bpm is None else f"{analysis.tempo_bpm:.1f}"


def kept_words(verdict: Verdict) -> str:
    """Return the share of the range that is kept, in whole percent, never full by rounding."""
    share = verdict.range_kept.median
    return percent(share if verdict.rating.is_full else math.floor(100 * share) / 100)


def form_words(phrases: Sequence[Phrase]) -> str:
    """Return how a track is built, like runs of equal stretches: ``8 intro, 3 x 32, 4 bridge``."""
    words = []
    for (kind, counts), run in groupby(phrases, key=lambda phrase: (phrase.kind, phrase.counts)):
        times = len(list(run))
        plain = kind is PhraseKind.PHRASE and counts == COUNTS_PER_PHRASE
        name = f"{counts}" if plain else f"{counts} {kind.value}"
        words.append(f"{times} x {name}" if times > 1 else name)
    return ", ".join(words)


def pool_words(pool: Pool) -> str:
    """Return a pool in a few words.

    >>> pool_words(Pool(depth_m=1.0, far_depth_m=1.4))
    'shallow class in 1.00 to 1.40 m of water at 29 C'
    """
    kind = "deep" if pool.kind is ClassDepth.DEEP else "shallow"
    depth = f"{pool.depth_m:.2f}"
    if pool.far_depth_m is not None:
        depth += f" to {pool.far_depth_m:.2f}"
    return f"{kind} class in {depth} m of water at {pool.temperature_c:.0f} C"
