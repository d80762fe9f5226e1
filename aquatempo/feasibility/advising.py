"""What to change when a move falls short: tempo option, then variation, then the song."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from aquatempo.feasibility.engine import judge_forms
from aquatempo.feasibility.inputs import FreeInputs, thresholds
from aquatempo.moves import Catalogue, catalogue, parse_pattern, resolve
from aquatempo.records.moves import Factor, MoveForm, Variation
from aquatempo.records.people import Group, Pool
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.verdict import Advice

__all__ = ["advice_for"]

_SMALLER = "small"
_Asked: TypeAlias = tuple[Pool, Group, FreeInputs, float | None]


def advice_for(
    form: MoveForm,
    pattern_text: str,
    tempo_bpm: float,
    max_tempo_bpm: float | None,
    pool: Pool,
    group: Group,
    inputs: FreeInputs,
    source: Catalogue | None = None,
    bout_s: float | None = None,
) -> tuple[Advice, ...]:
    """Return up to three things to change, in the order that costs a class least.

    form, pattern_text, tempo_bpm [beats/min]: what falls short; pool, group, inputs: for whom
    and with what.
    max_tempo_bpm: highest tempo for full range with this pattern, None if unlimited.
    source: the catalogue in force (None: the packaged one). bout_s: as for ``judge``.
    """
    known = source or catalogue()
    found = [
        _tempo_option(form, pattern_text, tempo_bpm, (pool, group, inputs, bout_s)),
        _variation(form, pattern_text, tempo_bpm, (pool, group, inputs, bout_s), known),
        _song_speed(tempo_bpm, max_tempo_bpm),
    ]
    return tuple(advice for advice in found if advice is not None)


def _tempo_option(form: MoveForm, text: str, tempo_bpm: float, asked: _Asked) -> Advice | None:
    slowest = max(step.moving_counts for step in parse_pattern(text).steps)
    slower = [option for option in TempoOption if option.counts > slowest]
    if not slower:
        return None
    grid = judge_forms([form], [parse_pattern(option) for option in slower], [tempo_bpm], *asked)
    limits = thresholds()
    for option, kept in zip(slower, grid.range_kept[0, :, 0, 1], strict=True):
        if kept >= limits.full_range:
            return Advice("tempo option", f"{option.words}: {option} counts a movement, full range")
    kept = float(grid.range_kept[0, -1, 0, 1])
    option = slower[-1]
    return Advice("tempo option", f"{option.words}: {option} counts a movement keeps {kept:.0%}")


def _variation(
    form: MoveForm, text: str, tempo_bpm: float, asked: _Asked, known: Catalogue
) -> Advice | None:
    """Return the easier move or smaller range, if it keeps its full range here."""
    pool = asked[0]
    others: list[tuple[MoveForm, str]] = []
    changed = {factor for factor, _ in form.variation.changes}
    if form.move.key in known.moves and Factor.RANGE not in changed:
        small = Variation(form.move.key, (*form.variation.changes, (Factor.RANGE, _SMALLER)))
        others.append((resolve(form.move, small, pool.kind, known), "range small"))
    easier = known.moves.get(form.move.easier)
    if easier is not None and pool.kind in easier.depths:
        others.append((resolve(easier, None, pool.kind, known), f"{easier.name.lower()} instead"))
    if not others:
        return None
    forms = [other for other, _ in others]
    grid = judge_forms(forms, [parse_pattern(text)], [tempo_bpm], *asked)
    kept = grid.range_kept[:, 0, 0, 1]
    best = int(np.argmax(kept >= thresholds().full_range))
    if kept[best] < thresholds().full_range:
        best = int(np.argmax(kept))
    return Advice("variation", f"{others[best][1]}: keeps {kept[best]:.0%} of its range")


def _song_speed(tempo_bpm: float, max_tempo_bpm: float | None) -> Advice | None:
    if max_tempo_bpm is None or not 0 < max_tempo_bpm < tempo_bpm:
        return None
    limits = thresholds()
    change = 1.0 - max_tempo_bpm / tempo_bpm
    if change > limits.speed_warn:
        return None
    noticed = "" if change <= limits.speed_free else "; the change is heard"
    return Advice(
        "song speed", f"slow the song by {change:.1%} to {max_tempo_bpm:.0f} bpm{noticed}"
    )
