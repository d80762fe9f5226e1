"""Entries of a catalogue text -> records, each value checked where it stands.

A movement leads from the posture of its start to that of its end. ``mirror = true`` adds
the same movements on the other side; ``back = true`` goes back to where the movement
before it came from, where a text tells swings in place of postures.
"""

from __future__ import annotations

from dataclasses import replace

from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.posing import other_words, read_arm, read_poses, read_via
from aquatempo.moves.postures import mirrored, mirrored_side
from aquatempo.moves.rules import rules
from aquatempo.moves.swings import arms_by_swings, ends_of, read_swing
from aquatempo.records.moves import (
    ARM_SYMMETRIES,
    Arm,
    Factor,
    FactorOption,
    Hands,
    ImpactLevel,
    Lever,
    Move,
    MoveKind,
    Movement,
    Plane,
    Posture,
    Side,
    Travel,
)
from aquatempo.records.people import ClassDepth
from aquatempo.tomltext import TomlTable

__all__ = ["read_move", "read_option"]

_MOVE_KEYS = (
    *("name", "spoken", "sign", "kind", "plane", "lever", "levels", "depths", "muscles", "limits"),
    *("description", "min_depth", "max_depth", "space_m2", "deep_equivalent", "easier", "harder"),
    *("cautions", "arms", "arm_symmetry", "travel", "travel_m", "pattern", "range_reason"),
    *("start", "start_pose", "poses", "mirror", "swaps_lead", "movements"),
)
_MOVEMENT_KEYS = (
    *("name", "end", "pose", "via", "stands", "flight_m", "flight_movements", "sway_m"),
    *("swings", "back"),
)
_OPTION_KEYS = (
    *("name", "spoken", "sign", "physics", "rung", "fits", "unfit", "cautions", "effect"),
    *("home", "out", "via_back", "swings", "swings_back"),
)
_SPOKEN_AT_MOST = 24  # characters: what can be called in about a second and a half
_FLIGHT_AT_MOST_M = 0.4
_EFFECTS: dict[str, type] = {
    "travel": str,
    "travel_m": float,
    "turn_deg": float,
    "trunk_turn_deg": float,
    "pattern": str,
    "level": str,
    "arms": str,
    "hop_added_m": float,
    "range_scale": float,
    "partner": str,
    "arms_in_water": bool,
    "one_side": bool,
    "arm_symmetry": str,
    "hands": str,
}
_EFFECT_NAMES: dict[str, tuple[str, ...]] = {
    "level": tuple(ImpactLevel),
    "travel": tuple(Travel),
    "hands": tuple(Hands),
    "arm_symmetry": ARM_SYMMETRIES,
}
_EFFECT_LIMITS = {
    "travel_m": (0.0, 2.0),
    "turn_deg": (0.0, 720.0),
    "trunk_turn_deg": (0.0, 45.0),
    "hop_added_m": (0.0, _FLIGHT_AT_MOST_M),
    "range_scale": (0.1, 2.0),
}
# What an option of a factor has to set, one of them: otherwise it would change nothing.
_NEEDED_EFFECTS = {
    Factor.ARM_SYMMETRY: ("arm_symmetry",),
    Factor.HANDS: ("hands",),
    Factor.TRAVEL: ("travel",),
    Factor.TURN: ("turn_deg", "trunk_turn_deg"),
    Factor.TEMPO: ("pattern",),
    Factor.LEVEL: ("level",),
    Factor.RANGE: ("range_scale",),
    Factor.COMBINATION: ("partner",),
    Factor.SIDES: ("one_side",),
}


def read_move(key: str, table: TomlTable) -> Move:
    """Return the move that a table tells; raise TextFileError at the line that is wrong.

    key: of the move.
    """
    table.know(_MOVE_KEYS)
    spoken = table.text("spoken")
    if not 0 < len(spoken) <= _SPOKEN_AT_MOST:
        raise table.error("spoken", f"spoken {spoken!r}: needs 1 to {_SPOKEN_AT_MOST} letters")
    mirror = table.flag("mirror")
    movements = _read_movements(table, mirror)
    if mirror:
        movements += tuple(_mirrored(movement) for movement in movements)
    _check_cycle(table, movements)
    with table.naming("pattern"):
        pattern = parse_pattern(table.text("pattern", "2"))
    levels = table.choices("levels", ImpactLevel)
    depths = table.choices("depths", ClassDepth)
    if table.data.get("easier") == key or table.data.get("harder") == key:
        raise table.error("easier", f"{key!r} cannot be its own easier or harder option")
    return Move(
        key=key,
        name=table.text("name"),
        spoken=spoken,
        sign=table.text("sign"),
        kind=table.choice("kind", MoveKind),
        plane=table.choice("plane", Plane),
        lever=table.choice("lever", Lever),
        movements=movements,
        swaps_lead=table.flag("swaps_lead"),
        alternates=mirror,
        default_counts=tuple(s.moving_counts + s.held_counts for s in pattern.steps),
        levels=levels,
        depths=depths,
        muscles=table.texts("muscles"),
        limits=table.text("limits"),
        description=table.text("description"),
        min_depth=table.text("min_depth", "navel"),
        max_depth=table.text("max_depth", "neck"),
        needs_floor=ClassDepth.DEEP not in depths,
        space_m2=table.number("space_m2", 0.5, 20.0, "m2", 2.0),
        deep_equivalent=table.text("deep_equivalent", ""),
        easier=table.text("easier", ""),
        harder=table.text("harder", ""),
        cautions=table.texts("cautions"),
        sided=any(_one_sided(movement) for movement in movements),
        arms=table.text("arms", "still"),
        arm_symmetry=table.text("arm_symmetry", "both"),
        travel=table.choice("travel", Travel, Travel.IN_PLACE),
        travel_m=table.number("travel_m", 0.0, 2.0, "m", 0.0) * len(movements),
        pattern=pattern.text,
        range_reason=table.text("range_reason", ""),
    )


def read_option(factor: Factor, key: str, table: TomlTable) -> FactorOption:
    """Return the factor option that a table tells; raise TextFileError at the wrong line.

    key: of the option.
    """
    table.know(_OPTION_KEYS)
    home, out, via_back = _read_reach(factor, table)
    return FactorOption(
        factor=factor,
        key=key,
        name=table.text("name"),
        spoken=table.text("spoken"),
        sign=table.text("sign"),
        effect=_read_effect(factor, table),
        fits=table.texts("fits"),
        unfit=table.texts("unfit"),
        cautions=table.texts("cautions"),
        home=home,
        out=out,
        via_back=via_back,
        physics=table.text("physics"),
        rung=table.whole("rung", -3, 3, usual=0),
    )


def _read_reach(factor: Factor, table: TomlTable) -> tuple[Arm | None, Arm | None, Arm | None]:
    """Return where the arms of an option rest, reach to, and pass on their way back."""
    for key in ("home", "swings", "swings_back"):
        if factor is not Factor.ARMS and key in table:
            raise table.error(key, f"{key} belong to arm actions, not to {factor}")
    if "swings" in table or "swings_back" in table:
        return arms_by_swings(table)
    home, out, via_back = (read_arm(table, key) for key in ("home", "out", "via_back"))
    if (home is None) != (out is None):
        raise table.error("home", "an arm action needs both home and out")
    return home, out, via_back


def _read_movements(table: TomlTable, mirror: bool) -> tuple[Movement, ...]:
    start = _position(table, "start")
    poses = read_poses(table, mirror) if "poses" in table.data else None
    standing = Posture()
    before = (standing, standing)
    if poses is not None:
        place = table.text("start_pose", start)
        before = (standing, _posture(table, "start", place, poses))
    found: list[Movement] = []
    for item in table.tables("movements"):
        item.know(_MOVEMENT_KEYS)
        end = _position(item, "end")
        if poses is None:
            before = _by_swings(item, found, before)
            first, last = before
        else:
            if "swings" in item.data or "back" in item.data:
                raise item.error("swings", "a move with poses tells no swings")
            first = before[1]
            last = _posture(item, "end", item.text("pose", end), poses)
            before = (first, last)
        found.append(
            Movement(
                name=item.text("name"),
                start=found[-1].end if found else start,
                end=end,
                start_pose=first,
                end_pose=last,
                via=read_via(item, first, last),
                stands=item.choices("stands", Side) if "stands" in item.data else (),
                flight_m=item.number("flight_m", 0.0, _FLIGHT_AT_MOST_M, "m", 0.0),
                flight_movements=item.whole("flight_movements", 1, 4, usual=1),
                sway_m=item.number("sway_m", 0.0, 1.0, "m", 0.0),
            )
        )
    if not found:
        raise table.error("movements", f"move {table.name!r} needs at least one movement")
    return tuple(found)


def _posture(table: TomlTable, key: str, name: str, poses: dict[str, Posture]) -> Posture:
    if name not in poses:
        known = ", ".join(poses)
        raise table.error(key, f"no posture {name!r}: the table poses has {known}")
    return poses[name]


def _by_swings(
    item: TomlTable, found: list[Movement], before: tuple[Posture, Posture]
) -> tuple[Posture, Posture]:
    """Return the ends of a movement that is told by swings, or by going back."""
    if item.flag("back"):
        if not found or "swings" in item.data:
            raise item.error("back", "back needs a movement before it and no swings of its own")
        return found[-1].end_pose, found[-1].start_pose
    return ends_of([read_swing(t) for t in item.tables("swings")], before[1])


def _one_sided(movement: Movement) -> bool:
    """Return whether legs or arms do other things on the two sides in a movement."""
    return any(swing.side is not Side.BOTH for swing in movement.swings)


def _read_effect(factor: Factor, table: TomlTable) -> tuple[tuple[str, str | float | bool], ...]:
    data = table.data.get("effect", {})
    if not isinstance(data, dict):
        raise table.error("effect", "effect needs a table such as { range_scale = 0.6 }")
    for name, value in data.items():
        if name not in _EFFECTS:
            raise table.error("effect", f"unknown effect {name!r}; known: {', '.join(_EFFECTS)}")
        kind = _EFFECTS[name]
        right = isinstance(value, int | float) if kind is float else isinstance(value, kind)
        if not right or (kind is float and isinstance(value, bool)):
            raise table.error("effect", f"effect {name} {value!r}: needs a {kind.__name__}")
        if name in _EFFECT_LIMITS:
            low, high = _EFFECT_LIMITS[name]
            if not low <= value <= high:
                raise table.error("effect", f"effect {name} {value:g}: needs {low:g} to {high:g}")
    needed = _NEEDED_EFFECTS.get(factor, ())
    if needed and not any(name in data for name in needed):
        wanted = " or ".join(needed)
        raise table.error("effect", f"an option of {factor} needs an effect: {wanted}")
    for name, known in _EFFECT_NAMES.items():
        if name in data and data[name] not in known:
            raise table.error("effect", f"{name} {data[name]!r}: needs {', '.join(known)}")
    if "pattern" in data:
        with table.naming("effect"):
            parse_pattern(data["pattern"])
    return tuple(data.items())


def _position(table: TomlTable, key: str) -> str:
    return table.word(key, rules().positions)


def _mirrored(movement: Movement) -> Movement:
    return replace(
        movement,
        name=other_words(movement.name),
        start=other_words(movement.start),
        end=other_words(movement.end),
        start_pose=mirrored(movement.start_pose),
        end_pose=mirrored(movement.end_pose),
        via=None if movement.via is None else mirrored(movement.via),
        stands=tuple(mirrored_side(side) for side in movement.stands),
    )


def _check_cycle(table: TomlTable, movements: tuple[Movement, ...]) -> None:
    for before, after in zip(movements, (*movements[1:], movements[0]), strict=True):
        if before.end != after.start:
            raise table.error(
                "start",
                f"{after.name!r} starts at {after.start!r}, but {before.name!r} ends at"
                f" {before.end!r}: a repetition has to end where it starts",
            )
