"""A song as a class hears it: verses, choruses that come back, what stands between.

Told by how loud the phrases are; phrases that differ in loudness from both neighbours by
chance are taken with one of them. Pure arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from aquatempo.records.rhythm import EnergyLevel

__all__ = ["Role", "SongSection", "sections_of"]

_LEVELS = {EnergyLevel.LOW: 0, EnergyLevel.MEDIUM: 1, EnergyLevel.HIGH: 2}
# What a section of so many phrases costs, and where it begins (common practice, no source).
_LENGTHS = {1: 6, 2: 0, 3: 2, 4: 1}
_AT_CHANGE, _INSIDE_CHANGE, _AT_GAP, _INSIDE_GAP = -4, 4, -2, 2
_CONTRAST = 0.75  # levels apart: with less a song has no loud and quiet parts


class Role(StrEnum):
    """What a section is to the choreography."""

    VERSE = "verse"
    CHORUS = "chorus"
    MIDDLE = "middle"


@dataclass(frozen=True)
class SongSection:
    """Some phrases in a row. first: index into those given; turn: how often it came before."""

    first: int
    length: int
    role: Role
    turn: int

    @property
    def last(self) -> int:
        """The index of its last phrase."""
        return self.first + self.length - 1


def sections_of(
    energies: Sequence[EnergyLevel], gaps: Sequence[bool] = ()
) -> tuple[SongSection, ...]:
    """Return the sections of a song's whole phrases, in order.

    gaps: for each phrase whether a bridge or break goes before it. The loud sections are
    choruses; where none stands out, every other one is. A quiet section after the second chorus
    is the middle. energies: how loud each phrase is.

    >>> low, high = EnergyLevel.LOW, EnergyLevel.HIGH
    >>> [(s.role.value, s.length) for s in sections_of([low, low, high, high, low, low, high])]
    [('verse', 2), ('chorus', 2), ('verse', 2), ('chorus', 1)]
    """
    levels = tuple(_LEVELS[energy] for energy in energies)
    told = tuple(gaps) or (False,) * len(levels)
    found, first = [], 0
    for length in _lengths(levels, told):
        found.append((first, length, sum(levels[first : first + length]) / length))
        first += length
    loud = _loud([level for _, _, level in found])
    turns = dict.fromkeys(Role, 0)
    sections = []
    for (start, length, _), is_loud in zip(found, loud, strict=True):
        role = Role.CHORUS if is_loud else Role.VERSE
        if role is Role.VERSE and turns[Role.CHORUS] >= 2 and turns[Role.VERSE] >= 2:
            role = Role.MIDDLE
        sections.append(SongSection(start, length, role, turns[role]))
        turns[role] += 1
    return tuple(sections)


def _loud(levels: Sequence[float]) -> list[bool]:
    """Return which sections are the loud ones of a song."""
    if not levels:
        return []
    low, high = min(levels), max(levels)
    if high - low < _CONTRAST:
        return [place % 2 == 1 for place in range(len(levels))]
    return [level >= (low + high) / 2.0 + 0.01 for level in levels]


@lru_cache(maxsize=512)
def _lengths(levels: tuple[int, ...], gaps: tuple[bool, ...]) -> tuple[int, ...]:
    """Return the cheapest lengths: two or four phrases, changing where the song changes."""
    best: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    for end in range(1, len(levels) + 1):
        cases = []
        for length, price in _LENGTHS.items():
            start = end - length
            if start < 0:
                continue
            inner = range(start + 1, end)
            total = best[start][0] + price
            total += sum(_INSIDE_CHANGE * abs(levels[i] - levels[i - 1]) for i in inner)
            total += sum(_INSIDE_GAP for i in inner if gaps[i])
            if start > 0:
                total += _AT_CHANGE * abs(levels[start] - levels[start - 1])
                total += _AT_GAP * gaps[start]
            cases.append((total, (*best[start][1], length)))
        best.append(min(cases, key=lambda case: (case[0], len(case[1]), case[1])))
    return best[-1][1]
