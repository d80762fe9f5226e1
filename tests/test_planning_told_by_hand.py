"""What a plan says of itself, how jumps are shown, and the class after others; by hand."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import cast

import pytest
from plan_shapes import class_of, phrase_of, song_of

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.blocks.showing import jumps_high, shown, with_showing
from aquatempo.planning.course import brief_after
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.telling import closing_notes, minutes_of
from aquatempo.records.brief import Course
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, Brief, PlannedTrack

SHALLOW, DEEP = ClassDepth.SHALLOW, ClassDepth.DEEP


def slow(title: str, *rows: str | Block, speed: float = 0.5) -> PlannedTrack:
    """Return a song at 128 beats/min played at half the speed: a phrase lasts half a minute."""
    phrases = [phrase_of(one) for one in rows]
    return replace(song_of(title, "main", *phrases), speed=speed)


def test_minutes_are_counts_at_the_tempo_played() -> None:
    """64 counts at 128 are half a minute, 64 at half of 128 a whole one."""
    assert minutes_of([song_of("A", "main", "jog", "jack")]) == pytest.approx(0.5)
    assert minutes_of([slow("B", "jog", "jack")]) == pytest.approx(1.0)
    assert minutes_of([song_of("A", "main", "jog"), slow("B", "jog")]) == pytest.approx(0.75)
    assert minutes_of([]) == 0.0


@dataclass
class Told:
    """Stands for a palette: its limits with one caution."""

    limits: Limits = field(
        default_factory=lambda: replace(limits_of(Brief()), cautions=("mind the step",))
    )
    source: Catalogue = field(default_factory=catalogue)


RIGHTS = "rights to play, copy and edit music differ by place: check each track"


def test_a_plan_closes_with_its_minutes_jumps_cautions_and_rights() -> None:
    """Half a minute of jumps in full and a minute of others; a belt in deep water."""
    full = replace(Block(32, "jump"), show="full")
    arms = replace(full, show="arms only")
    tracks = [slow("A", full, arms, arms)]
    brief = Brief(minutes=2.0, jump_minutes=1.5)
    palette = cast("Palette", Told())
    minutes = "1.5 minutes in whole phrases; 2 were asked for"
    jumps = "1.5 minutes of jumps, 0.5 of them shown in full on deck (limit 1.5)"
    assert closing_notes(brief, tracks, palette, 1.5) == [minutes, jumps, "mind the step", RIGHTS]
    more = replace(brief, depth=DEEP, equipment=("noodle", "belt"))
    assert closing_notes(more, tracks, palette, 0.0) == [
        minutes, "mind the step", "a flotation belt for everyone, also who swims well",
        "equipment (noodle, belt) is not counted in the figures", RIGHTS,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("flights_m", "high"),
    [((), False), ((0.0,), False), ((0.079,), False), ((0.08,), True), ((0.02, 0.1), True)],
)
def test_a_jump_on_deck_is_thrown_up_by_8_cm(flights_m: tuple[float, ...], high: bool) -> None:
    """The highest of its movements tells; 8 cm is one, to within rounding (judgement)."""
    movements = [SimpleNamespace(flight_m=one) for one in flights_m]
    form = cast("MoveForm", SimpleNamespace(movements=movements))
    assert jumps_high(form) is high
    less = SimpleNamespace(movements=[SimpleNamespace(flight_m=0.08 - 1e-9)])
    assert jumps_high(cast("MoveForm", less))


def ways(
    limit_minutes: float, *tracks: PlannedTrack, depth: ClassDepth = SHALLOW
) -> list[list[str]]:
    """Return how each block is shown, song by song."""
    found = with_showing(tracks, limit_minutes, depth, catalogue())
    for old, new in zip(tracks, found, strict=True):
        assert replace(old, phrases=()) == replace(new, phrases=())
        assert [p.counts for p in old.phrases] == [p.counts for p in new.phrases]
    return [[block.show for p in one.phrases for block in p.blocks] for one in found]


def test_what_is_new_is_shown_first_and_in_full() -> None:
    """Each phrase of jumps lasts half a minute: one, two or all of them are shown in full.

    A second jump waits for the first frog and leap; then what comes first. A leap has a kinder
    form on the ground; jumps and frogs have none and are shown with the arms.
    """
    one, other = slow("A", "jump", "jump", "jog"), slow("B", "frog", "leap")
    arms, low, full = "arms only", "low impact", "full"
    assert ways(0.0, one, other) == [[arms, arms, ""], [arms, low]]
    assert ways(0.4, one, other) == [[arms, arms, ""], [arms, low]]
    assert ways(0.5, one, other) == [[full, arms, ""], [arms, low]]
    assert ways(1.0, one, other) == [[full, arms, ""], [full, low]]
    assert ways(1.5, one, other) == [[full, arms, ""], [full, full]]
    assert ways(2.0, one, other) == [[full, full, ""], [full, full]]
    assert ways(2.0, one, other, depth=DEEP) == [["", "", ""], ["", ""]]


def test_a_variation_is_new_and_a_long_jump_makes_way_for_a_short_one() -> None:
    """Of a jump, a varied one and a short third the first two come first; what fits is shown."""
    varied = Block(32, "jump", (("hands", "fist"),))
    song = slow("A", "jump", "jump", varied)
    assert ways(1.0, song) == [["full", "arms only", "full"]]
    short = slow("B", Block(32, "jump"), Block(64, "frog"), Block(16, "star"))
    assert ways(0.75, short) == [["full", "arms only", "full"]]
    two = slow("C", Block(16, "jump"), Block(16, "jump"), "jump")
    assert ways(0.5, two) == [["full", "full", "arms only"]]


def test_minutes_shown_in_full_are_those_of_jumps() -> None:
    """A phrase that jumps and is shown in full, at half of 128 beats/min; other blocks do not."""
    full = [replace(Block(32, key), show="full") for key in ("jump", "jog")]
    arms = replace(full[0], show="arms only")
    song = slow("A", *full, arms, arms)
    assert shown([song], SHALLOW, catalogue()) == pytest.approx(0.5)
    assert shown([song, song], SHALLOW, catalogue()) == pytest.approx(1.0)
    assert shown([], SHALLOW, catalogue()) == 0.0


def test_a_class_knows_what_the_ones_before_it_taught() -> None:
    """Moves and their variations, each once; not levels and sides, nor what holds or stretches."""
    fist = Block(32, "jog", (("hands", "fist"), ("level", "grounded"), ("sides", "one")))
    first = class_of(song_of("A", "main", phrase_of(fist), "row", "march", "calf-stretch"))
    second = class_of(song_of("A", "main", phrase_of(fist), "jack"))
    brief = Brief(known_moves=("twist",), known_forms=(("twist", "hands", "open"),))
    found = brief_after(brief, [first, second])
    assert found.known_moves == ("twist", "jog", "row", "jack")
    assert found.known_forms == (("twist", "hands", "open"), ("jog", "hands", "fist"))
    assert (found.songs_used, found.endings_used) == ((("A", 1),), ())


def test_songs_of_one_week_are_told_by_name_and_silence_is_no_song() -> None:
    """B and A of last week as A and B, C of the week before; a part by the clock is not told."""
    silent = replace(song_of("Cool-down without music", "cool-down", "row"), file="")
    old = class_of(song_of("C", "main", "jog"), song_of("B", "main", "jog"), silent)
    new = class_of(song_of("B", "main", "jog"), song_of("A", "main", "jog"))
    found = brief_after(Brief(course=Course(week=4)), [old, replace(new, ending="sway")])
    assert found.songs_used == (("A", 1), ("B", 1), ("C", 2))
    assert found.endings_used == (("sway", 1),)
    assert found.course == Course(week=4)
