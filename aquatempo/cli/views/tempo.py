"""Conversions as tables."""

from __future__ import annotations

from rich.console import Console

from aquatempo.cli.views.table import show_table
from aquatempo.records.conversion import CadenceTable, ConversionTable, TappedTempo

__all__ = ["show_cadence", "show_conversion", "show_tapped"]


def show_conversion(console: Console, table: ConversionTable) -> None:
    """Show what a music tempo means in the water.

    console: the terminal; table: of tempo options.
    """
    console.print(
        f"{table.tempo_bpm:g} bpm: a beat lasts {table.beat_s:.3f} s, "
        f"an eight {table.eight_s:.2f} s, a phrase of 32 counts {table.phrase_s:.2f} s.\n"
        f"Counted at half or double: {table.half_tempo_bpm:g} or {table.double_tempo_bpm:g} bpm."
    )
    rows = [
        (
            option.name,
            option.count_lengths,
            f"{option.movements_per_minute:.1f}",
            f"{option.seconds_per_movement:.2f}",
            _round(option.eights_to_count_1, option.fills_phrase),
        )
        for option in table.options
    ]
    show_table(
        console,
        ("tempo option", "a movement takes", "movements a min", "s a movement", "on count 1 again"),
        rows,
        numbers=("movements a min", "s a movement"),
        free_text="on count 1 again",
        spare=("s a movement",),
    )
    if any(len({s.moving_counts + s.held_counts for s in o.steps}) > 1 for o in table.options):
        console.print("For combined patterns: the mean over one round of the pattern.")


def show_cadence(console: Console, table: CadenceTable) -> None:
    """Show the music tempos that give one cadence.

    console: the terminal; table: of music tempos.
    """
    console.print(f"{table.movements_per_minute:g} movements a minute come from music at:")
    show_table(
        console,
        ("tempo option", "a movement takes", "music bpm"),
        [(o.name, o.count_lengths, f"{o.tempo_bpm:.1f}") for o in table.options],
        numbers=("music bpm",),
    )


def show_tapped(console: Console, tapped: TappedTempo) -> None:
    """Show a tapped tempo and how sure it is.

    console: the terminal.
    """
    skipped = f", {tapped.skipped_beats} beats not tapped" if tapped.skipped_beats else ""
    console.print(
        f"Tapped {tapped.tempo_bpm:.1f} bpm, give or take {tapped.uncertainty_bpm:.1f} "
        f"({tapped.taps} taps, {tapped.scatter_ms:.0f} ms from an even beat{skipped})."
    )


def _round(eights: int, fills_phrase: bool) -> str:
    after = "every eight" if eights == 1 else f"every {eights} eights"
    return after if fills_phrase else f"{after}, which no phrase of 32 holds"
