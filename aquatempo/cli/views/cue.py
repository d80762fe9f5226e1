"""A cue timeline, for people."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.table import show_table
from aquatempo.records.cues import Change, CueKind, CueTimeline
from aquatempo.units import clock

__all__ = ["show_timeline"]


def show_timeline(console: Console, timeline: CueTimeline) -> None:
    """Show changes and calls in order of time.

    console: the terminal; timeline: changes and calls of the track.
    """
    console.print(Text(f"{one_line(timeline.title)}, {timeline.tempo_bpm:.1f} bpm", style="bold"))
    for note in timeline.notes:
        console.print(f"Note: {one_line(note)}")
    rows = []
    for cue in timeline.cues:
        starts = cue.kind is CueKind.COUNT_ONE
        words = _change_words(timeline.changes[cue.change]) if starts else cue.words
        call = "GO" if starts else cue.kind.value
        if cue.sign and not starts:
            words = f"{words} (sign: {cue.sign})" if words else cue.sign
        rows.append((clock(cue.time_s, tenths=True), str(cue.count), call, words))
    show_table(
        console,
        ("time", "count", "call", "words and sign"),
        rows,
        numbers=("time", "count"),
        free_text="words and sign",
    )


def _change_words(change: Change) -> str:
    """Return what starts: the move, what is changed in it, how it is counted, for how long."""
    lead = f", {change.lead} leg leads" if change.lead else ""
    parts = (change.name, *change.variation_names, f"{change.tempo_name} ({change.pattern})")
    return f"{', '.join(part for part in parts if part)}{lead}: {change.counts} counts"
