"""Build the development set from free game music in Debian packages.

    cd tests && PEERS/python -m yardstick.devset [recorded midi tracker scaled]

Recordings charted by their artist (fretsonfire-songs-sectoid, MIT), MIDI songs
(simutrans-data, Artistic-1.0) rendered with FluidR3 (fluid-soundfont-gm, MIT), tracker modules
(tecnoballz-data, GPL-3+). Nothing is random: two builds from the same packages agree.
"""

from __future__ import annotations

import json
import sys
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pretty_midi
import soundfile as sf
from numpy.typing import NDArray

from .devset_render import RATE_HZ, render_midi, render_module
from .layout import CONTENT, DEVELOPMENT, FONTS, TRACKS

GAMES = CONTENT / "usr/share/games"
SONGS = GAMES / "fretsonfire/data/songs/sectoid"
MIDI = GAMES / "simutrans/music"
MODULES = GAMES / "tecnoballz/musics"
CRASHES = (49, 57, 55, 52)
TABLE = json.loads(Path(__file__).with_name("devset.json").read_text(encoding="utf-8"))
"""What is known of each song: shift of the author's grid, trust in beats and bars, notes."""

Times = NDArray[np.float64]


def make_recorded() -> None:
    """Make the recordings.

    Their charts are a constant 25 to 41 ms early over the whole song, measured against the
    attacks; the grid is shifted by that much.
    """
    for folder, row in TABLE["recorded"].items():
        song, rate = sf.read(SONGS / folder / "song.ogg", always_2d=True)
        guitar, _ = sf.read(SONGS / folder / "guitar.ogg", always_2d=True)
        mix = np.zeros((max(len(song), len(guitar)), 2))
        mix[: len(song)] += song
        mix[: len(guitar)] += guitar
        chart = pretty_midi.PrettyMIDI(str(SONGS / folder / "notes.mid"))
        tempo = float(chart.get_tempo_changes()[1][0])
        count = int(len(mix) / rate * tempo / 60) + 1
        grid = np.arange(count) * 60 / tempo + row["shift_s"]
        start, end = sounding_span(mix, rate, 0.03)
        bars = keep(grid[::4], start, end) if row["downbeats"] != "none" else np.array([])
        about = {
            "beat_trust": row["beats"],
            "downbeat_trust": row["downbeats"],
            "licence": "MIT (Expat)",
            "notes": f"author's grid moved by {row['shift_s'] * 1000:.0f} ms; {row['note']}",
        }
        save("recorded", folder, mix, rate, tempo, keep(grid, start, end), bars, about)


def make_midi() -> None:
    """Make the game songs: the first 110 s."""
    for name, row in TABLE["midi"].items():
        save_midi("midi", name, name, 110, row)


def make_scaled() -> None:
    """Make six of those songs at other tempi: the first 80 s."""
    for tempo, names in TABLE["scaled"].items():
        for name in names:
            row = {"downbeats": "high", "note": f"re-timed to {tempo} bpm"}
            save_midi("scaled", f"{name}_{tempo}", name, 80, row, float(tempo))


def make_tracker() -> None:
    """Make the modules: four rows a beat, a bar is 16 rows from the start of the pattern."""
    for name in TABLE["tracker"]:
        samples, times, rows = render_module(MODULES / f"{name}.mod", 90)
        start, end = sounding_span(samples, RATE_HZ, 0.02)
        beats = times[rows % 4 == 0]
        if np.ptp(np.diff(beats)) > 0.02:
            raise SystemExit(f"{name}: the tempo is not constant")
        tempo = 60 * (len(beats) - 1) / (beats[-1] - beats[0])
        about = {
            "beat_trust": "high",
            "downbeat_trust": "medium",
            "licence": "GPL-3+",
            "notes": "level of the beat and bars are a convention of such modules",
        }
        bars = keep(times[rows % 16 == 0], start, end)
        save("tracker", name, samples, RATE_HZ, tempo, keep(beats, start, end), bars, about)


def save_midi(
    set_name: str,
    identity: str,
    name: str,
    limit_s: float,
    row: dict[str, str],
    tempo_bpm: float | None = None,
) -> None:
    """Render one MIDI song and save it with its beats, downbeats and hints of phrases."""
    font = FONTS / "FluidR3_GM.sf2"
    samples, midi, tempo = render_midi(MIDI / f"{name}.mid", font, limit_s, tempo_bpm)
    notes = [note.start for instrument in midi.instruments for note in instrument.notes]
    start, end = min(notes), min(max(notes), len(samples) / RATE_HZ)
    beats, downbeats = midi.get_beats(), midi.get_downbeats()
    changes = midi.get_tempo_changes()[0]
    if len(changes) > 1:  # a set-up measure at another tempo comes first
        beats = beats[beats >= changes[-1] - 1e-3]
        downbeats = downbeats[downbeats >= changes[-1] - 1e-3]
        start = max(start, changes[-1])
    bars = keep(downbeats, start, end)
    about = {
        "beat_trust": "high",
        "downbeat_trust": row["downbeats"],
        "licence": "Artistic-1.0",
        "notes": row["note"],
        "phrase_hints_s": rounded(phrase_hints(midi, bars, end)),
    }
    save(set_name, identity, samples, RATE_HZ, tempo, keep(beats, start, end), bars, about)


def phrase_hints(midi: Any, downbeats: Times, end_s: float) -> Times:
    """Return every eighth bar where crash cymbals agree on which one; else nothing. Weak truth."""
    crashes = [
        note.start
        for drums in midi.instruments
        if drums.is_drum
        for note in drums.notes
        if note.pitch in CRASHES and note.start < end_s
    ]
    if len(downbeats) <= 16:
        return np.array([])
    bars = {
        int(np.abs(downbeats - time).argmin())
        for time in crashes
        if np.abs(downbeats - time).min() < 0.04
    }
    votes = np.bincount(np.array(sorted(bars), dtype=int) % 8, minlength=8)
    clear = len(bars) >= 4 and votes.max() >= max(3, votes.sum() / 2)
    if not clear or np.sort(votes)[-2] == votes.max():
        return np.array([])
    return downbeats[int(votes.argmax()) :: 8]


def sounding_span(samples: Times, rate: int, threshold: float) -> tuple[float, float]:
    """Return (start, end) [s] of what is louder than ``threshold`` times the loud parts."""
    step = rate // 20
    peak = np.abs(samples).max(axis=1)[: len(samples) // step * step].reshape(-1, step)
    level = np.sqrt((peak**2).mean(axis=1))
    loud = np.flatnonzero(level > threshold * np.percentile(level, 95))
    return float(loud[0] * step / rate), float((loud[-1] + 1) * step / rate)


def keep(times: Times, start_s: float, end_s: float) -> Times:
    """Return the times from 50 ms before ``start_s`` up to ``end_s``."""
    return np.asarray(times[(times >= start_s - 0.05) & (times <= end_s)])


def rounded(times: Times) -> list[float]:
    """Return times to a tenth of a millisecond."""
    return [round(float(time), 4) for time in times]


def save(
    set_name: str,
    identity: str,
    samples: Times,
    rate: int,
    tempo: float,
    beats: Sequence[float] | Times,
    downbeats: Times,
    about: dict[str, Any],
) -> None:
    """Write one track: 16-bit WAV at -1 dB peak, and its truth."""
    identity = identity.lower().replace(" ", "_")
    folder = TRACKS / set_name
    folder.mkdir(parents=True, exist_ok=True)
    audio = (samples * (0.89 / np.abs(samples).max())).astype(np.float32)
    sf.write(folder / f"{identity}.wav", audio, rate, subtype="PCM_16")
    truth = {
        "title": identity,
        "duration_s": round(len(samples) / rate, 3),
        "tempo_bpm": tempo,
        "beats_per_bar": 4,
        **about,
        "beats_s": rounded(np.asarray(beats)),
        "downbeats_s": rounded(downbeats),
    }
    (folder / f"{identity}.json").write_text(json.dumps(truth) + "\n")
    print(f"{set_name:9}{identity:36}{truth['duration_s']:6.0f} s {tempo:7.2f} bpm", flush=True)


MAKERS = {
    "recorded": make_recorded,
    "midi": make_midi,
    "tracker": make_tracker,
    "scaled": make_scaled,
}

if __name__ == "__main__":
    warnings.filterwarnings("ignore", category=RuntimeWarning, module="pretty_midi")
    for chosen in sys.argv[1:] or DEVELOPMENT:
        MAKERS[chosen]()
