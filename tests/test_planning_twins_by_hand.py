"""The same songs at the other depth: brief, moves, what is followed, what is said; by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from plan_shapes import class_of, phrase_of, song_of

from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.moves import catalogue
from aquatempo.planning import twin
from aquatempo.planning.class_plan import Wishes
from aquatempo.planning.pairs import other_depth, twin_brief, twin_move
from aquatempo.planning.solver.solving import Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.planning.twin import shared_moves, twin_plan
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import (
    Block,
    Brief,
    BuildWay,
    ClassPlan,
    LeftOut,
    PartBrief,
    PartName,
    PlannedTrack,
)

SHALLOW, DEEP = ClassDepth.SHALLOW, ClassDepth.DEEP


@pytest.mark.parametrize(("depth", "usual_m"), [(SHALLOW, 2.0), (DEEP, 1.2)])
def test_a_twin_has_the_same_water_at_its_usual_depth(depth: ClassDepth, usual_m: float) -> None:
    """Chest-deep 1.2 m, deep 2 m (common practice, no source); a slope is not carried over."""
    pool = Pool(depth_m=1.1, far_depth_m=1.4, temperature_c=27.0, salinity_g_kg=9.0, space_m2=4.0)
    brief = Brief(title="Tuesday", depth=depth, pool=pool, twin=True, seed=5)
    other = DEEP if depth is SHALLOW else SHALLOW
    water = Pool(
        depth_m=usual_m, temperature_c=27.0, salinity_g_kg=9.0, space_m2=4.0, kind=other
    )  # fmt: skip
    title = f"Tuesday, {other.value}"
    assert twin_brief(brief) == Brief(title=title, depth=other, pool=water, seed=5)
    assert other_depth(depth) is other


@pytest.mark.parametrize("depth", [SHALLOW, DEEP])
def test_each_move_stays_or_has_a_counterpart(depth: ClassDepth) -> None:
    """What the depth allows stays; else its deep equivalent, or the first move that has it."""
    moves = catalogue().moves
    for key, move in moves.items():
        found = twin_move(key, depth, catalogue())
        if depth in move.depths:
            assert found == key
        elif depth is DEEP:
            assert found == move.deep_equivalent
        else:
            back = [one.key for one in moves.values() if one.deep_equivalent == key]
            assert found == next((one for one in back if SHALLOW in moves[one].depths), "")
        assert not found or depth in moves[found].depths


def test_counterparts_that_are_known() -> None:
    """A lunge is skied in deep water, a bicycle walked in shallow; a back kick has none."""
    named = [("lunge", DEEP), ("bicycle", SHALLOW), ("back-kick", DEEP), ("jog", DEEP)]
    told = [twin_move(key, depth, catalogue()) for key, depth in named]
    assert told == ["cross-country-ski", "walk", "", "jog"]


LANE = song_of(
    "Lane", "main", phrase_of(Block(8, "lunge", lead="left"), Block(24, "back-kick")),
    phrase_of(Block(16, "jog"), Block(16, "cross-country-ski")), phrase_of("march"),
)  # fmt: skip


def test_the_other_depth_follows_block_by_block() -> None:
    """Each block with its counterpart at its offset; what has none is not followed."""
    found = twin._followed(LANE, catalogue(), DEEP)
    told = {place: (block.move, block.counts, block.lead) for place, block in found.items()}
    assert told == {
        (0, 0): ("cross-country-ski", 8, "left"), (1, 0): ("jog", 16, ""),
        (1, 16): ("cross-country-ski", 16, ""), (2, 0): ("easy-jog", 32, ""),
    }  # fmt: skip


def test_base_moves_are_those_of_the_other_depth_once() -> None:
    """A lunge and a ski are both skied; holding moves are no base moves, nor what has no twin."""
    assert twin._bases(class_of(LANE), catalogue(), DEEP) == ("cross-country-ski", "jog")
    deep = class_of(song_of("Lane", "main", "bicycle", "scull", "jog"))
    assert twin._bases(deep, catalogue(), SHALLOW) == ("walk", "jog")


@pytest.mark.parametrize(
    ("tempo", "told"),
    [(119.5, ""), (119.4, "119"), (140.5, ""), (140.6, "141"), (130.0, ""), (150.0, "150")],
)
def test_a_song_outside_the_range_of_this_depth_is_told(tempo: float, told: str) -> None:
    """Beyond 120 to 140 by more than half a beat, as played; silence has no tempo to tell."""
    parts = [
        ClassPart(PartName.COOL_DOWN, 5.0, (60.0, 90.0), BuildWay.LINEAR),
        ClassPart(PartName.MAIN, 5.0, (120.0, 140.0), BuildWay.LINEAR),
        ClassPart(PartName.STRETCH, 5.0, (50.0, 80.0), BuildWay.LINEAR),
    ]
    song = song_of("Lane", "main", "jog", tempo_bpm=tempo)
    words = f"Lane: {told} is outside 120-140 for the main here"
    notes = [f"{words}; moves were chosen that keep their range"]
    assert twin._outside([song], parts) == (notes if told else [])
    played = replace(song, tempo_bpm=2.0 * tempo, speed=0.5)
    assert twin._outside([played], parts) == (notes if told else [])
    assert twin._outside([replace(song, file="")], parts) == []


def test_a_twin_is_filled_anew_for_the_same_songs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bare songs, the parts of the brief, what it follows; the share of moves that stayed is told.

    16 of 96 counts are a jog in both.
    """
    given: list[Any] = []

    def filled(outline: Outline, *_: object, wishes: Wishes, **others: object) -> ClassPlan:
        given.extend((outline, wishes, others))
        rows = [phrase_of("jack"), LANE.phrases[1], phrase_of("jack")]
        rows[1] = phrase_of(Block(16, "jog"), Block(16, "jack"))
        song = replace(outline.tracks[0], phrases=tuple(rows))
        return ClassPlan(outline.brief, (song,), notes=outline.notes)

    monkeypatch.setattr(twin, "fill_class", filled)
    parts = (PartBrief(PartName.MAIN, 3.0, (100.0, 120.0)),)
    left_out = (LeftOut("Pool", "full"),)
    brief = Brief(title="Tuesday", minutes=3.0, parts=parts)
    plan = replace(class_of(LANE, brief=brief), left_out=left_out)
    found = twin_plan(plan, work=3.0, lines={"minutes": 2})
    outline, wishes, others = given
    assert others == {"lines": {"minutes": 2}, "work": 3.0, "progress": None}
    assert (outline.brief, outline.left_out) == (twin_brief(brief), left_out)
    assert outline.parts == class_shape(twin_brief(brief))
    assert outline.solved == Solved(0.0, 0.0, True)
    bare = [(phrase.counts, phrase.blocks) for phrase in outline.tracks[0].phrases]
    assert bare == [(32, ())] * 3
    assert wishes == Wishes(
        follow={0: twin._followed(LANE, catalogue(), DEEP)}, bases=("cross-country-ski", "jog")
    )
    assert found.notes == (
        "twin of Tuesday: the same songs in deep water",
        "Lane: 128 is outside 100-120 for the main here; moves were chosen that keep their range",
        "17% of the blocks have the same move",
    )


def test_twins_of_other_phrases_are_no_twins() -> None:
    """Songs, phrases and counts have to be the same, or nothing can be compared."""
    one, short = song_of("Lane", "main", "jog", "jog"), song_of("Lane", "main", "jog")
    less: PlannedTrack = song_of("Lane", "main", phrase_of(Block(16, "jog")), "jog")
    for theirs in (class_of(one, one), class_of(short), class_of(less)):
        with pytest.raises(ValueError, match="zip"):
            shared_moves(class_of(one), theirs, catalogue())
