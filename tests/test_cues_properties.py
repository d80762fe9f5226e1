"""What holds for every cue timeline, whatever the plan, the tempo and the bridges."""

from __future__ import annotations

from itertools import pairwise

import pytest
from cue_cases import WORDS, heard, planned
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.cues import load_language, timeline
from aquatempo.records.cues import CueKind, CueOptions, CueTimeline
from aquatempo.records.plan import Block, PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis

MOVES = ("jog", "jack", "ski", "kick")
ORDER = list(CueKind)


@st.composite
def blocks(draw: st.DrawFn, counts: int, words: bool) -> list[Block]:
    """Fill some counts with blocks, most of whole eights, some cut shorter."""
    filled: list[Block] = []
    while counts:
        size = min(counts, draw(st.sampled_from((32, 16, 8, 8, 4, 2))))
        variation = draw(
            st.sampled_from(
                ((), (("arms", "press"),), (("hands", "fist"),), (("combination", "two"),))
            )
        )
        filled.append(
            Block(
                counts=size,
                move=draw(st.sampled_from(MOVES)),
                variation=variation,
                pattern=draw(st.sampled_from(("2", "4", "1", "2-2-4", "2+2h"))),
                lead=draw(st.sampled_from(("", "right", "left"))),
                level=draw(st.sampled_from(("I", "I", "II", "III"))),
                travel=draw(st.sampled_from(("in place", "forward", "back", "sideways"))),
                words=draw(st.sampled_from(("", "big and slow"))) if words else "",
            )
        )
        counts -= size
    return filled


@st.composite
def cases(draw: st.DrawFn) -> tuple[RhythmAnalysis, PlannedTrack, CueOptions]:
    """Draw a track at 80 to 190 bpm with bridges and breakdowns, a plan and options."""
    spans = [("intro", draw(st.sampled_from((4, 8, 16, 32))))] if draw(st.booleans()) else []
    for _ in range(draw(st.integers(1, 5))):
        spans.append(("phrase", 32))
        kind = draw(st.sampled_from(("", "", "bridge", "break")))
        if kind:
            spans.append((kind, draw(st.sampled_from((2, 4, 8, 16)))))
    analysis = heard(spans, tempo_bpm=draw(st.floats(80.0, 190.0)))
    words = draw(st.booleans())
    plan = planned(
        analysis,
        [draw(blocks(counts, words)) for _, counts in spans],
        speed=draw(st.sampled_from((0.96, 1.0, 1.04))),
    )
    options = CueOptions(
        language=draw(st.sampled_from(("en", "de"))),
        syllables_per_second=draw(st.sampled_from((2.5, 4.0, 6.0))),
        silent=draw(st.sampled_from((False, False, True))),
        known_moves=draw(st.sampled_from(((), MOVES, ("jog",)))),
    )
    return analysis, plan, options


def of(case: tuple[RhythmAnalysis, PlannedTrack, CueOptions]) -> CueTimeline:
    """Return the timeline of a drawn case."""
    analysis, plan, options = case
    return timeline(analysis, plan, WORDS, options)


SETTINGS = settings(max_examples=150, deadline=None)


@SETTINGS
@given(cases())
def test_every_cue_and_change_is_on_a_beat(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Every cue and every change starts exactly on a beat of the track as played."""
    made = of(case)
    beats = [beat / case[1].speed for beat in case[0].beats_s]
    assert [cue.time_s for cue in made.cues] == [beats[cue.beat] for cue in made.cues]
    assert [one.time_s for one in made.changes] == [beats[one.beat] for one in made.changes]


@SETTINGS
@given(cases())
def test_calls_end_before_their_change_and_never_overlap(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Each call ends before its change, none overlap, and their order is kept."""
    made = of(case)
    for cue in made.cues:
        change = made.changes[cue.change]
        assert cue.end_s > cue.time_s
        if cue.kind is CueKind.COUNT_ONE:
            assert cue.beat == change.beat
            assert not cue.words
        else:
            assert cue.end_s <= change.time_s
            assert not cue.words or cue.end_s < change.time_s
    for one, other in pairwise(made.cues):
        assert one.end_s <= other.time_s
        assert (one.change, ORDER.index(one.kind)) <= (other.change, ORDER.index(other.kind))


@SETTINGS
@given(cases())
def test_changes_are_where_the_rules_allow_or_are_named_in_the_notes(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """A new move is on count 1 of a stretch and a change on count 1 of an eight, or it is noted.

    Steps shorter than an eight (the end of a pyramid) and combinations may start anywhere.
    """
    made = of(case)
    starts = {phrase.start_beat for phrase in made.phrases}
    for change in made.changes:
        phrase = made.phrases[change.phrase]
        offset = change.beat - phrase.start_beat
        noted = any(
            note.startswith(
                f"phrase {change.phrase + 1}: {change.move} starts on count {offset + 1};"
            )
            for note in made.notes
        )
        if any(factor == "combination" for factor, _ in change.variation):
            continue  # a marked combination may start anywhere
        if change.new_move:
            assert change.beat in starts or noted
        else:
            assert offset % 8 == 0 or noted or change.counts < 8


@SETTINGS
@given(cases())
def test_no_call_in_a_breakdown_unless_planned(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Between the ends of a breakdown whose blocks carry no words, nothing is called."""
    made = of(case)
    for phrase, plan in zip(made.phrases, case[1].phrases, strict=True):
        if phrase.kind is PhraseKind.BREAK and not any(block.words for block in plan.blocks):
            inside = [
                cue
                for cue in made.cues
                if cue.kind is not CueKind.COUNT_ONE
                and cue.end_s > phrase.start_s
                and cue.time_s < phrase.end_s
            ]
            assert inside == []


@SETTINGS
@given(cases())
def test_spoken_words_take_their_syllables_and_signs_are_always_there(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Spoken calls last syllables over rate; every cue has a sign; the silent have no words."""
    options = case[2]
    rule = load_language(options.language).syllables
    for cue in of(case).cues:
        assert cue.sign
        if options.silent:
            assert cue.words == ""
        if cue.words:
            spoken = rule.count(cue.words) / options.syllables_per_second
            assert cue.end_s - cue.time_s == pytest.approx(spoken, abs=1e-9)


@SETTINGS
@given(cases())
def test_a_change_without_a_name_call_is_noted(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Wherever no name is called before a change, a note says what to do instead."""
    made = of(case)
    named = {cue.change for cue in made.cues if cue.kind is CueKind.NAME}
    missing = len(made.changes) - len(named)
    told = [
        note
        for note in made.notes
        if "before the music starts" in note
        or "announced ahead" in note
        or "no count is left" in note
    ]
    assert len(told) == missing


@SETTINGS
@given(cases())
def test_the_same_input_gives_the_same_timeline(
    case: tuple[RhythmAnalysis, PlannedTrack, CueOptions],
) -> None:
    """Nothing random is in a timeline."""
    assert of(case) == of(case)
