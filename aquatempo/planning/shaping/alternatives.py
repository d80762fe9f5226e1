"""What else might be done: for a block the next best three, for a class two others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.parts import class_shape
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.blocks.pieces import Piece, block_of
from aquatempo.planning.class_plan import WORK, Progress, Wishes, plan_class, shares_of
from aquatempo.planning.moves.menus import changed_factors
from aquatempo.planning.moves.move_costs import one_sided, phrases_to_learn
from aquatempo.planning.moves.palette import Palette, Rated, jumps
from aquatempo.planning.moves.passages import passages_for
from aquatempo.planning.shaping.places import PlanPlace, block_at, phrase_at, track_at
from aquatempo.planning.shaping.replanning import bases_of
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.plan import Block, Brief, ClassPlan, PartName
from aquatempo.records.rhythm import PhraseKind
from aquatempo.records.shaping import Alternative, OtherClass
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["alternatives", "other_classes"]

BEST = 3
_OF_ONE_MOVE = 1  # alternatives of the same move; the others are other moves
_OFF, _NEW_MOVE, _NEW_FORM, _PLANE = 3.0, 6.0, 2.0, 8.0
_CANDIDATES = 4  # forms of a move that are weighed


def alternatives(
    plan: ClassPlan,
    place: PlanPlace,
    source: Catalogue | None = None,
    best: int = BEST,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Alternative, ...]:
    """Return the next best forms for a block, the best first.

    Each may follow what goes before it and be followed by what comes after, keeps its range,
    and is allowed by the brief and its notes. Raises InputError where the place is none, or is
    a bridge, a stretch or a rest, which have no alternatives of this kind. plan: the class;
    source: the catalogue in force; progress: told how many moves are weighed, of all.
    """
    known = (source or catalogue()).at(plan.brief.depth)
    here = _Here(plan, place, known)
    found: list[tuple[float, Rated]] = []
    moves = list(here.moves())
    for number, key in enumerate(moves):
        if progress is not None:
            progress(number, len(moves))
        rated = here.candidates(key)
        found += sorted(((here.cost(one), one) for one in rated), key=lambda pair: pair[0])[
            :_CANDIDATES
        ]
    found.sort(key=lambda pair: (pair[0], pair[1].form.move.key, str(pair[1].form.variation)))
    chosen: list[tuple[float, Rated]] = []
    for most in (_OF_ONE_MOVE, best):  # other moves first, then more of the same one
        per_move = Counter(one.form.move.key for _, one in chosen)
        for cost, one in found:
            room = len(chosen) < best and per_move[one.form.move.key] < most
            if room and (cost, one) not in chosen:
                per_move[one.form.move.key] += 1
                chosen.append((cost, one))
    chosen.sort(key=lambda pair: pair[0])
    return tuple(here.told(one, cost) for cost, one in chosen)


class _Here:
    """A block in its place: what is around it, what the class knows, what is wanted."""

    def __init__(self, plan: ClassPlan, place: PlanPlace, source: Catalogue) -> None:
        self.plan, self.place, self.source = plan, place, source
        self.track, self.phrase = track_at(plan, place), phrase_at(plan, place)
        self.block = block_at(plan, place)
        kind = source.move(self.block.move).kind
        if self.phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK) or (
            kind in (MoveKind.HOLDING, MoveKind.STRETCH)
        ):
            what = (
                self.phrase.kind.value if self.phrase.kind is not PhraseKind.PHRASE else kind.value
            )
            raise InputError(f"{place} is a {what}: alternatives are for blocks of work")
        self.tempo = self.track.tempo_bpm * self.track.speed
        self.palette = Palette(plan.brief, [self.tempo], source)
        limits = self.palette.limits.of_part(plan.brief, PartName(self.track.part))
        self.palette = self.palette.under(
            limits.of_song(plan.brief, self.track.title, self.track.file)
        )
        self.passages = passages_for(self.palette)
        self.before, self.after = self._neighbours()
        self.known = self._learned()
        self.now = self._rated(self.block)
        self.wanted = self._wanted()
        self.planes = self._planes()

    def moves(self) -> list[str]:
        """Return the moves that may stand here: the class's own first."""
        own = list(bases_of(self.plan, self.source))
        if self.track.part == PartName.COOL_DOWN.value:
            own += [move.key for move in self.palette.of(MoveKind.ARMS_ONLY)]
        more = [m.key for m in self.palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY)]
        allowed = {move.key for move in self.palette.moves}
        return [key for key in dict.fromkeys((*own, *more)) if key in allowed]

    def candidates(self, key: str) -> list[Rated]:
        """Return the forms of a move that fit into the place."""
        move = self.source.move(key)
        pyramid = any(factor == "sides" for factor, _ in self.block.variation)
        start = self.palette.start(move, self.tempo, one_side=pyramid)
        if start is None:
            return []
        whole = self.block.counts == COUNTS_PER_PHRASE
        one_side = one_sided(start.form.move)
        if one_side and not pyramid and not one_sided(self.source.move(self.block.move)):
            return []
        if pyramid and not one_side:
            return []
        new = key not in self.known
        if new and not (whole and self._offset() == 0 and phrases_to_learn(start) == 1):
            return []
        # What is new is taken as it starts: its variations need not be rated.
        forms = [start] if new else self.palette.forms_of(move, self.tempo, start.form)
        return [
            one
            for one in forms
            if one.form.variation != self.now.form.variation
            and self._fits(one)
            and not (jumps(one) and not jumps(self.now))
            and (self.block.counts >= 2 * COUNTS_PER_EIGHT or one.form.variation in self._seen())
        ]

    def _fits(self, one: Rated) -> bool:
        for first, second in ((self.before, one.form), (one.form, self.after)):
            if first is None or second is None:
                continue
            same = first.move.key == second.move.key
            if same and len(changed_factors(first, second)) > 1:
                return False
            if not self.passages.works(first, second):
                return False
        others = [self._form(block) for block in self.phrase.blocks if block is not self.block]
        return all(one.form.arms_in_water == other.arms_in_water for other in others)

    def cost(self, one: Rated) -> float:
        """Return by what a form is ranked: effort, what is new, balance of planes."""
        cost = _OFF * abs(one.rpe - self.wanted)
        if one.form.move.key not in self.known:
            cost += _NEW_MOVE
        elif one.form.variation not in self._seen():
            cost += _NEW_FORM * max(1, len(one.form.variation.changes))
        share = self.planes[one.form.move.plane.value] / max(1, sum(self.planes.values()))
        return cost + _PLANE * max(0.0, share - 0.5)

    def told(self, one: Rated, cost: float) -> Alternative:
        """Return a form as an alternative, with what it would change."""
        learning = ""
        if one.form.move.key not in self.known:
            learning = "a base move new to the class"
        elif one.form.variation not in self._seen() and one.form.variation.changes:
            learning = "a variation that the class has not done yet"
        block = block_of(Piece(self.block.counts, one.form), self.block.lead or "right")
        if not one.form.move.sided:
            block = replace(block, lead="")
        return Alternative(
            block=block,
            name=one.form.name,
            rpe_change=round(one.rpe - self.now.rpe, 1),
            met_change=round(one.met - self.now.met, 2),
            impact=one.figures.impact.value,
            impact_before=self.now.figures.impact.value,
            planes=self._balance(one),
            learning=learning,
            cost=round(cost, 2),
        )

    def _balance(self, one: Rated) -> tuple[tuple[str, float, float], ...]:
        total = sum(self.planes.values()) or 1
        then = self.planes.copy()
        then[self.now.form.move.plane.value] -= self.block.counts
        then[one.form.move.plane.value] += self.block.counts
        return tuple(
            (plane, round(self.planes[plane] / total, 3), round(then[plane] / total, 3))
            for plane in sorted({*self.planes, *then})
            if self.planes[plane] != then[plane]
        )

    def _offset(self) -> int:
        return sum(block.counts for block in self.phrase.blocks[: (self.place.block or 1) - 1])

    def _neighbours(self) -> tuple[MoveForm | None, MoveForm | None]:
        flat = [block for phrase in self.track.phrases for block in phrase.blocks]
        at = next(place for place, block in enumerate(flat) if block is self.block)
        before = self._form(flat[at - 1]) if at else None
        after = self._form(flat[at + 1]) if at + 1 < len(flat) else None
        return before, after

    def _form(self, block: Block) -> MoveForm:
        move = self.source.move(block.move)
        changes = variation_of(move, block.variation, self.source)
        return resolve(move, changes, self.plan.brief.depth, self.source)

    def _rated(self, block: Block) -> Rated:
        (rated,) = self.palette.rate([self._form(block)], self.tempo)
        return rated

    def _earlier(self) -> list[Block]:
        found: list[Block] = []
        for number, track in enumerate(self.plan.tracks, 1):
            for index, phrase in enumerate(track.phrases, 1):
                if (number, index) >= (self.place.track, self.place.phrase):
                    return found
                found += phrase.blocks
        return found

    def _learned(self) -> set[str]:
        return {*self.plan.brief.known_moves, *(block.move for block in self._earlier())}

    def _seen(self) -> set[object]:
        return {self._form(block).variation for block in self._earlier()}

    def _wanted(self) -> float:
        brief, part = self.plan.brief, PartName(self.track.part)
        own = next((p.rpe for p in class_shape(brief) if p.name is part), None)
        shares = shares_of(self.plan.tracks, self.place.track - 1)
        share = shares[self.place.phrase - 1]
        return wanted_rpe(part, share, self.phrase.energy_level, self.palette.limits, own)

    def _planes(self) -> Counter[str]:
        found: Counter[str] = Counter()
        for track in self.plan.tracks:
            for phrase in track.phrases:
                for block in phrase.blocks:
                    move = self.source.move(block.move)
                    if move.kind not in (MoveKind.HOLDING, MoveKind.STRETCH):
                        found[move.plane.value] += block.counts
        return found


def other_classes(
    tracks: Sequence[Track],
    plan: ClassPlan,
    source: Catalogue | None = None,
    count: int = 2,
    work: float = WORK,
    progress: Progress | None = None,
) -> tuple[OtherClass, ...]:
    """Return other classes for the brief of a plan that differ from it in base moves.

    They differ from each other too. A group that is new has little to choose from: its classes
    share what they must. Raises InfeasibleError. tracks: the songs, in order; source: the
    catalogue in force; count: how many; work: how much the solver may work; progress: told
    (what, done, of all).
    """
    known = source or catalogue()
    first = bases_of(plan, known)
    avoid = list(first)
    found: list[OtherClass] = []
    brief: Brief = plan.brief
    for number in range(1, count + 1):
        other = plan_class(
            tracks,
            replace(brief, seed=brief.seed + number),
            known,
            work=work,
            progress=progress,
            wishes=Wishes(avoid=tuple(avoid)),
        )
        bases = bases_of(other, known)
        found.append(OtherClass(other, bases, _shared(other, first, known)))
        avoid = list(dict.fromkeys((*avoid, *bases)))
    return tuple(found)


def _shared(plan: ClassPlan, bases: Sequence[str], source: Catalogue) -> float:
    kinds = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    counts: Counter[bool] = Counter()
    for track in plan.tracks:
        for phrase in track.phrases:
            for block in phrase.blocks:
                if source.move(block.move).kind in kinds:
                    counts[block.move in bases] += block.counts
    return round(counts[True] / max(1, counts.total()), 3)
