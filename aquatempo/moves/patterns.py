"""Patterns: counts for each movement in turn, and what they do to the lead leg.

Arithmetic on counts only; which patterns suit a move is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from math import gcd, lcm

from aquatempo.errors import InputError
from aquatempo.records.moves import LeadCheck, Move, Pattern, PatternStep
from aquatempo.records.tempo_option import TempoOption
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["lead_check", "parse_pattern", "patterns"]

LONGEST_TEXT = 100  # characters: more than the 32 counts of a phrase have changes
_STEP = re.compile(rf"([{''.join(TempoOption)}])(?:\+([1-9]\d?)([hb]))?")


@lru_cache(maxsize=1024)
def parse_pattern(text: str) -> Pattern:
    """Return the pattern that a text such as ``2``, ``2-2-4``, ``2+2h`` or ``2+2b`` names.

    Each step is 1, 2 or 4 counts moving, with +Nh held or +Nb bounced counts after it.
    Raises InputError for anything else.

    >>> parse_pattern("2-2-4").counts, parse_pattern("2-4").fills_eights
    (8, False)
    """
    if len(text) > LONGEST_TEXT:
        raise InputError(f"pattern of {len(text)} characters: needs {LONGEST_TEXT} at most")
    steps = []
    for part in text.strip().split("-"):
        match = _STEP.fullmatch(part.strip())
        if match is None:
            raise InputError(
                f"pattern {text!r}: needs counts a movement of 1, 2 or 4 such as 2-2-4,"
                f" holds such as 2+2h, bounces such as 2+2b (what of {part.strip()!r}?)"
            )
        steps.append(PatternStep(int(match[1]), int(match[2] or 0), match[3] == "b"))
    counts = sum(step.moving_counts + step.held_counts for step in steps)
    return Pattern(
        text="-".join(_step_text(step) for step in steps),
        steps=tuple(steps),
        counts=counts,
        aligns_after_counts=lcm(counts, COUNTS_PER_EIGHT),
        fills_eights=COUNTS_PER_EIGHT % counts == 0 or counts % COUNTS_PER_EIGHT == 0,
    )


def lead_check(move: Move, pattern: Pattern, movements: int | None = None) -> LeadCheck:
    """Return what a pattern does to the lead of a move.

    movements: in a repetition, where it is not that of the move (a combination).
    """
    cycle = movements or len(move.movements)
    half = len(move.movements) // 2 if move.alternates and cycle == len(move.movements) else cycle
    rounds = pattern.aligns_after_counts // pattern.counts
    count = rounds * len(pattern.steps)
    back_after = cycle // gcd(count, cycle)
    returns_after = back_after * pattern.aligns_after_counts
    swaps = count % half == 0 and count % cycle != 0
    lead_counts, other_counts = _shares(pattern, count * back_after, cycle, half)
    if not move.sided or half == cycle:
        lead_counts = other_counts = 0
    at_start = count % half == 0
    return LeadCheck(
        movements=count,
        swaps=swaps,
        at_start=at_start,
        returns=returns_after <= COUNTS_PER_PHRASE,
        returns_after_counts=returns_after,
        lead_counts=lead_counts,
        other_counts=other_counts,
        note=_note(move, at_start, lead_counts, other_counts, returns_after),
    )


def patterns(counts: int, limit: int | None = 20, holds: bool = False) -> tuple[Pattern, ...]:
    """Return combined patterns that fill 8 or 16 counts, the easiest to teach first.

    holds: a movement of 4 counts may also be 2 and a hold or 2 and a bounce. The order
    (common practice, no source): few changes of count, movements that start on strong
    counts, quick movements last in the ranking.

    >>> [p.text for p in patterns(8, limit=4)]
    ['2', '4', '1', '2-2-4']
    """
    if counts not in (COUNTS_PER_EIGHT, 2 * COUNTS_PER_EIGHT):
        raise InputError(f"patterns of {counts} counts: needs 8 or 16, one or two eights")
    choices = [(option.counts, option.value) for option in TempoOption]
    if holds:
        choices += [(4, "2+2h"), (4, "2+2b")]
    found = [_shortest(steps) for steps in _fillings(counts, tuple(choices))]
    return tuple(parse_pattern(text) for text in sorted(found, key=_difficulty)[:limit])


def _step_text(step: PatternStep) -> str:
    if not step.held_counts:
        return str(step.moving_counts)
    return f"{step.moving_counts}+{step.held_counts}{'b' if step.bounced else 'h'}"


def _fillings(counts: int, choices: tuple[tuple[int, str], ...]) -> Iterator[tuple[str, ...]]:
    if counts == 0:
        yield ()
    for size, text in choices:
        if size <= counts:
            for rest in _fillings(counts - size, choices):
                yield (text, *rest)


def _shortest(steps: tuple[str, ...]) -> str:
    """Return the shortest round of steps that gives the same when repeated."""
    for length in range(1, len(steps) + 1):
        if len(steps) % length == 0 and steps == steps[:length] * (len(steps) // length):
            return "-".join(steps[:length])
    raise AssertionError("a sequence is a round of itself")


def _difficulty(text: str) -> tuple[int, int, str]:
    """Return the key that sorts patterns by how hard they are to teach, 0 the easiest."""
    steps = parse_pattern(text).steps
    sizes = [step.moving_counts + step.held_counts for step in steps]
    starts = [sum(sizes[:index]) for index in range(len(sizes))]
    changes = sum(a != b for a, b in pairwise(steps))
    weak = sum(start % size != 0 for start, size in zip(starts, sizes, strict=True))
    quick = sum(size == 1 for size in sizes)
    held = sum(step.held_counts > 0 for step in steps)
    return 2 * changes + 3 * weak + 2 * quick + held, len(steps), text


def _shares(pattern: Pattern, count: int, cycle: int, half: int) -> tuple[int, int]:
    lead = other = 0
    for index in range(count):
        step = pattern.steps[index % len(pattern.steps)]
        size = step.moving_counts + step.held_counts
        if index % cycle < half:
            lead += size
        else:
            other += size
    return lead, other


def _note(move: Move, at_start: bool, lead: int, other: int, returns_after: int) -> str:
    if not at_start:
        return f"ends half-way through the move; starts anew after {returns_after} counts"
    if lead != other:
        return f"the lead leg gets {lead} counts, the other {other}: do it again on the other lead"
    if move.sided and not move.alternates:
        return "works one side: do it again on the other lead"
    return ""
