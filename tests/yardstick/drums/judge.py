"""Families of patterns to judge by: nothing is fitted on them."""

from __future__ import annotations

from .patterns import BACKBEAT, EIGHTHS, Family, Pattern, Random, Stroke, one_of, row, swung, within

FOUR = "x...x...x...x..."
BETWEEN = "..x...x...x...x."


def think(rng: Random) -> Pattern:
    """Break with snares beside 2 and 4."""
    strokes = row(one_of(rng, "x......x..x.....", "x.x....x...x....", "x.x...xx..x..x.."), "kick")
    strokes += row(one_of(rng, "....x..x....x...", "....x....x..x..x"), "snare")
    return strokes + row(EIGHTHS, "shaker", within(rng, 0.2, 0.8)), 4, {}


def jungle(rng: Random) -> Pattern:
    """Break of one bar, cut into counts and put together anew."""
    base = row("x.x.......xx....", "kick") + row("....x..o.o..x..o", "snare")
    base += row(EIGHTHS, "ride", within(rng, 0.2, 0.7))
    orders = ([0, 1, 2, 3], [0, 1, 0, 3], [2, 1, 2, 3], [0, 3, 2, 1], [0, 1, 2, 1])
    strokes: list[Stroke] = []
    for bar in range(4):
        for place, piece in enumerate(orders[0] if bar == 0 else one_of(rng, *orders)):
            inside = [one for one in base if piece <= one[1] < piece + 1]
            strokes += [(role, 4 * bar + place + at - piece, loud) for role, at, loud in inside]
    return strokes, 16, {"bass": one_of(rng, None, "pedal")}


def garage(rng: Random) -> Pattern:
    """Two-step with swung sixteenths."""
    strokes = row(one_of(rng, "x.........x.....", "x..x......x.....", "x.....x...x....."), "kick")
    strokes += row(BACKBEAT[0], "clap")
    top = one_of(rng, "..xx..x...xx..xx", "x.xxx.xxx.xxx.xx")
    strokes += row(top, "hat", within(rng, 0.4, 1))
    swing = within(rng, 0.55, 0.68)
    parts = {"bass": one_of(rng, None, "off"), "chord": one_of(rng, None, "stab")}
    return swung(strokes, swing, 0.5), 4, parts


def brush(rng: Random) -> Pattern:
    """Slow jazz, straight or swung."""
    share = one_of(rng, 0.5, 0.5, 0.6, 0.667, 0.7)
    strokes = [("ride", float(at), within(rng, 0.5, 0.9)) for at in range(8)]
    strokes += [
        ("ride", at + 0.5, within(rng, 0.3, 0.7)) for at in range(8) if at % 2 or rng.random() < 0.3
    ]
    strokes += [("hat", 1.0 + 2 * at, within(rng, 0.3, 0.8)) for at in range(4)]
    strokes += [
        ("snare", at + 0.5 * int(rng.integers(2)), within(rng, 0.15, 0.5))
        for at in range(8)
        if rng.random() < 0.4
    ]
    strokes += [("kick", 0.0, 0.5), ("kick", 4 + 0.5 * int(rng.integers(2)), 0.4)]
    if rng.random() < 0.5:
        strokes += [("rim", 3.0, 0.6), ("rim", 7.0, 0.6)]
    parts = {"bass": one_of(rng, None, "walk", "two"), "chord": one_of(rng, None, "comp")}
    return swung(strokes, share), 8, parts


def bossa(rng: Random) -> Pattern:
    """Straight eighths, a clave on the rim."""
    strokes = row("x..xx..xx..xx..x", "kick", within(rng, 0.4, 1), 0.5)
    strokes += row("x..x..x...x..x..", "rim", within(rng, 0.5, 1), 0.5)
    strokes += row("x" * 16, one_of(rng, "hat", "ride"), within(rng, 0.3, 0.8), 0.5)
    return strokes, 8, {"bass": one_of(rng, None, "two"), "chord": one_of(rng, None, "comp")}


def twelve8(rng: Random) -> Pattern:
    """Slow song in 12/8; the level is arguable."""
    strokes = row("x.....x.x...", "kick", 1, 1 / 3) + row("...x.....x..", "snare", 1, 1 / 3)
    strokes += row("x" * 12, one_of(rng, "hat", "ride"), within(rng, 0.3, 1), 1 / 3)
    return strokes, 4, {"bass": one_of(rng, None, "two"), "chord": one_of(rng, None, "pad")}


def offclap(rng: Random) -> Pattern:
    """Soft kicks on the beat, loud shaker or clap between."""
    strokes = row(FOUR, "kick", within(rng, 0.2, 0.7))
    strokes += row(BETWEEN, "clap" if rng.random() < 0.3 else "shaker", within(rng, 0.8, 1.3))
    threes = one_of(rng, "...x..x....x..x.", "..x..x..x..x..x.")
    strokes += row(threes, "conga", within(rng, 0.3, 1))
    parts = {"bass": one_of(rng, None, "off", "on"), "chord": one_of(rng, None, "pad", "off")}
    return strokes, 4, parts


def bigbeat(rng: Random) -> Pattern:
    """Break with open hats."""
    strokes = row(one_of(rng, "x..x....x.x.....", "x.....x..x.x...."), "kick")
    strokes += row(one_of(rng, "....x..o....x.x.", "....x.....x.x..."), "snare")
    top = BETWEEN if rng.random() < 0.4 else EIGHTHS
    strokes += row(top, "open", within(rng, 0.3, 1.1))
    return strokes, 4, {"bass": one_of(rng, None, "pedal")}


def disco(rng: Random) -> Pattern:
    """Open hats between the beats, bass in octaves."""
    strokes = row(FOUR, "kick", within(rng, 0.4, 1))
    strokes += row(*BACKBEAT, within(rng, 0.3, 1)) + row(BETWEEN, "open", within(rng, 0.6, 1.2))
    strokes += row("xx.xxx.xxx.xxx.x", "hat", within(rng, 0.2, 0.6))
    return strokes, 4, {"bass": "octave", "chord": one_of(rng, None, "off", "pad")}


def dembow(rng: Random) -> Pattern:
    """Snares in threes over a kick on each beat."""
    strokes = row(FOUR, "kick") + row("...x..x....x..x.", "snare", within(rng, 0.5, 1))
    if rng.random() < 0.5:
        strokes += row(EIGHTHS, "hat", within(rng, 0.2, 0.6))
    return strokes, 4, {"bass": one_of(rng, None, "two")}


def motown(rng: Random) -> Pattern:
    """Snare on every beat."""
    strokes = row(one_of(rng, "x.....x.x.....x.", "x..x..x.x......."), "kick")
    strokes += row(FOUR, "snare") + row(BETWEEN, "shaker", within(rng, 0.2, 0.6))
    return strokes, 4, {"bass": "walk", "chord": one_of(rng, None, "off")}


def half(rng: Random) -> Pattern:
    """Half-time drums: the snare on 3."""
    strokes = row(one_of(rng, "x..........x....", "x.x........x..x."), "kick")
    strokes += row("........x.......", one_of(rng, "snare", "clap"))
    top = one_of(rng, EIGHTHS, "x.x.x.xxx.x.x.xx")
    strokes += row(top, one_of(rng, "hat", "ride"), within(rng, 0.4, 0.9))
    return strokes, 4, {"bass": one_of(rng, None, "two")}


def steppers(rng: Random) -> Pattern:
    """Reggae with a kick on every beat, chords between."""
    strokes = row(FOUR, "kick", within(rng, 0.5, 1)) + row("........x.......", "rim")
    strokes += row(BETWEEN, "hat", within(rng, 0.3, 1))
    return swung(strokes, one_of(rng, 0.5, 0.5, 0.62)), 4, {"bass": "pedal", "chord": "off"}


JUDGE: dict[str, Family] = {
    "think": (think, 108, 150),
    "jungle": (jungle, 155, 180),
    "garage": (garage, 125, 138),
    "brush": (brush, 58, 120),
    "bossa": (bossa, 100, 160),
    "twelve8": (twelve8, 55, 85),
    "offclap": (offclap, 110, 140),
    "bigbeat": (bigbeat, 108, 138),
    "disco": (disco, 112, 135),
    "dembow": (dembow, 85, 112),
    "motown": (motown, 112, 150),
    "ht2": (half, 142, 176),
    "steppers": (steppers, 118, 148),
}
"""What writes a family, and the tempi at which it is played [beats/min]."""
