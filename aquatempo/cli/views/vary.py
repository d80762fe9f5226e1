"""A ladder of variations, for people."""

from __future__ import annotations

from rich.console import Console

from aquatempo.cli.views.judge import ESTIMATE
from aquatempo.cli.views.table import show_table
from aquatempo.cli.views.words import pool_words
from aquatempo.records.people import Pool
from aquatempo.records.variation import JudgedLadder, JudgedRung
from aquatempo.units import percent

__all__ = ["show_ladder"]


def show_ladder(console: Console, ladder: JudgedLadder, pool: Pool) -> None:
    """Show the variations of a move from easier to harder.

    console: the terminal; ladder: judged variations; pool: judged for.
    """
    console.print(
        f"{ladder.move} at {ladder.tempo_bpm:.1f} bpm, {pool_words(pool)}, easier to harder:"
    )
    show_table(
        console,
        ("changed", "variation", "effort", "RPE", "impact", "range", "verdict", "why"),
        [_row(rung, ladder.move) for rung in ladder.rungs],
        numbers=("effort", "RPE", "range"),
        free_text="why",
    )
    base = next((rung for rung in ladder.rungs if not rung.factor), None)
    for caution in base.verdict.cautions if base else ():
        console.print(f"{ladder.move}: {caution}.")
    console.print(
        "effort: difference in MET from the base move; RPE 6 to 20; for the middle of the group."
    )
    console.print(ESTIMATE)


def _row(rung: JudgedRung, move: str) -> tuple[str, ...]:
    changed = rung.factor or "(base move)"
    kept = percent(rung.verdict.range_kept.median)
    name = rung.name.removeprefix(f"{move}, ")
    effort = f"{rung.step_met:+.1f}", f"{rung.verdict.rpe.median:.0f}"
    impact = rung.verdict.impact.value
    return changed, name, *effort, impact, kept, rung.verdict.rating.value, rung.why
