"""Sections of a song against a search over all partings; where each phrase lies in its part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_shapes import song_of

from aquatempo.planning.class_plan import shares_of
from aquatempo.planning.songs.sections import Role, SongSection, sections_of
from aquatempo.records.rhythm import EnergyLevel

LEVELS = {"l": EnergyLevel.LOW, "m": EnergyLevel.MEDIUM, "h": EnergyLevel.HIGH}
VALUE = {"l": 0, "m": 1, "h": 2}


def sections(text: str, gaps: Sequence[int] = ()) -> tuple[SongSection, ...]:
    """Return the sections of phrases told by l, m and h; gaps: phrases after a bridge."""
    told = [place in gaps for place in range(len(text))] if gaps else ()
    return sections_of([LEVELS[one] for one in text], told)


def partings(size: int) -> Iterator[tuple[int, ...]]:
    """Yield every parting of so many phrases into one to four at a time."""
    if not size:
        yield ()
    for first in range(1, min(4, size) + 1):
        for rest in partings(size - first):
            yield (first, *rest)


def price(text: str, gaps: Sequence[int], lengths: Sequence[int]) -> int:
    """Return what a parting costs: lengths of two or four, begun where the song changes.

    One phrase costs 6, three 2, four 1, two nothing; a change of a level where a section
    begins gives 4, inside one it takes 4; a bridge 2 likewise (judgement, no source).
    """
    starts = {sum(lengths[:place]) for place in range(len(lengths))}
    total = sum({1: 6, 2: 0, 3: 2, 4: 1}[one] for one in lengths)
    for place in range(1, len(text)):
        sign = -1 if place in starts else 1
        total += sign * 4 * abs(VALUE[text[place]] - VALUE[text[place - 1]])
        total += sign * 2 * (place in gaps)
    return total


@given(st.text("lmh", max_size=9), st.sets(st.integers(0, 8)))
def test_sections_are_the_best_parting_of_all(text: str, gaps: set[int]) -> None:
    """No parting of the phrases is cheaper; all phrases are in it, in order."""
    inside = sorted(gap for gap in gaps if gap < len(text))
    lengths = [one.length for one in sections(text, inside)]
    assert sum(lengths) == len(text)
    assert price(text, inside, lengths) == min(price(text, inside, p) for p in partings(len(text)))


def test_sections_know_where_they_are() -> None:
    """First and last phrase of each, and how often its role came before."""
    found = sections("llhhllhh")
    assert [(one.first, one.last, one.length) for one in found] == [
        (0, 1, 2), (2, 3, 2), (4, 5, 2), (6, 7, 2),
    ]  # fmt: skip
    assert [(one.role, one.turn) for one in found] == [
        (Role.VERSE, 0), (Role.CHORUS, 0), (Role.VERSE, 1), (Role.CHORUS, 1),
    ]  # fmt: skip
    assert sections("") == ()


@pytest.mark.parametrize(("text", "roles"), [
    ("llhhllhhll", "vcvcm"),  # quiet after the second chorus: the middle
    ("hhllhhll", "cvcv"),  # one verse only came before: no middle
    ("hhllhhllhhll", "cvcvcm"),
    ("llll", "vc"), ("llllllll", "vcvc"),  # nothing stands out: every other one
    ("mmmmhhhh", "vvcc"), ("llhhmmhh", "vcvc"),  # medium is as near to low as to high
])  # fmt: skip
def test_the_loud_sections_are_choruses(text: str, roles: str) -> None:
    """From the middle between quietest and loudest on, by more than a hundredth."""
    found = "".join(one.role.value[0] for one in sections(text))
    assert found == roles


def test_levels_that_hardly_differ_have_no_loud_ones() -> None:
    """Half a level apart every other section is a chorus; from a whole level on the loud ones."""
    flat = sections("mmmhmmmhmm")
    levels = {sum(VALUE[c] for c in "mmmhmmmhmm"[s.first : s.last + 1]) / s.length for s in flat}
    assert max(levels) - min(levels) < 0.75
    assert [one.role for one in flat] == [Role.VERSE, Role.CHORUS] * 2 + [Role.MIDDLE]
    loud_first = sections("hhmm")
    assert [one.role for one in loud_first] == [Role.CHORUS, Role.VERSE]
    even = sections("mmmm")
    assert [one.role for one in even] == [Role.VERSE, Role.CHORUS]


def test_a_bridge_begins_a_section() -> None:
    """Of five phrases alike, parted 2 and 3 or 3 and 2 where the bridge is."""
    assert [one.length for one in sections("mmmmm", (2,))] == [2, 3]
    assert [one.length for one in sections("mmmmm", (3,))] == [3, 2]


def test_phrases_lie_in_their_part_by_their_middle() -> None:
    """Two songs of two phrases in a part: an eighth, three eighths, and so on; others are apart."""
    plan = [
        song_of("Warm", "warm-up", "jog"), song_of("Lane", "main", "jog", "jack"),
        song_of("Turn", "intervals", "jog"), song_of("Pool", "main", "jog", "jack"),
    ]  # fmt: skip
    assert shares_of(plan, 1) == pytest.approx([0.125, 0.375])
    assert shares_of(plan, 3) == pytest.approx([0.625, 0.875])
    assert shares_of(plan, 0) == shares_of(plan, 2) == [0.5]
    slow = [
        plan[1],
        replace(plan[3], speed=0.5),
    ]  # 1, 1, 2 and 2 of six
    assert shares_of(slow, 0) == pytest.approx([1 / 12, 3 / 12])
    assert shares_of(slow, 1) == pytest.approx([6 / 12, 10 / 12])
    odd = [plan[1], replace(plan[3], tempo_bpm=64.0)]
    assert shares_of(odd, 1) == pytest.approx([6 / 12, 10 / 12])
