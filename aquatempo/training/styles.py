"""The styles that the song generator knows: what is played where in a bar.

Patterns are steps of a sixteenth: ``x`` struck, ``o`` struck softly, ``.`` rest. A bar
of four beats has 16 steps, of three 12. All of it is common practice, no source:
written from how such music is usually played, so that the backbeat (2 and 4) or the
four-on-the-floor kick tells a listener which pulse is counted.
"""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["STYLES", "Style"]


@dataclass(frozen=True)
class Style:
    """What a style may use; each choice is drawn at random, once a section.

    tempo_bpm: range drawn from. weight: how often the style is drawn. swing: range of
    the share of a beat that its first half takes (0.5 is straight). synthetic: how
    likely own synthesis is, 0 to 1. live: how likely human timing is. fills, crash: how
    likely a fill leads into a phrase and a crash starts one.
    """

    tempo_bpm: tuple[float, float]
    kick: tuple[str, ...]
    snare: tuple[str, ...]
    hats: tuple[str, ...]
    bass: tuple[str, ...]
    chords: tuple[str, ...]
    weight: float = 1.0
    percussion: tuple[str, ...] = ()
    swing: tuple[float, float] = (0.5, 0.5)
    swing_chance: float = 0.0
    synthetic: float = 0.3
    live: float = 0.4
    fills: float = 0.6
    crash: float = 0.6
    beats_per_bar: int = 4
    drumless: float = 0.05
    vary: float = 0.3
    half_bar_chords: float = 0.2
    push: float = 0.1
    kits: tuple[int, ...] = field(default=(0, 8, 16))


_NONE = "................"
_QUARTERS = "x...x...x...x..."
_EIGHTHS = "x.o.x.o.x.o.x.o."
_EVEN_EIGHTHS = "x.x.x.x.x.x.x.x."
_SIXTEENTHS = "xoooxoooxoooxooo"
_EVEN_SIXTEENTHS = "xoxoxoxoxoxoxoxo"
_OFFBEATS = "..x...x...x...x."
_OPEN_OFFBEATS = "..X...X...X...X."
_OPEN_AND_SIXTEENTHS = "ooXoooXoooXoooXo"
_BACKBEAT = "....x.......x..."
_SWUNG_RIDE = "x...x.x.x...x.x."
_TRIPLETS = "xoo.xoo.xoo.xoo."  # with a swing of 2/3 these are even thirds of the beat

STYLES: dict[str, Style] = {
    "house": Style(
        (116, 132),
        kick=(_QUARTERS, _QUARTERS, "x...x...x...x..o", "x...x..ox...x...", _EVEN_EIGHTHS, _NONE),
        snare=(_BACKBEAT, _BACKBEAT, "....x..o....x...", "....x.......x.o.", _NONE),
        hats=(_OPEN_OFFBEATS, _OPEN_OFFBEATS, _OPEN_AND_SIXTEENTHS, _OFFBEATS, _EVEN_SIXTEENTHS),
        percussion=(_NONE, "..o..o....o..o.o", "x..x..x...x.x...", "oooooooooooooooo"),
        bass=("offbeat", "syncopated", "eighths", "offbeat", "rolling", "kickless", "three"),
        chords=("pad", "stab", "housepiano", "arpeggio", "offstab"),
        weight=3.0,
        synthetic=0.7,
        live=0.05,
        kits=(24, 25, 0, 8),
    ),
    "trance": Style(
        (128, 150),
        kick=(_QUARTERS,),
        snare=(_BACKBEAT, _BACKBEAT, _NONE),
        hats=(_OPEN_OFFBEATS, _OPEN_OFFBEATS, _OPEN_AND_SIXTEENTHS, _OFFBEATS),
        percussion=(_NONE, "oooooooooooooooo", "..o.o..o..o.o..o"),
        bass=("offbeat", "rolling", "offbeat", "gallop", "octaves"),
        chords=("pad", "arpeggio", "gated", "stab", "arpeggio"),
        weight=3.0,
        synthetic=0.85,
        live=0.0,
        kits=(24, 25, 0),
    ),
    "hardhouse": Style(
        (138, 180),
        kick=(_QUARTERS, _QUARTERS, _EVEN_EIGHTHS, "x..xx...x..xx..."),
        snare=(_BACKBEAT, _NONE, _QUARTERS, "....x..o....x..."),
        hats=(_OPEN_OFFBEATS, _OFFBEATS, _OPEN_AND_SIXTEENTHS),
        bass=("offbeat", "rolling", "eighths"),
        chords=("pad", "stab", "arpeggio", "gated"),
        weight=1.5,
        synthetic=0.9,
        live=0.0,
        kits=(24, 25),
    ),
    "dancepop": Style(
        (96, 140),
        kick=(_QUARTERS, _QUARTERS, "x.....x.x.......", "x..x..x.x..x..x.", "x.......x.x....."),
        snare=(_BACKBEAT, _BACKBEAT, "....x.......x..o", "......x.......x."),
        hats=(_EIGHTHS, _OPEN_OFFBEATS, _SIXTEENTHS, _OFFBEATS, _NONE),
        percussion=(_NONE, "oooooooooooooooo", "x..x..x.x..x..x."),
        bass=("eighths", "syncopated", "offbeat", "octaves", "kick", "three"),
        chords=("pad", "stab", "housepiano", "strum", "arpeggio", "three"),
        weight=3.0,
        synthetic=0.6,
        live=0.1,
        kits=(24, 25, 0, 16),
    ),
    "disco": Style(
        (100, 132),
        kick=(_QUARTERS, _QUARTERS, "x...x...x...x.x."),
        snare=(_BACKBEAT,),
        hats=(_OPEN_OFFBEATS, _OPEN_AND_SIXTEENTHS, _SIXTEENTHS),
        percussion=(_NONE, "x.oox.oox.oox.oo", "x..x..x...x.x..."),
        bass=("octaves", "syncopated", "eighths", "walking"),
        chords=("pad", "offstab", "strum", "funk", "stab"),
        weight=2.0,
        live=0.5,
    ),
    "funk": Style(
        (88, 124),
        kick=("x..x..x...x.....", "x.x....x..x.....", "x.....x..xx....x", "x..x......x..x.."),
        snare=("....x..o.o..x..o", _BACKBEAT, "....x..o.o..x..."),
        hats=(_SIXTEENTHS, _EVEN_SIXTEENTHS, _EIGHTHS),
        percussion=(_NONE, "x.oox.oox.oox.oo"),
        bass=("syncopated", "funk", "kick", "octaves"),
        chords=("funk", "offstab", "stab", "pad"),
        weight=1.5,
        swing=(0.5, 0.58),
        swing_chance=0.3,
        live=0.7,
        synthetic=0.1,
    ),
    "rock": Style(
        (80, 176),
        kick=(
            "x.......x.......",
            "x.....x.x.......",
            "x.......x.x.....",
            "x..x....x.x.....",
            "x.x.....x.x.....",
            "x......xx.......",
            "x.x...x.x.x...x.",
        ),
        snare=(_BACKBEAT, _BACKBEAT, "....x..o....x...", "....x.......x.x."),
        hats=(_EIGHTHS, _EVEN_EIGHTHS, "x...x...x...x...", _EIGHTHS, "X...X...X...X..."),
        bass=("eighths", "kick", "eighths", "root", "syncopated", "gallop"),
        chords=("strum", "chug", "pad", "power", "stab", "arpeggio"),
        weight=4.0,
        live=0.8,
        synthetic=0.05,
        push=0.25,
    ),
    "metal": Style(
        (130, 192),
        kick=(
            _EVEN_EIGHTHS,
            "xxxxxxxxxxxxxxxx",
            "x.xxx.xxx.xxx.xx",
            "x..x..x.x..x..x.",
            "xx..xx..xx..xx..",
            "x.x...x.x.x...x.",
            "x.......x.x.....",
        ),
        snare=(_BACKBEAT, _BACKBEAT, _BACKBEAT, "........x.......", _QUARTERS, _OFFBEATS),
        hats=("X...X...X...X...", _QUARTERS, _EVEN_EIGHTHS, "X.......X......."),
        bass=("kick", "eighths", "gallop", "sixteenths"),
        chords=("chug", "gallopchug", "power", "tremolo", "strum"),
        weight=3.0,
        live=0.7,
        synthetic=0.05,
        fills=0.8,
        crash=0.8,
        push=0.15,
        half_bar_chords=0.35,
        kits=(16, 0, 8),
    ),
    "punk": Style(
        (150, 200),
        kick=("x.......x.x.....", "x.x.....x.x.....", "x.......x......."),
        snare=(_BACKBEAT,),
        hats=(_EVEN_EIGHTHS, "X...X...X...X...", _QUARTERS),
        bass=("eighths", "eighths", "kick"),
        chords=("power", "chug", "strum"),
        weight=1.5,
        live=0.8,
        synthetic=0.05,
        half_bar_chords=0.4,
        push=0.2,
    ),
    "drumandbass": Style(
        (158, 190),
        kick=("x.........x.....", "x..x......x.....", "x.x.......x.....", "x.....x...x....."),
        snare=(_BACKBEAT, "....x..o.o..x...", "....x..o.o....x.", "....x..o.o..x..o"),
        hats=(_EIGHTHS, _EVEN_EIGHTHS, _EVEN_SIXTEENTHS, _QUARTERS, _OPEN_OFFBEATS),
        percussion=(_NONE, "oooooooooooooooo", "..o..o....o..o.o"),
        bass=("long", "syncopated", "root", "wobble", "eighths"),
        chords=("pad", "arpeggio", "stab", "pad"),
        weight=2.5,
        synthetic=0.6,
        live=0.1,
        vary=0.5,
        kits=(24, 0, 16),
    ),
    "breaks": Style(
        (100, 148),
        kick=("x.x.......xx....", "x.........x.....", "x..x......x..x..", "x.x....x..x....."),
        snare=("....x..o.o..x..o", "....x..o.o....x.", _BACKBEAT),
        hats=(_EIGHTHS, _SIXTEENTHS, _OPEN_OFFBEATS),
        percussion=(_NONE, "oooooooooooooooo"),
        bass=("syncopated", "long", "kick", "three"),
        chords=("pad", "stab", "arpeggio", "offstab"),
        weight=1.5,
        synthetic=0.4,
        live=0.3,
        vary=0.5,
        kits=(0, 16, 24),
    ),
    "halftime": Style(
        (150, 190),
        kick=(
            "x...............",
            "x.....x.........",
            "x.........x.....",
            "x..x......x...x.",
            "x.x.......x.....",
        ),
        snare=("........x.......", "........x......o", "........x.....o."),
        hats=(_EIGHTHS, _EVEN_EIGHTHS, "x.x.x.xxx.x.xxxx", _EVEN_SIXTEENTHS),
        percussion=(_NONE, _OFFBEATS, "oooooooooooooooo"),
        bass=("long", "root", "wobble", "syncopated", "eighths"),
        chords=("pad", "arpeggio", "stab", "chug", "power"),
        weight=2.0,
        synthetic=0.5,
        live=0.3,
        kits=(25, 24, 16, 0),
    ),
    "hiphop": Style(
        (68, 108),
        kick=("x......x..x.....", "x.x.......x.....", "x......xx.x.....", "x..x...x.xx....."),
        snare=(_BACKBEAT, "....x..o....x...", "....x.......x..o"),
        hats=(_EIGHTHS, _EIGHTHS, _SIXTEENTHS, _QUARTERS),
        bass=("kick", "long", "syncopated", "root"),
        chords=("pad", "stab", "arpeggio", "funk"),
        weight=2.0,
        swing=(0.5, 0.62),
        swing_chance=0.5,
        synthetic=0.4,
        live=0.3,
        kits=(25, 0, 8),
    ),
    "reggae": Style(
        (64, 100),
        kick=(_BACKBEAT, _BACKBEAT, _QUARTERS),
        snare=(_BACKBEAT, "....x..o....x...", _BACKBEAT),
        hats=(_EIGHTHS, _EVEN_EIGHTHS, _OFFBEATS),
        bass=("reggae", "syncopated", "root"),
        chords=("skank", "skank", "bubble"),
        weight=1.2,
        swing=(0.5, 0.66),
        swing_chance=0.4,
        synthetic=0.05,
        live=0.6,
    ),
    "ska": Style(
        (110, 176),
        kick=("x.......x.......", _QUARTERS, "x.......x.x....."),
        snare=(_BACKBEAT,),
        hats=(_EIGHTHS, _OFFBEATS, _EVEN_EIGHTHS),
        bass=("walking", "eighths", "root"),
        chords=("skank", "skank", "bubble"),
        weight=1.0,
        synthetic=0.05,
        live=0.6,
        push=0.15,
    ),
    "reggaeton": Style(
        (84, 106),
        kick=(_QUARTERS, "x.......x......."),
        snare=("...x..x....x..x.", "...x..x....x..x."),
        hats=(_NONE, _EIGHTHS, _SIXTEENTHS),
        percussion=(_NONE, "x..x..x.x..x..x."),
        bass=("three", "kick", "root", "long"),
        chords=("stab", "three", "pad", "arpeggio"),
        weight=1.2,
        synthetic=0.5,
        live=0.1,
        kits=(25, 24, 0),
    ),
    "salsa": Style(
        (150, 200),
        kick=(_NONE, "......x.......x.", "x.......x......."),
        snare=(_NONE, "x.....x.....x...", "....x...x......."),
        hats=(_QUARTERS, "x...x.x.x...x.x.", _EIGHTHS),
        percussion=("x...x.xxx...x.xx", "xooxxooxxooxxoox", "..x...x...x...xx"),
        bass=("tumbao", "tumbao", "root"),
        chords=("montuno", "montuno", "stab"),
        weight=0.8,
        synthetic=0.0,
        live=0.6,
        push=0.4,
    ),
    "merengue": Style(
        (116, 160),
        kick=(_QUARTERS, "x.......x......."),
        snare=("....x.......xxxx", "....x.......x.x.", _BACKBEAT),
        hats=("x.xxx.xxx.xxx.xx", _EVEN_EIGHTHS, _SIXTEENTHS),
        percussion=("x.xxx.xxx.xxx.xx", "oooooooooooooooo", "x..x..x...x.x..."),
        bass=("root", "eighths", "walking"),
        chords=("montuno", "stab", "offstab"),
        weight=1.0,
        synthetic=0.1,
        live=0.5,
    ),
    "samba": Style(
        (92, 138),
        kick=("x..xx..xx..xx..x", "x..ox..ox..ox..o", "....x.......x..."),
        snare=("x.x..x.x.x.xx.x.", "..x..x..x..x..x.", _NONE),
        hats=(_EVEN_SIXTEENTHS, _SIXTEENTHS),
        percussion=("x.x..x.x.x.xx.x.", "xoxxxoxxxoxxxoxx"),
        bass=("samba", "root", "walking"),
        chords=("montuno", "stab", "strum", "funk"),
        weight=0.8,
        synthetic=0.05,
        live=0.6,
    ),
    "bossa": Style(
        (110, 160),
        kick=("x.....x.x.....x.",),
        snare=("x.....x.....x...", "x.....x...x....."),
        hats=(_EIGHTHS, _EVEN_EIGHTHS),
        percussion=(_NONE, "oooooooooooooooo"),
        bass=("samba", "root"),
        chords=("stab", "pad", "strum"),
        weight=0.6,
        synthetic=0.0,
        live=0.6,
        kits=(0, 40, 32),
    ),
    "shuffle": Style(
        (84, 150),
        kick=("x.......x.......", _QUARTERS, "x.....x.x.....x."),
        snare=(_BACKBEAT, "....x.o.....x.o."),
        hats=(_EVEN_EIGHTHS, _EIGHTHS, _SWUNG_RIDE, _QUARTERS, _TRIPLETS),
        bass=("walking", "eighths", "root", "kick"),
        chords=("strum", "pad", "offstab", "stab", "chug", "triplets"),
        weight=2.0,
        swing=(0.62, 0.68),
        swing_chance=1.0,
        synthetic=0.1,
        live=0.6,
    ),
    "twelveeight": Style(
        (60, 124),
        kick=("x.......x.......", "x.....x.x.......", "x.......x.x.....", _QUARTERS),
        snare=(_BACKBEAT, _BACKBEAT, "....x.....x.x..."),
        hats=(_TRIPLETS, _TRIPLETS, _QUARTERS, _EVEN_EIGHTHS),
        bass=("root", "walking", "eighths", "kick", "quarters"),
        chords=("triplets", "triplets", "pad", "strum", "quarterchords"),
        weight=1.8,
        swing=(0.655, 0.675),
        swing_chance=1.0,
        synthetic=0.2,
        live=0.5,
        drumless=0.15,
    ),
    "swing": Style(
        (96, 200),
        kick=(_NONE, "o...o...o...o...", "x.......x......."),
        snare=(_NONE, "......o........o", "....o.......o..."),
        hats=(_SWUNG_RIDE, _SWUNG_RIDE, "x...x...x...x..."),
        percussion=(_BACKBEAT,),
        bass=("walking", "walking", "root"),
        chords=("stab", "offstab", "pad", "charleston"),
        weight=1.5,
        swing=(0.58, 0.68),
        swing_chance=1.0,
        synthetic=0.0,
        live=0.8,
        push=0.3,
        half_bar_chords=0.4,
        kits=(32, 40, 0),
    ),
    "march": Style(
        (96, 140),
        kick=("x.......x.......", _QUARTERS),
        snare=("x..ox..ox..oxoxo", "x.xxx.xxx.xxx.xx", _BACKBEAT, "..x...x...x...x."),
        hats=(_NONE, _QUARTERS, "X.......X......."),
        bass=("twobeat", "quarters", "twobeat"),
        chords=("oompah", "offstab", "oompah"),
        weight=1.2,
        synthetic=0.0,
        live=0.6,
        half_bar_chords=0.4,
        kits=(48, 0),
    ),
    "country": Style(
        (84, 180),
        kick=("x.......x.......", _QUARTERS),
        snare=("ooxoooxoooxoooxo", _BACKBEAT, "o.x.o.x.o.x.o.x."),
        hats=(_NONE, _EIGHTHS, _QUARTERS),
        bass=("twobeat", "walking", "quarters"),
        chords=("strum", "oompah", "skank", "strum"),
        weight=1.2,
        synthetic=0.0,
        live=0.7,
        kits=(0, 40, 8),
    ),
    "eighties": Style(
        (96, 172),
        kick=("x.......x.......", "x.......x.x.....", _QUARTERS, "x.....x.x......."),
        snare=(_BACKBEAT, _BACKBEAT, "....x.......x..x"),
        hats=(_EIGHTHS, _SIXTEENTHS, _OFFBEATS),
        percussion=(_NONE, "oooooooooooooooo", "..........x.x..."),
        bass=("eighths", "octaves", "sixteenths", "offbeat"),
        chords=("pad", "stab", "arpeggio", "gated"),
        weight=2.0,
        synthetic=0.5,
        live=0.1,
        kits=(16, 24, 0),
    ),
    "ballad": Style(
        (60, 96),
        kick=("x.......x.......", "x.....x.x.......", "x......xx......."),
        snare=(_BACKBEAT, _BACKBEAT, _NONE),
        hats=(_EIGHTHS, _EIGHTHS, _QUARTERS, _SIXTEENTHS, _NONE),
        bass=("root", "long", "kick"),
        chords=("pad", "arpeggio8", "strum", "quarterchords", "arpeggio"),
        weight=2.0,
        swing=(0.64, 0.68),
        swing_chance=0.15,
        synthetic=0.1,
        live=0.7,
        drumless=0.35,
    ),
    "game": Style(
        (90, 180),
        kick=("x.......x.......", _QUARTERS, "x.....x.x.......", _NONE),
        snare=(_BACKBEAT, "....x.......x.xx", _NONE),
        hats=(_EIGHTHS, _SIXTEENTHS, _OFFBEATS, _NONE),
        bass=("octaves", "eighths", "twobeat", "walking", "syncopated", "quarters"),
        chords=("arpeggio", "arpeggio8", "pad", "offstab", "stab", "oompah"),
        weight=2.0,
        synthetic=0.4,
        live=0.1,
        drumless=0.2,
        half_bar_chords=0.35,
        kits=(0, 24, 48),
    ),
    "waltz": Style(
        (80, 190),
        kick=("x...........",),
        snare=("....x...x...", "....o...o...", "........x...", "............"),
        hats=("x...x...x...", "x...o...o...", "x.o.x.o.x.o.", "............"),
        bass=("root", "root", "quarters"),
        chords=("oompah", "oompah", "arpeggio8", "pad", "strum"),
        weight=1.5,
        synthetic=0.05,
        live=0.6,
        beats_per_bar=3,
        drumless=0.3,
        kits=(0, 40, 48),
    ),
}
