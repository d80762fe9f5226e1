"""Reads the packaged tables of published numbers."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

__all__ = ["Table", "read_table", "read_values"]


@dataclass(frozen=True, slots=True)
class Table:
    """A published table: where it is from, and its rows as text by column."""

    source: str
    table: str
    population: str
    unit: str
    rows: tuple[dict[str, str], ...]

    def numbers(self, key: str, column: str, **where: str) -> dict[str, float]:
        """Return {row[key]: float(row[column])} of the rows that match ``where``."""
        return {
            row[key]: float(row[column])
            for row in self.rows
            if row[column] and all(row[name] == value for name, value in where.items())
        }


@cache
def read_table(name: str, package: str = "aquatempo.water") -> Table:
    """Return the packaged table ``data/<name>.csv`` of a part.

    package: whose ``data`` folder it lies in.

    >>> read_table("drillis-contini-1966").numbers("quantity", "fraction")["hip height"]
    0.53
    """
    text = files(package).joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    lines = text.splitlines()
    header = dict(line.removeprefix("# ").split(": ", 1) for line in lines if line.startswith("# "))
    rows = tuple(csv.DictReader(line for line in lines if not line.startswith("#")))
    return Table(header["source"], header["table"], header["population"], header["unit"], rows)


@cache
def read_values(name: str, package: str = "aquatempo.water") -> dict[str, Any]:
    """Return the packaged file ``data/<name>.toml`` of a part.

    package: whose ``data`` folder it lies in.
    """
    return tomllib.loads(
        files(package).joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    )
