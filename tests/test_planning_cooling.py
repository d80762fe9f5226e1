"""What a class without a stretch part, without named room, or of all songs does about it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planning_forms import form_of, rated
from review_making import Song, block_of, read_songs

from aquatempo.class_shape.parts import class_shape
from aquatempo.moves.tags import sent_away
from aquatempo.planning.blocks.cooling import phrases_to_stretch
from aquatempo.planning.moves.rounds import TO_AND_FRO, to_and_fro
from aquatempo.planning.solver.choosing import Link, Puzzle, choose
from aquatempo.planning.solver.solving import Effort
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, Brief, PartName
from aquatempo.review.structure import stretched


def test_a_last_song_gives_its_end_to_stretches() -> None:
    """Right and left need two phrases, moves one before them; a dozen gives 0.45 of them, five."""
    assert [phrases_to_stretch(n) for n in (0, 1, 2, 3, 4, 12)] == [0, 0, 0, 2, 2, 5]


@pytest.mark.parametrize(
    ("key", "travel", "away"),
    [("jog", "", False), ("side-step", "", False), ("leap", "", True), ("jog", "forward", True)],
)
def test_who_is_sent_away(key: str, travel: str, away: bool) -> None:
    """A step to the side comes back; a leap goes forward of itself, a jog where it is told to."""
    changes = ((Factor.TRAVEL, travel),) if travel else ()
    assert sent_away(form_of(key, *changes)) is away


def test_a_class_without_a_stretch_is_told() -> None:
    """Work and a cool-down that never stretches is told; one stretch in the cool-down is enough."""

    def told(*cooling: Block) -> int:
        songs = [Song("main", [block_of("jack")]), Song("cool-down", cooling)]
        return len(list(stretched(read_songs(songs))))

    assert told(block_of("jack")) == 1
    assert told(block_of("jack"), block_of("calf-stretch", lead="right")) == 0


def test_those_who_begin_have_the_slower_songs_of_their_range() -> None:
    """A third up the range instead of the half, by the brief's note; the range is the same."""
    usual, first = (
        next(one for one in class_shape(brief) if one.name is PartName.MAIN)
        for brief in (Brief(), Brief(group_notes=("first week",)))
    )
    low, high = usual.tempo_bpm
    assert first.tempo_bpm == usual.tempo_bpm
    assert usual.working_bpm == pytest.approx((low + high) / 2.0)
    assert first.working_bpm == pytest.approx(low + (high - low) / 3.0)


def test_a_third_round_goes_on_rather_than_back() -> None:
    """Two ways at 3 for staying as it was: A A B or A B B (3) are taken before A B A (10)."""
    ways = [rated("jack"), rated("jack", changes=((Factor.ARMS, "raise"),))]
    again = {(i, j): 3 * (i == j) for i in range(2) for j in range(2)}
    links = [Link(0, 1, again), Link(1, 2, again), to_and_fro(0, 2, ways, ways)]
    links = [_first(links[0]), links[1], _first(links[2])]
    found = choose(Puzzle([[0], [0, 0], [0, 0]], links), Effort())
    assert found is not None
    assert found[1].cost == 3 < TO_AND_FRO
    assert found[0] in ((0, 0, 1), (0, 1, 1))


def _first(link: Link) -> Link:
    """Return a link whose first place has only its first way."""
    return replace(link, costs={pair: cost for pair, cost in link.costs.items() if pair[0] == 0})
