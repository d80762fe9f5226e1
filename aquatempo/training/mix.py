"""Songs joined as for a class: tempo matched, count 1 on count 1, one fading into the next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import signal

from aquatempo.training.form import Plan, plan_song
from aquatempo.training.render import LENGTH_S, Fonts, render
from aquatempo.training.synth import RATE_HZ

__all__ = ["SHARE", "Mix", "Played", "play", "play_mix", "play_songs"]

SHARE = 0.1
"""Of training songs that are joins."""
OVERLAPS = (0, 4, 8, 16, 32)  # counts for which both songs sound
PLAIN = 0.8  # of the songs of a class mix have whole phrases only
SECOND = 500_000_000  # added to the seed: the song that comes in

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
