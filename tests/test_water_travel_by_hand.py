"""Bodies that travel and bodies that stand: areas worked by hand, times by a general solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from water_bodies import PEOPLE, WATER

from aquatempo.records.moves import Travel
from aquatempo.water.effort import heart_rate_bpm, peak_met, rpe, support_j
from aquatempo.water.endurance import held_for_s, holdable
from aquatempo.water.immersion import depth_kind, immersed_volume_m3, landmark_reached
from aquatempo.water.rebound import peak_force_bw
from aquatempo.water.travel import Hull, grip_speed_m_s, hull_of, reversal_s, start_s

HULL = Hull(np.full(2, 0.3), np.array([80.0, 100.0]), np.array([150.0, 180.0]))
HELD_N = np.array([200.0, 300.0])


@pytest.mark.parametrize(
    ("travel", "split", "legs"),
    [(Travel.FORWARD, False, 2), (Travel.BACK, True, 2), (Travel.SIDEWAYS, False, 1),
     (Travel.SIDEWAYS, True, 2)],
)  # fmt: skip
@pytest.mark.parametrize("depth_m", [0.5, 1.2, 2.5])
def test_a_hull_is_legs_and_a_trunk(travel: Travel, split: bool, legs: int, depth_m: float) -> None:
    """Legs of their mean width to the hips or the water, trunk of its breadth or depth over them.

    The trunk ends at the shoulders. Drag is 1/2 rho Cd A; the water that goes along is that of
    cylinders, rho pi / 4 width^2 a metre, of both legs whichever way.
    """
    found = hull_of(PEOPLE, np.full(2, depth_m), travel, WATER, 1.1, split)
    for i in range(2):
        ends = [
            float(getattr(PEOPLE.parts[name], end)[i])
            for name in ("thigh", "shank")
            for end in ("upper_m", "lower_m")
        ]
        leg = float(np.mean(ends))
        hip, shoulder = (float(PEOPLE.joints_m[name][i]) for name in ("hip", "shoulder"))
        low, high = min(hip, depth_m), min(max(depth_m - hip, 0.0), shoulder - hip)
        breadth, deep, hips = (
            float(PEOPLE.widths_m[name][i])
            for name in ("chest breadth", "chest depth", "hip breadth")
        )
        trunk = deep if travel is Travel.SIDEWAYS else (breadth + hips) / 2
        area = legs * leg * low + trunk * high
        carried = np.pi / 4 * (2 * leg**2 * low + trunk**2 * high)
        rho = WATER.density_kg_m3
        assert found.area_m2[i] == pytest.approx(area)
        assert found.moving_kg[i] == pytest.approx(float(PEOPLE.mass_kg[i]) + rho * carried)
        assert found.drag_n_s2_m2[i] == pytest.approx(0.5 * rho * 1.1 * area)


def test_who_floats_off_the_floor_cannot_push() -> None:
    """With nothing or less on the feet the speed that grip holds is none, and no start ends."""
    light = np.array([0.0, -50.0])
    assert grip_speed_m_s(HULL, light, 0.4).tolist() == [0.0, 0.0]
    assert np.all(np.isinf(start_s(HULL, light, 0.4, np.full(2, 0.5))))


@pytest.mark.parametrize("speed", [0.2, 0.5])
def test_starting_and_turning_back_are_newtons_law(speed: float) -> None:
    """M dv/dt = F - k v |v| by a solver: from rest to 0.9 v, and from -v to 0.9 v, within 0.1 %."""
    grip = 0.4
    for first, told in (
        (0.0, start_s(HULL, HELD_N, grip, np.full(2, speed))),
        (-speed, reversal_s(HULL, HELD_N, grip, np.full(2, speed))),
    ):
        for i in range(2):
            force, mass, drag = grip * HELD_N[i], HULL.moving_kg[i], HULL.drag_n_s2_m2[i]

            def motion(
                _: float,
                v: np.ndarray,
                force: float = force,
                drag: float = drag,
                mass: float = mass,
            ) -> np.ndarray:
                return np.asarray((force - drag * v * np.abs(v)) / mass)

            def there(_: float, v: np.ndarray) -> float:
                return float(v[0]) - 0.9 * speed

            there.terminal = True  # type: ignore[attr-defined]
            done = solve_ivp(motion, (0.0, 30.0), [first], events=there, rtol=1e-8)
            assert told[i] == pytest.approx(done.t[-1], rel=1e-3)


def test_at_the_speed_that_grip_just_holds_a_start_never_ends() -> None:
    """0.9 v at the speed where drag is all that the feet can hold is reached after ever."""
    top = grip_speed_m_s(HULL, HELD_N, 0.4)
    assert np.all(np.isinf(start_s(HULL, HELD_N, 0.4, top / 0.9 * 1.0001)))
    assert np.all(np.isfinite(start_s(HULL, HELD_N, 0.4, top / 0.9 * 0.9999)))


@pytest.mark.parametrize("arms_in", [True, False])
@pytest.mark.parametrize("share", [0.1, 0.3, 0.45, 0.6, 0.75, 0.9, 1.1])
def test_a_body_under_water_is_its_slices(share: float, arms_in: bool) -> None:
    """Volume under a depth, summed over two thousand slices of each part, to 0.05 % of the body's.

    A limb is a cone cut at both ends, as the water reaches it from below; trunk, head, hands and
    feet are alike from end to end. Gas lies between breastbone and collarbone.
    """
    depth = share * PEOPLE.stature_m
    found = immersed_volume_m3(PEOPLE, depth, arms_in, 2.5)
    marks, joints, parts = PEOPLE.landmarks_m, PEOPLE.joints_m, PEOPLE.parts
    at = (np.arange(2000) + 0.5) / 2000
    for i in range(2):
        elbow = joints["shoulder"][i] - parts["upper arm"].length_m[i]
        wrist = elbow - parts["forearm"].length_m[i]
        tall, hand = PEOPLE.stature_m[i], parts["hand"].length_m[i]
        pieces = [(0.0, joints["ankle"][i], "foot"),
                  (joints["ankle"][i], joints["knee"][i], "shank"),
                  (joints["knee"][i], marks["hip"][i], "thigh")]  # fmt: skip
        if arms_in:
            pieces += [(wrist - hand, wrist, "hand"), (wrist, elbow, "forearm"),
                       (elbow, joints["shoulder"][i], "upper arm")]  # fmt: skip
        kg = 0.0
        for low, high, name in pieces:
            part = parts[name]
            wide = part.lower_m[i] + (part.upper_m[i] - part.lower_m[i]) * at
            section = np.ones(2000) if name in ("foot", "hand") else wide**2
            wet = low + (high - low) * at < depth[i]
            kg += 2 * part.mass_kg[i] * float(section @ wet / section.sum())
        edges = [marks[n][i] for n in ("hip", "navel", "breastbone end", "collarbone")] + [tall]
        trunk = ("lower trunk", "middle trunk", "upper trunk", "head")
        for low, high, name in zip(edges, edges[1:], trunk, strict=False):
            kg += PEOPLE.trunk_kg[name][i] * float(np.mean(low + (high - low) * at < depth[i]))
        lungs = float(np.mean(edges[2] + (edges[3] - edges[2]) * at < depth[i]))
        whole = PEOPLE.mass_kg[i] / PEOPLE.tissue_kg_m3[i]
        by_hand = kg / PEOPLE.tissue_kg_m3[i] + 0.0025 * lungs
        assert found[i] == pytest.approx(by_hand, abs=0.0005 * whole)


def test_a_landmark_is_reached_when_the_water_is_at_it() -> None:
    """At a landmark's own height it counts, a millimetre lower the one below does."""
    marks = PEOPLE.landmarks_m
    assert landmark_reached(PEOPLE, marks["navel"]) == ["navel", "navel"]
    assert landmark_reached(PEOPLE, marks["navel"] - 0.001) == ["front of hip bone"] * 2
    assert landmark_reached(PEOPLE, np.full(2, 0.01)) == ["feet", "feet"]
    for place, name in enumerate(("navel", "nipple", "chin")):
        assert depth_kind(PEOPLE, marks[name]).tolist() == [place + 1] * 2
        assert depth_kind(PEOPLE, marks[name] - 0.001).tolist() == [place] * 2


@pytest.mark.parametrize(
    ("event", "air", "steady"),
    [
        (0.5, 0.3, np.pi / 2 * 0.5 / 0.2),  # 0.2 s on the floor: half a sine
        (1.0, 0.0, 1.15),  # a long step: a flat pulse
        (0.475, 0.0, 1.15 + (np.pi / 2 - 1.15) / 2),  # half-way between 0.25 and 0.7 s
        (0.5, 0.48, np.pi / 2 * 0.5 / 0.05),  # never less than 0.05 s on the floor
    ],
)
def test_a_peak_is_the_mean_force_times_its_pulse(event: float, air: float, steady: float) -> None:
    """Apparent weight times event over contact, times pi/2 to 1.15; a landing is the least."""
    landing = 1 + np.pi / 2 * air / 0.3
    found = float(peak_force_bw(np.array(0.4), np.array(event), np.array(air)))
    assert found == pytest.approx(0.4 * max(steady, landing), rel=1e-9)


@pytest.mark.parametrize(
    ("event", "air", "joules"),
    [
        (0.6, 0.0, 0.2 * 0.6),  # a step: all at the stepping rate
        (0.6, 0.4, 0.2 * 0.6 + 0.45 * 0.8 * 0.6),  # 0.4 of 0.5 hop; contact all bounced
        (1.0, 0.4, 0.2 * 1.0 + 0.45 * 0.8 * 0.7),  # of 0.6 s on the floor 0.3 are bounced
        (0.3, 0.4, 0.2 * 0.3 + 0.45 * 0.8 * 0.4),  # more air than event: no contact
    ],
)
def test_support_is_stepping_and_what_bouncing_adds(
    event: float, air: float, joules: float
) -> None:
    """A newton for an event at 0.2 and 0.65 W/N, up to 0.3 s of contact bounced, worked."""
    cost = support_j(np.array(1.0), np.array(event), np.array(air), 0.65, 0.2, 0.3)
    assert float(cost) == pytest.approx(joules)


def test_effort_stays_between_rest_and_the_most() -> None:
    """Hearts beat between 65 at 1 MET and the maximum; exertion never passes 20, strained or not.

    Half the reserve of a person of 40: 65 + (180 - 65) / 2.
    """
    rates = heart_rate_bpm(np.array([0.5, 5.5, 12.0]), np.array(10.0), np.array(40.0))
    assert rates == pytest.approx([65.0, 122.5, 180.0])
    assert float(rpe(np.array(10.0), np.array(10.0), 5.0)) == 20.0
    both = float(rpe(np.array(6.4), np.array(10.0), 4 / 7))  # breath and muscle 8 over rest each
    assert both == pytest.approx(6 + 8 * 2 ** (1 / 6))
    assert np.all(peak_met(PEOPLE) >= 3.0)


def test_what_is_held_is_worked_from_its_hyperbola() -> None:
    """Critical 0.8, 48 share-seconds above it, at most 2: tau 40 s; 120 s hold 0.8 + 48 / 160."""
    assert holdable(120.0, 0.8, 48.0, 2.0) == pytest.approx(1.1)
    assert float(held_for_s(np.array(1.1), 0.8, 48.0, 2.0)) == pytest.approx(120.0)
    assert float(held_for_s(np.array(0.8133), 0.8, 48.0, 2.0)) == pytest.approx(3569.02, abs=1.0)
    assert float(held_for_s(np.array(0.81), 0.8, 48.0, 2.0)) == 3600.0
