"""What was heard in a track, for people."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.marks import energy_strip
from aquatempo.cli.views.table import show_table
from aquatempo.cli.views.words import form_words, tempo_words
from aquatempo.records.doubt import doubt_of
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.steadiness import tempi_in_turn
from aquatempo.records.track import Track
from aquatempo.units import clock, percent

__all__ = ["show_track", "show_tracks"]

LEAST_ODDS = 0.01  # less is not worth a look
SAME_TEMPO = 0.02  # share: nearer than this, an alternative is the tempo itself, less finely put


def show_track(console: Console, track: Track) -> None:
    """Show one track in full: tempo, how sure, each phrase.

    console: the terminal.
    """
    heard = track.analysis
    console.print(Text(one_line(track.title), style="bold"))
    for line in _summary(heard):
        console.print(line)
    if track.corrected:
        console.print("Your corrections are applied.")
    if heard.phrases:
        console.print(energy_strip(console, heard.phrases))
        show_table(
            console,
            ("starts", "counts", "kind", "energy"),
            [
                (clock(p.start_s, tenths=True), str(p.counts), p.kind.value, p.energy_level.value)
                for p in heard.phrases
            ],
            numbers=("starts", "counts"),
        )
    for note in (*heard.notes, *filter(None, [doubt_of(heard, track.file)])):
        console.print(f"Note: {one_line(note)}")


def show_tracks(console: Console, tracks: Sequence[Track]) -> None:
    """Show several tracks, one a row.

    console: the terminal.
    """
    rows = [
        (
            track.title,
            tempo_words(track.analysis),
            percent(track.analysis.confidence),
            "steady" if track.analysis.steady else "varies",
            form_words(track.analysis.phrases),
        )
        for track in tracks
    ]
    show_table(
        console,
        ("track", "bpm", "sure", "tempo", "phrases in counts"),
        rows,
        numbers=("bpm", "sure"),
        free_text="phrases in counts",
        spare=("tempo", "sure"),
    )


def _summary(heard: RhythmAnalysis) -> list[str]:
    if heard.tempo_bpm is None:
        return [f"No beat was heard in {clock(heard.duration_s, tenths=True)}."]
    lines = [
        f"{heard.tempo_bpm:.2f} bpm, {_steadiness(heard)}; "
        f"{heard.beats_per_bar or '?'} beats a bar; {clock(heard.duration_s, tenths=True)} long.",
        f"Sure of the tempo: {percent(heard.tempo_confidence)}; "
        f"of tempo and count 1: {percent(heard.confidence)}.",
    ]
    others = [
        f"{other.tempo_bpm:.1f} ({percent(other.odds)})"
        for other in heard.tempo_alternatives
        if other.odds >= LEAST_ODDS and abs(other.tempo_bpm / heard.tempo_bpm - 1) > SAME_TEMPO
    ]
    if others:
        lines.append(f"Could also be counted at {', '.join(others)} bpm.")
    inferred = sum(heard.beats_inferred)
    if inferred:
        lines.append(f"{inferred} of {len(heard.beats_s)} beats are not played but carried on.")
    return lines


def _steadiness(heard: RhythmAnalysis) -> str:
    if heard.steady:
        return "steady"
    if told := tempi_in_turn(heard.tempo_sections):
        return f"not all through: {told}"
    return f"the tempo varies by {heard.tempo_drift_percent:.1f} %"
