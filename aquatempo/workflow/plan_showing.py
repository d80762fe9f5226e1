"""A plan and its review as the page shows them: places, times, names, findings."""

from __future__ import annotations

from collections.abc import Callable

from aquatempo.cues.language import load_language
from aquatempo.moves import Catalogue
from aquatempo.records.cues import CallWords
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.plan_page import (
    AlternativeShown,
    BlockShown,
    FindingShown,
    PhraseShown,
    PlanHead,
    PlanShown,
    PlanStep,
    TrackShown,
)
from aquatempo.records.review import Finding, Review
from aquatempo.records.shaping import Alternative

__all__ = ["shown_alternative", "shown_plan"]


def shown_plan(
    key: str,
    plan: ClassPlan,
    review: Review,
    head: PlanHead,
    revision: str,
    source: Catalogue,
    language: str,
    song_of: Callable[[str], str],
) -> PlanShown:
    """Return what the page shows of a plan.

    key: its id; review: what is wrong with it; head: its history; revision: digest of its text;
    source: the catalogue in force; language: of names; song_of: the id in the list of a file, ""
    where it is not there.
    """
    now_s, tracks = 0.0, []
    for number, track in enumerate(plan.tracks, 1):
        shown = _track(number, track, now_s, source, language, song_of)
        tracks.append(shown)
        now_s += shown.lasts_s
    undo, redo = _steps(head)
    return PlanShown(
        id=key,
        revision=revision,
        title=plan.brief.title,
        depth=plan.brief.depth.value,
        minutes=now_s / 60.0,
        asked_minutes=plan.brief.minutes,
        status=plan.status,
        undo=undo,
        redo=redo,
        fit_to_teach=review.fit_to_teach,
        jump_minutes=review.jump_minutes,
        parts=review.parts,
        locked_parts=tuple(part.name.value for part in plan.brief.parts if part.locked),
        tracks=tuple(tracks),
        effort=review.exertion or review.effort,
        balance=review.balance,
        findings=tuple(_finding(one) for one in review.findings),
        prompts=review.prompts,
        because=tuple(
            " ".join(part for part in (f"{one.of}: {one.does}", one.overruled) if part)
            for one in plan.because
        ),
        left_out=tuple((one.title, one.reason) for one in plan.left_out),
        notes=plan.notes,
    )


def shown_alternative(one: Alternative, source: Catalogue, language: str) -> AlternativeShown:
    """Return what the page shows of one alternative for a block.

    source: the catalogue in force; language: of names.
    """
    name, options = _names(one.block, source, language)
    return AlternativeShown(
        name=name,
        options=options,
        ask=_ask(one.block),
        rpe_change=one.rpe_change,
        impact=one.impact,
        impact_before=one.impact_before,
        planes=one.planes,
        learning=one.learning,
    )


def _steps(head: PlanHead) -> tuple[PlanStep | None, PlanStep | None]:
    undo = head.steps[head.at] if head.at > 0 else None
    redo = head.steps[head.at + 1] if head.at + 1 < len(head.steps) else None
    return undo, redo


def _track(
    number: int,
    track: PlannedTrack,
    at_s: float,
    source: Catalogue,
    language: str,
    song_of: Callable[[str], str],
) -> TrackShown:
    beat_s = 60.0 / (track.tempo_bpm * track.speed)
    phrases = []
    start = at_s
    for place, phrase in enumerate(track.phrases, 1):
        phrases.append(_phrase(f"{number}.{place}", phrase, at_s, source, language))
        at_s += phrase.counts * beat_s
    return TrackShown(
        number=number,
        title=track.title,
        song=song_of(track.file) if track.file else "",
        part=track.part,
        at_s=start,
        lasts_s=at_s - start,
        tempo_bpm=track.tempo_bpm,
        speed=track.speed,
        speed_reason=track.speed_reason,
        clock=not track.file,
        locked=track.locked,
        phrases=tuple(phrases),
    )


def _phrase(
    place: str, phrase: PlannedPhrase, at_s: float, source: Catalogue, language: str
) -> PhraseShown:
    return PhraseShown(
        place=place,
        kind=phrase.kind.value,
        energy=phrase.energy_level.value,
        section=phrase.section,
        counts=phrase.counts,
        at_s=at_s,
        locked=phrase.locked,
        blocks=tuple(
            _block(f"{place}.{number}", block, source, language)
            for number, block in enumerate(phrase.blocks, 1)
        ),
    )


def _block(place: str, block: Block, source: Catalogue, language: str) -> BlockShown:
    name, options = _names(block, source, language)
    return BlockShown(
        place=place,
        counts=block.counts,
        move=block.move,
        name=name,
        options=options,
        ask=_ask(block),
        pattern=block.pattern,
        lead=block.lead,
        level=block.level,
        show=block.show,
        works=None if block.stint is None else block.stint.works,
        locked=block.locked,
    )


def _names(block: Block, source: Catalogue, language: str) -> tuple[str, tuple[str, ...]]:
    pack = load_language(language)

    def name(words: CallWords) -> str:
        return pack.localise(words).name

    move = source.moves.get(block.move)
    options = []
    for factor, key in block.variation:
        option = source.option(Factor(factor), key)
        options.append(name(CallWords(key, option.name, option.spoken, option.sign, factor)))
    if move is None:
        return block.move, tuple(options)
    return name(CallWords(move.key, move.name, move.spoken, move.sign)), tuple(options)


def _ask(block: Block) -> str:
    return "+".join([block.move, *(f"{factor}={key}" for factor, key in block.variation)])


def _finding(one: Finding) -> FindingShown:
    numbers = [one.track, one.phrase, one.block]
    place = ".".join(str(number) for number in numbers[: sum(number > 0 for number in numbers)])
    return FindingShown(
        fault=one.fault.value,
        severity=one.severity.value,
        place=place,
        minute=one.minute,
        reason=one.reason,
        remedy=one.remedy,
        source=one.source,
    )
