"""Kind lmms: demonstration songs of a workstation, rendered by it. Beats follow from its tempo."""

from __future__ import annotations

import os
import subprocess
import tempfile
import zlib
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import soundfile as sf

from ..devset import sounding_span
from ..layout import ROOT
from .rows import Row, one, save_track

LIMIT_S = 100.0
TRIES = 4
"""The workstation crashes now and then while it ends; a file left by a crash is not taken."""
WORKSTATION = ROOT / "workstation"
PROJECTS = WORKSTATION / "usr/share/lmms/projects"


def make(row: Row) -> None:
    """Build one track. Keys: file, counts_per_beat where the project's beat is not the count."""
    path = one(PROJECTS, row["file"])
    count_s = 60 / (tempo_of(path) * row.get("counts_per_beat", 1))
    with tempfile.TemporaryDirectory() as folder:
        wave = Path(folder, "song.wav")
        render(path, wave, Path(folder))
        rate = sf.info(wave).samplerate
        samples, _ = sf.read(wave, always_2d=True, stop=int(LIMIT_S * rate))
    beats = np.arange(0, len(samples) / rate, count_s)
    span = sounding_span(samples, rate, 0.02)
    save_track("lmms", row, samples, rate, (beats, beats[::4]), span)


def tempo_of(path: Path) -> float:
    """Return the tempo [beats/min] of a project; refuse one that may change it.

    A tempo that a curve or a controller drives is an element of its own with an identity; one
    that stays is an attribute.
    """
    data = path.read_bytes()
    if path.suffix == ".mmpz":  # four bytes of length, then deflated text
        data = zlib.decompress(data[4:])
    head = ElementTree.fromstring(data).find("head")
    if head is None or "bpm" not in head.attrib:
        raise SystemExit(f"{path}: the tempo is driven by something, so its beats are not known")
    return float(head.attrib["bpm"])


def render(path: Path, wave: Path, home: Path) -> None:
    """Let the workstation render a project, without a screen and with settings of its own."""
    below = WORKSTATION / "usr/lib" / library_folder()
    libraries = [below, below / "lmms", below / "pulseaudio", WORKSTATION / "lib" / below.name]
    environment = {
        **os.environ,
        "HOME": str(home),
        "LD_LIBRARY_PATH": ":".join(str(folder) for folder in libraries),
        "LADSPA_PATH": f"{WORKSTATION / 'usr/lib/ladspa'}:{below / 'lmms/ladspa'}",
        "QT_QPA_PLATFORM": "offscreen",
        "QT_QPA_PLATFORM_PLUGIN_PATH": str(below / "qt5/plugins/platforms"),
    }
    wishes = ["-f", "wav", "-s", "44100", "-i", "sincfastest", "-x", "1", "-o", str(wave)]
    command = [str(WORKSTATION / "usr/bin/lmms"), "--allowroot", "render", str(path), *wishes]
    for _ in range(TRIES):
        done = subprocess.run(
            command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True
        )
        if done.returncode == 0 and wave.exists():
            return
    raise SystemExit(f"{path}: exit status {done.returncode}: {done.stdout[-300:]}")


def library_folder() -> str:
    """Return the name of the folder of shared libraries on this processor."""
    return one(WORKSTATION / "usr/lib", "libQt5Core.so.5").parent.name
