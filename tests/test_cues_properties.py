"""What holds for every cue timeline, whatever the plan, the tempo and the bridges."""

from __future__ import annotations

from itertools import pairwise

import pytest
from cue_drawing import Case, cases, of
from hypothesis import given, settings

from aquatempo.cues import load_language
from aquatempo.records.cues import CueKind
from aquatempo.records.rhythm import PhraseKind

ORDER = list(CueKind)
SETTINGS = settings(max_examples=100, deadline=None)


@SETTINGS
@given(cases())
def test_every_cue_and_change_is_on_a_beat(case: Case) -> None:
    """Every cue and every change starts exactly on a beat of the track as played."""
    made = of(case)
    beats = [beat / case[1].speed for beat in case[0].beats_s]
    assert [cue.time_s for cue in made.cues] == [beats[cue.beat] for cue in made.cues]
    assert [one.time_s for one in made.changes] == [beats[one.beat] for one in made.changes]


@SETTINGS
@given(cases())
def test_calls_end_before_their_change_and_never_overlap(case: Case) -> None:
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
def test_changes_are_where_the_rules_allow_or_are_named_in_the_notes(case: Case) -> None:
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
def test_no_call_in_a_breakdown_unless_planned(case: Case) -> None:
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
def test_spoken_words_take_their_syllables_and_signs_are_always_there(case: Case) -> None:
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
def test_a_change_without_a_name_call_is_noted(case: Case) -> None:
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
def test_the_same_input_gives_the_same_timeline(case: Case) -> None:
    """Nothing random is in a timeline."""
    assert of(case) == of(case)
