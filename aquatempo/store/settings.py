"""Small things that the page remembers: settings, opened folders. One JSON file each."""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import TypeVar

from aquatempo.errors import InputError
from aquatempo.files import write_whole
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.store.folders import data_folder

__all__ = ["load_setting", "save_setting"]

Record = TypeVar("Record")


def load_setting(name: str, usual: Record) -> Record:
    """Return the record remembered under a name, or the usual one where none can be read.

    Fields of it that are damaged or new count as usual.
    """
    try:
        data = json.loads(_path(name).read_bytes())
    except (OSError, ValueError, RecursionError):
        return usual
    if not isinstance(data, dict):
        return usual
    with contextlib.suppress(InputError):
        return from_plain(type(usual), data)
    plain = to_plain(usual)
    assert isinstance(plain, dict)
    for key in plain:
        with contextlib.suppress(InputError):
            from_plain(type(usual), {**plain, key: data.get(key, plain[key])})
            plain[key] = data.get(key, plain[key])
    return from_plain(type(usual), plain)


def save_setting(name: str, record: object) -> None:
    """Remember a record under a name. Raises OutputError."""
    write_whole(_path(name), json.dumps(to_plain(record), indent=1).encode())


def _path(name: str) -> Path:
    return data_folder() / "page" / f"{name}.json"
