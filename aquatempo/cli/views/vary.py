"""A ladder of variations, for people."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from aquatempo.cli.views.judge import ESTIMATE, grade_of
from aquatempo.cli.views.marks import graded
from aquatempo.cli.views.table import show_table
from aquatempo.cli.views.words import kept_words, pool_words
from aquatempo.records.people import Pool
from aquatempo.records.variation import JudgedLadder, JudgedRung

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
        [_row(console, rung, ladder.move) for rung in ladder.rungs],
        numbers=("effort", "RPE"),
        free_text="why",
        spare=("verdict", "impact", "RPE", "changed"),
        whole=("range",),
    )
    base = next((rung for rung in ladder.rungs if not rung.factor), None)
    for caution in base.verdict.cautions if base else ():
        console.print(f"{ladder.move}: {caution}.")
    console.print(
        "effort: difference in MET from the base move; RPE 6 to 20; for the middle of the group."
    )
    console.print(ESTIMATE)


def _row(console: Console, rung: JudgedRung, move: str) -> tuple[str | Text, ...]:
    changed = rung.factor or "(base move)"
    kept = kept_words(rung.verdict)
    name = rung.name.removeprefix(f"{move}, ")
    step = 0.0 if abs(rung.step_met) < 0.05 else rung.step_met  # never -0.0
    effort = f"{step:+.1f}" if step else "0.0", f"{rung.verdict.rpe.median:.0f}"
    impact = rung.verdict.impact.value
    told = graded(console, kept, grade_of(rung.verdict))
    return changed, name, *effort, impact, told, rung.verdict.rating.value, rung.why
