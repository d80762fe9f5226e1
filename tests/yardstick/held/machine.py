"""Set machine: demonstration songs of a drum machine (hydrogen-data, GPL), played by its kits.

Read from the songs' own files: patterns, velocities, swing and spread in time; the sounds are
the layers that a velocity asks for. Each song is also played at other tempi than its own.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile as sf

from ..layout import CONTENT
from ..second.rows import PLAIN, save_track

DATA = CONTENT / "usr/share/hydrogen/data"
RATE_HZ = 44_100
TICKS_A_COUNT = 48
LONGEST_S = 100.0
SHORTEST_S = 60.0
TEMPI_BPM = {"": None, "_slow": 0.9, "_fast": 1.15}
"""Names and shares of the tempo: other tempi than the song's own are within a class's range."""
SPREAD_S = 0.006  # of a stroke in time, at the full humanising of a song

Sound = npt.NDArray[np.float64]


def make() -> None:
    """Build all songs at all tempi."""
    for path in sorted((DATA / "demo_songs").glob("*.h2song")):
        song = plain(ET.parse(path).getroot())
        for suffix, share in TEMPI_BPM.items():
            tempo = float(song.findtext("bpm") or 120) * (share or 1.0)
            build(path.stem + suffix, song, tempo)


def plain(root: ET.Element) -> ET.Element:
    """Return a tree whose names have no namespace."""
    for element in root.iter():
        element.tag = re.sub(r"\{.*\}", "", element.tag)
    return root


def build(name: str, song: ET.Element, tempo_bpm: float) -> None:
    """Play one song again and again until it is long enough, and save it with its grid."""
    rng = np.random.default_rng(len(name))
    patterns = {one.findtext("name"): one for one in song.findall(".//patternList/pattern")}
    sequence = [
        [patterns[part.text] for part in group]
        for group in song.findall(".//patternSequence/group")
    ]
    count_s = 60 / tempo_bpm
    swing = float(song.findtext("swing_factor") or 0.0)
    spread_s = SPREAD_S * float(song.findtext("humanize_time") or 0.0)
    samples = np.zeros((int((LONGEST_S + 4) * RATE_HZ), 2))
    bar_s, turns = 0.0, 0
    while bar_s < SHORTEST_S or turns == 0:
        for group in sequence:
            if bar_s > LONGEST_S - 8:
                break
            ticks = max(int(one.findtext("size") or 192) for one in group)
            for one in group:
                for note in one.findall(".//note"):
                    place = int(note.findtext("position") or 0)
                    late = swing * TICKS_A_COUNT / 4 * 2 / 3 * (place % 24 == 12)
                    time_s = bar_s + (place + late) / TICKS_A_COUNT * count_s
                    time_s += float(rng.normal(0, spread_s)) if spread_s else 0.0
                    strike(samples, song, note, max(time_s, 0.0))
            bar_s += ticks / TICKS_A_COUNT * count_s
        turns += 1
    beats = np.arange(0, bar_s - 1e-6, count_s)
    told = {
        **PLAIN,
        "name": name,
        "package": "hydrogen-data",
        "licence": "GPL-2+",
        "tags": ["drum machine"],
    }
    end_s = min(bar_s, LONGEST_S)
    samples = samples[: int((end_s + 0.5) * RATE_HZ)]
    save_track("machine", told, samples, RATE_HZ, (beats, beats[::4]), (0.0, end_s - 0.05))


def strike(samples: Sound, song: ET.Element, note: ET.Element, time_s: float) -> None:
    """Add one stroke to the samples in place."""
    velocity = float(note.findtext("velocity") or 0.8)
    for instrument in song.findall(".//instrumentList/instrument"):
        if instrument.findtext("id") != note.findtext("instrument"):
            continue
        if instrument.findtext("isMuted") == "true":
            return
        kit = instrument.findtext("drumkit") or instrument.findtext("drumkitLookup") or ""
        for layer in instrument.iter("layer"):
            low, high = float(layer.findtext("min") or 0), float(layer.findtext("max") or 1)
            if low <= velocity <= high:
                sound = take(kit, layer.findtext("filename") or "")
                first = int(time_s * RATE_HZ)
                stop = min(first + len(sound), len(samples))
                level = velocity * float(instrument.findtext("volume") or 1)
                samples[first:stop] += sound[: stop - first] * level
                return


@cache
def take(kit: str, filename: str) -> Sound:
    """Return a sample of a kit, stereo at ``RATE_HZ``."""
    path = DATA / "drumkits" / kit / Path(filename).name
    sound, rate = sf.read(path, always_2d=True)
    if rate != RATE_HZ:
        count = int(len(sound) * RATE_HZ / rate)
        at = np.arange(count) * rate / RATE_HZ
        sound = np.column_stack([np.interp(at, np.arange(len(sound)), c) for c in sound.T])
    return np.asarray(np.broadcast_to(sound[:, :2], (len(sound), 2)))
