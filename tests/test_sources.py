"""Every published number can be traced."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
TABLES = sorted(
    path for part in ("water", "feasibility") for path in ROOT.glob(f"aquatempo/{part}/data/*.csv")
)
KEYS = set(
    re.findall(r"^\| ([a-z0-9-]+) \|", (ROOT / "docs/sources.md").read_text("utf-8"), re.MULTILINE)
) - {"key"}


def _sources(node: Any) -> list[str]:
    if isinstance(node, dict):
        found = [node["source"]] if isinstance(node.get("source"), str) else []
        return found + [key for value in node.values() for key in _sources(value)]
    return []


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_tables_say_where_they_are_from(path: Path) -> None:
    """Each table names source, table, population and unit, and its source key resolves."""
    header = [line for line in path.read_text("utf-8").splitlines() if line.startswith("# ")]
    named = dict(line[2:].split(": ", 1) for line in header)
    assert {"source", "table", "population", "unit"} <= set(named)
    assert named["source"] in KEYS


def test_source_keys_of_free_inputs_and_values_resolve() -> None:
    """Source keys in TOML data of water and feasibility, and names of equations, resolve."""
    files = [
        p for part in ("water", "feasibility") for p in ROOT.glob(f"aquatempo/{part}/data/*.toml")
    ]
    assert len(files) >= 5
    for path in files:
        data = tomllib.loads(path.read_text("utf-8"))
        unknown = set(_sources(data)) - KEYS
        assert not unknown, f"{path.name}: {unknown}"
    for name in ("water-properties", "siri-1961", "friend-2018"):
        data = tomllib.loads((ROOT / f"aquatempo/water/data/{name}.toml").read_text("utf-8"))
        assert set(data) - {"pool"} <= KEYS


def test_sources_are_sorted_and_say_how_they_were_seen() -> None:
    """The list of sources is in order of its keys, without doubles, each with how it was seen."""
    text = (ROOT / "docs/sources.md").read_text("utf-8")
    rows = [line.split(" | ") for line in text.splitlines() if re.match(r"^\| [a-z0-9-]+ \|", line)]
    keys = [row[0].removeprefix("| ") for row in rows if not row[0].endswith(" key")]
    assert keys == sorted(set(keys))
    assert all(len(row) == 4 for row in rows)
