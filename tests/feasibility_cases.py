"""Moves, pools and groups that tests of feasibility share."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from hypothesis import strategies as st

from aquatempo.moves import catalogue, parse_pattern, resolve, variations
from aquatempo.records.limbs import Leg, Movement, Posture, Side
from aquatempo.records.moves import MoveForm, Variation
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool

POOL = Pool()
DEEP = Pool(depth_m=3.0, kind=ClassDepth.DEEP)
GROUP = Group()
LAND, WATER_TEMPO, HALF = (parse_pattern(text) for text in "124")
STRAIGHT_LEG = ("front-kick", "side-kick", "back-kick", "jack", "cross-country-ski", "pendulum")


@cache
def form(key: str, kind: ClassDepth = ClassDepth.SHALLOW, *changes: tuple[object, str]) -> MoveForm:
    """Return a form of a catalogue move."""
    return resolve(catalogue().move(key), Variation(key, changes), kind)  # type: ignore[arg-type]


def leg_form(sweep_deg: float, knee_deg: float = 0.0) -> MoveForm:
    """Return a hand-written form: one leg swings forward and back, arms still, no hop."""
    rest = Posture(lead_leg=Leg(knee=knee_deg))
    up = replace(rest, lead_leg=Leg(hip=sweep_deg, knee=knee_deg))
    movements = (
        Movement("out", "a", "b", rest, up, stands=(Side.TRAIL,)),
        Movement("back", "b", "a", up, rest, stands=(Side.TRAIL,)),
    )
    base = form("front-kick")
    return replace(base, name=f"leg {sweep_deg:g}/{knee_deg:g}", movements=movements)


def hop_form(hop_m: float) -> MoveForm:
    """Return a hand-written form: two-foot jumps of some height and nothing else."""
    still = Posture()
    hop = Movement(
        "jump", "down", "down", still, still, stands=(Side.LEAD, Side.TRAIL), flight_m=hop_m
    )
    return replace(form("jump"), name=f"jump {hop_m:g} m", movements=(hop,))


@cache
def every_form() -> tuple[MoveForm, ...]:
    """Return every move of shallow water, as it stands and with each single variation."""
    known = catalogue()
    return tuple(
        resolve(move, variation)
        for move in known.moves.values()
        if ClassDepth.SHALLOW in move.depths
        for variation in (Variation(move.key), *variations(move))
    )


@cache
def catalogue_forms(kind: ClassDepth) -> tuple[MoveForm, ...]:
    """Return every move of a depth, as it stands."""
    moves = (move for move in catalogue().moves.values() if kind in move.depths)
    return tuple(resolve(move, None, kind) for move in moves)


@st.composite
def groups(draw: st.DrawFn) -> Group:
    """Any group that may come to a class of adults."""
    size = draw(st.integers(1, 30))
    low_m = draw(st.floats(1.45, 1.75))
    young = draw(st.floats(18.0, 75.0))
    light = draw(st.floats(48.0, 80.0))
    return Group(
        size=size,
        women=draw(st.integers(0, size)),
        height_m=(low_m, low_m + draw(st.sampled_from([0.0, 0.1, 0.3]))),
        age_years=(young, young + draw(st.sampled_from([0.0, 10.0, 20.0]))),
        mass_kg=(light, light + draw(st.sampled_from([0.0, 15.0, 40.0]))),
        intensity=draw(st.sampled_from(Intensity)),
    )


pools = st.builds(Pool, depth_m=st.floats(0.9, 1.5), temperature_c=st.floats(26.0, 33.0))
deep_pools = st.builds(
    Pool,
    depth_m=st.floats(1.9, 3.5),
    temperature_c=st.floats(26.0, 33.0),
    kind=st.just(ClassDepth.DEEP),
)
some_forms = st.lists(st.sampled_from(every_form()), min_size=4, max_size=4, unique=True)
some_patterns = st.sampled_from([parse_pattern(text) for text in ("1", "2", "4", "2-2-4", "2+2h")])
