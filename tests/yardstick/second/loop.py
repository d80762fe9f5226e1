"""Kind loop: recordings of games, mastered as loops of whole bars; beats follow from the length.

A loop that starts with its first sound and lasts a multiple of four bars at a round tempo
gives its grid away, but several tempi fit one length. Of those, the one whose counts gather
most attacks is taken, and only where it gathers more than twice the average. Tried on the 82
recordings of 40 s or longer in 21 free packages: where any tempo fitted, it gathered 2.7 or more
(39 recordings, those of the table) or 1.2 or less. No beat tracker had a say.
"""

from __future__ import annotations

import numpy as np
import soundfile as sf
from scipy import signal

from ..devset import Times
from .rows import Row, one, save_track

LIMIT_S = 100.0
TEMPI_BPM = (95, 190)
"""An octave, so that half and double the tempo do not compete: common practice, no source."""
ROUND_BPM = 0.25
WITHIN_BPM = 0.02
LATEST_START_S = 0.04
CLEAR = 2.0
BANDS_HZ = ((0, 160), (160, 500), (500, 2000), (2000, 6000), (6000, 16000))


def make(row: Row, kind: str = "loop") -> None:
    """Build one track. Key: file. Refuse a recording that is no such loop."""
    path = one(row["folder"], row["file"])
    about = sf.info(path)
    length_s = about.frames / about.samplerate
    samples, rate = sf.read(path, always_2d=True, stop=int(LIMIT_S * about.samplerate))
    level = np.abs(samples).max(axis=1)
    start_s = float(np.flatnonzero(level > 0.05 * level.max())[0] / rate)
    if start_s > LATEST_START_S:
        raise SystemExit(f"{path}: silent for {start_s:.2f} s")
    attacks, step_s = attack_curve(samples, rate)
    fits = [
        (gathered(attacks, step_s, tempo), tempo, bars) for tempo, bars in round_tempi(length_s)
    ]
    share, tempo, bars = max(fits, default=(0.0, 0.0, 0))
    if share < CLEAR:
        raise SystemExit(f"{path}: no loop of whole bars ({share:.1f} times the average)")
    beats = np.arange(0, len(samples) / rate, 60 / tempo)
    told = {**row, "note": f"loop of {bars} bars at {tempo:g} bpm; {row['note']}".rstrip("; ")}
    span = (0.0, len(samples) / rate - 0.05)
    save_track(kind, told, samples, rate, (beats, beats[::4]), span)


def round_tempi(length_s: float) -> list[tuple[float, int]]:
    """Return (tempo [bpm], bars) that fit the length: whole fours of bars at a round tempo."""
    found = []
    for bars in range(4, 400, 4):
        exact = 240 * bars / length_s
        tempo = round(exact / ROUND_BPM) * ROUND_BPM
        if TEMPI_BPM[0] <= tempo < TEMPI_BPM[1] and abs(exact - tempo) < WITHIN_BPM:
            found.append((tempo, bars))
    return found


def attack_curve(samples: Times, rate: int) -> tuple[Times, float]:
    """Return how fast the loudness rises in five bands together, of mean 1, and its step [s].

    About every 5 ms the largest of three frames, so that an attack may lie 5 ms off the count.
    """
    hop = rate // 200
    hertz, _, spectrum = signal.stft(
        samples.mean(axis=1), rate, nperseg=1024, noverlap=1024 - hop, boundary="even"
    )
    total = np.zeros(spectrum.shape[1])
    for low, high in BANDS_HZ:
        inside = np.abs(spectrum[(hertz >= low) & (hertz < high)]).mean(axis=0)
        loudness = np.log1p(1000 * inside)
        rise = np.maximum(0, loudness[2:] - loudness[:-2])
        total[1:-1] += rise / rise.mean()
    widest = np.maximum.reduce([total[2:], total[1:-1], total[:-2]])
    return np.concatenate(([widest[0]], widest, [widest[-1]])) / widest.mean(), hop / rate


def gathered(attacks: Times, step_s: float, tempo_bpm: float) -> float:
    """Return the mean of the attack curve at the counts of a tempo that starts at 0."""
    counts = np.arange(0, len(attacks) * step_s - 1, 60 / tempo_bpm)
    return float(attacks[np.round(counts / step_s).astype(int)].mean())
