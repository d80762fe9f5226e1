"""A class planned: outline, base moves of the class, each track filled in turn, sides, showing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean

from aquatempo.class_shape.limits import Limits
from aquatempo.class_shape.parts import ClassPart
from aquatempo.class_shape.standards import jump_minutes
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.blocks.cooling import cool_and_stretch
from aquatempo.planning.blocks.filling import Filled, Music, fill
from aquatempo.planning.blocks.intervals import Clock, fill_intervals
from aquatempo.planning.blocks.pieces import Piece, led
from aquatempo.planning.blocks.showing import jumps_high, with_showing
from aquatempo.planning.blocks.stretch_part import fill_with_stretches
from aquatempo.planning.infeasible import Lines, check_moves, check_shape, no_choice, no_outline
from aquatempo.planning.moves.favourites import unused_favourites
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.offers import Ahead
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.repertoire import Repertoire, choose_repertoire
from aquatempo.planning.moves.slots import Kept
from aquatempo.planning.moves.windows import TAIL_SECONDS, Moment, moment
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.outline import Outline, outline_class
from aquatempo.planning.songs.sections import Role
from aquatempo.planning.songs.song import CLOCK_BPM
from aquatempo.planning.telling import closing_notes
from aquatempo.records.people import Intensity
from aquatempo.records.plan import (
    Block,
    Brief,
    ClassPlan,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "WORK",
    "Progress",
    "Wishes",
    "fill_class",
    "plan_class",
    "shares_of",
]

Progress = Callable[[int, int], None]

WORK = 1.0  # CP-SAT's deterministic time for each stage of each track
_HOP_COSTS = {Intensity.EASY: 20, Intensity.STEADY: 8, Intensity.HARD: 0}
_HOPS_WANTED = 24  # a phrase of jumps where they suit and less than a quarter of them has come
_SPARE_HOPS = 3


@dataclass(frozen=True)
class Wishes:
    """What is wanted beside the brief. avoid: base moves that another class should not have.

    By track: kept: of some phrases, the blocks that stay and the counts between them that
    are free; follow: (phrase, offset) -> the block of another plan that this one follows;
    only: of some phrases, the moves that may fill them; whole: tracks that stay as they
    are. bases: the base moves, where they are settled.
    """

    avoid: tuple[str, ...] = ()
    kept: Mapping[int, Mapping[int, tuple[Kept | int, ...]]] = field(default_factory=dict)
    follow: Mapping[int, Mapping[tuple[int, int], Block]] = field(default_factory=dict)
    only: Mapping[int, Mapping[int, frozenset[str]]] = field(default_factory=dict)
    whole: Mapping[int, PlannedTrack] = field(default_factory=dict)
    bases: tuple[str, ...] = ()


def plan_class(
    tracks: Sequence[Track],
    brief: Brief,
    source: Catalogue | None = None,
    *,
    all_once: bool = False,
    lines: Lines | None = None,
    work: float = WORK,
    song_work: float = 1.0,
    progress: Progress | None = None,
    wishes: Wishes | None = None,
) -> ClassPlan:
    """Return a class of the tracks that suit the brief, each phrase filled with moves.

    all_once: every track is played whole, once; the class lasts as long as they do. lines:
    where the brief's asks stand in its file, for errors. work: how hard to search, in CP-SAT's
    deterministic seconds a stage; song_work: the share of what is usual that goes into the
    choice of songs. progress is told (done, of all). Raises InfeasibleError with what clashes
    and the least change that helps. source: the catalogue in force; wishes: what is kept of
    another plan.
    """
    brief = replace(brief, pool=replace(brief.pool, kind=brief.depth))
    effort = Effort(brief.seed, work)
    tempos = [t.analysis.tempo_bpm for t in tracks if t.analysis.tempo_bpm]
    known = source or catalogue()
    check_shape(brief, lines or {}, all_once)
    palette = Palette(brief, [tempo for tempo in tempos if 40 <= tempo <= 240], known)
    searching = replace(effort, work=song_work * effort.work)
    outline = outline_class(tracks, brief, palette, searching, all_once)
    if outline is None:
        raise no_outline(tracks, brief, palette, effort, lines or {})
    return fill_class(outline, known, wishes=wishes, lines=lines, work=work, progress=progress)


def fill_class(
    outline: Outline,
    source: Catalogue | None = None,
    *,
    wishes: Wishes | None = None,
    lines: Lines | None = None,
    work: float = WORK,
    progress: Progress | None = None,
) -> ClassPlan:
    """Return the plan of an outline. Raises InfeasibleError.

    source: the catalogue in force; wishes: what is kept of another plan; lines: where each ask
    stands in its file; work: how much the solver may work; progress: told (what, done, of all).
    """
    filling = _Filling(outline, source or catalogue(), wishes or Wishes(), lines or {}, work)
    tracks = []
    for number in range(len(outline.tracks)):
        tracks.append(filling.track(number))
        if progress is not None:
            progress(number + 1, len(outline.tracks))
    brief = outline.brief
    finished = with_showing(tracks, brief.jump_minutes, brief.depth, filling.palette.source)
    unused = unused_favourites(filling.palette, finished, filling.played)
    notes = (*outline.notes, *filling.notes, *unused)
    limits = filling.palette.limits
    return ClassPlan(
        brief=brief,
        tracks=finished,
        left_out=outline.left_out,
        notes=(*notes, *closing_notes(brief, finished, filling.palette, filling.ledger.jumped)),
        status="optimal" if all(one.optimal for one in filling.solved) else "feasible",
        gap=_gap(filling.solved),
        because=limits.because,
        ending=_ending(finished),
    )


class _Filling:
    """The tracks of an outline filled one after the other, and what is carried between them."""

    def __init__(
        self, outline: Outline, source: Catalogue, wishes: Wishes, lines: Lines, work: float
    ) -> None:
        self.outline, self.wishes, self.lines, self.work = outline, wishes, lines, work
        brief = outline.brief
        self.played = [track.tempo_bpm * track.speed for track in outline.tracks]
        self.palette = Palette(brief, [CLOCK_BPM, *self.played], source)
        check_moves(self.palette, outline.tracks, lines)
        self.repertoire = self._repertoire()
        self.ahead = Ahead(self.palette, self.repertoire.keys, max(self.played))
        self.ledger = Ledger.starting_with(brief.known_moves, brief.known_forms)
        self.solved = [outline.solved, self.repertoire.solved]
        self.notes: list[str] = []
        self.apart = 0
        self.clock = Clock()

    def _repertoire(self) -> Repertoire:
        outline = self.outline
        if self.wishes.bases:
            return Repertoire(self.wishes.bases, Solved(0.0, 0.0, True))
        working = [
            tempo
            for track, tempo in zip(outline.tracks, self.played, strict=True)
            if track.part in (PartName.MAIN, PartName.WARM_UP, PartName.INTERVALS)
        ]
        tempos = sorted(set(working or self.played))
        some = tempos[:: max(1, len(tempos) // 6)]
        return choose_repertoire(
            self.palette, some, Effort(outline.brief.seed, self.work), self.wishes.avoid
        )

    def track(self, number: int) -> PlannedTrack:
        """Return one track filled."""
        if number in self.wishes.whole:
            return self._as_it_is(number)
        outline, ledger = self.outline, self.ledger
        track, brief = outline.tracks[number], outline.brief
        part = next(part for part in outline.parts if part.name == track.part)
        palette = self.palette.under(self._limits(part, track))
        hop_cost, hop_room = self._hops(part, self.played[number])
        music = Music(
            track.phrases,
            shares_of(outline.tracks, number),
            self.played[number],
            part,
            hop_cost=hop_cost,
            hop_room=hop_room,
            kept=self.wishes.kept.get(number, {}),
            follow=self.wishes.follow.get(number, {}),
            only=self.wishes.only.get(number, {}),
        )
        effort = Effort(brief.seed + number, self.work, self.ahead)
        filled: Filled | None
        if part.name is PartName.STRETCH:
            last = number == len(outline.tracks) - 1
            filled = fill_with_stretches(music, palette, ledger, ends=last)
        elif part.name is PartName.INTERVALS and brief.intervals is not None:
            filled = fill_intervals(
                music, brief.intervals, self.clock, palette, ledger, effort, self.repertoire.keys
            )
        else:

            def moves(some: Music) -> Filled | None:
                return fill(some, palette, ledger, effort, self.repertoire.keys)

            stretches = self._stretches_at_the_end_of(number)
            filled = cool_and_stretch(music, palette, ledger, moves) if stretches else moves(music)
        if filled is None:
            raise no_choice(palette, track, self.lines)
        self.solved += filled.solved
        blocks, self.apart = led(filled.rows, self.apart)
        names = _named(filled.names or ("",) * len(track.phrases), music)
        phrases = tuple(
            replace(phrase, blocks=row, section=name)
            for phrase, row, name in zip(track.phrases, blocks, names, strict=True)
        )
        self._remember([piece for row in filled.rows for piece in row], music.tempo_bpm, part.name)
        return replace(track, phrases=self._with_kept(number, phrases))

    def _stretches_at_the_end_of(self, number: int) -> bool:
        """Return whether a class without a stretch part stretches in this song, its last one."""
        parts = [track.part for track in self.outline.tracks]
        last = number == len(parts) - 1
        return last and parts[number] == PartName.COOL_DOWN and PartName.STRETCH not in parts

    def _as_it_is(self, number: int) -> PlannedTrack:
        """Return a track that stays, and write down what it teaches and works."""
        track, brief = self.wishes.whole[number], self.outline.brief
        source, ledger = self.palette.source, self.ledger
        pieces = []
        chorus: set[str] = set()
        for phrase, block in ((one, block) for one in track.phrases for block in one.blocks):
            chorus.update({block.move} if phrase.section == Role.CHORUS.value else ())
            move = source.move(block.move)
            form = resolve(move, variation_of(move, block.variation, source), brief.depth, source)
            pieces.append(Piece(block.counts, form, block.lead, kept=block))
            ledger.add_phrase(move)
            ledger.add_form(form)
            signs = {"right": 1, "left": -1}
            if form.move.sided and form.move.alternates is False:
                self.apart += signs.get(block.lead, 0) * block.counts
        main = track.part == PartName.MAIN.value
        ledger.add_song([piece.form for piece in pieces], chorus, main)
        turns = {
            (block.stint.works, block.stint.number)
            for phrase in track.phrases
            for block in phrase.blocks
            if block.stint is not None
        }
        self.clock.turns += len(turns)
        self._remember(pieces, self.played[number], PartName(track.part))
        return track

    def _with_kept(
        self, number: int, phrases: tuple[PlannedPhrase, ...]
    ) -> tuple[PlannedPhrase, ...]:
        """Return phrases in which those that stay whole are to the letter what they were."""
        kept = self.wishes.kept.get(number, {})
        found = []
        for index, phrase in enumerate(phrases):
            parts = kept.get(index, ())
            if parts and all(isinstance(part, Kept) for part in parts):
                blocks = tuple(part.block for part in parts if isinstance(part, Kept))
                phrase = replace(phrase, blocks=blocks)
            found.append(phrase)
        return tuple(found)

    def _limits(self, part: ClassPart, track: PlannedTrack) -> Limits:
        brief = self.outline.brief
        limits = self.palette.limits.of_part(brief, part.name)
        return limits.of_song(brief, track.title, track.file)

    def _hops(self, part: ClassPart, tempo_bpm: float) -> tuple[int | None, float]:
        """Return what a phrase of jumping costs, None where none may come, and phrases at most.

        Never first, never in two songs in a row, within the minutes that the class has; wanted
        until a quarter of these have come.
        """
        brief, ledger = self.outline.brief, self.ledger
        left = jump_minutes(brief, self.palette.limits) - ledger.jumped
        room = left * tempo_bpm / COUNTS_PER_PHRASE
        first = ledger.songs == 0 and part.name is PartName.MAIN
        if first or ledger.jumped_before or part.name is not PartName.MAIN or room < 1.0:
            return None, 0.0
        wanted = ledger.jumped < left / _SPARE_HOPS
        return _HOP_COSTS[brief.group.intensity] - _HOPS_WANTED * wanted, room

    def _remember(self, pieces: Sequence[Piece], tempo: float, part: PartName) -> None:
        """Note jumps, what the last minutes worked, and how far it cooled down, for the next."""
        ledger = self.ledger
        rated = self.palette.rate([piece.form for piece in pieces], tempo)
        if part is PartName.COOL_DOWN and pieces:
            weights = [piece.counts for piece in pieces]
            ledger.cooled = fmean([one.rpe for one in rated], weights)
        jumped = sum(p.counts / tempo for p in pieces if jumps_high(p.form))
        ledger.jumped += jumped
        ledger.jumped_before = jumped > 0
        ledger.tail = _tail(ledger.tail, pieces, rated, tempo)


def _named(names: Sequence[str], music: Music) -> list[str]:
    """Return the name of every phrase, also of those between."""
    if len(names) == len(music.phrases):
        return list(names)
    told = dict(zip(music.whole, names, strict=False))
    return [told.get(index, "") for index in range(len(music.phrases))]


def _tail(
    tail: Sequence[Moment], pieces: Sequence[Piece], rated: Sequence[Rated], tempo_bpm: float
) -> list[Moment]:
    """Return what the last minutes worked, newest last."""
    found = list(tail)
    found += [
        moment(one, piece.counts * 60.0 / tempo_bpm)
        for piece, one in zip(pieces, rated, strict=True)
    ]
    total, first = 0.0, len(found)
    while first > 0 and total <= TAIL_SECONDS:
        first -= 1
        total += found[first][1]
    return found[first:]


def _ending(tracks: Sequence[PlannedTrack]) -> str:
    """Return the last move of the class."""
    blocks = [block for track in tracks for phrase in track.phrases for block in phrase.blocks]
    return blocks[-1].move if blocks else ""


def shares_of(tracks: Sequence[PlannedTrack], number: int) -> list[float]:
    """Return where the middle of each phrase of a track lies in its part, 0 to 1.

    tracks: the songs, in order; number: which track, from 0.
    """
    mine = [track for track in tracks if track.part == tracks[number].part]
    minutes = [
        [phrase.counts / (track.tempo_bpm * track.speed) for phrase in track.phrases]
        for track in mine
    ]
    total = sum(map(sum, minutes))
    place = sum(1 for track in tracks[:number] if track.part == tracks[number].part)
    done = sum(map(sum, minutes[:place]))
    shares = []
    for length in minutes[place]:
        shares.append((done + length / 2) / total)
        done += length
    return shares


def _gap(solved: Sequence[Solved]) -> float:
    """Return by which share of its cost a plan could at most be better, stage by stage."""
    cost = sum(one.cost for one in solved)
    least = sum(min(one.bound, one.cost) for one in solved)
    return round(max(0.0, (cost - least) / cost), 4) if cost > 0 else 0.0
