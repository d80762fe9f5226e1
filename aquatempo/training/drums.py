"""Drum parts: patterns played bar by bar, with fills, crashes and dropped strokes."""

from __future__ import annotations

import numpy as np

from aquatempo.training.form import Bar, Plan, Rng

__all__ = ["GENERAL_MIDI", "Stroke", "bar_of", "play_drums"]

Stroke = tuple[float, str, float]
"""Start [beats], name of the drum, strength 0 to 1."""

GENERAL_MIDI = {
    "kick": 36, "snare": 38, "clap": 39, "rim": 37, "hat": 42, "pedal": 44, "open": 46,
    "ride": 51, "bell": 53, "crash": 49, "crash2": 57, "tom1": 50, "tom2": 47, "tom3": 43,
    "tom4": 41, "shaker": 82, "maracas": 70, "tambourine": 54, "cowbell": 56, "conga1": 63,
    "conga2": 64, "bongo1": 60, "bongo2": 61, "timbale": 65, "clave": 75, "china": 52, "click": 76,
}  # fmt: skip
_KICK_SETS = ("kick",)
_SNARE_SETS = (("snare",), ("snare",), ("clap",), ("snare", "clap"), ("rim",))
_HAT_SETS = (("hat", "open"), ("hat", "open"), ("ride", "bell"), ("hat", "pedal"))
_PERCUSSION = (
    ("shaker", "shaker"), ("maracas", "maracas"), ("tambourine", "tambourine"),
    ("cowbell", "cowbell"), ("conga1", "conga2"), ("bongo1", "bongo2"), ("clave", "clave"),
)  # fmt: skip


def play_drums(plan: Plan) -> list[Stroke]:
    """Return all drum strokes of a song, in beats."""
    rng = np.random.default_rng([plan.seed, 2])
    if plan.name == "click":
        return _clicks(rng, plan)
    soft_snare = plan.name in ("bossa", "swing", "ballad", "reggae") and rng.random() < 0.5
    snare = ("rim",) if soft_snare else _SNARE_SETS[rng.integers(4)]
    hats = ("ride", "bell") if plan.name == "swing" else _HAT_SETS[rng.integers(4)]
    crashing = plan.name in ("rock", "metal", "punk")
    percussion = _PERCUSSION[rng.integers(len(_PERCUSSION))]
    pedal = rng.random() < 0.15
    strokes: list[Stroke] = []
    if plan.pickup and rng.random() < 0.5:
        strokes += _count_in(rng, plan.pickup)
    for bar in plan.bars:
        section, material = bar.section, bar.section.material
        roles = section.roles
        drumming = bool(roles & {"kick", "snare", "hats"})
        filling = bar.last and drumming and section.fill
        half_way = bar.index == 3 and drumming and rng.random() < 0.25
        steps = bar.counts * 4
        cut = steps
        if filling or half_way:
            cut = steps - min(
                steps, int(rng.choice((2, 4, 4, 8, 8, 16), p=(0.15, 0.25, 0.2, 0.2, 0.1, 0.1)))
            )
            strokes += _fill(rng, section.fill or "roll", bar, cut, snare[0])
        if section.fill == "build" and bar.start >= section.start + section.counts // 2:
            strokes += _build(bar, snare[0])
        hat_names = (
            ("crash", "crash2")
            if crashing and "X" in material.hats and rng.random() < 0.3
            else hats
        )
        lifted = section.lift and bar.index >= 4
        for role, pattern, names in (
            ("kick", material.kick, _KICK_SETS),
            ("snare", material.snare, snare),
            ("hats", material.hats, hat_names),
            ("percussion", material.percussion, percussion),
        ):
            playing = role in roles or (lifted and role in ("hats", "percussion"))
            if playing and pattern:
                played = _bar(rng, bar, pattern, role, names, cut, plan.style.vary)
                pushed = material.push_beats and bar.start and {"kick", "snare"} <= roles
                if (
                    role == "kick"
                    and pushed
                    and bar_of(pattern, bar)[0][4] == "."
                    and rng.random() < 0.6
                ):
                    played = [
                        (start - material.push_beats * (start == bar.start), name, strength)
                        for start, name, strength in played
                    ]
                strokes += played
        if pedal and "hats" in roles:
            strokes += [(bar.start + b, "pedal", 0.5) for b in range(1, bar.counts, 2)]
        if bar.index == 0 and section.crash and drumming:
            strokes.append((bar.start, str(rng.choice(("crash", "crash", "crash2", "china"))), 0.9))
            strokes.append((bar.start, "kick", 0.95))
    return strokes


def _clicks(rng: Rng, plan: Plan) -> list[Stroke]:
    """Return a metronome: a click on each beat, another or a louder one on the first."""
    accent, other = (("bell", "click"), ("click", "click"), ("clave", "rim"))[rng.integers(3)]
    strokes: list[Stroke] = []
    for bar in plan.bars:
        strokes.append((bar.start, accent, 1.0))
        strokes += [(float(bar.start + beat), other, 0.6) for beat in range(1, bar.counts)]
    return strokes


def _bar(
    rng: Rng, bar: Bar, pattern: str, role: str, names: tuple[str, ...], cut: int, vary: float
) -> list[Stroke]:
    """Play one pattern through one bar, up to the step where a fill takes over."""
    out: list[Stroke] = []
    varied = rng.random() < vary and bar.index % 2 == 1
    pattern, unit = bar_of(pattern, bar)
    for step, sign in enumerate(pattern[: int(min(cut / 4, bar.counts) / unit + 1e-6)]):
        struck = sign
        if varied and role in ("kick", "snare") and step >= 6 and step % 4 and rng.random() < 0.12:
            struck = "." if sign == "x" else "o"
        if struck == "." or rng.random() < 0.01:
            continue
        strength = {"x": 0.85, "X": 0.9, "o": 0.45}[struck] * rng.uniform(0.85, 1.1)
        if role == "hats" and step % 4 == 0:
            strength *= 1.1
        start = bar.start + step * unit
        if role == "snare":
            name = names[0] if struck == "o" else names[-1]
            out += [(start, other, strength) for other in set(names) - {name} if struck == "x"]
        elif role == "hats":
            name = names[1] if struck == "X" else names[0]
        elif role == "percussion":
            name = names[0] if struck == "x" else names[1]
            strength *= 0.8
        else:
            name = names[0]
        out.append((start, name, min(strength, 1.0)))
    return out


def bar_of(pattern: str, bar: Bar) -> tuple[str, float]:
    """Return the part of a cycle of bars that falls on this one, and its step [beats].

    A bar of four is sixteen steps; twelve steps are thirds of its counts.
    """
    if bar.per_bar == 4 and len(pattern) == 12:
        return pattern, 1 / 3
    steps = 4 * bar.per_bar
    bars = max(1, len(pattern) // steps)
    first = bar.index % bars * steps
    return pattern[first : first + steps], 0.25


def _fill(rng: Rng, kind: str, bar: Bar, first: int, snare: str) -> list[Stroke]:
    """Return what leads over to the next bar from step ``first`` of this one."""
    unit = float(rng.choice((1, 1, 1, 2 / 3, 0.5)))  # sixteenths, triplets, thirty-seconds
    steps = np.arange(first, bar.counts * 4, unit).tolist()
    if kind in ("stop", "riser"):
        return []
    if kind == "drop":
        return [(bar.start + step / 4, "hat", 0.6) for step in steps if step % 2 == 0]
    toms = ("tom1", "tom2", "tom3", "tom4")
    out: list[Stroke] = []
    dense = rng.choice((0.6, 0.85, 1.0))
    for place, step in enumerate(steps):
        if rng.random() > dense and step % 2 == 1:
            continue
        strength = 0.5 + 0.45 * (place + 1) / len(steps)
        name = snare if kind == "roll" else toms[min(3, 4 * place // max(1, len(steps)))]
        if kind == "busy":
            name = str(rng.choice((snare, "kick", "tom2", "tom3")))
        out.append((bar.start + step / 4, name, float(strength)))
        if kind == "toms" and step % 4 == 0:
            out.append((bar.start + step / 4, "kick", 0.8))
    return out


def _build(bar: Bar, snare: str) -> list[Stroke]:
    """Return one bar of a roll that gets denser and louder up to the next section."""
    section = bar.section
    half = section.counts // 2
    past = (bar.start - section.start - half) / half
    unit = 1.0 if past < 0.5 else 0.5 if past < 0.75 else 0.25
    beats = np.arange(bar.start, bar.start + bar.counts, unit).tolist()
    return [(beat, snare, 0.4 + 0.5 * (beat - section.start - half) / half) for beat in beats]


def _count_in(rng: Rng, beats: int) -> list[Stroke]:
    """Return clicks or a roll in the beats before the first bar."""
    if rng.random() < 0.5:
        return [(float(beat), "rim", 0.8) for beat in range(-beats, 0)]
    return [
        (-beats + step / 4, "snare", 0.5 + 0.4 * step / (4 * beats)) for step in range(4 * beats)
    ]
