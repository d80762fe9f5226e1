"""A form of a move -> the figure that a picture is made of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.figures.skeleton import skeleton
from aquatempo.figures.standing import hips_of, water_of
from aquatempo.moves.catalogue import catalogue
from aquatempo.moves.forms import resolve
from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.postures import pose
from aquatempo.records.figure import FigurePart, FigureStage, MoveFigure, View
from aquatempo.records.limbs import Arm, Leg, Plane, Posture
from aquatempo.records.moves import MoveForm, Travel
from aquatempo.records.people import Pool

__all__ = ["STATURE_M", "figure_of", "standing_figure", "view_of"]

Array = NDArray[np.float64]

STATURE_M = 1.70  # of the person drawn where nobody says: middle of the usual group
FRAMES = 8  # a movement; between them a picture goes straight
MOST_MOVEMENTS = 16
_YAW_DEG = {View.SIDE: 82.0, View.FRONT: 0.0, View.TURNED: 35.0}
_WIDTHS = {  # of stature, seen: flesh and all (ANSUR II 2012, rounded)
    "thigh": 0.085, "shank": 0.060, "foot": 0.026, "upper arm": 0.052, "forearm": 0.045,
    "hand": 0.032, "trunk": 0.072, "neck": 0.050, "head": 0.0975, "nose": 0.022,
}  # fmt: skip


def view_of(form: MoveForm) -> View:
    """Return the side from which a form is seen best: by the plane that its limbs sweep."""
    if form.move.plane is Plane.FRONTAL:
        return View.FRONT
    if form.move.plane is Plane.TRANSVERSE:
        return View.TURNED
    return View.SIDE


def figure_of(
    form: MoveForm,
    pool: Pool,
    *,
    stature_m: float = STATURE_M,
    view: View | None = None,
    mirrored: bool = False,
    range_kept: float = 1.0,
) -> MoveFigure:
    """Return a form as a figure: a loop of whole repetitions in its own pattern.

    pool: depth and kind. stature_m: of the person [m]. view: None for the one that shows it
    best. mirrored: as somebody sees it who faces an instructor, the lead side (a person's
    right) on the right. range_kept: share of the full range that is drawn [1].

    >>> from aquatempo.moves import catalogue, resolve
    >>> figure = figure_of(resolve(catalogue().move("jack")), Pool(depth_m=1.2))
    >>> figure.view.value, figure.counts[-1]
    ('front', 4.0)
    """
    seen = view or view_of(form)
    phases, counts = _frames(form)
    postures = [
        _carried(form, pose(form, phase, range_kept), phase, range_kept) for phase in phases
    ]
    count = len(form.movements)
    hips = hips_of(form, postures, [phase % count for phase in phases], pool, stature_m)
    body = skeleton(postures, stature_m, hips)
    water = water_of(form, pool, stature_m)
    offset = np.array(
        [[one.ahead_m, one.aside_m, up] for one, up in zip(postures, hips, strict=True)]
    )
    flip = -1.0 if mirrored else 1.0
    repetitions = phases[-1] / count
    ways = {Travel.FORWARD: 1.0, Travel.BACK: -1.0}
    way = ways.get(form.travel, 0.0)
    sideways = form.travel is Travel.SIDEWAYS
    along = sideways == (seen is not View.SIDE)
    direction = -flip if sideways else way * (flip if along else 1.0)
    return MoveFigure(
        name=form.name,
        view=seen,
        mirrored=mirrored,
        stature_m=stature_m,
        depth_m=pool.depth_m,
        surface_m=water.surface_m,
        floor_m=0.0,
        ahead=0 if seen is View.FRONT else int(flip),
        counts=counts,
        parts=_seen(body, offset, seen, flip, stature_m),
        stages=_stages(form, phases),
        travel_m=round(form.travel_m * repetitions * range_kept * direction, 3),
        along=along and form.travel is not Travel.IN_PLACE,
        sideways=sideways,
        turn_deg=form.turn_deg * repetitions,
    )


def standing_figure(pool: Pool, stature_m: float) -> MoveFigure:
    """Return a person who stands in a pool, or hangs on the belt in deep water, from the front.

    pool: depth and kind; stature_m: of the person [m].
    """
    known = catalogue()
    form = resolve(known.move("stand-and-breathe"), None, pool.kind, known)
    arms, legs = Arm(9.0, 0.0, 6.0), Leg(out=4.0)
    still = Posture(lead_leg=legs, other_leg=legs, lead_arm=arms, other_arm=arms)
    hips = hips_of(form, [still], [0.0], pool, stature_m)
    body = skeleton([still], stature_m, hips)
    offset = np.array([[0.0, 0.0, hips[0]]])
    return MoveFigure(
        name="",
        view=View.FRONT,
        mirrored=False,
        stature_m=stature_m,
        depth_m=pool.depth_m,
        surface_m=water_of(form, pool, stature_m).surface_m,
        floor_m=0.0,
        ahead=0,
        counts=(0.0,),
        parts=_seen(body, offset, View.FRONT, 1.0, stature_m),
        stages=(),
    )


def _seen(
    body: dict[str, Array], offset: Array, view: View, flip: float, stature_m: float
) -> tuple[FigurePart, ...]:
    """Return the parts of a body as they are seen, the farthest first.

    body: points (frames, points, 3) [m]; offset (frames, 3): where the hips are [m]; flip: -1
    for the mirror image.
    """
    yaw = math.radians(_YAW_DEG[view])
    parts = []
    for name, points in body.items():
        place = points + offset[:, None]
        across = flip * (place[..., 0] * math.sin(yaw) - place[..., 1] * math.cos(yaw))
        near = float(np.mean(place[..., 0] * math.cos(yaw) + place[..., 1] * math.sin(yaw)))
        flat = np.round(np.stack([across, place[..., 2]], axis=-1), 4)
        frames = tuple(tuple((float(x), float(y)) for x, y in one) for one in flat)
        width = _WIDTHS[name.removeprefix("lead ").removeprefix("other ")] * stature_m
        parts.append(FigurePart(name, round(width, 4), round(near, 4), frames))
    return tuple(sorted(parts, key=lambda part: (part.name != "nose", part.near)))


def _frames(form: MoveForm) -> tuple[list[float], tuple[float, ...]]:
    """Return phase [movements] and time [counts] of each frame of the loop."""
    pattern = form.pattern or parse_pattern(form.move.pattern)
    movements, steps = len(form.movements), pattern.steps
    length = min(math.lcm(movements, len(steps)), MOST_MOVEMENTS)
    phases, counts, now = [0.0], [0.0], 0.0
    for number in range(length):
        step = steps[number % len(steps)]
        for frame in range(1, FRAMES + 1):
            phases.append(number + frame / FRAMES)
            counts.append(now + step.moving_counts * frame / FRAMES)
        now += step.moving_counts + step.held_counts
        if step.held_counts:
            phases.append(float(number + 1))
            counts.append(now)
    return phases, tuple(round(one, 4) for one in counts)


def _carried(form: MoveForm, posture: Posture, phase: float, range_kept: float) -> Posture:
    """Return a posture without the travel, with its sway: the eye goes with the body."""
    whole = phase % len(form.movements)
    gone = range_kept * form.travel_m * whole / len(form.movements)
    ahead = {Travel.FORWARD: gone, Travel.BACK: -gone}.get(form.travel, 0.0)
    aside = gone if form.travel is Travel.SIDEWAYS else 0.0
    return replace(posture, ahead_m=posture.ahead_m - ahead, aside_m=posture.aside_m - aside)


def _stages(form: MoveForm, phases: Sequence[float]) -> tuple[FigureStage, ...]:
    """Return the end positions of one repetition, each posture once."""
    found: list[FigureStage] = []
    seen: list[Posture] = []
    for number, movement in enumerate(form.movements):
        if number + 1 > phases[-1]:
            break
        if movement.end_pose in seen:
            continue
        seen.append(movement.end_pose)
        found.append(
            FigureStage(movement.name, phases.index(number + 1), phases.index(float(number)))
        )
    return tuple(found)
