"""What is said: names, languages, budgets, and plans that do not fit."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cue_cases import WORDS, heard, planned

from aquatempo.cues import simple_choice, timeline
from aquatempo.errors import InputError, RangeError, UnknownNameError
from aquatempo.records.cues import CueKind, CueOptions, CueTimeline
from aquatempo.records.plan import Block
from aquatempo.records.rhythm import PhraseKind

TWO = (("phrase", 32), ("phrase", 32))
KNOWN = ("jog", "jack", "ski", "kick")


def warned(first: Block, second: Block, options: CueOptions) -> str:
    """Return the words of the warn between two blocks, its opener left out."""
    analysis = heard(TWO, 70.0)
    done = timeline(analysis, planned(analysis, [[first], [second]]), WORDS, options)
    return done.cues[1].words.partition(" ")[2]


@pytest.mark.parametrize(
    ("second", "english", "german"),
    [
        (Block(32, "jog", pattern="1"), "land tempo", "Landtempo"),
        (Block(32, "jog", pattern="4"), "half water tempo", "halbes Wassertempo"),
        (Block(32, "jog", pattern="2-2-4"), "two two four", "zwei zwei vier"),
        (Block(32, "jog", pattern="2+2h"), "two and hold", "zwei und halten"),
        (Block(32, "jog", travel="sideways"), "travel sideways", "seitwärts"),
        (Block(32, "jog", lead="left"), "left leg", "linkes Bein"),
        (Block(32, "jog", level="grounded"), "one foot down", "ein Fuß am Boden"),
    ],
)
def test_each_factor_has_words_in_each_language(second: Block, english: str, german: str) -> None:
    """One changed factor is named in plain words, without the move that stays."""
    for language, words in (("en", english), ("de", german)):
        options = CueOptions(language=language, known_moves=KNOWN)
        assert warned(Block(32, "jog"), second, options) == words


def test_taking_a_factor_away_goes_back_to_the_move() -> None:
    """A variation that ends is called as going back to the move."""
    first = Block(32, "jog", (("arms", "press"),))
    analysis = heard(TWO, 100.0)
    plan = planned(analysis, [[first], [Block(32, "jog")]])
    done = timeline(analysis, plan, WORDS, CueOptions(known_moves=KNOWN))
    said = [cue.words for cue in done.cues if cue.change == 1]
    assert (said[0], said[-2]) == ("next back to jog", "jog")


def test_the_instructors_own_names_and_signs_replace_ours() -> None:
    """Own names are spoken and written, own signs shown."""
    options = CueOptions(
        known_moves=KNOWN, own_names=(("jack", "star"),), own_signs=(("jack", "both arms out"),)
    )
    analysis = heard(TWO, 100.0)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jack")]])
    done = timeline(analysis, plan, WORDS, options)
    name = next(c for c in done.cues if c.kind is CueKind.NAME)
    assert (name.words, name.sign) == ("star", "both arms out")
    assert done.changes[1].name == "star"


def budgeted(options: CueOptions) -> CueTimeline:
    """Return a timeline of two known moves."""
    analysis = heard(TWO, 120.0)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jack")]])
    return timeline(analysis, plan, WORDS, options)


def test_the_words_spoken_in_each_phrase_are_counted() -> None:
    """Six words and six syllables are spoken in the first phrase, none in the second."""
    done = budgeted(CueOptions(known_moves=KNOWN))
    assert [(p.words, p.syllables, p.speaking_s) for p in done.phrases] == [(6, 6, 1.5), (0, 0, 0)]


def test_a_phrase_over_its_budget_of_words_is_noted() -> None:
    """The note names the phrase, the words and the budget."""
    done = budgeted(CueOptions(known_moves=KNOWN, words_per_phrase=5))
    assert "phrase 1: 6 words, over the budget of 5" in done.notes


@pytest.mark.parametrize(
    ("fillings", "message"),
    [
        ([[Block(32, "jog")], [Block(24, "jog")]], "blocks of 24 counts in a phrase of 32"),
        ([[Block(32, "jog")], [Block(36, "jog"), Block(-4, "jack")]], "add up to it"),
    ],
)
def test_blocks_that_do_not_fill_a_phrase_are_refused(
    fillings: list[list[Block]], message: str
) -> None:
    """A plan whose counts do not add up names the track and the phrase."""
    analysis = heard(TWO)
    with pytest.raises(InputError, match=message) as caught:
        timeline(analysis, planned(analysis, fillings), WORDS)
    assert str(caught.value).startswith("Lindenbad 1, phrase 2")


def test_a_plan_of_another_version_of_the_song_is_refused() -> None:
    """A plan that needs more beats than the track has says how many there are."""
    plan = planned(heard(TWO), [[Block(32, "jog")], [Block(32, "jog")]])
    with pytest.raises(InputError, match="ends on beat 64: the track has 32"):
        timeline(heard(TWO[:1]), plan, WORDS)


def test_a_phrase_twice_in_a_plan_is_refused() -> None:
    """Phrases that overlap are an error that names the later one."""
    analysis = heard(TWO)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jog")]])
    twice = type(plan)(plan.title, plan.file, plan.part, 130.0, (*plan.phrases, plan.phrases[0]))
    with pytest.raises(InputError, match=r"phrase 3 starts on beat 1, before the one ahead"):
        timeline(analysis, twice, WORDS)


def test_unknown_moves_options_languages_and_rates_are_refused() -> None:
    """Each unknown name is named with the nearest known, and the rate with its range."""
    analysis = heard(TWO)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jak")]])
    with pytest.raises(UnknownNameError, match=r"no move named 'jak' \(did you mean 'jack'\?\)"):
        timeline(analysis, plan, WORDS)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jog", (("arms", "prss"),))]])
    with pytest.raises(UnknownNameError, match="no option of arms named 'prss'"):
        timeline(analysis, plan, WORDS)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jog", pattern="two")]])
    with pytest.raises(InputError, match="pattern 'two': needs counts a movement"):
        timeline(analysis, plan, WORDS)
    with pytest.raises(UnknownNameError, match="no language named 'dee'"):
        timeline(analysis, plan, WORDS, CueOptions(language="dee"))
    with pytest.raises(RangeError, match="speaking rate 0 syllables a second"):
        timeline(analysis, plan, WORDS, CueOptions(syllables_per_second=0.0))


def test_a_track_without_beats_is_refused() -> None:
    """Free time or speech cannot carry calls; the message points to the track sheet."""
    plan = planned(heard(TWO), [[Block(32, "jog")], [Block(32, "jog")]])
    nothing = replace(heard(TWO), beats_s=(), phrases=())
    with pytest.raises(InputError, match="no beat was found to place calls on"):
        timeline(nothing, plan, WORDS)


HOLDING = Block(0, "jog")


def test_the_simple_choice_fills_phrases_and_holds_elsewhere() -> None:
    """Given moves take two phrases each in turn; bridge and intro carry the holding move."""
    spans = [("intro", 8), *[("phrase", 32)] * 3, ("bridge", 4), *[("phrase", 32)] * 2]
    analysis = heard(spans)
    plan = simple_choice(analysis, [Block(0, "jack"), Block(0, "ski", pattern="4")], HOLDING)
    moves = [phrase.blocks[0].move for phrase in plan.phrases]
    assert moves == ["jog", "jack", "jack", "ski", "jog", "ski", "jack"]
    assert [p.blocks[0].pattern for p in plan.phrases if p.blocks[0].move == "ski"] == ["4", "4"]
    assert plan.phrases[4].kind is PhraseKind.BRIDGE
    with pytest.raises(InputError, match="no moves given"):
        simple_choice(analysis, [], HOLDING)


def test_each_form_asked_for_comes_in_order_as_often_as_asked() -> None:
    """One move in three forms, then the first again: four stretches, then from the start."""
    jack = Block(0, "jack")
    forms = [jack, replace(jack, pattern="4"), replace(jack, variation=(("hands", "fist"),)), jack]
    plan = simple_choice(heard([("phrase", 32)] * 5), forms, HOLDING)
    assert [phrase.blocks for phrase in plan.phrases] == [
        (replace(form, counts=32),) for form in (*forms, jack)
    ]


def test_each_form_of_a_sided_move_works_both_sides() -> None:
    """Two forms of a one-sided move in turn: either is done on the right before the left."""
    forms = [Block(0, "kick"), Block(0, "kick", pattern="4")]
    plan = simple_choice(heard([("phrase", 32)] * 8), forms, HOLDING, sided=["kick"])
    done = [(phrase.blocks[0].pattern, phrase.blocks[0].lead) for phrase in plan.phrases]
    assert done == [("2", "right"), ("2", "left"), ("4", "right"), ("4", "left")] * 2


def test_the_simple_choice_changes_sides_and_leaves_scraps_alone() -> None:
    """Sided moves swap the lead by phrase; an intro of 2 is empty, an outro of 5 goes on."""
    analysis = heard([("intro", 2), *[("phrase", 32)] * 2, ("outro", 5)])
    plan = simple_choice(analysis, [Block(0, "kick")], HOLDING, sided=["kick"])
    assert [[(b.move, b.lead) for b in phrase.blocks] for phrase in plan.phrases] == [
        [],
        [("kick", "right")],
        [("kick", "left")],
        [("kick", "left")],
    ]
    done = timeline(analysis, plan, WORDS)
    assert len(done.changes) == 2
    assert done.notes == ("before the music starts, announce: front kick",)


def test_a_move_brings_its_own_level_without_words() -> None:
    """From a hop to a grounded move nothing is said of it; a level asked for is said."""
    walk = Block(32, "jack", level="grounded")
    options = CueOptions(known_moves=KNOWN)
    assert warned(Block(32, "jog"), walk, options) == "jack"
    assert warned(Block(32, "jog"), Block(32, "jack", level="II"), options) == "jack, level two"
    assert warned(walk, Block(32, "jack"), options) == "level one"
