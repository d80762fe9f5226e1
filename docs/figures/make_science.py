"""Draws the figures of docs/science.md: the model beside each published value.

Run from the top of the repository, with matplotlib: python docs/figures/make_science.py
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from science_tables import POOLS, limits, weak_limits

from aquatempo.feasibility import free_inputs, judge, judge_forms, tempo_ranges
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.limbs import Action, Joint
from aquatempo.records.people import ClassDepth, Group, Person, Pool, Sex
from aquatempo.water.body import bodies_of
from aquatempo.water.cylinders import finite_cylinder_cd, long_cylinder_cd
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.limb_demand import Demand, demand_of
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import SHARES, LimbPath
from aquatempo.water.properties import density_kg_m3, viscosity_pa_s, water
from aquatempo.water.strength import strength_of

HERE = Path(__file__).resolve().parent
INK, GREY, PALE = "#1a1a1a", "#777777", "#cfcfcf"
LAND, WATER_TEMPO = parse_pattern("1"), parse_pattern("2")
USUAL = ("jog", "knee-lift", "leg-curl", "front-kick", "side-kick", "jack", "cross-country-ski",
         "rocking-horse", "pendulum", "side-step", "walk")  # fmt: skip


def main(folder: Path = HERE, names: Sequence[str] = ()) -> None:
    """Write the six figures, or those named, into a folder."""
    mpl.rcParams.update({
        "svg.hashsalt": "aquatempo", "svg.fonttype": "none", "font.size": 9,
        "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": GREY,
    })  # fmt: skip
    for name, size, draw in (
        ("weight_on_feet", (7.0, 3.2), draw_weight),
        ("water_and_cylinders", (7.0, 3.0), draw_water),
        ("strength", (7.0, 3.0), draw_strength),
        ("limb_drag", (7.0, 3.0), draw_drag),
        ("effort_and_impact", (7.0, 4.6), draw_effort),
        ("limits", (7.0, 7.0), draw_limits),
    ):
        if names and name not in names:
            continue
        figure, axes = plt.subplots(1, 2, figsize=size, layout="constrained")
        draw(*axes)
        figure.savefig(folder / f"{name}.svg", metadata={"Date": None})
        plt.close(figure)


def draw_weight(left: Axes, right: Axes) -> None:
    """Schneider 2007: percent of land weight on the feet at four landmarks."""
    published = {
        "knee": ((88.1, 2.3), (86.7, 1.9)),
        "front of hip bone": ((59.1, 4.4), (52.5, 4.9)),
        "breastbone end": ((35.3, 3.3), (31.6, 2.7)),
        "collarbone": ((11.8, 1.9), (10.2, 3.2)),
    }
    people = (Person(1.7562, 85.5, Sex.MAN, 23.0), Person(1.6285, 67.8, Sex.WOMAN, 23.0))
    for axis, person, column in ((left, people[0], 0), (right, people[1], 1)):
        body = bodies_of([person])
        depth = np.linspace(0.05, 1.5, 200)
        for arms, style in ((True, "-"), (False, "--")):
            share = [
                float(
                    weight_on_feet(
                        body, np.array([d]), water(30.0), arms, free_inputs().lung_gas_l
                    )[0]
                )
                for d in depth
            ]
            label = "model, arms in" if arms else "model, arms out"
            axis.plot(depth / person.height_m, 100 * np.array(share), style, color=INK, label=label)
        heights = [float(body.landmarks_m[name][0]) / person.height_m for name in published]
        means = [values[column][0] for values in published.values()]
        spreads = [values[column][1] for values in published.values()]
        axis.errorbar(
            heights, means, spreads, fmt="o", color=GREY, capsize=3, label="Schneider 2007"
        )
        axis.set(xlabel="depth / stature", ylim=(0, 100), title=("men", "women")[column])
    left.set_ylabel("weight on the feet [% of land]")
    left.legend(frameon=False)


def draw_water(left: Axes, right: Axes) -> None:
    """Departure from IAPWS, and the two tables of cylinders."""
    iapws = {20: (998.207, 1.0016), 26: (996.786, 0.8701), 28: (996.236, 0.8324),
             30: (995.649, 0.7972), 32: (995.028, 0.7644), 34: (994.373, 0.7337)}  # fmt: skip
    t = list(iapws)
    density = [1e2 * (density_kg_m3(x) / iapws[x][0] - 1) for x in t]
    viscosity = [1e2 * (viscosity_pa_s(x) * 1e3 / iapws[x][1] - 1) for x in t]
    left.plot(t, density, "o-", color=INK, label="density (0.02 % allowed)")
    left.plot(t, viscosity, "s--", color=GREY, label="viscosity (1 % allowed)")
    left.set(xlabel="water [degrees C]", ylabel="model less IAPWS [%]", ylim=(-0.1, 0.1))
    left.legend(frameon=False)
    reynolds = np.geomspace(1e4, 3.5e6, 200)
    right.semilogx(reynolds, long_cylinder_cd(reynolds), color=INK, label="long (Roshko 1961)")
    for ratio in (5, 10, 20):
        level = float(finite_cylinder_cd(np.array(float(ratio))))
        right.plot([1e4, 2e5], [level, level], "--", color=GREY)
        right.text(1.1e4, level + 0.02, f"L/D {ratio} (Blevins 1984)", color=GREY, fontsize=7)
    right.set(xlabel="Reynolds number", ylabel="Cd across the flow", ylim=(0, 1.4))
    right.legend(frameon=False)


def draw_strength(left: Axes, right: Axes) -> None:
    """Anderson 2007: hip flexion against speed and age."""
    speed = np.linspace(0, 300, 100)
    for age, style in ((20.0, "-"), (60.0, "--"), (80.0, ":")):
        body = bodies_of([Person(1.6285, 67.8, Sex.WOMAN, age)])
        hip = strength_of(body, Joint.HIP, Action.FLEXION)
        if hip is not None:
            torque = hip.torque_nm(np.full((1, 100), -0.3), np.radians(speed)[None])[0]
            left.plot(speed, torque, style, color=INK, label=f"woman {age:.0f}")
    left.plot([0, 122, 249], [138, 0.75 * 138, 0.5 * 138], "o", color=GREY, label="Anderson 2007")
    left.set(xlabel="hip flexion [degrees/s]", ylabel="strength [N m]", ylim=(0, 150))
    left.legend(frameon=False)
    ages = np.linspace(18, 85, 68)
    for action, style in ((Action.FLEXION, "-"), (Action.EXTENSION, "--"), (Action.ABDUCTION, ":")):
        bodies = bodies_of([Person(1.6285, 67.8, Sex.WOMAN, float(age)) for age in ages])
        hip = strength_of(bodies, Joint.HIP, action)
        if hip is not None:
            peak = (1 - hip.weight_high) * hip.peak_nm[0] + hip.weight_high * hip.peak_nm[1]
            note = ", estimated" if hip.estimated else ""
            right.plot(ages, peak, style, color=INK, label=f"hip {action.value}{note}")
    right.plot([80, 80], [88, 149], "o", color=GREY, label="women over 65")
    right.set(xlabel="age", ylabel="largest torque [N m]", ylim=(0, 300))
    right.legend(frameon=False)


def draw_drag(left: Axes, right: Axes) -> None:
    """Poyhonen 2000, and what a knee that bends with the hip spares."""
    speed = np.linspace(0, 320, 60)
    for ankle, style in ((0.0, "-"), (-40.0, "--")):
        found = _asked((0.0, 0.0, 10.0, ankle), (0.0, 0.0, 0.0, ankle))
        fastest = float(np.degrees(np.max(np.abs(found.rate[_FULL, :, 2]))))  # x T
        force = float(np.abs(found.push[:, _FULL, :, 0]).max(axis=1).mean())  # x T^2
        label = "foot pointed" if ankle else "foot square"
        left.plot(speed, force * (speed / fastest) ** 2, style, color=INK, label=f"model, {label}")
    left.errorbar([300], [61], [[30.5], [61.0]], fmt="o", color=GREY, capsize=3,
                  label="Pöyhönen 2000, x/ 2")  # fmt: skip
    left.set(xlabel="knee [degrees/s]", ylabel="drag on shank and foot [N]", ylim=(0, 200))
    left.legend(frameon=False)
    rate = np.linspace(30, 160, 60)
    for knee, start, style, label in (
        (0.0, 0.0, "-", "straight"),
        (60.0, 60.0, "--", "held bent, 60 degrees"),
        (60.0, 0.0, ":", "bends with the hip"),
    ):
        found = _asked((0.0, 0.0, start, 0.0), (60.0, 0.0, knee, 0.0))
        moving, still = found.moving[:, _FULL, :, 0], found.still[:, _FULL, :, 0]
        over = (rate[:, None, None] / 60.0) ** 2
        torque = np.maximum(moving * over + still, 0.0).max(axis=2).mean(axis=1)
        right.plot(rate, torque, style, color=INK, label=label)
    right.set(xlabel="movements a minute", ylabel="largest hip torque, leg 0 to 60 [N m]",
              ylim=(0, None))  # fmt: skip
    right.legend(frameon=False, title="knee", alignment="left")


_FULL = int(np.flatnonzero(SHARES == 1.0)[0])


def _asked(start: tuple[float, ...], end: tuple[float, ...]) -> Demand:
    """Return what a leg from one posture to another asks of a young woman and a young man.

    start, end: hip, out, knee, ankle [degrees]. The whole leg is under water.
    """
    people = bodies_of([Person(1.69, 62.0, Sex.WOMAN, 25.0), Person(1.80, 76.0, Sex.MAN, 25.0)])
    path = LimbPath(Kind.LEG, start, end, (0.0,) * 4)
    return demand_of(path, people, np.full(2, 3.0), water(29.0))


def draw_effort(left: Axes, right: Axes) -> None:
    """Compendium, Nagle and Barbosa; floor forces of Alberton and Haupenthal."""
    forms = [resolve(catalogue().move(key)) for key in USUAL]
    grid = judge_forms(forms, [LAND, WATER_TEMPO], [125.0, 150.0], Pool(), Group())
    rows = np.arange(len(USUAL))
    left.axvspan(5.3, 5.5, color=GREY, label="Compendium 2011")
    left.axvspan(5.6, 7.1, color=PALE, label="Nagle 2013, class and main part")
    for column, mark, label in ((0, "s", "land tempo"), (1, "o", "water tempo")):
        low, high = grid.met[:, column, 0, 1], grid.met[:, column, 1, 1]
        left.hlines(rows, np.minimum(low, high), np.maximum(low, high), color=INK)
        left.plot(high, rows, mark, color=INK, fillstyle="none" if column else "full", label=label)
    left.set(
        yticks=rows, yticklabels=[form.move.name for form in forms], xlabel="MET, 125-150 b/min"
    )
    left.invert_yaxis()
    _legend_below(left)
    old = Group(19, 19, (1.50, 1.60), (64.0, 74.0), (60.0, 78.0))
    young = Group(20, 10, (1.65, 1.75), (20.0, 30.0), (60.0, 75.0))
    jog = resolve(catalogue().move("jog"))
    cases = [
        ("Alberton 2019, 80", 0.45, 0.60, judge(jog, LAND, 80.0, Pool(0.69 * 1.549), old)),
        ("Alberton 2019, 100", 0.45, 0.60, judge(jog, LAND, 100.0, Pool(0.69 * 1.549), old)),
        ("Haupenthal 2010, chest", 0.80, 0.80, judge(jog, LAND, 130.0, Pool(0.70 * 1.70), young)),
        ("Haupenthal 2010, hip", 0.98, 0.98, judge(jog, LAND, 130.0, Pool(0.555 * 1.70), young)),
    ]
    for row, (_, least, most, verdict) in enumerate(cases):
        right.plot(
            [least, most], [row, row], "|-", color=GREY, lw=3, label="" if row else "published"
        )
        right.plot([verdict.impact_bw], [row], "o", color=INK, label="" if row else "model")
    right.set(yticks=range(4), yticklabels=[case[0] for case in cases], xlim=(0, 1.6),
              xlabel="peak floor force [body weights]")  # fmt: skip
    right.invert_yaxis()
    _legend_below(right)


def draw_limits(left: Axes, right: Axes) -> None:
    """Full-range limits in water tempo beside the published tempo ranges."""
    for axis, kind in ((left, ClassDepth.SHALLOW), (right, ClassDepth.DEEP)):
        forms, table = limits(kind)
        table = np.nan_to_num(np.column_stack([table, weak_limits(kind)]), nan=240.0)
        rows = np.arange(len(forms))
        axis.axvspan(*tempo_ranges()[kind.value], color=PALE, label="published range")
        axis.hlines(rows, table[:, 0], table[:, 2], color=GREY, label="easy to hard")
        axis.plot(table[:, 1], rows, "o", color=INK, label="steady, median")
        axis.plot(table[:, 3], rows, "|", color=INK, ms=9, label="steady, weak tenth")
        axis.set(yticks=rows, yticklabels=[form.move.name for form in forms], xlim=(80, 245),
                 xlabel="full range up to [b/min], water tempo")  # fmt: skip
        axis.set_title(f"{kind.value}, {POOLS[kind].depth_m:.1f} m")
        axis.invert_yaxis()
        _legend_below(axis)


def _legend_below(axis: Axes) -> None:
    axis.legend(
        frameon=False, fontsize=7, ncols=2, loc="upper center", bbox_to_anchor=(0.45, -0.11)
    )


if __name__ == "__main__":
    main()
