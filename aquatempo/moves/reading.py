"""Entries of a catalogue text -> records, each value checked where it stands.

``back = true`` runs the swings of the movement before it the other way, and
``mirror = true`` adds the same movements on the other side.
"""

from __future__ import annotations

from dataclasses import replace

from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.rules import rules
from aquatempo.moves.swings import mirrored_swing, read_swing, reversed_swing
from aquatempo.records.moves import (
    ARM_SYMMETRIES,
    Factor,
    FactorOption,
    Hands,
    ImpactLevel,
    Lever,
    Move,
    MoveKind,
    Movement,
    Plane,
    Segment,
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
    *("start", "mirror", "swaps_lead", "movements"),
)
_MOVEMENT_KEYS = ("name", "end", "flight_m", "flight_movements", "sway_m", "swings", "back")
_OPTION_KEYS = (
    *("name", "spoken", "sign", "physics", "rung", "fits", "unfit", "cautions", "effect"),
    *("swings", "swings_back"),
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
}


def read_move(key: str, table: TomlTable) -> Move:
    """Return the move that a table tells; raise TextFileError at the line that is wrong.

    key: of the move.
    """
    table.know(_MOVE_KEYS)
    spoken = table.text("spoken")
    if not 0 < len(spoken) <= _SPOKEN_AT_MOST:
        raise table.error("spoken", f"spoken {spoken!r}: needs 1 to {_SPOKEN_AT_MOST} letters")
    movements = _read_movements(table)
    mirror = table.flag("mirror")
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
        sided=any(s.side is not Side.BOTH for m in movements for s in m.swings),
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
    if factor is not Factor.ARMS and ("swings" in table.data or "swings_back" in table.data):
        raise table.error("swings", f"swings belong to arm actions, not to {factor}")
    swings = tuple(read_swing(t) for t in table.tables("swings"))
    back = tuple(read_swing(t) for t in table.tables("swings_back"))
    for swing in (*swings, *back):
        if swing.segment not in (Segment.ARM, Segment.FOREARM):
            raise table.error("swings", f"an arm action cannot move the {swing.joint}")
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
        swings=swings,
        swings_back=back,
        physics=table.text("physics"),
        rung=table.whole("rung", -3, 3, usual=0),
    )


def _read_movements(table: TomlTable) -> tuple[Movement, ...]:
    start = _position(table, "start")
    found: list[Movement] = []
    for item in table.tables("movements"):
        item.know(_MOVEMENT_KEYS)
        if item.flag("back"):
            if not found or "swings" in item.data:
                raise item.error("back", "back needs a movement before it and no swings of its own")
            swings = tuple(reversed_swing(swing) for swing in found[-1].swings)
        else:
            swings = tuple(read_swing(t) for t in item.tables("swings"))
        end = _position(item, "end")
        found.append(
            Movement(
                name=item.text("name"),
                start=found[-1].end if found else start,
                end=end,
                swings=swings,
                flight_m=item.number("flight_m", 0.0, _FLIGHT_AT_MOST_M, "m", 0.0),
                flight_movements=item.whole("flight_movements", 1, 4, usual=1),
                sway_m=item.number("sway_m", 0.0, 1.0, "m", 0.0),
            )
        )
    if not found:
        raise table.error("movements", f"move {table.name!r} needs at least one movement")
    return tuple(found)


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
        name=_other_words(movement.name),
        start=_other_words(movement.start),
        end=_other_words(movement.end),
        swings=tuple(mirrored_swing(swing) for swing in movement.swings),
    )


def _other_words(words: str) -> str:
    swap = {"lead": "other", "other": "lead"}
    return " ".join(swap.get(word, word) for word in words.split(" "))


def _check_cycle(table: TomlTable, movements: tuple[Movement, ...]) -> None:
    for before, after in zip(movements, (*movements[1:], movements[0]), strict=True):
        if before.end != after.start:
            raise table.error(
                "start",
                f"{after.name!r} starts at {after.start!r}, but {before.name!r} ends at"
                f" {before.end!r}: a repetition has to end where it starts",
            )
