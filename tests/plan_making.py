"""Small valid classes from a seed, for tests of plans: an invented group at the Lindenbad.

No search: moves are drawn at random among those that every rule allows at that place.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from aquatempo.feasibility import judge_forms
from aquatempo.moves import catalogue, resolve, transition, variations
from aquatempo.records.moves import Factor, MoveForm, MoveKind, Plane
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import (
    Block,
    Brief,
    ClassPlan,
    PartBrief,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis

__all__ = ["heard", "make_plan"]

FORM = (
    ("intro", 8),
    *[("phrase", 32)] * 4,
    ("bridge", 8),
    *[("phrase", 32)] * 4,
    ("outro", 8),
)
TEMPI = {"warm-up": (118, 122), "main": (128, 132), "cool-down": (104, 108), "stretch": (96, 100)}
SETS = 2  # two phrases each, and again after the bridge, in a track of FORM
STRETCHES = {
    ClassDepth.SHALLOW: ("calf-stretch", "hamstring-stretch", "quad-stretch", "side-stretch"),
    ClassDepth.DEEP: ("shoulder-stretch", "chest-stretch", "upper-back-stretch", "arm-glide"),
}
FREE_OF_RISK = ("jump", "tuck", "frog", "star", "leap", "twist", "back-kick", "mogul")
POOLS = {
    ClassDepth.SHALLOW: Pool(depth_m=1.2, space_m2=5.0),
    ClassDepth.DEEP: Pool(depth_m=2.0, kind=ClassDepth.DEEP, space_m2=5.0),
}
FLOOR = 0.85


def heard(spans: Sequence[tuple[str, int]], tempo_bpm: float) -> RhythmAnalysis:
    """Return the analysis of a steady track with the given (kind, counts) in turn."""
    beat_s, total = 60.0 / tempo_bpm, sum(counts for _, counts in spans)
    phrases, at = [], 0
    for kind, counts in spans:
        times = (0.5 + at * beat_s, 0.5 + (at + counts) * beat_s)
        level = EnergyLevel.HIGH if kind == "phrase" else EnergyLevel.LOW
        phrases.append(Phrase(*times, at, counts, PhraseKind(kind), 0.5, level))
        at += counts
    beats = tuple(0.5 + beat * beat_s for beat in range(total))
    return RhythmAnalysis(
        duration_s=beats[-1] + beat_s,
        tempo_bpm=tempo_bpm,
        tempo_confidence=0.95,
        confidence=0.9,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=beats,
        beats_inferred=(False,) * total,
        downbeats_s=beats[::4],
        phrases=tuple(phrases),
    )


@cache
def make_plan(seed: int) -> ClassPlan:
    """Return a class of five tracks that keeps every rule; even seeds are shallow."""
    draw = random.Random(seed)
    depth = ClassDepth.DEEP if seed % 2 else ClassDepth.SHALLOW
    parts = ("warm-up", "main", "main", "cool-down", "stretch")
    maker = _Maker(draw, depth)
    tracks = tuple(maker.track(number, part) for number, part in enumerate(parts, 1))
    minutes = sum(_minutes(track) for track in tracks)
    asked = tuple(
        PartBrief(
            PartName(part),
            round(sum(_minutes(track) for track in tracks if track.part == part), 1),
            (float(low), float(high)),
        )
        for part, (low, high) in TEMPI.items()
    )
    brief = Brief(
        title="Tuesday group",
        minutes=round(minutes, 1),
        depth=depth,
        pool=POOLS[depth],
        group=Group(),
        parts=asked,
        range_floor=FLOOR,
        rpe=(8.0, 15.0),
        seed=seed,
    )
    return ClassPlan(brief=brief, tracks=tracks, status="by hand")


def _minutes(track: PlannedTrack) -> float:
    return sum(phrase.counts for phrase in track.phrases) / track.tempo_bpm


class _Maker:
    """Draws the moves of one class; remembers which leg led last."""

    def __init__(self, draw: random.Random, depth: ClassDepth) -> None:
        self.draw, self.depth, self.leads = draw, depth, 0

    def track(self, number: int, part: str) -> PlannedTrack:
        tempo = self.draw.choice(TEMPI[part])
        analysis = heard(FORM, float(tempo))
        forms = self.stretches() if part == "stretch" else self.sets(part, float(tempo))
        hold = resolve(catalogue().moves["easy-jog"], None, self.depth)
        planned, done = [], 0
        for phrase in analysis.phrases:
            if phrase.kind is PhraseKind.PHRASE:
                blocks = self.blocks(forms[done], phrase.counts, done)
                done += 1
            elif part == "stretch":  # no jog between held stretches, none at the end
                place = max(done - 1, 0)
                blocks = self.blocks(forms[place], phrase.counts, place)
            else:
                blocks = self.blocks(hold, phrase.counts, 0)
            planned.append(
                PlannedPhrase(
                    phrase.start_beat, phrase.counts, phrase.kind, phrase.energy_level, blocks
                )
            )
        return PlannedTrack(
            title=f"Lane {number}",
            file=f"lane-{number}.ogg",
            part=part,
            tempo_bpm=float(tempo),
            phrases=tuple(planned),
            analysis=analysis,
        )

    def stretches(self) -> list[MoveForm]:
        """Return a stretch a pair of phrases, so that each side has its turn."""
        keys = STRETCHES[self.depth]
        return [resolve(catalogue().moves[key], None, self.depth) for key in keys for _ in "ab"]

    def sets(self, part: str, tempo_bpm: float) -> list[MoveForm]:
        """Return a form a phrase: a move as it stands, then with one factor changed."""
        found: list[MoveForm] = []
        chosen = self.moves(part, tempo_bpm)
        for place, (base, effort) in enumerate(chosen):
            after = chosen[(place + 1) % len(chosen)][0]
            options = [
                form
                for form, met in _varied(base.move.key, self.depth, tempo_bpm)
                if abs(met - effort) < 0.5
                and transition(base, None, form, None).works
                and transition(form, None, after, None).counts <= 2
                and _to_hold(form, self.depth)
            ]
            found += [base, self.draw.choice(options) if options else base]
        return 2 * found

    def moves(self, part: str, tempo_bpm: float) -> list[tuple[MoveForm, float]]:
        """Return the base forms of a track with their effort, ordered as the part asks."""
        known = _bases(self.depth, tempo_bpm)
        middle = sorted(met for _, met in known)[len(known) // 2]
        if part == "cool-down":
            known = [(form, met) for form, met in known if met <= middle]
        for _ in range(4000):
            some = self.draw.sample(known, SETS)
            some.sort(key=lambda pair: pair[1], reverse=part == "cool-down")
            frontal = sum(form.move.plane is Plane.FRONTAL for form, _ in some)
            brisk = sum(met for _, met in some) >= SETS * middle and some[0][1] <= middle
            ring = [*some, some[0]]
            follow = all(transition(a, None, b, None).works for (a, _), (b, _) in pairwise(ring))
            warm = part != "warm-up" or some[-1][1] >= middle
            if follow and warm and (part != "main" or (brisk and frontal == SETS // 2)):
                return some
        raise AssertionError("no moves follow one another")

    def blocks(self, form: MoveForm, counts: int, place: int) -> tuple[Block, ...]:
        """Return a phrase of a form; one-sided moves change the lead half-way."""
        move = form.move
        spans: tuple[tuple[int, str], ...] = ((counts, ""),)
        if move.kind is MoveKind.STRETCH and move.sided:
            spans = ((counts, ("right", "left")[place % 2]),)
        elif move.sided and not move.alternates:
            spans = ((counts // 2, "right"), (counts // 2, "left"))
        elif move.sided:
            self.leads += 1
            spans = ((counts, ("right", "left")[self.leads % 2]),)
        pattern = form.pattern.text if form.pattern else move.pattern
        changes = tuple((str(factor), key) for factor, key in form.variation.changes)
        return tuple(
            Block(
                counts=some,
                move=move.key,
                variation=changes,
                pattern=pattern,
                lead=lead,
                level=str(form.level),
                travel=str(form.travel),
            )
            for some, lead in spans
        )


def _to_hold(form: MoveForm, depth: ClassDepth) -> bool:
    hold = resolve(catalogue().moves["easy-jog"], None, depth)
    there, back = transition(form, None, hold, None), transition(hold, None, form, None)
    return there.counts <= 4 and back.counts <= 4


@cache
def _bases(depth: ClassDepth, tempo_bpm: float) -> list[tuple[MoveForm, float]]:
    """Return the base forms that keep their range, with their effort [MET]."""
    kinds = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    forms = [
        resolve(move, None, depth)
        for move in catalogue().moves.values()
        if move.kind in kinds and depth in move.depths and move.key not in FREE_OF_RISK
    ]
    fit = [form for form in forms if form.move.pattern == "2" and _to_hold(form, depth)]
    return _keeping(fit, depth, tempo_bpm)


@cache
def _varied(key: str, depth: ClassDepth, tempo_bpm: float) -> list[tuple[MoveForm, float]]:
    move = catalogue().moves[key]
    calm = (Factor.ARM_SYMMETRY, Factor.HANDS, Factor.RANGE, Factor.TURN)
    forms = [
        resolve(move, variation, depth)
        for variation in variations(move, depth)
        if variation.changes[0][0] in calm
    ]
    return _keeping([form for form in forms if form.arms_in_water], depth, tempo_bpm)


def _keeping(
    forms: list[MoveForm], depth: ClassDepth, tempo_bpm: float
) -> list[tuple[MoveForm, float]]:
    if not forms:
        return []
    grid = judge_forms(forms, [None], [tempo_bpm], POOLS[depth], Group())
    kept, met = grid.range_kept[:, 0, 0, 1], grid.met[:, 0, 0, 1]
    return [
        (form, float(effort))
        for form, share, effort in zip(forms, kept, met, strict=True)
        if share >= FLOOR + 0.02
    ]
