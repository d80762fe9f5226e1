"""A class plan, for people."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.judge import ESTIMATE
from aquatempo.cli.views.table import show_table
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.tempo_option import TempoOption
from aquatempo.units import clock, percent
from aquatempo.workflow.planning import block_names

__all__ = ["show_plan"]


def show_plan(console: Console, plan: ClassPlan, own_moves: str | None = None) -> None:
    """Show the tracks in order with what is done in them, then what to know about the plan.

    console: the terminal; own_moves: the user's catalogue file, for names.
    """
    console.print(Text(one_line(plan.brief.title), style="bold"))
    minutes = 0.0
    for track in plan.tracks:
        heading = (
            f"\n{clock(60.0 * minutes)} {track.part}: {one_line(track.title)}, {_tempo(track)}"
        )
        console.print(Text(heading, style="bold"))
        rows = list(_rows(track, minutes, own_moves))
        show_table(
            console,
            ("at", "counts", "what", "how"),
            rows,
            numbers=("at", "counts"),
            free_text="how",
        )
        minutes += sum(phrase.counts for phrase in track.phrases) / (track.tempo_bpm * track.speed)
    for note in plan.notes:
        console.print(f"{one_line(note)}.")
    for left_out in plan.left_out:
        console.print(f"Left out: {one_line(left_out.title)}: {one_line(left_out.reason)}.")
    console.print(f"{_search(plan)}\n{ESTIMATE}")


def _rows(
    track: PlannedTrack, minute: float, own_moves: str | None
) -> Iterator[tuple[str, str, str, str]]:
    """Yield what is done in a row of phrases, one row for as long as it stays the same."""
    tempo = track.tempo_bpm * track.speed

    def same(phrase: PlannedPhrase) -> tuple[str, tuple[tuple[str, str], ...]]:
        return phrase.kind.value, tuple(_words(block, own_moves) for block in phrase.blocks)

    for (kind, blocks), run in groupby(track.phrases, key=same):
        phrases = list(run)
        times = f"{len(phrases)} x " if len(phrases) > 1 else ""
        counts = "+".join(str(block.counts) for block in phrases[0].blocks)
        names = list(dict.fromkeys(name for name, _ in blocks))
        how = "; ".join(dict.fromkeys(detail for _, detail in blocks if detail))
        between = "" if kind == "phrase" else f"{kind}: "
        yield clock(60.0 * minute), f"{times}{counts}", f"{between}{', '.join(names)}", how
        minute += sum(phrase.counts for phrase in phrases) / tempo


def _words(block: Block, own_moves: str | None) -> tuple[str, str]:
    """Return the move, and how it is done, in words."""
    name, options = block_names(block, own_moves)
    details = list(options)
    if block.pattern != TempoOption.WATER and not dict(block.variation).get("tempo"):
        details.append(f"counts {block.pattern}")
    details += [block.lead] if block.lead else []
    details += [f"show {block.show}"] if block.show else []
    return name, ", ".join(details)


def _tempo(track: PlannedTrack) -> str:
    words = f"{track.tempo_bpm * track.speed:.0f} bpm"
    if track.speed != 1.0:
        words += f", played {track.speed - 1.0:+.1%} ({one_line(track.speed_reason)})"
    return words


def _search(plan: ClassPlan) -> str:
    if plan.status == "optimal":
        return "Each stage of the search is proven best."
    return f"The search stopped early: a better plan may cost up to {percent(plan.gap)} less."
