"""Pitched parts: bass, chords, lead; played bar by bar along the plan of a song."""

from __future__ import annotations

import numpy as np

from aquatempo.training.drums import bar_of
from aquatempo.training.form import Bar, Plan, Rng
from aquatempo.training.harmony import Chord

__all__ = ["Note", "play_parts"]

Note = tuple[float, float, int, float]
"""Start [beats], length [beats], MIDI number, strength 0 to 1."""

# Steps of a sixteenth on which each kind of part plays; "r" root, "o" octave, "f" fifth.
_BASS = {
    "root": "r...............", "long": "r.........r.....", "eighths": "r.r.r.r.r.r.r.r.",
    "offbeat": "..r...r...r...r.", "syncopated": "r..r..r...r..r..", "three": "r..r..r.r..r..r.",
    "rolling": ".rrr.rrr.rrr.rrr", "gallop": "r.rrr.rrr.rrr.rr", "octaves": "r.o.r.o.r.o.r.o.",
    "sixteenths": "rrrrrrrrrrrrrrrr", "kickless": "...r..r...r..r.r", "funk": "r..r.o.....rr.o.",
    "reggae": "r..r....r..rf...", "tumbao": "......f.....n...", "samba": "r.....f.f.....r.",
    "quarters": "r...r...r...r...", "twobeat": "r.......f.......", "wobble": "r...........r.r.",
    "dotted": "r.....r...r.r.r.", "pushed": "......r...r...r.", "late": "r.....r.....r.r.",
    "offsync": "..r..r....r..r..", "offlate": "...r..r...r...r.", "offpair": "..rr..rr..rr..rr",
    "threes": "r.....r.....r...", "anticipated": "r.....r.......r.", "busy": "r.rr..rro.r.r.fr",
}  # fmt: skip
_STABS = {
    "stab": ("x.....x.........", "x...........x...", "x..x..x.........", "....x.......x..."),
    "offstab": ("..x...x...x...x.", "......x.......x.", "..x.....x.x....."),
    "housepiano": ("x..x..x..x..x.x.", "x.x..x.x..x.x...", "..x..x..x..x..x."),
    "three": ("x..x..x.x..x..x.", "x..x..x...x..x.."),
    "funk": ("..xx..x...xx..x.", "x.xx..xx..xx.xx.", "....xx......xx.."),
    "skank": ("..x...x...x...x.", "..x...x...x...x."),
    "bubble": ("..xo..xo..xo..xo", "..x.o.x...x.o.x."),
    "oompah": ("....x.......x...", "..x...x...x...x."),
    "charleston": ("x.....x.........", "..x.....x......."),
    "montuno": ("x..x..x.x..x..x.", "x.x..x.x.x.x..x."),
    "gated": ("x.xx.xx.x.xx.xx.", "xxx.xxx.xxx.xxx.", "x.x.x.x.x.x.x.x."),
    "strum": ("x...x.xo..xox.xo", "x.x.x.x.x.x.x.x.", "x...x.x.x...x.x.", "xoxoxoxoxoxoxoxo"),
    "chug": ("x.x.x.x.x.x.x.x.", "xoxoxoxoxoxoxoxo", "x.oox.oox.oox.oo", "x..x..x.x..x..x."),
    "gallopchug": ("x.xxx.xxx.xxx.xx", "xx.xxx.xxx.xxx.x"),
    "tremolo": ("xxxxxxxxxxxxxxxx",),
    "quarterchords": ("x...x...x...x...",), "triplets": ("xoo.xoo.xoo.xoo.",),
    "piano": ("x...x.x...x.x...", "x.....x...x.....", "x..x..x.....x...", "x.x.x.x.x.x.x.x.",
              "x.......x.......", "x..x...x..x.x..."),
    "muted": ("o.xoo.xoo.xoo.xo", "x.oox.oox.oox.oo", "ooxoooxoooxoooxo"),
}  # fmt: skip
_OFF_BASS = ("offbeat", "rolling", "kickless", "tumbao", "offsync", "offlate", "offpair", "pushed")
_THIRDS = ("xxxxxxxxxxxx", "x.xx.xx.xx.x", "xx.xx.xx.xx.", "x..x.xx..x.x", ".xx.xx.xx.xx")
_OFF_MOTIFS = (
    "..x...x...x...x.", "..x.....x.x...x.", "..x...x.......x.", "......x...x...x.",
    "..x.x.....x.x...", "..xx..x...xx..x.", "..........x...x.", "..x.............",
    "...x...x..x...x.", ".x.x...x.x...x..",
)  # fmt: skip
_SHORT = ("funk", "skank", "bubble", "oompah", "offstab", "gated", "charleston", "muted")
STEPS = 16  # of a bar of four
_PICKING = (
    "b.2.3.2.b.2.3.2.",
    "b...23..b...23..",
    "b.1.2.3.b.3.2.1.",
    "b.32b.32b.32b.32",
    "b.3.12b..b3.2.1.",
)
_MOTIFS = (
    "x...x...x.x.x...", "x.....x.x.......", "..x.x.x.x...x...", "x..x..x...x.....",
    "x.x.x...x.x.x...", "x.......x...x...", "....x.x.x.x.....", "x.xxx.x.....x.x.",
    "x..x..x.x..x..x.", "x...............", "..xxx.x.x.....x.", "x.x.xxx.x.......",
    "...x..x..x..x...", "xxx.x.x.xxx.x...", "..x...x.x.x...x.", "x.....x.....x.x.",
    "..x.x.x...x.x.x.", "x.x.x.x.x.x.x.x.", "x.....x.....x...", "................",
    "x.....x.........", "x.....x...x...x.", "x.....x.......x.", "..x...x.x.....x.",
    "x..x......x..x..", "......x.......x.", "x.....x.x.x...x.", "x..x..x..x..x.x.",
)  # fmt: skip


def play_parts(plan: Plan) -> dict[str, list[Note]]:
    """Return the notes of bass, chord layers, lead and second lead."""
    rng = np.random.default_rng([plan.seed, 3])
    if plan.name == "click" and rng.random() < 0.8:
        return {}
    parts: dict[str, list[Note]] = {name: [] for name in ("bass", "chord0", "chord1", "chord2")}
    register = int(rng.choice((0, 12)))
    for bar in plan.bars:
        material = bar.section.material
        same = np.random.default_rng(material.seed)  # what repeats within a letter
        push = material.push_beats if bar.start and (bar.index or material.seed % 2) else 0.0
        before = {role: len(notes) for role, notes in parts.items()}
        cut = bar.counts - (1.0 if bar.last and bar.section.fill == "stop" else 0.0)
        if "bass" in bar.section.roles:
            parts["bass"] += _bass(rng, bar, material.bass, push, cut)
        for layer, kind in enumerate(material.chords):
            pattern_seed = int(same.integers(2**31))
            if f"chord{layer}" in bar.section.roles:
                choice = np.random.default_rng(pattern_seed)
                thirds = layer == 0 and material.thirds and plan.swing == 0.5
                played = "thirds" if thirds else kind
                parts[f"chord{layer}"] += _chords(rng, choice, bar, played, push, cut, register)
        for role in before:
            if early := plan.early_beats(role, bar.section):
                parts[role][before[role] :] = _ahead(early, parts[role][before[role] :])
    parts["lead"] = _lead(rng, plan, "lead", 72)
    parts["second"] = _lead(rng, plan, "second", int(rng.choice((60, 72))))
    return parts


def _ahead(early: float, notes: list[Note]) -> list[Note]:
    """Return notes, all of them early by some beats; what would come before beat 0 is left out."""
    return [(note[0] - early, *note[1:]) for note in notes if note[0] >= early]


def _spans(bar: Bar, cut: float) -> list[tuple[float, float, Chord]]:
    """Return the chords of a bar with their start and end in the bar, in beats."""
    ends = [start for start, _ in bar.chords[1:]] + [cut]
    return [
        (start, min(end, cut), chord)
        for (start, chord), end in zip(bar.chords, ends, strict=True)
        if start < cut
    ]


def _bass(rng: Rng, bar: Bar, kind: str, push: float, cut: float) -> list[Note]:
    notes: list[Note] = []
    for start, end, chord in _spans(bar, cut):
        low = chord.root - 12 if chord.root >= 55 else chord.root
        low -= 12 if low > 47 else 0
        if kind == "walking":
            steps = [0, *rng.choice((2, 4, 5, 7, 3, 9), 3)]
            for beat in range(int(start), int(end)):
                pitch = low + int(steps[beat - int(start)])
                if beat == int(end) - 1 and end - start > 1 and rng.random() < 0.6:
                    pitch = bar.next_chord.root - 12 + int(rng.choice((-1, 1, 2)))
                notes.append((bar.start + beat, 0.9, pitch, 0.85))
            continue
        if kind == "riff":
            notes += _riff(rng, bar, low, start, end)
            continue
        kicks = bar_of(bar.section.material.kick, bar)[0]
        pattern = kicks if kind == "kick" else _BASS[kind]
        if bar.counts == 3 and kind != "kick":
            pattern = "r..........." if kind == "root" else "r...f...f..."
        if "x" not in pattern and "r" not in pattern and kind == "kick":
            pattern = _BASS["eighths"]
        steps = [i for i, sign in enumerate(pattern) if sign != "." and start <= i / 4 < end]
        if kind not in _OFF_BASS and int(start * 4) not in steps:
            steps = sorted({int(start * 4), *steps}) if rng.random() < 0.8 else steps
        for place, step in enumerate(steps):
            sign = pattern[step] if step < len(pattern) else "r"
            pitch = low + {"o": 12, "f": 7 if chord.root < 55 else -5}.get(sign, 0)
            if sign == "n":
                pitch = bar.next_chord.root - 12
            until = steps[place + 1] / 4 if place + 1 < len(steps) else end
            at = step / 4
            if push and at == 0.0 and rng.random() < 0.8:
                at = -push
            full = rng.random() < 0.7
            length = (until - at) * (0.95 if full else 0.55)
            notes.append((bar.start + at, length, pitch, 0.8 + 0.15 * (step % 16 == 0)))
        if (
            bar.section.material.seed % 3 == 0
            and bar.index % 4 == 3
            and end == bar.counts
            and rng.random() < 0.5
        ):
            walk = bar.next_chord.root - 12 + int(rng.choice((-2, -1, 2)))
            notes.append((bar.start + end - 0.5, 0.45, walk, 0.8))
    return notes


def _riff(rng: Rng, bar: Bar, low: int, start: float, end: float) -> list[Note]:
    """Return a figure of one or two bars that comes back, on steps of its own."""
    own = np.random.default_rng(bar.section.material.seed + 7)
    bars = int(own.choice((1, 2, 2)))
    struck = own.random(STEPS * bars) < own.uniform(0.25, 0.7)
    struck[0] = own.random() < 0.85
    moves = own.choice((0, 0, 0, 0, 12, 7, 3, 5, 10, -2), STEPS * bars)
    first = bar.index % bars * STEPS
    steps = [i for i in range(STEPS) if struck[first + i] and start <= i / 4 < end]
    notes: list[Note] = []
    for place, step in enumerate(steps):
        until = steps[place + 1] / 4 if place + 1 < len(steps) else end
        length = min(until - step / 4, 1.0) * 0.9
        strength = 0.75 + 0.2 * float(rng.random())
        notes.append((bar.start + step / 4, length, low + int(moves[first + step]), strength))
    return notes


def _voicing(chord: Chord, register: int) -> list[int]:
    """Return chord tones around the middle of the keyboard, in close position."""
    floor = 52 + register
    return sorted(floor + (chord.root + tone - floor) % 12 for tone in chord.tones)


def _chords(
    rng: Rng, choice: Rng, bar: Bar, kind: str, push: float, cut: float, register: int
) -> list[Note]:
    notes: list[Note] = []
    if kind in ("arpeggio", "arpeggio8", "thirds"):
        unit = 0.5 if kind == "arpeggio8" else float(choice.choice((0.25, 0.25, 0.5)))
        unit = float(choice.choice((1 / 3, 1 / 3, 2 / 3))) if kind == "thirds" else unit
        orders = (
            (0, 1, 2, 3),
            (0, 2, 1, 2),
            (3, 2, 1, 0),
            (0, 1, 2, 1, 3, 1),
            (0, 1, 2),
            (0, 2, 3),
        )
        order = orders[choice.integers(len(orders))]
        across = round(bar.start / unit) if choice.random() < 0.3 else 0  # does not restart
        for start, end, chord in _spans(bar, cut):
            tones = [*_voicing(chord, register)[:3], _voicing(chord, register)[0] + 12]
            for place, at in enumerate(np.arange(start, end - 1e-6, unit)):
                pitch = tones[order[(place + across) % len(order)]]
                notes.append((bar.start + float(at), unit * 0.9, pitch, 0.7 + 0.2 * (place == 0)))
        return notes
    if kind in ("chug", "gallopchug", "power", "tremolo"):
        return _guitar(rng, choice, bar, kind, push, cut)
    if kind == "picked":
        return _picked(choice, bar, push, cut, register)
    spread = float(choice.uniform(0.004, 0.04)) if kind in ("strum", "muted") else 0.0
    patterns = _STABS.get(kind)
    pattern = patterns[choice.integers(len(patterns))] if patterns else ""
    if bar.counts == 3 and pattern:
        pattern = "....x...x..." if kind == "oompah" else "x...x...x..."
    for start, end, chord in _spans(bar, cut):
        tones = _voicing(chord, register)
        if not pattern:  # a pad
            at = start - (push if start == 0 else 0)
            notes += [(bar.start + at, end - at - 0.02, pitch, 0.7) for pitch in tones]
            continue
        steps = [i for i, sign in enumerate(pattern) if sign != "." and start <= i / 4 < end]
        for place, step in enumerate(steps):
            until = steps[place + 1] / 4 if place + 1 < len(steps) else end
            short = kind in _SHORT
            length = min(0.3, until - step / 4) if short else (until - step / 4) * 0.9
            at = step / 4 - (push if step == 0 else 0)
            strength = 0.55 if pattern[step] == "o" else 0.8
            strummed = tones
            if kind in ("strum", "muted"):  # down on eighths, up between them
                strummed = [tones[0] - 12, *tones] if step % 4 == 0 else tones[::-1]
            notes += [
                (bar.start + at + spread * i, length, pitch, strength)
                for i, pitch in enumerate(strummed)
            ]
            if kind == "piano" and step % 8 == 0:  # the left hand
                notes.append((bar.start + at, until - step / 4, _low_root(chord), strength))
    return notes


def _low_root(chord: Chord) -> int:
    return 36 + (chord.root - 36) % 12


def _picked(choice: Rng, bar: Bar, push: float, cut: float, register: int) -> list[Note]:
    """Return a picked guitar or a broken piano chord: the thumb on the root, fingers above."""
    notes: list[Note] = []
    pattern = _PICKING[choice.integers(len(_PICKING))]
    for start, end, chord in _spans(bar, cut):
        tones = _voicing(chord, register)
        pitches = {"1": tones[0], "2": tones[1], "3": tones[2]}
        for step, sign in enumerate(pattern):
            if sign == "." or not start <= step / 4 < end:
                continue
            fifth = 7 if step == 8 and register else 0
            pitch = pitches.get(sign, _low_root(chord) + fifth)
            at = step / 4 - (push if step == 0 else 0)
            length = min(2.0 if sign == "b" else 1.0, end - step / 4)
            notes.append((bar.start + at, length, pitch, 0.8 if sign == "b" else 0.6))
    return notes


def _guitar(rng: Rng, choice: Rng, bar: Bar, kind: str, push: float, cut: float) -> list[Note]:
    """Return power chords: held, muted on a pattern, or with a riff on the low string."""
    notes: list[Note] = []
    riff = choice.integers(0, 4, 16) if choice.random() < 0.4 else np.zeros(16, int)
    patterns = _STABS.get(
        kind, ("x.......x.......", "x...............", "x.....x.........", "x..x..x.x.......")
    )
    pattern = patterns[choice.integers(len(patterns))]
    for start, end, chord in _spans(bar, cut):
        low = 40 + (chord.root - 40) % 12
        steps = [i for i, sign in enumerate(pattern) if sign != "." and start <= i / 4 < end]
        for place, step in enumerate(steps):
            until = steps[place + 1] / 4 if place + 1 < len(steps) else end
            at = step / 4 - (push if step == 0 else 0)
            shift = (0, 0, 3, 5)[int(riff[step % 16])] if step % 16 else 0
            accent = pattern[step] == "x" and step % 4 == 0
            length = until - step / 4 if kind == "power" or (accent and step % 8 == 0) else 0.2
            strength = (0.9 if accent else 0.65) * float(rng.uniform(0.9, 1.1))
            notes += [(bar.start + at, length, low + shift + up, min(1, strength)) for up in (0, 7)]
    return notes


def _lead(rng: Rng, plan: Plan, role: str, middle: int) -> list[Note]:
    """Return a melody of two-bar motifs that come back as A A B A, A B A C ... in a phrase."""
    notes: list[Note] = []
    scale = np.array(plan.scale)
    ladder = np.sort(np.concatenate([plan.key + scale + 12 * octave for octave in range(3, 9)]))
    motifs: dict[tuple[int, int], list[tuple[float, float, int]]] = {}
    for bar in plan.bars:
        if role not in bar.section.roles or bar.index % 2:
            continue
        material = bar.section.material
        order = ((0, 0, 1, 0), (0, 1, 0, 2), (0, 1, 0, 1), (0, 0, 0, 1))[material.seed % 4]
        key = (material.seed, order[bar.index // 2 % 4])
        if key not in motifs:
            motifs[key] = _motif(rng, material.off, material.thirds and plan.swing == 0.5)
        home = int(np.argmin(np.abs(ladder - (middle + (bar.chords[0][1].root - 48) % 12 - 5))))
        limit = 2 * plan.style.beats_per_bar if not bar.last else bar.counts
        if bar.index % 8 == 6 and rng.random() < 0.3:
            limit //= 2  # breathe before the next phrase
        early = plan.early_beats(role, bar.section)
        for start, length, step in motifs[key]:
            if start < limit and not (bar.start + start - early < 0):
                place = int(np.clip(home + step, 0, len(ladder) - 1))
                shorter = min(length, limit - start)
                notes.append((bar.start + start - early, shorter, int(ladder[place]), 0.85))
    return notes


def _motif(rng: Rng, off: bool, thirds: bool) -> list[tuple[float, float, int]]:
    """Return two bars of melody: start, length, steps of the scale from home.

    off: all of it lies between the counts. thirds: it moves in thirds of them.
    """
    known = _THIRDS if thirds else _OFF_MOTIFS if off else _MOTIFS
    first, second = (known[rng.integers(len(known))] for _ in range(2))
    pattern = first + (first if rng.random() < 0.4 else second)
    unit = 8 / len(pattern)
    starts = [index * unit for index, sign in enumerate(pattern) if sign == "x"]
    if not off and rng.random() < 0.25:  # a pick-up into the motif
        starts = sorted({-0.5, -1.0, *starts}) if rng.random() < 0.5 else sorted({-0.5, *starts})
    out = []
    step = int(rng.choice((0, 2, 4)))
    for place, start in enumerate(starts):
        until = starts[place + 1] if place + 1 < len(starts) else 8.0
        length = min(until - start, float(rng.choice((0.4, 0.9, 2.0, 4.0))))
        out.append((start, length, step))
        step = int(np.clip(step + rng.choice((-3, -2, -1, -1, 0, 1, 1, 2, 3)), -4, 8))
    return out
