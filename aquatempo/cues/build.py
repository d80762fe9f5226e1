"""Plan and beats in, cue timeline out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from aquatempo.cues.count_grid import Grid, make_grid
from aquatempo.cues.language import LanguagePack, load_language
from aquatempo.cues.placing import PlacedCalls, Slot, place
from aquatempo.cues.turns import Turn, find_turns
from aquatempo.cues.wording import CallText, Wording, other_side
from aquatempo.records.cues import (
    CallWords,
    Change,
    Cue,
    CueKind,
    CueOptions,
    CuePhrase,
    CueTimeline,
)
from aquatempo.records.plan import PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.units import check_range

__all__ = ["timeline"]

_ANNOUNCED = {PhraseKind.BRIDGE: "bridge", PhraseKind.BREAK: "break"}


def timeline(
    analysis: RhythmAnalysis,
    planned_track: PlannedTrack,
    words: Iterable[CallWords],
    options: CueOptions = CueOptions(),  # noqa: B008 - frozen
) -> CueTimeline:
    """Return the changes and calls of one planned track, on its beats.

    Every call starts on a beat and ends before the change it leads to; none overlap. words: how
    each move and factor option is said and signed. Raises InputError for a track without beats
    or a plan that does not fit it, UnknownNameError for a move, option or language without
    words, RangeError for the speaking rate. analysis: what was heard in the track;
    planned_track: its phrases with their blocks; options: how calls are made.
    """
    check_range("speaking rate", options.syllables_per_second, "syllables a second", 1.0, 10.0)
    pack = load_language(options.language)
    wording = Wording(pack, words, options)
    grid = make_grid(analysis, planned_track)
    turns = find_turns(planned_track, len(grid.beats_s), options.known_moves)
    open_breaks = [
        phrase.start_beat
        for phrase in planned_track.phrases
        if phrase.kind is PhraseKind.BREAK and any(block.words for block in phrase.blocks)
    ]
    changes: list[Change] = []
    cues: list[Cue] = []
    notes: list[str] = [turn.broken_habit for turn in turns if turn.broken_habit]
    room, announced = 0, False
    for index, turn in enumerate(turns):
        text = _text(wording, turn)
        then = _then(pack, wording, turn, turns[index + 1 : index + 2])
        placed = place(
            grid,
            pack,
            options,
            room=grid.after_closed(room, turn.beat, open_breaks),
            beat=turn.beat,
            text=text,
            warns=text.warns(then, pack.words["next"]),
            stretched=bool(turn.reason),
            preview=turn.new_move and not text.announcement,
        )
        notes += _shortfall(turn, placed, text, announced)
        change = _change(turn, placed, wording, grid)
        changes.append(change)
        cues += [_cue(slot, index, grid) for slot in placed.slots]
        cues.append(_count_one(turn, text, index, grid))
        announced = bool(then) and then in placed.warn
        room = turn.beat + 1
    phrases = _spoken(grid, cues, pack, options)
    notes += _over_budget(phrases, options)
    tempo = analysis.tempo_bpm if analysis.tempo_bpm is not None else planned_track.tempo_bpm
    return CueTimeline(
        title=planned_track.title,
        file=planned_track.file,
        tempo_bpm=tempo * planned_track.speed,
        beats_s=grid.beats_s,
        beats_inferred=analysis.beats_inferred,
        changes=tuple(changes),
        cues=tuple(cues),
        origin=analysis.origin,
        notes=tuple(notes),
        phrases=phrases,
        speed=planned_track.speed,
        duration_s=analysis.duration_s / planned_track.speed,
        language=options.language,
    )


def _text(wording: Wording, turn: Turn) -> CallText:
    kind = _ANNOUNCED.get(turn.kind) if turn.offset == 0 else None
    if kind is None:
        return wording.change(turn.before, turn.block)
    return wording.announce(kind, turn.span, turn.before, turn.block)


def _then(pack: LanguagePack, wording: Wording, turn: Turn, later: Sequence[Turn]) -> str:
    """Return the words for what comes right after a stretch, or nothing."""
    for following in later:
        if following.beat == turn.beat + turn.span and not following.goes_on:
            name = wording.change(following.before, following.block).names[0]
            return pack.words["then"].format(what=name)
    return ""


def _shortfall(turn: Turn, placed: PlacedCalls, text: CallText, announced: bool) -> list[str]:
    """Say what could not be called, and what to do instead."""
    where, name = f"phrase {turn.phrase + 1}", text.names[0]
    if placed.named and (placed.stretched or not turn.reason):
        return []
    if turn.before is None:
        return [f"before the music starts, announce: {name}"]
    if placed.named:
        return [f"{where}: short notice for {name} ({turn.reason})"]
    if announced:
        return [f"{where}: {name} was announced ahead and is not called again"]
    return [f"{where}: no count is left to call {name}; tell the class before"]


def _change(turn: Turn, placed: PlacedCalls, wording: Wording, grid: Grid) -> Change:
    block = turn.block
    return Change(
        time_s=grid.time_s(turn.beat),
        end_s=grid.time_s(turn.beat + turn.counts),
        beat=turn.beat,
        counts=turn.counts,
        phrase=grid.phrase(turn.beat),
        move=block.move,
        name=wording.move(block.move).name,
        variation=block.variation,
        pattern=block.pattern,
        lead=block.lead,
        level=block.level,
        travel=block.travel,
        new_move=turn.new_move,
        stretched=placed.stretched,
        reason=turn.reason,
        mirrored_lead=other_side(block.lead),
        notice_counts=turn.beat - placed.slots[0].start if placed.slots else 0,
        variation_names=tuple(wording.option(f, key).name for f, key in block.variation),
        tempo_name=wording.tempo(block.pattern),
        stint=block.stint,
    )


def _cue(slot: Slot, change: int, grid: Grid) -> Cue:
    start = grid.time_s(slot.start)
    return Cue(
        time_s=start,
        end_s=start + slot.spoken_s if slot.words else grid.time_s(slot.end),
        beat=slot.start,
        count=grid.count(slot.start),
        phrase=grid.phrase(slot.start),
        change=change,
        kind=slot.kind,
        words=slot.words,
        sign=slot.sign,
    )


def _count_one(turn: Turn, text: CallText, change: int, grid: Grid) -> Cue:
    slot = Slot(CueKind.COUNT_ONE, turn.beat, turn.beat + 1, "", text.sign, 0.0)
    return _cue(slot, change, grid)


def _spoken(
    grid: Grid, cues: list[Cue], pack: LanguagePack, options: CueOptions
) -> tuple[CuePhrase, ...]:
    rule, phrases = pack.syllables, []
    for index, phrase in enumerate(grid.phrases):
        said = [cue.words for cue in cues if cue.phrase == index]
        syllables = sum(rule.count(text) for text in said)
        phrases.append(
            replace(
                phrase,
                words=sum(rule.word_count(text) for text in said),
                syllables=syllables,
                speaking_s=syllables / options.syllables_per_second,
            )
        )
    return tuple(phrases)


def _over_budget(phrases: tuple[CuePhrase, ...], options: CueOptions) -> list[str]:
    return [
        f"phrase {index + 1}: {phrase.words} words, over the budget of {options.words_per_phrase}"
        for index, phrase in enumerate(phrases)
        if phrase.words > options.words_per_phrase
    ]
