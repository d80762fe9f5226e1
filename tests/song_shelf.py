"""A shelf of invented songs with verses and choruses, for tests that read whole classes."""

from __future__ import annotations

import random

from planning_music import made_track

from aquatempo.records.track import Track

__all__ = ["shelf", "song"]

# Stretches by name: how many phrases, and how loud. Verse, chorus, middle; A chorus returns.
_FORMS = (
    "i16 V2 C2 V2 C2 M1 C2 o8",
    "i8 V2 P1 C2 V1 P1 C2 b8 C2 o4",
    "i32 V1 C1 V1 C1 V1 C1 M2 C2 o16",
    "i16 V2 C2 k16 V2 C2 M1 C3 o8",
    "i4 V3 C2 V2 C2 b4 M2 C2 o8",
)
_LOUD = {"V": "low", "P": "medium", "C": "high", "M": "medium"}
_KIND = {"i": "intro", "o": "outro", "b": "bridge", "k": "break"}
_FIRST = ("Heron", "Slate", "Ferry", "Linden", "Amber", "Quay", "Harbour", "Lantern", "Pebble",
          "Willow", "Brass", "Cinder", "Meadow", "Tidal", "Copper", "Juniper")  # fmt: skip
_SECOND = ("Steps", "Morning", "Waltz in Four", "Window", "Parade", "Summer", "Letter", "Road")


def song(title: str, tempo_bpm: float, form: str) -> Track:
    """Return a track of a form such as ``i16 V2 C2 b8 C2 o8``."""
    layout, energies = [], []
    for item in form.split():
        name, size = item[0], int(item[1:])
        if name in _LOUD:
            layout += [(32, "phrase")] * size
            energies += [_LOUD[name]] * size
        else:
            layout.append((size, _KIND[name]))
            energies.append("low")
    return made_track(title, tempo_bpm, layout, energies)


def shelf(tempos_bpm: tuple[float, ...] | list[float], seed: int = 1) -> list[Track]:
    """Return a song a tempo, each with a name and a form of its own."""
    draw = random.Random(seed)
    names = [f"{first} {second}" for second in _SECOND for first in _FIRST]
    draw.shuffle(names)
    return [
        song(name, float(tempo), draw.choice(_FORMS))
        for name, tempo in zip(names, tempos_bpm, strict=False)
    ]
