"""Patterns, leads and notes stepped through one by one; the order of patterns from its words.

What is easy to teach is common practice, no source; the arithmetic is worked by hand or by a walk
through all movements.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from aquatempo.errors import InputError
from aquatempo.moves import catalogue, lead_check, parse_pattern, patterns
from aquatempo.records.moves import LeadCheck, Move, Pattern

KICK, JACK, HORSE = (catalogue().move(key) for key in ("knee-lift", "jack", "rocking-horse"))


def three_sided(movements: int) -> Move:
    """Return an alternating move of an invented number of movements, so many a side."""
    return replace(KICK, movements=(KICK.movements * movements)[:movements])


def walked(move: Move, pattern: Pattern, cycle: int) -> LeadCheck:
    """Return a check found by a walk, count by count, over rounds that end with an eight."""
    own = cycle == len(move.movements)
    half = cycle // 2 if move.alternates and own else cycle
    counts = done = lead = other = 0
    first: int | None = None
    while True:
        step = pattern.steps[done % len(pattern.steps)]
        size = step.moving_counts + step.held_counts
        if done % cycle < half:
            lead += size
        else:
            other += size
        counts, done = counts + size, done + 1
        if counts % 8 or done % len(pattern.steps):
            continue
        first = first or done  # movements of a round that ends with an eight
        if done % cycle == 0:
            break
    told = (lead, other) if move.sided and half < cycle else (0, 0)
    at_start = first % half == 0
    note = ""
    if not at_start:
        note = f"ends half-way through the move; starts anew after {counts} counts"
    elif told[0] != told[1]:
        note = f"the lead leg gets {told[0]} counts, the other {told[1]}: do it again on the other"
        note += " lead"
    elif move.sided and not move.alternates:
        note = "works one side: do it again on the other lead"
    return LeadCheck(
        movements=first,
        swaps=at_start and first % cycle != 0,
        at_start=at_start,
        returns=counts <= 32,
        returns_after_counts=counts,
        lead_counts=told[0],
        other_counts=told[1],
        note=note,
    )


TEXTS = ["1", "2", "4", "2+2h", "2-2-4", "1-1-2-4", "2-4", "1-2", "1-1-1-1-4", "4-4-4", "1-4+4b"]


@pytest.mark.parametrize("text", [*TEXTS, "2-2-2-4", "4+12h-2", "1-1-1-1-1-1-2"])
def test_a_check_is_what_a_walk_through_the_movements_finds(text: str) -> None:
    """Moves of two and four movements, one with no side, one-sided, and invented ones of 6, 8."""
    pattern = parse_pattern(text)
    for move in (KICK, JACK, HORSE, *(catalogue().move(k) for k in ("jog", "march", "jump"))):
        assert lead_check(move, pattern) == walked(move, pattern, len(move.movements)), move.key
    for movements in (4, 6, 8, 12):
        move = three_sided(movements)
        assert lead_check(move, pattern) == walked(move, pattern, movements), movements


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("movements", [3, 6, 8])
def test_a_combination_has_no_halves(text: str, movements: int) -> None:
    """With a partner's movements the repetition is begun anew only when all are done."""
    pattern = parse_pattern(text)
    found = lead_check(KICK, pattern, movements)
    assert found == walked(KICK, pattern, movements)
    assert not found.swaps
    assert (found.lead_counts, found.other_counts) == (0, 0)


def test_a_lead_that_takes_more_than_a_phrase_does_not_return() -> None:
    """4-4-4 on 8 movements: 24 counts are 6, four rounds of them are 96 counts, three phrases."""
    found = lead_check(three_sided(8), parse_pattern("4-4-4"))
    assert (found.returns_after_counts, found.returns) == (96, False)
    # Two movements of 16 counts: a knee lift is back after one phrase, which is within it.
    assert lead_check(KICK, parse_pattern("4+12h")).returns_after_counts == 32
    assert lead_check(KICK, parse_pattern("4+12h")).returns


def hard_to_teach(text: str) -> tuple[int, int, str]:
    """Return what the docstring of ``patterns`` ranks by: changes, weak starts, quick ones."""
    steps = [(int(part[0]), part[1:]) for part in text.split("-")]
    sizes = [moving + (2 if held else 0) for moving, held in steps]
    changes = sum(steps[i] != steps[i + 1] for i in range(len(steps) - 1))
    at, weak = 0, 0
    for size in sizes:
        weak += at % size != 0
        at += size
    quick, held = sizes.count(1), sum(bool(held) for _, held in steps)
    return 2 * changes + 3 * weak + 2 * quick + held, len(steps), text


def fillings(counts: int, sizes: dict[str, int]) -> set[tuple[str, ...]]:
    """Return every order of steps with so many counts, by trying all lengths."""
    found: set[tuple[str, ...]] = set()
    for length in range(1, counts + 1):
        for steps in product(sizes, repeat=length):
            if sum(sizes[one] for one in steps) == counts:
                found.add(steps)
    return found


@pytest.mark.parametrize("holds", [False, True])
def test_patterns_of_an_eight_are_those_of_a_search_in_their_order(holds: bool) -> None:
    """All orders of 1, 2, 4 (and held or bounced halves) of 8 counts, the easiest first."""
    wanted = sorted(rounds_of_eight(holds), key=hard_to_teach)
    assert [one.text for one in patterns(8, None, holds)] == wanted


def rounds_of_eight(holds: bool) -> set[str]:
    """Return the shortest rounds of all fillings; a 4 may be half held or half bounced instead."""
    fours = ("4", "2+2h", "2+2b") if holds else ("4",)
    found = set()
    for steps in fillings(8, {"1": 1, "2": 2, "4": 4}):
        choices = [fours if one == "4" else (one,) for one in steps]
        for told in product(*choices):
            whole = len(told)
            parts = (p for p in range(1, whole + 1) if whole % p == 0)
            part = next(p for p in parts if told[:p] * (whole // p) == told)
            found.add("-".join(told[:part]))
    return found


def test_the_first_patterns_of_two_eights() -> None:
    """The plain ones, then those with one change: sixteen counts, at most as many as asked for."""
    found = [one.text for one in patterns(16, limit=6)]
    assert found == sorted(
        (one.text for one in patterns(16, limit=None)), key=hard_to_teach
    )[:6]  # fmt: skip
    assert found[:3] == ["2", "4", "1"]
    assert len(patterns(16)) == 20
    assert all(16 % one.counts == 0 for one in patterns(16))


@pytest.mark.parametrize("counts", [0, 4, 24, 32])
def test_patterns_fill_one_or_two_eights(counts: int) -> None:
    """Other lengths are refused with what is needed."""
    with pytest.raises(InputError) as caught:
        patterns(counts)
    assert str(caught.value) == f"patterns of {counts} counts: needs 8 or 16, one or two eights"


def test_a_text_of_more_than_a_hundred_characters_is_no_pattern() -> None:
    """49 steps of 2 are 97 characters, 51 are 101."""
    assert parse_pattern("-".join(["2"] * 49)).counts == 98
    assert parse_pattern(" " * 3 + "-".join(["2"] * 49)).counts == 98
    with pytest.raises(InputError) as caught:
        parse_pattern("-".join(["2"] * 51))
    assert str(caught.value) == "pattern of 101 characters: needs 100 at most"


def test_what_is_no_step_is_told() -> None:
    """The message shows the whole text and the step that is wrong."""
    with pytest.raises(InputError) as caught:
        parse_pattern("2-x3-4")
    assert str(caught.value) == (
        "pattern '2-x3-4': needs counts a movement of 1, 2 or 4 such as 2-2-4,"
        " holds such as 2+2h, bounces such as 2+2b (what of 'x3'?)"
    )


@pytest.mark.parametrize(
    ("text", "written"), [(" 2 - 2 -4", "2-2-4"), ("4+12h-1+9b", "4+12h-1+9b"), ("1+1h", "1+1h")]
)
def test_a_pattern_is_written_as_it_is_read(text: str, written: str) -> None:
    """Blanks go, holds and bounces stay what they are."""
    assert parse_pattern(text).text == written
