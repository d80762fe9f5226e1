"""What it costs a class to go from one form of a move to another, in counts.

Every cost is common practice and judgement, no source, and lives in data/transitions.toml.
"""

from __future__ import annotations

from aquatempo.moves.patterns import lead_check, parse_pattern
from aquatempo.moves.rules import rules
from aquatempo.records.moves import (
    Factor,
    ImpactLevel,
    LeadCheck,
    Lever,
    MoveForm,
    MoveKind,
    Pattern,
    Transition,
    Travel,
)

__all__ = ["transition"]

_CENTRED = ("centre", "one foot")
_OPPOSITE = {Travel.FORWARD: Travel.BACK, Travel.BACK: Travel.FORWARD}


def transition(
    form_a: MoveForm, pattern_a: Pattern | None, form_b: MoveForm, pattern_b: Pattern | None
) -> Transition:
    """Return the cost [counts] of going from form_a to form_b, with its reasons.

    pattern None: the form's own. The counts are those to allow beyond count 1 of the new move
    for the class to be in it; 0 is a clean change. pattern_a: of form_a; pattern_b: of form_b.

    >>> from aquatempo.moves import catalogue, resolve
    >>> jog, jack = (resolve(catalogue().move(key)) for key in ("jog", "jack"))
    >>> transition(jog, None, jack, None).counts
    0
    """
    own_a = pattern_a or form_a.pattern or parse_pattern(form_a.move.pattern)
    own_b = pattern_b or form_b.pattern or parse_pattern(form_b.move.pattern)
    check = lead_check(form_a.move, own_a, len(form_a.movements))
    reasons = [
        *_place_reasons(form_a, form_b, check),
        *_level_reasons(form_a, form_b),
        *_travel_reasons(form_a, form_b),
        *_lead_reasons(form_a, own_a, form_b, check),
        *_factor_reasons(form_a, own_a, form_b, own_b),
    ]
    costly = tuple((words, counts) for words, counts in reasons if counts > 0)
    total = sum(counts for _, counts in costly)
    return Transition(total, costly, total <= rules().works_up_to_counts)


def _place_reasons(a: MoveForm, b: MoveForm, check: LeadCheck) -> list[tuple[str, int]]:
    costs, positions = rules().costs, rules().positions
    last = a.movements[(check.movements - 1) % len(a.movements)]
    place_a, place_b = positions[last.end], positions[b.movements[0].start]
    reasons = []
    if place_a not in _CENTRED and place_a != place_b:
        closing = rules().closing_counts[place_a]
        reasons.append((f"ends {last.end}, the next starts {b.movements[0].start}", closing))
    if a.move.plane is not b.move.plane and place_a not in _CENTRED:
        both_long = a.move.lever is Lever.LONG and b.move.lever is Lever.LONG
        if both_long:
            words = f"long lever to long lever across planes ({a.move.plane} to {b.move.plane})"
            reasons.append((f"{words} with no centre between", costs["long_lever_across_planes"]))
        else:
            words = f"changes from {a.move.plane} to {b.move.plane} off the centre"
            reasons.append((words, costs["plane_off_centre"]))
    return reasons


def _level_reasons(a: MoveForm, b: MoveForm) -> list[tuple[str, int]]:
    costs = rules().costs
    reasons = []
    if a.level is ImpactLevel.III and b.level is not ImpactLevel.III:
        straight = a.move.lever is Lever.LONG
        kind = "suspended_straight_to_floor" if straight else "suspended_to_floor"
        how = "straight legs come" if straight else "feet come"
        reasons.append((f"{how} down from suspended to {_level(b)}", costs[kind]))
    elif b.level is ImpactLevel.III and a.level is not ImpactLevel.III:
        reasons.append(("lifts off the floor into suspended", costs["floor_to_suspended"]))
    elif a.level is not b.level and a.move.kind is not MoveKind.HOLDING:  # which has no shape
        reasons.append((f"changes from {_level(a)} to {_level(b)}", costs["level"]))
    if a.arms_in_water != b.arms_in_water:
        reasons.append(("arms change between in and out of the water", costs["arms_in_and_out"]))
    return reasons


def _level(form: MoveForm) -> str:
    level = form.level
    return level.value if level in (ImpactLevel.GROUNDED, ImpactLevel.POWER) else f"level {level}"


def _travel_reasons(a: MoveForm, b: MoveForm) -> list[tuple[str, int]]:
    costs = rules().costs
    if a.travel is b.travel:
        return []
    if Travel.IN_PLACE in (a.travel, b.travel):
        words = "stops travelling" if b.travel is Travel.IN_PLACE else f"sets off {b.travel}"
        return [(words, costs["travel_start_or_stop"])]
    if _OPPOSITE.get(a.travel) is b.travel:
        speeds = (form.travel_m / len(form.movements) for form in (a, b))
        far = max(speeds) >= rules().far_m_per_movement
        words = f"reverses travel from {a.travel} to {b.travel}"
        return [(words, costs["travel_reversal_far" if far else "travel_reversal"])]
    return [(f"turns travel from {a.travel} to {b.travel}", costs["travel_turn"])]


def _lead_reasons(
    a: MoveForm, pattern: Pattern, b: MoveForm, check: LeadCheck
) -> list[tuple[str, int]]:
    costs = rules().costs
    reasons = []
    if not pattern.fills_eights:
        words = f"{pattern.text} takes {pattern.counts} counts and fills no whole eight"
        reasons.append((words, costs["uneven_eights"]))
    if not check.at_start:
        reasons.append((f"{pattern.text} ends half-way through {a.move.name}", costs["half_way"]))
    if check.lead_counts != check.other_counts:
        words = f"{pattern.text} never swaps the lead: one side gets {check.lead_counts} counts"
        words += f", the other {check.other_counts}"
        reasons.append((words, costs["lead_never_swaps"]))
    if b.move.sided and a.move.sided and not check.returns:
        words = f"which leg leads is not known: {pattern.text} swaps it over more than a phrase"
        reasons.append((words, costs["lead_unknown"]))
    return reasons


def _factor_reasons(
    a: MoveForm, pattern_a: Pattern, b: MoveForm, pattern_b: Pattern
) -> list[tuple[str, int]]:
    costs = rules().costs
    before, after = set(a.variation.changes), set(b.variation.changes)
    new_move = a.move.key != b.move.key
    # What was done to a move ends with it, unasked; what the next one brings has to be thought of.
    changed = {factor for factor, _ in (after - before if new_move else before ^ after)}
    if new_move:
        changed.discard(Factor.SIDES)  # which side begins is called with the move
    own_tempo = new_move and pattern_b.text == b.move.pattern
    if pattern_a.text != pattern_b.text and not own_tempo:
        changed.add(Factor.TEMPO)
    arms = changed & {Factor.ARMS, Factor.ARM_SYMMETRY}
    if Factor.TURN in changed and arms and Factor.TEMPO in changed:
        words = "turn, arms and tempo change at once"
        return [(words, costs["turn_arms_and_tempo"])]
    extra = len(changed) - 1  # a move comes with one thing done to it, as it was learned
    if extra <= 0:
        return []
    named = ", ".join(sorted(factor.value for factor in changed))
    start = "a new move and" if new_move else "at once"
    return [(f"{start} {named} change", extra * costs["second_factor"])]
