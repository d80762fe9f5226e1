"""Cue timelines as JSON, and back; docs/data_format.md documents every key."""

from __future__ import annotations

import json

from aquatempo.errors import InputError
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plain import from_plain, to_plain

__all__ = ["CUES_SCHEMA", "cue_json", "read_cue_json"]

CUES_SCHEMA = "aquatempo/cues/1"


def cue_json(timeline: CueTimeline) -> str:
    """Return a timeline as one JSON object, indented, with its schema name first."""
    plain = to_plain(timeline)
    assert isinstance(plain, dict)  # a record is always a table
    return json.dumps({"schema": CUES_SCHEMA, **plain}, ensure_ascii=False, indent=1) + "\n"


def read_cue_json(text: str) -> CueTimeline:
    """Return the timeline that ``cue_json`` wrote; it is equal to the one written.

    Raises InputError for what is not JSON, not this schema, or not a timeline.
    """
    try:
        data = json.loads(text)
    except ValueError as exc:
        raise InputError(f"not JSON ({exc}): needs a cue timeline written by export") from exc
    schema = data.pop("schema", None) if isinstance(data, dict) else None
    if schema != CUES_SCHEMA:
        raise InputError(
            f"schema {schema!r}: needs {CUES_SCHEMA!r} (another version, or another file?)"
        )
    return from_plain(CueTimeline, data)
