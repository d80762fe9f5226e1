"""The plan of a song: tempo, sections, bars, chords; everything that is true of it.

Beats are counted from 0 at the first note of the first bar. Sections are phrases of
eight bars, with bridges of 2 to 16 counts, short intros and pick-ups between them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from aquatempo.training.harmony import SCALES, Chord
from aquatempo.training.material import Material, draw_material, draw_roles
from aquatempo.training.styles import STYLES, Style
from aquatempo.training.timing import beat_times

__all__ = ["Bar", "Plan", "Section", "plan_song"]

Rng = np.random.Generator

LONG_ENOUGH_S = 67.0
SIXTEENTHS = ("boombap", "funk", "hiphop")  # styles that swing in sixteenths
ODD_SWING = 0.08  # chance that a song swings whose style does not
BRIDGE_TURNS = (0.4, 0.35, 0.25)  # chances of its chords: from the first, the last, one held


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


def plan_song(seed: int, steady_bpm: float | None = None, plain: bool = False) -> Plan:
    """Draw a song. Everything follows from the seed.

    steady_bpm: its tempo, which then stays, from a first count at 0 s, as in a mix. plain:
    it has whole phrases only, as songs cut for a class.
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
    sections = _sections(rng, style, scale, key, tempo, plain)
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


def _sections(
    rng: Rng, style: Style, scale: tuple[int, ...], key: int, tempo: float, plain: bool
) -> list[Section]:
    """Lay out phrases and bridges until the song is long enough."""
    per_bar = style.beats_per_bar
    seventh = bool(rng.random() < 0.3)
    halved = 112 <= tempo <= 185 and per_bar == 4 and rng.random() < style.feel
    letters = [
        draw_material(rng, style, scale, key, seventh, tempo, half=halved and letter == 0)
        for letter in range(3)
    ]
    looped = bool(rng.random() < style.looped)
    letters = letters[:1] * 3 if looped else letters
    drumless = bool(rng.random() < style.drumless)
    bridgy = rng.random() < 0.6 and not looped and not plain
    kinds = {letter: str(rng.choice(("verse", "full", "full"))) for letter in range(3)}
    if looped:
        kinds = dict.fromkeys(kinds, "looped")
    fixed = {letter: draw_roles(rng, style, kinds[letter], drumless) for letter in range(3)}
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
            else draw_roles(rng, style, kinds[letter] if same else kind, drumless)
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

    opening = 1.0 if looped else rng.uniform(0.25, 1.0) if plain else rng.random()
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
