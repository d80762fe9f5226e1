"""Convert music tempo to cadence in the water, back, and from taps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from aquatempo.errors import InputError
from aquatempo.moves.patterns import parse_pattern
from aquatempo.records.conversion import (
    CadenceOption,
    CadenceTable,
    ConversionTable,
    ConvertedPattern,
    ConvertedStep,
    TappedTempo,
)
from aquatempo.records.moves import Pattern, PatternStep
from aquatempo.records.tempo_option import TempoOption
from aquatempo.units import (
    COUNTS_PER_EIGHT,
    COUNTS_PER_PHRASE,
    check_range,
    counts_duration_s,
    movements_per_minute,
    seconds_per_beat,
    tempo_for_cadence_bpm,
)

__all__ = ["convert", "convert_cadence", "tapped_tempo"]

TEMPO_BPM = (30.0, 300.0)  # the tempos that music is counted at, with room on both sides
CADENCE_PER_MINUTE = (5.0, 300.0)
FEWEST_TAPS = 4
USUAL = {
    **{option.value: option.words for option in TempoOption},
    "2+2h": f"{TempoOption.HALF_WATER.words}, held",
    "2+2b": f"{TempoOption.HALF_WATER.words}, bounced",
}


def convert(tempo_bpm: float, pattern_texts: Sequence[str] = ()) -> ConversionTable:
    """Return what a music tempo [beats/min] means in the water.

    The usual tempo options come first, then the patterns asked for (``2-2-4``). Raises
    RangeError for a tempo that no music has, InputError for a bad pattern. tempo_bpm: as played
    [beats/min]; pattern_texts: beside the usual options.

    >>> table = convert(132.0, ["2-2-4"])
    >>> [(option.name, option.movements_per_minute) for option in table.options[:3]]
    [('land tempo', 132.0), ('water tempo', 66.0), ('half water tempo', 33.0)]
    >>> table.options[-1].count_lengths
    '2 counts, 2 counts, 4 counts'
    """
    check_range("tempo", tempo_bpm, "bpm", *TEMPO_BPM, _tempo_slip(tempo_bpm))
    texts = [*USUAL, *(text for text in pattern_texts if text not in USUAL)]
    return ConversionTable(
        tempo_bpm=tempo_bpm,
        beat_s=seconds_per_beat(tempo_bpm),
        eight_s=counts_duration_s(COUNTS_PER_EIGHT, tempo_bpm),
        phrase_s=counts_duration_s(COUNTS_PER_PHRASE, tempo_bpm),
        half_tempo_bpm=tempo_bpm / 2,
        double_tempo_bpm=tempo_bpm * 2,
        options=tuple(_converted(parse_pattern(text), tempo_bpm) for text in texts),
    )


def convert_cadence(cadence: float, pattern_texts: Sequence[str] = ()) -> CadenceTable:
    """Return the music tempos [beats/min] that give a cadence [movements/min].

    pattern_texts: beside the usual options.

    >>> [(o.name, o.tempo_bpm) for o in convert_cadence(66.0).options[:2]]
    [('land tempo', 66.0), ('water tempo', 132.0)]
    """
    check_range("cadence", cadence, "movements a minute", *CADENCE_PER_MINUTE)
    texts = [*USUAL, *(text for text in pattern_texts if text not in USUAL)]
    options = []
    for pattern in map(parse_pattern, texts):
        mean_counts = pattern.counts / len(pattern.steps)
        options.append(
            CadenceOption(
                USUAL.get(pattern.text, pattern.text),
                pattern.text,
                _spelled(pattern),
                tempo_for_cadence_bpm(cadence, mean_counts),
            )
        )
    return CadenceTable(cadence, tuple(options))


def tapped_tempo(times_s: Sequence[float]) -> TappedTempo:
    """Return the tempo of taps at some times [s], by a straight line through them.

    A tap left out counts as a skipped beat. Raises InputError for fewer than four
    taps, or taps too uneven to be a beat.

    >>> round(tapped_tempo([0.0, 0.5, 1.0, 2.0, 2.5]).tempo_bpm, 6)
    120.0
    """
    taps = sorted(times_s)
    if len(taps) < FEWEST_TAPS:
        raise InputError(f"{len(taps)} taps: needs {FEWEST_TAPS} or more, on every beat")
    gaps = [after - before for before, after in pairwise(taps)]
    typical = median(gaps)
    if not typical > 0:
        raise InputError("taps all at one time: tap once on each beat")
    beats = [0]
    for gap in gaps:
        beats.append(beats[-1] + round(gap / typical))
    if len(set(beats)) < len(beats):
        raise InputError("two taps on one beat: tap once on each beat (a bouncing key?)")
    slope, scatter, error = _line(beats, taps)
    if scatter > 0.15 * slope:
        raise InputError(
            f"taps fall {1000 * scatter:.0f} ms from an even beat: needs an even beat "
            "(did the music change speed?)"
        )
    tempo_bpm = check_range("tapped tempo", 60.0 / slope, "bpm", *TEMPO_BPM)
    return TappedTempo(
        tempo_bpm=tempo_bpm,
        uncertainty_bpm=tempo_bpm * error / slope,
        scatter_ms=1000 * scatter,
        taps=len(taps),
        skipped_beats=beats[-1] + 1 - len(taps),
        half_tempo_bpm=tempo_bpm / 2,
        double_tempo_bpm=tempo_bpm * 2,
    )


def _line(beats: Sequence[int], taps: Sequence[float]) -> tuple[float, float, float]:
    """Return slope, residual scatter and standard error of the slope, all [s]."""
    middle_beat, middle_s = sum(beats) / len(beats), sum(taps) / len(taps)
    width = sum((beat - middle_beat) ** 2 for beat in beats)
    slope = (
        sum((beat - middle_beat) * (tap - middle_s) for beat, tap in zip(beats, taps, strict=True))
        / width
    )
    left = [
        tap - middle_s - slope * (beat - middle_beat) for beat, tap in zip(beats, taps, strict=True)
    ]
    scatter = math.sqrt(sum(value**2 for value in left) / (len(taps) - 2))
    return slope, scatter, scatter / math.sqrt(width)


def _converted(pattern: Pattern, tempo_bpm: float) -> ConvertedPattern:
    beat_s = seconds_per_beat(tempo_bpm)
    mean_counts = pattern.counts / len(pattern.steps)
    return ConvertedPattern(
        name=USUAL.get(pattern.text, pattern.text),
        pattern=pattern.text,
        count_lengths=_spelled(pattern),
        counts=pattern.counts,
        steps=tuple(
            ConvertedStep(
                step.moving_counts,
                step.held_counts,
                step.bounced,
                step.moving_counts * beat_s,
                step.held_counts * beat_s,
            )
            for step in pattern.steps
        ),
        movements_per_minute=movements_per_minute(tempo_bpm, mean_counts),
        seconds_per_movement=mean_counts * beat_s,
        eights_to_count_1=pattern.aligns_after_counts // COUNTS_PER_EIGHT,
        fills_phrase=COUNTS_PER_PHRASE % pattern.counts == 0,
    )


def _spelled(pattern: Pattern) -> str:
    return ", ".join(_spelled_step(step) for step in pattern.steps)


def _spelled_step(step: PatternStep) -> str:
    counts = f"{step.moving_counts} count{'s' if step.moving_counts > 1 else ''}"
    if not step.held_counts:
        return counts
    return f"{counts} moving and {step.held_counts} {'bounced' if step.bounced else 'held'}"


def _tempo_slip(tempo_bpm: float) -> str:
    if tempo_bpm <= 0:
        return "a tempo is above zero"
    return "beats or movements a minute?" if tempo_bpm < TEMPO_BPM[0] else ""
