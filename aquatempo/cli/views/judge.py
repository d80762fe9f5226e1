"""Verdicts on moves, for people."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from aquatempo.cli.views.table import show_table
from aquatempo.cli.views.words import pool_words
from aquatempo.records.people import Pool
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.verdict import Rating, Verdict
from aquatempo.units import percent

__all__ = ["ESTIMATE", "show_verdicts"]

ESTIMATE = (
    "Estimates from physics and published tables, for planning. They clear nobody for anything: "
    "follow the site's rules, and a health professional for each participant."
)
FEW = 4  # forms of moves that are shown in detail rather than in a grid
OPTION_NAMES = {option.value: option.words.removesuffix(" tempo") for option in TempoOption}


def show_verdicts(
    console: Console, tempo_bpm: float, pool: Pool, verdicts: Sequence[Verdict]
) -> None:
    """Show verdicts: few moves in detail, many as a grid of moves by tempo option.

    console: the terminal; tempo_bpm: of the music [beats/min]; pool: judged for.
    """
    console.print(f"At {tempo_bpm:.1f} bpm, {pool_words(pool)}:")
    forms: dict[tuple[str, object], list[Verdict]] = {}
    for verdict in verdicts:
        forms.setdefault((verdict.name, verdict.variation), []).append(verdict)
    shapes = {tuple(verdict.pattern for verdict in some) for some in forms.values()}
    if len(forms) > FEW and len(shapes) == 1:
        _show_grid(console, list(forms.values()))
        console.print("Name a move (--move) for its figures, cautions and what else to change.")
    else:
        _show_details(console, verdicts)
        cautions = dict.fromkeys((v.name, caution) for v in verdicts for caution in v.cautions)
        for name, caution in cautions:
            console.print(f"{name}: {caution}.")
    console.print(ESTIMATE)


def _show_grid(console: Console, forms: Sequence[Sequence[Verdict]]) -> None:
    patterns = [verdict.pattern for verdict in forms[0]]
    headings = ["move", *(OPTION_NAMES.get(text, text) for text in patterns), "what to do"]
    rows = [
        [some[0].name, *(_cell(verdict) for verdict in some), _what_to_do(some)] for some in forms
    ]
    show_table(console, headings, rows, free_text="what to do")
    console.print("full: full range; %: the share of it that is kept; no: not feasible.")


def _show_details(console: Console, verdicts: Sequence[Verdict]) -> None:
    headings = (
        *("move", "tempo option", "range kept", "weak to strong", "verdict", "limited by"),
        *("full range up to", "effort (RPE 6-20)", "what to change"),
    )
    rows = [
        (
            verdict.name,
            OPTION_NAMES.get(verdict.pattern, verdict.pattern),
            percent(verdict.range_kept.median),
            f"{percent(verdict.range_kept.low)} to {percent(verdict.range_kept.high)}",
            verdict.rating.value,
            verdict.limited_by,
            _highest(verdict),
            f"{verdict.rpe.low:.0f} to {verdict.rpe.high:.0f}",
            verdict.advice[0].words if verdict.advice else "",
        )
        for verdict in verdicts
    ]
    show_table(console, headings, rows, numbers=("range kept",), free_text="what to change")


def _cell(verdict: Verdict) -> str:
    if verdict.rating is Rating.FULL:
        return "full"
    if verdict.rating is Rating.NOT_RATED:
        return verdict.rating.value
    mark = {Rating.SHORT: " short", Rating.NOT_FEASIBLE: " no"}.get(verdict.rating, "")
    return f"{percent(verdict.range_kept.median)}{mark}"


def _what_to_do(some: Sequence[Verdict]) -> str:
    """Return the quickest option that keeps full range, or the first advice on the last one."""
    for verdict in some:
        if verdict.rating is Rating.FULL:
            option = OPTION_NAMES.get(verdict.pattern, verdict.pattern)
            limit = verdict.max_full_range_tempo_bpm
            return option if limit is None else f"{option}, up to {limit:.0f} bpm"
    advice = some[-1].advice
    return advice[0].words if advice else f"limited by {some[-1].limited_by}"


def _highest(verdict: Verdict) -> str:
    highest = verdict.max_full_range_tempo_bpm
    return "any tempo" if highest is None else f"{highest:.0f} bpm"
