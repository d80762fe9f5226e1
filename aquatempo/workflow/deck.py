"""A planned class as it stands on the deck: lines, details and counts written out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from aquatempo import cues
from aquatempo.moves import Catalogue, parse_pattern, resolve
from aquatempo.records.cues import Change, CueOptions, CueTimeline
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack, MoveNote
from aquatempo.records.moves import Factor, MoveForm, Variation
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, ClassPlan, PlannedTrack
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT
from aquatempo.workflow.call_words import move_words

__all__ = ["deck_book", "deck_track"]


def deck_book(
    plan: ClassPlan,
    timelines: Sequence[CueTimeline],
    source: Catalogue,
    options: CueOptions,
) -> DeckBook:
    """Return what the card, the page and the substitute's sheet show of a plan.

    timelines: one a track of the plan, in order.
    """
    depth = plan.brief.depth
    tracks = tuple(
        deck_track(track, timeline, source, depth)
        for track, timeline in zip(plan.tracks, timelines, strict=True)
    )
    used = dict.fromkeys(change.move for one in timelines for change in one.changes)
    return DeckBook(
        title=plan.brief.title,
        tracks=tracks,
        facts=_facts(plan.brief, tracks),
        moves=tuple(_note(key, source, options) for key in used),
        language=options.language,
    )


def deck_track(
    track: PlannedTrack, timeline: CueTimeline, source: Catalogue, depth: ClassDepth
) -> DeckTrack:
    """Return the lines of one track."""
    lines = tuple(_line(change, timeline, source, depth) for change in timeline.changes)
    return DeckTrack(
        title=timeline.title,
        part=track.part,
        tempo_bpm=timeline.tempo_bpm,
        speed=timeline.speed,
        duration_s=timeline.duration_s,
        lines=lines,
        strip=timeline.phrases,
        beats_s=timeline.beats_s,
        cues=timeline.cues,
        file_name=Path(timeline.file).name,
        rights=track.rights,
        notes=timeline.notes,
    )


def _line(change: Change, timeline: CueTimeline, source: Catalogue, depth: ClassDepth) -> DeckLine:
    move = source.move(change.move)
    changes = tuple((Factor(factor), key) for factor, key in change.variation)
    form = resolve(move, Variation(move.key, changes), depth, source)
    kind = timeline.phrases[change.phrase].kind if timeline.phrases else PhraseKind.PHRASE
    steps = parse_pattern(change.pattern).steps
    return DeckLine(
        clock_s=change.time_s,
        counts=change.counts,
        phrase=change.phrase,
        kind=kind,
        name=change.name,
        short_name=move.spoken if move.spoken != change.name else "",
        details=_details(change, move.levels[0]),
        spelled=_spelled(change, form),
        sign=move.sign,
        beat=change.beat,
        steps=tuple((step.moving_counts + step.held_counts, step.moving_counts) for step in steps),
        movements=tuple(movement.name for movement in form.movements),
    )


def _details(change: Change, usual_level: str) -> tuple[str, ...]:
    """Return what to add to the name, the most important first."""
    details = [f"{change.tempo_name} ({change.pattern})", change.lead, *change.variation_names]
    if change.travel != "in place":
        details.append(change.travel)
    if change.level not in ("", usual_level):
        details.append(f"level {change.level}")
    return tuple(dict.fromkeys(detail for detail in details if detail))


def _spelled(change: Change, form: MoveForm) -> str:
    """Write out one repetition in counts, and how often it fits: for a day without sound."""
    steps = parse_pattern(change.pattern).steps
    names = [movement.name for movement in form.movements]
    if not names:
        eights, rest = divmod(change.counts, COUNTS_PER_EIGHT)
        return f"{eights} eights" + (f" and {rest} counts" if rest else "")
    count, number, parts = 1, 0, []
    # A repetition has run when both the movements and the pattern are at their start again.
    while number == 0 or number % len(names) or number % len(steps):
        step = steps[number % len(steps)]
        last = count + step.moving_counts - 1
        span = f"{count}" if last == count else f"{count}-{last}"
        parts.append(f"{span} {names[number % len(names)]}")
        if step.held_counts:
            word = "bounce" if step.bounced else "hold"
            parts.append(f"{last + 1}-{last + step.held_counts} {word}")
        count += step.moving_counts + step.held_counts
        number += 1
    times, rest = divmod(change.counts, count - 1)
    told = f"{times} times" if times > 1 else "once"
    return ", ".join(parts) + f": {told}" + (f" and {rest} counts" if rest and times else "")


def _facts(brief: Brief, tracks: Sequence[DeckTrack]) -> tuple[tuple[str, str], ...]:
    pool, group = brief.pool, brief.group
    depth = f"{pool.depth_m:g} m"
    if pool.far_depth_m is not None:
        depth += f" to {pool.far_depth_m:g} m"
    minutes = sum(track.duration_s for track in tracks) / 60.0
    heights = f"{group.height_m[0]:.2f}-{group.height_m[1]:.2f} m"
    ages = f"{group.age_years[0]:.0f}-{group.age_years[1]:.0f} years"
    return (
        ("Class", f"{brief.depth}, {len(tracks)} tracks, {minutes:.0f} minutes of music"),
        ("Pool", f"{depth}, {pool.temperature_c:g} °C"),
        ("Group", f"{group.size} people, {heights}, {ages}"),
    )


def _note(key: str, source: Catalogue, options: CueOptions) -> MoveNote:
    move = source.move(key)
    names, signs = dict(options.own_names), dict(options.own_signs)
    words = cues.load_language(options.language).localise(move_words(move))
    return MoveNote(
        name=names.get(key, words.name),
        sign=signs.get(key, words.sign),
        description=move.description,
        easier=source.move(move.easier).name if move.easier else "",
        cautions=move.cautions,
    )
