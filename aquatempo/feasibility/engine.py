"""Many verdicts at once: forms x patterns x tempos for one pool and group."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.feasibility.combining import Allowed, Persons, combined
from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.group_figures import GroupFigures, figures_of
from aquatempo.feasibility.inputs import FreeInputs, free_inputs
from aquatempo.feasibility.law import TEMPI_BPM, TEMPO_RANGE_BPM
from aquatempo.feasibility.limb_tables import LimbTable, limb_table
from aquatempo.feasibility.limb_uses import limb_use
from aquatempo.feasibility.parts import LimbPart, MovementParts, parts_of
from aquatempo.feasibility.rules import Standing, standing_of, trunk_decides
from aquatempo.feasibility.sample import sample_of
from aquatempo.feasibility.setting import Setting, Stance, setting_of, stance_of
from aquatempo.feasibility.verdict_grid import TempoFigures, VerdictGrid
from aquatempo.feasibility.wholebody import Carry, Hop, carry_of, hop_of
from aquatempo.moves import parse_pattern
from aquatempo.records.moves import MoveForm, Pattern, PatternStep
from aquatempo.records.people import Group, Pool
from aquatempo.units import check_range
from aquatempo.water.muscle_use import LimbUse

__all__ = [
    "TEMPO_RANGE_BPM",
    "Engine",
    "engine_for",
    "judge_forms",
    "steps_of",
]

Array = NDArray[np.float64]
_LOG_STEP = float(np.log(TEMPI_BPM[1] / TEMPI_BPM[0]))
MOST_SEEN = 20000  # forms with a pattern that an engine knows by identity


def judge_forms(
    forms: Sequence[MoveForm],
    patterns: Sequence[Pattern | None],
    tempos_bpm: Sequence[float],
    pool: Pool | None = None,
    group: Group | None = None,
    inputs: FreeInputs | None = None,
    bout_s: float | None = None,
) -> VerdictGrid:
    """Return the figures of every form with every pattern at every tempo [beats/min].

    forms, patterns, tempos_bpm: all combinations are judged. pool, group, inputs: default where
    None.
    pattern None: the form's own, or the move's usual counts. bout_s: how long the move is
    held or repeated [s], 15 to 3600 (default: a song, 240 s). Depth, level and other rules
    that forbid a move stand apart, in ``allowed`` and ``depth_right``. Raises RangeError for
    tempos outside 40 to 240 b/min.
    """
    for tempo in tempos_bpm:
        slip = "half or double?" if tempo > 0 else "a tempo is above zero"
        check_range("tempo", tempo, "bpm", *TEMPO_RANGE_BPM, slip)
    engine = engine_for(pool or Pool(), group or Group(), inputs or free_inputs(), bout_s)
    return engine.grid(forms, patterns, np.asarray(tempos_bpm, float))


def engine_for(pool: Pool, group: Group, inputs: FreeInputs, bout_s: float | None = None) -> Engine:
    """Return the engine of a pool, a group and a bout [s]; it remembers what it computed.

    inputs: of the model; bout_s [s]: a song where None.
    """
    return _engine(pool, group, inputs, inputs.bout_s if bout_s is None else float(bout_s))


@lru_cache(maxsize=8)
def _engine(pool: Pool, group: Group, inputs: FreeInputs, bout_s: float) -> Engine:
    return Engine(pool, group, inputs, bout_s)


def steps_of(form: MoveForm, pattern: Pattern | None) -> tuple[tuple[int, PatternStep], ...]:
    """Return pairs of movement index and counts for one whole round of both.

    form, pattern: pattern None takes the form's own.
    """
    chosen = pattern or form.pattern or parse_pattern(form.move.pattern)
    steps = chosen.steps
    count = max(len(form.movements), 1)
    if not steps or any(step.moving_counts < 1 for step in steps):
        raise InputError("a pattern without moving counts: needs at least 1 count a movement")
    rounds = int(np.lcm(count, len(steps)))
    return tuple((i % count, steps[i % len(steps)]) for i in range(rounds))


class Engine:
    """What is known of one pool and group, kept between calls."""

    def __init__(self, pool: Pool, group: Group, inputs: FreeInputs, bout_s: float) -> None:
        check_range("bout", bout_s, "s", 15.0, 3600.0, "minutes?")
        self.pool, self.group, self.inputs = pool, group, inputs
        self.people = sample_of(group, pool, inputs)
        rows = self.people.inputs
        self.allowed = Allowed(
            rows.use_held(bout_s), rows.uptake_held(bout_s), rows.willing(group.intensity)
        )
        self._settings: dict[Stance, Setting] = {}
        self._uses: dict[tuple[object, ...], tuple[LimbUse, float]] = {}
        self._limbs: dict[tuple[LimbPart, Stance], LimbTable] = {}
        self._hops: dict[tuple[float, int, Stance], Hop] = {}
        self._carries: dict[tuple[object, ...], Carry] = {}
        self._figures: dict[tuple[MoveForm, str], GroupFigures] = {}
        # By identity first: hashing a whole form takes longer than reading its figures.
        self._seen: dict[tuple[int, int], _Known] = {}
        self._standings: dict[int, tuple[MoveForm, Standing]] = {}

    def setting(self, form: MoveForm) -> Setting:
        """Return the setting that a form is done in."""
        stance = stance_of(form, self.pool)
        if stance not in self._settings:
            self._settings[stance] = setting_of(self.people, self.pool, stance)
        return self._settings[stance]

    def standing(self, form: MoveForm) -> Standing:
        """Return what pool, depth and space say of a form, whatever its tempo."""
        known = self._standings.get(id(form))
        if known is None:
            if len(self._standings) >= MOST_SEEN:
                self._standings.clear()
            known = (form, standing_of(form, self.pool, self.people, self.group.size))
            self._standings[id(form)] = known
        return known[1]

    def steps(self, form: MoveForm, pattern: Pattern | None) -> list[Step]:
        """Return the steps of a round, each with its tables.

        form, pattern: as in judge_forms.
        """
        setting, parts = self.setting(form), parts_of(form)
        return [
            self._step(parts.movements[parts.index[i]], counts, setting)
            for i, counts in steps_of(form, pattern)
        ]

    def persons(self, form: MoveForm, pattern: Pattern | None) -> Persons:
        """Return a form with a pattern, person by person, over TEMPI_BPM."""
        return combined(
            parts_of(form), self.distinct_steps(form, pattern), self.setting(form), self.allowed
        )

    def figures(self, form: MoveForm, pattern: Pattern | None) -> GroupFigures:
        """Return a form with a pattern, for the group, over TEMPI_BPM."""
        return self._known(form, pattern).figures

    def _known(self, form: MoveForm, pattern: Pattern | None) -> _Known:
        same = (id(form), id(pattern))
        known = self._seen.get(same)
        if known is None:
            chosen = pattern or form.pattern or parse_pattern(form.move.pattern)
            key = (form, chosen.text)
            if key not in self._figures:
                self._figures[key] = figures_of(self.persons(form, pattern), self.people)
            if len(self._seen) >= MOST_SEEN:
                self._seen.clear()
            known = self._seen[same] = _Known(form, pattern, self._figures[key])
        return known

    def grid(
        self, forms: Sequence[MoveForm], patterns: Sequence[Pattern | None], tempos_bpm: Array
    ) -> VerdictGrid:
        """Return the figures of forms x patterns x tempos_bpm, shape (tempos,)."""
        known = [self._known(form, pattern) for form in forms for pattern in patterns]
        standing = [self.standing(form) for form in forms]
        place = np.log(np.asarray(tempos_bpm, float) / TEMPI_BPM[0]) / _LOG_STEP
        low = np.minimum(place.astype(np.intp), len(TEMPI_BPM) - 2)
        over = np.array([one.table.take(low, axis=0) for one in known])
        over += (place - low)[:, None] * np.array([one.rise.take(low, axis=0) for one in known])
        limits = np.array([one.limits for one in known])
        shape = (len(forms), len(patterns))
        rated = np.array([not trunk_decides(form) for form in forms])
        return VerdictGrid(
            **_named(over.reshape(*shape, len(low), -1), _OVER_TEMPO),
            **_named(limits.reshape(*shape, -1), _OF_TEMPO),
            rated=np.repeat(rated[:, None], len(patterns), axis=1),
            allowed=np.array([not one.forbidden for one in standing]),
            depth_right=np.array([one.depth.right for one in standing]),
        )

    def distinct_steps(self, form: MoveForm, pattern: Pattern | None) -> list[Step]:
        """Return the steps of a round; a round of equal halves (the other side) once.

        form, pattern: as in judge_forms.
        """
        steps = self.steps(form, pattern)
        half = len(steps) // 2
        same = [(a.parts, a.counts) for a in steps]
        while half and len(same) % 2 == 0 and same[:half] == same[half:]:
            steps, same = steps[:half], same[:half]
            half = len(same) // 2
        return steps

    def _step(self, parts: MovementParts, counts: PatternStep, setting: Setting) -> Step:
        hop = None
        if parts.flight_m > 0 and not setting.stance.free:
            key = (parts.flight_m, parts.flight_movements, setting.stance)
            if key not in self._hops:
                self._hops[key] = hop_of(parts.flight_m, parts.flight_movements, setting)
            hop = self._hops[key]
        return Step(
            parts,
            counts,
            tuple(self._limb(part, setting) for part in parts.legs),
            tuple(self._limb(part, setting) for part in parts.arms),
            hop,
            self._carry(parts, setting),
        )

    def _limb(self, part: LimbPart, setting: Setting) -> LimbTable:
        key = (part, setting.stance)
        if key not in self._limbs:
            own = (part.path, part.held, part.alongside, setting.stance)
            if own not in self._uses:
                self._uses[own] = limb_use(part, setting)
            use, fast = self._uses[own]
            table = limb_table(part, use, fast, setting, self.allowed.use * self.allowed.willing)
            # The first one stays where two threads make it at once: others know it by identity.
            return self._limbs.setdefault(key, table)
        return self._limbs[key]

    def _carry(self, parts: MovementParts, setting: Setting) -> Carry:
        key = (
            parts.step_m,
            parts.travel,
            parts.turns,
            parts.sway_m,
            parts.sideways,
            setting.stance,
        )
        if key not in self._carries:
            self._carries[key] = carry_of(parts, setting)
        return self._carries[key]


# Columns of the figures side by side: a figure for each of the group's parts, or one alone.
_PARTS = {
    **dict.fromkeys(("range_kept", "met", "rpe"), 3),
    **dict.fromkeys(("met_model", "rpe_model", "held_s", "full_held_s", "impact_bw"), 2),
    **dict.fromkeys(("limit_bpm", "limit_people_bpm", "limit_model_bpm"), 2),
}


def _columns(names: Iterable[str]) -> dict[str, int | slice]:
    found: dict[str, int | slice] = {}
    start = 0
    for name in names:
        parts = _PARTS.get(name, 0)
        found[name] = slice(start, start + parts) if parts else start
        start += parts or 1
    return found


_OF_TEMPO = _columns(("max_tempo_bpm", "limit_bpm", "limit_people_bpm", "limit_model_bpm"))
_OVER_TEMPO = _columns(field.name for field in fields(TempoFigures))


class _Known:
    """Figures of a form with a pattern, side by side. Holds both, so that their ids stay theirs."""

    def __init__(self, form: MoveForm, pattern: Pattern | None, figures: GroupFigures) -> None:
        self.form, self.pattern, self.figures = form, pattern, figures
        rows = [np.asarray(getattr(figures, name)) for name in _OVER_TEMPO]
        self.table = np.concatenate([row.reshape(len(TEMPI_BPM), -1) for row in rows], axis=1)
        self.rise = np.diff(self.table, axis=0)
        self.limits = np.concatenate([np.ravel(getattr(figures, name)) for name in _OF_TEMPO])


def _named(values: Array, columns: dict[str, int | slice]) -> dict[str, Array]:
    """Return columns of values (..., columns) by name."""
    return {name: values[..., place] for name, place in columns.items()}
