"""The choreography of a song before moves are chosen: which phrase does what again, drawn by hand.

A song is told as "v2 c2": sections of verse, chorus and middle with their phrases. A phrase is
told, for each slice, as a letter for its place, one for its tie, and how often the place came
before ("!" where it is counted out side by side). How songs are built is common practice.
"""

from __future__ import annotations

from collections import Counter
from itertools import accumulate

import pytest

from aquatempo.planning.moves.structure import (
    SET_SIZES,
    Design,
    design_song,
    pyramid_counts,
    sets_of,
)
from aquatempo.planning.songs.sections import Role, SongSection
from aquatempo.records.brief import BuildWay, Experience

NEW, BEGINNERS, REGULAR, TRAINED = Experience
ROLES = {"v": Role.VERSE, "c": Role.CHORUS, "m": Role.MIDDLE}


def song(text: str) -> list[SongSection]:
    """Return the sections of a song that is told as "v2 c2"."""
    words = text.split()
    lengths = [int(word[1:]) for word in words]
    firsts = [0, *accumulate(lengths)]
    times: Counter[str] = Counter()
    found = []
    for word, first, length in zip(words, firsts, lengths, strict=False):
        found.append(SongSection(first, length, ROLES[word[0]], times[word[0]]))
        times[word[0]] += 1
    return found


def told(design: Design) -> list[str]:
    """Return the slices of each phrase as text."""
    return [
        " ".join(
            f"{'ABCDEFGH'[one.place]}{'abcdefghijklmnopqrstuvwxyz'[one.tie]}{one.turn}"
            f"{'!' * one.pyramid}"
            for one in row
        )
        for row in design.slices
    ]


def drawn(
    way: BuildWay,
    text: str,
    experience: Experience,
    teaching: bool = False,
    short: tuple[int, ...] = (),
) -> Design:
    """Return the design of a song of whole phrases; short: those that have 16 counts."""
    sections = song(text)
    counts = [16 if row in short else 32 for row in range(sections[-1].last + 1)]
    return design_song(way, sections, counts, experience, teaching=teaching)


@pytest.mark.parametrize(("text", "experience", "teaching", "slices", "names"), [
    # One move for the verses, one for the chorus, whose two phrases may differ but come back alike.
    ("v2 c2 v2 c2", NEW, False, "Aa0 Ab0 Bc0 Bd0 Ae1 Af1 Bc1 Bd1", "verse 1,chorus,verse 2"),
    # From those who come regularly on, a chorus of two phrases has two moves.
    ("v1 c2 v1 c2", REGULAR, False, "Aa0 Bb0 Cc0 Ad1 Bb1 Cc1", "verse 1,chorus,verse 2"),
    ("v1 c1 v1 c2", REGULAR, False, "Aa0 Bb0 Ac1 Bb1 Bb1", "verse 1,chorus,verse 2"),
    # Four phrases: two moves in turn, the second time each may be done otherwise.
    ("c4", REGULAR, False, "Aa0 Bb0 Ac0 Bd0", "chorus"),
    ("c4", BEGINNERS, False, "Aa0 Ab0 Aa0 Ab0", "chorus"),
    # A longer chorus than the first begins it again.
    ("c2 v1 c3", BEGINNERS, False, "Aa0 Ab0 Bc0 Aa1 Ab1 Aa1", "chorus,verse 1"),
    # The middle has a move of its own, but not for those who are there the first week.
    ("v1 m1 c1 m1", BEGINNERS, False, "Aa0 Bb0 Cc0 Bd1", "verse 1,middle,chorus"),
    ("v1 m1 c1", NEW, False, "Aa0 Ab0 Bc0", "verse 1,chorus"),
    ("v1 m1 c1", NEW, True, "Aa0 Bb0 Cc0", "verse 1,middle,chorus"),
    # A trained group has another move in the second verse, and the first one again in the third.
    ("v1 c1 v1 c1 v1", TRAINED, False, "Aa0 Bb0 Cc1 Bb1 Ad2", "verse 1,chorus,verse 2,verse 3"),
    ("v1 c1 v1", REGULAR, False, "Aa0 Bb0 Ac1", "verse 1,chorus,verse 2"),
    # Where moves are taught, the returns of a chorus are alike, not like the lesson.
    ("c2 v1 c2 c2", REGULAR, True, "Aa0 Ab0 Bc0 Ad1 Ae1 Ad2 Ae2", "chorus,verse 1"),
    ("c2 c2", TRAINED, True, "Aa0 Bb0 Ac1 Bd1", "chorus"),
])  # fmt: skip
def test_a_linear_song_has_a_move_for_each_kind_of_section(
    text: str, experience: Experience, teaching: bool, slices: str, names: str
) -> None:
    """Verses, chorus and middle have their moves, as many as the group takes in."""
    found = drawn(BuildWay.LINEAR, text, experience, teaching)
    assert " ".join(told(found)) == slices
    assert list(dict.fromkeys(found.names)) == names.split(",")
    assert not any(one.plain for row in found.slices for one in row)


def test_places_have_the_role_of_their_section() -> None:
    """Verse, both moves of the chorus, middle, in the order in which they come."""
    found = drawn(BuildWay.LINEAR, "v1 c2 m1 v1", REGULAR)
    assert found.roles == (Role.VERSE, Role.CHORUS, Role.CHORUS, Role.MIDDLE)
    assert found.places == 4
    assert found.names == ("verse 1", "chorus", "chorus", "middle", "verse 2")
    other = drawn(BuildWay.LINEAR, "v1 v1", TRAINED)
    assert other.roles == (Role.VERSE, Role.VERSE)


def test_layers_do_each_chorus_anew() -> None:
    """The same moves come back with something more, so no two choruses are tied; verses are."""
    assert told(drawn(BuildWay.LAYER, "v1 c2 v1 c2", REGULAR)) == [
        "Aa0", "Bb0", "Cc0", "Ad1", "Be1", "Cf1",
    ]  # fmt: skip
    assert told(drawn(BuildWay.LAYER, "v1 c1 v1", TRAINED)) == ["Aa0", "Bb0", "Ac1"]


@pytest.mark.parametrize(("text", "experience", "short", "slices", "pyramids"), [
    # A first chorus of one phrase is too short to learn a pyramid in; the next is one, joined with
    # the quiet phrase before it, on another move for those who know their way about.
    ("v1 c1 v1 c1", REGULAR, (), "Aa0 Bb0 Cc1! Cc1!", 2),
    ("v1 c1 v1 c1", BEGINNERS, (), "Aa0 Bb0 Bc1! Bc1!", 2),
    # Two phrases are one pyramid; only the last of the long ones is joined with its verse.
    ("v2 c2 v2 c2", REGULAR, (), "Aa0 Ab0 Bc0! Bc0! Cd1! Cd1! Cd1! Cd1!", 6),
    ("v2 c2 v2 c2 v2 c2", REGULAR, (),
     "Aa0 Ab0 Bc0! Bc0! Ad1 Ae1 Cf1! Cf1! Bg2! Bg2! Bg2! Bg2!", 8),
    ("v1 c1 v1 c1 v1 c1", REGULAR, (), "Aa0 Bb0 Cc1! Cc1! Bd2! Bd2!", 4),
    ("c1 v1 c3 v1", BEGINNERS, (), "Aa0 Ab1! Ab1! Ab1! Ab1! Bc1", 4),
    ("v1 c1 m1 c1", REGULAR, (), "Aa0 Bb0 Cc1! Cc1!", 2),  # what is quiet may be a middle
    # Three phrases are none of a pyramid's lengths; nor is a verse that no chorus follows.
    ("v1 c1 v1 c2", REGULAR, (), "Aa0 Bb0 Ac1 Cd1! Cd1!", 2),
    ("c2 v1 m1", REGULAR, (), "Aa0! Aa0! Bb0 Cc0", 2),
    ("c2 v2", REGULAR, (), "Aa0! Aa0! Bb0 Bc0", 2),
    ("c1 c1 c1", REGULAR, (), "Aa0 Bb1! Ac2!", 2),  # no quiet before these
    # A phrase that is not whole parts what would be joined, and is no pyramid itself.
    ("c2 v1 c1", BEGINNERS, (3,), "Aa0! Aa0! Bb0 Ac1", 3),
    ("c2 v1 c1", BEGINNERS, (2,), "Aa0! Aa0! Bb0 Ac1!", 3),
    ("c2", BEGINNERS, (1,), "Aa0! Ab0", 2),
])  # fmt: skip
def test_pyramids_go_from_the_quiet_into_the_loud(
    text: str, experience: Experience, short: tuple[int, ...], slices: str, pyramids: int
) -> None:
    """Chorus phrases are counted out side by side, two moves in turn, once they are learned."""
    found = drawn(BuildWay.PYRAMID, text, experience, short=short)
    assert " ".join(told(found)) == slices
    assert found.names.count("pyramid") == pyramids


@pytest.mark.parametrize(("phrases", "experience", "slices"), [
    (16, REGULAR, "Aa0 Aa0 Bb0 Bb0 Cc0 Cc0 Dd0 Dd0 Ae1 Ae1 Bf1 Bf1 Cg1 Cg1 Dh1 Dh1"),
    (15, REGULAR, "Aa0 Bb0 Cc0 Dd0 Ae1 Bf1 Cg1 Dh1 Ai2 Bj2 Ck2 Dl2 Am3 Bn3 Co3"),  # 15 < 4 x 4
    (6, REGULAR, "Aa0 Bb0 Cc0 Ad1 Be1 Cf1"),  # half of the phrases at most
    (3, REGULAR, "Aa0 Bb0 Ac1"),  # never fewer than two
    (2, REGULAR, "Aa0 Bb0"),
    (8, NEW, "Aa0 Aa0 Bb0 Bb0 Ac1 Ac1 Bd1 Bd1"),
    (9, NEW, "Aa0 Aa0 Bb0 Bb0 Ac1 Ac1 Bd1 Bd1 Ae2"),
    (12, BEGINNERS, "Aa0 Aa0 Bb0 Bb0 Cc0 Cc0 Ad1 Ad1 Be1 Be1 Cf1 Cf1"),
])  # fmt: skip
def test_a_block_goes_through_its_set_again_and_again(
    phrases: int, experience: Experience, slices: str
) -> None:
    """Two phrases a move where two rounds of that fit, else one; each round in its own way."""
    found = drawn(BuildWay.BLOCK, f"v{phrases}", experience)
    assert " ".join(told(found)) == slices
    rounds = [one[0].turn for one in found.slices]
    assert list(found.names) == [f"set, round {turn + 1}" for turn in rounds]
    assert found.roles == (Role.VERSE, Role.CHORUS, Role.VERSE, Role.CHORUS)[: found.places]


def test_a_song_too_short_for_its_way_is_built_by_its_sections() -> None:
    """One phrase is no block and three are no row: there its verses and choruses tell."""
    assert drawn(BuildWay.BLOCK, "c1", REGULAR).names == ("chorus",)
    assert drawn(BuildWay.ADD_ON, "v1 c2", REGULAR).names == ("verse 1", "chorus", "chorus")
    assert drawn(BuildWay.ADD_ON, "v1 c3", REGULAR).names == ("A", "B", "A B", "C")


@pytest.mark.parametrize(("phrases", "experience", "names", "slices"), [
    (11, REGULAR, "A|B|A B|C|A B C|D|A B C D|A B C D|A B C D|A B C D|A B C D",
     "Aa0|Bb0|Aa0 Bb0|Cc0|Aa0 Bb0 Cc0|Dd0|Aa0 Bb0 Cc0 Dd0|Aa0 Bb0 Cc0 Dd0|Aa0 Bb0 Cc0 Dd0"
     "|Ae1 Bf1 Cg1 Dh1|Ae1 Bf1 Cg1 Dh1"),
    (9, BEGINNERS, "A|A|B|B|A B|C|C|A B C|A B C",
     "Aa0|Aa0|Bb0|Bb0|Aa0 Bb0|Cc0|Cc0|Aa0 Bb0 Cc0|Aa0 Bb0 Cc0"),
    (8, NEW, "A|A|B|B|A B|A B|A B|A B", "Aa0|Aa0|Bb0|Bb0|Aa0 Bb0|Aa0 Bb0|Aa0 Bb0|Ac1 Bd1"),
])  # fmt: skip
def test_an_add_on_puts_one_move_after_the_other_into_a_row(
    phrases: int, experience: Experience, names: str, slices: str
) -> None:
    """Each is learned alone, then the row; the full row comes back harder after two phrases."""
    found = drawn(BuildWay.ADD_ON, f"v{phrases}", experience)
    assert "|".join(found.names) == names
    assert "|".join(told(found)) == slices
    assert found.roles == (Role.VERSE, Role.CHORUS, Role.VERSE, Role.CHORUS)[: found.places]


def test_a_row_shares_its_phrase_out_in_eights() -> None:
    """Two moves have 16 each, three 16 8 8, four 8 each; what is less than a phrase has one."""
    found = drawn(BuildWay.ADD_ON, "v9", REGULAR, short=(1, 8))
    assert [[one.counts for one in row] for row in found.slices] == [
        [32], [16], [16, 16], [32], [16, 8, 8], [32], [8] * 4, [8] * 4, [16],
    ]  # fmt: skip
    assert found.names[8] == "A"
    assert told(found)[8] == "Aa0"


def test_sets_grow_with_what_the_group_has_done() -> None:
    """Two moves in the first week, then three, then four (common practice, no source)."""
    assert [SET_SIZES[one] for one in Experience] == [2, 3, 4, 4]


@pytest.mark.parametrize(("repetition", "total", "turns"), [
    # 32 repetitions hold 8 8 4 4 2 2 1 1 = 30, and two single ones.
    (2, 64, (16, 16, 8, 8, 4, 4, 2, 2, 2, 2)),
    (2, 60, (16, 16, 8, 8, 4, 4, 2, 2)),  # 30 just hold them
    (2, 58, (8, 8, 4, 4, 2, 2, *[2] * 14)),  # 29 do not: 14, and 7 pairs of single ones
    (4, 56, (16, 16, 8, 8, 4, 4)),  # 14 = 4 4 2 2 1 1
    (4, 60, (16, 16, 8, 8, 4, 4)),  # 15: one is left, and a pair does not fit
    (8, 64, (16, 16, 8, 8, 8, 8)),  # 8: 2 2 1 1 1 1
    (16, 64, (16, 16, 16, 16)),
    (32, 64, (32, 32)),  # just one a side
    (33, 64, ()),  # not even that
    (4, 8, (4, 4)),
    (8, 128, (32, 32, 16, 16, 8, 8, 8, 8)),  # 16 repetitions: from four
])  # fmt: skip
def test_a_pyramid_begins_with_the_largest_step_that_fits(
    repetition: int, total: int, turns: tuple[int, ...]
) -> None:
    """8, 4, 2, 1 repetitions a side from the largest on, then single ones until it is full."""
    assert pyramid_counts(repetition, total) == turns


def test_a_pyramid_fills_two_phrases_unless_told() -> None:
    """64 counts are what it has by itself, and both sides have the same share of them."""
    for repetition in (1, 2, 3, 4, 6, 8, 16, 32):
        turns = pyramid_counts(repetition)
        assert turns == pyramid_counts(repetition, 64)
        assert turns[::2] == turns[1::2]
        assert 64 - 2 * repetition < sum(turns) <= 64


@pytest.mark.parametrize(("phrases", "most", "sets"), [
    (0, 4, []), (1, 4, [1]), (3, 4, [2, 1]), (4, 4, [4]), (6, 4, [4, 2]), (8, 4, [4, 4]),
    (5, 2, [2, 2, 1]), (3, 1, [1, 1, 1]), (13, 4, [4, 4, 4, 1]), (7, 3, [2, 2, 2, 1]),
])  # fmt: skip
def test_a_run_of_phrases_is_parted_into_few_pyramids(
    phrases: int, most: int, sets: list[int]
) -> None:
    """As many of four as fit, then of two, then single ones, none longer than one may be."""
    assert sets_of(phrases, most) == sets
    assert sets_of(phrases) == sets_of(phrases, 4)
