"""The law of range, hops, travel and sway solved anew with scipy, one person at a time.

Water forces (``water``) are taken as they are: their own tests answer for those.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import DEEP, GROUP, POOL, form
from scipy.integrate import quad
from scipy.optimize import brentq

from aquatempo.errors import InputError
from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.law import (
    INNER_SHARES,
    TEMPI_BPM,
    TIMES_S,
    AtShares,
    beat_slice,
    kept_of,
    strain_at,
)
from aquatempo.feasibility.parts import MovementParts, parts_of
from aquatempo.feasibility.setting import Setting
from aquatempo.feasibility.wholebody import carry_of, hop_j, hop_of, scull_w
from aquatempo.records.moves import Travel
from aquatempo.records.people import Pool
from aquatempo.water.effort import support_j
from aquatempo.water.floating import downward_n, scull_power_w
from aquatempo.water.paths import SHARES
from aquatempo.water.rebound import flight
from aquatempo.water.travel import grip_speed_m_s, hull_of

INNER = SHARES[SHARES <= 1.0]
STILL = replace(
    parts_of(form("jump")).movements[0], legs=(), arms=(), flight_m=0.0, step_m=0.0, turns=0.0,
    sway_m=0.0, sideways=False, travel=Travel.IN_PLACE,
)  # fmt: skip


def setting_in(pool: Pool) -> Setting:
    """Return the usual group in a pool."""
    engine = Engine(pool, GROUP, free_inputs(), 240.0)
    return engine.setting(form("jog", engine.pool.kind))


SHALLOW, FLOATING = setting_in(POOL), setting_in(DEEP)


def solved(strains: np.ndarray, stiffness: float) -> float:
    """Return r where strain(r)^k = 1 - r: lines between shares, a square below the least."""

    def strain(r: float) -> float:
        if r < INNER[0]:
            return float(strains[0]) * (r / float(INNER[0])) ** 2
        return float(np.interp(r, INNER, strains))

    def over(r: float) -> float:
        return float(math.pow(strain(r), stiffness)) - (1.0 - r)

    return float(brentq(over, 0.0, 1.0))


@pytest.mark.parametrize("stiffness", [8.0, 6.0, 10.5])
@pytest.mark.parametrize("size", [0.3, 0.9, 1.1, 2.0, 6.0, 40.0, 400.0])
def test_the_share_kept_solves_the_law(stiffness: float, size: float) -> None:
    """Where strain^k and what is given up are equal, to a 512th of the way between two shares."""
    rng = np.random.default_rng(int(size * 10))
    growing = np.cumsum(rng.uniform(0.02, 0.3, (3, INNER_SHARES, 5)), axis=1)
    strains = size * growing / growing[:, -1:, :]
    found = kept_of(strains, np.full(3, stiffness))
    for row in range(3):
        for column in range(5):
            wanted = solved(strains[row, :, column], stiffness)
            assert found[row, column] == pytest.approx(wanted, abs=0.15 / 512 + 1e-9)


def test_each_person_has_a_stiffness_of_its_own() -> None:
    """Three rows of the same strains, three answers; the usual 8 beside others."""
    strains = np.repeat((INNER**2 * 1.2)[None, :, None], 3, axis=0)
    found = kept_of(strains, np.array([6.0, 8.0, 12.0]))[:, 0]
    for kept, k in zip(found, (6.0, 8.0, 12.0), strict=True):
        assert kept == pytest.approx(solved(strains[0, :, 0], k), abs=3e-4)


def test_strain_is_the_root_of_what_is_given_up() -> None:
    """(1 - r)^(1/k): at r = 1 - 0.5^8 one half; beyond the full range nothing is strain."""
    assert strain_at(np.array([1.0 - 0.5**8, 0.0, 1.0, 1.3]), 8.0) == pytest.approx([0.5, 1, 0, 0])


@pytest.mark.parametrize(("counts", "slowest_s"), [(1, 1.5), (2, 3.0), (4, 6.0)])
def test_times_of_counts_stand_in_the_table(counts: int, slowest_s: float) -> None:
    """40 b/min and eighths of an octave up to 247: each time is so many beats."""
    times = TIMES_S[beat_slice(counts)]
    assert times[0] == pytest.approx(slowest_s)
    assert times == pytest.approx(counts * 60.0 / TEMPI_BPM)
    assert TEMPI_BPM[8] == pytest.approx(80.0)
    assert TEMPI_BPM[-1] > 240.0 > TEMPI_BPM[-2]


def test_three_counts_are_no_time_of_a_movement() -> None:
    """A movement takes 1, 2 or 4."""
    with pytest.raises(InputError) as caught:
        beat_slice(3)
    assert str(caught.value) == "a movement of 3 counts: needs 1, 2 or 4"


def test_ways_are_read_on_straight_lines() -> None:
    """A table for all: numpy's interpolation, and to nothing with the share below the least."""
    table = np.array([1.0, 3.0, 4.0, 7.0, 7.5, 9.0, 10.0, 12.0, 20.0])
    kept = np.array([[0.05, 0.1, 0.3, 0.77], [0.95, 1.0, 1.15, 1.3]])
    wanted = np.interp(kept, SHARES, table)
    wanted[0, 0] = 0.5
    assert AtShares(kept).read_ways(table) == pytest.approx(wanted, rel=1e-6)
    assert AtShares(kept[1:]).read_ways(table) == pytest.approx(wanted[1:], rel=1e-6)
    assert AtShares(kept).read(np.array([table, 2 * table])) == pytest.approx(
        wanted * [[1.0], [2.0]], rel=1e-6
    )


@pytest.mark.parametrize(("height_m", "movements"), [(0.05, 1), (0.18, 1), (0.18, 2)])
def test_a_hop_is_kept_as_far_as_the_floor_leaves_time(height_m: float, movements: int) -> None:
    """Strain is the least contact over the time left; air and work are those of the flight."""
    hop, inputs = hop_of(height_m, movements, SHALLOW), SHALLOW.inputs
    jump = flight(
        SHALLOW.people.bodies, SHALLOW.surface_m, height_m * SHARES[:, None], SHALLOW.water,
        inputs.axial_added_mass, inputs.vertical_cd, inputs.lung_gas_l, inputs.hands_down_n,
    )  # fmt: skip
    assert hop.movements == movements
    assert hop.air_s == pytest.approx(jump.time_s.T)
    assert hop.work_j == pytest.approx(jump.work_j.T)
    for row, k in ((0, 10), (50, 24), (110, 30)):
        left = np.maximum(TIMES_S[k] * movements - hop.air_s[row, :INNER_SHARES], 1e-3)
        strains = float(inputs.contact_min_s[row]) / left
        wanted = solved(strains, float(inputs.stiffness[row]))
        assert hop.kept[row, k] == pytest.approx(wanted, abs=4e-4)


@pytest.mark.parametrize(("event_s", "back"), [(2.0, 0.0), (0.0, 1.0), (0.45, 0.5)])
def test_tendons_give_back_in_quick_contacts(event_s: float, back: float) -> None:
    """All at 0.3 s and less, nothing at 0.6 s and more, half between: told times after the air."""
    hop, inputs = hop_of(0.1, 1, SHALLOW), SHALLOW.columns
    air = hop.air_s[:, 7:8]
    times = np.array([event_s]) + air
    found = hop_j(hop, np.ones_like(air), times, SHALLOW)
    work = hop.work_j[:, 7:8] * (1.0 - inputs.elastic_return * back)
    carried = support_j(
        SHALLOW.apparent_n[:, None], times, air,
        inputs.bounce_w_n, inputs.step_w_n, inputs.contact_work_s,
    )  # fmt: skip
    assert found == pytest.approx(carried + work / inputs.efficiency, rel=1e-5)


def stepping(travel: Travel, step_m: float, turns: float = 0.0) -> MovementParts:
    """Return a movement that travels and does nothing else."""
    return replace(STILL, travel=travel, step_m=step_m, turns=turns)


@pytest.mark.parametrize("travel", [Travel.FORWARD, Travel.BACK, Travel.SIDEWAYS])
def test_travel_costs_drag_and_the_start_after_a_turn(travel: Travel) -> None:
    """Drag x v^2 over the step, half m v^2 at each reversal, v the step over its time."""
    parts = stepping(travel, 0.5, 0.25)
    hull = hull_of(SHALLOW.people.bodies, SHALLOW.surface_m, travel, SHALLOW.water,
                   SHALLOW.inputs.travel_cd, False)  # fmt: skip
    found = carry_of(parts, SHALLOW)
    for row, k in ((0, 5), (60, 20), (120, 33)):
        speed = 0.5 / float(TIMES_S[k])
        joules = float(hull.drag_n_s2_m2[row]) * speed * speed * 0.5
        joules += 0.5 * float(hull.moving_kg[row]) * speed * speed * 0.25
        assert found.travel_j[row, k] == pytest.approx(joules)
    assert not found.sway_j.any()


def test_grip_holds_a_step_as_far_as_the_law_says() -> None:
    """Strain is the square of the speed over what the feet can hold; off the floor none slips."""
    parts = stepping(Travel.FORWARD, 0.9)
    hull = hull_of(SHALLOW.people.bodies, SHALLOW.surface_m, Travel.FORWARD, SHALLOW.water,
                   SHALLOW.inputs.travel_cd)  # fmt: skip
    pressed = downward_n(SHALLOW.apparent_n, SHALLOW.inputs.hands_down_n)
    top = grip_speed_m_s(hull, pressed, SHALLOW.inputs.grip)
    found = carry_of(parts, SHALLOW)
    for row, k in ((0, 10), (33, 20), (60, 30), (115, 36)):
        strains = (INNER * 0.9 / TIMES_S[k] / top[row]) ** 2
        wanted = solved(strains, float(SHALLOW.inputs.stiffness[row]))
        assert found.step_kept[row, k] == pytest.approx(wanted, abs=4e-4)
    assert found.step_kept.min() < 0.8
    assert np.all(carry_of(parts, FLOATING).step_kept == 1.0)
    assert carry_of(parts, FLOATING).travel_j.min() > 0.0


def test_legs_that_part_fore_and_aft_meet_more_water_sideways() -> None:
    """A sideways step of legs that swing more than 10 degrees ahead has the hull of both legs."""
    swinging = parts_of(form("front-kick")).movements[0].legs
    opening = parts_of(form("jack")).movements[0].legs
    assert all(abs(leg.path.end[0] - leg.path.start[0]) <= 10 for leg in opening)
    usual = carry_of(stepping(Travel.SIDEWAYS, 0.5), SHALLOW).travel_j
    step = stepping(Travel.SIDEWAYS, 0.5)
    assert carry_of(replace(step, legs=opening), SHALLOW).travel_j == pytest.approx(usual)
    split = hull_of(SHALLOW.people.bodies, SHALLOW.surface_m, Travel.SIDEWAYS, SHALLOW.water,
                    SHALLOW.inputs.travel_cd, True)  # fmt: skip
    wanted = split.drag_n_s2_m2[:, None] * (0.5 / TIMES_S) ** 2 * 0.5
    found = carry_of(replace(step, legs=swinging), SHALLOW).travel_j
    assert found == pytest.approx(wanted)
    assert np.all(found > usual)
    ahead = carry_of(stepping(Travel.FORWARD, 0.5), SHALLOW).travel_j
    legs = replace(stepping(Travel.FORWARD, 0.5), legs=swinging)
    assert carry_of(legs, SHALLOW).travel_j == pytest.approx(ahead)


@pytest.mark.parametrize("sideways", [True, False])
@pytest.mark.parametrize("sway_m", [0.05, 0.3])
def test_sway_costs_what_drag_leaves_of_a_half_sine(sideways: bool, sway_m: float) -> None:
    """Integral of what pushes forward: drag and the start; stopping is left to drag. To 1 %."""
    way = Travel.SIDEWAYS if sideways else Travel.FORWARD
    hull = hull_of(SHALLOW.people.bodies, SHALLOW.surface_m, way, SHALLOW.water,
                   SHALLOW.inputs.travel_cd)  # fmt: skip
    found = carry_of(replace(STILL, sway_m=sway_m, sideways=sideways), SHALLOW)
    assert np.all(found.step_kept == 1.0)
    assert not found.travel_j.any()
    for row, k in ((2, 8), (70, 25)):
        time = float(TIMES_S[k])
        drag, mass = float(hull.drag_n_s2_m2[row]), float(hull.moving_kg[row])

        def power(t: float, time: float = time, drag: float = drag, mass: float = mass) -> float:
            speed = math.pi / 2 * sway_m / time * math.sin(math.pi * t / time)
            gain = math.pi**2 / 2 * sway_m / time**2 * math.cos(math.pi * t / time)
            return max(drag * speed**2 + mass * gain, 0.0) * speed

        assert found.sway_j[row, k] == pytest.approx(quad(power, 0, time, limit=200)[0], rel=0.01)


def test_only_who_floats_sculls() -> None:
    """The power of hands that carry the rest of the weight; standing needs none."""
    assert not scull_w(SHALLOW).any()
    assert len(scull_w(SHALLOW)) == len(SHALLOW.people)
    wanted = scull_power_w(FLOATING.apparent_n, FLOATING.inputs.scull_disc_m2, FLOATING.water)
    assert scull_w(FLOATING) == pytest.approx(wanted)
