"""Counts add up: patterns, whole eights, and who leads after them.

The arithmetic is worked by hand; which patterns are used is common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError
from aquatempo.moves import catalogue, lead_check, parse_pattern, patterns
from aquatempo.records.moves import PatternStep

SIZES = st.sampled_from(["1", "2", "4", "2+2h", "2+2b", "1+1h", "4+4h", "4+12h"])


@pytest.mark.parametrize(
    ("text", "counts", "aligns_after", "fills"),
    [
        ("1", 1, 8, True),
        ("2", 2, 8, True),
        ("2-2-4", 8, 8, True),
        ("4-4", 8, 8, True),
        ("1-1-2-4", 8, 8, True),
        ("2+2h", 4, 8, True),
        ("4+12h", 16, 16, True),
        ("2-4", 6, 24, False),  # 6 counts meet an eight after 24
        ("1-2", 3, 24, False),
        ("2-2-2-4", 10, 40, False),
        ("4-4-4", 12, 24, False),
    ],
)
def test_counts_and_whole_eights(text: str, counts: int, aligns_after: int, fills: bool) -> None:
    """A pattern knows its counts, whether it fills whole eights, and when it meets one."""
    pattern = parse_pattern(text)
    assert (pattern.counts, pattern.aligns_after_counts, pattern.fills_eights) == (
        counts,
        aligns_after,
        fills,
    )


def test_holds_and_bounces_are_told_apart() -> None:
    """``2+2h`` holds and ``2+2b`` bounces for 2 counts after 2 moving ones."""
    assert parse_pattern("2+2h").steps == (PatternStep(2, 2, False),)
    assert parse_pattern("2+2b").steps == (PatternStep(2, 2, True),)


@pytest.mark.parametrize("text", ["", "3", "2-", "2--4", "2x4", "2+h", "2+0h", "8", "2,2,4"])
def test_bad_patterns_are_refused_with_an_example(text: str) -> None:
    """What is no pattern is refused, and the message shows one."""
    with pytest.raises(InputError, match="such as 2-2-4"):
        parse_pattern(text)


@given(st.lists(SIZES, min_size=1, max_size=8))
def test_text_survives_the_round_trip(parts: list[str]) -> None:
    """Reading what was written gives the same pattern, and counts add up."""
    pattern = parse_pattern("-".join(parts))
    assert parse_pattern(pattern.text) == pattern
    assert pattern.counts == sum(s.moving_counts + s.held_counts for s in pattern.steps)
    assert pattern.aligns_after_counts % 8 == 0
    assert pattern.aligns_after_counts % pattern.counts == 0


@pytest.mark.parametrize(
    ("move", "text", "swaps", "at_start", "returns_after"),
    [
        # knee lift: right up, left up. 4 movements in an eight: right starts again.
        ("knee-lift", "2", False, True, 8),
        # 3 movements in an eight (R2 L2 R4): the left leg starts the next one.
        ("knee-lift", "2-2-4", True, True, 16),
        # R1 L1 R2 L4: right starts each eight.
        ("knee-lift", "1-1-2-4", False, True, 8),
        # front kick: right up, left up as the right comes down, as in a knee lift.
        ("front-kick", "2", False, True, 8),
        # two movements an eight: right starts again.
        ("front-kick", "4", False, True, 8),
        # three movements an eight, two a repetition: the left leg starts the next one.
        ("front-kick", "2-2-4", True, True, 16),
        # jack: apart, together; 3 movements end apart.
        ("jack", "2-2-4", False, False, 16),
        ("jack", "2", False, True, 8),
        # 6 counts a round meet an eight after 24: 8 movements, right starts again.
        ("knee-lift", "2-4", False, True, 24),
    ],
)
def test_who_leads_after_a_pattern(
    move: str, text: str, swaps: bool, at_start: bool, returns_after: int
) -> None:
    """The lead leg after a round, and when the first one leads again, worked by hand."""
    check = lead_check(catalogue().move(move), parse_pattern(text))
    assert (check.swaps, check.at_start, check.returns_after_counts) == (
        swaps,
        at_start,
        returns_after,
    )
    assert check.returns


def test_uneven_sides_are_said() -> None:
    """R1 L1 R2 L4 gives the lead leg 3 counts of eight for ever, and the note says so."""
    check = lead_check(catalogue().move("knee-lift"), parse_pattern("1-1-2-4"))
    assert (check.lead_counts, check.other_counts) == (3, 5)
    assert "other lead" in check.note


def test_swapping_the_lead_evens_the_sides() -> None:
    """R2 L2 R4, L2 R2 L4: each side has 8 counts of 16."""
    check = lead_check(catalogue().move("knee-lift"), parse_pattern("2-2-4"))
    assert (check.lead_counts, check.other_counts) == (8, 8)
    assert check.note == ""


def test_one_sided_moves_ask_for_the_other_side() -> None:
    """A rocking horse works one side: the note asks to do it again on the other lead."""
    check = lead_check(catalogue().move("rocking-horse"), parse_pattern("2"))
    assert not check.swaps
    assert "other lead" in check.note


@given(st.sampled_from(sorted(catalogue().moves)), st.lists(SIZES, min_size=1, max_size=6))
def test_lead_comes_back_when_it_is_said_to(key: str, parts: list[str]) -> None:
    """Stepping through movements one by one finds the start again at the stated count first."""
    move, pattern = catalogue().move(key), parse_pattern("-".join(parts))
    check = lead_check(move, pattern)
    done = counts = 0
    while True:
        step = pattern.steps[done % len(pattern.steps)]
        counts += step.moving_counts + step.held_counts
        done += 1
        if counts % 8 == 0 and done % len(pattern.steps) == done % len(move.movements) == 0:
            break
    assert counts == check.returns_after_counts


def test_all_fillings_of_an_eight_are_found() -> None:
    """55 orders of 1, 2 and 4 fill 8 counts: f(n) = f(n-1) + f(n-2) + f(n-4), f(0) = 1."""
    ways = [1]
    for n in range(1, 17):
        ways.append(sum(ways[n - step] for step in (1, 2, 4) if n >= step))
    assert ways[8] == 55
    assert len(patterns(8, limit=None)) == 55
    assert len(patterns(16, limit=None)) == ways[16]


@pytest.mark.parametrize("holds", [False, True])
@pytest.mark.parametrize("counts", [8, 16])
def test_generated_patterns_fill_their_counts_once_each(counts: int, holds: bool) -> None:
    """Every generated pattern fills the counts in whole rounds, and none comes twice."""
    found = patterns(counts, limit=500, holds=holds)
    assert all(counts % pattern.counts == 0 for pattern in found)
    assert len({pattern.text for pattern in found}) == len(found)


def test_ranking_puts_plain_patterns_first() -> None:
    """Water tempo comes first, known combinations before scattered ones (common practice)."""
    order = [pattern.text for pattern in patterns(8, limit=None)]
    assert order[0] == "2"
    assert order.index("2-2-4") < order.index("1-1-2-4") < order.index("1-2-1-4")


def test_other_lengths_are_refused() -> None:
    """Only one or two eights can be filled."""
    with pytest.raises(InputError, match="needs 8 or 16"):
        patterns(12)
