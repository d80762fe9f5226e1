"""What a late class may not be cut to: told by hand for a few songs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import pytest
from plan_making import heard
from planning_forms import rated

from aquatempo.class_shape.standards import MUSCLE_SECONDS, PLANE_SECONDS, TOLD_SHARE
from aquatempo.moves import catalogue
from aquatempo.planning.late_choice import without_clashes
from aquatempo.planning.late_cuts import cuts_of, lessons_of
from aquatempo.planning.late_rules import Carried, Clash, clashes
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

SHALLOW, HIGH, LOW = ClassDepth.SHALLOW, EnergyLevel.HIGH, EnergyLevel.LOW
EASY = rated("leg-curl", 10.0)


def done(
    track: int, phrase: int, one: Rated, seconds: float = 16.0, energy: EnergyLevel = HIGH
) -> Carried:
    """Return a phrase of the main part."""
    return Carried(track, phrase, "main", PhraseKind.PHRASE, energy, one, seconds)


def test_a_muscle_of_two_songs_is_counted_over_what_was_left_out() -> None:
    """2 songs of 4 x 16 s on one shoulder: 112 s pass 1.2 x 90 s in the seventh phrase."""
    press = rated("jack", 14.0, ("shoulder flexion",))
    row = [done(song, at, press) for song in (2, 5) for at in range(4)]
    assert pytest.approx(108.0) == TOLD_SHARE * MUSCLE_SECONDS
    assert clashes(row, SHALLOW)[0] == Clash((2, 3, 4), 5, 3)
    rest = [*row[:4], done(3, 0, EASY), *row[4:]]
    assert clashes(rest, SHALLOW) == []


def test_a_plane_and_a_move_go_on_over_the_end_of_a_song() -> None:
    """Over 180 s sagittal (1.2 x 150) is told, of several moves too."""
    moves = [rated("leg-curl"), rated("front-kick")]
    row = [done(song, at, moves[at % 2]) for song in (0, 1) for at in range(6)]
    assert pytest.approx(180.0) == TOLD_SHARE * PLANE_SECONDS
    assert clashes(row, SHALLOW) == [Clash((0,), 1, 6)]
    assert clashes(row[:-1], SHALLOW) == []


def test_what_is_the_first_song_now_has_no_big_jump() -> None:
    """Jumps in a second song are right until the first is left out; deep water has none."""
    jump = rated("jump")
    second = [done(3, 0, EASY), done(3, 1, jump)]
    assert clashes([done(2, 0, EASY), *second], SHALLOW) == []
    assert clashes(second, SHALLOW) == [Clash((0, 1, 2), 3, 2)]
    assert clashes(second, ClassDepth.DEEP) == []


def test_the_main_part_does_not_leap_from_a_warm_up_that_was_cut() -> None:
    """Two phrases at 9 and 10, then 12.5 and 12.5: 3.0 is taken, 3.5 after a cut to 9 is told."""
    warm = [
        replace(done(0, at, rated("jog", rpe)), part="warm-up")
        for at, rpe in enumerate((8.0, 9.0, 10.0))
    ]
    main = [done(2, at, rated("jack", 12.5)) for at in range(3)]
    assert clashes([*warm, *main], SHALLOW) == []
    assert clashes([*warm[:2], *main], SHALLOW) == [Clash((0, 1), 2, 2)]
    bridge = replace(warm[2], kind=PhraseKind.BRIDGE)
    assert clashes([*warm[:2], bridge, *main], SHALLOW) == [Clash((0, 1), 2, 2)]
    assert clashes(main, SHALLOW) == []
    assert clashes(warm, SHALLOW) == []


def test_a_song_is_not_cut_to_a_lighter_chorus() -> None:
    """Loud at RPE 10, quiet at 11.5: more than a point below, so that cut of it is not taken."""
    row = [done(1, 0, rated("jog", 11.5), energy=LOW), done(1, 1, EASY)]
    assert clashes(row, SHALLOW) == [Clash((1,), 1, 0)]
    assert clashes([replace(row[0], rated=rated("jog", 10.9)), row[1]], SHALLOW) == []


def track(title: str, part: str, rows: list[tuple[Block, ...]]) -> PlannedTrack:
    """Return a song of phrases at 120 beats/min, 16 s each."""
    phrases = tuple(
        PlannedPhrase(32 * at, 32, PhraseKind.PHRASE, HIGH, row) for at, row in enumerate(rows)
    )
    analysis = heard([("phrase", 32)] * len(rows), 120.0)
    return PlannedTrack(title, f"{title}.ogg", part, 120.0, phrases, analysis=analysis)


def stretching(leads: str) -> PlannedTrack:
    """Return stretches of the calf, a phrase a lead, and an ending."""
    names = {"R": "right", "L": "left"}
    rows = [(Block(32, "calf-stretch", lead=names[one]),) for one in leads]
    return track("Still", "stretch", [*rows, (Block(32, "arm-glide"),)])


def test_no_stretch_is_left_with_one_side_done() -> None:
    """Of right, left, right, left and an ending, two go together; the ending stays the end."""
    plan = ClassPlan(Brief(minutes=10.0), (stretching("RLRL"),))
    (_, (cut, tenths)) = cuts_of(plan, 0, catalogue())
    assert cut is not None
    assert [block.lead for phrase in cut.phrases for block in phrase.blocks] == [
        "right",
        "left",
        "",
    ]
    assert tenths == 5  # 32 s are 5.3 tenths of a minute


def test_what_is_met_in_passing_was_learned_before() -> None:
    """Eight counts of a variation need a phrase that had half a phrase of it, in a song before."""
    plain, swung = Block(32, "jack"), Block(16, "jack", variation=(("arms", "raise"),))
    passing = (Block(24, "jack"), replace(swung, counts=8))
    songs = (track("One", "main", [(plain,), (swung, swung)]), track("Two", "main", [passing]))
    plan = ClassPlan(Brief(minutes=10.0, known_moves=("jack",)), songs)
    assert lessons_of(plan, catalogue()) == [((1, 0), [(0, 1)])]


class Working:
    """Stands in for a palette: leg curls and knee lifts work the same muscle, other moves rest."""

    source = catalogue()

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return figures by hand."""
        hard = {"leg-curl": ("knee flexion",), "knee-lift": ("knee flexion",)}
        return [rated(one.move.key, 13.0, hard.get(one.move.key, ())) for one in forms]


def test_cuts_give_way_to_what_then_stands_side_by_side() -> None:
    """What rests a muscle between two songs stays: 128 s of it in a row pass 108."""
    rows = [(Block(32, key, lead="right"),) for key in ("leg-curl", "jack", "knee-lift")]
    songs = [track(name, "main", [row] * 4) for name, row in zip("ABC", rows, strict=True)]
    plan = ClassPlan(Brief(minutes=5.0), tuple(songs))
    options = [[(song, 0), (None, 10)] for song in songs]
    options[1] = [(songs[1], 0), (replace(songs[1], phrases=songs[1].phrases[:2]), 5), (None, 10)]
    palette = cast("Palette", Working())
    assert without_clashes(plan, 1.0, options, [], (0, 2, 0), palette) in ((1, 0, 0), (0, 0, 1))
