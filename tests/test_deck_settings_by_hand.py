"""What is made of a class, and of which moves figures are drawn: options, names, sheets."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from deck_making import make_book
from review_making import Song, block_of, read_songs

from aquatempo.deck import drawn_moves, figure_files
from aquatempo.deck.cards import CardFile, card_files
from aquatempo.deck.drawn_moves import figure_key, with_figures
from aquatempo.deck.export_options import FORMATS, ExportOptions, check_options
from aquatempo.deck.naming import file_stem
from aquatempo.errors import InputError, RangeError
from aquatempo.moves import catalogue, resolve
from aquatempo.records.people import Group
from aquatempo.records.plan import Block, Brief, ClassPlan


@pytest.mark.parametrize(
    ("title", "stem"),
    [
        ("a" * 50, "07_" + "a" * 40),
        ("a" * 38 + " bc", "07_" + "a" * 38 + "_b"),
        ("a" * 39 + " bc", "07_" + "a" * 39),
        ("Odd Lane, Part 2", "07_odd_lane_part_2"),
        ("!!!", "07_track"),
    ],
)
def test_names_of_files_have_40_letters_at_most(title: str, stem: str) -> None:
    """A number of two digits, then up to 40 letters, never ending in a joint."""
    assert file_stem(7, title) == stem


def test_usual_options_are_modest() -> None:
    """Usually: A5, printed on one face, calls spoken, 16 LUFS below full scale, nothing replaced.

    -16 LUFS is common practice for played-back mixes, no source.
    """
    usual = ExportOptions()
    check_options(usual)
    assert (usual.paper, usual.sound, usual.songs, usual.language) == ("a5", "ogg", (), "")
    assert usual.loudness_lufs == -16.0
    assert not any((usual.two_sided, usual.silent, usual.figures, usual.force, usual.own_only))
    assert set(FORMATS) - set(usual.only) == {"large", "app", "figures", "track-cards"}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"only": ("card", "cart")}, "no export format named 'cart' (did you mean 'card'?)"),
        ({"songs": ("mixx",)}, "no export format with songs named 'mixx' (did you mean 'mix'?)"),
        ({"paper": "a44"}, "no page size named 'a44'; known: a5, half-letter, a4, letter"),
        ({"sound": "oog"}, "no sound format named 'oog' (did you mean 'ogg'?)"),
    ],
)
def test_unknown_names_are_refused(change: dict[str, Any], message: str) -> None:
    """Each kind of name is checked; the nearest that is known is offered, of sheets all four."""
    with pytest.raises(InputError) as caught:
        check_options(replace(ExportOptions(), **change))
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("lufs", "message"),
    [
        (-40.0, ""),
        (-6.0, ""),
        (-40.5, "loudness -40.5 LUFS: needs -40 to -6 LUFS"),
        (-5.5, "loudness -5.5 LUFS: needs -40 to -6 LUFS"),
        (0.0, "loudness 0 LUFS: needs -40 to -6 LUFS"),
        (0.5, "loudness 0.5 LUFS: needs -40 to -6 LUFS (LUFS are below zero: did you mean -16?)"),
    ],
)
def test_loudness_has_limits(lufs: float, message: str) -> None:
    """-40 to -6 LUFS, both allowed; above zero the sign is likely missing."""
    options = ExportOptions(loudness_lufs=lufs)
    if not message:
        check_options(options)
        return
    with pytest.raises(RangeError) as caught:
        check_options(options)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("paper", "two_sided", "sides", "sheets"),
    [
        ("a5", False, 5, 5), ("a5", True, 5, 3), ("a5", True, 4, 2), ("a5", True, 1, 1),
        ("a4", False, 5, 3), ("a4", True, 5, 2), ("a4", True, 4, 1), ("a4", False, 1, 1),
    ],
)  # fmt: skip
def test_sheets_of_a_card(paper: str, two_sided: bool, sides: int, sheets: int) -> None:
    """A5 holds a side, A4 two; each on two faces where both are printed; the last may be part."""
    card = CardFile("card.pdf", make_book(), paper, two_sided=two_sided)
    card.__dict__["sides"] = [None] * sides  # as if laid out
    count = card.count
    assert (count.file, count.paper, count.sides, count.sheets) == (
        "card.pdf", paper, sides, sheets,
    )  # fmt: skip


def test_the_cards_that_are_asked_for() -> None:
    """In the order of the list, each with its form; only one spells out the counts."""
    book = make_book()
    options = ExportOptions(only=("silent", "large", "compact", "card"), paper="a4")
    found = [(one.file, one.form, one.without_sound) for one in card_files(book, options)]
    assert found == [
        ("deck_card.pdf", "song", False),
        ("deck_card_compact.pdf", "compact", False),
        ("deck_card_large.pdf", "large", False),
        ("deck_card_without_sound.pdf", "song", True),
    ]
    assert card_files(book, ExportOptions(only=("csv",))) == []
    (one,) = card_files(book, ExportOptions(only=("card",), two_sided=True))
    assert (one.paper, one.two_sided) == ("a5", True)
    usual = CardFile("card.pdf", book, "a5")
    assert (usual.form, usual.without_sound, usual.two_sided) == ("song", False, False)


def change(move: str, lead: str = "", **others: Any) -> Any:
    """Return what a figure asks of a change."""
    usual = {"move": move, "variation": (), "pattern": "2", "lead": lead}
    return SimpleNamespace(**{**usual, **others})


@pytest.mark.parametrize(
    ("move", "lead", "key"),
    [
        ("jack", "left", "jack 2 left"),
        ("jack", "right", "jack 2"),
        ("jack", "", "jack 2"),
        ("jack", "up", "jack 2"),
        ("jog", "left", "jog 2"),
        ("jog", "right", "jog 2"),
    ],
)
def test_a_lead_counts_where_it_is_seen(move: str, lead: str, key: str) -> None:
    """Of a jack, seen from the front, left and right look different; of a jog from the side not."""
    assert figure_key(change(move, lead), resolve(catalogue().move(move))) == key
    varied = change(move, lead, variation=(("arms", "press"),), pattern="4")
    told = figure_key(varied, resolve(catalogue().move(move)))
    assert told == key.replace(" 2", " arms=press 4")


def plan_of(*blocks: Block) -> ClassPlan:
    """Return a class of one song for people of 1.5 to 1.9 m."""
    group = replace(Group(), height_m=(1.5, 1.9))
    return read_songs([Song("main", [blocks])], Brief(group=group)).plan


def test_each_look_is_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plain figure of each move and one of each look, mirrored but for a lead to the left.

    People of 1.5 to 1.9 m are drawn 1.7 m tall; the pattern is the one of the change.
    """
    drawn: list[tuple[str, str, float, bool]] = []

    def figure_of(form: Any, pool: Any, *, stature_m: float, mirrored: bool) -> Any:
        pattern = form.pattern.text if form.pattern else ""
        drawn.append((form.move.key, pattern, stature_m, mirrored))
        return len(drawn)

    monkeypatch.setattr(drawn_moves, "figure_of", figure_of)
    told = [
        change("jack", "left"), change("jack", "right"), change("jack", "left"),
        change("jog", "left", pattern="4"), change("jack", pattern="4"),
    ]  # fmt: skip
    timelines: Any = [SimpleNamespace(changes=told[:2]), SimpleNamespace(changes=told[2:])]
    book = with_figures(make_book(), plan_of(block_of("jack")), timelines, catalogue())
    names: Any = book.figures
    assert names == (
        ("jack plain", 1), ("jack 2 left", 2), ("jack 2", 3), ("jog plain", 4), ("jog 4", 5),
        ("jack 4", 6),
    )  # fmt: skip
    assert [one[3] for one in drawn] == [True, False, True, True, True, True]
    assert [one[1] for one in drawn][1:3] == ["2", "2"]
    assert [one[1] for one in drawn][4:] == ["4", "4"]
    assert {one[2] for one in drawn} == {1.7}


def test_a_sheet_shows_each_form_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A form that comes again is left out, with its first song named; so is an unknown move."""
    statures: list[float] = []

    def figure_of(form: Any, pool: Any, *, stature_m: float, mirrored: bool) -> Any:
        statures.append(stature_m)
        return SimpleNamespace(stages=())

    monkeypatch.setattr(figure_files, "figure_of", figure_of)
    monkeypatch.setattr(figure_files, "end_positions", lambda figure, told, names: told)
    jack, jog = block_of("jack", 8), block_of("jog", 8)
    pressed = replace(jog, variation=(("arms", "press"),))
    plan = plan_of(jack, jog, jack, pressed)
    (track,) = plan.tracks
    (phrase,) = track.phrases
    gone = replace(phrase, blocks=(replace(jack, move="gone"), *phrase.blocks))
    late = replace(phrase, blocks=(jack, block_of("knee-lift", 8)))
    songs = (replace(track, phrases=(gone,)), replace(track, title="Late", phrases=(late,)))
    cells = figure_files.figure_cells(replace(plan, tracks=songs), catalogue(), "en")
    moves = catalogue().moves
    press = next(one for (_, key), one in catalogue().options.items() if key == "press")
    assert [one.name for one in cells] == [
        moves["jack"].name, moves["jog"].name, f"{moves['jog'].name}, {press.name}",
        moves["knee-lift"].name,
    ]  # fmt: skip
    assert cells[2].name.count(",") == cells[2].call.count(",") == 1
    assert [one.where for one in cells] == [
        "1. Lane 1", "1. Lane 1", "1. Lane 1", "2. Late",
    ]  # fmt: skip
    assert set(statures) == {1.7}
