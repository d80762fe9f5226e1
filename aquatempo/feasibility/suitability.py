"""Whether the tempo of a song suits a shallow or a deep class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from aquatempo.feasibility.engine import judge_forms
from aquatempo.feasibility.inputs import FreeInputs, thresholds
from aquatempo.feasibility.tempo_curve import tempo_range
from aquatempo.moves import Catalogue, catalogue, parse_pattern, resolve
from aquatempo.records.moves import MoveKind
from aquatempo.records.origin import Origin
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.tempo_option import TempoOption

__all__ = ["Fit", "TrackFit", "fit_track"]

EDGE = 0.01  # share of a tempo: nearer than that to a range, a song stands at its edge


class Fit(StrEnum):
    """How a song suits a class."""

    SUITS = "suits"
    WITH_CHANGES = "suits with changes"
    NOT = "does not suit"


@dataclass(frozen=True, slots=True)
class TrackFit:
    """How a tempo suits a class, with the reason.

    range_bpm: what suits the depth and the age [beats/min]; speed: factor on the song that would
    bring it into the range, 1.0 if none is needed or allowed. full, short: names of
    base moves that keep full range in water tempo here, and that lose a fifth of it or more; a
    move in between is done a little smaller and stands in neither.
    """

    fit: Fit
    reason: str
    range_bpm: tuple[float, float]
    speed: float
    full: tuple[str, ...]
    short: tuple[str, ...]
    origins: tuple[tuple[str, Origin], ...]


def fit_track(
    tempo_bpm: float | None,
    pool: Pool | None = None,
    group: Group | None = None,
    moves: Sequence[str] = (),
    range_bpm: tuple[float, float] | None = None,
    inputs: FreeInputs | None = None,
    source: Catalogue | None = None,
) -> TrackFit:
    """Return how a song of some tempo [beats/min] suits the class of a pool.

    tempo_bpm [beats/min]; group: who they are; inputs: of the model.
    The range for depth and age decides suits or not; the model names the moves that lose
    range. tempo None: no beat was found. moves: keys to consider (default: the base moves of
    that depth). range_bpm: the user's own range instead of that. source:
    the catalogue in force (None: the packaged one).
    """
    pool, group = pool or Pool(), group or Group()
    low, high = range_bpm or tempo_range(pool, group)
    own = Origin.ENTERED if range_bpm else Origin.PUBLISHED
    origins = (("range_bpm", own), ("full", Origin.ESTIMATED), ("short", Origin.ESTIMATED))
    if tempo_bpm is None:
        return TrackFit(Fit.NOT, "no beat found", (low, high), 1.0, (), (), origins)
    full, short, rated = _moves_at(tempo_bpm, pool, group, moves, inputs, source or catalogue())
    nearest = float(np.clip(tempo_bpm, low, high))
    change = nearest / tempo_bpm - 1.0
    limits = thresholds()
    kind = pool.kind.value
    if change == 0.0:
        if 2 * len(short) <= rated:
            words = f"{tempo_bpm:.0f} lies in {low:.0f}-{high:.0f} for {kind}"
            return TrackFit(Fit.SUITS, words, (low, high), 1.0, full, short, origins)
        words = f"{len(short)} of {rated} moves lose range in water tempo"
        return TrackFit(Fit.WITH_CHANGES, words, (low, high), 1.0, full, short, origins)
    side = "at the edge of" if abs(change) <= EDGE else "above" if tempo_bpm > high else "below"
    words = f"{tempo_bpm:.0f} is {side} {low:.0f}-{high:.0f} for {kind}"
    how = "slower" if change < 0.0 else "faster"
    if abs(change) <= limits.speed_warn:
        heard = "" if abs(change) <= limits.speed_free else ", which is heard"
        words += f": play it {100 * abs(change):.1f} % {how}{heard}"
        return TrackFit(Fit.WITH_CHANGES, words, (low, high), 1.0 + change, full, short, origins)
    keep = "half water tempo" if change < 0.0 else "a cool-down or stretch"
    words += f", too far to play it {how}: another song, or this one for {keep}"
    return TrackFit(Fit.NOT, words, (low, high), 1.0, full, short, origins)


def _moves_at(
    tempo_bpm: float,
    pool: Pool,
    group: Group,
    moves: Sequence[str],
    inputs: FreeInputs | None,
    known: Catalogue,
) -> tuple[tuple[str, ...], tuple[str, ...], int]:
    if not 40.0 <= tempo_bpm <= 240.0:
        return (), (), 0
    kinds = {MoveKind.BASE, MoveKind.DEEP_ONLY} if pool.kind is ClassDepth.DEEP else {MoveKind.BASE}
    keys = moves or [key for key, move in known.moves.items() if move.kind in kinds]
    chosen = [known.move(key) for key in keys if pool.kind in known.move(key).depths]
    forms = [resolve(move, None, pool.kind, known) for move in chosen]
    grid = judge_forms(forms, [parse_pattern(TempoOption.WATER)], [tempo_bpm], pool, group, inputs)
    kept = grid.range_kept[:, 0, 0, 1]
    rated = grid.rated[:, 0]
    limits = thresholds()
    names = [move.name for move in chosen]
    full = tuple(
        n for n, k, r in zip(names, kept, rated, strict=True) if r and k >= limits.full_range
    )
    short = tuple(
        n for n, k, r in zip(names, kept, rated, strict=True) if r and k < limits.a_little_short
    )
    return full, short, int(np.count_nonzero(rated))
