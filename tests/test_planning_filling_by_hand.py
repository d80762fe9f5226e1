"""One track filled: what planning asks of its two puzzles, and what it does with the answers.

The puzzles are answered by hand here. At 120 beats/min a phrase of 32 counts lasts 16 s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest
from planning_filling import KEYS, Asked, Moves, asked_by, filled, music, song
from planning_forms import form_of, rated

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.limits import limits_of
from aquatempo.planning.blocks import filling
from aquatempo.planning.blocks.filling import carries_moves
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.solver.solving import Solved
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Brief, BuildWay, PartName
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

LOW, MEDIUM = EnergyLevel.LOW, EnergyLevel.MEDIUM
PHRASE, INTRO, BRIDGE = PhraseKind.PHRASE, PhraseKind.INTRO, PhraseKind.BRIDGE
BREAK, OUTRO = PhraseKind.BREAK, PhraseKind.OUTRO


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what is asked of the two puzzles, which are answered at a cost of 1."""
    return asked_by(monkeypatch)


@pytest.mark.parametrize(
    ("layout", "index", "carries"),
    [
        ([(16, PHRASE)], 0, True),  # two eights, the least
        ([(8, PHRASE)], 0, False),
        ([(20, PHRASE)], 0, False),  # no whole eights
        ([(32, BRIDGE)], 0, False),
        ([(16, INTRO), (32, PHRASE)], 0, True),
        ([(24, INTRO), (32, PHRASE)], 0, True),
        ([(8, INTRO), (32, PHRASE)], 0, False),
        ([(20, INTRO), (32, PHRASE)], 0, False),
        ([(16, INTRO), (32, BRIDGE)], 0, False),  # nothing that it leads into
        ([(16, INTRO), (8, BRIDGE), (32, PHRASE)], 0, False),
        ([(16, INTRO)], 0, False),
        ([(32, PHRASE), (16, INTRO), (32, PHRASE)], 1, False),  # an intro stands first
        ([(16, OUTRO), (32, PHRASE)], 0, False),
        ([(16, BREAK), (32, PHRASE)], 0, False),
    ],
)
def test_phrases_and_intros_of_two_whole_eights_carry_moves(
    layout: list[tuple[int, PhraseKind]], index: int, carries: bool
) -> None:
    """A phrase carries moves from two whole eights on, an intro only where a phrase follows."""
    assert carries_moves(song(*layout), index) is carries


def test_what_lies_before_between_and_after_phrases_is_counted(asked: Asked) -> None:
    """Counts before are a lead-in, those between a bridge, those after the last a tail."""
    layout = [(8, INTRO), (32, PHRASE), (8, BRIDGE), (4, BREAK), (32, PHRASE), (4, BREAK)]
    assert filled(music(*layout, (12, OUTRO))) is not None
    told = [(s.phrase, s.lead_in, s.bridge, s.tail, s.seconds) for s in asked.slots[0]]
    assert told == [(1, 8, 0, 0, 16.0), (4, 0, 12, 16, 16.0)]


def test_effort_follows_the_part_and_an_intro_is_half_a_point_easier(asked: Asked) -> None:
    """Each phrase wants its share's effort; an intro that of quiet music, less half a point."""
    filled(music((16, INTRO), (32, PHRASE), (32, PHRASE), energy=EnergyLevel.HIGH))
    limits = limits_of(Brief())
    main = [(0.0, LOW, -0.5), (0.1, EnergyLevel.HIGH, 0.0), (0.2, EnergyLevel.HIGH, 0.0)]
    wanted = [wanted_rpe(PartName.MAIN, share, told, limits) + less for share, told, less in main]
    assert [slot.wanted for slot in asked.slots[0]] == pytest.approx(wanted)
    assert {slot.energy for slot in asked.slots[0]} == {EnergyLevel.HIGH}


@pytest.mark.parametrize(
    ("part", "cooled", "most"),
    [(PartName.COOL_DOWN, 7.5, 7.5), (PartName.COOL_DOWN, None, 20.0), (PartName.MAIN, 7.5, 20.0)],
)
def test_a_cool_down_goes_down_from_the_song_before(
    asked: Asked, part: PartName, cooled: float | None, most: float
) -> None:
    """A song of the cool-down never wants more than the one before it came to."""
    ledger = Ledger(set(KEYS), cooled=cooled)
    filled(music((32, PHRASE), (32, PHRASE), part=part), ledger)
    limits = limits_of(Brief())
    wanted = [min(most, wanted_rpe(part, share, MEDIUM, limits)) for share in (0.0, 0.1)]
    assert [slot.wanted for slot in asked.slots[0]] == pytest.approx(wanted)


def test_an_intro_is_a_row_of_its_own_with_the_first_move(asked: Asked) -> None:
    """An intro that is long enough is called so and does what the first phrase does."""
    found = filled(music((16, INTRO), (32, PHRASE), (32, PHRASE)))
    assert found is not None
    assert (found.names[0], len(found.names)) == ("intro", 3)
    first, second = asked.slots[0][:2]
    assert (first.counts, second.counts) == (16, 32)
    assert first.place == second.place


@pytest.mark.parametrize(
    ("experience", "part", "new"),
    [
        (Experience.FIRST_WEEK, PartName.MAIN, 1),
        (Experience.BEGINNERS, PartName.MAIN, 1),
        (Experience.REGULAR, PartName.MAIN, 1),
        (Experience.TRAINED, PartName.MAIN, 2),
        (Experience.FIRST_WEEK, PartName.WARM_UP, 3),  # 1 and two more
        (Experience.TRAINED, PartName.WARM_UP, 5),  # 2 and twice 2 less 1
    ],
)
def test_a_warm_up_meets_more_new_moves(
    asked: Asked, experience: Experience, part: PartName, new: int
) -> None:
    """A song of the main part brings one new move, two to the trained; a warm-up more."""
    limits = replace(limits_of(Brief()), experience=experience)
    filled(music((32, PHRASE), part=part), palette=Moves(limits))
    assert asked.terms[0].new_moves == new
    assert asked.terms[0].teaching is (part is PartName.WARM_UP)


@pytest.mark.parametrize(
    ("done", "repertoire", "share"),
    [
        (0, (), 4.0),  # 12 / 8 is less than four
        (40, (), 6.5),  # 52 / 8
        (40, ("jack", "jog"), 26.0),  # 52 / 2
        (3, ("jack", "jog", "twist"), 5.0),  # 15 / 3
    ],
)
def test_phrases_are_shared_among_the_base_moves(
    asked: Asked, done: int, repertoire: tuple[str, ...], share: float
) -> None:
    """A move may come as often as its share of the phrases done and twelve more, or four."""
    ledger = Ledger(set(KEYS))
    ledger.phrases["jack"] = done
    filled(music((32, PHRASE)), ledger, repertoire)
    assert asked.terms[0].share == share


@pytest.mark.parametrize(
    ("part", "cost", "jumps"),
    [
        (PartName.MAIN, 0, True),
        (PartName.MAIN, -4, True),
        (PartName.MAIN, None, False),
        (PartName.INTERVALS, 8, True),
        (PartName.WARM_UP, 8, False),
        (PartName.COOL_DOWN, 8, False),
    ],
)
def test_only_work_jumps(asked: Asked, part: PartName, cost: int | None, jumps: bool) -> None:
    """Big jumps come in the main part and in intervals only, where they have a price."""
    filled(music((32, PHRASE), part=part, hop_cost=cost, hop_room=3.0))
    told = asked.terms[0]
    assert (told.jumps_allowed, told.hop_cost, told.hop_room) == (jumps, cost or 0, 3.0)


def test_the_class_own_moves_come_first_then_holding_then_all(asked: Asked) -> None:
    """Holding fills in only where the own moves find no way, other moves only after that."""
    asked.answers = [None]
    assert filled(music((32, PHRASE)), repertoire=["jack"]) is None
    own, every = {"jack"}, {"jack", "jog", "twist"}
    assert asked.domains == [own, own | {"scull"}, every, every | {"scull"}]


def test_the_way_of_building_gives_way_last(asked: Asked) -> None:
    """Four tries keep the way of building, four more go on in lines."""
    asked.answers = [None]
    assert filled(music((32, PHRASE), way=BuildWay.PYRAMID), repertoire=["jack"]) is None
    ways = [terms.way for terms in asked.terms]
    assert ways == [BuildWay.PYRAMID] * 4 + [BuildWay.LINEAR] * 4


@pytest.mark.parametrize(
    ("answers", "tries", "cost"),
    [
        ([4999.0], 1, 4999.0),
        ([5000.0, 7.0], 2, 7.0),  # a rule was broken: another try
        ([None, 7.0], 2, 7.0),
        ([6000.0, 5500.0, 5700.0, None], 4, 5500.0),  # the least of what there is
    ],
)
def test_a_choice_that_breaks_a_rule_is_tried_anew(
    asked: Asked, answers: list[float | None], tries: int, cost: float
) -> None:
    """Planning stops at the first choice that keeps the rules, else takes the cheapest."""
    asked.answers = answers
    found = filled(music((32, PHRASE)))
    assert found is not None
    assert len(asked.slots) == tries
    assert found.solved == (Solved(cost, 0.0, True), Solved(2.0, 1.0, False))


def test_named_moves_fill_a_phrase_alone(asked: Asked) -> None:
    """A phrase for which moves are named is filled with these, whatever the class knows best."""
    found = filled(music((32, PHRASE), only={0: frozenset({"twist"})}), repertoire=["jack"])
    assert found is not None
    assert asked.domains == [{"twist"}]
    assert [[piece.form.move.key for piece in row] for row in found.rows] == [["twist"]]


def test_a_phrase_of_rest_holds_at_an_effort_of_eight(asked: Asked) -> None:
    """Where the class rests only holding moves come, and the effort wanted is 8."""
    found = filled(music((32, PHRASE), resting=frozenset({0})))
    assert found is not None
    assert asked.domains == [{"scull"}]
    assert [slot.wanted for slot in asked.slots[0]] == [8.0]


@pytest.mark.parametrize(("part", "songs"), [(PartName.MAIN, 1), (PartName.WARM_UP, 0)])
def test_the_ledger_notes_what_was_done(asked: Asked, part: PartName, songs: int) -> None:
    """A song's moves, phrases and counts are noted; songs of the main part are counted."""
    ledger = Ledger({"jack"})
    filled(music((32, PHRASE), (32, PHRASE), part=part), ledger, ["jack"])
    assert ledger.phrases == {"jack": 2}
    assert ledger.recent == [frozenset({"jack"})]
    assert (ledger.songs, ledger.worked, len(asked.slots)) == (songs, 64 * songs, 1)


def test_music_without_phrases_is_held(asked: Asked) -> None:
    """Where no stretch carries moves, holding moves fill it and nothing is searched."""
    found = filled(music((4, INTRO), (12, OUTRO)))
    assert found is not None
    assert [sum(piece.counts for piece in row) for row in found.rows] == [4, 12]
    assert {piece.form.move.key for row in found.rows for piece in row} == {"scull"}
    assert (found.solved, found.names, asked.slots) == ((), (), [])


@pytest.mark.parametrize(
    ("parts", "options"),
    [
        ((8, 24), [1, 2]),  # an eight is too short to meet a new form in
        ((16, 16), [2, 2]),
        ((24, 8), [2, 2]),  # the move was met before the eight
    ],
)
def test_less_than_two_eights_bring_nothing_new(
    asked: Asked, monkeypatch: pytest.MonkeyPatch, parts: tuple[int, int], options: list[int]
) -> None:
    """A move that is met in less than two eights comes as it stands, later as it may."""
    given: list[int] = []

    def forms(_: object, __: object, domains: Mapping[int, list[Rated]], *___: object) -> None:
        given.extend(len(row) for row in domains.values())

    held = rated("jack", changes=[(Factor.TEMPO, "hold")])
    monkeypatch.setattr(filling, "menu", lambda palette, start, *_: [start, held])
    monkeypatch.setattr(filling, "choose_forms", forms)
    found = filled(music((32, PHRASE), kept={0: parts}), repertoire=["jack"])
    assert given == options
    assert found is not None  # the start forms stand where no other choice keeps the rules
    assert found.solved == (Solved(1.0, 0.0, True), Solved(1.0, 0.0, False))
    assert {piece.form for row in found.rows for piece in row} == {form_of("jack")}
    assert len(asked.slots[0]) == 2
