"""Beats, bars and phrases as they are heard, before they become the record of a track."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.beats import log_odds
from aquatempo.rhythm.confidence import measures_of
from aquatempo.rhythm.evidence import (
    MIX,
    SONG,
    bar_odds,
    beat_worth,
    bridge_odds,
    end_odds,
    met,
    phrase_odds,
    start_inputs,
)
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import SILENT_DB, Frames, rises
from aquatempo.rhythm.grid import Stretch, stretches_of
from aquatempo.rhythm.join_network import clear_joins
from aquatempo.rhythm.levels import Level, choose_level
from aquatempo.rhythm.lines import observe
from aquatempo.rhythm.network import OFFSET_S
from aquatempo.rhythm.perbeat import BeatCues, cues_of
from aquatempo.rhythm.phrases import Segmentation, segment
from aquatempo.rhythm.repetition import fresh_share

__all__ = ["PASSES", "HeardRhythm", "hear", "kind_of"]

Doubles = NDArray[np.float64]

STOP_S = 4.0  # a silence longer than this ends the count
STRUCK = 0.1  # of the usual rise in level on a beat: below it nothing is struck
WEAK, ABRUPT = 0.3, 3.0  # nor below this share, after a stroke so many times as strong
LEAST_BEATS = 8  # fewer are no beat
RING_OUT = 8  # beats
TRIPLE_PRIOR = 4.0  # nats against three beats a bar
JOIN_WORTH = 4.0  # nats for a phrase where two tempi meet on a beat, or a join is heard for itself
JOIN_DEAR = 2.0  # nats against a bridge there
ON_BEAT = 0.08  # of a beat: the two grids share one
MIX_S = 480.0  # a recording longer than this is taken for songs joined together
MIX_JOINS = 3  # so is one in which so many joins are heard for themselves
PASSES = 2  # over the phrases, each with the starts of the one before


@dataclass(frozen=True, slots=True)
class HeardRhythm:
    """What is heard of a track.

    beats_s [s], with one row of cues and one value of the log-odds [nats] of bars, phrases,
    bridges and ends each. kind: a song or a mix. splices: beats on which another
    stretch begins. found: the segments. measures: what its confidence is judged by.
    """

    level: Level
    stretches: list[Stretch]
    beats_s: Doubles
    cues: BeatCues
    bars: Doubles
    phrases: Doubles
    bridges: Doubles
    ends: Doubles
    kind: str
    splices: list[int]
    found: Segmentation
    measures: dict[str, float]


def hear(frames: Frames, expect_bpm: tuple[float, float] | None = None) -> HeardRhythm | None:
    """Return what is heard in the signals of a track; None where there are too few beats.

    expect_bpm: range in which the tempo is known to lie [beats/min]. frames: those signals.
    """
    span_s = frames.sounding
    odds = log_odds(frames.beat)
    level = choose_level(frames, odds, span_s, expect_bpm)
    if level is None:
        return None
    if level.against:
        frames = frames.half_a_beat_later(level.beats)
        odds = log_odds(frames.beat)
    observed = observe(frames.beat, level.beats, FRAME_RATE_HZ, OFFSET_S)

    def worth(times_s: Doubles) -> float:
        return beat_worth(cues_of(frames, times_s))

    stretches = stretches_of(observed, odds, frames.beat, span_s, worth, rises(frames.bands))
    beats_s = _without_stops(_joined(stretches), frames)
    if len(beats_s) >= LEAST_BEATS:
        beats_s = _without_ring_out(beats_s, frames)
    if len(beats_s) < LEAST_BEATS:
        return None
    cues = cues_of(frames, beats_s)
    borders_s = [stretch.times_s[0] for stretch in stretches[1:]]
    splices = [int(np.abs(beats_s - time_s).argmin()) for time_s in borders_s]
    share = fresh_share(frames, beats_s, cues.chroma)
    inputs, bars = start_inputs(cues, MIX), share * bar_odds(cues)
    clear = clear_joins(inputs["net join"])
    kind = kind_of(clear, splices, frames.duration_s)
    joins = sorted({*_on_a_beat(beats_s, splices), *clear})
    phrases = met(_told_once(phrase_odds(cues, inputs, (), kind), share), joins, JOIN_WORTH)
    bridges, ends = met(bridge_odds(inputs, kind), joins, -JOIN_DEAR), end_odds(inputs, kind)
    size = _beats_per_bar(bars, phrases, bridges, ends, splices, kind)

    def segments() -> Segmentation:
        return segment(bars, phrases, bridges, size, splices=splices, end_odds=ends, kind=kind)

    found = segments()
    for _ in range(PASSES):
        heard = phrase_odds(cues, inputs, found.phrases, kind)
        phrases = met(_told_once(heard, share), joins, JOIN_WORTH)
        found = segments()
    measures = measures_of(level, stretches, cues, bars, found)
    return HeardRhythm(
        level,
        stretches,
        beats_s,
        cues,
        bars,
        phrases,
        bridges,
        ends,
        kind,
        splices,
        found,
        measures,
    )


def kind_of(joins: list[int], splices: list[int], duration_s: float) -> str:
    """Return ``MIX`` where songs joined together are heard, else ``SONG``.

    joins: beats on which the next song is heard for itself. splices: beats on which another tempo
    begins. duration_s: of the recording [s].
    """
    return MIX if splices or len(joins) >= MIX_JOINS or duration_s > MIX_S else SONG


def _told_once(odds: Doubles, share: float) -> Doubles:
    """Return odds whose differences count for the share of a track that repeats nothing."""
    middle = float(odds.mean())
    return np.asarray(middle + share * (odds - middle))


def _on_a_beat(beats_s: Doubles, splices: list[int]) -> list[int]:
    """Return the splices of songs joined on the beat, as for a class."""
    steps = np.diff(beats_s)
    usual = [float(np.median(steps[max(0, at - LEAST_BEATS) : at + LEAST_BEATS])) for at in splices]
    return [
        at
        for at, step_s in zip(splices, usual, strict=True)
        if at and abs(float(steps[at - 1]) / step_s - 1) < ON_BEAT
    ]


def _joined(stretches: list[Stretch]) -> Doubles:
    """Return all beats in order, none closer than half a beat to the one before."""
    if not stretches:
        return np.zeros(0)
    beats_s = np.maximum(np.concatenate([stretch.times_s for stretch in stretches]), 0.0)
    least_s = 0.5 * float(np.median(np.abs(np.diff(beats_s)))) if len(beats_s) > 1 else 0.0
    kept = [float(beats_s[0])]
    for time_s in beats_s[1:].tolist():
        if time_s > kept[-1] + least_s:
            kept.append(time_s)
    return np.array(kept)


def _without_stops(beats_s: Doubles, frames: Frames) -> Doubles:
    """Drop the beats inside long silences."""
    quiet = np.concatenate([[0], (frames.level_db < SILENT_DB).astype(np.int8), [0]])
    edges = np.flatnonzero(np.diff(quiet)).reshape(-1, 2) / FRAME_RATE_HZ
    keep = np.ones(len(beats_s), bool)
    for start_s, end_s in edges:
        if end_s - start_s > STOP_S:
            keep &= ~((beats_s > start_s) & (beats_s < end_s - 0.03))
    return beats_s[keep]


def _without_ring_out(beats_s: Doubles, frames: Frames) -> Doubles:
    """Drop the beats in the ring-out of a last chord, where nothing is struck any more.

    More than RING_OUT beats without a stroke are no ring-out but a quiet end: they stay.
    """
    rise = np.zeros(len(frames.bands))
    rise[3:-2] = np.maximum(frames.bands[5:] - frames.bands[:-5], 0).mean(axis=1)
    at = np.round(beats_s * FRAME_RATE_HZ).astype(int)[:, None] + np.arange(-4, 5)
    struck = rise[np.clip(at, 0, len(rise) - 1)].max(axis=1)
    for share, drop in ((WEAK, ABRUPT), (STRUCK, 0.0)):
        last = int(np.flatnonzero(struck >= share * np.median(struck))[-1])
        tail = struck[last + 1 :]
        if 0 < len(tail) <= RING_OUT and struck[last] >= drop * tail.max():
            return beats_s[: last + 1]
    return beats_s


def _beats_per_bar(
    bars: Doubles,
    phrases: Doubles,
    bridges: Doubles,
    ends: Doubles,
    splices: list[int],
    kind: str,
) -> int:
    """Return whether bars of four or of three beats fit the song better."""
    fours, threes = (
        segment(bars, phrases, bridges, size, splices=splices, end_odds=ends, kind=kind)
        for size in (4, 3)
    )
    return 3 if threes.score - TRIPLE_PRIOR > fours.score else 4
