"""The history of each track's corrections, so that undo has no end and outlives a restart."""

from __future__ import annotations

import json
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.files import write_whole
from aquatempo.records.ear import EarJournal
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.store.folders import data_folder

__all__ = ["load_journal", "save_journal"]


def load_journal(content_key: str) -> EarJournal | None:
    """Return the journal of a track, None where there is none that can be read."""
    try:
        journal = from_plain(EarJournal, json.loads(_path(content_key).read_bytes()))
    except (OSError, ValueError, RecursionError, InputError):
        return None
    return journal if 0 <= journal.at < len(journal.states) else None


def save_journal(content_key: str, journal: EarJournal) -> None:
    """Write the journal of the track with a content_key. Raises OutputError."""
    text = json.dumps(to_plain(journal), separators=(",", ":"))
    write_whole(_path(content_key), text.encode())


def _path(content_key: str) -> Path:
    return data_folder() / "history" / f"{content_key}.json"
