"""How long, how often and how many: what a class keeps to whoever it is for.

All of it is common practice and judgement, no source; planning aims at it, review holds
plans against it.
"""

from __future__ import annotations

from aquatempo.class_shape.limits import Limits
from aquatempo.records.brief import Brief, Experience
from aquatempo.records.people import ClassDepth, Intensity

__all__ = [
    "FILLER_SHARE",
    "CHANGE_COUNTS",
    "FIRM_SHARES",
    "HOLD_SECONDS",
    "INTERVAL_TOLERANCE_S",
    "LEAP_RPE",
    "MUSCLE_SECONDS",
    "MOVE_SECONDS",
    "NARROW_M2",
    "NEW_IN_A_SONG",
    "SETS_IN_A_SONG",
    "PLANE_SECONDS",
    "SPACE_M2",
    "STRETCH_SECONDS",
    "TOLD_SHARE",
    "VARIATIONS",
    "base_move_count",
    "jump_minutes",
]

PLANE_SECONDS = 150.0  # longest in one plane without a change
MUSCLE_SECONDS = 90.0  # longest on one muscle or joint that works hard
TOLD_SHARE = 1.2  # what planning aims at, and a fifth more: then it is told
MOVE_SECONDS = 180.0  # longest on one base move, however it is varied
INTERVAL_TOLERANCE_S = 2.0  # that a stretch of work or rest may be off
LEAP_RPE = 3.0  # most from the last two phrases of the warm-up to the first two after it
FILLER_SHARE = 0.08  # of the time, for moves that only fill
# Counts that a change may cost a group without a move between: one movement in water
# tempo, two for those who have danced together for long.
CHANGE_COUNTS = {
    Experience.FIRST_WEEK: 2,
    Experience.BEGINNERS: 2,
    Experience.REGULAR: 2,
    Experience.TRAINED: 4,
}
NARROW_M2 = 3.0  # with less room each, nobody is sent forward, back or sideways
SPACE_M2 = 4.0  # room for each person where the brief does not say
STRETCH_SECONDS = (10.0, 60.0)  # how long a stretch is held (garber-2011)
# How long an effort of so much can go on without an easier phrase: (RPE, seconds), and
# what counts as easier: so many points below it.
HOLD_SECONDS = ((17.0, 60.0), (16.0, 120.0), (15.0, 240.0))
# Of the main part, the least and the most that lands at medium impact or above: a steady class
# changes between rebound and soft ground work, a hard one rebounds nearly all the time.
FIRM_SHARES = {
    Intensity.EASY: (0.0, 0.0),
    Intensity.STEADY: (0.0, 0.7),
    Intensity.HARD: (0.95, 1.0),
}
# How many base moves a class of 45 minutes has, by what the group has done before.
SIZES = {
    Experience.FIRST_WEEK: 4,
    Experience.BEGINNERS: 5,
    Experience.REGULAR: 8,
    Experience.TRAINED: 10,
}
_OLDER_FEWER = 1
_MINUTES_A_MOVE = 15.0  # a longer class has another one for so many minutes more
_USUAL_MINUTES = 45.0
_LEAST_MOVES = 3
# How many ways of varying a base move a group learns in a class.
VARIATIONS = {
    Experience.FIRST_WEEK: 1,
    Experience.BEGINNERS: 2,
    Experience.REGULAR: 3,
    Experience.TRAINED: 4,
}
# New ways of varying moves that a song teaches.
NEW_IN_A_SONG = {
    Experience.FIRST_WEEK: 1,
    Experience.BEGINNERS: 2,
    Experience.REGULAR: 3,
    Experience.TRAINED: 4,
}
# Different sets, a move with what is done to it, that a song should have.
SETS_IN_A_SONG = {
    Experience.FIRST_WEEK: 3,
    Experience.BEGINNERS: 4,
    Experience.REGULAR: 5,
    Experience.TRAINED: 6,
}
_JUMPS = {Intensity.EASY: 0.0, Intensity.STEADY: 2.0, Intensity.HARD: 5.0}  # minutes a class
_JUMPS_FOR_OLDER = 0.5


def jump_minutes(brief: Brief, limits: Limits) -> float:
    """Return the minutes of big jumps that a class may have at most [min].

    brief: whose intensity and ``jump_minutes`` hold; limits: what its notes and ages ask.
    None for those who begin, and none in deep water.
    """
    new = limits.experience in (Experience.FIRST_WEEK, Experience.BEGINNERS)
    if new or brief.depth is ClassDepth.DEEP:
        return 0.0
    most = min(_JUMPS[brief.group.intensity], brief.jump_minutes)
    return min(most, _JUMPS_FOR_OLDER) if limits.older else most


def base_move_count(brief: Brief, limits: Limits) -> int:
    """Return how many base moves a class should have.

    brief: its minutes and wanted moves; limits: what the group has done before.
    """
    size = SIZES[limits.experience]
    if limits.older and limits.experience in (Experience.REGULAR, Experience.TRAINED):
        size -= _OLDER_FEWER
    longer = (brief.minutes - _USUAL_MINUTES) / _MINUTES_A_MOVE
    if limits.experience is not Experience.FIRST_WEEK:
        size += max(-2, round(longer / 2.0) if longer < 0 else int(longer))
    return max(_LEAST_MOVES, size, len(brief.wanted_moves))
