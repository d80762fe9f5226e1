"""The catalogue as Markdown: the text of docs/moves.md, made from the data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields

from aquatempo.moves.catalogue import Catalogue, catalogue
from aquatempo.moves.postures import LIMBS
from aquatempo.moves.rules import rules
from aquatempo.moves.variations import variations
from aquatempo.records.moves import (
    Factor,
    FactorOption,
    JointSwing,
    Move,
    MoveKind,
    Movement,
    Side,
)
from aquatempo.records.people import ClassDepth

__all__ = ["catalogue_markdown"]

_TITLES = {
    MoveKind.BASE: "Base moves",
    MoveKind.HOLDING: "Holding moves, for bridges and breakdowns",
    MoveKind.ARMS_ONLY: "Arms-only work",
    MoveKind.DEEP_ONLY: "Deep water only, with a flotation belt",
    MoveKind.STRETCH: "Stretches",
}
_INTRO = """\
# The catalogue of moves

Made from the data by `aquatempo.moves.listing`; do not edit it by hand. All of it is common
practice and judgement, no source, unless it says otherwise. It is for planning: it gives no medical
or safety clearance; the rules of the site and a participant's health professional come first.

Angles are full excursions in degrees from standing with the arms hanging: hip and shoulder forward
and outward count up, a knee or elbow from straight. Arms are raised from hanging (0) to overhead
(180), across from straight out to the side (0) to straight ahead (90). "Lead" is the side that
starts, "other" the other one. A movement is what happens between two end positions; a repetition is
the whole list. Pictures are drawn from these angles, of somebody 1.70 m tall in 1.2 m of water (2 m
with a belt): the lead side is dark, where it comes from is pale.
Limits of every joint: {norms}.
"""


def catalogue_markdown(source: Catalogue | None = None) -> str:
    """Return the catalogue as a Markdown text of tables, one a kind of move and factor."""
    own = source or catalogue()
    parts = [_INTRO.format(norms=rules().norms_source)]
    for kind, title in _TITLES.items():
        moves = own.of_kind(kind)
        parts.append(f"## {title} ({len(moves)})\n\n{_summary(moves, own)}")
        parts += [_entry(move, own) for move in moves]
    parts.append("## Factors: change one at a time")
    for factor in Factor:
        parts.append(f"### {factor.capitalize()}\n\n{_factor(own.options_of(factor))}")
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _rows(header: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    titles = list(header)
    lines = [titles, ["---"] * len(titles), *rows]
    return "\n".join("| " + " | ".join(cell for cell in line) + " |" for line in lines)


def _summary(moves: Iterable[Move], own: Catalogue) -> str:
    header = ("move", "call", "plane", "lever", "sides", "levels", "depth", "variations")
    return _rows(
        header,
        (
            (
                *(move.name, f'"{move.spoken}"', move.plane.value, move.lever.value, _sides(move)),
                ", ".join(level.value for level in move.levels),
                ", ".join(depth.value for depth in move.depths),
                ", ".join(str(len(variations(move, depth, own))) for depth in move.depths),
            )
            for move in moves
        ),
    )


def _sides(move: Move) -> str:
    if not move.sided:
        return "both at once"
    return "in turn" if move.alternates else "one, then again"


def _entry(move: Move, own: Catalogue) -> str:
    lines = [f"**{move.name}** (`{move.key}`). {move.description}", ""]
    lines += [f"![{move.name}, its end positions](figures/moves/{move.key}.svg)", ""]
    lines += [f"- {movement.name}: {_movement(movement)}" for movement in move.movements]
    lines.append(f"- full range: {move.range_reason}")
    lines.append(f"- limited by: {move.limits}; muscles: {', '.join(move.muscles)}")
    lines.append(f"- usual pattern {move.pattern}, arms {_arms(move)}{_travel(move)}")
    links = [
        f"{label} {own.move(key).name.lower()}"
        for label, key in (
            ("easier:", move.easier),
            ("harder:", move.harder),
            ("in deep water:", move.deep_equivalent if move.deep_equivalent != move.key else ""),
        )
        if key
    ]
    if links:
        lines.append(f"- {'; '.join(links)}")
    if ClassDepth.SHALLOW in move.depths:
        lines.append(f"- water on the person: {move.min_depth} to {move.max_depth}")
    lines.append(f"- sign: {move.sign}")
    lines += [f"- caution: {caution}" for caution in move.cautions]
    return "\n".join(lines)


def _movement(movement: Movement) -> str:
    told = [_swing(swing) for swing in movement.swings] + _half_way(movement)
    if movement.flight_m:
        told.append(f"hop {movement.flight_m:.2f} m")
    if movement.sway_m:
        told.append(f"body sways {movement.sway_m:.2f} m")
    return f"{movement.start} to {movement.end}" + (f"; {', '.join(told)}" if told else "")


def _swing(swing: JointSwing) -> str:
    side = "both" if swing.side is Side.BOTH else swing.side.value
    return f"{side} {swing.joint} {swing.action} {swing.start_deg:g} to {swing.end_deg:g}"


def _half_way(movement: Movement) -> list[str]:
    """Return the joints that go further half-way than at both ends of a movement."""
    if movement.via is None:
        return []
    told = []
    for limb in LIMBS:
        start, end, via = (
            getattr(p, limb) for p in (movement.start_pose, movement.end_pose, movement.via)
        )
        for field in fields(via):
            ends = sorted((getattr(start, field.name), getattr(end, field.name)))
            angle = getattr(via, field.name)
            if not ends[0] <= angle <= ends[1]:
                told.append(f"{limb.replace('_', ' ')} {field.name} {angle:g} on the way")
    return told


def _arms(move: Move) -> str:
    return move.arms if move.arms == "still" else f"{move.arms} ({move.arm_symmetry})"


def _travel(move: Move) -> str:
    if not move.travel_m:
        return ""
    return f", travels {move.travel} {move.travel_m / len(move.movements):.2f} m a movement"


def _factor(options: Iterable[FactorOption]) -> str:
    header = ("option", "call", "what it changes", "ladder", "fits", "not for", "sign")
    return _rows(
        header,
        (
            (
                *(f"{option.name} (`{option.key}`)", f'"{option.spoken}"'),
                "; ".join([option.physics, *_reach(option)]),
                *(f"{option.rung:+d}", _fits(option), ", ".join(option.unfit), option.sign),
            )
            for option in options
        ),
    )


def _reach(option: FactorOption) -> list[str]:
    """Return from where to where the arms of an option go [degrees]."""
    if option.home is None or option.out is None:
        return []
    told = []
    for field in fields(option.home):
        start, end = getattr(option.home, field.name), getattr(option.out, field.name)
        if start != end:
            told.append(f"{field.name} {start:g} to {end:g}")
        elif end:
            told.append(f"{field.name} {end:g}")
    return [", ".join(told)]


def _fits(option: FactorOption) -> str:
    if option.factor is Factor.LEVEL:
        return "moves that list it"
    return ", ".join(option.fits) or "any"
