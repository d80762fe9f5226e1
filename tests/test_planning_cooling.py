"""What a class without a stretch part, without named room, or of all songs does about it."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import pytest
from planning_forms import form_of, rated
from review_making import Song, block_of, read_songs

from aquatempo.class_shape.limits import limits_of
from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.moves.tags import sent_away
from aquatempo.planning.blocks import cooling, filling
from aquatempo.planning.blocks.cooling import phrases_to_stretch
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.rounds import TO_AND_FRO, to_and_fro
from aquatempo.planning.solver.choosing import Link, Puzzle, choose
from aquatempo.planning.solver.solving import Effort
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, Brief, BuildWay, PartName, PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
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


STEADY = limits_of(Brief())


def music(phrases: int, part: PartName = PartName.COOL_DOWN) -> Music:
    """Return a song of whole phrases at 96 beats a minute, loud at the end."""
    quiet = [PlannedPhrase(n, 32, PhraseKind.PHRASE, EnergyLevel.LOW, ()) for n in range(phrases)]
    quiet[-1] = replace(quiet[-1], energy_level=EnergyLevel.HIGH)
    shares = [(n + 0.5) / phrases for n in range(phrases)]
    return Music(quiet, shares, 96.0, ClassPart(part, 3.0, (90.0, 110.0), BuildWay.LINEAR))


@pytest.mark.parametrize(("phrases", "moved"), [(2, 2), (3, 1), (4, 2), (6, 3), (12, 7)])
def test_a_last_song_cools_down_first_and_stretches_then(
    monkeypatch: pytest.MonkeyPatch, phrases: int, moved: int
) -> None:
    """What is filled with moves and with stretches make the song; the class ends in stretches."""
    ended: list[bool] = []

    def still(rest: Music, *_: object, ends: bool) -> Filled:
        ended.append(ends)
        return Filled([[] for _ in rest.phrases], (), ("stretch",) * len(rest.phrases))

    monkeypatch.setattr(cooling, "fill_with_stretches", still)
    palette = cast("Palette", None)

    def moves(one: Music) -> Filled:
        return Filled([[] for _ in one.phrases], (), ("verse",) * len(one.phrases))

    found = cooling.cool_and_stretch(music(phrases), palette, Ledger(set()), moves)
    assert found is not None
    assert found.names == ("verse",) * moved + ("stretch",) * (phrases - moved)
    assert len(found.rows) == phrases
    assert ended == [True] * (moved < phrases)
    assert cooling.cool_and_stretch(music(6), palette, Ledger(set()), lambda _: None) is None


@pytest.mark.parametrize("part", [PartName.COOL_DOWN, PartName.WARM_UP])
@pytest.mark.parametrize("cooled", [None, 8.5, 7.0, 20.0])
def test_a_cool_down_never_rises_over_the_song_before(part: PartName, cooled: float | None) -> None:
    """No phrase asks for more than the last song came to, a loud one neither; a warm-up rises."""
    song = music(4, part)
    design = filling._design(song, BuildWay.LINEAR, STEADY)

    def wanted(before: float | None) -> list[float]:
        return [slot.wanted for slot in filling._slots(song, design, STEADY, {}, before)]

    free = wanted(None)
    capped = part is PartName.COOL_DOWN and cooled is not None
    assert wanted(cooled) == [min(one, cooled) if capped and cooled else one for one in free]
