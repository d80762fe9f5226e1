"""Which pulse is the beat: the whole song decoded at several levels, and compared.

A path that scores best frame by frame may still be the eighths, every second beat, every
third eighth, or the off-beats. So the song is decoded again at 1/2, 2/3, 3/2 and 2 times
the tempo found, each also half a beat later, and a logistic choice between these readings
weighs what the whole song shows of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import RangeError
from aquatempo.records.rhythm import TempoAlternative
from aquatempo.rhythm.beats import BeatPath, decode, log_odds, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ, FRAMES_PER_SLOW_FRAME, PITCHES
from aquatempo.rhythm.frames import Frames, rises
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM
from aquatempo.rhythm.one_level import at_one_level
from aquatempo.rhythm.pulse import best_near, by_two, lean, struck_share, unevenness
from aquatempo.rhythm.weights import weights_of

__all__ = [
    "Level",
    "LevelReading",
    "Readings",
    "choose_level",
    "inputs_of",
    "readings_in",
    "readings_of",
]

LOWEST_BPM, HIGHEST_BPM = 55.0, 215.0
COUNTINGS = (
    (1.0, (0.0, 0.5)),
    (0.5, (0.0, 1.0)),
    (2.0, (0.0,)),
    (2 / 3, (0.0, 0.5, 1.0)),
    (1.5, (0.0, 1 / 3)),
)
"""Tempo over that of the first path, and the beats of that path on which counting may start."""
STROKES = {"bass": slice(0, 2), "middle": slice(3, 6), "high": slice(7, 10)}
"""Groups of bands in which strokes are looked for on and between the beats."""
SPAN = 6  # slow frames, a quarter of a second, over which harmony is compared
CHUNK = 8192  # slow frames unpacked at a time
STROKE_REACH = 6  # frames
AT_ONCE = 4  # frames within which a file begins with sound
ENTRY_BEATS = 16  # from whose tempo the place of the first sound is judged
ENTRY = 0.3  # of a strong rise: what sounds first
LIKELY = 0.05  # probability from which on 2:3 and 3:2 may be meant by an expected tempo
SAME_BEAT = 0.2  # of a beat
LEAST_READING = 3  # beats: those half a beat later are one fewer, and have a step too
LONE_MARGIN = 8.0  # nats: of the only reading in a range
CLOSE = 1.6  # nats: a lead over half a beat later below which either may be the beat
LEANS = -0.03  # bass, middle and harmony all lean this much to between the beats: doubt
MARGIN = 0.04  # relative, on both sides of the tempi of the first path, at the level chosen
CENTRE_BPM = 125.0
Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LevelReading:
    """One way to count the song: beats [frames], tempo over that of the first path."""

    frames: Doubles
    ratio: float
    tempo_bpm: float


@dataclass(frozen=True, slots=True)
class Level:
    """The chosen reading and the other levels.

    beats [frames]. odds: probability of its level. margin: its lead over the next reading [nats].
    tempo_odds: mean log-probability that the front end gives its tempo [nats]. others:
    ratio of each other level to it, and its probability. missed: whether none of the levels
    that may be meant lies in the range that was expected. half_margin: lead over the same
    beats half a beat later [nats]. against: whether the front end hears the beat half a beat
    away, and all else speaks against it. doubt: whether the beat may as well be half a beat away.
    """

    beats: NDArray[np.int64]
    odds: float
    margin: float
    tempo_odds: float
    others: tuple[tuple[float, float], ...]
    missed: bool = False
    half_margin: float = 0.0
    against: bool = False
    doubt: bool = False

    def alternatives(self, tempo_bpm: float) -> tuple[TempoAlternative, ...]:
        """Return all levels as tempi, the chosen one first, half and double always among them."""
        levels = [(1.0, self.odds), *self.others]
        known = [ratio for ratio, _ in levels]
        levels += [(r, 0.0) for r in (0.5, 2.0) if min(abs(r - k) for k in known) > 0.01]
        return tuple(TempoAlternative(round(tempo_bpm * r, 2), round(o, 4)) for r, o in levels)


def choose_level(
    frames: Frames,
    odds: Floats,
    span_s: tuple[float, float],
    expect_bpm: tuple[float, float] | None,
) -> Level | None:
    """Return the best reading of what sounds within span_s [s]; None of a few beats.

    Of the levels that may be meant, one within expect_bpm [beats/min] is taken; half and double
    always may be, others where they are likely. Raises RangeError where it is not a range. frames:
    signals of the track; odds: log-odds of a beat at frame rate [nats].
    """
    low_bpm, high_bpm = _limits(expect_bpm)
    counted = _counted(frames, odds, span_s, low_bpm, high_bpm)
    if not counted.readings:
        return None
    part, path, readings, inputs = counted.part, counted.path, counted.readings, counted.inputs
    scores = np.array([_score(values) for values in inputs])
    share = np.exp(scores - scores.max())
    share /= share.sum()
    allowed = _expected(readings, share, expect_bpm and (low_bpm, high_bpm))
    missed = not allowed
    allowed = allowed or list(range(len(readings)))
    best = max(allowed, key=lambda place: float(scores[place]))
    chosen = readings[best]
    by_ratio = _by_ratio(readings, share, chosen.ratio)
    level_odds = by_ratio.pop(1.0)
    others = sorted(by_ratio.items(), key=lambda item: -item[1])
    ranked = np.sort(scores[allowed])
    margin = float(ranked[-1] - ranked[-2]) if len(ranked) > 1 else LONE_MARGIN
    if chosen.ratio != 1.0:
        slow, fast = _tempi(path)[[0, 2]] * chosen.ratio
        grid = period_grid(slow * (1 - MARGIN), fast * (1 + MARGIN), FRAME_RATE_HZ)
        beats = decode(part.odds, grid).frames
    else:
        beats = np.asarray(np.round(chosen.frames), dtype=np.int64)
    if _off(beats, chosen.frames) > SAME_BEAT:  # the level is right, but not the beats on it
        beats = np.asarray(np.round(chosen.frames), dtype=np.int64)
    tempo_odds = inputs[best]["tempo"]
    later = LevelReading(
        chosen.frames[:-1] + np.diff(chosen.frames) / 2, chosen.ratio, chosen.tempo_bpm
    )
    other = inputs_of(later, part)
    half_margin = float(scores[best] - _score(other))
    against = inputs[best]["on"] < other["on"]
    if against:
        beats = beats + _to_strokes(part, beats)
    return Level(
        beats + counted.first,
        level_odds,
        margin,
        tempo_odds,
        tuple(others),
        missed,
        half_margin,
        against,
        against or half_margin < CLOSE or _between(inputs[best]),
    )


def _between(heard: dict[str, float]) -> bool:
    """Tell whether bass, backbeat and harmony all speak for the places between the beats."""
    return max(heard["bass"], heard["middle"], heard["harmony"]) < LEANS


def _to_strokes(part: _SoundingPart, beats: NDArray[np.int64]) -> int:
    """Return by how many frames beats have to move to fall on strokes, where a swing is halved."""
    total = np.sum(list(part.strokes.values()), axis=0)
    near = range(-STROKE_REACH, STROKE_REACH + 1)
    height = [float(total[np.clip(beats + step, 0, len(total) - 1)].mean()) for step in near]
    weighed = np.array(height) * np.exp(-0.5 * (np.array(near) / STROKE_REACH) ** 2)
    return int(near[int(weighed.argmax())])


@dataclass(frozen=True, slots=True)
class Readings:
    """What sounds, from frame first on, counted in all ways, and what speaks for each."""

    first: int
    part: _SoundingPart
    path: BeatPath
    readings: list[LevelReading]
    inputs: list[dict[str, float]]


def readings_in(frames: Frames) -> Readings:
    """Return all readings of a track, for the fit of the weights."""
    return _counted(frames, log_odds(frames.beat), frames.sounding, LOWEST_BPM, HIGHEST_BPM)


def _counted(
    frames: Frames, odds: Floats, span_s: tuple[float, float], low_bpm: float, high_bpm: float
) -> Readings:
    first, last = (int(time_s * FRAME_RATE_HZ) for time_s in span_s)
    part = _SoundingPart(frames, odds, first, last)
    path = decode(part.odds, period_grid(LOWEST_BPM, HIGHEST_BPM, FRAME_RATE_HZ))
    path = at_one_level(path, part.odds)
    readings = readings_of(path, min(low_bpm, LOWEST_BPM), max(high_bpm, HIGHEST_BPM))
    return Readings(first, part, path, readings, [inputs_of(one, part) for one in readings])


def _off(beats: NDArray[np.int64], wanted: Doubles) -> float:
    """Return how far beats usually lie from those wanted, in parts of one of these."""
    after = np.clip(np.searchsorted(wanted, beats), 1, len(wanted) - 1)
    period = wanted[after] - wanted[after - 1]
    share = (beats - wanted[after - 1]) / np.maximum(period, 1e-6)
    return float(np.median(np.abs(share - np.round(share))))


def _by_ratio(
    readings: Sequence[LevelReading], share: Doubles, chosen_ratio: float
) -> dict[float, float]:
    """Return the probability of each level, by its tempo over the chosen one."""
    found: dict[float, float] = {}
    for reading, value in zip(readings, share, strict=True):
        relative = reading.ratio / chosen_ratio
        found[relative] = found.get(relative, 0.0) + float(value)
    return found


def _expected(
    readings: Sequence[LevelReading], share: Doubles, range_bpm: tuple[float, float] | None
) -> list[int]:
    """Return the readings that may be meant within a tempo range; all where there is none."""
    if range_bpm is None:
        return list(range(len(readings)))
    best_ratio = readings[int(share.argmax())].ratio
    likely = _by_ratio(readings, share, best_ratio)
    low_bpm, high_bpm = range_bpm
    return [
        place
        for place, reading in enumerate(readings)
        if low_bpm <= reading.tempo_bpm <= high_bpm
        and (
            reading.ratio / best_ratio in (0.5, 1.0, 2.0)
            or likely[reading.ratio / best_ratio] >= LIKELY
        )
    ]


def _limits(expect_bpm: tuple[float, float] | None) -> tuple[float, float]:
    """Return the tempo range in which a level is looked for [beats/min]."""
    if expect_bpm is None:
        return LOWEST_BPM, HIGHEST_BPM
    if not 0 < expect_bpm[0] < expect_bpm[1]:
        slip = "give the lower number first, as in 120-150"
        raise RangeError("expected tempo", expect_bpm[0], "bpm", 20, expect_bpm[1], slip)
    return expect_bpm[0] * 0.99, expect_bpm[1] * 1.01


def _tempi(path: BeatPath) -> Doubles:
    """Return the slow end, middle and fast end of the tempi of a path [beats/min]."""
    slow_to_fast = np.quantile(path.periods, [0.95, 0.5, 0.05])
    return np.asarray(60 * FRAME_RATE_HZ / slow_to_fast, dtype=np.float64)


class _SoundingPart:
    """The part of a track that sounds, as the readings see it."""

    def __init__(self, frames: Frames, odds: Floats, first: int, last: int) -> None:
        self.odds = odds[first : last + 1]
        clipped = np.clip(frames.downbeat[first : last + 1], 0.02, 0.98)
        self.downbeat = np.log(clipped / (1 - clipped))
        rows = frames.tempo[first // 100 : last // 100 + 1]
        self.tempo = np.log(rows + 1e-4).mean(axis=0)
        bands = frames.bands[first : last + 1]
        self.strokes = {name: rises(bands[:, span]) for name, span in STROKES.items()}
        self.all_strokes = rises(bands)
        self.harmony = _moves(frames, first, len(self.odds))
        self.entry, self.at_once, self.struck = _entry(bands)
        self.at_once = self.at_once and first < AT_ONCE


def _moves(frames: Frames, first: int, count: int) -> Floats:
    """Return how much harmony differs before and after each frame, of mean 1."""
    features = frames.features
    slow_first = first // FRAMES_PER_SLOW_FRAME
    slow = count // FRAMES_PER_SLOW_FRAME + 1
    parts = []
    for start in range(0, slow, CHUNK):
        stop = min(start + CHUNK, slow)
        low = max(slow_first + start - SPAN, 0)
        rows = features.log_pitch(low, slow_first + stop + SPAN)
        chroma = np.zeros((len(rows) + 1, 12))
        for number in range(12, PITCHES):
            chroma[1:, number % 12] += rows[:, number]
        sums = np.cumsum(chroma, axis=0)
        at = np.clip(np.arange(slow_first + start, slow_first + stop) - low, 1, len(rows) - 1)
        early, late = np.maximum(at - SPAN, 0), np.minimum(at + SPAN, len(rows))
        before = (sums[at] - sums[early]) / (at - early)[:, None]
        after = (sums[late] - sums[at]) / (late - at)[:, None]
        norms = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1) + 1e-9
        parts.append((1 - (before * after).sum(axis=1) / norms).astype(np.float32))
    change = np.repeat(np.concatenate(parts), FRAMES_PER_SLOW_FRAME)[:count]
    return np.asarray(change / (change.mean() + 1e-6), np.float32)


def _entry(bands: Floats) -> tuple[int, bool, float]:
    """Return the frame of what sounds first, whether nothing is before it, how struck it is.

    A file that begins with sound at once may have been cut anywhere; it is the likelier to
    begin on a count, the more what sounds first dies away (0 to 1).
    """
    level = bands.mean(axis=1)
    rise = np.zeros(len(level), np.float32)
    rise[1:] = np.diff(level)
    rise[0] = level[0]
    strong = np.flatnonzero(rise > ENTRY * np.quantile(rise, 0.98))
    first = int(strong[0]) if len(strong) else 0
    if first + 18 > len(level):
        return first, first < AT_ONCE, 0.0
    early, late = level[first : first + 5].mean(), level[first + 9 : first + 18].mean()
    struck = float(np.clip((early - late) / (level.std() + 1e-6), 0, 1))
    return first, first < AT_ONCE, struck


def readings_of(path: BeatPath, low_bpm: float, high_bpm: float) -> list[LevelReading]:
    """Return the ways to count the beats of a path, itself first, within a tempo range.

    What counts fewer than three beats is left out.

    low_bpm, high_bpm: ends of that range [beats/min].
    """
    tempo_bpm = float(_tempi(path)[1])
    index = np.arange(len(path.frames))
    readings = []
    for ratio, offsets in COUNTINGS:
        if ratio == 1.0 or low_bpm <= tempo_bpm * ratio <= high_bpm:
            for offset in offsets:
                places = np.arange(offset, len(index) - 1, 1 / ratio)
                beats = np.interp(places, index, path.frames)
                if len(beats) >= LEAST_READING:
                    readings.append(LevelReading(beats, ratio, tempo_bpm * ratio))
    return readings


def inputs_of(reading: LevelReading, part: _SoundingPart) -> dict[str, float]:
    """Return what speaks for and against a reading, by name.

    part: what sounds where the beats are.
    """
    frames = reading.frames
    steps = np.diff(frames)
    on = best_near(part.odds, frames)
    thirds = [best_near(part.odds, frames[:-1] + steps * p).mean() for p in (1 / 3, 2 / 3)]
    tempo = reading.tempo_bpm
    nearest = int(np.abs(np.log(TEMPO_CLASSES_BPM / tempo)).argmin())
    around = part.tempo[max(0, nearest - 1) : nearest + 2]
    distance = float(np.log2(tempo / CENTRE_BPM))
    middles = frames[:-1] + steps / 2
    evidence = {name: lean(curve, frames, middles) for name, curve in part.strokes.items()}
    evidence |= {f"{name} by two": by_two(part.strokes[name], frames) for name in STROKES}
    evidence["harmony by two"] = by_two(part.harmony, frames)
    evidence["harmony"] = lean(part.harmony, frames, middles)
    nearest_beat = int(np.abs(frames - part.entry).argmin())
    off = (frames[nearest_beat] - part.entry) / float(np.median(steps[:ENTRY_BEATS]))
    fits = float(np.cos(2 * np.pi * off))
    return evidence | {
        "entry": fits * (not part.at_once),
        "entry at once": fits * part.at_once,
        "stroke at once": fits * part.at_once * part.struck,
        "on": float(on.mean()),
        "struck on": struck_share(part.all_strokes, frames),
        "between": float(best_near(part.odds, frames[:-1] + steps / 2).mean()),
        "thirds": float(max(thirds)),
        "uneven by two": unevenness(on, 2),
        "uneven by three": unevenness(on, 3),
        "bars": unevenness(best_near(part.downbeat, frames), 4),
        "tempo": float(around.max()),
        "far from usual": distance**2,
    }


def _score(inputs: dict[str, float]) -> float:
    return sum(weight * inputs[name] for name, weight in weights_of("level").items())
