"""What stands on a line of the deck: details, counts written out, names, in both languages."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from importlib import resources
from string import Formatter

import pytest
from deck_making import make_track
from hypothesis import given
from hypothesis import strategies as st

from aquatempo import cues
from aquatempo.deck.book import deck_book
from aquatempo.deck.line_words import spelled, style, tempo
from aquatempo.documents.track_sheet import read_track_sheet
from aquatempo.exports.deck_details import details, times
from aquatempo.exports.labels import labels, movement_name, said_of_move
from aquatempo.moves import catalogue, resolve, variations
from aquatempo.records.cues import Change, CueOptions
from aquatempo.records.moves import Factor
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.workflow.exporting import timelines_of

LANGUAGES = cues.language_codes()
SIDES = {"en": ("right", "left"), "de": ("rechts", "links")}
UP = ("lead knee up", "other knee up")


def change(
    counts: int = 32,
    pattern: str = "2",
    lead: str = "right",
    level: str = "I",
    travel: str = "in place",
) -> Change:
    """Return a change to knee lifts."""
    return Change(
        time_s=0.0, end_s=15.0, beat=0, counts=counts, phrase=0, move="knee-lift",
        name="Knee lift", variation=(), pattern=pattern, lead=lead, level=level, travel=travel,
        new_move=True, stretched=False, tempo_name="water tempo",
        mirrored_lead={"right": "left", "left": "right"}.get(lead, ""),
    )  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_label(language: str) -> None:
    """A language of calls has all labels of the deck, with the same places to fill."""
    own, english = labels(language), labels("en")
    assert own.keys() == english.keys()
    for key, text in english.items():
        places = {name for _, name, _, _ in Formatter().parse(text) if name}
        assert {name for _, name, _, _ in Formatter().parse(own[key]) if name} == places, key


def test_every_movement_has_a_name_in_german() -> None:
    """Each movement of the catalogue is translated, and no translation is left over."""
    found = catalogue()
    names = {
        movement.name
        for move in found.moves.values()
        for depth in move.depths
        for movement in resolve(move, None, depth, found).movements
    }
    names |= {
        movement.name
        for move in found.moves.values()
        for variation in variations(move, ClassDepth.SHALLOW, found, None)
        if variation.changes[0][0] is Factor.SIDES
        for movement in resolve(move, variation, ClassDepth.SHALLOW, found).movements
    }
    written = resources.files("aquatempo.exports") / "movements.toml"
    table = tomllib.loads(written.read_text(encoding="utf-8"))["de"]
    assert sorted(names ^ set(table)) == []


def test_every_description_and_caution_is_told_in_german() -> None:
    """What the sheet says of each move is translated, and no translation is left over."""
    found = catalogue()
    moves = [move for depth in ClassDepth for move in found.at(depth).moves.values()]
    said = {move.description for move in moves}
    said |= {caution for move in moves for caution in move.cautions}
    assert [text for text in sorted(said) if said_of_move(text, "de") == text] == []
    written = resources.files("aquatempo.exports") / "descriptions.toml"
    table = tomllib.loads(written.read_text(encoding="utf-8"))["de"]
    assert sorted(set(table) - said) == []


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("lead", ["right", "left"])
def test_movements_name_the_sides_that_they_mean(language: str, lead: str) -> None:
    """A lead of the left names the left first and the right second."""
    order = SIDES[language] if lead == "right" else SIDES[language][::-1]
    told = [movement_name(name, lead, language) for name in UP]
    assert all(side in text for side, text in zip(order, told, strict=True))


@pytest.mark.parametrize(
    ("pattern", "counts", "expected"),
    [
        ("2", 32, "1-2 right knee up, 3-4 left knee up: 8 times"),
        ("1", 8, "1 right knee up, 2 left knee up: 4 times"),
        ("4", 8, "1-4 right knee up, 5-8 left knee up: once"),
        ("2+2h", 16, "1-2 right knee up, 3-4 hold, 5-6 left knee up, 7-8 hold: 2 times"),
        ("2", 37, "1-2 right knee up, 3-4 left knee up: 9 times and 1 count"),
        ("2", 2, "1-2 right knee up: 2 counts"),
        ("4+28h", 32, "1-4 right knee up, 5-32 hold: 32 counts"),
        (
            "2-2-4", 16,
            "1-2 right knee up, 3-4 left knee up, 5-8 right knee up, 9-10 left knee up, "
            "11-12 right knee up, 13-16 left knee up: once",
        ),
    ],
)  # fmt: skip
def test_counts_are_written_out(pattern: str, counts: int, expected: str) -> None:
    """One repetition in counts with sides, as far as it goes, and how often it fits (by hand)."""
    assert written_out(pattern, counts) == expected


def written_out(pattern: str, counts: int) -> str:
    """Return a repetition in counts and how often it fits, as card and sheet tell it."""
    text, length = spelled(change(counts, pattern), UP, "en")
    line = replace(make_track().lines[1], repetition_counts=length)
    return f"{text}: {times(line, counts, labels('en'))}"


def test_what_has_no_movements_is_told_in_eights() -> None:
    """Standing and breathing is told in eights."""
    assert spelled(change(16), (), "en") == ("1 eight", 8)
    assert spelled(change(8), (), "de") == ("1 Achter", 8)


@given(st.sampled_from(["1", "2", "4", "2-2-4", "1-1-2", "2+2h", "2+2b"]), st.integers(1, 128))
def test_counts_written_out_add_up(pattern: str, counts: int) -> None:
    """The repetition times its number, and what is left, is the line's counts."""
    _, length = spelled(change(counts, pattern), UP, "en")
    told = written_out(pattern, counts).partition(": ")[2]
    numbers = [int(word) for word in told.split() if word.isdigit()]
    if counts < length:
        assert numbers == [counts]
        return
    repeated = 1 if told.startswith("once") else numbers.pop(0)
    assert repeated * length + sum(numbers) == counts


@pytest.mark.parametrize(
    ("pattern", "english", "german"),
    [
        ("2", "water (2)", "Wasser (2)"), ("1", "land (1)", "Land (1)"),
        ("2-2-4", "2-2-4", "2-2-4"), ("2+2h", "2, hold 2", "2, halten 2"),
        ("2+2b-4", "2, bounce 2, 4", "2, federn 2, 4"), ("4+28h", "hold 28", "halten 28"),
        ("4+20h-4+4h", "hold 20", "halten 20"),
    ],
)  # fmt: skip
def test_tempo_options_are_told_in_few_letters(pattern: str, english: str, german: str) -> None:
    """A held stretch says how long it is held, and no pattern shows its notation of holds."""
    assert (tempo(pattern, "en"), tempo(pattern, "de")) == (english, german)


def test_what_varies_stands_in_order_of_importance() -> None:
    """Tempo option, leading side with the mirrored one, variation, travel, level; no default."""
    varied = replace(
        change(level="II", travel="forward"),
        variation=(("arms", "press"), ("tempo", "water"), ("hands", "fist")),
        variation_names=("Arms press", "Water tempo", "Fists"),
    )
    told = style(varied, "I", "in place", "en")
    assert told == ("arms press", "fists", "forward", "level II")
    assert style(change(travel="sideways"), "I", "sideways", "en") == ()
    line = replace(make_track().lines[1], tempo="water (2)", lead="right", style=told)
    assert details(line, labels("en")) == ("water (2)", "right (you left)", *told)
    assert details(replace(line, lead="", style=()), labels("de")) == ("water (2)",)


def book_plan(**brief: object) -> ClassPlan:
    """Return a class of one entered track with one phrase of knee lifts."""
    text = 'title = "Lanes"\nlength = "0:30"\ntempo_bpm = 128.0\nphrases = [32]\n'
    title, analysis = read_track_sheet("lanes.toml", text)
    block = Block(32, "knee-lift", lead="left")
    phrase = PlannedPhrase(0, 32, PhraseKind.PHRASE, EnergyLevel.MEDIUM, (block,))
    track = PlannedTrack(title, "lanes.toml", "warm-up", 128.0, (phrase,), analysis=analysis)
    return ClassPlan(brief=Brief(**brief), tracks=(track,))  # type: ignore[arg-type]


def test_the_instructors_own_names_go_everywhere_beside_ours() -> None:
    """A name of the brief stands on line and note; the note also tells the catalogue's."""
    plan = book_plan(move_names=(("knee-lift", "Stairs"),), move_signs=(("knee-lift", "wave"),))
    options = CueOptions(own_names=plan.brief.move_names, own_signs=plan.brief.move_signs)
    book = deck_book(plan, timelines_of(plan, catalogue(), options), catalogue(), options)
    (line,), (note,) = book.tracks[0].lines, book.moves
    assert (line.name, line.short_name) == ("Stairs", "")
    assert (note.name, note.also.lower(), note.sign) == ("Stairs", "knee lift", "wave")


def test_facts_tell_where_the_water_stands_on_the_group() -> None:
    """At 1.0 m the tall stand too low for rebound, at 1.4 m the short between nipple and chin.

    Shares of height .60 (navel), .72 and .735 (nipple), .87 (chin): ANSUR II 2012, Drillis
    and Contini 1966. 1.0 m is .61 of 1.65 m and .53 of 1.90 m; 1.4 m is .85 and .74.
    """
    plan = book_plan(pool=Pool(depth_m=1.0, far_depth_m=1.4), group=Group(height_m=(1.65, 1.9)))
    options = CueOptions()
    book = deck_book(plan, timelines_of(plan, catalogue(), options), catalogue(), options)
    zones = dict(book.facts)["Depth on them"]
    shallow, deep = zones.split("; ")
    assert shallow.startswith("1 m: navel to nipple on people of 1.65")
    assert shallow.endswith("1.90 m")
    assert "too low for rebound on people of" in shallow
    assert deep == "1.4 m: nipple to chin on people of 1.65-1.90 m"


def test_a_group_outside_the_body_tables_gets_no_zones() -> None:
    """Children are beyond the published tables: the fact is left out, the rest stays."""
    plan = book_plan(group=Group(height_m=(1.05, 1.3)), depth=ClassDepth.SHALLOW)
    options = CueOptions(language="de")
    book = deck_book(plan, timelines_of(plan, catalogue(), options), catalogue(), options)
    facts = dict(book.facts)
    assert "Gruppe" in facts
    assert "Tiefe an ihnen" not in facts
    assert book.tracks[0].part == "Aufwärmen"


@pytest.mark.parametrize(
    ("language", "heading", "words"),
    [("en", "Deep water", ("belt", "scull", "floor")), ("de", "Tiefwasser", ("Gürtel", "paddelt"))],
)
def test_a_deep_class_tells_of_belt_balance_and_sculling(
    language: str, heading: str, words: tuple[str, ...]
) -> None:
    """Who takes over a deep class reads what holds in it; a shallow one says nothing of it."""
    options = CueOptions(language=language)
    for depth in ClassDepth:
        plan = book_plan(depth=depth)
        book = deck_book(plan, timelines_of(plan, catalogue(), options), catalogue(), options)
        told = dict(book.facts).get(heading, "")
        assert bool(told) is (depth is ClassDepth.DEEP)
        assert all(word in told for word in words) or not told
