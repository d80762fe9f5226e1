"""A body in motion as a drawing needs it: places in metres in the plane of the picture."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["MoveFigure", "FigurePart", "FigureStage", "View"]

Point = tuple[float, float]


class View(StrEnum):
    """Where the person is looked at from."""

    SIDE = "side"
    FRONT = "front"
    TURNED = "turned"  # between the two, for what sweeps level


@dataclass(frozen=True, slots=True)
class FigurePart:
    """One part of the body through all frames.

    name: ``lead thigh``, ``trunk``, ``head``. width_m: its breadth in the picture [m].
    near: how near the eye it is on average [m], more is nearer. frames: for each frame the
    points of its line (or outline, of the trunk and the feet) [m], x to the right, y up from
    the floor.
    """

    name: str
    width_m: float
    near: float
    frames: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class FigureStage:
    """An end position. name: in the catalogue's words; frame: where; from_frame: the one before."""

    name: str
    frame: int
    from_frame: int


@dataclass(frozen=True, slots=True)
class MoveFigure:
    """A form of a move, seen from one side, through a loop of whole repetitions.

    counts: when each frame is [counts of music] from the start of the loop; the last frame
    is the first again. surface_m, floor_m: heights of water and pool floor [m]; depth_m: of
    the pool. ahead: which way the person faces in the picture: 1 to the right, -1 to the
    left, 0 towards the eye. travel_m: how far the body goes in the loop [m], along the
    picture where along, else towards (+) or from (-) the eye; to the right is positive.
    sideways: the travel is to the lead side. turn_deg: the body turns so far in the loop.
    """

    name: str
    view: View
    mirrored: bool
    stature_m: float
    depth_m: float
    surface_m: float
    floor_m: float
    ahead: int
    counts: tuple[float, ...]
    parts: tuple[FigurePart, ...]
    stages: tuple[FigureStage, ...]
    travel_m: float = 0.0
    along: bool = False
    sideways: bool = False
    turn_deg: float = 0.0
