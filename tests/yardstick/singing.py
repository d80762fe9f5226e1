"""A sung voice from speech synthesis: syllables of no language, pitched and stretched to notes.

espeak-ng says each syllable once; its periods are then laid anew at the pitch of the note
(overlap and add of periods in step with the pitch, so that formants stay), the vowel drawn
out to the note's length. Consonants keep their own length and come before the vowel or push it
late, as singers do.
"""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile as sf
from scipy import signal
from studio.drums import RATE_HZ

Sound = npt.NDArray[np.float64]
Rng = np.random.Generator

ONSETS = ("l", "m", "n", "r", "d", "t", "k", "s", "S", "v", "b", "g", "f", "h", "w", "j", "p", "tS",
          "st", "br", "")  # fmt: skip
VOWELS = ("A:", "E", "i:", "O:", "u:", "aI", "eI", "oU", "a", "V")
CODAS = ("", "", "", "n", "m", "l", "s", "t", "N", "z")
HOP_S, FRAME_S = 0.005, 0.04
LOWEST_HZ, HIGHEST_HZ = 70.0, 480.0


@dataclass(frozen=True)
class Singer:
    """A voice: name for the synthesiser, its pitch there, middle of its range (MIDI)."""

    name: str
    pitch: int
    centre: int


@dataclass(frozen=True)
class Syllable:
    """What was said: samples, instants of its pitch periods [samples], sign of their peaks."""

    samples: Sound
    marks: npt.NDArray[np.int_]


@dataclass(frozen=True)
class Sung:
    """One note of the melody: syllable, when its vowel is due [s], length [s], pitch, how loud."""

    syllable: str
    time_s: float
    held_s: float
    pitch: float
    velocity: float


def words(rng: Rng, count: int) -> list[str]:
    """Return that many syllables of no language, as the synthesiser spells them."""
    return [f"{rng.choice(ONSETS)}'{rng.choice(VOWELS)}{rng.choice(CODAS)}" for _ in range(count)]


@lru_cache(maxsize=4096)
def said(singer: Singer, syllable: str) -> Syllable:
    """Return the syllable as the synthesiser says it, with its pitch periods."""
    with tempfile.TemporaryDirectory() as folder:
        wave = Path(folder, "said.wav")
        command = ["espeak-ng", "-v", singer.name, "-s", "125", "-p", str(singer.pitch)]
        text = f"[[{syllable}]]"
        subprocess.run([*command, "-w", str(wave), text], check=True, capture_output=True)
        samples, rate = sf.read(wave)
    samples = signal.resample_poly(samples, RATE_HZ, rate)
    loud = np.flatnonzero(np.abs(samples) > 0.01 * np.abs(samples).max())
    samples = samples[max(0, loud[0] - 200) : loud[-1] + 200]
    return Syllable(samples, periods(samples))


def periods(samples: Sound) -> npt.NDArray[np.int_]:
    """Return the instants [samples] of the pitch periods of the longest voiced stretch."""
    hop, size = int(HOP_S * RATE_HZ), int(FRAME_S * RATE_HZ)
    padded = np.pad(samples, size // 2)
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)[::hop]
    level = np.sqrt(np.mean(frames**2, axis=1))
    spectrum = np.fft.rfft(frames * np.hanning(size), 2 * size)
    likeness = np.fft.irfft(np.abs(spectrum) ** 2)[:, :size]
    window = np.fft.irfft(np.abs(np.fft.rfft(np.hanning(size), 2 * size)) ** 2)[:size]
    likeness /= np.maximum(likeness[:, :1], 1e-12) * window / window[0] + 1e-3
    low, high = int(RATE_HZ / HIGHEST_HZ), int(RATE_HZ / LOWEST_HZ)
    inside = likeness[:, low:high]
    best = inside.max(axis=1)
    # The first lag nearly as good as the best one: twice the period is as alike as one.
    lags = low + np.argmax(inside >= 0.88 * best[:, None], axis=1)
    lags = np.array([peak_near(row, int(lag)) for row, lag in zip(likeness, lags, strict=True)])
    voiced = (best > 0.5) & (level > 0.12 * level.max())
    if not voiced.any():
        return np.array([], dtype=int)
    middle = int(np.argmax(level * voiced))
    first = middle - int(np.argmin(np.append(voiced[middle::-1], False))) + 1
    last = middle + int(np.argmin(np.append(voiced[middle:], False))) - 1
    usual = float(np.median(lags[first : last + 1]))
    centre = middle * hop
    sign = 1.0 if samples.max() > -samples.min() else -1.0
    shaped = sign * samples
    start = max(0, centre - int(usual / 2))
    origin = start + int(np.argmax(shaped[start : start + int(usual)]))
    marks = [origin]
    for step, limit in ((1, last * hop), (-1, first * hop)):
        now = origin
        while (limit - now) * step > usual:
            due = now + step * usual
            reach = max(2, int(0.15 * usual))
            begin = int(due) - reach
            if begin < 0 or begin + 2 * reach >= len(samples):
                break
            now = begin + int(np.argmax(shaped[begin : begin + 2 * reach]))
            marks.append(now)
    return np.array(sorted(set(marks)))


def peak_near(row: Sound, lag: int) -> int:
    """Return the lag of the top that begins to rise at ``lag``."""
    while lag + 1 < len(row) and row[lag + 1] > row[lag]:
        lag += 1
    return lag


def contour(note: Sung, last: float | None, rng: Rng) -> Sound:
    """Return the pitch [Hz] of a sung note, 200 values a second: glide, vibrato, unsteadiness."""
    times = np.arange(int(note.held_s * 200) + 2) / 200
    begin = rng.uniform(-1.2, 0.1) if last is None else 0.6 * (last - note.pitch)
    glide = begin * np.exp(-times / rng.uniform(0.02, 0.06))
    swell = np.clip((times - 0.25) / 0.3, 0, 1) * rng.uniform(0.15, 0.45)
    shake = swell * np.sin(2 * np.pi * rng.uniform(4.8, 6.2) * times + rng.uniform(0, 6))
    drift = np.interp(times, np.arange(0, times[-1] + 1, 0.15),
                      rng.normal(0, 0.08, len(np.arange(0, times[-1] + 1, 0.15))))  # fmt: skip
    return np.asarray(440 * 2 ** ((note.pitch + glide + shake + drift - 69) / 12))


def voiced(syllable: Syllable, hz: Sound, held_s: float) -> tuple[Sound, int]:
    """Return the syllable at that pitch and length, and how many samples come before its vowel."""
    source, marks = syllable.samples, syllable.marks
    first, last = int(marks[0]), int(marks[-1])
    tail = min(len(source) - last, int(0.12 * RATE_HZ))
    body = max(int(held_s * RATE_HZ) - tail, int(0.06 * RATE_HZ))
    span = last - first
    keep = min(int(0.06 * RATE_HZ), span // 3, body // 3)
    gaps = np.diff(marks, append=2 * last - int(marks[-2]))
    out = np.zeros(first + body + tail + 4000)
    fade = np.ones(first)
    fade[-int(min(first, 150)) :] = np.linspace(1, 0, int(min(first, 150)))
    out[:first] += source[:first] * fade
    now = 0.0
    places = np.arange(body)
    mapped = np.interp(places, [0, keep, body - keep, body], [0, keep, span - keep, span])
    while now < body:
        wanted = first + mapped[int(now)]
        index = int(np.argmin(np.abs(marks - wanted)))
        half, mark = int(gaps[index]), int(marks[index])
        begin, stop = max(0, mark - half), min(len(source), mark + half)
        grain = source[begin:stop] * np.hanning(2 * half)[begin - mark + half : stop - mark + half]
        at = first + int(now) - (mark - begin)
        if at < 0:
            grain, at = grain[-at:], 0
        out[at : at + len(grain)] += grain
        now += RATE_HZ / float(hz[min(int(now / RATE_HZ * 200), len(hz) - 1)])
    rest = source[last : last + tail] * np.linspace(1, 0, tail)
    ease = np.minimum(1, np.arange(tail) / 200)
    out[first + body : first + body + tail] += rest * ease
    return out, first


def sing(notes: list[Sung], singer: Singer, size: int, rng: Rng, wander_s: float) -> Sound:
    """Return the melody, mono. wander_s: standard deviation of single notes in time."""
    out = np.zeros(size + RATE_HZ * 4)
    last: float | None = None
    ended_s = -1.0
    for note in notes:
        spoken = said(singer, note.syllable)
        if len(spoken.marks) < 4:
            spoken = said(singer, "l'A:")
        hz = contour(note, last if note.time_s - ended_s < 0.15 else None, rng)
        sound, lead = voiced(spoken, hz, note.held_s)
        level = np.sqrt(np.mean(sound[lead : lead + int(0.15 * RATE_HZ)] ** 2)) + 1e-9
        time_s = note.time_s + float(np.clip(rng.normal(0, wander_s), -0.03, 0.03))
        at = max(0, round(time_s * RATE_HZ) - lead)
        part = sound[: max(0, len(out) - at)] * note.velocity / level
        out[at : at + len(part)] += part
        last, ended_s = note.pitch, note.time_s + note.held_s
    return out[:size]
