"""One song filled, step by step: its design, what each place may carry, what is noted after it.

At 120 beats/min a phrase of 32 counts lasts 16 s. No puzzle is solved here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import pytest
from planning_filling import KEYS, Asked, Leads, Moves, asked_by, filled, music
from planning_forms import form_of, rated, slot

from aquatempo.class_shape.limits import limits_of
from aquatempo.class_shape.standards import FIRM_SHARES
from aquatempo.planning.blocks import filling
from aquatempo.planning.blocks.pieces import Piece
from aquatempo.planning.moves.favourites import WithFavourite
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.menus import Taste
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.solver.solving import Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, Move, MoveForm
from aquatempo.records.people import Intensity
from aquatempo.records.plan import Block, Brief, BuildWay, PartName
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

PHRASE, INTRO, BRIDGE = PhraseKind.PHRASE, PhraseKind.INTRO, PhraseKind.BRIDGE
OUTRO = PhraseKind.OUTRO
MAIN, WARM_UP, COOL_DOWN = PartName.MAIN, PartName.WARM_UP, PartName.COOL_DOWN
PLAIN = limits_of(Brief())
HELD = rated("jack", changes=[(Factor.TEMPO, "hold")])


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what is asked of the two puzzles, which are answered at a cost of 1."""
    return asked_by(monkeypatch)


@pytest.mark.parametrize(
    ("row", "opening"),
    [
        ([Slice(32, 0, 3)], Slice(16, 0, 3)),  # one move: the intro does what it does
        ([Slice(16, 0, 3), Slice(16, 1, 7)], Slice(16, 0, 8, plain=True)),
        ([Slice(32, 0, 3, pyramid=True)], Slice(16, 0, 5, plain=True)),
    ],
)
def test_an_intro_opens_with_the_first_move_plain_where_more_is_to_come(
    monkeypatch: pytest.MonkeyPatch, row: list[Slice], opening: Slice
) -> None:
    """Before a row of moves or a pyramid the first move comes as it was learned, in a new tie."""
    drawn = Design((tuple(row), (Slice(32, 2, 4),)), ("verse", "chorus"), (Role.VERSE,) * 3)
    monkeypatch.setattr(filling, "design_song", lambda *_, **__: drawn)
    some = music((16, INTRO), (32, PHRASE), (32, PHRASE))
    found = filling._design(some, BuildWay.LINEAR, PLAIN)
    assert found.slices == ((opening,), *drawn.slices)
    assert (found.names, found.roles) == (("intro", "verse", "chorus"), drawn.roles)
    without = music((32, PHRASE), (32, PHRASE))
    assert filling._design(without, BuildWay.LINEAR, PLAIN) == drawn


@pytest.mark.parametrize(
    ("layout", "gaps"),
    [
        ([(16, INTRO), (32, PHRASE), (8, BRIDGE), (32, PHRASE), (32, PHRASE)], [0, 1, 0]),
        ([(8, BRIDGE), (32, PHRASE), (8, BRIDGE), (32, PHRASE), (24, PHRASE)], [0, 1, 0]),
        ([(32, PHRASE), (32, PHRASE), (4, BRIDGE), (24, PHRASE)], [0, 0, 1]),
    ],
)
@pytest.mark.parametrize(
    ("part", "way", "teaching"),
    [
        (MAIN, BuildWay.BLOCK, False),
        (WARM_UP, BuildWay.LINEAR, True),
        (COOL_DOWN, BuildWay.LINEAR, True),
    ],
)
def test_a_design_is_asked_for_phrases_gaps_and_way(
    monkeypatch: pytest.MonkeyPatch,
    layout: list[tuple[int, PhraseKind]],
    gaps: list[int],
    part: PartName,
    way: BuildWay,
    teaching: bool,
) -> None:
    """Phrases after the intro, with what lies between; only work is built, the rest in lines."""
    given: list[Any] = []

    def drawn(way: BuildWay, _: object, counts: list[int], *__: object, teaching: bool) -> Design:
        given.extend((way, counts, teaching))
        rows = tuple((Slice(one, 0, 0),) for one in counts)
        return Design(rows, ("verse",) * len(rows), (Role.VERSE,))

    def sections(energies: Sequence[EnergyLevel], told: list[bool]) -> tuple[()]:
        given.extend((len(energies), [int(one) for one in told]))
        return ()

    monkeypatch.setattr(filling, "design_song", drawn)
    monkeypatch.setattr(filling, "sections_of", sections)
    filling._design(music(*layout, part=part), BuildWay.BLOCK, PLAIN)
    counts = [n for n, kind in layout if kind is PHRASE]
    assert given == [3, gaps, way, counts, teaching]


@dataclass
class Starts(Moves):
    """A palette in which a jack can be done on one side, a jog not."""

    asked_one_side: list[str] = field(default_factory=list)

    def start(self, move: Move, tempo_bpm: float, one_side: bool = False) -> Rated | None:
        """Return how a move starts on one side, None where it does not."""
        assert (tempo_bpm, one_side) == (120.0, True)
        self.asked_one_side.append(move.key)
        return HELD if move.key == "jack" else None


STARTS = {key: rated(key) for key in ("jack", "jog", "twist", "row", "scull")}


def domain(
    slots: Sequence[MoveSlot],
    repertoire: Sequence[str] = (),
    wider: bool = False,
    filling_in: bool = False,
    **others: Any,
) -> list[tuple[str, bool]]:
    """Return the moves that place 0 may carry, and whether each is as it stands."""
    palette = cast("Palette", Starts())
    some = music((32, PHRASE), (32, PHRASE), **others)
    found = filling._domain(slots, 0, STARTS, repertoire, palette, some, wider, filling_in)
    return [(one.form.move.key, not one.form.variation.changes) for one in found]


def test_a_place_carries_the_moves_of_the_class_and_those_of_the_arms() -> None:
    """All moves where the class has none of its own or others may help; holds where they fill."""
    slots = [slot(1), slot(0)]
    every = [("jack", True), ("jog", True), ("twist", True), ("row", True)]
    assert domain(slots) == every
    assert domain(slots, ["jog"]) == [("jog", True), ("row", True)]
    assert domain(slots, ["jog"], wider=True) == every
    scull = ("scull", True)
    assert domain(slots, ["jog"], filling_in=True) == [("jog", True), ("row", True), scull]


def test_a_pyramid_takes_moves_on_one_side_where_they_can_be() -> None:
    """A jack on one side, a jog as it stands; where more is let through, a jack both ways."""
    slots = [slot(0), slot(0, pyramid=True), slot(1)]
    assert domain(slots, ["jack", "jog"])[:2] == [("jack", False), ("jog", True)]
    found = domain(slots, ["jack", "jog"], wider=True)
    assert found[:3] == [("jack", False), ("jack", True), ("jog", True)]
    assert domain([slot(0), slot(1, pyramid=True)], ["jack"])[:1] == [("jack", True)]


def test_named_kept_and_resting_places_carry_nothing_else() -> None:
    """The moves named for all of its phrases; the form that stays; holding moves in a rest."""
    two = [slot(0, phrase=0), slot(0, phrase=1), slot(1, phrase=2)]
    only = {0: frozenset({"jog", "twist"}), 1: frozenset({"twist", "jack"}), 2: frozenset({"jog"})}
    assert domain(two, ["jack"], only=only) == [("twist", True)]
    assert domain([slot(0, fixed=HELD.form)], ["jog"], only=only) == [("jack", False)]
    resting = slot(0, phrase=5, only=(STARTS["scull"].form.move.kind,))
    assert domain([resting], ["jog"], only=only) == [("scull", True)]


@pytest.mark.parametrize(
    ("part", "gentle"),
    [(MAIN, False), (WARM_UP, True), (COOL_DOWN, True), (PartName.INTERVALS, False)],
)
def test_what_holds_for_a_song_is_asked_of_its_moves(
    asked: Asked, part: PartName, gentle: bool
) -> None:
    """Gentle ends, what the class has met, its own moves, the plan that is followed."""
    follow = {(0, 0): Block(32, "jog")}
    for known, met in ((["jack", "jog"], True), (["jack"], False)):
        filled(music((32, PHRASE), part=part, follow=follow), Ledger(set(known)), ["jack", "jog"])
        told = asked.terms[-1]
        assert (told.gentle, told.met_all) == (gentle, met)
        assert told.own == {"jack", "jog"}
        assert told.follow == follow
        share = FIRM_SHARES[Intensity.STEADY] if part is MAIN else (0.0, 1.0)
        assert told.firm == share
        assert told.moves["jog"].key == "jog"


@dataclass
class Tasted:
    """What a menu was asked for, and what the second puzzle was given."""

    tastes: list[Taste] = field(default_factory=list)
    wanted: list[float] = field(default_factory=list)
    sizes: dict[int, int] = field(default_factory=dict)
    first: dict[int, bool] = field(default_factory=dict)

    def menu(self, _: object, start: Rated, *others: Any) -> list[Rated]:
        """Return a move as it stands and held."""
        *_, taste, wanted = others
        self.tastes.append(taste)
        self.wanted.append(wanted)
        return [start, HELD]

    def forms(
        self, _: object, __: object, domains: Mapping[int, list[Rated]], *___: object
    ) -> None:
        """Note how much there is to choose from, and whether a held form is all there is."""
        self.sizes = {tie: len(row) for tie, row in domains.items()}
        self.first = {tie: row[0] == HELD for tie, row in domains.items()}


@pytest.fixture
def tasted(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> Tasted:
    """Return what is asked of the second puzzle, which finds no way."""
    assert asked.slots == []
    told = Tasted()
    monkeypatch.setattr(filling, "menu", told.menu)
    monkeypatch.setattr(filling, "choose_forms", told.forms)
    return told


def drawing(*rows: Sequence[Slice]) -> Design:
    """Return a design of some rows of two places."""
    told = tuple(tuple(row) for row in rows)
    return Design(told, ("verse",) * len(told), (Role.VERSE, Role.CHORUS))


def in_ties(*rows: Sequence[Slice], known: Sequence[str] = KEYS, **others: Any) -> None:
    """Fill a song of phrases with a design by hand."""
    layout = [(sum(one.counts for one in row), PHRASE) for row in rows]
    filled(music(*layout, design=drawing(*rows), **others), Ledger(set(known)), ["jack"])


@pytest.mark.parametrize(
    ("cost", "jumps", "price"), [(None, False, 0), (-4, True, 0), (0, True, 0), (7, True, 7)]
)
def test_a_taste_jumps_where_jumps_have_a_price(
    tasted: Tasted, cost: int | None, jumps: bool, price: int
) -> None:
    """Jumps that are wanted cost nothing more; where none may come none is tasted."""
    in_ties([Slice(32, 0, 0)], hop_cost=cost, hop_room=2.0)
    taste = tasted.tastes[0]
    assert (taste.jumps_allowed, taste.hop_cost, taste.hop_room) == (jumps, price, 2.0)
    assert taste.firm == FIRM_SHARES[Intensity.STEADY]


@pytest.mark.parametrize(
    ("rpe", "part", "drive"),
    [
        (14.0, MAIN, 4.0), (14.0, PartName.INTERVALS, 4.0), (14.0, WARM_UP, 2.0),
        (14.0, COOL_DOWN, 1.0), (12.0, MAIN, 3.0), (12.0, WARM_UP, 2.0), (10.0, MAIN, 1.0),
    ],
)  # fmt: skip
def test_a_song_is_driven_as_its_part_lets(
    tasted: Tasted, rpe: float, part: PartName, drive: float
) -> None:
    """Vigorous from RPE 13.5 (4), moderate from 11.9 (3); a warm-up at most 2, a cool-down 1."""
    palette = Moves(replace(PLAIN, rpe=(rpe, 18.0)))
    filled(music((32, PHRASE), part=part), Ledger(set(KEYS)), ["jack"], palette)
    assert tasted.tastes[0].drive == drive


def test_one_menu_a_place_for_the_hardest_that_is_wanted(tasted: Tasted) -> None:
    """Two places in three phrases: each is asked once, for the most that its slots want."""
    in_ties([Slice(32, 0, 0)], [Slice(32, 1, 1)], [Slice(32, 0, 2)])
    assert len(tasted.wanted) == 2
    assert tasted.wanted[0] > tasted.wanted[1]  # the third phrase of a rising part, the second
    assert tasted.sizes == {0: 2, 1: 2, 2: 2}


@pytest.mark.parametrize(
    ("known", "counts", "options"),
    [
        (["jack"], [32, 32, 32], [2, 2, 2]),
        ([], [32, 32, 32], [1, 2, 2]),  # met for the 32 counts that it takes to learn
        ([], [16, 16, 32], [1, 1, 2]),
        ([], [24, 24, 32], [1, 1, 2]),
    ],
)
def test_a_new_move_comes_plain_until_it_is_learned(
    tasted: Tasted, known: list[str], counts: list[int], options: list[int]
) -> None:
    """Eight movements a side are a phrase of a jack: until so much is done nothing is added."""
    in_ties(*([Slice(n, 0, tie)] for tie, n in enumerate(counts)), known=known)
    assert list(tasted.sizes.values()) == options


def test_plain_ties_are_plain_and_a_tie_is_asked_once(tasted: Tasted) -> None:
    """A slice told to be plain has its start only, also where its tie comes back."""
    in_ties([Slice(32, 0, 0, plain=True)], [Slice(32, 0, 1)], [Slice(32, 0, 0)])
    assert tasted.sizes == {0: 1, 1: 2}


@pytest.mark.parametrize("held", [True, False])
@pytest.mark.parametrize(
    ("layout", "calls", "ends"),
    [
        ([(8, INTRO), (32, PHRASE), (32, PHRASE)], [(False, 8, True)] * 2, (True, False)),
        ([(32, PHRASE), (32, PHRASE), (12, OUTRO)], [(True, 12, False)] * 2, (False, True)),
        ([(32, PHRASE), (32, PHRASE), (4, OUTRO)], [], (False, False)),
    ],
)
def test_what_a_hold_leads_into_or_out_of_is_chosen_at_the_ends(
    tasted: Tasted,
    monkeypatch: pytest.MonkeyPatch,
    held: bool,
    layout: list[tuple[int, PhraseKind]],
    calls: list[tuple[bool, int, bool]],
    ends: tuple[bool, bool],
) -> None:
    """A lead-in narrows the first tie, an ending the last; where nothing fits all stay."""
    leads = Leads(HELD.form, held)
    monkeypatch.setattr(filling, "passages_for", lambda _: leads)
    design = drawing([Slice(32, 0, 0)], [Slice(32, 0, 1)])
    filled(music(*layout, design=design), Ledger({"jack"}), ["jack"])
    assert leads.asked[: len(calls)] == calls
    narrowed = [one and held for one in ends]
    assert [tasted.first[0], tasted.first[1]] == narrowed
    assert list(tasted.sizes.values()) == [1 if one else 2 for one in narrowed]


def test_what_comes_next_is_told_unless_a_bridge_comes_first(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each phrase is told the next one's form; phrases that a pyramid took are not asked again."""
    told: list[tuple[int, str | None]] = []

    def rows(
        by_phrase: Mapping[int, Sequence[MoveSlot]],
        phrase: int,
        forms: Mapping[int, MoveForm],
        follows: MoveForm | None,
        _: object,
    ) -> dict[int, list[Piece]]:
        told.append((phrase, None if follows is None else follows.move.key))
        run = (phrase, phrase + 1) if phrase == 2 else (phrase,)
        return {one: [Piece(32, forms[by_phrase[one][0].tie])] for one in run}

    monkeypatch.setattr(filling, "row_pieces", rows)
    forms = {tie: form_of(key) for tie, key in enumerate(KEYS)}
    slots = [
        slot(0, 16, phrase=0), slot(1, 16, phrase=0, tie=1), slot(2, phrase=1, tie=2),
        slot(0, phrase=2, bridge=8), slot(1, phrase=3), slot(2, phrase=4, tie=1),
    ]  # fmt: skip
    found = filling._rows(
        music((32, PHRASE)), slots, forms, cast("Passages", Leads(HELD.form, True))
    )
    assert told == [(0, "twist"), (1, None), (2, "jog"), (4, None)]
    assert sorted(found) == [0, 1, 2, 3, 4]


def test_a_song_of_the_main_part_notes_its_choruses() -> None:
    """Each move of a chorus once a song, however often it comes; only songs of the main part."""
    forms = {0: form_of("jack"), 1: form_of("jog", (Factor.HANDS, "fist")), 2: form_of("twist")}
    slots = [
        slot(0, phrase=0), slot(1, phrase=1, role=Role.CHORUS),
        slot(1, phrase=2, role=Role.CHORUS), slot(2, phrase=3, role=Role.MIDDLE),
    ]  # fmt: skip
    for part, chorus in ((MAIN, {"jog": 1}), (WARM_UP, {})):
        ledger = Ledger({"jack"})
        palette = cast("Palette", Moves())
        filling._note(ledger, music((32, PHRASE), part=part), slots, forms, palette)
        assert ledger.choruses == chorus
        assert ledger.phrases == {"jack": 1, "jog": 2, "twist": 1}
        assert ledger.options == {("jog", "hands", "fist"): 2}
        assert ledger.recent == [frozenset({"jack", "jog", "twist"})]
        assert ledger.known == {"jack", "jog", "twist"}


def test_of_choices_that_cost_the_same_the_first_is_kept(asked: Asked, tasted: Tasted) -> None:
    """All break a rule at the same price: the part's own way of building stays."""
    asked.answers = [6000.0]
    filled(music((32, PHRASE), way=BuildWay.PYRAMID), Ledger({"jack"}), ["jack"])
    assert len(asked.slots) == 8
    assert tasted.tastes[0].way is BuildWay.PYRAMID


@pytest.mark.parametrize(("name", "noted"), [("Waltz", {"Waltz"}), ("", set())])
def test_a_favourite_that_was_used_is_noted(
    asked: Asked, monkeypatch: pytest.MonkeyPatch, name: str, noted: set[str]
) -> None:
    """The next song does not use it again."""

    def favourite(_: object, __: object, design: Design, *___: object) -> WithFavourite:
        return WithFavourite(design, name)

    monkeypatch.setattr(filling, "with_favourite", favourite)
    ledger = Ledger({"jack"})
    found = filled(music((32, PHRASE)), ledger, ["jack"])
    assert ledger.favourites == noted
    assert found is not None
    assert found.solved[0] == Solved(1.0, 0.0, True)
    assert len(asked.slots) == 1
