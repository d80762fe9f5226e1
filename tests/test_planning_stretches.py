"""Stretches one after the other: counts, sides, seconds and how a class ends, counted by hand.

Held 15 to 30 s a side (common practice; Garber et al. 2011: 10 to 30 s). At 120 beats/min 32
counts last 16 s, at 60 they last 32 s.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import cast

import pytest

from aquatempo.class_shape.figures import Figures
from aquatempo.class_shape.parts import ClassPart
from aquatempo.moves import Catalogue, catalogue, resolve
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.stretch_part import ENDINGS, endings_of, fill_with_stretches
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.records.brief import Course
from aquatempo.records.moves import Move, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Brief, BuildWay, PartName, PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.records.verdict import ImpactBand

WARM = Brief(pool=Pool(temperature_c=31.0))


@dataclass
class Moves:
    """Stands for a palette that has some moves and lets all of them through, but for a few."""

    brief: Brief = WARM
    source: Catalogue = field(default_factory=catalogue)
    keys: tuple[str, ...] = ()
    barred: tuple[str, ...] = ()
    tempos_bpm: tuple[float, ...] = (120.0,)

    @property
    def pool(self) -> Pool:
        """The pool of the brief."""
        return self.brief.pool

    @property
    def moves(self) -> list[Move]:
        """The moves that there are."""
        shallow = ClassDepth.SHALLOW
        every = [move for move in self.source.moves.values() if shallow in move.depths]
        return [move for move in every if not self.keys or move.key in self.keys]

    @property
    def holds(self) -> list[MoveForm]:
        """What may carry a bridge."""
        return [self.form(self.source.moves["easy-jog"])]

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return the moves of some kinds."""
        return [move for move in self.moves if move.kind in kinds]

    def form(self, move: Move) -> MoveForm:
        """Return a move as it stands."""
        return resolve(move, None, ClassDepth.SHALLOW)

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms with figures; tempo_bpm is not weighed."""
        assert tempo_bpm > 0
        figures = Figures(1.0, 3.0, 8.0, ImpactBand.LOW)
        return [Rated(f, figures, "no" if f.move.key in self.barred else "") for f in forms]


def filled(
    spans: Sequence[int],
    moves: Moves | None = None,
    tempo_bpm: float = 120.0,
    ends: bool = False,
    ledger: Ledger | None = None,
) -> Filled:
    """Return stretches over phrases of some counts."""
    phrases = [PlannedPhrase(0, n, PhraseKind.PHRASE, EnergyLevel.LOW, ()) for n in spans]
    part = ClassPart(PartName.STRETCH, 5.0, (50.0, 100.0), BuildWay.LINEAR)
    music = Music(phrases, [0.5] * len(phrases), tempo_bpm, part)
    palette = cast("Palette", moves or Moves())
    return fill_with_stretches(music, palette, ledger or Ledger(set()), ends)


def told(found: Filled) -> list[list[tuple[int, str, str]]]:
    """Return counts, move and lead of each piece, phrase by phrase."""
    return [[(p.counts, p.form.move.key, p.lead) for p in row] for row in found.rows]


CALF, HAM, CHEST = "calf-stretch", "hamstring-stretch", "chest-stretch"


def test_both_sides_of_a_stretch_follow_each_other_legs_first() -> None:
    """A phrase a side, calves before hamstrings before the chest, which has no sides."""
    moves = Moves(keys=(CHEST, HAM, CALF))
    assert told(filled([32] * 5, moves)) == [
        [(32, CALF, "right")], [(32, CALF, "left")],
        [(32, HAM, "right")], [(32, HAM, "left")], [(32, CHEST, "")],
    ]  # fmt: skip
    assert filled([32] * 5, moves).names == ("stretch",) * 5


def test_a_song_of_twelve_turns_does_not_stay_with_the_legs() -> None:
    """Four stretches of the legs, then the chest, then the rest (common practice, no source)."""
    keys = [key for row in told(filled([32] * 12)) for _, key, _ in row]
    legs = ["calf-stretch", "hamstring-stretch", "quad-stretch", "hip-flexor-stretch"]
    assert keys[:8] == [key for key in legs for _ in "RL"]
    assert keys[8:] == [CHEST, "inner-thigh-stretch", "inner-thigh-stretch", "upper-back-stretch"]


def test_a_stretch_that_has_no_room_for_both_sides_is_not_begun() -> None:
    """Of one phrase the chest has it; where only legs are left, something loose."""
    assert told(filled([32], Moves(keys=(CALF, CHEST)))) == [[(32, CHEST, "")]]
    loose = Moves(keys=(CALF, "sway", "scull"))
    assert told(filled([32] * 3, loose)) == [
        [(32, CALF, "right")], [(32, CALF, "left")], [(32, "sway", "")],
    ]  # fmt: skip
    assert told(filled([32], Moves(keys=(CALF,)))) == [[(32, "easy-jog", "")]]
    assert told(filled([32], Moves(keys=(CALF, "stand-and-breathe"))))[0][0][1] == (
        "stand-and-breathe"
    )


def test_the_least_used_come_first() -> None:
    """After calves once, hamstrings, then both again; the ledger notes a turn for both sides."""
    ledger = Ledger(set())
    ledger.phrases[CALF] = 1
    moves = Moves(keys=(CALF, HAM))
    assert [row[0][1] for row in told(filled([32] * 6, moves, ledger=ledger))] == [
        HAM, HAM, CALF, CALF, HAM, HAM,
    ]  # fmt: skip
    assert ledger.phrases == {CALF: 2, HAM: 2}


def test_cool_water_keeps_stretches_moving_with_the_other_leg_next_time() -> None:
    """Below 29 C: a knee hug twice, right first, then left first when it comes back.

    A leg swing works one side: right, then left. At 29 C they are held.
    """
    keys = (CALF, "walking-knee-hug")
    cool = Moves(replace(WARM, pool=Pool(temperature_c=28.9)), keys=keys)
    hug = "walking-knee-hug"
    assert told(filled([32] * 4, cool)) == [
        [(32, hug, "right")], [(32, hug, "right")], [(32, hug, "left")], [(32, hug, "left")],
    ]  # fmt: skip
    assert told(filled([32] * 3, cool))[2] == [(32, hug, "left")]
    assert told(filled([32] * 6, cool))[4:] == [[(32, hug, "right")]] * 2  # and right once more
    mild = replace(cool, brief=replace(WARM, pool=Pool(temperature_c=29.0)))
    assert told(filled([32] * 2, mild)) == [[(32, CALF, "right")], [(32, CALF, "left")]]
    swing = replace(cool, keys=("slow-leg-swing", "arm-glide"))
    assert told(filled([32] * 4, swing)) == [
        [(32, "slow-leg-swing", "right")], [(32, "slow-leg-swing", "left")],
        [(32, "arm-glide", "")], [(32, "arm-glide", "")],
    ]  # fmt: skip


def test_where_nothing_suits_the_water_all_stretches_do() -> None:
    """Only held ones in cool water; what the class may not do is left out."""
    cool = Moves(replace(WARM, pool=Pool(temperature_c=26.0)), keys=(CALF, HAM))
    assert told(filled([32] * 2, cool))[0] == [(32, CALF, "right")]
    assert told(filled([32] * 2, replace(cool, barred=(CALF,))))[0] == [(32, HAM, "right")]


@pytest.mark.parametrize(("tempo", "counts", "seconds"), [
    (120.0, 32, 14.0),  # 28 counts of half a second
    (60.0, 32, 28.0),  # 28 s are within 30
    (50.0, 32, 33.6),  # 28 of 1.2 s are 33.6, within 4 s of slack
    (49.0, 16, 14.7),  # 28 would be 34.3: 12 of 60/49 s
    (20.0, 16, 36.0),  # 12 of 3 s are 36: a half again, but no less than an eight
])  # fmt: skip
def test_a_stretch_is_held_as_long_as_its_counts(tempo: float, counts: int, seconds: float) -> None:
    """Four counts to ease in, the rest held: 4+28h; slower music gives fewer counts a side."""
    rows = filled([32, 32], Moves(keys=(CALF,)), tempo).rows
    if tempo == 20.0:
        counts, seconds = 8, 12.0
    piece = rows[0][0]
    assert piece.counts == counts
    assert piece.pattern == f"4+{counts - 4}h"
    assert piece.held_s == pytest.approx(seconds)


def test_a_stretch_without_sides_is_let_go_in_time() -> None:
    """Of 32 counts 4 into it, 20 held, 4 out and 4 still; a moving one keeps its own pattern."""
    (piece,) = filled([32], Moves(keys=(CHEST,)), 60.0).rows[0]
    assert (piece.pattern, piece.held_s) == ("4+20h-4+4h", 20.0)
    cool = Moves(replace(WARM, pool=Pool(temperature_c=26.0)), keys=("arm-glide",))
    (glide,) = filled([32], cool).rows[0]
    assert (glide.pattern, glide.held_s) == ("", 0.0)


@pytest.mark.parametrize(("tempo", "pattern", "seconds"), [
    (80.0, "4+20h-4+4h", 15.0),
    (81.0, "4+24h-4", 17.8),
    (94.0, "4+24h-4", 15.3),  # the rest is left out: 20 counts would be 12.8 s
    (97.0, "4+26h-2", 16.1),  # let go in two counts: 24 would be 14.8 s
    (100.0, "4+26h-2", 15.6),
])  # fmt: skip
def test_a_stretch_without_sides_is_held_for_fifteen_seconds(
    tempo: float, pattern: str, seconds: float
) -> None:
    """In slow music, up to 100 b/min, for the 15 to 30 s of common practice."""
    (piece,) = filled([32], Moves(keys=(CHEST,)), tempo).rows[0]
    assert (piece.pattern, piece.held_s) == (pattern, seconds)


def test_counts_between_go_to_the_stretch_before_or_the_first() -> None:
    """8 of lead-in to the first, 12 of a bridge to the one before: 40 + 44, and 32."""
    moves = Moves(keys=(CALF, CHEST))
    assert told(filled([8, 32, 32, 12, 32], moves)) == [
        [(8, CALF, "right")], [(32, CALF, "right")], [(32, CALF, "left")], [(12, CALF, "left")],
        [(32, CHEST, "")],
    ]  # fmt: skip
    assert filled([8, 32, 32, 12, 32], moves).rows[0][0].held_s == 18.0  # 36 of half a second
    assert told(filled([20], Moves(keys=(CHEST,)))) == [[(20, CHEST, "")]]


def test_a_class_ends_in_its_last_two_eights() -> None:
    """Two phrases are enough to end in, less is not; the last side gives 16 counts, if it can.

    Half a side would be held for 6 s only: it goes to the ending with its 32 counts.
    """
    moves = Moves(keys=(CHEST, "upper-back-stretch", "sway"))
    slow = filled([32] * 3, moves, 60.0, ends=True)
    assert told(slow)[-1] == [(32, "sway", "")]
    assert slow.names == ("stretch", "stretch", "ending")
    long = filled([32, 48], moves, 60.0, ends=True)
    assert told(long) == [
        [(32, CHEST, "")], [(32, "upper-back-stretch", ""), (16, "sway", "")],
    ]  # fmt: skip
    assert long.names == ("stretch", "stretch, ending")
    assert all(p.form.move.key != "sway" for row in filled([32, 31], moves, ends=True).rows
               for p in row)  # fmt: skip
    assert told(filled([32, 32], moves, ends=True))[-1][-1][1] == "sway"
    assert told(filled([32, 32], moves))[-1][-1][1] == "upper-back-stretch"


@pytest.mark.parametrize("spans", [[32] * 3, [32, 40, 12, 32], [16, 32, 32, 24], [64, 8, 64]])
@pytest.mark.parametrize("tempo", [49.0, 60.0, 96.0, 120.0])
@pytest.mark.parametrize("ends", [False, True])
def test_all_counts_are_filled(spans: list[int], tempo: float, ends: bool) -> None:
    """Each row has the counts of its phrase; every side that is begun has its other side."""
    found = filled(spans, tempo_bpm=tempo, ends=ends)
    assert [sum(piece.counts for piece in row) for row in found.rows] == spans
    assert len(found.names) == len(spans)
    sides: dict[str, int] = {}
    for piece in dict.fromkeys(
        (p.form.move.key, p.lead) for row in found.rows for p in row if p.held_s
    ):
        sides[piece[0]] = sides.get(piece[0], 0) + {"right": 1, "left": -1, "": 0}[piece[1]]
    assert not any(sides.values())


def test_endings_turn_with_the_seed_and_rest_their_weeks() -> None:
    """Seed 0 begins with the first; used lately comes last, the one longest ago before others."""
    every = cast("Palette", Moves())
    brief = replace(WARM, seed=0)
    assert endings_of(brief, every) == list(ENDINGS)
    assert endings_of(replace(brief, seed=1), every) == [*ENDINGS[1:], ENDINGS[0]]
    assert endings_of(replace(brief, seed=len(ENDINGS) + 2), every)[0] == ENDINGS[2]
    used = replace(brief, endings_used=((ENDINGS[0], 2), (ENDINGS[1], 3)))
    assert endings_of(used, every) == [*ENDINGS[1:], ENDINGS[0]]
    course = replace(used, course=Course(endings_after=3))
    assert endings_of(course, every) == [*ENDINGS[2:], ENDINGS[1], ENDINGS[0]]
    few = cast("Palette", Moves(keys=("march", "sway")))
    assert endings_of(brief, few) == ["sway", "march"]
    assert endings_of(brief, cast("Palette", Moves(keys=("jack",)))) == []


@pytest.mark.parametrize(
    ("used", "last"),
    [
        ((), CHEST), (((CHEST, 1),), "upper-back-stretch"), (((CHEST, 3),), CHEST),
        (((CHEST, 2), ("upper-back-stretch", 1)), CHEST),
        (((CHEST, 1), ("upper-back-stretch", 2)), "upper-back-stretch"),
    ],
)  # fmt: skip
def test_a_class_that_ends_with_a_stretch_takes_another_than_lately(
    used: tuple[tuple[str, int], ...], last: str
) -> None:
    """One phrase is too short for an ending: the stretch turns; of two the one longest ago."""
    moves = Moves(replace(WARM, endings_used=used), keys=(CALF, CHEST, "upper-back-stretch"))
    assert told(filled([32], moves, ends=True)) == [[(32, last, "")]]
    assert told(filled([32], moves)) == [[(32, CHEST, "")]]


def test_endings_that_were_all_used_come_back_longest_ago_first() -> None:
    """Of two endings, used last week and the week before, the second comes."""
    few = cast("Palette", Moves(keys=("march", "sway")))
    brief = replace(WARM, seed=0, endings_used=(("sway", 1), ("march", 2)))
    assert endings_of(brief, few) == ["march", "sway"]
