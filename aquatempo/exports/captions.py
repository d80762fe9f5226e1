"""Cue timelines as captions: WebVTT, the W3C's Web Video Text Tracks Format."""

from __future__ import annotations

from itertools import pairwise
from math import ceil

from aquatempo.exports.labels import labels
from aquatempo.exports.stints import change_under_way, stint_ends_s, stint_with_left
from aquatempo.records.cues import Change, Cue, CueKind, CueTimeline

__all__ = ["webvtt"]

TICK_S = 5.0  # how often the seconds that are left are told anew: one reads it at a glance
LEAST_TICK_S = 1.0  # shorter than this no caption can be read


def webvtt(timeline: CueTimeline) -> str:
    """Return captions that say what is called, in brackets what is shown, then the move.

    A call stays until the next one starts, because a word of a quarter of a second
    could not be read; from count 1 on the move stays until the next call. In intervals the
    first line tells work or rest, its set and the seconds that are left of it, anew every 5 s.
    """
    facts = f"{timeline.title or timeline.file}, {timeline.tempo_bpm:.1f} bpm"
    blocks = ["WEBVTT", f"NOTE {_plain(facts)}"]
    ends_s = stint_ends_s(timeline.changes)
    words = labels(timeline.language)
    for number, cue in enumerate(timeline.cues):
        change = timeline.changes[cue.change]
        later = timeline.cues[number + 1 : number + 2]
        end_s = later[0].time_s if later else change.end_s
        text = _text(cue, change, timeline.language)
        index = change_under_way(cue)
        under_way = timeline.changes[index].stint if index >= 0 else None
        starts_s = [cue.time_s]
        if under_way is not None:
            starts_s += _ticks_s(cue.time_s, end_s, ends_s[index])
        for start_s, stop_s in pairwise([*starts_s, end_s]):
            told = text
            if under_way is not None:
                told = f"{stint_with_left(under_way, ends_s[index] - start_s, words)}\n{text}"
            name = f"{number + 1} {cue.kind}" if start_s == cue.time_s else f"{number + 1} goes on"
            blocks.append(f"{name}\n{_stamp(start_s)} --> {_stamp(stop_s)}\n{told}")
    return "\n\n".join(blocks) + "\n"


def _ticks_s(start_s: float, end_s: float, turn_end_s: float) -> list[float]:
    """Return when to tell anew what is left of a turn: at whole fives of seconds [s]."""
    first = int((turn_end_s - start_s - LEAST_TICK_S) // TICK_S)
    last = ceil((turn_end_s - end_s + LEAST_TICK_S) / TICK_S)
    return [turn_end_s - TICK_S * left for left in range(first, last - 1, -1)]


def _text(cue: Cue, change: Change, language: str) -> str:
    if cue.kind is CueKind.COUNT_ONE:
        side = ""
        if change.mirrored_lead:
            words = labels(language)
            side = words["leads"].format(side=words[change.lead], own=words[change.mirrored_lead])
        return ", ".join(
            _plain(part)
            for part in (change.name, side, *change.style_names, change.tempo_name)
            if part
        )
    lines = [_plain(cue.words)] if cue.words else []
    return "\n".join([*lines, f"[{_plain(cue.sign)}]"])


def _stamp(time_s: float) -> str:
    """Return a time as hours, minutes, seconds and milliseconds."""
    seconds, milliseconds = divmod(round(time_s * 1000), 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{milliseconds:03d}"


def _plain(text: str) -> str:
    """Return text on one line, with the characters that are markup in a cue escaped."""
    one_line = " ".join(text.split())
    return one_line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
