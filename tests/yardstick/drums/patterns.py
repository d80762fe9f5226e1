"""Patterns of drums by family: what is struck, when and how loud, and what goes with it.

All written for this purpose; which count is the beat is common practice, no source: the backbeat
falls on 2 and 4, half-time grooves count twice as fast as their backbeat. ``FIT`` is to fit on,
``JUDGE`` to judge by: no family is in both.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np

Stroke = tuple[str, float, float]
"""What is struck, at which count, how loud."""
Pattern = tuple[list[Stroke], int, dict[str, str | None]]
"""Strokes of one turn, its counts, and the parts for bass and chords."""
Random = np.random.Generator
T = TypeVar("T")

LOUD = {"x": 1.0, "o": 0.45, "g": 0.2, "X": 1.3}


def one_of(rng: Random, *choices: T) -> T:
    """Return one of some choices."""
    return choices[int(rng.integers(len(choices)))]


def within(rng: Random, low: float, high: float) -> float:
    """Return a number between two."""
    return float(rng.uniform(low, high))


def row(text: str, role: str, loud: float = 1.0, step: float = 0.25) -> list[Stroke]:
    """Return the strokes of a row of steps, x loud, o soft, g a ghost."""
    return [
        (role, place * step, loud * LOUD[sign]) for place, sign in enumerate(text) if sign != "."
    ]


def swung(strokes: list[Stroke], share: float, unit: float = 1.0) -> list[Stroke]:
    """Return strokes whose halves of a unit are long and short; share: of the long one."""
    out = []
    for role, at, loud in strokes:
        whole, part = divmod(at, unit)
        half = unit / 2
        if part <= half:
            part = part / half * share * unit
        else:
            part = share * unit + (part - half) / half * (1 - share) * unit
        out.append((role, whole * unit + part, loud))
    return out


def amen(rng: Random) -> Pattern:
    """Break of several bars whose snares move away from 2 and 4."""
    hat = one_of(rng, "x.x.x.x.x.x.x.x.", "x.x.x.x.x.x.x...")
    a = ("x.x.......xx....", "....x..o.o..x..o")
    b = ("x.x.......x.....", "....x..o.o....x.")
    c = ("..xx......x.....", ".o..x..o.o....x.")
    bars = one_of(rng, (a, a, b, c), (a, b), (a, c), (a, a, b, c))
    strokes: list[Stroke] = []
    for number, (kick, snare) in enumerate(bars):
        top = row(hat, one_of(rng, "hat", "ride"), within(rng, 0.3, 0.8))
        bar = row(kick, "kick") + row(snare, "snare") + top
        strokes += [(role, at + 4 * number, loud) for role, at, loud in bar]
    return strokes, 4 * len(bars), {}


def offhat(rng: Random) -> Pattern:
    """Open hats between soft kicks."""
    strokes = row("x...x...x...x...", "kick", within(rng, 0.25, 0.8))
    strokes += row("..x...x...x...x.", "open", within(rng, 0.7, 1.3))
    if rng.random() < 0.5:
        strokes += row("....x.......x...", one_of(rng, "snare", "clap"), within(rng, 0.3, 0.9))
    if rng.random() < 0.5:
        strokes += row("xxxxxxxxxxxxxxxx", "hat", within(rng, 0.1, 0.4))
    return strokes, 4, {"bass": one_of(rng, None, "off", "on"), "chord": one_of(rng, None, "pad")}


def ride(rng: Random) -> Pattern:
    """Jazz of a ride and a pedal, straight to swung."""
    share, _ = within(rng, 0.5, 0.75), within(rng, 0.5, 1)
    places = ((0, 0.8), (1, 1.0), (1.5, 0.7), (2, 0.8), (3, 1.0), (3.5, 0.7))
    strokes = [("ride", float(at), loud * within(rng, 0.7, 1)) for at, loud in places]
    strokes += [("ped", 1.0, within(rng, 0.3, 1)), ("ped", 3.0, within(rng, 0.3, 1))]
    counts = 4
    if rng.random() < 0.6:
        strokes = strokes + [(role, at + 4, loud) for role, at, loud in strokes]
        counts = 8
        for _ in range(int(rng.integers(2, 6))):
            role = one_of(rng, "kick", "snare")
            strokes.append((role, float(rng.integers(0, 16)) / 2, within(rng, 0.2, 0.7)))
    if rng.random() < 0.4:
        strokes += [("kick", float(at), within(rng, 0.1, 0.3)) for at in range(counts)]
    parts = {"bass": one_of(rng, None, "walk", "walk"), "chord": one_of(rng, None, "comp")}
    return swung(strokes, share), counts, parts


def shuffle(rng: Random) -> Pattern:
    """Blues shuffle."""
    strokes = row("x...x..." if rng.random() < 0.5 else "x..xx...", "kick", 1, 0.5)
    strokes += row("..x...x.", "snare", 1, 0.5)
    strokes += row("xxxxxxxx", one_of(rng, "hat", "ride"), within(rng, 0.3, 0.9), 0.5)
    share = within(rng, 0.6, 0.7)
    parts = {"bass": one_of(rng, None, "walk", "shuf"), "chord": one_of(rng, None, "pad")}
    return swung(strokes, share), 4, parts


def plain(
    kicks: tuple[str, ...], snares: tuple[str, str], hats: tuple[tuple[str, ...], float, float]
) -> Callable[[Random], list[Stroke]]:
    """Return what writes a bar of kick, snare (row and role) and hats (rows, least, most loud)."""

    def write(rng: Random) -> list[Stroke]:
        strokes = row(one_of(rng, *kicks), "kick") + row(*snares)
        rows, low, high = hats
        return strokes + row(one_of(rng, *rows), "hat", within(rng, low, high))

    return write


EIGHTHS = "x.x.x.x.x.x.x.x."
BACKBEAT = ("....x.......x...", "snare")
_half = plain(
    ("x.....x.........", "x.........x.....", "x..x......x....."),
    ("........x.......", "snare"),
    ((EIGHTHS, "x.xxx.x.x.x.xxx."), 0.3, 0.8),
)
_boom = plain(
    ("x.o....x..x.....", "x......x.xx.....", "x.........xx...."),
    ("....x..g.g..x...", "snare"),
    ((EIGHTHS, "x.xxx.x.x.x.x.xx"), 0.3, 0.9),
)
_dnb = plain(
    ("x.........x.....", "x..x......x....."), BACKBEAT, ((EIGHTHS, "x.xxx.xxx.xxx.xx"), 0.3, 0.8)
)
_funk = plain(
    ("x..x..x...x..x..", "x.x....x..x..x.."),
    ("....x..g.g.gx..g", "snare"),
    (("xoxoxoxoxoxoxoxo",), 0.3, 0.8),
)


def halftime(rng: Random) -> Pattern:
    """Half-time drums: the snare on 3."""
    return _half(rng), 4, {"bass": one_of(rng, None, "pedal")}


def boombap(rng: Random) -> Pattern:
    """Hip-hop with swung sixteenths."""
    strokes = swung(_boom(rng), within(rng, 0.5, 0.66), 0.5)
    return strokes, 4, {"bass": one_of(rng, None, "pedal"), "chord": one_of(rng, None, "pad")}


def kickbass(rng: Random) -> Pattern:
    """Kick on the beat, bass between, no snare."""
    strokes = row("x...x...x...x...", "kick", within(rng, 0.4, 1))
    if rng.random() < 0.6:
        strokes += row("..x...x...x...x.", "hat", within(rng, 0.2, 0.7))
    return strokes, 4, {"bass": "off", "chord": one_of(rng, None, "stab")}


def funk(rng: Random) -> Pattern:
    """Funk with ghost notes and kicks off the beat."""
    strokes = swung(_funk(rng), within(rng, 0.5, 0.58), 0.5)
    return strokes, 4, {"bass": one_of(rng, None, "walk"), "chord": one_of(rng, None, "stab")}


def two_step(rng: Random) -> Pattern:
    """Drum and bass."""
    return _dnb(rng), 4, {"bass": one_of(rng, None, "pedal")}


def rock(rng: Random) -> Pattern:
    """Rock with hats or ride in quarters or eighths."""
    strokes = row(one_of(rng, "x.......x.......", "x.......x.x.....", "x..x....x......."), "kick")
    strokes += row(*BACKBEAT)
    top = one_of(rng, EIGHTHS, "x...x...x...x...")
    strokes += row(top, one_of(rng, "hat", "open", "ride"), within(rng, 0.3, 1))
    return strokes, 4, {"bass": one_of(rng, None, "pedal"), "chord": one_of(rng, None, "pad")}


def ska(rng: Random) -> Pattern:
    """Chords and hats between the beats."""
    strokes = row(one_of(rng, "x.......x.......", "........x.......", "x...x...x...x..."), "kick")
    strokes += row(*BACKBEAT) + row("..x...x...x...x.", "open", within(rng, 0.2, 0.8))
    return strokes, 4, {"bass": "walk", "chord": "off"}


def pop(rng: Random) -> Pattern:
    """Drum machine with claps and a conga in threes."""
    strokes = row(one_of(rng, "x..x..x.x.......", "x.....x.x...x..."), "kick")
    strokes += row("....x.......x...", "clap")
    strokes += row(one_of(rng, "..x...x...x...x.", EIGHTHS), "hat", within(rng, 0.3, 1))
    threes = one_of(rng, "..x..x....x..x..", "x..x..x...x.x...")
    strokes += row(threes, "conga", within(rng, 0.2, 0.8))
    return strokes, 4, {"bass": one_of(rng, None, "off")}


Family = tuple[Callable[[Random], Pattern], float, float]
FIT: dict[str, Family] = {
    "amen": (amen, 120, 185),
    "offhat": (offhat, 105, 145),
    "ride": (ride, 60, 215),
    "shuffle": (shuffle, 70, 150),
    "halftime": (halftime, 140, 178),
    "boombap": (boombap, 82, 105),
    "kickbass": (kickbass, 100, 150),
    "funk": (funk, 92, 122),
    "dnb": (two_step, 160, 182),
    "rock": (rock, 80, 165),
    "ska": (ska, 115, 165),
    "pop808": (pop, 95, 130),
}
"""What writes a family, and the tempi at which it is played [beats/min]."""
