"""A plan changed by one line, as a person types it."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from dataclasses import dataclass

from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing, open_track
from aquatempo.records.plan import ClassPlan, PartName
from aquatempo.records.track import Track
from aquatempo.units import is_count
from aquatempo.workflow import shaping

__all__ = ["EDITS", "OpenSong", "edit"]

OpenSong = Callable[[str], Track]
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


@dataclass(frozen=True)
class _Line:
    """One line of editing, its words and how songs are opened."""

    text: str
    words: tuple[str, ...]
    song: OpenSong

    def wrong(self) -> InputError:
        known = "; ".join(form for form, _ in EDITS)
        return InputError(f"{self.text!r}: not understood. Known: {known}")


def edit(
    plan: ClassPlan,
    line: str,
    source: Catalogue | None = None,
    song: OpenSong | None = None,
    hearing: Hearing = AS_USUAL,
) -> ClassPlan:
    """Return a plan with one change, told in one line; EDITS lists what can be said.

    song: how a song named by its path is opened (default: heard as usual). Raises InputError,
    InfeasibleError, AudioError. source: the catalogue in force; hearing: how tracks are heard.
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
        change = shaping.lock if line.words[0] == "lock" else shaping.unlock
        plan = change(plan, place)
    return plan


def _swap(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 3 and all(is_count(word) for word in words[1:]):
        return shaping.swap_tracks(plan, int(words[1]), int(words[2]), source)
    if len(words) == 3 and all(_is_place(word) for word in words[1:]):
        return shaping.swap_phrases(plan, words[1], words[2], source)
    if len(words) == 3 or (len(words) == 5 and words[3] == "in"):
        tracks = _numbers(words[4], line) if len(words) == 5 else ()
        return shaping.swap_moves(plan, words[1], words[2], source, tracks)
    raise line.wrong()


def _move(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 4 and words[2] == "to" and is_count(words[1]) and is_count(words[3]):
        return shaping.move_track(plan, int(words[1]), int(words[3]), source)
    raise line.wrong()


def _drop(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    if len(line.words) != 2:
        raise line.wrong()
    what = line.words[1]
    if is_count(what):
        return shaping.drop_track(plan, int(what), source)
    return shaping.drop_move(plan, what, source)


def _add(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) in (4, 6) and words[2] == "after" and is_count(words[3]):
        part = None
        if len(words) == 6:
            if words[4] != "as" or words[5] not in list(PartName):
                raise line.wrong()
            part = PartName(words[5])
        return shaping.add_track(plan, line.song(words[1]), int(words[3]), source, part)
    if len(words) == 2:
        return shaping.add_move(plan, words[1], source)
    if len(words) == 4 and words[2] == "in" and is_count(words[3]):
        return shaping.add_move(plan, words[1], source, int(words[3]))
    raise line.wrong()


def _replace(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 4 and is_count(words[1]) and words[2] == "with":
        return shaping.replace_track(plan, int(words[1]), line.song(words[3]), source)
    raise line.wrong()


def _use(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    everywhere = words[-1] == "everywhere"
    words = words[:-1] if everywhere else words
    if len(words) != 4 or words[2] != "at" or not is_count(words[1]):
        raise line.wrong()
    found = shaping.alternatives(plan, words[3], source)
    number = int(words[1])
    if not 1 <= number <= len(found):
        raise InputError(f"alternative {number} at {words[3]}: there are {len(found)}")
    return shaping.use_alternative(plan, words[3], found[number - 1], everywhere)


def _again(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    words = line.words
    if len(words) == 1:
        return shaping.plan_again(plan, source)
    if len(words) == 4 and words[1:3] == ("with", "seed") and is_count(words[3]):
        return shaping.plan_again(plan, source, seed=int(words[3]))
    raise line.wrong()


def _late(plan: ClassPlan, line: _Line, source: Catalogue) -> ClassPlan:
    try:
        (minutes,) = (float(word) for word in line.words[1:])
    except ValueError:
        raise line.wrong() from None
    return shaping.late(plan, minutes, source)


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
    return all(is_count(part) for part in word.split(".")) and "." in word


def _numbers(word: str, line: _Line) -> tuple[int, ...]:
    parts = word.split(",")
    if not all(is_count(part) for part in parts):
        raise line.wrong()
    return tuple(int(part) for part in parts)
