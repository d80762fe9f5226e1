"""Entries of a catalogue text -> records, each value checked where it stands.

A movement leads from the posture of its start to that of its end. ``mirror = true`` adds
the same movements on the other side; ``back = true`` goes back to where the movement
before it came from, where a text tells swings in place of postures.
"""

from __future__ import annotations

from dataclasses import replace

from aquatempo.errors import InputError
from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.posing import other_words, read_arm, read_poses, read_via
from aquatempo.moves.postures import mirrored, mirrored_side
from aquatempo.moves.rules import rules
from aquatempo.moves.swings import ends_of, read_swing
from aquatempo.moves.tables import Table
from aquatempo.records.moves import (
    Factor,
    FactorOption,
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
    *("home", "out", "via_back"),
)
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
}
_SPOKEN_AT_MOST = 24  # characters: what can be called in about a second and a half
_FLIGHT_AT_MOST_M = 0.4


def read_move(key: str, table: Table) -> Move:
    """Return the move that a table tells; raise TextFileError at the line that is wrong."""
    table.know(_MOVE_KEYS)
    spoken = table.words("spoken")
    if not 0 < len(spoken) <= _SPOKEN_AT_MOST:
        raise table.error("spoken", f"spoken {spoken!r}: needs 1 to {_SPOKEN_AT_MOST} letters")
    mirror = table.flag("mirror")
    movements = _read_movements(table, mirror)
    if mirror:
        movements += tuple(_mirrored(movement) for movement in movements)
    _check_cycle(table, movements)
    pattern_text = table.words("pattern", "2")
    try:
        pattern = parse_pattern(pattern_text)
    except InputError as exc:
        raise table.error("pattern", str(exc)) from exc
    levels = table.choices("levels", ImpactLevel)
    depths = table.choices("depths", ClassDepth)
    if table.data.get("easier") == key or table.data.get("harder") == key:
        raise table.error("easier", f"{key!r} cannot be its own easier or harder option")
    return Move(
        key=key,
        name=table.words("name"),
        spoken=spoken,
        sign=table.words("sign"),
        kind=table.choice("kind", MoveKind),
        plane=table.choice("plane", Plane),
        lever=table.choice("lever", Lever),
        movements=movements,
        swaps_lead=table.flag("swaps_lead"),
        alternates=mirror,
        default_counts=tuple(s.moving_counts + s.held_counts for s in pattern.steps),
        levels=levels,
        depths=depths,
        muscles=table.items("muscles"),
        limits=table.words("limits"),
        description=table.words("description"),
        min_depth=table.words("min_depth", "navel"),
        max_depth=table.words("max_depth", "neck"),
        needs_floor=ClassDepth.DEEP not in depths,
        space_m2=table.number("space_m2", 2.0, 0.5, 20.0),
        deep_equivalent=table.words("deep_equivalent", ""),
        easier=table.words("easier", ""),
        harder=table.words("harder", ""),
        cautions=table.items("cautions"),
        sided=any(_one_sided(movement) for movement in movements),
        arms=table.words("arms", "still"),
        arm_symmetry=table.words("arm_symmetry", "both"),
        travel=table.choice("travel", Travel, Travel.IN_PLACE),
        travel_m=table.number("travel_m", 0.0, 0.0, 2.0) * len(movements),
        pattern=pattern.text,
        range_reason=table.words("range_reason", ""),
    )


def read_option(factor: Factor, key: str, table: Table) -> FactorOption:
    """Return the factor option that a table tells; raise TextFileError at the wrong line."""
    table.know(_OPTION_KEYS)
    home, out, via_back = (read_arm(table, key) for key in ("home", "out", "via_back"))
    if factor is not Factor.ARMS and home is not None:
        raise table.error("home", f"home and out belong to arm actions, not to {factor}")
    if (home is None) != (out is None):
        raise table.error("home", "an arm action needs both home and out")
    return FactorOption(
        factor=factor,
        key=key,
        name=table.words("name"),
        spoken=table.words("spoken"),
        sign=table.words("sign"),
        effect=_read_effect(table),
        fits=table.items("fits"),
        unfit=table.items("unfit"),
        cautions=table.items("cautions"),
        home=home,
        out=out,
        via_back=via_back,
        physics=table.words("physics"),
        rung=int(table.number("rung", 0.0, -3.0, 3.0)),
    )


def _read_movements(table: Table, mirror: bool) -> tuple[Movement, ...]:
    start = _position(table, "start")
    poses = read_poses(table, mirror) if "poses" in table.data else None
    standing = Posture()
    before = (standing, standing)
    if poses is not None:
        place = table.words("start_pose", start)
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
            last = _posture(item, "end", item.words("pose", end), poses)
            before = (first, last)
        found.append(
            Movement(
                name=item.words("name"),
                start=found[-1].end if found else start,
                end=end,
                start_pose=first,
                end_pose=last,
                via=read_via(item, first, last),
                stands=item.choices("stands", Side) if "stands" in item.data else (),
                flight_m=item.number("flight_m", 0.0, 0.0, _FLIGHT_AT_MOST_M),
                flight_movements=int(item.number("flight_movements", 1, 1, 4)),
                sway_m=item.number("sway_m", 0.0, 0.0, 1.0),
            )
        )
    if not found:
        raise table.error("movements", f"move {table.place[-1]!r} needs at least one movement")
    return tuple(found)


def _posture(table: Table, key: str, name: str, poses: dict[str, Posture]) -> Posture:
    if name not in poses:
        known = ", ".join(poses)
        raise table.error(key, f"no posture {name!r}: the table poses has {known}")
    return poses[name]


def _by_swings(
    item: Table, found: list[Movement], before: tuple[Posture, Posture]
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


def _read_effect(table: Table) -> tuple[tuple[str, str | float | bool], ...]:
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
    if "level" in data and data["level"] not in list(ImpactLevel):
        raise table.error("effect", f"level {data['level']!r}: needs {', '.join(ImpactLevel)}")
    if "travel" in data and data["travel"] not in list(Travel):
        raise table.error("effect", f"travel {data['travel']!r}: needs {', '.join(Travel)}")
    if "pattern" in data:
        try:
            parse_pattern(data["pattern"])
        except InputError as exc:
            raise table.error("effect", str(exc)) from exc
    return tuple(data.items())


def _position(table: Table, key: str) -> str:
    value = table.words(key)
    if value not in rules().positions:
        raise table.error(key, f"{key} {value!r}: needs one of {', '.join(rules().positions)}")
    return value


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


def _check_cycle(table: Table, movements: tuple[Movement, ...]) -> None:
    for before, after in zip(movements, (*movements[1:], movements[0]), strict=True):
        if before.end != after.start:
            raise table.error(
                "start",
                f"{after.name!r} starts at {after.start!r}, but {before.name!r} ends at"
                f" {before.end!r}: a repetition has to end where it starts",
            )
