"""The styles of the form set and the hard set, read from the tables beside this file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from .arrangement import Style

LEVELS = ("low", "medium", "high")


def load_styles(table: str) -> dict[str, Style]:
    """Return the styles of a table by name, in its order."""
    text = Path(__file__).with_name(table).read_text(encoding="utf-8")
    return {name: style_of(name, row) for name, row in tomllib.loads(text).items()}


def style_of(name: str, row: dict[str, Any]) -> Style:
    """Return one style; a level that is missing is the medium one."""
    low, high = row.get("tempo_bpm", (60, 200))
    return Style(
        name=name,
        grooves={level: row["grooves"].get(level, row["grooves"]["medium"]) for level in LEVELS},
        basses={level: row["basses"].get(level, row["basses"]["medium"]) for level in LEVELS},
        comps={role: (str(steps), int(pitch)) for role, (steps, pitch) in row["comps"].items()},
        programs=dict(row["programs"]),
        progressions=tuple(row["progressions"]),
        scale=row["scale"],
        tempo_bpm=(float(low), float(high)),
        swing=row.get("swing", 0.5),
    )
