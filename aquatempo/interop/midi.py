"""Timelines as pretty_midi objects."""

from __future__ import annotations

import io
from typing import Any

from aquatempo.exports.midi import midi_file
from aquatempo.interop.missing import optional
from aquatempo.records.cues import CueTimeline

__all__ = ["to_pretty_midi"]


def to_pretty_midi(timeline: CueTimeline) -> Any:  # noqa: ANN401  the library publishes no types
    """Return a timeline as ``pretty_midi.PrettyMIDI``: tempo map, a click a beat, calls as lyrics.

    Times are as played [s]: beats of the file lie within 0.1 ms of the timeline's. Raises
    MissingExtraError without pretty_midi, InputError without beats. timeline: of one track.
    """
    library = optional("pretty_midi", "a pretty_midi object")
    return library.PrettyMIDI(io.BytesIO(midi_file(timeline)))
