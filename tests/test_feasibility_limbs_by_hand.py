"""A limb of invented muscles on its path, person by person in plain numbers.

What a limb asks of muscles is invented so that all tables go with powers of the range; law, water
and strength are tested elsewhere. Force and drag go with the square of range over time.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import form
from feasibility_limbs import (
    ARM,
    BACK,
    C4,
    C5,
    CAN,
    ENGINE,
    FLOATING,
    KICK,
    LEG,
    MEAN,
    MEAN_STILL,
    PEAK,
    PEAK_SPEED,
    PEAK_STILL,
    PUSH,
    ROWS,
    SETTING,
    SPEED,
    TIP,
    TORQUE,
    USE,
    WILLING,
    WORK,
    WORK_STILL,
    N,
    part,
)
from scipy.optimize import brentq

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.law import TIMES_S
from aquatempo.feasibility.limb_loads import limb_loads
from aquatempo.feasibility.limb_tables import LimbTable, limb_table
from aquatempo.feasibility.limb_uses import limb_use, suited
from aquatempo.feasibility.parts import LimbPart, parts_of
from aquatempo.feasibility.setting import Setting
from aquatempo.records.limbs import Plane
from aquatempo.water.floating import trunk_inertia_kg_m2
from aquatempo.water.limb_demand import limb_inertia_kg_m2
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import SHARES, LimbPath
from aquatempo.water.strength import beyond_c5

INNER = SHARES[SHARES <= 1.0]


def left_at(speed: float, m: int) -> float:
    """Return what a muscle keeps at a speed: 3/4 at c4, 1/2 at c5, a hyperbola (Anderson 2007)."""
    c4, c5 = C4[m], C5[m]
    top = 2 * c4 * c5 + speed * (c5 - 3 * c4)
    return max(top / (2 * c4 * c5 + speed * (2 * c5 - 4 * c4)), 0.05)


class ByHand:
    """A person's limb in a movement of TIMES_S[k]."""

    def __init__(self, setting: Setting, one: LimbPart, fast: float, row: int, k: int) -> None:
        self.inputs, self.row, self.one, self.fast = setting.inputs, row, one, fast
        self.time = self.swing = float(TIMES_S[k])
        if one.in_air:
            contact = free_inputs().contact_work_s / one.in_air
            self.swing = max(self.time - contact, self.time / 4.0)
        self.stretch = float(setting.stretch[row])

    def mean(self, r: float, m: int) -> float:
        """Return mean use of a muscle at a share of the range."""
        asked = MEAN[m] * r**2 / self.swing**2 + MEAN_STILL[m] * r
        speed = SPEED[m] * r * self.fast * self.stretch / self.swing
        return float(ROWS[self.row]) * asked / left_at(speed, m)

    def peak(self, r: float, m: int) -> float:
        """Return the most that a muscle is used."""
        asked = PEAK[m] * r**2 / self.swing**2 + PEAK_STILL[m] * r
        speed = PEAK_SPEED[m] * r * self.fast * self.stretch / self.swing
        return float(ROWS[self.row]) * asked / left_at(speed, m)

    def strain(self, r: float, willing: float) -> float:
        """Return the strain of the worst muscle: mean over what is held, peak over all, 4-norm."""
        held = self.one.duty / willing
        return max(
            math.sqrt(math.hypot((self.mean(r, m) * held) ** 2, self.peak(r, m) ** 2))
            for m in (0, 1)
        )

    def kept(self, willing: float) -> float:
        """Return the share where strain^k is what is given up."""
        k = float(self.inputs.stiffness[self.row])
        strains = [self.strain(float(r), willing) for r in INNER]

        def over(r: float) -> float:
            y = float(np.interp(r, INNER, strains))
            y = strains[0] * (r / INNER[0]) ** 2 if r < INNER[0] else y
            return math.pow(y, k) - (1.0 - r)

        return float(brentq(over, 0.0, 1.0))


CASES = [
    ("leg", SETTING, part(), 1.0),
    ("leg of a jump", SETTING, part(in_air=2), 1.0),
    ("leg off the floor", FLOATING, part(alongside=1), 1.3),
    ("arm", SETTING, part(ARM, duty=0.25), 1.0),
]


@pytest.mark.parametrize(("name", "setting", "one", "fast"), CASES, ids=lambda x: str(x)[:12])
def test_a_table_is_what_each_person_can(
    name: str, setting: Setting, one: LimbPart, fast: float
) -> None:
    """Range kept, use, work, force and cyclic force of people and draws at slow and quick times."""
    table = limb_table(one, USE, fast, setting, WILLING)
    for row, k in ((0, 3), (40, 14), (99, 20), (110, 17), (120, 24), (60, 30)):
        hand = ByHand(setting, one, fast, row, k)
        r, swing, person = float(table.kept[row, k]), hand.swing, float(ROWS[row])
        assert r == pytest.approx(hand.kept(0.3), abs=5e-4), name
        assert table.use[row, k] == pytest.approx(
            max(hand.mean(r, m) for m in (0, 1)) * one.duty, rel=2e-3
        )
        most = float(setting.inputs.use_most[row])
        full = [max(hand.mean(1.0, m) * one.duty, most * hand.peak(1.0, m) ** 4) for m in (0, 1)]
        assert table.full_use[row, k] == pytest.approx(max(full), rel=1e-4)
        tip = TIP if one.path.kind is Kind.LEG else 2 * TIP
        assert table.force_n[row, k] == pytest.approx(person * tip * r**2 / swing**2, rel=1e-4)
        hold = 2.0 if one.alongside else 1.0
        torque = person * sum(TORQUE) * r**2 / swing**2
        cyclic = torque * hold * one.duty / (2.0 * swing**2)
        assert table.cyclic[row, k] == pytest.approx(cyclic, rel=1e-4)
        joules = person * fast * (WORK * r**3 / swing**2 + WORK_STILL * r)
        assert table.work_j[row, k] >= joules * 0.9999
        power = table.work_j[row] / TIMES_S
        assert np.all(np.diff(power) >= -1e-4 * power[:-1])
        if power[k] > power[k - 1] * 1.001:
            assert table.work_j[row, k] == pytest.approx(joules, rel=1e-4)
    assert (table.duty, table.fast, table.source) == (one.duty, fast, USE)
    lost = free_inputs().contact_work_s / 2 if one.in_air else 0.0
    assert table.lost_s == pytest.approx(lost)


def test_a_limb_without_muscles_keeps_all() -> None:
    """Nothing strained, nothing used."""
    bare = replace(
        USE, muscles=(), **{name: getattr(USE, name)[..., :0] for name in (
            "mean_moving", "mean_still", "peak_moving", "peak_still", "mean_speed_rad",
            "peak_speed_rad", "torque_nm")},
    )  # fmt: skip
    table = limb_table(part(), bare, 1.0, SETTING, WILLING)
    assert np.all(table.kept == 1.0)
    assert not table.use.any()
    assert not table.full_use.any()


@pytest.mark.parametrize("in_air", [0, 1])
@pytest.mark.parametrize(("time_s", "kept"), [(2.0, 1.0), (0.9, 0.8), (0.4, 0.3), (0.9, 0.05)])
def test_loads_are_those_of_the_median_person(in_air: int, time_s: float, kept: float) -> None:
    """Shares of what muscles can at a range and time, means over the cycle, torque, what pushes.

    Where a leg loses time on the floor, it still has a quarter of its movement.
    """
    people = 99  # the 50th is the median: its factor is that of row 49
    one = part(in_air=in_air)
    table = limb_table(one, USE, 1.2, SETTING, WILLING)
    found = limb_loads(table, people, time_s, kept)
    swing = max(time_s - (free_inputs().contact_work_s if in_air else 0.0), time_s / 4.0)
    person = float(ROWS[49])
    for m in (0, 1):
        mean = (MEAN[m] * kept**2 / swing**2 + MEAN_STILL[m] * kept) * person
        peak = (PEAK[m] * kept**2 / swing**2 + PEAK_STILL[m] * kept) * person
        slow, quick = (1.2 * way[m] * kept / swing for way in (SPEED, PEAK_SPEED))
        assert found.mean_use[m] == pytest.approx(mean / left_at(slow, m) * 0.5, rel=1e-4)
        assert found.peak_use[m] == pytest.approx(peak / left_at(quick, m), rel=1e-4)
        torque = TORQUE[m] * kept**2 / swing**2 * person
        assert found.torque_nm[m] == pytest.approx(torque, rel=1e-4)
        assert found.can_nm[m] == pytest.approx(CAN[m] * person)
    pushed = np.array(PUSH) * kept**2 / swing**2 * person
    assert found.push_n == pytest.approx(pushed, rel=1e-4)
    fastest = [1.2 * way * kept / swing for way in PEAK_SPEED]
    assert found.beyond is any(v > beyond_c5() * c5 for v, c5 in zip(fastest, C5, strict=True))
    assert found.estimated
    assert found.muscles == (KICK, BACK)


def test_capacities_of_tables_are_not_called_estimated() -> None:
    """Only where a capacity is filled."""
    table = limb_table(part(), replace(USE, estimated=(False, False)), 1.0, SETTING, WILLING)
    assert not limb_loads(table, 99, 1.0, 1.0).estimated


def test_a_muscle_far_beyond_its_speed_has_a_twentieth_left() -> None:
    """However fast it goes its load is finite, twenty times that at rest, as for the range kept."""
    quick = replace(USE, peak_speed_rad=USE.peak_speed_rad * 1000.0)
    table = limb_table(part(), quick, 1.0, SETTING, WILLING)
    found = limb_loads(table, 99, 1.0, 1.0)
    for m in (0, 1):
        asked = (PEAK[m] + PEAK_STILL[m]) * float(ROWS[49])
        assert found.peak_use[m] == pytest.approx(20.0 * asked, rel=1e-4)
    assert found.beyond


def scaled(setting: Setting, **inputs: float) -> Setting:
    """Return a setting whose inputs as given are others."""
    central = replace(free_inputs(), **inputs)  # type: ignore[arg-type]
    return replace(setting, people=replace(setting.people, central=central))


def test_excursions_go_out_from_the_pivot() -> None:
    """A tenth more of a swing from -10 to 50 about 0; half-way with it; arms as well."""
    start, pivot = (-10.0, 0.0, 20.0, 0.0), (0.0, 0.0, 20.0, 0.0)
    path = LimbPath(Kind.LEG, start, (50.0, 0.0, 60.0, 0.0), pivot, (30.0, 0.0, 80.0, 0.0))
    found, ratio = suited(part(path), scaled(SETTING, excursion=1.1))
    assert (found.start, found.end) == ((-11.0, 0.0, 20.0, 0.0), (55.0, 0.0, 64.0, 0.0))
    assert (found.via, found.pivot, ratio) == ((33.0, 0.0, 86.0, 0.0), path.pivot, 1.0)
    arm, ratio = suited(part(ARM, alongside=1), scaled(FLOATING, excursion=1.1))
    assert (arm.end, ratio) == ((88.0, 90.0, 0.0), 1.0)
    assert suited(part(path), SETTING) == (path, 1.0)


@pytest.mark.parametrize(
    ("end", "wanted"),
    [
        ((40.0, 0.0, 30.0, 0.0), (60.0, 0.0, 30.0, 0.0)),  # hips only
        ((100.0, 0.0, 0.0, 0.0), (120.0, 0.0, 0.0, 0.0)),  # flexion to 120 (AAOS)
        ((125.0, 0.0, 0.0, 0.0), (125.0, 0.0, 0.0, 0.0)),  # beyond it already
        ((-25.0, 0.0, 0.0, 0.0), (-30.0, 0.0, 0.0, 0.0)),
        ((0.0, 40.0, 0.0, 0.0), (0.0, 45.0, 0.0, 0.0)),
        ((0.0, -10.0, 0.0, 0.0), (0.0, -15.0, 0.0, 0.0)),
    ],
)
def test_hips_swing_further_in_deep_water_within_their_norm(
    end: tuple[float, ...], wanted: tuple[float, ...]
) -> None:
    """Half as much more, up to what a joint can (AAOS: 120, 30; 45 and 30 aside)."""
    path = replace(LEG, end=end)
    found, _ = suited(part(path), scaled(FLOATING, deep_excursion=1.5))
    assert found.end == wanted


@pytest.mark.parametrize(
    ("end", "plane"),
    [
        ((60.0, 20.0, 0.0, 0.0), Plane.SAGITTAL),
        ((20.0, 40.0, 0.0, 0.0), Plane.FRONTAL),
        ((40.0, 40.0, 0.0, 0.0), Plane.SAGITTAL),
        ((20.0, -40.0, 0.0, 0.0), Plane.FRONTAL),
        ((-60.0, 40.0, 0.0, 0.0), Plane.SAGITTAL),
    ],
)
@pytest.mark.parametrize("alongside", [0, 1, 2])
def test_a_free_pelvis_turns_back(end: tuple[float, ...], plane: Plane, alongside: int) -> None:
    """The joint goes further than the limb by the inertia of limbs over that of the trunk."""
    setting = scaled(FLOATING, deep_excursion=1.0)
    path = replace(LEG, end=end)
    _, ratio = suited(part(path, alongside=alongside), setting)
    bodies = setting.people.bodies
    limb = limb_inertia_kg_m2(path, bodies, setting.water, free_inputs().added_mass)
    rest = trunk_inertia_kg_m2(bodies, plane, setting.water)
    assert ratio == pytest.approx(float(np.mean(1.0 + alongside * limb / rest)))


def test_level_sweeps_are_done_under_the_surface() -> None:
    """Where water is low people bend their knees until it stands 6 % of stature over shoulders."""
    bodies = SETTING.people.bodies
    over = bodies.joints_m["shoulder"] + 0.06 * bodies.stature_m
    sweep = replace(ARM, start=(80.0, 0.0, 0.0), end=(80.0, 90.0, 0.0))
    at, low, high, waist = (
        limb_use(part(path), replace(SETTING, surface_m=surface))[0].mean_still.max()
        + limb_use(part(path), replace(SETTING, surface_m=surface))[0].hand_n.max()
        for path, surface in ((sweep, over), (sweep, over - 0.5), (sweep, over + 0.01),
                              (replace(sweep, end=(20.0, 0.0, 0.0)), over - 0.5))
    )  # fmt: skip
    assert low == at
    assert waist != at
    assert high == pytest.approx(at, rel=0.05)
    plain = replace(ARM, start=(20.0, 10.0, 0.0), end=(80.0, 10.0, 0.0))
    near, far = (
        limb_use(part(plain), replace(SETTING, surface_m=over - less))[0].hand_n.mean()
        for less in (0.0, 0.5)
    )
    assert near > far  # an arm that only lifts meets the water as it stands


def test_draws_that_swing_further_are_read_further_out() -> None:
    """A row of twice the range is about the square in use and torque, the cube in work."""
    one = parts_of(form("front-kick")).movements[0].legs[0]
    use, ratio = limb_use(one, SETTING)
    assert ratio == 1.0
    stretch = SETTING.stretch
    people = ENGINE.people
    plain = replace(SETTING, people=replace(people, inputs=replace(
        people.inputs, excursion=np.full(N, free_inputs().excursion))))  # fmt: skip
    usual, _ = limb_use(one, plain)
    row = int(np.argmax(np.abs(stretch - 1.0)))
    assert abs(stretch[row] - 1.0) > 0.05
    same = int(np.flatnonzero(stretch == 1.0)[0])
    full = int(np.flatnonzero(SHARES == 1.0)[0])
    for name, power in (("torque_nm", 2.0), ("work_moving", 3.0), ("foot_n", 2.0),
                        ("mean_moving", 2.0)):  # fmt: skip
        before, after = getattr(usual, name), getattr(use, name)
        assert after[same] == pytest.approx(before[same])
        grown = np.asarray(after[row, full] / np.maximum(before[row, full], 1e-12))
        told = np.asarray(before[row, full]) > 1e-6
        assert grown[told] == pytest.approx(stretch[row] ** power, rel=0.12), name


def test_a_table_is_made_of_the_group_it_is_for() -> None:
    """The engine asks for what the class is willing to hold."""
    step = ENGINE.steps(form("front-kick"), None)[0]
    own = step.legs[0]
    assert isinstance(own, LimbTable)
    again = limb_table(
        step.parts.legs[0], *limb_use(step.parts.legs[0], SETTING), SETTING,
        ENGINE.allowed.use * ENGINE.allowed.willing,
    )  # fmt: skip
    assert own.kept == pytest.approx(again.kept)
