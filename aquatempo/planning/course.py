"""A class that follows earlier ones: what the group knows, what was used lately, how hard."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from aquatempo.moves import Catalogue, catalogue
from aquatempo.records.brief import Course
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, Brief, ClassPlan

__all__ = ["brief_after", "lately"]

_TAUGHT = (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.ARMS_ONLY)


def brief_after(brief: Brief, plans: Sequence[ClassPlan], source: Catalogue | None = None) -> Brief:
    """Return a brief for the class after some others, in their order, oldest first.

    The group knows what they taught, songs and endings tell how many weeks ago they were used,
    and the week of the course is counted on. What the brief says of itself stays. plans:
    earlier classes, oldest first; source: the catalogue in force.
    """
    if not plans:
        return brief
    known = source or catalogue()
    moves = dict.fromkeys(brief.known_moves)
    forms = dict.fromkeys(brief.known_forms)
    for plan in plans:
        for block in _blocks(plan):
            if known.move(block.move).kind in _TAUGHT:
                moves[block.move] = None
                for factor, option in block.variation:
                    if factor not in ("level", "sides"):
                        forms[block.move, factor, option] = None
    course = brief.course or Course()
    if brief.course is None or course.week == 1:
        course = replace(course, week=len(plans) + 1)
    return replace(
        brief,
        known_moves=tuple(moves),
        known_forms=tuple(forms),
        course=course,
        songs_used=_weeks(plans, _songs),
        endings_used=_weeks(plans, lambda plan: [plan.ending] if plan.ending else []),
    )


def lately(used: Sequence[tuple[str, int]], name: str, file: str, weeks: int) -> bool:
    """Return whether a song was used within so many weeks, told by title or file.

    name: of the part.

    >>> lately([("Odd Lane", 1), ("Quay", 4)], "Quay", "", 2)
    False
    """
    return any(title in (name, file) and ago <= weeks for title, ago in used)


def _weeks(
    plans: Sequence[ClassPlan], names: Callable[[ClassPlan], Sequence[str]]
) -> tuple[tuple[str, int], ...]:
    """Return each name with how many weeks ago it was used last."""
    found: dict[str, int] = {}
    for ago, plan in enumerate(reversed(plans), 1):
        for name in names(plan):
            found.setdefault(name, ago)
    return tuple(sorted(found.items(), key=lambda one: (one[1], one[0])))


def _songs(plan: ClassPlan) -> list[str]:
    return [track.title for track in plan.tracks if track.file]


def _blocks(plan: ClassPlan) -> Iterator[Block]:
    for track in plan.tracks:
        for phrase in track.phrases:
            yield from phrase.blocks
