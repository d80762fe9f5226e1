"""The form set: songs whose forms, bridges and endings are drawn from rules of this file alone.

Frozen on its first commit: 26 songs from fixed seeds, before any decoding was tuned on them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .arrangement import Piece, Pulse, Render, Stretch
from .styles import load_styles

FIRST_SEED = 7100
DRAWS = {"form": (0, 26), "fresh": (1, 26), "last": (2, 52)}
"""By set: number of the draw, songs. A draw has the same rules and other seeds."""
STYLES = load_styles("form_styles.toml")
BANKS = ("csound", "fm", "fluid", "patches", "synth", "csound+pearl", "patches+rust", "fluid+rust")


def pieces(name: str = "form") -> list[Piece]:
    """Return the songs of a set.

    The form set was frozen before any decoding was tuned, but its scores were seen. The fresh
    set was heard once after that, and its misses were then looked at. The last set was made
    after the next decoder, and heard once.
    """
    return [piece(number, name) for number in range(DRAWS[name][1])]


def piece(number: int, set_name: str) -> Piece:
    """Return one song: style and bank by turns, everything else from its seed."""
    draw = DRAWS[set_name][0]
    first_seed = FIRST_SEED + 1000 * draw
    rng = np.random.default_rng(first_seed + number)
    names = list(STYLES)
    style = STYLES[names[number % len(names)]]
    bank, _, kit = BANKS[(number * 3 + number // 8 + 3 * draw) % len(BANKS)].partition("+")
    if bank == "synth" and style.name in ("samba", "merengue"):
        bank = "csound"  # our instruments lack their percussion
    tempo = round(float(rng.uniform(*style.tempo_bpm)), int(rng.integers(0, 3)))
    stretches = form(rng, tempo)
    fades = rng.random() < 0.2
    return Piece(
        name=f"{set_name}_{number:02d}_{style.name}",
        tempo_bpm=tempo,
        seed=first_seed + 100 + number,
        style=style,
        stretches=tuple(stretches),
        transpose=int(rng.integers(-4, 5)),
        pulse=Pulse(scatter_ms=float(rng.uniform(1, 6))),
        render=Render(
            bank=bank,
            kit=kit,
            drums_db=float(rng.uniform(-2, 2)),
            bass_db=float(rng.uniform(-2, 3)),
            comps_db=float(rng.uniform(-2, 3)),
            lead_db=float(rng.uniform(-1, 3)),
            room=float(rng.uniform(0.05, 0.3)),
        ),
        silence_s=float(rng.choice([0.05, 0.3, 0.8, 1.6])),
        pickup_counts=int(rng.choice([0, 0, 0, 1, 2, 4])),
        fade_counts=24 if fades else 0,
        notes=f"style {style.name}, bank {bank}" + (f", kit {kit}" if kit else ""),
    )


def form(rng: np.random.Generator, tempo_bpm: float) -> list[Stretch]:
    """Return a song form of 90 to 200 s: introduction, strains with bridges between, an end."""
    budget = rng.uniform(110, 185) * tempo_bpm / 60
    stretches = introduction(rng)
    strains = [("medium", 0, False), ("high", 1, True)]
    if rng.random() < 0.5:
        strains.insert(0, ("low", 0, False))
    phrases_each = int(rng.choice([1, 2], p=[0.6, 0.4]))
    quiet_at = int(rng.integers(2, 4))
    bridged = rng.random() < 0.75
    turn = 0
    while sum(s.counts for s in stretches) < budget - 40:
        level, progression, lead = strains[turn % len(strains)]
        for repeat in range(phrases_each):
            last = repeat == phrases_each - 1
            stretches.append(strain(rng, level, progression, lead, last))
        turn += 1
        if turn == quiet_at and rng.random() < 0.7:
            stretches.append(quiet(rng))
        elif bridged and rng.random() < 0.45:
            stretches.append(bridge(rng, level))
    modulated = rng.random() < 0.3
    final = [replace(strain(rng, "high", 1, True, True), shift=2 if modulated else 0)]
    return trim(stretches) + final + ending(rng)


def trim(stretches: list[Stretch]) -> list[Stretch]:
    """Return the form without a bridge after a breakdown that ends in a roll already."""
    kept: list[Stretch] = []
    for stretch in stretches:
        if stretch.kind == "bridge" and kept and kept[-1].kind == "bridge":
            continue
        kept.append(stretch)
    return kept


def introduction(rng: np.random.Generator) -> list[Stretch]:
    """Return nothing, or 8, 16 or 32 counts with some of the parts."""
    counts = int(rng.choice([0, 8, 16, 16, 32]))
    if not counts:
        return []
    texture = rng.integers(4)
    groove, bass, comps = (
        ("low", None, ()),
        (None, None, ("pad",)),
        ("low", "low", ("comp",)),
        (None, "medium", ("comp",)),
    )[texture]
    known = ("comp",) if comps == ("pad",) and rng.random() < 0.4 else comps
    closing = str(rng.choice(["fill", "none", "roll"])) if groove else "none"
    return [Stretch(counts, "intro", "low", groove, bass, known, False, closing, 2)]


def strain(
    rng: np.random.Generator, level: str, progression: int, lead: bool, last: bool
) -> Stretch:
    """Return one phrase of 32; between two phrases of a strain the fill is small or missing."""
    extra = ("arp",) if rng.random() < 0.5 else ("riff",)
    comps = {"low": ("pad",), "medium": ("pad", "comp"), "high": ("pad", "comp", *extra)}[level]
    if last:
        closing = str(rng.choice(["fill", "fill", "roll", "stop", "none"]))
        length = float(rng.choice([1, 2, 4]))
    else:
        closing, length = str(rng.choice(["fill", "none", "none"])), 1.0
    return Stretch(
        32, "phrase", level, level, level, comps, lead or rng.random() < 0.3, closing, length,
        crash=bool(rng.random() < 0.6), progression=progression,
    )  # fmt: skip


def bridge(rng: np.random.Generator, level: str) -> Stretch:
    """Return 4, 8 or 16 counts that break the row of 32s."""
    counts = int(rng.choice([4, 8, 8, 16]))
    kind = rng.integers(4)
    if kind == 0:  # drums alone
        return Stretch(counts, "bridge", level, level, None, (), False, "fill", 2)
    if kind == 1:  # a held chord while the snare rolls
        return Stretch(
            counts, "bridge", "medium", None, "low", ("pad",), False, "roll", min(counts, 8)
        )
    if kind == 2:  # one more turn of the chords
        return Stretch(
            counts, "bridge", level, level, level, ("pad", "comp"), False, "fill", 1, progression=1
        )
    return Stretch(counts, "bridge", "low", "low", "low", ("comp",), False, "stop", 2)


def quiet(rng: np.random.Generator) -> Stretch:
    """Return a breakdown of 32 without drums, or 16 as a bridge; a roll may lead out of it."""
    counts = int(rng.choice([32, 32, 16]))
    kind = "break" if counts == 32 else "bridge"
    closing, length = (("roll", 8.0), ("none", 1.0))[int(rng.integers(2))]
    bass = "low" if rng.random() < 0.4 else None
    return Stretch(
        counts, kind, "low", None, bass, ("pad", "comp"), bool(rng.random() < 0.5), closing, length
    )


def ending(rng: np.random.Generator) -> list[Stretch]:
    """Return nothing (a hard end), or an outro of 8, 16 or 32."""
    counts = int(rng.choice([0, 8, 16, 32]))
    if not counts:
        return []
    return [Stretch(counts, "outro", "medium", "medium", "medium", ("pad",), crash=True)]
