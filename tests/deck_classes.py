"""Six classes as instructors teach them, planned from invented songs: what the deck is tried on."""

from __future__ import annotations

import random
from dataclasses import replace

from planning_music import made_track

from aquatempo.moves import catalogue
from aquatempo.planning.class_plan import plan_class
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import (
    Brief,
    BuildWay,
    ClassPlan,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.records.track import Track

__all__ = ["CLASSES", "planned_class", "songs"]

VERSE, CHORUS = (32, "phrase"), (32, "phrase")
# Forms of songs: counts and kind of each stretch. Some end on a stray count, as recordings do.
FORMS = (
    [(16, "intro"), VERSE, VERSE, CHORUS, CHORUS, VERSE, CHORUS, CHORUS, (8, "bridge"), VERSE,
     CHORUS, CHORUS, CHORUS, CHORUS, (1, "outro")],
    [(32, "intro"), VERSE, CHORUS, CHORUS, VERSE, CHORUS, CHORUS, (16, "break"), CHORUS, CHORUS,
     VERSE, CHORUS, CHORUS, (17, "outro")],
    [(8, "intro"), VERSE, VERSE, (4, "bridge"), CHORUS, CHORUS, VERSE, VERSE, (4, "bridge"),
     CHORUS, CHORUS, VERSE, CHORUS, CHORUS, CHORUS, (16, "outro")],
    [(3, "intro"), VERSE, VERSE, VERSE, VERSE, CHORUS, CHORUS, VERSE, VERSE, CHORUS, CHORUS,
     VERSE, VERSE, CHORUS, CHORUS, CHORUS],
)  # fmt: skip
ENERGIES = ("low", "medium", "high", "high", "medium", "high", "high", "low", "medium", "high")
TITLES = (
    "First lane", "Lindenbad", "Wet tiles", "Warm showers", "Whistle at seven", "Blue rope",
    "Deep end", "Chlorine waltz", "Towel song", "Steam on the glass", "Last lane", "Lockers",
    "Echo hall", "Blue cap", "Tuesday light", "Rain on the roof", "Starting block", "Kick board",
    "Two lengths more", "Floor to four", "Ripple", "Overflow", "Tide table", "Pump room",
)  # fmt: skip
LONG = " (Extended Pool Mix, Part {number} of 2, Recorded Live at the Lindenbad)"
BASE = Brief(
    title="Tuesday group at the Lindenbad",
    minutes=45.0,
    pool=Pool(depth_m=1.2, temperature_c=29.0),
    group=Group(),
)
DEEP = Pool(depth_m=2.2, temperature_c=28.0, kind=ClassDepth.DEEP)
CLASSES = {
    "seniors": replace(
        BASE,
        title="Silver Wednesday",
        group=replace(Group(), age_years=(62.0, 84.0), size=14),
        pool=Pool(depth_m=1.2, temperature_c=31.0),
        group_notes=("two new hips", "one walks with a stick"),
        banned_moves=("jump", "tuck", "star", "frog"),
    ),
    "deep-intervals": replace(
        BASE,
        title="Deep intervals",
        depth=ClassDepth.DEEP,
        pool=DEEP,
        intervals=Intervals(30.0, 30.0, 8, IntervalUnit.SECONDS),
        parts=(
            PartBrief(PartName.WARM_UP, 8.0),
            PartBrief(PartName.MAIN, 16.0),
            PartBrief(PartName.INTERVALS, 8.0),
            PartBrief(PartName.COOL_DOWN, 7.0),
            PartBrief(PartName.STRETCH, 6.0),
        ),
    ),
    "pyramid": replace(BASE, title="Pyramid", build=BuildWay.PYRAMID),
    "german": replace(BASE, title="Dienstagsgruppe im Lindenbad", language="de"),
    "long-titles": replace(
        BASE, title="Thursday evening group of the Lindenbad swimming club, second course"
    ),
    "ninety": replace(BASE, title="Long Saturday", minutes=90.0),
}


def songs(long_titles: bool = False) -> list[Track]:
    """Return 36 invented songs of three to five minutes, 96 to 142 beats a minute."""
    draw = random.Random(7)
    found = []
    for number in range(36):
        tempo_bpm = round(96 + 46 * (number * 7 % 36) / 35 + draw.random(), 1)
        title = TITLES[number % len(TITLES)] + ("" if number < len(TITLES) else " again")
        if long_titles:
            title += LONG.format(number=number % 2 + 1)
        found.append(made_track(title, tempo_bpm, FORMS[number % len(FORMS)], ENERGIES))
    return found


def planned_class(name: str) -> ClassPlan:
    """Return one of CLASSES as our planner plans it."""
    found = songs(name == "long-titles")
    return plan_class(found, CLASSES[name], catalogue())
