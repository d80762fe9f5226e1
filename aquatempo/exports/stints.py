"""Work and rest in words: which it is, which set of how many, how many seconds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aquatempo.records.cues import Change, Cue, CueKind
from aquatempo.records.plan import Stint

__all__ = ["change_under_way", "stint_ends_s", "stint_kind", "stint_told", "stint_with_left"]


def stint_kind(stint: Stint, words: Mapping[str, str]) -> str:
    """Return whether it is work or rest. words: labels of the language.

    stint: the turn.
    """
    return words["stint_work" if stint.works else "stint_rest"]


def stint_told(stint: Stint, words: Mapping[str, str]) -> str:
    """Return a turn as a line begins with it.

    stint: the turn; words: labels of the language.

    >>> from aquatempo.exports.labels import labels
    >>> stint_told(Stint(True, 2, 8, 39.6), labels("en"))
    'WORK 2/8 · 40 s'
    """
    return words["stint"].format(
        kind=stint_kind(stint, words),
        number=stint.number,
        of=stint.of,
        seconds=f"{stint.seconds:.0f}",
    )


def stint_with_left(stint: Stint, left_s: float, words: Mapping[str, str]) -> str:
    """Return a turn and how much of it is left [s].

    stint: the turn; left_s: what is left of it [s]; words: labels of the language.

    >>> from aquatempo.exports.labels import labels
    >>> stint_with_left(Stint(False, 2, 8, 20.0), 5.2, labels("en"))
    'REST 2/8 · 5 s left'
    """
    return words["stint_left"].format(
        kind=stint_kind(stint, words),
        number=stint.number,
        of=stint.of,
        seconds=f"{max(0.0, left_s):.0f}",
    )


def stint_ends_s(changes: Sequence[Change]) -> list[float]:
    """Return for each change when the turn that it is part of ends [s]; its own end without one."""
    ends: list[float] = []
    following: Change | None = None
    for change in reversed(changes):
        goes_on = change.stint is not None and following is not None
        goes_on = goes_on and following is not None and following.stint == change.stint
        ends.append(ends[-1] if goes_on else change.end_s)
        following = change
    return ends[::-1]


def change_under_way(cue: Cue) -> int:
    """Return the change that the class is in at a call: its own from count 1 on, -1 for none.

    cue: of a timeline.
    """
    return cue.change if cue.kind is CueKind.COUNT_ONE else cue.change - 1
