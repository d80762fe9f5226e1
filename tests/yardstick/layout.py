"""Where the sets lie. All audio stays outside the repository.

The root folder is ``$AQUATEMPO_YARDSTICK``, else ``aquatempo-yardstick`` in the user's
cache folder.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
ROOT = Path(os.environ.get("AQUATEMPO_YARDSTICK") or CACHE / "aquatempo-yardstick").absolute()
PACKAGES = ROOT / "packages"
CONTENT = ROOT / "content"
TRACKS = ROOT / "set"
ANSWERS = ROOT / "answers"
FONTS = CONTENT / "usr/share/sounds/sf2"
SAMPLE_AUDIO = Path(__file__).parents[2] / "sample_audio"

DEVELOPMENT = ("recorded", "midi", "tracker", "scaled")
SECOND = ("gm", "groove", "module", "loop", "lmms")
HELD = (
    "breaks",
    "machine",
    "classmix",
    "formmix",
    "othermix_a",
    "othermix_b",
    "othermix_c",
    "othermix_d",
    "stylemix",
    "sung",
    "sung_fresh",
    "further_a",
    "further_b",
    "further_c",
)
OURS = ("form", "fresh", "last", "hard", "mixes")
SETS = (*DEVELOPMENT, *SECOND, *HELD, *OURS, "sample")

Truth = dict[str, Any]


def audio_of(truth_file: Path) -> Path:
    """Return the audio that lies beside a truth file."""
    for ending in (".wav", ".ogg", ".mp3", ".flac"):
        if truth_file.with_suffix(ending).exists():
            return truth_file.with_suffix(ending)
    raise SystemExit(f"no audio beside {truth_file}")


def load_tracks(sets: tuple[str, ...], limit: int | None = None, every: int = 1) -> list[Truth]:
    """Return the truth records of the sets, each with ``set``, ``id`` and the path ``audio``."""
    tracks = []
    for name in sets:
        folder = SAMPLE_AUDIO if name == "sample" else TRACKS / name
        files = sorted(folder.glob("*.json"))
        if not files:
            raise SystemExit(f"no tracks in {folder}: build the set first (see README.md)")
        for file in files[::every][:limit]:
            truth = json.loads(file.read_text())
            tracks.append({**truth, "set": name, "id": file.stem, "audio": str(audio_of(file))})
    return tracks
