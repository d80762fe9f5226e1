"""The cache of analyses, by what the audio holds and by what shaped the analysis."""

from __future__ import annotations

import contextlib
import hashlib
import json
from pathlib import Path

from aquatempo.errors import InputError, OutputError
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.store.files import write_whole
from aquatempo.store.folders import cache_folder

__all__ = ["load_analysis", "save_analysis"]

KEPT_A_TRACK = 4  # readings of one track: some expected tempos, not every old version


def load_analysis(content_key: str, method: str) -> RhythmAnalysis | None:
    """Return the remembered analysis of a track, or None.

    method: text that names everything that shaped the analysis, such as its version and the
    expected tempo. What is damaged or was shaped otherwise is as good as absent. content_key:
    of the track's audio.
    """
    try:
        data = json.loads(_path(content_key, method).read_bytes())
        if not isinstance(data, dict) or data.get("method") != method:
            return None
        return from_plain(RhythmAnalysis, data.get("analysis"))
    except (OSError, ValueError, RecursionError, InputError):
        return None


def save_analysis(content_key: str, method: str, analysis: RhythmAnalysis) -> bool:
    """Remember an analysis; return whether it could be written.

    A cache that cannot be written costs time in the next run, and stops nothing. content_key:
    of the track's audio; method: as for ``load_analysis``.
    """
    path = _path(content_key, method)
    text = json.dumps({"method": method, "analysis": to_plain(analysis)}, allow_nan=False)
    try:
        write_whole(path, text.encode())
    except OutputError:
        return False
    with contextlib.suppress(OSError):
        readings = sorted(path.parent.glob(f"{content_key}-*.json"), key=_modified)
        for old in readings[:-KEPT_A_TRACK]:
            old.unlink()
    return True


def _path(content_key: str, method: str) -> Path:
    digest = hashlib.blake2b(method.encode(), digest_size=6).hexdigest()
    return cache_folder() / "analyses" / f"{content_key}-{digest}.json"


def _modified(path: Path) -> int:
    return path.stat().st_mtime_ns
