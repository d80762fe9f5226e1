"""Moves, pools and groups that tests of feasibility share."""

from __future__ import annotations

from functools import cache

from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.moves import (
    Action,
    Joint,
    JointSwing,
    MoveForm,
    Movement,
    Segment,
    Variation,
)
from aquatempo.records.people import ClassDepth, Group, Pool

POOL = Pool()
DEEP = Pool(depth_m=3.0, kind=ClassDepth.DEEP)
GROUP = Group()
LAND, WATER_TEMPO, HALF = (parse_pattern(text) for text in "124")
STRAIGHT_LEG = ("front-kick", "side-kick", "back-kick", "jack", "cross-country-ski", "pendulum")


@cache
def form(key: str, kind: ClassDepth = ClassDepth.SHALLOW, *changes: tuple[object, str]) -> MoveForm:
    """Return a form of a catalogue move."""
    return resolve(catalogue().move(key), Variation(key, changes), kind)  # type: ignore[arg-type]


def leg_form(sweep_deg: float, bend_deg: float = 0.0) -> MoveForm:
    """Return a hand-written form: one leg swings forward and back, arms still, no hop."""
    from dataclasses import replace

    base = form("front-kick")
    out = JointSwing(Joint.HIP, Action.FLEXION, Segment.LEG, 0.0, sweep_deg, bend_deg=bend_deg)
    back = JointSwing(Joint.HIP, Action.EXTENSION, Segment.LEG, sweep_deg, 0.0, bend_deg=bend_deg)
    movements = (Movement("out", "a", "b", (out,)), Movement("back", "b", "a", (back,)))
    return replace(base, name=f"leg {sweep_deg:g}/{bend_deg:g}", movements=movements)


def hop_form(hop_m: float) -> MoveForm:
    """Return a hand-written form: two-foot jumps of some height and nothing else."""
    from dataclasses import replace

    hop = Movement("jump", "down", "down", (), flight_m=hop_m)
    return replace(form("jump"), name=f"jump {hop_m:g} m", movements=(hop,))
