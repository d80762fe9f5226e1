"""The plan of a song: tempo, sections, bars, chords; everything that is true of it.

Beats are counted from 0 at the first note of the first bar. Sections are phrases of
eight bars, with bridges of 2 to 16 counts, short intros and pick-ups between them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from aquatempo.training.grooves import draw_groove
from aquatempo.training.harmony import PROGRESSIONS, SCALES, Chord, chord_on
from aquatempo.training.styles import STYLES, Style
from aquatempo.training.timing import beat_times

__all__ = ["Bar", "Plan", "Section", "plan_song"]

Rng = np.random.Generator

LONG_ENOUGH_S = 67.0
_SLOW = [STYLES[name] for name in ("hiphop", "ballad", "singer", "acoustic", "soul", "latinpop")]
_BACKBEAT = [
    STYLES[name]
    for name in ("dancepop", "disco", "eighties", "funk", "indie", "rock", "singer", "soul")
]
SIXTEENTHS = ("boombap", "funk", "hiphop")  # styles that swing in sixteenths
ODD_SWING = 0.08  # chance that a song swings whose style does not
ACROSS = ("anticipated", "dotted", "pushed", "late", "offsync", "riff", "threes")
"""Basses that stress what lies between the counts, in any style."""
BRIDGE_TURNS = (0.4, 0.35, 0.25)  # chances of its chords: from the first, the last, one held


@dataclass(frozen=True)
class Material:
    """What stays the same within sections of one letter.

    push_beats: how early chords come that belong on count 1. ahead: roles that play
    everything ahead_beats early where kick and snare hold the beat. off: melodies lie between
    the counts. thirds: a melody moves in thirds of the count.
    """

    progression: tuple[Chord, ...]
    split: tuple[int, ...]
    kick: str
    snare: str
    hats: str
    percussion: str
    bass: str
    chords: tuple[str, ...]
    push_beats: float
    ahead: frozenset[str]
    ahead_beats: float
    seed: int
    off: bool = False
    thirds: bool = False


@dataclass(frozen=True)
class Section:
    """A phrase, bridge or intro: its first beat, its length, who plays.

    first_chord: the chord of the progression that it begins on; moving: whether chords
    change in it.
    """

    start: int
    counts: int
    is_phrase: bool
    material: Material
    roles: frozenset[str]
    fill: str
    crash: bool
    lift: bool
    first_chord: int = 0
    moving: bool = True


@dataclass(frozen=True)
class Bar:
    """A bar: first beat, counts, place in its section, chords with their first beats."""

    start: int
    counts: int
    index: int
    last: bool
    section: Section
    chords: tuple[tuple[float, Chord], ...]
    next_chord: Chord
    per_bar: int = 4


@dataclass
class Plan:
    """A song before anything is played.

    beat_times_s: time of each beat, one more than there are beats. swing: share of the
    beat (or, with swing_sixteenths, of the half beat) that its first half takes.
    jitter_s: spread of human timing.
    """

    name: str
    style: Style
    tempo_bpm: float
    beat_times_s: npt.NDArray[np.float64]
    pickup: int
    bars: list[Bar]
    sections: list[Section]
    swing: float
    swing_sixteenths: bool
    jitter_s: float
    scale: tuple[int, ...]
    key: int
    seed: int
    part_delay_s: dict[str, float] = field(default_factory=dict)

    def early_beats(self, role: str, section: Section) -> float:
        """Return by how much a role plays early in a section."""
        held = {"kick", "snare"} <= section.roles
        return section.material.ahead_beats if held and role in section.material.ahead else 0.0

    def time_s(self, beats: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Return the time of positions in beats, with the swing of the song."""
        beats = np.asarray(beats, np.float64)
        unit = 0.5 if self.swing_sixteenths else 1.0
        whole = np.floor(beats / unit)
        part = beats / unit - whole
        first = part * (self.swing / 0.5)
        second = self.swing + (part - 0.5) * ((1 - self.swing) / 0.5)
        warped = (whole + np.where(part < 0.5, first, second)) * unit
        index = np.arange(len(self.beat_times_s))
        return np.interp(warped + self.pickup, index, self.beat_times_s)


def plan_song(seed: int, steady_bpm: float | None = None) -> Plan:
    """Draw a song. Everything follows from the seed.

    steady_bpm: its tempo, which then stays, from a first count at 0 s, as in a mix.
    """
    rng = np.random.default_rng([seed, 1])
    names = [name for name in STYLES if steady_bpm is None or _fits(STYLES[name], steady_bpm)]
    weights = np.array([STYLES[name].weight for name in names])
    name = str(rng.choice(names, p=weights / weights.sum()))
    style = STYLES[name]
    tempo = steady_bpm or float(rng.uniform(*style.tempo_bpm))
    if steady_bpm is None and rng.random() < 0.06 and style.beats_per_bar == 4:
        tempo = float(rng.uniform(max(60, tempo * 0.8), min(200, tempo * 1.2)))
    scale = SCALES[rng.choice(len(SCALES), p=(0.4, 0.4, 0.1, 0.1))]
    key = int(rng.integers(12))
    sections = _sections(rng, style, scale, key, tempo)
    bars = _bars(sections, style)
    pickup = int(rng.integers(1, style.beats_per_bar)) if rng.random() < 0.2 else 0
    pickup = 0 if steady_bpm else pickup
    beats = sections[-1].start + sections[-1].counts + pickup
    live = rng.random() < style.live and not steady_bpm
    swing, sixteenths = _swing(rng, style, name, tempo)
    return Plan(
        name,
        style,
        tempo,
        np.arange(beats + 1) * 60 / tempo if steady_bpm else beat_times(rng, tempo, beats, live),
        pickup,
        bars,
        sections,
        swing,
        sixteenths,
        float(rng.uniform(0.003, 0.012)) if live else float(rng.uniform(0, 0.002)),
        scale,
        key,
        seed,
        _delays(rng) if live else {},
    )


def _fits(style: Style, tempo_bpm: float) -> bool:
    """Tell whether a style is for a mix at a tempo: in four, and made for about that tempo."""
    low, high = style.tempo_bpm
    return style.beats_per_bar == 4 and low * 0.95 <= tempo_bpm <= high * 1.05


def _swing(rng: Rng, style: Style, name: str, tempo_bpm: float) -> tuple[float, bool]:
    """Return the share of the unit that its first half takes, and whether sixteenths swing."""
    if rng.random() < style.swing_chance:
        return float(rng.uniform(*style.swing)), name in SIXTEENTHS and bool(rng.random() < 0.7)
    if style.beats_per_bar == 4 and rng.random() < ODD_SWING:
        return float(rng.uniform(0.54, 0.72)), bool(tempo_bpm < 135 and rng.random() < 0.5)
    return 0.5, False


def _delays(rng: Rng) -> dict[str, float]:
    """Return by how much each part is late [s]: laid-back snares, singers behind the beat."""
    spread_s = rng.uniform(0.002, 0.012)
    delays = {
        role: float(rng.normal(0, spread_s)) for role in ("bass", "chord0", "chord1", "chord2")
    }
    delays["hats"] = float(rng.normal(0, 0.3 * spread_s))
    delays["snare"] = float(abs(rng.normal(0, 0.015))) if rng.random() < 0.3 else 0.0
    late_s = rng.uniform(0, 0.05) if rng.random() < 0.3 else 0.0
    delays |= {"lead": float(late_s + rng.normal(0, spread_s)), "second": float(late_s)}
    return delays


def _material(
    rng: Rng,
    style: Style,
    scale: tuple[int, ...],
    key: int,
    seventh: bool,
    tempo: float,
    half: bool = False,
) -> Material:
    progression = PROGRESSIONS[rng.integers(len(PROGRESSIONS))]
    power = any("chug" in kind or kind == "power" for kind in style.chords) and rng.random() < 0.6
    chords = tuple(chord_on(scale, key, degree, seventh, power) for degree in progression)
    stretch = 2 if len(chords) == 4 and rng.random() < 0.2 else 1
    chords = tuple(chord for chord in chords for _ in range(stretch))
    split = rng.random(len(chords)) < (style.half_bar_chords if rng.random() < 0.6 else 0)
    layers = int(rng.integers(1, 4))
    # between 75 and 95 a backbeat with hats on sixteenths is taken for half-time at the double
    slow = 75 < tempo < 95 and style in _SLOW
    hats = [hat for hat in style.hats if not (slow and hat.count(".") < 8)]
    percussion = [part for part in style.percussion if not (slow and part.count(".") < 8)]
    syncopated = rng.random()
    push_beats = float(rng.choice((0.5, 0.5, 0.25))) if syncopated < style.push else 0.0
    ahead: frozenset[str] = frozenset()
    if syncopated > 0.94 and style in _BACKBEAT:
        ahead = frozenset(role for role in PITCHED if rng.random() < 0.6)
    bass = str(rng.choice(style.bass))
    if style.beats_per_bar == 4 and rng.random() < 0.14:
        bass = str(rng.choice(ACROSS))
    kick, snare, hat = (str(rng.choice(part)) for part in (style.kick, style.snare, hats))
    if half or (style.groove and rng.random() < style.drawn):
        kick, snare, hat = draw_groove(rng, "half" if half else style.groove)
    elif style.beats_per_bar == 4 and style.drawn == 0 and rng.random() < 0.04 and tempo > 95:
        kick, snare, hat = draw_groove(rng, "offhats")
    return Material(
        chords,
        tuple(int(degree) for degree in np.where(split, rng.integers(1, 7, len(chords)), -1)),
        kick,
        snare,
        hat,
        str(rng.choice(percussion)) if percussion else "",
        bass,
        tuple(str(kind) for kind in rng.choice(style.chords, layers)),
        push_beats,
        ahead,
        float(rng.choice((0.5, 0.5, 0.25))),
        int(rng.integers(2**31)),
        bool(rng.random() < style.off),
        bool(rng.random() < style.thirds),
    )


ALL_ROLES = (
    "kick",
    "snare",
    "hats",
    "percussion",
    "bass",
    "chord0",
    "chord1",
    "chord2",
    "lead",
    "second",
)
PITCHED = ALL_ROLES[4:]


def _roles(rng: Rng, style: Style, kind: str, drumless: bool) -> frozenset[str]:
    """Draw who plays in a section of one kind."""
    chances = {
        "full": (0.97, 0.97, 0.95, 0.7, 0.97, 0.95, 0.8, 0.7, 0.75, 0.5),
        "verse": (0.95, 0.9, 0.9, 0.5, 0.93, 0.9, 0.5, 0.3, 0.6, 0.2),
        "thin": (0.5, 0.35, 0.5, 0.4, 0.5, 0.7, 0.4, 0.2, 0.4, 0.1),
        "drums": (0.95, 0.8, 0.9, 0.6, 0.4, 0.15, 0.1, 0.05, 0.1, 0.05),
        "break": (0.05, 0.08, 0.15, 0.1, 0.35, 0.9, 0.6, 0.4, 0.5, 0.2),
        "hidden": (0.0, 0.0, 0.5, 0.35, 0.6, 0.5, 0.3, 0.1, 0.4, 0.1),
        "sparse": (0.1, 0.1, 0.05, 0.05, 0.3, 0.8, 0.1, 0.0, 0.3, 0.0),
        "looped": (1.0, 1.0, 1.0, 0.3, 0.35, 0.15, 0.0, 0.0, 0.1, 0.0),
    }[kind]
    roles = {role for role, chance in zip(ALL_ROLES, chances, strict=True) if rng.random() < chance}
    if drumless:
        roles -= {"kick", "snare", "hats", "percussion"}
    if not roles & {"kick", "snare", "bass", "chord0", "chord1", "lead"}:
        roles.add("chord0")
    return frozenset(roles)


def _sections(
    rng: Rng, style: Style, scale: tuple[int, ...], key: int, tempo: float
) -> list[Section]:
    """Lay out phrases and bridges until the song is long enough."""
    per_bar = style.beats_per_bar
    seventh = bool(rng.random() < 0.3)
    halved = 112 <= tempo <= 185 and per_bar == 4 and rng.random() < style.feel
    letters = [
        _material(rng, style, scale, key, seventh, tempo, half=halved and letter == 0)
        for letter in range(3)
    ]
    looped = bool(rng.random() < style.looped)
    letters = letters[:1] * 3 if looped else letters
    drumless = bool(rng.random() < style.drumless)
    bridgy = rng.random() < 0.6 and not looped
    kinds = {letter: str(rng.choice(("verse", "full", "full"))) for letter in range(3)}
    if looped:
        kinds = dict.fromkeys(kinds, "looped")
    fixed = {letter: _roles(rng, style, kinds[letter], drumless) for letter in range(3)}
    sections: list[Section] = []
    start = 0
    letter = 0
    needed = LONG_ENOUGH_S * tempo / 60

    def add(counts: int, is_phrase: bool, kind: str) -> None:
        nonlocal start
        same = kind == "same"
        roles = (
            fixed[letter]
            if same and (looped or rng.random() < 0.75)
            else _roles(rng, style, kinds[letter] if same else kind, drumless)
        )
        fill = (
            str(rng.choice(("roll", "toms", "drop", "stop", "busy", "riser")))
            if (rng.random() < style.fills and not looped)
            else ""
        )
        if kind == "break" and counts >= 8 and not drumless and rng.random() < 0.3:
            fill = "build"
        progression = len(letters[letter].progression)
        bars = -(-counts // per_bar)
        turn = "start" if is_phrase else str(rng.choice(("start", "tail", "held"), p=BRIDGE_TURNS))
        first = {"start": 0, "tail": -bars % progression, "held": progression - 1}[turn]
        sections.append(
            Section(start, counts, is_phrase, letters[letter], roles, fill,
                    bool(rng.random() < style.crash and not looped),
                    bool(rng.random() < 0.3 and not looped),
                    first, turn != "held")
        )  # fmt: skip
        start += counts

    opening = 1.0 if looped else rng.random()
    if opening < 0.25:
        add(per_bar * int(rng.choice((1, 2, 4))), False, "thin")
    elif opening < 0.5:
        add(8 * per_bar, True, str(rng.choice(("thin", "drums", "break", "hidden", "sparse"))))
    elif opening < 0.56:  # a long time in which little tells the count
        kind = str(rng.choice(("hidden", "sparse")))
        for _ in range(int(rng.integers(2, 4))):
            add(8 * per_bar, True, kind)
    while start < needed:
        letter = int(rng.integers(3)) if rng.random() < 0.5 and not looped else letter
        kind = str(
            rng.choice(("same", "thin", "drums", "break", "hidden"), p=(0.7, 0.1, 0.06, 0.1, 0.04))
        )
        kind = "same" if looped else kind
        add(8 * per_bar, True, kind)
        if bridgy and rng.random() < 0.35:
            counts = per_bar * int(rng.choice((1, 2, 4), p=(0.3, 0.4, 0.3)))
            if per_bar == 4 and rng.random() < 0.25:
                counts = int(rng.choice((2, 2, 6, 10)))
            kinds_of_bridge = ("same", "thin", "drums", "break")
            add(counts, False, str(rng.choice(kinds_of_bridge, p=(0.5, 0.2, 0.15, 0.15))))
    return sections


def _bars(sections: list[Section], style: Style) -> list[Bar]:
    """Cut sections into bars with their chords."""
    bars: list[Bar] = []
    first_chords = [section.material.progression[section.first_chord] for section in sections]
    for number, section in enumerate(sections):
        starts = range(0, section.counts, style.beats_per_bar)
        material = section.material
        length = len(material.progression)
        for index, offset in enumerate(starts):
            counts = min(style.beats_per_bar, section.counts - offset)
            place = (section.first_chord + index * section.moving) % length
            chord = material.progression[place]
            chords = [(0.0, chord)]
            split = material.split[place]
            if split >= 0 and counts == 4:
                tones = tuple(chord.tones)
                chords.append(
                    (
                        2.0,
                        Chord(48 + (chord.root - 48 + (5, 7, 2, 9, 10, 3)[split - 1]) % 12, tones),
                    )
                )
            last = index == len(starts) - 1
            following = first_chords[min(number + 1, len(sections) - 1)]
            after = following if last else material.progression[(place + section.moving) % length]
            bars.append(
                Bar(
                    section.start + offset,
                    counts,
                    index,
                    last,
                    section,
                    tuple(chords),
                    after,
                    style.beats_per_bar,
                )
            )
    return bars
