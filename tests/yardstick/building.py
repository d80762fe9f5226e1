"""Build the sets of this folder: audio and truth below the root folder.

    cd tests && python -m yardstick.building form hard mixes [--only NAME]

Nothing depends on the time or the machine; two builds with the same packages agree.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import soundfile as sf
from scipy import signal
from studio.drums import RATE_HZ
from studio.mix import Stereo

from . import forms
from .arrangement import Piece, notes_of
from .layout import OURS, TRACKS
from .rendering import render
from .timing import perform, truth_of


def build_piece(piece: Piece) -> tuple[Stereo, dict[str, Any]]:
    """Return the finished audio and truth of one song."""
    performance = perform(piece, notes_of(piece))
    samples = render(piece, performance.soundings, performance.end_s)
    if performance.fade_from_s is not None:
        t = np.arange(len(samples)) / RATE_HZ
        left = (performance.end_s - t) / (performance.end_s - performance.fade_from_s)
        samples = samples * (np.clip(left, 0, 1) ** 2)[:, None]
    return degrade(samples, piece), truth_of(piece, performance)


def degrade(samples: Stereo, piece: Piece) -> Stereo:
    """Return the samples through a low-pass, noise and mp3, as the song asks."""
    wishes = piece.render
    if wishes.low_pass_hz:
        sos = signal.butter(4, wishes.low_pass_hz, "lowpass", fs=RATE_HZ, output="sos")
        samples = np.asarray(signal.sosfilt(sos, samples, axis=0))
    if wishes.noise_db is not None:
        rng = np.random.default_rng(piece.seed + 3)
        noise = np.cumsum(rng.standard_normal(samples.shape), axis=0)
        sos = signal.butter(1, (120, 4000), "bandpass", fs=RATE_HZ, output="sos")
        noise = np.asarray(signal.sosfilt(sos, noise, axis=0))
        level = np.sqrt(np.mean(samples**2)) / np.sqrt(np.mean(noise**2))
        samples = samples + noise * level * 10 ** (wishes.noise_db / 20)
    if wishes.mp3_kbps:
        samples = through_mp3(samples, wishes.mp3_kbps)
    return samples


def through_mp3(samples: Stereo, kbps: int) -> Stereo:
    """Return the samples as they come back from an mp3 of about that bit rate, in place.

    The encoder's delay is measured and taken off, so that the truth stays exact and no
    system is judged by how its decoder treats that delay.
    """
    import av

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "song.mp3")
        with av.open(str(path), "w") as container:
            stream = container.add_stream("libmp3lame", rate=RATE_HZ)
            stream.bit_rate = kbps * 1000
            scaled = np.ascontiguousarray(np.clip(samples, -1, 1).T.astype(np.float32))
            frame = av.AudioFrame.from_ndarray(scaled, format="fltp", layout="stereo")
            frame.sample_rate = RATE_HZ
            for packet in [*stream.encode(frame), *stream.encode(None)]:
                container.mux(packet)
        decoded, _ = sf.read(path, always_2d=True)
    span = 20 * RATE_HZ
    before, after = samples[:span].mean(axis=1), decoded[:span].mean(axis=1)
    overlap = signal.correlate(after, before, mode="full", method="fft")
    lag = int(np.argmax(overlap)) - (len(before) - 1)
    placed = np.zeros_like(samples)
    source = decoded[max(0, lag) :][: len(samples)]
    placed[max(0, -lag) : max(0, -lag) + len(source)] = source[: len(placed) - max(0, -lag)]
    return placed


def save(folder: Path, name: str, samples: Stereo, truth: dict[str, Any]) -> None:
    """Write 16-bit WAV below -0.5 dB and the truth beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    samples = samples * min(1.0, 0.94 / float(np.abs(samples).max()))
    sf.write(folder / f"{name}.wav", samples.astype(np.float32), RATE_HZ, subtype="PCM_16")
    save_truth(folder, name, truth)


def save_truth(folder: Path, name: str, truth: dict[str, Any]) -> None:
    """Write the truth of a track and say what it is."""
    (folder / f"{name}.json").write_text(json.dumps(truth) + "\n")
    length, beats = truth["duration_s"], len(truth["beats_s"])
    print(f"{name:40}{length:7.1f} s {truth['tempo_bpm']:7.2f} bpm {beats:5} beats", flush=True)


def main() -> None:
    """Build the sets asked for."""
    parser = argparse.ArgumentParser(description="Build the form set, the hard set and the mixes.")
    parser.add_argument("sets", nargs="+", choices=OURS)
    parser.add_argument("--only", help="build tracks whose name has this in it")
    options = parser.parse_args()
    for name in options.sets:
        if name == "mixes":
            from . import mixes

            mixes.build(TRACKS / name, options.only)
            continue
        if name in forms.DRAWS:
            chosen = forms.pieces(name)
        else:
            from . import hard

            chosen = hard.pieces()
        for piece in chosen:
            if options.only is None or options.only in piece.name:
                save(TRACKS / name, piece.name, *build_piece(piece))


if __name__ == "__main__":
    main()
