"""Single-factor variations and the ladder that they make."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.moves import (
    catalogue,
    ladder,
    resolve,
    transition,
    variation_of,
    variations,
    why_not,
)
from aquatempo.moves.rules import axis_of, rules
from aquatempo.records.moves import (
    Factor,
    Hands,
    ImpactLevel,
    Joint,
    Move,
    MoveForm,
    MoveKind,
    Side,
    Travel,
    Variation,
)
from aquatempo.records.people import ClassDepth

CATALOGUE = catalogue()
BASE = CATALOGUE.of_kind(MoveKind.BASE)
PLACED = [(move, depth) for move in CATALOGUE.moves.values() for depth in move.depths]
ARMS = (Joint.SHOULDER, Joint.ELBOW)


def form_of(key: str, **changes: str) -> MoveForm:
    """Resolve a move with changes given as factor=option."""
    move = CATALOGUE.move(key)
    return resolve(move, variation_of(move, changes.items()))


def computed(form: MoveForm) -> tuple[object, ...]:
    """Return what physics and cues take from a form, its name and variation apart."""
    plain = replace(form, variation=Variation(form.move.key), name="", cautions=(), arms="")
    return (replace(plain, arm_symmetry="", sign="", spoken=""),)


@pytest.mark.parametrize("move", BASE, ids=lambda move: move.key)
def test_25_variations_from_6_factors(move: Move) -> None:
    """Each base move has 25 variations or more, of 6 factors or more, at most 6 of any one."""
    found = variations(move)
    by_factor = Counter(variation.changes[0][0] for variation in found)
    assert len(found) >= 25
    assert len(by_factor) >= 6
    assert max(by_factor.values()) <= 6


def test_deep_water_keeps_as_many_but_for_the_twist() -> None:
    """In deep water, where level is no choice, each base move has 25 as well; twist has 23.

    Twist is left without large range, land tempo and turns: unsafe for the spine.
    """
    deep = [move for move in BASE if ClassDepth.DEEP in move.depths]
    counts = {move.key: len(variations(move, ClassDepth.DEEP)) for move in deep}
    assert counts.pop("twist") == 23
    assert min(counts.values()) >= 25


@pytest.mark.parametrize("move", BASE, ids=lambda move: move.key)
def test_variations_differ_in_what_is_computed(move: Move) -> None:
    """Each variation changes a computed figure, and no two of a move are the same."""
    forms = [resolve(move), *(resolve(move, variation) for variation in variations(move))]
    assert len({computed(form) for form in forms}) == len(forms)
    assert len({form.spoken for form in forms}) == len(forms)


@pytest.mark.parametrize("move", BASE, ids=lambda move: move.key)
def test_exactly_one_factor_is_changed(move: Move) -> None:
    """A variation names one factor, and what belongs to the others stays as it was."""
    base = resolve(move)
    owned = {
        Factor.HANDS: {"hands"},
        Factor.ARMS: {"movements", "arms", "arms_in_water", "arms_same_way"},
        Factor.ARM_SYMMETRY: {"movements", "arm_symmetry", "arms_same_way"},
        Factor.TRAVEL: {"travel", "travel_m", "reverses_every"},
        Factor.TURN: {"turn_deg", "movements"},
        Factor.TEMPO: {"pattern", "reverses_every"},
        # Suspended, the hands scull and nothing pushes off: all of it is the level.
        Factor.LEVEL: {"level", "movements", "arms", "arm_symmetry", "arms_same_way"},
        Factor.RANGE: {"range_scale", "movements"},
        Factor.COMBINATION: {"partner", "movements", "travel_m", "reverses_every"},
        Factor.SIDES: {"move", "movements", "travel_m", "reverses_every"},
    }
    words = {"variation", "name", "spoken", "sign", "cautions"}
    for variation in variations(move):
        (factor, _), *more = variation.changes
        assert not more
        form = resolve(move, variation)
        fields = MoveForm.__dataclass_fields__
        changed = {name for name in fields if getattr(form, name) != getattr(base, name)}
        assert changed <= owned[factor] | words
        assert changed - words


@pytest.mark.parametrize("move", BASE, ids=lambda move: move.key)
def test_legs_stay_as_they_are_when_arms_change(move: Move) -> None:
    """Arm actions and symmetry leave every leg and trunk swing alone."""
    legs = [[s for s in m.swings if s.joint not in ARMS] for m in resolve(move).movements]
    for variation in variations(move):
        if variation.changes[0][0] in (Factor.ARMS, Factor.ARM_SYMMETRY):
            form = resolve(move, variation)
            assert legs == [[s for s in m.swings if s.joint not in ARMS] for m in form.movements]


@pytest.mark.parametrize(("move", "depth"), PLACED, ids=lambda case: getattr(case, "key", case))
def test_varied_forms_stay_inside_norms_and_levels(move: Move, depth: ClassDepth) -> None:
    """No variation, shallow or deep, takes a joint out of its norm or hops where none may."""
    for variation in variations(move, depth):
        form = resolve(move, variation, depth)
        for swing in (swing for movement in form.movements for swing in movement.swings):
            low, high = rules().norms_deg[axis_of(swing)]
            assert low <= min(swing.start_deg, swing.end_deg)
            assert max(swing.start_deg, swing.end_deg) <= high
        if form.level in (ImpactLevel.II, ImpactLevel.III, ImpactLevel.GROUNDED):
            assert all(movement.flight_m == 0 for movement in form.movements)
        if depth is ClassDepth.DEEP:
            assert form.level is ImpactLevel.III


def test_combinations_can_be_danced() -> None:
    """What a move is combined with is reached and left at a cost that works."""
    for move in BASE:
        for variation in variations(move):
            form = resolve(move, variation)
            if form.partner:
                other = resolve(CATALOGUE.move(form.partner))
                same = replace(other, level=form.level, travel=form.travel)
                assert transition(resolve(move), None, same, None).works
                assert len(form.movements) == len(move.movements) + len(other.movements)


@pytest.mark.parametrize(
    ("key", "unsafe"),
    [
        ("back-kick", {("range", "large"), ("turn", "half"), ("turn", "torso"), ("tempo", "land")}),
        ("twist", {("range", "large"), ("turn", "half"), ("turn", "torso"), ("tempo", "land")}),
        ("tuck", {("tempo", "land"), ("turn", "half"), ("turn", "torso")}),
    ],
)
def test_unsafe_variations_are_left_out(key: str, unsafe: set[tuple[str, str]]) -> None:
    """Spine and landing: no big, fast or turned back kick, twist or tuck (common practice)."""
    found = {
        (factor.value, option)
        for variation in variations(CATALOGUE.move(key), most_per_factor=None)
        for factor, option in variation.changes
    }
    assert not found & unsafe


def test_why_not_gives_its_reason() -> None:
    """What cannot be varied says why."""
    walk, twist = CATALOGUE.move("walk"), CATALOGUE.move("twist")
    power = CATALOGUE.option(Factor.LEVEL, "power")
    assert why_not(power, walk) == "walk has no power"
    assert (
        why_not(CATALOGUE.option(Factor.RANGE, "large"), twist) == "large range does not fit twist"
    )
    assert why_not(CATALOGUE.option(Factor.TRAVEL, "forward"), walk) == "walk travels so already"
    jack = CATALOGUE.option(Factor.COMBINATION, "with-jack")
    assert "long lever" in why_not(jack, CATALOGUE.move("cross-country-ski"))
    assert why_not(jack, CATALOGUE.move("jog")) == ""


def test_small_range_scales_every_angle_and_the_hop() -> None:
    """Six tenths of the range: each turn and flight times 0.6, each from nearest standing."""
    base, small = form_of("jack"), form_of("jack", range="small")
    for before, after in zip(base.movements, small.movements, strict=True):
        assert after.flight_m == pytest.approx(0.6 * before.flight_m)
        for old, new in zip(before.swings, after.swings, strict=True):
            turn = old.end_deg - old.start_deg
            assert new.end_deg - new.start_deg == pytest.approx(0.6 * turn)
            nearest = min(old.start_deg, old.end_deg, key=abs)
            assert min(new.start_deg, new.end_deg, key=abs) == pytest.approx(nearest)


def test_arms_go_out_with_the_opposite_leg() -> None:
    """In a cross-country ski the arm of the other side comes forward with the lead leg."""
    first = form_of("ski").movements[0]
    forward = {s.side for s in first.swings if s.end_deg > s.start_deg}
    legs = {s.side for s in first.swings if s.joint is Joint.HIP and s.end_deg > s.start_deg}
    arms = {s.side for s in first.swings if s.joint is Joint.SHOULDER and s.end_deg > s.start_deg}
    assert forward == {Side.LEAD, Side.TRAIL}
    assert (legs, arms) == ({Side.LEAD}, {Side.TRAIL})


@pytest.mark.parametrize(
    ("arms", "symmetry", "same_way"),
    [
        ("raise", "both", True),  # both forward
        ("raise", "alternating", False),  # one forward, one back: a twist instead
        ("raise", "one", False),
        ("press", "both", False),  # left cancels right
        ("press", "alternating", True),  # both to one side
        ("still", "both", False),
    ],
)
def test_when_arms_push_the_same_way(arms: str, symmetry: str, same_way: bool) -> None:
    """Arms add up forward when together and to the side when in turn (mechanics, by hand)."""
    assert form_of("jog", arms=arms, arm_symmetry=symmetry).arms_same_way is same_way


def test_level_sets_hops_and_hands() -> None:
    """Power hops higher, level II and III not at all; suspended, the hands scull."""
    assert form_of("jack").movements[0].flight_m == pytest.approx(0.02)
    assert form_of("jack", level="power").movements[0].flight_m == pytest.approx(0.08)
    assert form_of("jack", level="II").movements[0].flight_m == 0
    suspended = form_of("jack", level="III")
    assert (suspended.arms, suspended.level) == ("scull", ImpactLevel.III)
    assert form_of("lunge", level="I").movements[0].flight_m == pytest.approx(0.03)
    # Only the take-off of a tuck goes higher; its landing is not another take-off.
    assert [m.flight_m for m in form_of("tuck", level="power").movements] == pytest.approx(
        [0.18, 0]
    )


def test_travel_and_turn_are_told_a_repetition() -> None:
    """Jog forward: 0.3 m a movement, 2 movements; a quarter turn an eight is 45 deg in 4 counts."""
    jog = form_of("jog", travel="forward")
    assert (jog.travel, jog.travel_m, jog.reverses_every) == (Travel.FORWARD, 0.6, 4)
    assert form_of("jog", turn="quarter").turn_deg == 45
    assert form_of("front-kick", turn="quarter").turn_deg == 45
    assert form_of("shuffle", turn="quarter").turn_deg == 45
    assert form_of("walk").travel_m == pytest.approx(0.9)
    assert form_of("walk", travel="in-place").travel_m == 0


def test_hands_and_pattern_are_set() -> None:
    """Hands and tempo options arrive in the form."""
    assert form_of("jack").hands is Hands.SLICE
    assert form_of("jack", hands="open").hands is Hands.OPEN
    pattern = form_of("jack", tempo="mixed").pattern
    assert pattern is not None
    assert pattern.text == "2-2-4"


def test_cautions_of_move_option_and_partner_are_joined_once() -> None:
    """A form warns of everything that it is made of, each warning once."""
    power = form_of("tuck", level="power")
    assert set(CATALOGUE.move("tuck").cautions) < set(power.cautions)
    assert len(set(power.cautions)) == len(power.cautions)
    pair = form_of("jog", combination="with-jack")
    assert set(CATALOGUE.move("jack").cautions) <= set(pair.cautions)


def test_arms_only_work_goes_on_when_suspended() -> None:
    """Level III keeps the arm action where the arms are the move."""
    assert form_of("row", level="III").arms == "pull"


def test_a_factor_can_be_set_once() -> None:
    """Two options of one factor, another move's variation or an unknown option are refused."""
    jack = CATALOGUE.move("jack")
    twice = variation_of(jack, [("hands", "fist"), ("hands", "open")])
    with pytest.raises(InputError, match="hands is set twice"):
        resolve(jack, twice)
    with pytest.raises(InputError, match="cannot be used for 'jack'"):
        resolve(jack, Variation("jog"))
    with pytest.raises(UnknownNameError, match="did you mean 'open'"):
        variation_of(jack, [("hands", "opened")])
    with pytest.raises(UnknownNameError, match="did you mean 'hands'"):
        variation_of(jack, [("hand", "open")])


@given(st.sampled_from(sorted(CATALOGUE.moves)))
def test_ladder_rises_from_easier_to_harder(key: str) -> None:
    """Rungs never fall, the base move stands on rung 0 and every variation is on it once."""
    move = CATALOGUE.move(key)
    depth = move.depths[0]
    rungs = ladder(move, depth)
    assert [rung.rung for rung in rungs] == sorted(rung.rung for rung in rungs)
    plain = [rung for rung in rungs if not rung.variation.changes]
    assert [rung.rung for rung in plain] == [0]
    assert {rung.variation for rung in rungs} == {Variation(key), *variations(move, depth)}
    assert all(rung.why for rung in rungs)


@pytest.mark.parametrize("move", BASE, ids=lambda move: move.key)
def test_every_base_move_has_easier_and_harder_rungs(move: Move) -> None:
    """A ladder offers something below and something above the base move."""
    rungs = [rung.rung for rung in ladder(move)]
    assert rungs[0] < 0 < rungs[-1]


def test_stretches_are_only_made_smaller() -> None:
    """A stretch is not sped up, turned or powered."""
    for move in CATALOGUE.of_kind(MoveKind.STRETCH):
        changes = {c for variation in variations(move) for c in variation.changes}
        assert changes <= {(Factor.RANGE, "small")}
