"""Drum patterns drawn step by step, where a table of patterns would be too few.

A cycle of one, two or four bars is drawn from chances for each sixteenth and then comes back
all through a section, as a sampled break does: its snare stays on 2 in most bars, and is
displaced in the last bar of the cycle. The chances are common practice, no source.
"""

from __future__ import annotations

import numpy as np

__all__ = ["KINDS", "draw_groove"]

Rng = np.random.Generator

STEPS = 16  # sixteenths of a bar of four
_BREAK_KICK = {0: 0.95, 2: 0.3, 3: 0.1, 6: 0.2, 7: 0.15, 8: 0.15, 10: 0.6, 11: 0.25, 13: 0.1,
               14: 0.15}  # fmt: skip
_BREAK_LAST_KICK = {0: 0.75, 2: 0.4, 6: 0.2, 8: 0.3, 10: 0.5, 11: 0.3}
_GHOSTS = {1: 0.08, 3: 0.08, 7: 0.4, 9: 0.4, 11: 0.1, 15: 0.3}
_DISPLACED = ((14,), (10,), (15,), (11,), (6, 14), (10, 14), (13,), (12, 15))
_MACHINE_KICK = {0: 0.97, 3: 0.2, 4: 0.2, 6: 0.35, 7: 0.15, 8: 0.45, 10: 0.35, 11: 0.2, 14: 0.2}
_HATS = (
    "x.o.x.o.x.o.x.o.", "x.x.x.x.x.x.x.x.", "xoxoxoxoxoxoxoxo", "xoooxoooxoooxooo",
    "x...x...x...x...", "..X...X...X...X.", "..x...x...x...x.", "x.x.x.xox.x.x.X.",
    "ooXoooXoooXoooXo", "................", "x.xxx.x.x.xxx.x.",
)  # fmt: skip
_OFF_HATS = ("..X...X...X...X.", "..X...X...X...X.", "..x...x...x...x.", "..XX..XX..XX..XX",
             "..X.o.X.o.X.o.X.", "..o...X...o...X.")  # fmt: skip
_HALF_KICK = {0: 1.0, 3: 0.15, 6: 0.35, 7: 0.1, 10: 0.35, 11: 0.15, 14: 0.2}


def _drawn(rng: Rng, chances: dict[int, float], sign: str = "x") -> list[str]:
    """Return one bar in which each step is struck by its chance."""
    struck = rng.random(STEPS)
    return [sign if struck[step] < chances.get(step, 0.0) else "." for step in range(STEPS)]


def _break(rng: Rng) -> tuple[str, str, str]:
    """Return a break: 2 (and mostly 4) on the snare, ghosts, a last bar that strays."""
    bars = int(rng.choice((1, 2, 2, 4, 4)))
    kick, snare = _drawn(rng, _BREAK_KICK), _drawn(rng, _GHOSTS, "o")
    snare[4] = "x"
    for place in (12,) if rng.random() < 0.7 else _DISPLACED[rng.integers(len(_DISPLACED))]:
        snare[place] = "x"
    kicks, snares = [], []
    for bar in range(bars):
        now_kick, now_snare = list(kick), list(snare)
        if bar % 2 and rng.random() < 0.5:
            now_kick = _drawn(rng, _BREAK_KICK)
        if bar == bars - 1 and bars > 1:
            now_kick = _drawn(rng, _BREAK_LAST_KICK)
            now_snare = _drawn(rng, _GHOSTS, "o")
            now_snare[int(rng.choice((4, 4, 4, 6, 3, 2)))] = "x"
            for place in _DISPLACED[rng.integers(len(_DISPLACED))]:
                now_snare[place] = "x"
        kicks.append("".join(now_kick))
        snares.append("".join(now_snare))
    return "".join(kicks), "".join(snares), str(rng.choice(_HATS))


def _machine(rng: Rng) -> tuple[str, str, str]:
    """Return what is tapped into a drum machine: any kicks, snare or clap on 2 and 4."""
    kick = "x...x...x...x..." if rng.random() < 0.3 else "".join(_drawn(rng, _MACHINE_KICK))
    snare = list("....x.......x...")
    if rng.random() < 0.3:
        snare[int(rng.choice((7, 10, 14, 15)))] = "x"
    if rng.random() < 0.15:
        snare = list("................")
    hats = "".join(_drawn(rng, dict.fromkeys(range(STEPS), float(rng.uniform(0.3, 0.8)))))
    return kick, "".join(snare), hats if rng.random() < 0.3 else str(rng.choice(_HATS))


def _off_hats(rng: Rng) -> tuple[str, str, str]:
    """Return a beat whose loudest cymbals lie between the counts, kick often thin."""
    kick = str(rng.choice(("x...x...x...x...", "x.......x.......", "x.........x.....",
                           "x.....x.x.......", "................")))  # fmt: skip
    snare = str(rng.choice(("....x.......x...", "....x.......x...", "................")))
    return kick, snare, str(rng.choice(_OFF_HATS))


def _half(rng: Rng) -> tuple[str, str, str]:
    """Return half-time: the snare on 3, hats in eighths or sixteenths of the full tempo."""
    snare = ["."] * STEPS
    snare[8] = "x"
    if rng.random() < 0.25:
        snare[int(rng.choice((14, 15, 11)))] = "o"
    hats = str(rng.choice(("x.o.x.o.x.o.x.o.", "x.x.x.x.x.x.x.x.", "xoxoxoxoxoxoxoxo",
                           "x.x.x.xxx.x.xxxx", "x...x...x...x...")))  # fmt: skip
    return "".join(_drawn(rng, _HALF_KICK)), "".join(snare), hats


KINDS = {"break": _break, "machine": _machine, "offhats": _off_hats, "half": _half}


def draw_groove(rng: Rng, kind: str) -> tuple[str, str, str]:
    """Return patterns of kick, snare and hats, each of one or more bars of sixteen steps."""
    return KINDS[kind](rng)
