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
    free_inputs,
    full_range_limits,
    input_ranges,
    judge_forms,
    tempo_ranges,
    thresholds,
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


def forms_of(kind: ClassDepth) -> list[MoveForm]:
    """Return the moves that a class of a depth is made of, as they stand."""
    kinds = {MoveKind.BASE} | ({MoveKind.DEEP_ONLY} if kind is ClassDepth.DEEP else set())
    return [
        resolve(move, None, kind)
        for move in catalogue().moves.values()
        if move.kind in kinds and kind in move.depths
    ]


def limits(kind: ClassDepth) -> tuple[list[MoveForm], np.ndarray]:
    """Return the moves and their limits in water tempo (moves, shares) [beats/min]."""
    forms = forms_of(kind)
    columns = [
        full_range_limits(forms, [WATER_TEMPO], POOLS[kind], Group(intensity=share))[:, 0]
        for share in Intensity
    ]
    return forms, np.stack(columns, axis=1)


def weak_limits(kind: ClassDepth) -> np.ndarray:
    """Return the highest tempo [b/min] at which the weak tenth keeps full range, steady."""
    tempos = np.arange(60.0, 240.5, 1.0)
    grid = judge_forms(forms_of(kind), [WATER_TEMPO], list(tempos), POOLS[kind], Group())
    full = grid.range_kept[:, 0, :, 0] >= thresholds().full_range
    last = np.array([tempos[row][-1] if row.any() else 0.0 for row in full])
    return np.where(full.all(axis=1), np.nan, last)


def limits_page() -> str:
    """Return docs/limits.md."""
    lines = [
        "# Where full range ends, beside the trade's tempo ranges",
        "",
        "Highest music tempo [b/min] at which the median of the default group (20 people, 14",
        "women, 1.50 to 1.90 m, 30 to 75 years; 1.2 m of water or a belt) keeps full range with",
        "2 counts a movement, at three sustained shares of strength. Land tempo is exactly half",
        "of it. -: nothing limits it below 240. Weak tenth: the tempo at which nine in ten still",
        "keep full range, steady share. Last column: range kept by the median. The published",
        "ranges (instructors' manual of the Aquatic Exercise Association, second-hand) were not",
        "used to set any input: the inputs were frozen in a commit before this table was first",
        "computed (docs/design/water.md, docs/design/moves.md).",
        "",
        "Against the range: where the limit of the median lies, steady share. *Inside*: songs",
        "at the upper end of the range already cost range; *above*: none does; *below*: the move",
        "is short over the whole range and wants half water tempo.",
        "",
        "Written by docs/figures/science_tables.py.",
    ]
    for kind in ClassDepth:
        low, high = tempo_ranges()[kind.value]
        forms, table = limits(kind)
        weak = weak_limits(kind)
        rows = np.column_stack([table, weak])
        land = judge_forms(forms, [LAND], [132.0], POOLS[kind], Group()).range_kept[:, 0, 0, 1]
        lines += [
            "",
            f"## {kind.value.capitalize()} class, published {low:.0f} to {high:.0f} b/min",
            "",
            "| move | easy | steady | hard | weak tenth | against the range | at land tempo, 132 |",
            "| --- | --- | --- | --- | --- | --- | --- |",
        ]
        for form, row, kept in zip(forms, rows, land, strict=True):
            shown = " | ".join("-" if np.isnan(x) else f"{x:.0f}" for x in row)
            lines.append(
                f"| {form.move.name} | {shown} | {_place(row[1], low, high)} | {kept:.0%} |"
            )
        lines += ["", *_summary(forms, rows, low, high)]
    return "\n".join([*lines, "", *_hops(), "", *_reasons(), ""])


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
            )
            rates.append(f"{60.0 / (float(hop.time_s[0]) + inputs.contact_min_s):.0f}")
        lines.append(f"| {100 * hop_m:.0f} cm | {' | '.join(rates)} |")
    return lines


def sensitivity_page() -> str:
    """Return docs/sensitivity.md."""
    base = free_inputs()
    forms = forms_of(ClassDepth.SHALLOW)
    rows = [("as frozen", "", *_effects(base, forms))]
    for name, entry in input_ranges().items():
        for end in ("low", "high"):
            if end in entry and entry[end] != entry["value"]:
                changed = replace(base, **{name: entry[end]})
                rows.append((name, f"{entry[end]:g}", *_effects(changed, forms)))
    others = {"drag_law": "reynolds", "motion_profile": "minimum-jerk", "share_basis": "peak"}
    for name, value in others.items():
        rows.append((name, value, *_effects(replace(base, **{name: value}), forms)))
    for scale in (0.85, 1.15):
        rows.append(("every excursion", f"x {scale:g}", *_effects(base, _scaled(forms, scale))))
    body = ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    return "\n".join([
        "# How verdicts move with each free input",
        "",
        "Default group, 1.2 m, all base moves; one input at a time is set to the end of its",
        "range (aquatempo/feasibility/data/free_inputs.toml). Verdict classes are counted as",
        "full / a little short / short / not feasible by range alone. Limit: median over the",
        "six straight-leg moves of the highest tempo for full range in water tempo [b/min],",
        "steady share. MET: median over all base moves at 137 b/min in water tempo.",
        "",
        "| input | value | land tempo, 132 | water tempo, 150 | water tempo, 170 | limit | MET |",
        "| --- | --- | --- | --- | --- | --- | --- |",
        *body,
        "",
        "What matters most: the sustained share and how it is applied, the excursion, the motion",
        "profile; then, for jumps, the contact time. Plate and added-mass coefficients, belt,",
        "sculling and travel inputs hardly move a verdict.",
        "",
        "Written by docs/figures/science_tables.py.",
        "",
    ])  # fmt: skip


def _effects(inputs: FreeInputs, forms: list[MoveForm]) -> tuple[str, str, str, str, str]:
    patterns = [LAND, WATER_TEMPO]
    grid = judge_forms(forms, patterns, [132.0, 137.0, 150.0, 170.0], Pool(), Group(), inputs)
    kept = grid.range_kept[..., 1]
    straight = [i for i, form in enumerate(forms) if form.move.key in STRAIGHT_LEG]
    limit = float(np.median(np.nan_to_num(grid.max_tempo_bpm[straight, 1], nan=240.0)))
    effort = float(np.median(grid.met[:, 1, 1, 1]))
    classes = (_classes(kept[:, 0, 0]), _classes(kept[:, 1, 2]), _classes(kept[:, 1, 3]))
    return (*classes, f"{limit:.0f}", f"{effort:.1f}")


def _classes(kept: np.ndarray) -> str:
    counts = Counter(rating_of(float(value)) for value in kept)
    order = (Rating.FULL, Rating.A_LITTLE_SHORT, Rating.SHORT, Rating.NOT_FEASIBLE)
    return " / ".join(str(counts[rating]) for rating in order)


def _scaled(forms: list[MoveForm], scale: float) -> list[MoveForm]:
    return [
        replace(
            form,
            movements=tuple(
                replace(
                    movement,
                    swings=tuple(
                        replace(s, start_deg=s.start_deg * scale, end_deg=s.end_deg * scale)
                        for s in movement.swings
                    ),
                )
                for movement in form.movements
            ),
        )
        for form in forms
    ]


def _place(limit: float, low: float, high: float) -> str:
    if np.isnan(limit) or limit > high:
        return "above"
    return "inside" if limit >= low else "below"


def _summary(forms: list[MoveForm], table: np.ndarray, low: float, high: float) -> list[str]:
    long = [i for i, form in enumerate(forms) if form.move.key in STRAIGHT_LEG]
    words = []
    for j, name in enumerate([*(share.value for share in Intensity), "weak tenth, steady"]):
        limit = float(np.median(np.nan_to_num(table[long, j], nan=240.0)))
        places = Counter(_place(x, low, high) for x in table[:, j])
        words.append(
            f"{name}: straight-leg moves end at {limit:.0f} in the middle; "
            f"{places['below']} moves below, {places['inside']} inside, {places['above']} above"
        )
    return ["; ".join(words) + "."]


def _reasons() -> list[str]:
    return [
        "## What it says",
        "",
        "- Land tempo costs straight-leg moves some 40 to 60 % of their range at 132; water tempo",
        "  gives it back. That is the trade's main fact, and nothing in the inputs knows of it: at",
        "  fixed range the drag moment grows with the square of the tempo.",
        "- In the shallow class the weak tenth loses full range of a straight-leg move close to",
        "  the top of the published range, the median some 20 b/min above it (steady share), or",
        "  inside it (easy). So the top of the range comes out as the tempo that all of a mixed",
        "  class can follow. That it comes out so close is partly luck: excursion and share are",
        "  each worth 15 to 20 b/min (docs/sensitivity.md).",
        "- Short-lever moves (jog, curl) lie far above: strength sets no upper limit for them in",
        "  water tempo. Travelling moves lose the tall and the buoyant first: feet that carry",
        "  little weight have little grip.",
        "- Nothing in strength or drag sets the lower end of a range. Below it full range is",
        "  possible; songs are merely slow (rebound waits for the beat, and effort is low).",
        "- Deep water: balanced moves (ski, jack) end sooner, because the legs swing further under",
        "  a body without a floor; with equal excursions the limits are those of the shallow class",
        "  within a few per cent. A lone kick ends later, because the free pelvis takes part of",
        "  the swing. So physics alone does not make the deep range 25 b/min slower for all moves;",
        "  larger movements do so for some. The published rule stays in `check` either way.",
        "- The knee lift to level (90 degrees) ends soonest of all moves without a jump: a short",
        "  lever, but the largest swing, into angles where hip flexors are weak.",
    ]


if __name__ == "__main__":
    (DOCS / "limits.md").write_text(limits_page(), encoding="utf-8")
    (DOCS / "sensitivity.md").write_text(sensitivity_page(), encoding="utf-8")
