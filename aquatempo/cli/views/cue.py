"""A cue timeline, for people."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.table import show_table
from aquatempo.records.cues import Change, CueKind, CueTimeline
from aquatempo.units import clock

__all__ = ["show_timeline"]

# A timeline is read by whom its calls are for: in their language.
_WORDS = {
    "en": {
        "note": "Note", "time": "time", "count": "count", "call": "call", "go": "GO",
        "words": "words and sign", "sign": "sign", "counts": "counts",
        "right": "right leg leads", "left": "left leg leads",
    },
    "de": {
        "note": "Hinweis", "time": "Zeit", "count": "Zählzeit", "call": "Ansage", "go": "LOS",
        "words": "Worte und Zeichen", "sign": "Zeichen", "counts": "Zählzeiten",
        "right": "rechtes Bein führt", "left": "linkes Bein führt",
        "warn": "vorwarnen", "preview": "zeigen", "countdown": "zählen", "name": "nennen",
    },
}  # fmt: skip


def show_timeline(console: Console, timeline: CueTimeline) -> None:
    """Show changes and calls in order of time.

    console: the terminal; timeline: changes and calls of the track.
    """
    words = _WORDS.get(timeline.language, _WORDS["en"])
    console.print(Text(f"{one_line(timeline.title)}, {timeline.tempo_bpm:.1f} bpm", style="bold"))
    for note in timeline.notes:
        console.print(f"{words['note']}: {one_line(note)}")
    rows = []
    for cue in timeline.cues:
        starts = cue.kind is CueKind.COUNT_ONE
        told = _change_words(timeline.changes[cue.change], words) if starts else cue.words
        call = words["go"] if starts else words.get(cue.kind.value, cue.kind.value)
        if cue.sign and not starts:
            told = f"{told} ({words['sign']}: {cue.sign})" if told else cue.sign
        rows.append((clock(cue.time_s, tenths=True), str(cue.count), call, told))
    time, count, free = words["time"], words["count"], words["words"]
    headings = (time, count, words["call"], free)
    show_table(console, headings, rows, numbers=(time, count), free_text=free)


def _change_words(change: Change, words: Mapping[str, str]) -> str:
    """Return what starts: the move, what is changed in it, how it is counted, for how long."""
    lead = f", {words[change.lead]}" if change.lead else ""
    parts = (change.name, *change.style_names, f"{change.tempo_name} ({change.pattern})")
    told = ", ".join(part for part in parts if part)
    return f"{told}{lead}: {change.counts} {words['counts']}"
