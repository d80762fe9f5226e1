"""The tables of this folder, and saving what is built from a row of one.

A table ``KIND.toml`` holds ``[packages.NAME]`` with ``licence`` and, where files are read
from it, ``folder``; ``[tracks]`` with a list of rows for each package; gm and groove also
``[banks]``, with ``training`` true where the network was trained on that bank. Keys of a row:

name       identity of the track
bars       trust in count 1 of the bars: high, medium (a convention), none (no truth)
arguable   true where half or double the tempo would be as good an answer
tags       words by which tracks are reported together
note       what is known of the piece
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from ..devset import Times, keep, save
from ..layout import CONTENT, SECOND

Row = dict[str, Any]
PLAIN: Row = {"bars": "high", "arguable": False, "tags": [], "note": ""}
STEADY_S = 0.005
"""Beats that stay within this of their median interval are called steady: rows of modules are
known to 1.5 ms, and the wandering songs move by 7 ms or more."""


def table(kind: str) -> dict[str, Any]:
    """Return the whole table of a kind."""
    return tomllib.loads(Path(__file__).with_name(f"{kind}.toml").read_text(encoding="utf-8"))


def rows(kind: str) -> list[Row]:
    """Return the rows of a kind, each with its ``package``, ``licence`` and ``folder``."""
    content = table(kind)
    return rows_of(content["tracks"], content["packages"])


def rows_of(tracks_of: dict[str, list[Row]], known_packages: dict[str, Row]) -> list[Row]:
    """Return the rows of a table of tracks by package, with what is known of the package."""
    found = []
    for package, tracks in tracks_of.items():
        known = known_packages[package]
        for track in tracks:
            row = {**PLAIN, "package": package, "licence": known.get("licence"), **track}
            found.append({**row, "folder": CONTENT / known.get("folder", "")})
    return found


def packages() -> list[str]:
    """Return the packages that all kinds read from, sound banks too, but the workstation's."""
    found = set()
    for kind in SECOND:
        content = table(kind)
        found |= set(content["packages"]) - {"lmms-common"}  # comes with the workstation
        found |= {bank["package"] for bank in content.get("banks", {}).values()}
    return sorted(found)


def one(folder: Path, pattern: str) -> Path:
    """Return the only file below the folder that fits the pattern."""
    found = [path for path in folder.rglob(pattern) if path.is_file()]
    if len(found) != 1:
        raise SystemExit(f"{len(found)} files {pattern} in {folder}, need 1: run build_second.sh")
    return found[0]


def save_track(
    kind: str,
    row: Row,
    samples: Times,
    rate: int,
    grid: tuple[Times, Times],
    span_s: tuple[float, float],
    **more: str,
) -> None:
    """Save a track with what of its grid (beats, counts 1) [s] lies where music sounds.

    The tempo is the mean over beats, a bar cut short left out. more: further keys of the
    truth.
    """
    beats = keep(grid[0], *span_s)
    intervals = np.diff(beats)
    usual = float(np.median(intervals))
    tempo = 60 / float(intervals[np.abs(intervals - usual) < 0.05 * usual].mean())
    about = {
        "beat_trust": "high",
        "downbeat_trust": row["bars"],
        "steady": bool(np.abs(intervals - usual).max() < STEADY_S),
        "level_arguable": row["arguable"],
        "source": row["package"],
        "licence": row["licence"],
        "tags": row["tags"],
        "notes": row["note"],
        **more,
    }
    bars = keep(grid[1], *span_s) if row["bars"] != "none" else np.array([])
    save(kind, row["name"], samples, rate, tempo, beats, bars, about)
