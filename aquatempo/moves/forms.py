"""Move + variation -> the physical form that feasibility judges."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from functools import lru_cache

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.moves.catalogue import Catalogue, catalogue
from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.postures import LIMBS, scaled_movements
from aquatempo.records.moves import (
    Arm,
    Factor,
    FactorOption,
    Hands,
    ImpactLevel,
    Leg,
    Move,
    MoveForm,
    MoveKind,
    Movement,
    Pattern,
    Posture,
    Travel,
    Variation,
)
from aquatempo.records.people import ClassDepth
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["counts_a_repetition", "resolve", "variation_of"]

REVERSE_AFTER_COUNTS = 16  # a group turns round here, about 2 m2 a person


@dataclass(frozen=True)
class _Setting:
    """Everything that factors may set, for one form."""

    arms: FactorOption
    symmetry: str
    level: ImpactLevel
    hands: Hands = Hands.SLICE
    travel: Travel = Travel.IN_PLACE
    travel_m_per_movement: float = 0.0
    turn_deg_per_eight: float = 0.0
    trunk_turn_deg: float = 0.0
    hop_added_m: float = 0.0
    range_scale: float = 1.0
    pattern: str = "2"
    partner: str = ""
    one_side: bool = False


def resolve(
    move: Move,
    variation: Variation | None = None,
    depth: ClassDepth = ClassDepth.SHALLOW,
    source: Catalogue | None = None,
) -> MoveForm:
    """Return the form of a move with a variation (None: as it stands in the catalogue).

    In a deep class the form is suspended (level III) on the belt, arms as they are. source: the
    catalogue that options and partners come from (default: the packaged one). Raises InputError
    for a variation of another move or a factor set twice, and UnknownNameError for an option
    that does not exist. depth: shallow or deep class.
    """
    wanted = variation or Variation(move.key)
    return _resolved(move, wanted, depth, source or catalogue())


@lru_cache(maxsize=8192)
def _resolved(move: Move, variation: Variation, depth: ClassDepth, source: Catalogue) -> MoveForm:
    options = _options(move, variation, source)
    setting = _setting(move, options, depth, source)
    if setting.one_side:
        move = _one_sided(move)
    pattern = parse_pattern(setting.pattern)
    partner = source.move(setting.partner) if setting.partner else None
    body = _joined(move.movements + (partner.movements if partner else ()))
    movements = _scaled(_with_arms(_hopped(body, setting), setting), setting.range_scale)
    counts = counts_a_repetition(len(movements), pattern)
    cautions = [*move.cautions, *(c for o in options for c in o.cautions)]
    cautions += partner.cautions if partner else ()
    return MoveForm(
        move=move,
        variation=variation,
        name=", ".join([move.name, *(option.name.lower() for option in options)]),
        movements=movements,
        level=setting.level,
        hands=setting.hands,
        arms_in_water=bool(dict(setting.arms.effect).get("arms_in_water", True)),
        arms_same_way=_same_way(setting),
        travel=setting.travel,
        travel_m=round(setting.travel_m_per_movement * len(movements), 9),
        reverses_every=(
            0 if setting.travel is Travel.IN_PLACE else max(1, round(REVERSE_AFTER_COUNTS / counts))
        ),
        turn_deg=setting.turn_deg_per_eight * counts / COUNTS_PER_EIGHT,
        range_scale=setting.range_scale,
        pattern=pattern,
        cautions=tuple(dict.fromkeys(cautions)),
        arms=setting.arms.key,
        arm_symmetry=setting.symmetry,
        partner=setting.partner,
        spoken=_call(move, options),
        sign="; ".join([move.sign, *(option.sign for option in options)]),
    )


def variation_of(
    move: Move, pairs: Iterable[tuple[str, str]], source: Catalogue | None = None
) -> Variation:
    """Return the variation that pairs of factor and option key name, as plans write them.

    Raises UnknownNameError for a factor or option that does not exist. source: the catalogue in
    force (None: the packaged one).

    >>> jack = catalogue().move("jack")
    >>> variation_of(jack, [("arms", "fly")]).changes
    ((<Factor.ARMS: 'arms'>, 'fly'),)
    """
    changes = []
    for name, key in pairs:
        factor = next((f for f in Factor if f == name.replace("_", " ")), None)
        if factor is None:
            raise UnknownNameError("factor", name, [f.value for f in Factor])
        changes.append((factor, (source or catalogue()).option(factor, key).key))
    return Variation(move.key, tuple(changes))


def counts_a_repetition(movements: int, pattern: Pattern) -> float:
    """Return the counts that a repetition of some movements takes on average.

    pattern: counts for each in turn.

    >>> counts_a_repetition(4, parse_pattern("2-2-4"))
    10.666666666666666
    """
    return movements * pattern.counts / len(pattern.steps)


def _options(move: Move, variation: Variation, source: Catalogue) -> list[FactorOption]:
    if variation.move != move.key:
        raise InputError(f"a variation of {variation.move!r} cannot be used for {move.key!r}")
    factors = [factor for factor, _ in variation.changes]
    if len(set(factors)) < len(factors):
        twice = next(factor for factor in factors if factors.count(factor) > 1)
        raise InputError(f"{move.key}: the factor {twice} is set twice; each can be set once")
    return [source.option(factor, key) for factor, key in variation.changes]


def _setting(
    move: Move, options: list[FactorOption], depth: ClassDepth, source: Catalogue
) -> _Setting:
    setting = _Setting(
        arms=source.option(Factor.ARMS, move.arms),
        symmetry=move.arm_symmetry,
        level=ImpactLevel.III if depth is ClassDepth.DEEP else move.levels[0],
        travel=move.travel,
        travel_m_per_movement=move.travel_m / len(move.movements),
        pattern=move.pattern,
    )
    for option in options:
        effect = dict(option.effect)
        if option.factor is Factor.ARMS:
            setting = replace(setting, arms=option)
        elif option.factor is Factor.ARM_SYMMETRY:
            setting = replace(setting, symmetry=str(effect["arm_symmetry"]))
        elif option.factor is Factor.HANDS:
            setting = replace(setting, hands=Hands(str(effect["hands"])))
        elif (
            option.factor is Factor.LEVEL
            and "arms" in effect
            and move.kind is not MoveKind.ARMS_ONLY
        ):
            arms = source.option(Factor.ARMS, str(effect["arms"]))
            setting = replace(setting, arms=arms, symmetry="both")
        setting = replace(
            setting,
            level=ImpactLevel(str(effect.get("level", setting.level))),
            travel=Travel(str(effect.get("travel", setting.travel))),
            travel_m_per_movement=float(effect.get("travel_m", setting.travel_m_per_movement)),
            turn_deg_per_eight=float(effect.get("turn_deg", setting.turn_deg_per_eight)),
            trunk_turn_deg=float(effect.get("trunk_turn_deg", setting.trunk_turn_deg)),
            hop_added_m=float(effect.get("hop_added_m", setting.hop_added_m)),
            range_scale=float(effect.get("range_scale", setting.range_scale)),
            pattern=str(effect.get("pattern", setting.pattern)),
            partner=str(effect.get("partner", setting.partner)),
            one_side=bool(effect.get("one_side", setting.one_side)),
        )
    return setting


def _one_sided(move: Move) -> Move:
    """Return a move that works the leading side only, again and again.

    The half of it that the lead side does; where that is one movement, which changes over
    to the other leg, the leg comes back instead and the other one stays as it is.
    """
    half = move.movements[: max(1, len(move.movements) // 2)]
    if len(half) == 1:
        there = half[0]
        via = None if there.via is None else _on_one_leg(there.via)
        home, out = _on_one_leg(there.start_pose), _on_one_leg(there.end_pose)
        there = replace(there, start="upright", start_pose=home, end_pose=out, via=via)
        back = replace(there, start=there.end, end="upright", start_pose=out, end_pose=home)
        name = there.name.replace(" up", " down").replace("straight", "bent")
        half = (there, replace(back, name=name))
    travel_m = move.travel_m * len(half) / len(move.movements)
    return replace(move, movements=half, alternates=False, travel_m=travel_m)


def _on_one_leg(pose: Posture) -> Posture:
    """Return a posture in place with the other leg standing."""
    return replace(pose, other_leg=Leg(), ahead_m=0.0, aside_m=0.0)


def _call(move: Move, options: list[FactorOption]) -> str:
    """Return what is called: ``jack, arms fly``, ``jack and kick``."""
    said = move.spoken
    for option in options:
        said += f" {option.spoken}" if option.factor is Factor.COMBINATION else f", {option.spoken}"
    return said


def _hopped(movements: tuple[Movement, ...], setting: _Setting) -> tuple[Movement, ...]:
    """Return movements with the flights and sways that the level allows."""
    if setting.level is ImpactLevel.III:
        return tuple(replace(m, flight_m=0.0, flight_movements=1, sway_m=0.0) for m in movements)
    if setting.level in (ImpactLevel.II, ImpactLevel.GROUNDED):
        return tuple(replace(m, flight_m=0.0, flight_movements=1) for m in movements)
    anywhere = not any(m.flight_m > 0 for m in movements)
    return tuple(
        replace(m, flight_m=m.flight_m + setting.hop_added_m) if anywhere or m.flight_m > 0 else m
        for m in movements
    )


def _joined(movements: tuple[Movement, ...]) -> tuple[Movement, ...]:
    """Return movements each of which starts in the posture that the one before it ended in."""
    last = movements[-1].end_pose
    found = []
    for movement in movements:
        found.append(replace(movement, start_pose=last))
        last = movement.end_pose
    return tuple(found)


def _with_arms(movements: tuple[Movement, ...], setting: _Setting) -> tuple[Movement, ...]:
    """Return movements with arms and a trunk turn: outward in one, back in the next."""
    found = []
    for index, movement in enumerate(movements):
        outward = index % 2 == 0
        start, end, via = movement.start_pose, movement.end_pose, movement.via
        if setting.arms.home is not None:
            leads = [outward, not outward] if setting.symmetry == "alternating" else [outward] * 2
            if setting.symmetry == "alternating":
                leads.reverse()  # the arm goes out with the opposite leg, as in walking
            start = _armed(start, setting, [not goes_out for goes_out in leads])
            end = _armed(end, setting, leads)
            via = _via_arms(start, end, via, setting, leads)
        if setting.trunk_turn_deg:
            turn = setting.trunk_turn_deg if outward else -setting.trunk_turn_deg
            start, end = _turned(start, -turn), _turned(end, turn)
        found.append(replace(movement, start_pose=start, end_pose=end, via=via))
    return tuple(found)


def _armed(posture: Posture, setting: _Setting, is_out: list[bool]) -> Posture:
    """Return a posture with the arms of an action, lead and other out or at home."""
    home, out = setting.arms.home or Arm(), setting.arms.out or Arm()
    lead, other = (out if flag else home for flag in is_out)
    if setting.symmetry == "one":
        other = Arm(0.0, 45.0, 90.0)  # hand on the hip
    return replace(posture, lead_arm=lead, other_arm=other)


def _via_arms(
    start: Posture, end: Posture, via: Posture | None, setting: _Setting, outs: list[bool]
) -> Posture | None:
    """Return where the limbs pass half-way once arms that come back another way are in."""
    bent = setting.arms.via_back
    if via is None and bent is None:
        return None
    base = via or _halfway(start, end)
    arms = _halfway(start, end)
    lead, other = arms.lead_arm, arms.other_arm
    if bent is not None and not outs[0]:
        lead = bent
    if bent is not None and not outs[1] and setting.symmetry != "one":
        other = bent
    return replace(base, lead_arm=lead, other_arm=other)


def _halfway(start: Posture, end: Posture) -> Posture:
    """Return the posture in the middle of two."""
    limbs = {}
    for name in LIMBS:
        first, last = getattr(start, name), getattr(end, name)
        middle = {
            f.name: (getattr(first, f.name) + getattr(last, f.name)) / 2 for f in fields(first)
        }
        limbs[name] = replace(first, **middle)
    return replace(start, **limbs)


def _turned(posture: Posture, turn_deg: float) -> Posture:
    return replace(posture, trunk=replace(posture.trunk, turn=turn_deg))


def _same_way(setting: _Setting) -> bool:
    """Return whether both arms push the trunk the same way rather than cancel.

    Forward and back they do when they move together, to the sides when in turn.
    """
    home, out = setting.arms.home, setting.arms.out
    if home is None or out is None:
        return False
    forward = max(home.across, out.across) >= 45.0 and home.raised != out.raised
    return setting.symmetry == ("both" if forward else "alternating")


def _scaled(movements: tuple[Movement, ...], scale: float) -> tuple[Movement, ...]:
    """Return movements with every excursion and flight multiplied by scale."""
    if scale == 1.0:
        return movements
    return tuple(
        replace(movement, flight_m=movement.flight_m * scale)
        for movement in scaled_movements(movements, scale)
    )
