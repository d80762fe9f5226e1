"""Writes docs/limits.md and docs/sensitivity.md from the model.

Run from the top of the repository: python docs/figures/science_tables.py
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np

from aquatempo.feasibility import (
    FreeInputs,
    VerdictGrid,
    free_inputs,
    input_ranges,
    judge_forms,
    tempo_range,
    tempo_ranges,
)
from aquatempo.feasibility.judging import rating_of
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Group, Intensity, Person, Pool, Sex
from aquatempo.records.verdict import Rating
from aquatempo.water.body import bodies_of
from aquatempo.water.properties import water
from aquatempo.water.rebound import flight

DOCS = Path(__file__).resolve().parent.parent
LAND, WATER_TEMPO = parse_pattern("1"), parse_pattern("2")
POOLS = {
    ClassDepth.SHALLOW: Pool(),
    ClassDepth.DEEP: Pool(depth_m=2.0, kind=ClassDepth.DEEP),
}
STRAIGHT_LEG = ("front-kick", "side-kick", "back-kick", "jack", "cross-country-ski", "pendulum")
LAND_BPM = 132.0


def forms_of(kind: ClassDepth) -> list[MoveForm]:
    """Return the moves that a class of a depth is made of, as they stand."""
    kinds = {MoveKind.BASE} | ({MoveKind.DEEP_ONLY} if kind is ClassDepth.DEEP else set())
    return [
        resolve(move, None, kind)
        for move in catalogue().moves.values()
        if move.kind in kinds and kind in move.depths
    ]


def judged(kind: ClassDepth, intensity: Intensity = Intensity.STEADY) -> VerdictGrid:
    """Return the moves of a depth for the default group: land and water tempo, LAND_BPM."""
    group = Group(intensity=intensity)
    return judge_forms(forms_of(kind), [LAND, WATER_TEMPO], [LAND_BPM], POOLS[kind], group)


def limits(kind: ClassDepth) -> tuple[list[MoveForm], np.ndarray]:
    """Return the moves and their limits in water tempo by intensity (moves, 3) [beats/min]."""
    columns = [judged(kind, one).max_tempo_bpm[:, 1] for one in Intensity]
    return forms_of(kind), np.stack(columns, axis=1)


def weak_limits(kind: ClassDepth) -> np.ndarray:
    """Return the highest tempo [b/min] at which nine in ten keep full range, steady."""
    return judged(kind).limit_people_bpm[:, 1, 0]


def limits_page() -> str:
    """Return docs/limits.md."""
    lines = [
        "# Where full range ends, beside the trade's tempo ranges",
        "",
        "Highest music tempo [b/min] at which half of the default group (20 people, 14 women,",
        "1.50 to 1.90 m, 30 to 75 years; 1.2 m of water or a belt) keeps 95 % of the range with 2",
        "counts a movement, for a song. *Easy, steady, hard*: the share of what they can hold that",
        "they spend, 65, 80 and 100 %. *May be*: the middle half of what the limit is for",
        "somebody of the group, from how people differ and how sure the model is, steady.",
        "*Nine in ten*: the tempo that nine in ten still follow; *model*: where the median would",
        "lie with other inputs, tenth to ninetieth percentile. -: nothing limits it below 240.",
        "Last columns: range kept and effort (RPE, 6 to 20) of the median at land tempo.",
        "",
        "The published ranges (instructors' manual of the Aquatic Exercise Association,",
        "second-hand) set no input: the inputs were frozen in a commit before anything was",
        "compared (docs/design/feasibility.md, docs/design/moves.md). *Against the range*: where",
        "the steady limit of the median lies: *inside*, songs at the upper end already cost range;",
        "*above*, none does; *below*, it is short over the whole range and wants half water tempo.",
        "",
        "Written by docs/figures/science_tables.py.",
    ]
    for kind in ClassDepth:
        low, high = tempo_ranges()[kind.value]
        suits = tempo_range(POOLS[kind], Group())
        forms, table = limits(kind)
        grid = judged(kind)
        lines += [
            "",
            f"## {kind.value.capitalize()} class, published {low:.0f} to {high:.0f} b/min",
            "",
            f"For the ages and the depth of the default group: {suits[0]:.0f} to {suits[1]:.0f}.",
            "",
            "| move | easy | steady | hard | may be | nine in ten | model | against the range"
            f" | land, {LAND_BPM:.0f} | RPE |",
            "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
        ]
        for i, form in enumerate(forms):
            shown = " | ".join(_tempo(x) for x in table[i])
            lines.append(
                f"| {form.move.name} | {shown} | {_span(grid.limit_bpm[i, 1])}"
                f" | {_tempo(grid.limit_people_bpm[i, 1, 0])}"
                f" | {_span(grid.limit_model_bpm[i, 1])} | {_place(table[i, 1], low, high)}"
                f" | {grid.range_kept[i, 0, 0, 1]:.0%} | {grid.rpe[i, 0, 0, 1]:.0f} |"
            )
        rows = np.column_stack([table, weak_limits(kind)])
        lines += ["", _summary(forms, rows, low, high)]
    return "\n".join([*lines, "", *_hops(), "", *_reasons(), ""])


def _tempo(bpm: float) -> str:
    return "-" if np.isnan(bpm) or bpm > 240.0 else f"{bpm:.0f}"


def _span(ends: np.ndarray) -> str:
    return f"{_tempo(ends[0])} to {_tempo(ends[1])}"


def _hops() -> list[str]:
    """Return the table of the most hops a minute against hop height and depth."""
    bodies = bodies_of([Person(1.65, 68.0, Sex.WOMAN, 50.0)])
    inputs = free_inputs()
    marks = ("navel", "breastbone end", "nipple", "armpit")
    lines = [
        "## Most two-foot hops a minute",
        "",
        "Woman of 1.65 m and 68 kg; flight plus 0.20 s of contact. At 125 b/min land tempo",
        "asks for 125 a minute, water tempo for 63.",
        "",
        f"| hop | {' | '.join(f'water to the {mark}' for mark in marks)} |",
        "| --- | --- | --- | --- | --- |",
    ]
    for hop_m in (0.02, 0.03, 0.05, 0.08, 0.12):
        rates = []
        for mark in marks:
            hop = flight(
                bodies,
                bodies.landmarks_m[mark],
                np.full(1, hop_m),
                water(29.0),
                inputs.axial_added_mass,
                inputs.vertical_cd,
                inputs.lung_gas_l,
                inputs.hands_down_n,
            )
            rates.append(f"{60.0 / (float(hop.time_s[0]) + inputs.contact_min_s):.0f}")
        lines.append(f"| {100 * hop_m:.0f} cm | {' | '.join(rates)} |")
    return lines


def sensitivity_page() -> str:
    """Return docs/sensitivity.md."""
    base = free_inputs()
    rows = [("as frozen", "", *_effects(base))]
    for name, entry in input_ranges().items():
        if name == "excursion":
            continue
        ends = [entry[end] for end in ("low", "high") if end in entry]
        ends = [end for end in ends if end != entry["value"]] or ["minimum-jerk"]
        for value in ends:
            told = f"{value:g}" if isinstance(value, float) else str(value)
            rows.append((name, told, *_effects(replace(base, **{name: value}))))
    for scale in (0.85, 1.15):
        rows.append(("every excursion", f"x {scale:g}", *_effects(replace(base, excursion=scale))))
    body = ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    return "\n".join([
        "# How verdicts move with each free input",
        "",
        "Default group, 1.2 m, all base moves; one input at a time is set to the end of its",
        "range (aquatempo/feasibility/data/free_inputs.toml). Words are counted as full range /",
        "a little short / short / lost, by the median. Limit: median over the six straight-leg",
        "moves of the highest tempo for full range in water tempo [b/min], steady. MET and RPE:",
        "median over all base moves at 137 b/min in water tempo. A verdict draws all inputs at",
        "once (docs/limits.md, column *model*); this page tells which of them it comes from.",
        "",
        "| input | value | land tempo, 132 | water tempo, 150 | water tempo, 170 | limit | MET"
        " | RPE |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
        *body,
        "",
        _most(rows),
        "",
        "Written by docs/figures/science_tables.py.",
        "",
    ])  # fmt: skip


def _most(rows: list[tuple[str, ...]]) -> str:
    """Say which inputs move the limit most."""
    middle = float(rows[0][5])
    moved: dict[str, float] = {}
    for name, _, *effects in rows[1:]:
        moved[name] = max(moved.get(name, 0.0), abs(float(effects[3]) - middle))
    order = sorted(moved, key=lambda name: -moved[name])
    most = ", ".join(f"{name} ({moved[name]:.0f})" for name in order[:6])
    little = sum(1 for value in moved.values() if value <= 2.0)
    return (
        f"What moves the limit most [b/min]: {most}. {little} of {len(moved)} inputs move it by 2"
        " b/min or less."
    )


def _effects(inputs: FreeInputs) -> tuple[str, str, str, str, str, str]:
    forms = forms_of(ClassDepth.SHALLOW)
    patterns = [LAND, WATER_TEMPO]
    grid = judge_forms(forms, patterns, [132.0, 137.0, 150.0, 170.0], Pool(), Group(), inputs)
    kept = grid.range_kept[..., 1]
    straight = [i for i, form in enumerate(forms) if form.move.key in STRAIGHT_LEG]
    limit = float(np.median(np.nan_to_num(grid.max_tempo_bpm[straight, 1], nan=240.0)))
    met, rpe = (float(np.median(x[:, 1, 1, 1])) for x in (grid.met, grid.rpe))
    classes = (_classes(kept[:, 0, 0]), _classes(kept[:, 1, 2]), _classes(kept[:, 1, 3]))
    return (*classes, f"{limit:.0f}", f"{met:.1f}", f"{rpe:.1f}")


def _classes(kept: np.ndarray) -> str:
    counts = Counter(rating_of(float(value)) for value in kept)
    order = (Rating.FULL, Rating.A_LITTLE_SHORT, Rating.SHORT, Rating.LOST)
    return " / ".join(str(counts[rating]) for rating in order)


def _place(limit: float, low: float, high: float) -> str:
    if np.isnan(limit) or limit > high:
        return "above"
    return "inside" if limit >= low else "below"


def _summary(forms: list[MoveForm], table: np.ndarray, low: float, high: float) -> str:
    long = [i for i, form in enumerate(forms) if form.move.key in STRAIGHT_LEG]
    words = []
    for j, name in enumerate([*(share.value for share in Intensity), "nine in ten, steady"]):
        limit = float(np.median(np.nan_to_num(table[long, j], nan=240.0)))
        places = Counter(_place(x, low, high) for x in table[:, j])
        words.append(
            f"{name}: straight-leg moves end at {limit:.0f} in the middle; "
            f"{places['below']} moves below, {places['inside']} inside, {places['above']} above"
        )
    return "; ".join(words) + "."


REASONS = DOCS / "figures" / "limits_words.md"


def _reasons() -> list[str]:
    """Return what the tables say, written by hand after reading them."""
    return REASONS.read_text(encoding="utf-8").rstrip().splitlines()


if __name__ == "__main__":
    (DOCS / "limits.md").write_text(limits_page(), encoding="utf-8")
    (DOCS / "sensitivity.md").write_text(sensitivity_page(), encoding="utf-8")
