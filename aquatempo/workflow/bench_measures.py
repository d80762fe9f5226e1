"""One answer against one truth, with the measures of mir_eval.

mir_eval: Raffel et al., "mir_eval: A transparent implementation of common MIR metrics",
ISMIR 2014. Its conventions for beats: a hit lies within 70 ms and the first 5 s are left
out. CMLt and AMLt: Hainsworth 2004, Klapuri et al. 2006, as implemented there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from aquatempo.errors import MissingExtraError
from aquatempo.records.bench import TrackScore
from aquatempo.records.rhythm import Phrase, PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE, seconds_per_beat

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Times = NDArray[np.float64]

__all__ = ["Heard", "Span", "Truth", "bridge_counts", "score_track"]

HIT_S = 0.07
TEMPO_SHARE = 0.04
TEMPO_EXACT_BPM = 0.1
EARLY_S = 0.3
RATIOS = {"2": 2.0, "1/2": 0.5, "3": 3.0, "1/3": 1 / 3, "3/2": 1.5, "2/3": 2 / 3}
SETTING = (PhraseKind.INTRO, PhraseKind.OUTRO)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch: start [s], counts, kind."""

    start_s: float
    counts: int
    kind: PhraseKind

    @classmethod
    def of(cls, phrase: Phrase) -> Span:
        """Return the stretch that an analysis gives."""
        return cls(phrase.start_s, phrase.counts, phrase.kind)


@dataclass(frozen=True, slots=True)
class Truth:
    """What is known of a track. Empty tuples where it is not known.

    spans_known tells a track without phrases from one whose phrases nobody marked.
    """

    tempo_bpm: float
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...] = ()
    spans: tuple[Span, ...] = ()
    spans_known: bool = False


@dataclass(frozen=True, slots=True)
class Heard:
    """What a program answered; None for what it does not offer."""

    tempo_bpm: float | None
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...] | None = None
    spans: tuple[Span, ...] | None = None
    confidence: float | None = None

    @classmethod
    def of(cls, analysis: RhythmAnalysis) -> Heard:
        """Return the answer in an analysis of ours."""
        spans = tuple(Span.of(phrase) for phrase in analysis.phrases)
        return cls(
            analysis.tempo_bpm,
            analysis.beats_s,
            analysis.downbeats_s,
            spans,
            analysis.confidence,
        )


def score_track(file: str, truth: Truth, heard: Heard | None, trouble: str = "") -> TrackScore:
    """Return how well a track was heard; None scores 0 on all that the truth has.

    Raises MissingExtraError where mir_eval is not installed. file: name of the track; trouble:
    why it was not heard.
    """
    failed = heard is None
    heard = heard or Heard(None, (), (), ())
    tempo = heard.tempo_bpm or 0.0
    expected, found = _trimmed(truth.beats_s), _trimmed(heard.beats_s)
    beat_f = _f_measure(expected, found)
    cmlt, amlt = _continuity(expected, found)
    bias, error = _distances_ms(expected, found) if beat_f > 0.5 else (None, None)
    precision, recall = _bridges(truth, heard.spans)
    first_s = truth.beats_s[0] if truth.beats_s else 0.0
    score = TrackScore(
        file=file,
        tempo_bpm=truth.tempo_bpm,
        heard_bpm=heard.tempo_bpm,
        tempo_near=_near(tempo, truth.tempo_bpm),
        tempo_exact=abs(tempo - truth.tempo_bpm) <= TEMPO_EXACT_BPM,
        beat_f=beat_f,
        cmlt=cmlt,
        amlt=amlt,
        downbeat_f=_downbeat_f(truth, heard),
        phrase_f=_phrase_f(truth, heard.spans),
        bridge_precision=precision,
        bridge_recall=recall,
        bias_ms=bias,
        error_ms=error,
        early_beats=sum(time < first_s - EARLY_S for time in heard.beats_s),
        confidence=heard.confidence,
        trouble=trouble,
    )
    if failed or trouble:
        return score
    return replace(score, trouble=_trouble(score, truth, heard))


def bridge_counts(truth: Truth, spans: Sequence[Span] | None) -> tuple[int, int, int]:
    """Return (bridges hit, bridges there, bridges heard); a hit starts within 8 counts.

    Nothing is counted where nobody marked the phrases of the track. truth: what is known;
    spans: what was heard.
    """
    if not truth.spans_known:
        return 0, 0, 0
    there = np.array(_bridge_starts(truth.spans))
    heard = np.array(_bridge_starts(spans or ()))
    window_s = COUNTS_PER_EIGHT * seconds_per_beat(truth.tempo_bpm)
    return len(_matches(there, heard, window_s)), len(there), len(heard)


def _mir_eval() -> Any:  # noqa: ANN401  the library publishes no types
    try:
        import mir_eval
    except ImportError as exc:
        raise MissingExtraError("scoring against known beats", "bench") from exc
    return mir_eval


def _trimmed(times: Sequence[float]) -> Times:
    kept: Times = _mir_eval().beat.trim_beats(np.asarray(times, dtype=float))
    return kept


def _f_measure(expected: Times, found: Times) -> float:
    if not len(expected) or not len(found):
        return 0.0
    return float(_mir_eval().beat.f_measure(expected, found, f_measure_threshold=HIT_S))


def _continuity(expected: Times, found: Times) -> tuple[float, float]:
    if len(expected) < 2 or len(found) < 2:
        return 0.0, 0.0
    _, cmlt, _, amlt = _mir_eval().beat.continuity(expected, found)
    return float(cmlt), float(amlt)


def _matches(expected: Times, found: Times, window_s: float) -> list[tuple[int, int]]:
    if not len(expected) or not len(found):
        return []
    pairs: list[tuple[int, int]] = _mir_eval().util.match_events(expected, found, window_s)
    return pairs


def _distances_ms(expected: Times, found: Times) -> tuple[float, float]:
    away = [1000 * (found[j] - expected[i]) for i, j in _matches(expected, found, HIT_S)]
    return float(np.median(away)), float(np.median(np.abs(away)))


def _downbeat_f(truth: Truth, heard: Heard) -> float | None:
    if not truth.downbeats_s or heard.downbeats_s is None:
        return None
    return _f_measure(_trimmed(truth.downbeats_s), _trimmed(heard.downbeats_s))


def _phrase_starts(spans: Sequence[Span]) -> list[float]:
    """Return the starts of phrases, and of breakdowns that keep the row of 32 counts."""
    whole = (PhraseKind.PHRASE, PhraseKind.BREAK)
    return [s.start_s for s in spans if s.kind in whole and s.counts == COUNTS_PER_PHRASE]


def _bridge_starts(spans: Sequence[Span]) -> list[float]:
    """Return the starts of what breaks the row: bridges, breakdowns of other lengths."""
    odd = (PhraseKind.BRIDGE, PhraseKind.BREAK)
    return [s.start_s for s in spans if s.kind in odd and s.counts % COUNTS_PER_PHRASE]


def _phrase_f(truth: Truth, spans: Sequence[Span] | None) -> float | None:
    """F-measure of phrase starts within half a beat.

    Whether an introduction or an outro is called a phrase is taste: starts that fall on one
    of those are neither hits nor misses.
    """
    if not truth.spans_known or spans is None:
        return None
    window_s = 30 / truth.tempo_bpm
    expected = np.array(_phrase_starts(truth.spans))
    found = np.array(_phrase_starts(spans))
    spare = np.array([s.start_s for s in truth.spans if s.kind in SETTING])
    hits = _matches(expected, found, window_s)
    hit = {index for _, index in hits}
    extra = np.array([time for index, time in enumerate(found) if index not in hit])
    wrong = len(extra) - len(_matches(spare, extra, window_s))
    total = len(expected) + len(hits) + wrong
    return 2 * len(hits) / total if total else 1.0


def _bridges(truth: Truth, spans: Sequence[Span] | None) -> tuple[float | None, float | None]:
    if not truth.spans_known or spans is None:
        return None, None
    hits, there, heard = bridge_counts(truth, spans)
    return hits / heard if heard else None, hits / there if there else None


def _near(tempo_bpm: float, target_bpm: float) -> bool:
    return abs(tempo_bpm - target_bpm) <= TEMPO_SHARE * target_bpm


def _trouble(score: TrackScore, truth: Truth, heard: Heard) -> str:
    """Say what went wrong, as far as one factor or one shift explains it."""
    tempo, period_s = heard.tempo_bpm or 0.0, 60 / truth.tempo_bpm
    if not heard.beats_s:
        return "no beat"
    if not score.tempo_near:
        names = [name for name, ratio in RATIOS.items() if _near(tempo, truth.tempo_bpm * ratio)]
        return f"tempo {names[0]} of the truth" if names else f"tempo {tempo:.1f}"
    if score.beat_f < 0.45:
        shifts = np.linspace(1 / 24, 23 / 24, 23) * period_s
        part, after = _best_shift(truth.beats_s, heard.beats_s, shifts, period_s)
        if after < 0.6:
            return "beats wander"
        return "half a beat off" if 0.4 <= part <= 0.6 else f"{part:.2f} of a beat off"
    if score.beat_f < 0.9:
        return "phase slips for part of the track"
    if score.downbeat_f is not None and score.downbeat_f < 0.5:
        shifts = np.linspace(1, 3, 3) * period_s
        part, after = _best_shift(truth.downbeats_s, heard.downbeats_s or (), shifts, period_s)
        return f"bars {part:.0f} beats off" if after > 0.6 else "no stable bar"
    return ""


def _best_shift(
    truth: Sequence[float], times: Sequence[float], shifts_s: Times, period_s: float
) -> tuple[float, float]:
    expected, found = _trimmed(truth), np.asarray(times, dtype=float)
    after = [_f_measure(expected, _trimmed(list(found - shift))) for shift in shifts_s]
    best = max(after)
    level = [shift for shift, value in zip(shifts_s, after, strict=True) if value > best - 0.02]
    return float(np.mean(level) / period_s), best
