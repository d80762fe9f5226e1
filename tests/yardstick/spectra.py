"""What the spectra of one song cost, ours and librosa's: time, memory, loading.

Run ``python -m yardstick.spectra`` in tests. Each is measured in a process of its own, on four
minutes of invented sound; times are seconds of the processor, so that other work on the machine
counts little. The first run after an installation compiles parts of librosa and takes longer.
"""

from __future__ import annotations

import subprocess
import sys

SECONDS = 240
COMMON = f"""
import resource, sys
def used():
    told = resource.getrusage(resource.RUSAGE_SELF)
    return told.ru_utime + told.ru_stime, told.ru_maxrss / 1024
import numpy as np
samples = np.random.default_rng(1).normal(size={SECONDS} * 22050).astype(np.float32) / 10
start, before = used()
"""
OURS = """
from aquatempo.rhythm import features
features.extract(samples[:22050])
loaded, _ = used()
features.extract(samples[at : at + 65536] for at in range(0, len(samples), 65536))
"""
LIBROSA = """
import librosa
def spectra(part):
    mel = librosa.feature.melspectrogram(
        y=part, sr=22050, n_fft=1024, hop_length=220, n_mels=80, fmin=30, fmax=10000, htk=True,
        norm=None,
    )
    wide = np.abs(librosa.stft(part, n_fft=4096, hop_length=880)) ** 2
    return np.sqrt(mel).astype(np.float16), np.sqrt(wide).astype(np.float16)
spectra(samples[:22050])
loaded, _ = used()
spectra(samples)
"""
CONSTANT_Q = """
import librosa
def spectrum(part):
    return librosa.cqt(part, sr=22050, hop_length=1024, fmin=41.2, n_bins=64, tuning=0.0)
spectrum(samples[:22050])
loaded, _ = used()
spectrum(samples)
"""
REPORT = "\nend, most = used()\nprint(loaded - start, end - loaded, most - before)\n"


def measured(code: str) -> tuple[float, float, float]:
    """Return (seconds to load, seconds to compute, MiB above the samples) of some code.

    code: leaves the time after loading in ``loaded``.
    """
    run = subprocess.run(
        [sys.executable, "-c", COMMON + code + REPORT],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    load_s, compute_s, mib = map(float, run.stdout.split())
    return load_s, compute_s, mib


if __name__ == "__main__":
    print(f"{SECONDS} s of sound           load [s]  compute [s]  memory [MiB]")
    for name, code in (
        ("ours, in blocks", OURS),
        ("librosa mel + STFT", LIBROSA),
        ("librosa constant-Q", CONSTANT_Q),
    ):
        load_s, compute_s, mib = min(measured(code) for _ in range(3))
        print(f"{name:22} {load_s:9.2f} {compute_s:12.2f} {mib:13.0f}")
