"""A plan shaped, record in, record out: locks, planning again, edits, alternatives, courses.

Every function takes a plan and gives a new one; none opens a file. What a person types in one
line does any of it in ``one_line``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from aquatempo.errors import InputError
from aquatempo.moves import Catalogue
from aquatempo.records.plan import Brief, ClassPlan, PartName
from aquatempo.records.shaping import Alternative, OtherClass
from aquatempo.records.track import Track

__all__ = [
    "add_move",
    "add_track",
    "alternatives",
    "drop_move",
    "drop_track",
    "late",
    "lock",
    "move_track",
    "other_classes",
    "plan_again",
    "plan_weeks",
    "replace_track",
    "swap_moves",
    "swap_phrases",
    "swap_tracks",
    "twin",
    "unlock",
    "use_alternative",
]


def lock(plan: ClassPlan, place: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a part, track, phrase or block stays as it is.

    place: the name of a part, or 3, 3.5, 3.5.2. Raises InputError. source: the catalogue in
    force.
    """
    return _locked(plan, place, True)


def unlock(plan: ClassPlan, place: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a part, track, phrase or block may change again.

    place: what is meant, such as track 3 phrase 2; source: the catalogue in force.
    """
    return _locked(plan, place, False)


def _locked(plan: ClassPlan, place: str, locked: bool) -> ClassPlan:
    from aquatempo.planning.shaping.places import place_of, with_lock

    at = PartName(place) if place in list(PartName) else place_of(place)
    return with_lock(plan, at, locked)


def plan_again(
    plan: ClassPlan,
    source: Catalogue | None = None,
    *,
    tracks: Sequence[Track] = (),
    seed: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> ClassPlan:
    """Return a plan with what is locked kept and the rest planned anew.

    tracks: music to choose other songs from; none: the songs stay. Raises InfeasibleError.
    source: the catalogue in force; seed: another one gives another plan; progress: told (what,
    done, of all).
    """
    from aquatempo.planning.shaping.replanning import replan

    return replan(plan, source, tracks=tracks, seed=seed, progress=progress)


def swap_tracks(
    plan: ClassPlan, first: int, second: int, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two tracks, 1-based, have changed places.

    first: one of the two; second: the other; source: the catalogue in force.
    """
    from aquatempo.planning.shaping import track_edits

    return track_edits.swap_tracks(plan, first, second, source)


def move_track(plan: ClassPlan, track: int, to: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a track, 1-based, stands at another place.

    to: its new place, 1 the first; source: the catalogue in force.
    """
    from aquatempo.planning.shaping import track_edits

    return track_edits.move_track(plan, track, to, source)


def drop_track(plan: ClassPlan, track: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a track, 1-based.

    source: the catalogue in force.
    """
    from aquatempo.planning.shaping import track_edits

    return track_edits.drop_track(plan, track, source)


def add_track(
    plan: ClassPlan,
    song: Track,
    after: int,
    source: Catalogue | None = None,
    part: PartName | None = None,
) -> ClassPlan:
    """Return a plan with another song after a track, 1-based, 0 for the start.

    source: the catalogue in force; part: where it goes, None for where it suits.
    """
    from aquatempo.planning.shaping import track_edits

    return track_edits.add_track(plan, song, after, source, part)


def replace_track(
    plan: ClassPlan, track: int, song: Track, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan with another song in the place of a track, 1-based.

    source: the catalogue in force.
    """
    from aquatempo.planning.shaping import track_edits

    return track_edits.replace_track(plan, track, song, source)


def swap_phrases(
    plan: ClassPlan, first: str, second: str, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two phrases, as 3.5, have changed what fills them.

    first: one of the two; second: the other; source: the catalogue in force.
    """
    from aquatempo.planning.shaping import move_edits
    from aquatempo.planning.shaping.places import place_of

    return move_edits.swap_phrases(plan, place_of(first), place_of(second), source)


def swap_moves(
    plan: ClassPlan,
    old: str,
    new: str,
    source: Catalogue | None = None,
    tracks: Sequence[int] = (),
) -> ClassPlan:
    """Return a plan in which a move is done instead of another, in some tracks or all.

    old: the move to replace; new: what replaces it; source: the catalogue in force.
    """
    from aquatempo.planning.shaping import move_edits

    return move_edits.swap_moves(plan, old, new, source, tracks)


def drop_move(plan: ClassPlan, move: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a move; the brief bans it from then on.

    source: the catalogue in force.
    """
    from aquatempo.planning.shaping import move_edits

    return move_edits.drop_move(plan, move, source)


def add_move(
    plan: ClassPlan, move: str, source: Catalogue | None = None, track: int = 0
) -> ClassPlan:
    """Return a plan with another base move, in a track (1-based) or where it fits best (0).

    source: the catalogue in force.
    """
    from aquatempo.planning.shaping import move_edits

    return move_edits.add_move(plan, move, source, track)


def alternatives(
    plan: ClassPlan,
    place: str,
    source: Catalogue | None = None,
    best: int = 3,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Alternative, ...]:
    """Return the next best few for a block, as 3.5 or 3.5.2, with what they would change.

    plan: the class; place: what is meant, such as track 3 phrase 2; source: the catalogue in
    force; best: how many; progress: told how many moves are weighed, of all.
    """
    from aquatempo.planning.shaping.alternatives import alternatives as found
    from aquatempo.planning.shaping.places import place_of

    return found(plan, place_of(place), source, best, progress)


def use_alternative(
    plan: ClassPlan, place: str, alternative: Alternative, everywhere: bool = False
) -> ClassPlan:
    """Return a plan with an alternative in a place.

    everywhere: wherever the track does the same, as in a chorus that comes back.
    """
    from aquatempo.planning.shaping.move_edits import put_block
    from aquatempo.planning.shaping.places import place_of

    return put_block(plan, place_of(place), alternative.block, everywhere)


def other_classes(
    tracks: Sequence[Track],
    plan: ClassPlan,
    source: Catalogue | None = None,
    count: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[OtherClass, ...]:
    """Return other classes for the brief of a plan, which differ from it in base moves.

    tracks: the songs, in order; source: the catalogue in force; count: how many; progress: told
    (what, done, of all).
    """
    from aquatempo.planning.shaping.alternatives import other_classes as found

    return found(tracks, plan, source, count, progress=progress)


def late(plan: ClassPlan, minutes: float, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan for a class that starts some minutes late. Raises InfeasibleError.

    source: the catalogue in force.
    """
    from aquatempo.planning.late import trim_late

    if not 0 < minutes <= 60:
        raise InputError(f"late by {minutes:g} minutes: needs more than 0 and at most 60")
    return trim_late(plan, minutes, source)


def twin(plan: ClassPlan, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan of the same songs for the other depth. Raises InfeasibleError.

    source: the catalogue in force.
    """
    from aquatempo.planning.twin import twin_plan

    return twin_plan(plan, source)


def plan_weeks(
    tracks: Sequence[Track],
    brief: Brief,
    weeks: int,
    source: Catalogue | None = None,
    earlier: Sequence[ClassPlan] = (),
    progress: Callable[[int, int], None] | None = None,
) -> tuple[ClassPlan, ...]:
    """Return the classes of a course, one a week, each after those before it.

    earlier: classes that went before, oldest first. Raises InfeasibleError, InputError. tracks:
    the songs, in order; brief: what was asked; weeks: how many classes; source: the catalogue
    in force; progress: told (what, done, of all).
    """
    from aquatempo.planning.class_plan import plan_class
    from aquatempo.planning.course import brief_after

    if not 1 <= weeks <= 52:
        raise InputError(f"{weeks} weeks: needs 1 to 52")
    done, plans = list(earlier), list[ClassPlan]()
    for week in range(weeks):
        plan = plan_class(tracks, brief_after(brief, done, source), source)
        titled = replace(plan.brief, title=f"{brief.title}, week {len(done) + 1}")
        plans.append(replace(plan, brief=titled))
        done.append(plan)
        if progress is not None:
            progress(week + 1, weeks)
    return tuple(plans)
