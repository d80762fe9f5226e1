"""Plans read for review whose efforts are set by hand, so that each rule is met at its edge."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from aquatempo.class_shape.figures import Figures
from aquatempo.moves import catalogue, resolve
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.review import Fault, Finding
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.records.verdict import ImpactBand
from aquatempo.review.figures import FormFigures
from aquatempo.review.spots import ReadPlan, read

__all__ = ["TEMPO", "Filling", "Song", "block_of", "klass", "places", "read_songs", "with_efforts"]

TEMPO = 128.0  # beats/min: 32 counts last 15 s, a quarter of a minute
_BASES = [
    move.key
    for move in catalogue().moves.values()
    if move.kind is MoveKind.BASE and ClassDepth.SHALLOW in move.depths
]
Filling = float | Block | tuple[Block, ...]


@dataclass(frozen=True)
class Song:
    """A track: its part, what fills each phrase, and which phrases are of another kind."""

    part: str
    phrases: Sequence[Filling]
    tempo_bpm: float = TEMPO
    kinds: Mapping[int, str] = field(default_factory=dict)
    energies: Mapping[int, str] = field(default_factory=dict)
    counts: Mapping[int, int] = field(default_factory=dict)


def block_of(
    key: str, counts: int = 32, lead: str = "", depth: ClassDepth = ClassDepth.SHALLOW
) -> Block:
    """Return a block of a move as it stands in the catalogue."""
    form = resolve(catalogue().moves[key], None, depth)
    pattern = form.pattern.text if form.pattern else form.move.pattern
    return Block(counts, key, (), pattern, lead, str(form.level), str(form.travel))


def klass(songs: Sequence[Song], brief: Brief | None = None) -> tuple[ReadPlan, FormFigures]:
    """Return a class whose phrases are told by their effort [Borg], with these as figures.

    Each effort is a move of its own; a move that is given as it is has no figures.
    """
    efforts = sorted(
        {one for song in songs for one in song.phrases if isinstance(one, float | int)}
    )
    moves = dict(zip(efforts, _BASES, strict=False))
    told = [
        Song(
            song.part,
            [
                block_of(moves[one], song.counts.get(place, 32))
                if isinstance(one, float | int)
                else one
                for place, one in enumerate(song.phrases)
            ],
            song.tempo_bpm,
            song.kinds,
            song.energies,
        )
        for song in songs
    ]
    reading = read_songs(told, brief)
    return reading, with_efforts(reading, {move: rpe for rpe, move in moves.items()})


def read_songs(songs: Sequence[Song], brief: Brief | None = None) -> ReadPlan:
    """Return a class of songs whose phrases are blocks, read for review."""
    tracks = []
    for number, song in enumerate(songs, 1):
        phrases, at = [], 0
        for place, one in enumerate(song.phrases):
            assert not isinstance(one, float | int)
            blocks = (one,) if isinstance(one, Block) else one
            counts = sum(block.counts for block in blocks)
            kind = PhraseKind(song.kinds.get(place, "phrase"))
            level = EnergyLevel(song.energies.get(place, "medium"))
            phrases.append(PlannedPhrase(at, counts, kind, level, blocks))
            at += counts
        title = f"Lane {number}"
        tracks.append(
            PlannedTrack(title, f"lane-{number}.ogg", song.part, song.tempo_bpm, tuple(phrases))
        )
    return read(ClassPlan(brief or Brief(), tuple(tracks)), catalogue())


def with_efforts(
    reading: ReadPlan, efforts: Mapping[str, float], hard: Mapping[str, tuple[str, ...]] = {}
) -> FormFigures:
    """Return figures by hand: the effort of each move [Borg], half of it as MET.

    hard: joint actions that work hard in a move. A move that is not named has no figures.
    """
    return {
        spot.form_key: Figures(
            kept=1.0,
            met=efforts[spot.move.key] / 2.0,
            rpe=efforts[spot.move.key],
            impact=ImpactBand.LOW,
            hard=hard.get(spot.move.key, ()),
        )
        for spot in reading.spots
        if spot.move.key in efforts
    }


def places(found: Iterable[Finding], fault: Fault) -> list[tuple[int, int, int]]:
    """Return where a fault was found: track, phrase and block, 1-based."""
    return [(one.track, one.phrase, one.block) for one in found if one.fault is fault]
