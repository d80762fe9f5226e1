"""Places in a plan, as people say them: 3 a track, 3.5 a phrase of it, 3.5.2 a block."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from aquatempo.errors import InputError
from aquatempo.records.plan import (
    Block,
    ClassPlan,
    PartBrief,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.units import is_count

__all__ = ["PlanPlace", "block_at", "phrase_at", "place_of", "track_at", "with_lock"]


@dataclass(frozen=True)
class PlanPlace:
    """A track, a phrase or a block, all 1-based; 0 where it is not told."""

    track: int
    phrase: int = 0
    block: int = 0

    def __str__(self) -> str:
        return ".".join(str(one) for one in (self.track, self.phrase, self.block) if one)


def place_of(text: str) -> PlanPlace:
    """Return the place that a text tells; raise InputError where it tells none.

    >>> place_of("3.5")
    PlanPlace(track=3, phrase=5, block=0)
    """
    parts = text.strip().split(".")
    if not 1 <= len(parts) <= 3 or not all(is_count(part) and int(part) > 0 for part in parts):
        raise InputError(f"{text!r}: needs a track, phrase or block, as 3, 3.5 or 3.5.2")
    return PlanPlace(*map(int, parts))


def track_at(plan: ClassPlan, place: PlanPlace) -> PlannedTrack:
    """Return the track of a place; raise InputError where there is none.

    plan: the class.
    """
    if not 1 <= place.track <= len(plan.tracks):
        raise InputError(f"track {place.track}: the plan has {len(plan.tracks)}")
    return plan.tracks[place.track - 1]


def phrase_at(plan: ClassPlan, place: PlanPlace) -> PlannedPhrase:
    """Return the phrase of a place; raise InputError where there is none.

    plan: the class.
    """
    track = track_at(plan, place)
    if not 1 <= place.phrase <= len(track.phrases):
        told = f"phrase {place.phrase} of track {place.track}"
        raise InputError(f"{told}: {track.title!r} has {len(track.phrases)}")
    return track.phrases[place.phrase - 1]


def block_at(plan: ClassPlan, place: PlanPlace) -> Block:
    """Return the block of a place, the first of its phrase where none is told.

    plan: the class.
    """
    phrase = phrase_at(plan, place)
    block = place.block or 1
    if not 1 <= block <= len(phrase.blocks):
        told = f"block {block} of phrase {place.track}.{place.phrase}"
        raise InputError(f"{told}: it has {len(phrase.blocks)}")
    return phrase.blocks[block - 1]


def with_lock(plan: ClassPlan, at: PlanPlace | PartName, locked: bool = True) -> ClassPlan:
    """Return a plan in which a part, track, phrase or block stays when it is planned again.

    at: a place, or the name of a part. locked False: it is let go. Raises InputError.
    """
    if isinstance(at, PartName):
        return _part_locked(plan, at, locked)
    track_at(plan, at)
    if not at.phrase:
        return _track_changed(plan, at.track, lambda track: replace(track, locked=locked))
    phrase_at(plan, at)
    if not at.block:
        return _phrase_changed(plan, at, lambda phrase: replace(phrase, locked=locked))
    block_at(plan, at)

    def block_locked(phrase: PlannedPhrase) -> PlannedPhrase:
        blocks = list(phrase.blocks)
        blocks[at.block - 1] = replace(blocks[at.block - 1], locked=locked)
        return replace(phrase, blocks=tuple(blocks))

    return _phrase_changed(plan, at, block_locked)


def _part_locked(plan: ClassPlan, name: PartName, locked: bool) -> ClassPlan:
    parts = plan.brief.parts or _parts_of(plan)
    if name not in [part.name for part in parts]:
        raise InputError(f"the plan has no {name}")
    changed = tuple(replace(part, locked=locked) if part.name is name else part for part in parts)
    return replace(plan, brief=replace(plan.brief, parts=changed))


def _parts_of(plan: ClassPlan) -> tuple[PartBrief, ...]:
    """Return the parts of a plan as they are, for a brief that names none."""
    minutes: dict[str, float] = {}
    for track in plan.tracks:
        tempo = track.tempo_bpm * track.speed
        length = sum(phrase.counts for phrase in track.phrases) / tempo
        minutes[track.part] = minutes.get(track.part, 0.0) + length
    total = sum(minutes.values())
    share = plan.brief.minutes / total if total else 1.0
    ordered = sorted(minutes, key=lambda name: list(PartName).index(PartName(name)))
    return tuple(PartBrief(PartName(name), round(share * minutes[name], 2)) for name in ordered)


def _track_changed(
    plan: ClassPlan, number: int, change: Callable[[PlannedTrack], PlannedTrack]
) -> ClassPlan:
    tracks = list(plan.tracks)
    tracks[number - 1] = change(tracks[number - 1])
    return replace(plan, tracks=tuple(tracks))


def _phrase_changed(
    plan: ClassPlan, at: PlanPlace, change: Callable[[PlannedPhrase], PlannedPhrase]
) -> ClassPlan:
    def changed(track: PlannedTrack) -> PlannedTrack:
        phrases = list(track.phrases)
        phrases[at.phrase - 1] = change(phrases[at.phrase - 1])
        return replace(track, phrases=tuple(phrases))

    return _track_changed(plan, at.track, changed)
