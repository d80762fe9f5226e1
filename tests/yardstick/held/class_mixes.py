"""Sets classmix and formmix: songs of set last, and of form, joined as for a class.

Eight mixes of up to nine songs: 64 joins of classmix. The phrases of the songs are known; each is
played faster or slower by up to 6 % (pitch moves too) so that all of a mix have one tempo, or
one that moves by half a beat a minute from song to song. A song begins at one of its phrases;
four in five end with one, others are cut after 8, 16 or 24 counts. From the join on, the next song
is there at once or fades in, while the last one fades out over 0 to 32 counts.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile as sf

from ..building import save
from ..layout import TRACKS, Truth, load_tracks

MIXES = 8
SONGS = 9
STRETCH = 0.06
RATE_HZ = 44_100
FADES = (0, 8, 16, 32)  # counts
KINDS = {"classmix": ("last", 9300), "formmix": ("form", 9600)}
"""Where the songs of a set come from, and its first seed."""
EVEN_RMS = 0.1

Sound = npt.NDArray[np.float64]


def make(kind: str = "classmix") -> None:
    """Build all mixes of a kind: classmix of set last, formmix of set form."""
    source, first_seed = KINDS[kind]
    songs = [song for song in load_tracks((source,)) if song.get("steady", True)]
    for number in range(MIXES):
        name = f"{kind}_{number}"
        samples, truth = mix(name, first_seed, number, songs)
        save(TRACKS / kind, name, samples, truth)


def mix(
    name: str, first_seed: int, number: int, songs: Sequence[Truth]
) -> tuple[Sound, dict[str, Any]]:
    """Return the sound and truth of one mix of some songs whose phrases are known.

    Songs that tell their loudness (``rms``) are made equally loud, as programs for mixing do.
    """
    rng = np.random.default_rng(first_seed + number)
    tempo_bpm = float(rng.uniform(112, 138))
    drifts = number % 2 == 1
    near = [
        song
        for song in songs
        if abs(song["tempo_bpm"] / tempo_bpm - 1) < STRETCH and starts_of(song)
    ]
    chosen = rng.permutation(len(near))[:SONGS]
    out = np.zeros((int(SONGS * 80 * RATE_HZ), 2))
    truth: dict[str, Any] = {"beats_s": [], "downbeats_s": [], "phrases": [], "splices_s": []}
    sections: list[dict[str, float]] = []
    now_s, fade = 0.0, 0
    for place, index in enumerate(chosen.tolist()):
        song = near[index]
        period_s = 60 / tempo_bpm
        first, stop = stretch_of(rng, song)
        after = int(rng.choice(FADES)) if place < len(chosen) - 1 else 0
        sound = played(song, first, stop + after, tempo_bpm)
        body = round((stop - first) * period_s * RATE_HZ)
        tail = max(len(sound) - body, 0)
        if tail:
            sound[body:] *= np.cos(np.linspace(0, np.pi / 2, tail))[:, None]
        if fade and rng.random() < 0.5:
            head = min(round(fade * period_s * RATE_HZ), body)
            sound[:head] *= np.sin(np.linspace(0, np.pi / 2, head))[:, None]
        at = round(now_s * RATE_HZ)
        out[at : at + len(sound)] += (
            EVEN_RMS / song["rms"] * sound if "rms" in song else 0.7 * sound
        )
        told(truth, song, first, stop, now_s, period_s)
        if place:
            truth["splices_s"].append(round(now_s, 4))
        end_s = now_s + (stop - first) * period_s
        sections.append({"start_s": now_s, "end_s": end_s, "tempo_bpm": tempo_bpm})
        now_s, fade = end_s, after
        tempo_bpm += 0.5 * drifts
    truth |= {
        "title": name,
        "tempo_bpm": max(sections, key=lambda part: part["end_s"] - part["start_s"])["tempo_bpm"],
        "beats_per_bar": 4,
        "duration_s": round(now_s + 0.5, 3),
        "bridges": [one for one in truth["phrases"] if one["kind"] == "bridge"],
        "tempo_sections": sections,
        "steady": not drifts,
        "level_arguable": False,
        "tags": ["mix"],
        "notes": "joined on count 1: " + ", ".join(near[index]["id"] for index in chosen),
    }
    return out[: round((now_s + 0.5) * RATE_HZ)], json.loads(json.dumps(truth))


def starts_of(song: Truth) -> list[int]:
    """Return the beats at which a whole phrase starts that has at least two more after it."""
    whole = [one for one in song["phrases"] if one["kind"] == "phrase" and one["counts"] == 32]
    return [one["start_beat"] for one in whole[:-2]]


def stretch_of(rng: np.random.Generator, song: Truth) -> tuple[int, int]:
    """Return the first beat played and the one after the last: two to four phrases or so."""
    first = int(rng.choice(starts_of(song)[:3]))
    ends = [
        one["start_beat"] + one["counts"]
        for one in song["phrases"]
        if one["kind"] == "phrase" and 64 <= one["start_beat"] + one["counts"] - first <= 150
    ]
    stop = int(rng.choice(ends)) if ends else first + 64
    return first, stop - int(rng.choice((8, 16, 24))) if rng.random() < 0.2 else stop


def played(song: Truth, first: int, stop: int, tempo_bpm: float) -> Sound:
    """Return the beats first to stop of a song, resampled to a tempo."""
    sound, rate = sf.read(song["audio"], always_2d=True)
    begin_s = song["beats_s"][first]
    speed = tempo_bpm / song["tempo_bpm"]
    count = round((stop - first) * 60 / tempo_bpm * RATE_HZ)
    at = (begin_s + np.arange(count) / RATE_HZ * speed) * rate
    at = at[at < len(sound) - 1]
    return np.column_stack([np.interp(at, np.arange(len(sound)), channel) for channel in sound.T])


def told(
    truth: dict[str, Any], song: Truth, first: int, stop: int, now_s: float, period_s: float
) -> None:
    """Add the beats, bars and phrases of a part to the truth of the mix."""
    base = len(truth["beats_s"])
    truth["beats_s"] += [round(now_s + beat * period_s, 4) for beat in range(stop - first)]
    for one in song["phrases"]:
        start, end = max(one["start_beat"], first), min(one["start_beat"] + one["counts"], stop)
        if end <= start:
            continue
        whole = start == one["start_beat"] and end - start == one["counts"]
        kind = one["kind"] if whole and one["kind"] in ("phrase", "break") else "bridge"
        truth["downbeats_s"] += [
            round(now_s + (beat - first) * period_s, 4) for beat in range(start, end, 4)
        ]
        truth["phrases"].append(
            {
                "start_s": round(now_s + (start - first) * period_s, 4),
                "end_s": round(now_s + (end - first) * period_s, 4),
                "start_beat": base + start - first,
                "counts": end - start,
                "kind": kind,
            }
        )
