"""What is done to a move in a section and in the next, and what a song leaves in the ledger.

The promises are those of docs/design/planning.md; weights are judgement, no source.
"""

from __future__ import annotations

from collections import Counter

import pytest
from planning_forms import PassagesByHand, move_price, rated, slot
from test_planning_form_costs import price

from aquatempo.planning.moves.base_moves import moves_puzzle
from aquatempo.planning.moves.keeping import at_once, finals, loses, same_section, taught
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.lessons import met_then_varied
from aquatempo.planning.moves.menus import Taste
from aquatempo.planning.moves.move_costs import Terms
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor
from aquatempo.records.plan import BuildWay, PartName

OPEN, LARGE, SMALL = (Factor.HANDS, "open"), (Factor.RANGE, "large"), (Factor.RANGE, "small")
RAISE, GROUNDED = (Factor.ARMS, "raise"), (Factor.LEVEL, "grounded")
JACK = rated("jack")
KNOWN = Ledger({"jack", "jog"})


@pytest.mark.parametrize(("was", "comes", "start", "lost"), [
    ((), (OPEN,), (), False), ((OPEN,), (OPEN, LARGE), (), False), ((OPEN,), (), (), True),
    ((OPEN,), (LARGE,), (), True), ((SMALL,), (), (), False), ((), (GROUNDED,), (), True),
    ((GROUNDED,), (GROUNDED, OPEN), (GROUNDED,), False),
])  # fmt: skip
def test_what_is_given_up(
    was: tuple[tuple[Factor, str], ...],
    comes: tuple[tuple[Factor, str], ...],
    start: tuple[tuple[Factor, str], ...],
    lost: bool,
) -> None:
    """Something more is no loss; less, something else, and what makes it easier, is."""
    one, other, first = (rated("jack", changes=[*told]).form for told in (was, comes, start))
    assert loses(one, other, first) is lost


def test_a_section_ends_where_its_role_or_turn_changes_or_a_bridge_comes() -> None:
    """Two phrases of a verse are one section; its return is another."""
    assert same_section(slot(0), slot(0))
    for other in (slot(0, turn=1), slot(0, role=Role.CHORUS), slot(0, bridge=8)):
        assert not same_section(slot(0), other)


def test_what_a_move_ends_with() -> None:
    """The last tie of a place, where it is one slot."""
    assert finals([slot(0), slot(1), slot(0, tie=2), slot(1)]) == {2}
    assert taught(rated("jack", changes=[OPEN]), JACK, KNOWN)
    assert not taught(JACK, JACK, KNOWN)


def test_a_warm_up_brings_one_thing_after_the_other() -> None:
    """Two to what was met; those who work hard know what other moves had. Later all may come."""
    both = rated("jack", changes=[OPEN, RAISE])
    warm = Taste(PartName.WARM_UP, BuildWay.LINEAR, Experience.TRAINED)
    hard = Taste(PartName.WARM_UP, BuildWay.LINEAR, Experience.TRAINED, drive=4.0)
    main = Taste(PartName.MAIN, BuildWay.LINEAR, Experience.TRAINED)
    met = Ledger({"jack"}, forms={"jack": Counter({(("hands", "open"),): 1})})
    other = Ledger({"jack"}, options=Counter({("jog", "hands", "open"): 1}))
    cases = ((warm, KNOWN, 2), (warm, met, 1), (warm, other, 2), (hard, other, 1), (main, KNOWN, 0))
    for taste, ledger, things in cases:
        assert at_once(both, JACK, taste, ledger) == things
    at_once_price, single = (
        price([slot(0), slot(0)], form, part=PartName.WARM_UP)
        for form in (both, rated("jack", changes=[OPEN]))
    )
    assert at_once_price == single + 30 - 5 + 2 + 4  # learned as one, two things before plain


def test_a_form_is_worn_after_two_songs_and_a_cool_down_begins_low() -> None:
    """Five for each song of the main part beyond two that had it; raised arms 12 at first."""
    slots, form = [slot(0), slot(0)], rated("jack", changes=[RAISE])
    costs = [
        price(slots, form, ledger=Ledger({"jack"}, worn=Counter({form.form.variation: songs})))
        for songs in (0, 2, 3, 5)
    ]
    assert [cost - costs[0] for cost in costs] == [0, 0, 5, 15]
    cool = price(slots, form, part=PartName.COOL_DOWN)
    assert cool - price(slots, rated("jack", changes=[OPEN]), part=PartName.COOL_DOWN) == 12


def test_a_song_leaves_its_moves_in_the_ledger() -> None:
    """What it opened with, its chorus, and in the main part how often things came, and in a row."""
    ledger, hold = Ledger({"jack"}), rated("easy-jog").form
    forms = [hold, rated("jog").form, rated("jack", changes=[OPEN]).form, rated("jog").form]
    ledger.add_song(forms, ["jack"], main=False)
    assert (ledger.opened, ledger.chorus, ledger.songs) == ("jog", frozenset({"jack"}), 0)
    assert not ledger.visits
    ledger.add_song(forms[1:], ["jack"], main=True)
    assert (ledger.songs, ledger.choruses["jack"], ledger.visits["jog"]) == (1, 1, 1)
    assert ledger.pairs == Counter({frozenset({"jog", "jack"}): 1})
    assert ledger.worn == Counter({forms[2].variation: 1})
    ledger.add_song([hold], [], main=True)
    assert ledger.opened == ""


@pytest.mark.parametrize(("terms", "opens", "chorus"), [
    ({}, 24, 18), ({"gentle": True, "teaching": True}, 24, 30), ({"gentle": True}, 8, 8),
])  # fmt: skip
def test_neighbouring_songs_begin_otherwise_and_have_other_choruses(
    terms: dict[str, bool], opens: int, chorus: int
) -> None:
    """Dearest in a warm-up, least in a cool-down, which comes back to what is known."""
    told = {"opened": "jack", "chorus": frozenset({"jack"})}
    after, free = Ledger({"jack", "jog"}, **told), Ledger({"jack", "jog"})  # type: ignore[arg-type]
    for slots, more in (([slot(0)], opens), ([slot(1), slot(0, role=Role.CHORUS)], chorus)):
        spent, usual = (move_price(slots, JACK, one, **terms) for one in (after, free))
        assert spent - usual == more


def test_a_move_has_its_share_of_the_songs() -> None:
    """From the fourth song on: in more than six of ten each costs eight a phrase."""
    slots, own = [slot(0), slot(1)], frozenset("abcdefgh")
    for songs, visits, cost in ((2, 2, 0), (4, 2, 0), (4, 4, 16)):  # 5 - 0.6 x 5 = 2
        ledger = Ledger({"jack", "jog"}, songs=songs, visits=Counter({"jack": visits}))
        spent = move_price(slots, JACK, ledger, own=own)
        assert spent == move_price(slots, JACK, KNOWN, own=own) + cost


def test_songs_are_no_twins() -> None:
    """Two moves in a row cost eight for each song that had both so, three at most; not gently."""
    slots, domains = [slot(0), slot(1)], {0: [JACK], 1: [rated("jog")]}
    pair = frozenset({"jack", "jog"})
    for songs, gentle, cost in ((0, False, 0), (2, False, 16), (5, False, 24), (5, True, 0)):
        ledger = Ledger({"jack", "jog"}, pairs=Counter({pair: songs}))
        terms = Terms(BuildWay.LINEAR, 1, reach=lambda form: (form.rpe, form.rpe), gentle=gentle)
        found, _ = moves_puzzle(slots, domains, terms, ledger, PassagesByHand())  # type: ignore[arg-type]
        assert found.links[0].costs[0, 0] == 10 + cost


def test_a_row_keeps_the_move_as_it_was_met() -> None:
    """A lesson that goes on in a row of several moves stays one tie; else its return is free."""
    whole, moves = [slot(0), slot(0)], {0: JACK, 1: rated("jog")}
    new = Ledger(set())
    assert len({one.tie for one in met_then_varied(whole, moves, new)}) == 2
    row = [*whole, slot(0, 16), slot(1, 16, offset=16)]
    assert {one.tie for one in met_then_varied(row, moves, new) if one.place == 0} == {0}
