"""A plan read for review: every block with its form, its tempo and its place on the clock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.errors import InputError, UnknownNameError
from aquatempo.moves import Catalogue, lead_check, parse_pattern, resolve, variation_of
from aquatempo.records.moves import Factor, Move, MoveForm, MoveKind, Pattern, Variation
from aquatempo.records.people import Pool
from aquatempo.records.plan import (
    Block,
    Brief,
    ClassPlan,
    IntervalUnit,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.review import PRACTICE, Fault, Finding, Severity
from aquatempo.records.rhythm import PhraseKind

__all__ = ["WORKING", "ReadPlan", "Spot", "finding", "read"]

WORKING = (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.ARMS_ONLY)
_RESTING = ("jog", "bicycle")  # carry a class over a bridge as well as any holding move


@dataclass(frozen=True, slots=True)
class Spot:
    """One block in its place. track, phrase, block: 1-based; offset: counts from count 1.

    tempo_bpm: as played [beats/min]; minute: of the class, where it starts; minutes: how
    long it lasts [min].
    """

    track: int
    phrase: int
    block: int
    offset: int
    planned: PlannedTrack
    stretch: PlannedPhrase
    what: Block
    form: MoveForm
    pattern: Pattern
    tempo_bpm: float
    minute: float
    minutes: float

    @property
    def move(self) -> Move:
        """The move of its form."""
        return self.form.move

    @property
    def name(self) -> str:
        """What people call it."""
        return self.form.name.lower()

    @property
    def run_key(self) -> tuple[object, ...]:
        """What stays the same for as long as the class does the same."""
        return self.form.variation, self.pattern.text

    @property
    def form_key(self) -> tuple[Variation, str, float]:
        """What a verdict depends on, within one plan."""
        return self.form.variation, self.pattern.text, self.tempo_bpm

    @property
    def rests(self) -> bool:
        """Whether it may carry a bridge: a holding move or as good as one."""
        return self.move.kind is MoveKind.HOLDING or self.move.key in _RESTING

    @property
    def stretches(self) -> bool:
        """Whether it is a stretch, which has no place in most rules of moves."""
        return self.move.kind is MoveKind.STRETCH

    @property
    def between(self) -> bool:
        """Whether it stands outside the whole phrases of its song."""
        return self.stretch.kind is not PhraseKind.PHRASE

    @property
    def works(self) -> bool:
        """Whether the class works in it, rather than holds, rests or stretches."""
        return self.move.kind in WORKING and not (self.rests and self.between)

    def side_counts(self) -> tuple[float, float]:
        """Return the counts worked by the right and by the left leg; 0, 0 without sides."""
        if not self.move.sided or self.what.lead not in ("right", "left"):
            return 0.0, 0.0
        lead, other = float(self.what.counts), 0.0
        if self.move.alternates:
            lead, other = _shares(self.form, self.pattern, self.what.counts)
        return (lead, other) if self.what.lead == "right" else (other, lead)


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """A plan as the rules see it. broken: what could not be read, as findings."""

    plan: ClassPlan
    source: Catalogue
    pool: Pool
    spots: tuple[Spot, ...]
    broken: tuple[Finding, ...]
    minutes: float

    @property
    def brief(self) -> Brief:
        """The brief of the plan."""
        return self.plan.brief

    @property
    def limits(self) -> Limits:
        """What the brief, its notes and a coordinator's rules ask of the class."""
        return limits_of(self.brief)

    def limits_at(self, track: PlannedTrack) -> Limits:
        """Return what holds in a track: the class's, its part's and its song's own."""
        found = self.limits
        if track.part in list(PartName):
            found = found.of_part(self.brief, PartName(track.part))
        return found.of_song(self.brief, track.title, track.file)

    def by_clock(self, spot: Spot) -> bool:
        """Return whether the clock, not the music, says when a spot begins.

        spot: in question; so it is in intervals that are asked for in seconds.
        """
        asked = self.brief.intervals
        seconds = asked is not None and asked.unit is IntervalUnit.SECONDS
        return seconds and spot.planned.part == PartName.INTERVALS

    def of_parts(self, *parts: PartName) -> list[Spot]:
        """Return the spots of some parts, in order."""
        return [spot for spot in self.spots if spot.planned.part in parts]

    def neighbours(self) -> Iterator[tuple[Spot, Spot]]:
        """Yield spots that follow one another within a track."""
        for before, after in pairwise(self.spots):
            if before.track == after.track:
                yield before, after

    def runs(self) -> Iterator[tuple[Spot, ...]]:
        """Yield spots in a row in which the class does the same; the lead may change."""
        run: list[Spot] = []
        for spot in self.spots:
            if run and (run[-1].track != spot.track or run[-1].run_key != spot.run_key):
                yield tuple(run)
                run = []
            run.append(spot)
        if run:
            yield tuple(run)


def finding(
    fault: Fault,
    severity: Severity,
    at: Spot | None,
    reason: str,
    remedy: str,
    source: str = PRACTICE,
) -> Finding:
    """Return a finding at a spot, or on the whole plan.

    fault: its kind; severity: how bad; reason: what is wrong, in words; remedy: what to do;
    source: where the rule comes from.
    """
    if at is None:
        return Finding(fault, severity, 0, 0, 0, reason, remedy, source=source)
    place = at.track, at.phrase, at.block
    return Finding(fault, severity, *place, reason, remedy, at.minute, source)


def read(plan: ClassPlan, source: Catalogue) -> ReadPlan:
    """Return a plan read block by block; what cannot be read becomes a finding.

    source: the catalogue in force, as the plan's depth has it.
    """
    source = source.at(plan.brief.depth)
    spots: list[Spot] = []
    broken: list[Finding] = []
    minute = 0.0
    for number, track in enumerate(plan.tracks, 1):
        tempo = track.tempo_bpm * track.speed
        for place, phrase in enumerate(track.phrases, 1):
            offset = 0
            for index, block in enumerate(phrase.blocks, 1):
                minutes = block.counts / tempo if tempo > 0 else 0.0
                found = _form(block, plan, source)
                if isinstance(found, Finding):
                    at = {"track": number, "phrase": place, "block": index, "minute": minute}
                    broken.append(replace(found, **at))  # type: ignore[arg-type]
                else:
                    spots.append(
                        Spot(
                            *(number, place, index, offset, track, phrase, block, *found),
                            *(tempo, minute, minutes),
                        )
                    )
                offset += block.counts
                minute += minutes
    pool = replace(plan.brief.pool, kind=plan.brief.depth)
    return ReadPlan(plan, source, pool, tuple(spots), tuple(broken), minute)


def _form(block: Block, plan: ClassPlan, source: Catalogue) -> tuple[MoveForm, Pattern] | Finding:
    """Return the form and pattern of a block; what it says without a factor becomes one."""
    depth = plan.brief.depth
    try:
        if block.move not in source.moves:
            raise UnknownNameError("move", block.move, source.moves)
        move = source.moves[block.move]
        pattern = parse_pattern(block.pattern)
        wanted = variation_of(move, block.variation, source)
        form = resolve(move, wanted, depth, source)
        for factor, key in _said(block, form, pattern, source):
            if factor in dict(wanted.changes):
                return _contradiction(factor, key, form, pattern)
            wanted = Variation(move.key, (*wanted.changes, (factor, key)))
        return resolve(move, wanted, depth, source), pattern
    except InputError as error:
        remedy = "name a move, options and a pattern of the catalogue"
        return finding(Fault.UNKNOWN, Severity.ERROR, None, str(error), remedy)


def _said(
    block: Block, form: MoveForm, pattern: Pattern, source: Catalogue
) -> Iterator[tuple[Factor, str]]:
    """Yield the factors that a block's own level, travel and pattern add to its variation."""
    if block.level != form.level:
        yield Factor.LEVEL, source.option(Factor.LEVEL, block.level).key
    if block.travel != form.travel:
        key = block.travel.replace(" ", "-")
        yield Factor.TRAVEL, source.option(Factor.TRAVEL, key).key
    usual = form.pattern.text if form.pattern is not None else form.move.pattern
    if pattern.text != usual:
        for option in source.options_of(Factor.TEMPO):
            if dict(option.effect).get("pattern") == pattern.text:
                yield Factor.TEMPO, option.key


def _contradiction(factor: Factor, key: str, form: MoveForm, pattern: Pattern) -> Finding:
    reason = f"{form.name.lower()} in its variation, but {factor} {key} in its own words"
    if factor is Factor.TEMPO:
        reason = f"{form.name.lower()} in its variation, but the pattern {pattern.text}"
    return finding(
        *(Fault.CONTRADICTION, Severity.ERROR, None, reason),
        f"let the block and its variation name the same {factor}",
    )


def _shares(form: MoveForm, pattern: Pattern, counts: int) -> tuple[float, float]:
    """Return how the counts of a block fall on the lead leg and the other."""
    check = lead_check(form.move, pattern, len(form.movements))
    rounds, rest = divmod(counts, check.returns_after_counts)
    total = check.lead_counts + check.other_counts
    if not total:
        return counts / 2, counts / 2
    lead = rounds * float(check.lead_counts)
    half, place = len(form.move.movements) // 2, 0
    left = rest
    while left > 0:
        step = pattern.steps[place % len(pattern.steps)]
        size = min(left, step.moving_counts + step.held_counts)
        if place % len(form.movements) < half:
            lead += size
        left -= size
        place += 1
    return lead, counts - lead
