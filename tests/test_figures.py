"""Figures of moves: what is drawn is what the model reckons with, to scale, on the beat."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from aquatempo.exports.figure_picture import end_positions, moving_figure
from aquatempo.figures import figure_of, skeleton, view_of
from aquatempo.moves import catalogue, parse_pattern, pose, resolve
from aquatempo.moves.postures import mirrored
from aquatempo.records.figure import MoveFigure, View
from aquatempo.records.limbs import Arm, Leg, Posture, Trunk
from aquatempo.records.moves import Factor, Move, Variation
from aquatempo.records.people import DEEP_POOL, ClassDepth, Pool

ROOT = Path(__file__).parent.parent
SVG = "{http://www.w3.org/2000/svg}"
MOVES = list(catalogue().moves.values())


def figure(key: str, pool: Pool | None = None, **options: object) -> MoveFigure:
    """Return the figure of a move of the catalogue as it stands."""
    water = pool or Pool()
    return figure_of(resolve(catalogue().move(key), None, water.kind), water, **options)  # type: ignore[arg-type]


def part(drawn: MoveFigure, name: str) -> np.ndarray:
    """Return the points of a part, (frames, points, 2) [m]."""
    return np.array(next(one.frames for one in drawn.parts if one.name == name))


def pool_of(move: Move) -> Pool:
    """Return a pool in which a move is done."""
    return Pool() if ClassDepth.SHALLOW in move.depths else DEEP_POOL


def angle_at(a: np.ndarray, b: np.ndarray) -> float:
    """Return the angle between two directions [degrees]."""
    cosine = float(a @ b) / float(np.linalg.norm(a) * np.linalg.norm(b))
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def test_lengths_are_those_of_the_published_table() -> None:
    """Standing, the joints of a body of 1 m are where Drillis and Contini 1966 put them."""
    body = skeleton([Posture()], 1.0)
    hip, knee = body["lead thigh"][0]
    ankle = body["lead shank"][0, 1]
    # figure 4.1 of Winter 2009: hip 0.530, knee 0.285, ankle 0.039, shoulder 0.818 of stature
    assert hip[2] - knee[2] == pytest.approx(0.530 - 0.285, abs=1e-9)
    assert knee[2] - ankle[2] == pytest.approx(0.285 - 0.039, abs=1e-9)
    assert body["lead foot"][0, :2, 2] == pytest.approx(-0.530, abs=1e-9)  # the sole is the floor
    assert body["lead upper arm"][0, 0, 2] == pytest.approx(0.818 - 0.530, abs=1e-9)


@pytest.mark.parametrize(
    ("posture", "joint", "degrees"),
    [
        (Posture(lead_leg=Leg(hip=60, knee=25)), ("lead thigh", "lead shank"), 25),
        (Posture(lead_leg=Leg(hip=-15, out=20, knee=80)), ("lead thigh", "lead shank"), 80),
        (Posture(lead_arm=Arm(50, 90, 70)), ("lead upper arm", "lead forearm"), 70),
        (Posture(lead_arm=Arm(80, 10, 35), trunk=Trunk(20, 10, 15)),
         ("lead upper arm", "lead forearm"), 35),
    ],
)  # fmt: skip
def test_joints_are_drawn_at_the_angles_of_the_posture(
    posture: Posture, joint: tuple[str, str], degrees: float
) -> None:
    """The angle between two drawn parts is the joint's angle, whatever the others do (geometry)."""
    body = skeleton([posture], 1.7)
    first, second = (body[name][0, 1] - body[name][0, 0] for name in joint)
    assert angle_at(first, second) == pytest.approx(degrees, abs=1e-6)


def test_a_raised_thigh_and_a_leg_out_point_where_they_should() -> None:
    """A hip at 90 points ahead; a leg 40 out goes to its own side on both sides (geometry)."""
    body = skeleton([Posture(lead_leg=Leg(hip=90), other_leg=Leg(out=40))], 1.0)
    ahead = body["lead thigh"][0, 1] - body["lead thigh"][0, 0]
    assert ahead == pytest.approx([0.245, 0, 0], abs=1e-9)
    aside = body["other thigh"][0, 1] - body["other thigh"][0, 0]
    turn = math.radians(40)
    assert aside == pytest.approx([0, -0.245 * math.sin(turn), -0.245 * math.cos(turn)], abs=1e-9)


@pytest.mark.parametrize("move", MOVES, ids=lambda move: move.key)
def test_every_move_stays_in_the_pool(move: Move) -> None:
    """No foot of any move goes through the floor; in shallow water one stands unless it hops."""
    drawn = figure(move.key, pool_of(move))
    feet = np.concatenate([part(drawn, "lead foot"), part(drawn, "other foot")], axis=1)
    lowest = feet[..., 1].min(axis=1)
    assert lowest.min() > -0.002  # m; rounding of the points and of the bend of a leg
    form = resolve(move, None, pool_of(move).kind)
    if pool_of(move).kind is ClassDepth.SHALLOW and not any(m.flight_m for m in form.movements):
        assert lowest.max() < 0.01


def test_a_hop_lifts_both_feet_by_its_height_and_no_more() -> None:
    """The feet of a jump leave the floor by the catalogue's flight, half-way in time."""
    form = resolve(catalogue().move("jump"))
    flight = max(one.flight_m for one in form.movements)
    drawn = figure("jump")
    feet = np.concatenate([part(drawn, "lead foot"), part(drawn, "other foot")], axis=1)[..., 1]
    assert feet.min(axis=1).max() == pytest.approx(flight, abs=0.01)


def test_the_water_stands_where_the_pool_says() -> None:
    """The surface is at the pool's depth; deep water holds the head out; II lowers to the chin."""
    assert figure("jog", Pool(depth_m=1.05)).surface_m == 1.05
    deep = figure("bicycle", DEEP_POOL)
    crown, shoulder = part(deep, "head")[0, 1, 1], part(deep, "lead upper arm")[0, 0, 1]
    assert shoulder < deep.surface_m < crown
    lowered = Variation("jog", ((Factor.LEVEL, "neutral"),))
    keys = [key for factor, key in catalogue().options if factor is Factor.LEVEL]
    level_two = next(
        key for key in keys
        if dict(catalogue().option(Factor.LEVEL, key).effect).get("level") == "II"
    )  # fmt: skip
    lowered = Variation("jog", ((Factor.LEVEL, level_two),))
    drawn = figure_of(resolve(catalogue().move("jog"), lowered), Pool(depth_m=1.2))
    assert part(drawn, "lead upper arm")[:, 0, 1].max() == pytest.approx(1.2, abs=0.01)


def test_people_are_to_scale() -> None:
    """A person of 1.5 m stands lower in the same water than one of 1.9 m, by the difference."""
    tops = [
        max(y for frame in one.frames for _, y in frame)
        for height in (1.5, 1.9)
        for one in figure("march", stature_m=height).parts
        if one.name == "head"
    ]
    assert tops[1] - tops[0] == pytest.approx(0.4 * 0.967, abs=0.01)  # its line ends in the crown


def test_views_follow_the_plane() -> None:
    """Sagittal moves are seen from the side, frontal ones from the front."""
    views = {key: view_of(resolve(catalogue().move(key))) for key in ("knee-lift", "jack", "twist")}
    assert views == {"knee-lift": View.SIDE, "jack": View.FRONT, "twist": View.TURNED}


@pytest.mark.parametrize("key", ["knee-lift", "side-kick", "side-step", "walk"])
def test_mirroring_turns_the_picture_over(key: str) -> None:
    """Mirrored, every point lies on the other side, at the same height; travel turns with it."""
    plain, turned = figure(key), figure(key, mirrored=True)
    for one in plain.parts:
        assert part(turned, one.name) == pytest.approx(part(plain, one.name) * [-1, 1], abs=1e-9)
    if plain.along:
        assert turned.travel_m == -plain.travel_m


def test_the_other_lead_is_the_mirror_image_seen_from_the_front() -> None:
    """Doing a posture on the other side is the picture turned over, lead and other changed."""
    posture = pose(resolve(catalogue().move("side-kick")), 0.6)
    body, other = skeleton([posture], 1.7), skeleton([mirrored(posture)], 1.7)
    for name in ("thigh", "shank", "forearm", "hand"):
        assert other[f"other {name}"] == pytest.approx(body[f"lead {name}"] * [1, -1, 1])


@pytest.mark.parametrize("pattern", ["1", "2", "4", "2-2-4", "2+2h"])
def test_the_loop_lasts_its_counts(pattern: str) -> None:
    """A loop is whole repetitions of the pattern, ends where it began, and holds where it says."""
    key = next(
        key for factor, key in catalogue().options
        if factor is Factor.TEMPO
        and dict(catalogue().option(factor, key).effect).get("pattern") == pattern
    ) if pattern != "2" else ""  # fmt: skip
    move = catalogue().move("knee-lift")
    form = resolve(move, Variation("knee-lift", ((Factor.TEMPO, key),)) if key else None)
    drawn = figure_of(form, Pool())
    steps = parse_pattern(pattern).steps
    length = math.lcm(len(form.movements), len(steps))
    lasts = sum(
        steps[n % len(steps)].moving_counts + steps[n % len(steps)].held_counts
        for n in range(length)
    )
    assert drawn.counts[-1] == lasts
    assert all(b > a for a, b in zip(drawn.counts, drawn.counts[1:], strict=False))
    for one in drawn.parts:
        assert np.array(one.frames[0]) == pytest.approx(np.array(one.frames[-1]), abs=2e-4)


def test_the_moving_picture_keeps_the_beat() -> None:
    """At 120 bpm four counts last two seconds; key times are the counts over the loop's."""
    drawn = figure("jack")
    root = ET.fromstring(moving_figure(drawn, 120.0, "Jack"))
    moving = list(root.iter(f"{SVG}animate"))
    assert len(moving) > 10
    assert {one.get("dur") for one in moving} == {"2.000s"}
    times = [float(text) for text in (moving[0].get("keyTimes") or "").split(";")]
    assert times == pytest.approx([count / 4.0 for count in drawn.counts], abs=1e-4)
    for one in moving:
        shapes = [re.sub(r"[-\d.]+", "#", d) for d in (one.get("values") or "").split(";")]
        assert len(shapes) == len(times)
        assert len(set(shapes)) == 1  # a browser can only go between paths of one shape


def test_pictures_hold_no_script_and_no_style() -> None:
    """Pictures show under a strict content policy, and a title is text, not markup."""
    for text in (moving_figure(figure("walk"), 130.0, "<script>alert(1)</script>"),
                 end_positions(figure("walk"), "Walk", ["a <b>", "&"])):  # fmt: skip
        root = ET.fromstring(text)
        names = {element.tag.removeprefix(SVG) for element in root.iter()}
        assert names <= {"svg", "title", "rect", "line", "polyline", "path", "g", "text",
                         "animate", "animateTransform"}  # fmt: skip
        assert not any("style" in element.attrib for element in root.iter())


def test_end_positions_show_each_posture_once_with_its_words() -> None:
    """A knee lift has two end positions, side by side, each under its own words."""
    drawn = figure("knee-lift")
    assert [stage.name for stage in drawn.stages] == ["lead knee up", "other knee up"]
    words = [stage.name for stage in drawn.stages]
    root = ET.fromstring(end_positions(drawn, "Knee lift", words, "1.2 m"))
    texts = [element.text for element in root.iter(f"{SVG}text")]
    assert texts == ["1.2 m", *words]


def test_less_range_is_drawn_smaller() -> None:
    """With half of the range kept, the thigh of a knee lift comes up to 45 degrees, not 90."""
    for kept, degrees in ((1.0, 90.0), (0.5, 45.0)):
        posture = pose(resolve(catalogue().move("knee-lift")), 1.0, kept)
        thigh = skeleton([posture], 1.7)["lead thigh"][0]
        assert angle_at(thigh[1] - thigh[0], np.array([0, 0, -1.0])) == pytest.approx(degrees)
    full, half = figure("knee-lift"), figure("knee-lift", range_kept=0.5)
    frame = full.stages[0].frame
    up = [part(one, "lead thigh")[frame, 1, 1] for one in (full, half)]
    assert up[0] > up[1] + 0.2


def test_the_pictures_of_the_catalogue_are_not_stale() -> None:
    """docs/figures/moves holds the picture of every move as it is drawn now."""
    again = "python docs/figures/make_moves.py"
    command = [sys.executable, str(ROOT / "docs" / "figures" / "make_moves.py"), "--check"]
    assert subprocess.run(command, check=False).returncode == 0, again
