"""A plan shaped, record in, record out: locks, planning again, edits, alternatives, courses.

Every function takes a plan and gives a new one; none opens a file, but where a song is named
by its path. ``edit`` does any of it from one line, as a person types it.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing, open_track
from aquatempo.records.plan import Brief, ClassPlan, PartName
from aquatempo.records.shaping import Alternative, OtherClass
from aquatempo.records.track import Track

__all__ = [
    "EDITS",
    "Song",
    "add_move",
    "add_track",
    "alternatives",
    "drop_move",
    "drop_track",
    "edit",
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

Song = Callable[[str], Track]
EDITS = (
    ("lock 3 | 3.5 | 3.5.2 | warm-up", "keep a track, phrase, block or part"),
    ("unlock 3", "let it go again"),
    ("swap 3 5", "two tracks change places; two phrases as 3.5 3.6"),
    ("swap jack jog [in 3,4]", "one move instead of another"),
    ("move 3 to 5", "a track to another place"),
    ("drop 3 | drop jack", "a track, or a move"),
    ("add song.ogg after 4 [as main]", "a song"),
    ("add lunge [in 3]", "a base move"),
    ("replace 3 with song.ogg", "another song in its place"),
    ("use 2 at 3.5 [everywhere]", "the second alternative for a block"),
    ("again [with seed 7]", "all that is not locked, planned anew"),
    ("late 8", "start so many minutes late"),
)


def lock(plan: ClassPlan, place: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a part, track, phrase or block stays as it is.

    place: the name of a part, or 3, 3.5, 3.5.2. Raises InputError.
    """
    return _locked(plan, place, True)


def unlock(plan: ClassPlan, place: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a part, track, phrase or block may change again."""
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
    """
    from aquatempo.planning.shaping.replanning import replan

    return replan(plan, source, tracks=tracks, seed=seed, progress=progress)


def swap_tracks(
    plan: ClassPlan, first: int, second: int, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two tracks, 1-based, have changed places."""
    from aquatempo.planning.shaping import edits

    return edits.swap_tracks(plan, first, second, source)


def move_track(plan: ClassPlan, track: int, to: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a track, 1-based, stands at another place."""
    from aquatempo.planning.shaping import edits

    return edits.move_track(plan, track, to, source)


def drop_track(plan: ClassPlan, track: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a track, 1-based."""
    from aquatempo.planning.shaping import edits

    return edits.drop_track(plan, track, source)


def add_track(
    plan: ClassPlan,
    song: Track,
    after: int,
    source: Catalogue | None = None,
    part: PartName | None = None,
) -> ClassPlan:
    """Return a plan with another song after a track, 1-based, 0 for the start."""
    from aquatempo.planning.shaping import edits

    return edits.add_track(plan, song, after, source, part)


def replace_track(
    plan: ClassPlan, track: int, song: Track, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan with another song in the place of a track, 1-based."""
    from aquatempo.planning.shaping import edits

    return edits.replace_track(plan, track, song, source)


def swap_phrases(
    plan: ClassPlan, first: str, second: str, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two phrases, as 3.5, have changed what fills them."""
    from aquatempo.planning.shaping import edits
    from aquatempo.planning.shaping.places import place_of

    return edits.swap_phrases(plan, place_of(first), place_of(second), source)


def swap_moves(
    plan: ClassPlan,
    old: str,
    new: str,
    source: Catalogue | None = None,
    tracks: Sequence[int] = (),
) -> ClassPlan:
    """Return a plan in which a move is done instead of another, in some tracks or all."""
    from aquatempo.planning.shaping import edits

    return edits.swap_moves(plan, old, new, source, tracks)


def drop_move(plan: ClassPlan, move: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a move; the brief bans it from then on."""
    from aquatempo.planning.shaping import edits

    return edits.drop_move(plan, move, source)


def add_move(
    plan: ClassPlan, move: str, source: Catalogue | None = None, track: int = 0
) -> ClassPlan:
    """Return a plan with another base move, in a track (1-based) or where it fits best (0)."""
    from aquatempo.planning.shaping import edits

    return edits.add_move(plan, move, source, track)


def alternatives(
    plan: ClassPlan, place: str, source: Catalogue | None = None
) -> tuple[Alternative, ...]:
    """Return the next best three for a block, as 3.5 or 3.5.2, with what they would change."""
    from aquatempo.planning.shaping.alternatives import alternatives as found
    from aquatempo.planning.shaping.places import place_of

    return found(plan, place_of(place), source)


def use_alternative(
    plan: ClassPlan, place: str, alternative: Alternative, everywhere: bool = False
) -> ClassPlan:
    """Return a plan with an alternative in a place.

    everywhere: wherever the track does the same, as in a chorus that comes back.
    """
    from aquatempo.planning.shaping.edits import put_block
    from aquatempo.planning.shaping.places import place_of

    return put_block(plan, place_of(place), alternative.block, everywhere)


def other_classes(
    tracks: Sequence[Track],
    plan: ClassPlan,
    source: Catalogue | None = None,
    count: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[OtherClass, ...]:
    """Return other classes for the brief of a plan, which differ from it in base moves."""
    from aquatempo.planning.shaping.alternatives import other_classes as found

    return found(tracks, plan, source, count, progress=progress)


def late(plan: ClassPlan, minutes: float, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan for a class that starts some minutes late. Raises InfeasibleError."""
    from aquatempo.planning.late import trim_late

    if not 0 < minutes <= 60:
        raise InputError(f"late by {minutes:g} minutes: needs more than 0 and at most 60")
    return trim_late(plan, minutes, source)


def twin(plan: ClassPlan, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan of the same songs for the other depth. Raises InfeasibleError."""
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

    earlier: classes that went before, oldest first. Raises InfeasibleError, InputError.
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


@dataclass(frozen=True)
class _Line:
    """One line of editing, its words and how songs are opened."""

    text: str
    words: tuple[str, ...]
    song: Song

    def wrong(self) -> InputError:
        known = "; ".join(form for form, _ in EDITS)
        return InputError(f"{self.text!r}: not understood. Known: {known}")


def edit(
    plan: ClassPlan,
    line: str,
    source: Catalogue | None = None,
    song: Song | None = None,
    hearing: Hearing = AS_USUAL,
) -> ClassPlan:
    """Return a plan with one change, told in one line; EDITS lists what can be said.

    song: how a song named by its path is opened (default: heard as usual). Raises
    InputError, InfeasibleError, AudioError.
    """
    known = source or catalogue()
    try:
        words = tuple(shlex.split(line))
    except ValueError as exc:
        raise InputError(f"{line!r}: a quote is not closed") from exc
    told = _Line(line, words, song or (lambda path: open_track(path, hearing)))
    if not words or words[0] not in _VERBS:
        raise told.wrong()
    return _VERBS[words[0]](plan, told, known)


def _lock(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    if len(line.words) < 2:
        raise line.wrong()
    for place in line.words[1:]:
        plan = _locked(plan, place, line.words[0] == "lock")
    return plan


def _swap(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 3 and all(word.isdigit() for word in words[1:]):
        return swap_tracks(plan, int(words[1]), int(words[2]), source)
    if len(words) == 3 and all(_is_place(word) for word in words[1:]):
        return swap_phrases(plan, words[1], words[2], source)
    if len(words) == 3 or (len(words) == 5 and words[3] == "in"):
        tracks = _numbers(words[4], line) if len(words) == 5 else ()
        return swap_moves(plan, words[1], words[2], source, tracks)
    raise line.wrong()


def _move(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 4 and words[2] == "to" and words[1].isdigit() and words[3].isdigit():
        return move_track(plan, int(words[1]), int(words[3]), source)
    raise line.wrong()


def _drop(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    if len(line.words) != 2:
        raise line.wrong()
    what = line.words[1]
    if what.isdigit():
        return drop_track(plan, int(what), source)
    return drop_move(plan, what, source)


def _add(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) in (4, 6) and words[2] == "after" and words[3].isdigit():
        part = None
        if len(words) == 6:
            if words[4] != "as" or words[5] not in list(PartName):
                raise line.wrong()
            part = PartName(words[5])
        return add_track(plan, line.song(words[1]), int(words[3]), source, part)
    if len(words) == 2:
        return add_move(plan, words[1], source)
    if len(words) == 4 and words[2] == "in" and words[3].isdigit():
        return add_move(plan, words[1], source, int(words[3]))
    raise line.wrong()


def _replace(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 4 and words[1].isdigit() and words[2] == "with":
        return replace_track(plan, int(words[1]), line.song(words[3]), source)
    raise line.wrong()


def _use(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    everywhere = words[-1] == "everywhere"
    words = words[:-1] if everywhere else words
    if len(words) != 4 or words[2] != "at" or not words[1].isdigit():
        raise line.wrong()
    found = alternatives(plan, words[3], source)
    number = int(words[1])
    if not 1 <= number <= len(found):
        raise InputError(f"alternative {number} at {words[3]}: there are {len(found)}")
    return use_alternative(plan, words[3], found[number - 1], everywhere)


def _again(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 1:
        return plan_again(plan, source)
    if len(words) == 4 and words[1:3] == ("with", "seed") and words[3].isdigit():
        return plan_again(plan, source, seed=int(words[3]))
    raise line.wrong()


def _late(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    try:
        (minutes,) = (float(word) for word in line.words[1:])
    except ValueError:
        raise line.wrong() from None
    return late(plan, minutes, source)


_VERBS: dict[str, Callable[[ClassPlan, _Line, Catalogue], ClassPlan]] = {
    "lock": _lock,
    "unlock": _lock,
    "swap": _swap,
    "move": _move,
    "drop": _drop,
    "add": _add,
    "replace": _replace,
    "use": _use,
    "again": _again,
    "late": _late,
}


def _is_place(word: str) -> bool:
    return all(part.isdigit() for part in word.split(".")) and "." in word


def _numbers(word: str, line: _Line) -> tuple[int, ...]:
    parts = word.split(",")
    if not all(part.isdigit() for part in parts):
        raise line.wrong()
    return tuple(int(part) for part in parts)
