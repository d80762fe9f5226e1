"""Songs joined as for a class: tempo matched, count 1 on count 1, one fading into the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import signal

from aquatempo.training.form import Plan, plan_song
from aquatempo.training.render import LENGTH_S, Fonts, render
from aquatempo.training.synth import RATE_HZ

__all__ = [
    "SHARE",
    "Mix",
    "Played",
    "Written",
    "compose",
    "play",
    "play_class",
    "play_mix",
    "play_songs",
]

SHARE = 0.1
"""Of training songs that are joins."""
OVERLAPS = (0, 4, 8, 16, 32)  # counts for which both songs sound
PLAIN = 0.8  # of the songs of a class mix have whole phrases only
SECOND = 500_000_000  # added to the seed: the song that comes in

STRETCH = 0.07  # by which a song of a class mix is played faster or slower
FEWEST, MOST = 5, 11  # songs of a class mix
LEAST_COUNTS = 48  # of a song in a class mix, when it begins
CUTS = (8, 16, 24, 8, 16, 24, 8, 16, 24, 4, 12, 20, 28)  # counts of a phrase before a cut

Times = npt.NDArray[np.float64]
Sound = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Played:
    """A song as sound, with its beats, downbeats, starts of phrases and bridges [s]."""

    style: str
    samples: Sound
    beats_s: Times
    downbeats_s: Times
    starts_s: Times


def play(seed: int, fonts: Fonts) -> Played:
    """Return the song of a seed."""
    plan = plan_song(seed)
    return _played(plan, render(plan, fonts))


def play_mix(seed: int, fonts: Fonts) -> Played:
    """Return two songs of one seed joined on a count 1; the second begins a phrase there.

    The first is cut where a phrase ends or at any bar. Half of the second songs fade in from
    the join on, and the others are there at once while the first fades out.
    """
    rng = np.random.default_rng([seed, 9])
    tempo_bpm = float(rng.uniform(104, 150) if rng.random() < 0.75 else rng.uniform(85, 178))
    first = plan_song(seed, tempo_bpm)
    matched = rng.random() < 0.75
    second = plan_song(seed + SECOND, tempo_bpm * (1.0 if matched else rng.uniform(0.94, 1.06)))
    one, two = _played(first, render(first, fonts)), _played(second, render(second, fonts))
    cuts = one.starts_s if rng.random() < 0.5 else one.downbeats_s
    length_s = len(one.samples) / RATE_HZ
    cuts = cuts[(cuts > 0.2 * length_s) & (cuts < 0.75 * length_s)]
    join_s = float(rng.choice(cuts)) if len(cuts) else float(one.downbeats_s[16])
    counts = int(rng.choice(OVERLAPS)) if matched else int(rng.choice((0, 0, 4)))
    samples = _joined(rng, one.samples, two.samples, join_s, counts * 60 / tempo_bpm)

    def along(before: Times, after: Times) -> Times:
        return np.concatenate([before[before < join_s - 0.01], after + join_s])

    return Played(
        "mix",
        samples,
        along(one.beats_s, two.beats_s),
        along(one.downbeats_s, two.downbeats_s),
        along(one.starts_s, two.starts_s),
    )


@dataclass(frozen=True)
class Mix:
    """Songs in a row, as for a class: sound, beats, and (first beat, counts, whole phrase)."""

    samples: Sound
    beats_s: Times
    sections: list[tuple[int, int, bool]]
    joins: list[int]


def play_songs(seed: int, fonts: Fonts, songs: int = 6) -> Mix:
    """Return several songs, each some whole phrases long, or cut short, and faded into the next.

    Three in four end with a phrase. Tempo moves by up to 3 % at some joins.
    """
    rng = np.random.default_rng([seed, 10])
    tempo_bpm = float(rng.uniform(104, 148))
    out = np.zeros(int(songs * LENGTH_S * RATE_HZ), np.float32)
    beats: list[float] = []
    sections: list[tuple[int, int, bool]] = []
    joins: list[int] = []
    now_s, overlap = 0.0, 0
    for number in range(songs):
        tempo_bpm *= float(rng.uniform(0.97, 1.03)) if number and rng.random() < 0.35 else 1.0
        period_s = 60 / tempo_bpm
        own = int(rng.integers(1_000_000, 90_000_000))
        plan = plan_song(own, tempo_bpm, plain=bool(rng.random() < PLAIN))
        counts = _counts(rng, plan, int((LENGTH_S - 1) / period_s))
        after = 0 if number == songs - 1 else int(rng.choice(OVERLAPS))
        samples = render(plan, fonts)[: int((counts + after) * period_s * RATE_HZ)].copy()
        body = int(counts * period_s * RATE_HZ)
        samples[body:] *= np.cos(np.linspace(0, np.pi / 2, len(samples) - body, dtype=np.float32))
        if overlap and rng.random() < 0.5:
            head = int(overlap * period_s * RATE_HZ)
            samples[:head] *= np.sin(np.linspace(0, np.pi / 2, head, dtype=np.float32))
        first = int(now_s * RATE_HZ)
        out[first : first + len(samples)] += 0.7 * samples
        joins += [len(beats)] if number else []
        for section in plan.sections:
            left = min(section.counts, counts - section.start)
            if left > 0:
                whole = section.is_phrase and left == section.counts
                sections.append((len(beats) + section.start, left, whole))
        beats += [now_s + beat * period_s for beat in range(counts)]
        now_s, overlap = now_s + counts * period_s, after
    return Mix(out[: int((now_s + 1) * RATE_HZ)], np.array(beats), sections, joins)


@dataclass(frozen=True)
class Written:
    """A song to be joined with others: its plan, and its sound from its first count on."""

    plan: Plan
    samples: Sound


def compose(seed: int, fonts: Fonts) -> Written:
    """Return a song at one tempo, most of the time on a single sound bank, as songs are."""
    rng = np.random.default_rng([seed, 11])
    tempo_bpm = float(rng.uniform(100, 152))
    plan = plan_song(seed, tempo_bpm, plain=bool(rng.random() < PLAIN))
    one = Fonts([fonts.synths[int(rng.integers(len(fonts.synths)))]])
    return Written(plan, render(plan, one if rng.random() < 0.75 else fonts))


def play_class(seed: int, songs: Sequence[Written]) -> Mix:
    """Return some of the songs joined as a class hears them, each at the tempo of the mix.

    Songs are played faster or slower, pitch and all, by up to ``STRETCH``; each is mastered anew,
    begins with one of its phrases or where it begins, and ends with a section or is cut. One mix
    in twelve is a single song.
    """
    rng = np.random.default_rng([seed, 12])
    tempo_bpm = float(rng.uniform(104, 148))
    near = [song for song in songs if abs(tempo_bpm / song.plan.tempo_bpm - 1) < STRETCH]
    alone = rng.random() < 1 / 12
    wanted = 1 if alone else int(rng.integers(FEWEST, MOST + 1))
    chosen = [near[place] for place in rng.permutation(len(near))[:wanted]]
    drift = float(rng.uniform(-0.5, 0.5)) if rng.random() < 0.3 else 0.0
    out = np.zeros(int((len(chosen) + 1) * LENGTH_S / (1 - STRETCH) ** 2 * RATE_HZ), np.float32)
    beats: list[float] = []
    sections: list[tuple[int, int, bool]] = []
    joins: list[int] = []
    now_s, overlap = 0.0, 0
    for number, song in enumerate(chosen):
        tempo_bpm *= float(rng.uniform(0.97, 1.03)) if number and rng.random() < 0.15 else 1.0
        period_s = 60 / tempo_bpm
        first, stop = (0, _last(song)) if alone else _stretch(rng, song)
        after = 0 if number == len(chosen) - 1 else int(rng.choice(OVERLAPS))
        samples = _at_tempo(song, first, stop + after, tempo_bpm)
        if rng.random() < 0.7:
            samples = _remastered(rng, samples)
        body = min(int((stop - first) * period_s * RATE_HZ), len(samples))
        if rng.random() < 0.9:  # else it stops at once
            samples[body:] *= _fade(rng, len(samples) - body)[::-1]
        if overlap and rng.random() < 0.5:
            head = min(int(overlap * period_s * RATE_HZ), body)
            samples[:head] *= _fade(rng, head)
        at = int(now_s * RATE_HZ)
        out[at : at + len(samples)] += samples[: len(out) - at]
        joins += [len(beats)] if number else []
        for section in song.plan.sections:
            start, end = max(section.start, first), min(section.start + section.counts, stop)
            if end > start:
                whole = section.is_phrase and end - start == section.counts
                sections.append((len(beats) + start - first, end - start, whole))
        beats += [now_s + beat * period_s for beat in range(stop - first)]
        now_s, overlap = now_s + (stop - first) * period_s, after
        tempo_bpm += drift
    return Mix(out[: int((now_s + 1) * RATE_HZ)], np.array(beats), sections, joins)


def _last(song: Written) -> int:
    """Return how many counts of a song sound whole."""
    sounding = int((len(song.samples) / RATE_HZ - 0.5) * song.plan.tempo_bpm / 60)
    last = song.plan.sections[-1]
    return min(sounding, last.start + last.counts)


def _stretch(rng: np.random.Generator, song: Written) -> tuple[int, int]:
    """Return the first count of a song that is played, and the one after the last."""
    most = _last(song)
    ends = [one.start + one.counts for one in song.plan.sections if one.start + one.counts <= most]
    starts = [
        one.start
        for one in song.plan.sections
        if one.is_phrase and one.start + LEAST_COUNTS <= ends[-1]
    ]
    first = 0 if rng.random() < 0.25 else int(rng.choice(starts))
    later = [end for end in ends if end - first >= LEAST_COUNTS][:5]
    stop = int(rng.choice(later))
    if rng.random() < 0.25 and stop - first >= 2 * 32:
        stop += int(rng.choice(CUTS)) - 32
    return first, stop


def _at_tempo(song: Written, first: int, stop: int, tempo_bpm: float) -> Sound:
    """Return some counts of a song, resampled to a tempo."""
    own = song.plan.tempo_bpm
    size = int((stop - first) * 60 / tempo_bpm * RATE_HZ)
    at = first * 60 / own * RATE_HZ + np.arange(size) * (tempo_bpm / own)
    at = at[at < len(song.samples) - 1]
    whole = at.astype(np.int64)
    part = (at - whole).astype(np.float32)
    low, high = song.samples[whole], song.samples[whole + 1]
    return np.asarray((low + part * (high - low)).astype(np.float32))


def _remastered(rng: np.random.Generator, samples: Sound) -> Sound:
    """Return a song with its bass and treble turned, at another loudness, at times pressed."""
    bass, treble = (10 ** (rng.normal(0, 4, 2) / 20) - 1).tolist()
    low = signal.lfilter(*signal.butter(1, float(rng.uniform(100, 400)), fs=RATE_HZ), samples)
    top_hz = float(rng.uniform(1500, 5000))
    high = signal.lfilter(*signal.butter(1, top_hz, "high", fs=RATE_HZ), samples)
    out = samples + bass * low + treble * high
    if rng.random() < 0.3:
        usual = float(np.sqrt(np.mean(out**2))) + 1e-6
        out = usual * np.tanh(out / usual * rng.uniform(0.3, 1.5))
    loud = float(np.sqrt(np.mean(out**2))) + 1e-6
    return np.asarray((out * (0.1 / loud) * 10 ** (rng.normal(0, 2) / 20)).astype(np.float32))


def _fade(rng: np.random.Generator, size: int) -> Sound:
    """Return a rise from 0 to 1: of even power, or in a straight line."""
    line = np.linspace(0, 1, size, dtype=np.float32)
    return np.asarray(line if rng.random() < 0.3 else np.sin(line * np.pi / 2))


def _counts(rng: np.random.Generator, plan: Plan, most: int) -> int:
    """Return how many counts of a song are played: to the end of a section, or a part more."""
    phrases = [section for section in plan.sections if section.is_phrase]
    if rng.random() < 0.75:
        ends = [one.start + one.counts for one in phrases if one.start + one.counts <= most - 36]
        return ends[-1] if ends else phrases[0].start + phrases[0].counts
    starts = [one.start for one in phrases if 32 <= one.start <= most - 60]
    return (starts[-1] if starts else phrases[0].start) + int(rng.choice((8, 16, 24)))


def _played(plan: Plan, samples: Sound) -> Played:
    return Played(
        plan.name,
        samples,
        plan.beat_times_s[:-1],
        plan.time_s(np.array([bar.start for bar in plan.bars], np.float64)),
        plan.time_s(np.array([section.start for section in plan.sections], np.float64)),
    )


def _joined(
    rng: np.random.Generator, one: Sound, two: Sound, join_s: float, fade_s: float
) -> Sound:
    """Return the first song up to the join and the second from there, both through the fade."""
    join = round(join_s * RATE_HZ)
    fade = max(round(fade_s * RATE_HZ), 200)
    stop = min(join + fade, len(one))
    rise = np.sin(np.linspace(0, np.pi / 2, fade, dtype=np.float32))
    out = one.copy()
    tail = out[join:stop] * rise[::-1][: stop - join]
    if rng.random() < 0.3 and fade > RATE_HZ:  # its bass is taken out first
        tail = signal.sosfilt(signal.butter(2, 250, "high", fs=RATE_HZ, output="sos"), tail)
    head = two[: len(one) - join].copy()
    if rng.random() < 0.5:
        head[: stop - join] *= rise[: stop - join]
    out[join:] = head * float(10 ** (rng.normal(0, 2) / 20))
    out[join:stop] += tail.astype(np.float32)
    return out
