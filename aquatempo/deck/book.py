"""A planned class as it stands on the deck: lines, facts, moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from aquatempo import cues
from aquatempo.deck.call_words import move_words
from aquatempo.deck.drawn_moves import figure_key, plain_key
from aquatempo.deck.folding import fold
from aquatempo.deck.line_words import spelled, style, tempo
from aquatempo.errors import RangeError
from aquatempo.exports.labels import labels, movement_name, said_of_move
from aquatempo.exports.stints import stint_ends_s
from aquatempo.feasibility import depths_on_group
from aquatempo.moves import Catalogue, parse_pattern, resolve
from aquatempo.records.cues import CallWords, Change, CueOptions, CueTimeline
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack, MoveNote
from aquatempo.records.moves import Factor, MoveKind, Variation
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, ClassPlan, PlannedTrack
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["deck_book", "deck_track"]


def deck_book(
    plan: ClassPlan,
    timelines: Sequence[CueTimeline],
    source: Catalogue,
    options: CueOptions,
) -> DeckBook:
    """Return what the card, the page and the substitute's sheet show of a plan.

    timelines: one a track of the plan, in order. options: with the instructor's own names and
    signs, and the language. source: the catalogue in force.
    """
    depth = plan.brief.depth
    source = source.at(depth)
    tracks = tuple(
        deck_track(track, timeline, source, depth)
        for track, timeline in zip(plan.tracks, timelines, strict=True)
    )
    used = dict.fromkeys(change.move for one in timelines for change in one.changes)
    return DeckBook(
        title=plan.brief.title,
        tracks=tracks,
        facts=_facts(plan.brief, tracks, options.language),
        moves=tuple(_note(key, source, options) for key in used),
        language=options.language,
    )


def deck_track(
    track: PlannedTrack, timeline: CueTimeline, source: Catalogue, depth: ClassDepth
) -> DeckTrack:
    """Return the lines of one track.

    timeline: changes and calls of the track; source: the catalogue in force; depth: shallow or
    deep class.
    """
    words = labels(timeline.language)
    ends_s = stint_ends_s(timeline.changes)
    lines = tuple(
        replace(_line(change, timeline, source, depth), stint_end_s=end_s)
        for change, end_s in zip(timeline.changes, ends_s, strict=True)
        if not _is_pick_up(change, timeline)
    )
    folded = fold(lines, timeline.phrases, timeline.beats_s, words)
    return DeckTrack(
        title=" ".join(timeline.title.split()) or words["track"],
        part=words.get(f"part {track.part}", track.part),
        tempo_bpm=timeline.tempo_bpm,
        speed=timeline.speed,
        duration_s=timeline.duration_s,
        lines=lines,
        strip=timeline.phrases,
        beats_s=timeline.beats_s,
        cues=timeline.cues,
        file_name=Path(timeline.file).name,
        rights=words.get(track.rights, track.rights),
        notes=timeline.notes,
        sets=folded.sets,
        start=folded.start,
        ending=folded.ending,
        strip_sets=folded.strip_sets,
    )


def _is_pick_up(change: Change, timeline: CueTimeline) -> bool:
    """Tell an introduction too short to teach in: it takes no line of a card."""
    if not timeline.phrases or change.counts >= COUNTS_PER_EIGHT:
        return False
    return timeline.phrases[change.phrase].kind is PhraseKind.INTRO


def _line(change: Change, timeline: CueTimeline, source: Catalogue, depth: ClassDepth) -> DeckLine:
    move, language = source.move(change.move), timeline.language
    changes = tuple((Factor(factor), key) for factor, key in change.variation)
    form = resolve(move, Variation(move.key, changes), depth, source)
    kind = timeline.phrases[change.phrase].kind if timeline.phrases else PhraseKind.PHRASE
    steps = parse_pattern(change.pattern).steps
    movements = tuple(movement.name for movement in form.movements)
    words = cues.load_language(language).localise(move_words(move))
    usual = resolve(move, None, depth, source)
    one, counts = spelled(change, movements, language)
    return DeckLine(
        clock_s=change.time_s,
        counts=change.counts,
        phrase=change.phrase,
        kind=kind,
        name=change.name,
        short_name=_short(words) if change.name == words.name else "",
        tempo=tempo(change.pattern, language),
        sign=words.sign,
        lead=change.lead,
        style=style(change, str(usual.level), str(usual.travel), language),
        spelled=one,
        repetition_counts=counts,
        holding=move.kind is MoveKind.HOLDING,
        beat=change.beat,
        steps=tuple((step.moving_counts + step.held_counts, step.moving_counts) for step in steps),
        movements=tuple(movement_name(name, change.lead, language) for name in movements),
        stint=change.stint,
        figure=figure_key(change, form),
    )


def _short(words: CallWords) -> str:
    shorter = words.short or words.spoken
    return shorter if len(shorter) < len(words.name) else ""


def _facts(brief: Brief, tracks: Sequence[DeckTrack], language: str) -> tuple[tuple[str, str], ...]:
    words, pool, group = labels(language), brief.pool, brief.group
    depth = f"{round(pool.depth_m, 2):g} m"
    if pool.far_depth_m is not None:
        depth = f"{round(pool.depth_m, 2):g}-{round(pool.far_depth_m, 2):g} m"
    depth = _in_figures(depth, words)
    minutes = sum(track.planned_end_s for track in tracks) / 60.0
    heights = _in_figures(f"{group.height_m[0]:.2f}-{group.height_m[1]:.2f} m", words)
    low, high = group.age_years
    ages = words["years"].format(low=f"{low:.0f}", high=f"{high:.0f}")
    facts = [
        (
            words["fact_class"],
            words["class_facts"].format(
                kind=words[brief.depth],
                tracks=_counted("tracks", len(tracks), words),
                minutes=_counted("minutes", round(minutes), words),
            ),
        ),
        (words["fact_pool"], f"{depth}, {_in_figures(f'{pool.temperature_c:g}', words)} °C"),
        (
            words["fact_group"],
            words["people"].format(size=group.size, heights=heights, ages=ages),
        ),
    ]
    if brief.depth is ClassDepth.DEEP:
        facts.append((words["fact_deep"], words["deep_facts"]))
    if zones := _zones(brief, language):
        facts.append((words["fact_depth"], zones))
    if brief.group_notes:
        facts.append((words["fact_notes"], "; ".join(brief.group_notes)))
    return tuple(facts)


def _counted(name: str, number: int, words: Mapping[str, str]) -> str:
    """Return how many there are of something, one or more, in words."""
    return words[f"{name}_{'one' if number == 1 else 'more'}"].format(n=number)


def _zones(brief: Brief, language: str) -> str:
    """Say where the water stands on the short and the tall, at each end of the pool.

    Empty where the published body tables do not reach the group (children).
    """
    words = labels(language)
    try:
        people = depths_on_group(brief.pool, brief.group)
    except RangeError:
        return ""
    told = []
    for depth_m in sorted({one.depth_m for one in people}):
        heights_m: dict[str, list[float]] = {}
        for one in sorted(people, key=lambda one: one.height_m):
            if one.depth_m == depth_m:
                heights_m.setdefault(one.kind, []).append(one.height_m)
        kinds = (
            words["kind_on"].format(
                kind=words[f"zone_{kind.replace(' ', '_')}"],
                heights=_in_figures(_span_m(min(found), max(found)), words),
            )
            for kind, found in heights_m.items()
        )
        depth = _in_figures(f"{round(depth_m, 2):g} m", words)
        told.append(words["depth_on"].format(depth=depth, kinds=", ".join(kinds)))
    return "; ".join(told)


def _in_figures(text: str, words: Mapping[str, str]) -> str:
    """Return a figure with the decimal sign of the language."""
    return text.replace(".", words["decimal"])


def _span_m(low_m: float, high_m: float) -> str:
    ends = dict.fromkeys((f"{low_m:.2f}", f"{high_m:.2f}"))
    return f"{'-'.join(ends)} m"


def _note(key: str, source: Catalogue, options: CueOptions) -> MoveNote:
    move = source.move(key)
    names, signs = dict(options.own_names), dict(options.own_signs)
    pack = cues.load_language(options.language)
    words = pack.localise(move_words(move))
    easier = pack.localise(move_words(source.move(move.easier))).name if move.easier else ""
    return MoveNote(
        name=names.get(key, words.name),
        sign=signs.get(key, words.sign),
        description=said_of_move(move.description, options.language),
        easier=names.get(move.easier, easier) if move.easier else "",
        cautions=tuple(said_of_move(caution, options.language) for caution in move.cautions),
        also=words.name if names.get(key, words.name) != words.name else "",
        figure=plain_key(key),
    )
