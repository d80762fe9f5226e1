"""Cue timelines as captions: WebVTT, the W3C's Web Video Text Tracks Format."""

from __future__ import annotations

from aquatempo.exports.labels import labels
from aquatempo.exports.stints import stint_ends_s, stint_with_left
from aquatempo.records.cues import Change, Cue, CueKind, CueTimeline

__all__ = ["webvtt"]


def webvtt(timeline: CueTimeline) -> str:
    """Return captions that say what is called, in brackets what is shown, then the move.

    A call stays until the next one starts, because a word of a quarter of a second
    could not be read; from count 1 on the move stays until the next call. In intervals the
    first line tells work or rest, its set and the seconds that are left of it.
    """
    facts = f"{timeline.title or timeline.file}, {timeline.tempo_bpm:.1f} bpm"
    blocks = ["WEBVTT", f"NOTE {_plain(facts)}"]
    ends_s = stint_ends_s(timeline.changes)
    words = labels(timeline.language)
    for number, cue in enumerate(timeline.cues):
        change = timeline.changes[cue.change]
        later = timeline.cues[number + 1 : number + 2]
        end_s = later[0].time_s if later else change.end_s
        times = f"{_stamp(cue.time_s)} --> {_stamp(end_s)}"
        text = _text(cue, change, timeline.language)
        index = cue.change if cue.kind is CueKind.COUNT_ONE else cue.change - 1
        under_way = timeline.changes[index].stint if index >= 0 else None
        if under_way is not None:
            text = f"{stint_with_left(under_way, ends_s[index] - cue.time_s, words)}\n{text}"
        blocks.append(f"{number + 1} {cue.kind}\n{times}\n{text}")
    return "\n\n".join(blocks) + "\n"


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
