"""Which cuts a late class takes: held against trying all, and what is tried where cuts clash.

At 128 beats/min a phrase of 32 counts lasts a quarter of a minute, 15 s.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import product
from typing import cast

import pytest
from plan_shapes import class_of, phrase_of, song_of
from planning_forms import rated

from aquatempo.errors import InfeasibleError
from aquatempo.moves import catalogue
from aquatempo.planning import late, late_choice
from aquatempo.planning.late_choice import choose_cuts, without_clashes
from aquatempo.planning.late_rules import Clash
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.records.moves import MoveForm
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

Cut = tuple[PlannedTrack | None, int]
Lesson = tuple[tuple[int, int], list[tuple[int, int]]]
# What a part gives for one unit of the main part's, and what of it stays (judgement, no source).
GIVES = {"main": 1.0, "intervals": 0.8, "stretch": 0.8, "warm-up": 0.5, "cool-down": 0.5}
STAYS = {"main": 0.25, "intervals": 0.0, "stretch": 0.5, "warm-up": 0.6, "cool-down": 0.6}


def price(
    plan: ClassPlan,
    minutes: float,
    options: Sequence[Sequence[Cut]],
    lessons: Sequence[Lesson],
    barred: Sequence[Mapping[int, frozenset[int]]],
    choice: Sequence[int],
) -> int | None:
    """Return what cuts cost, None where they may not be: written down once more and plainly.

    4 a tenth of a minute off a part's share, 8 a song cut, 2 a song left out, 1 a tenth dropped.
    """
    cuts = [row[taken] for row, taken in zip(options, choice, strict=True)]
    dropped = sum(tenths for _, tenths in cuts)
    if dropped < round(10 * minutes):
        return None
    cost = dropped
    lengths: dict[str, float] = {}
    for track in plan.tracks:
        lengths.setdefault(track.part, 0.0)
        lengths[track.part] += len(track.phrases) / 4.0
    whole = sum(GIVES[part] * length for part, length in lengths.items())
    for part, length in lengths.items():
        gone = sum(
            tenths
            for track, (_, tenths) in zip(plan.tracks, cuts, strict=True)
            if track.part == part
        )
        most = (1.0 - STAYS[part]) * length
        if gone > int(10 * most + 1e-9):
            return None
        share = GIVES[part] * length / whole * minutes
        cost += 4 * abs(gone - round(10 * min(most, share)))
    for row, taken in zip(options, choice, strict=True):
        cost += 0 if taken == 0 else 2 if row[taken][0] is None else 8

    def kept(place: tuple[int, int]) -> bool:
        cut = cuts[place[0]][0]
        return cut is not None and place[1] < len(cut.phrases)

    for needing, teaching in lessons:
        if kept(needing) and not any(map(kept, teaching)):
            return None
    for together in barred:
        if all(choice[track] in some for track, some in together.items()):
            return None
    return cost


def song(title: str, part: str, phrases: int) -> PlannedTrack:
    """Return a song whose phrases all differ."""
    return song_of(title, part, *(phrase_of("jog", start=32 * n) for n in range(phrases)))


def cut_ways(track: PlannedTrack, most: int, gone: bool) -> list[Cut]:
    """Return a song with ever fewer phrases, and left out where that may be."""
    size = len(track.phrases)
    found: list[Cut] = [
        (replace(track, phrases=track.phrases[: size - n]), int(2.5 * n)) for n in range(most + 1)
    ]
    found[0] = (track, 0)
    return [*found, (None, int(2.5 * size))] if gone else found


PARTS = ("warm-up", "main", "main", "intervals", "cool-down", "stretch")


@pytest.mark.parametrize("seed", range(60))
def test_cuts_cost_the_least_of_all(seed: int) -> None:
    """Of all choices of cuts none that may be is cheaper; none is found where none may be."""
    rng = random.Random(seed)
    parts = sorted(rng.sample(range(6), 4))
    tracks = [song(str(n), PARTS[part], rng.choice([4, 6, 8])) for n, part in enumerate(parts)]
    plan = class_of(*tracks)
    options = [cut_ways(one, rng.choice([1, 2, 3]), n < 3) for n, one in enumerate(tracks)]
    lessons: list[Lesson] = [
        ((2, rng.randrange(4)), [(rng.randrange(2), rng.randrange(4)) for _ in range(2)])
    ] * rng.randrange(2)
    barred = [
        {rng.randrange(2): frozenset((1, 2)), 3: frozenset((rng.randrange(2),))}
        for _ in range(rng.randrange(3))
    ]
    barred = [
        {track: frozenset(n for n in some if n < len(options[track]))
         for track, some in one.items()} for one in barred
    ]  # fmt: skip
    minutes = rng.choice([0.4, 0.7, 1.0, 1.5, 2.25])
    asked = (plan, minutes, options, lessons, barred)
    every = [price(*asked, choice) for choice in product(*(range(len(row)) for row in options))]
    least = min((one for one in every if one is not None), default=None)
    found = choose_cuts(*asked)
    assert (found is None) is (least is None)
    if found is not None:
        assert price(*asked, found) == least


@pytest.mark.parametrize(("lessons", "cut"), [([], (1, 0)), ([((1, 0), [(0, 3)])], (0, 1))])
def test_what_teaches_stays(lessons: list[Lesson], cut: tuple[int, int]) -> None:
    """The end of the first song goes, as it is the least; not where it teaches the second."""
    one, other = song("1", "main", 4), song("2", "main", 4)
    options: list[list[Cut]]
    options = [cut_ways(one, 1, False), [(other, 0), (replace(other, phrases=()), 5)]]
    assert choose_cuts(class_of(one, other), 0.2, options, lessons) == cut


def test_more_than_was_asked_goes_where_nothing_less_can() -> None:
    """Of sixteen phrases eight go, two minutes, though a fifth of one was asked."""
    one = song("1", "main", 16)
    options: list[list[Cut]] = [[(one, 0), (replace(one, phrases=one.phrases[:8]), 20)]]
    assert choose_cuts(class_of(one), 0.2, options, []) == (1,)
    assert choose_cuts(class_of(one), 2.1, options, []) is None


@pytest.mark.parametrize(("part", "most"), [
    ("main", 15), ("intervals", 20), ("stretch", 10), ("warm-up", 8), ("cool-down", 8),
])  # fmt: skip
def test_each_part_keeps_its_share(part: str, most: int) -> None:
    """Of two minutes three quarters, all, a half or two fifths may go, not a tenth more."""
    one = song("1", part, 8)
    options: list[list[Cut]] = [[(one, 0), (replace(one, phrases=()), most)]]
    assert choose_cuts(class_of(one), most / 10.0, options, []) == (1,)
    options[0].append((replace(one, phrases=one.phrases[:1]), most + 1))
    assert choose_cuts(class_of(one), (most + 1) / 10.0, options, []) is None


A, B, C = (song(title, "main", 4) for title in "ABC")
PLAN = class_of(A, B, C)
OPTIONS = [cut_ways(one, 2, True) for one in (A, B, C)]  # whole, 3, 2 phrases, left out


class Tried:
    """What is told of cuts, and what is chosen anew."""

    def __init__(
        self,
        monkeypatch: pytest.MonkeyPatch,
        told: Sequence[Sequence[Clash]],
        anew: Sequence[tuple[int, ...] | None],
    ) -> None:
        self.told, self.anew = list(told), list(anew)
        self.barred: list[Mapping[int, frozenset[int]]] = []
        self.times = 0
        monkeypatch.setattr(late_choice, "clashes", self.clashes)
        monkeypatch.setattr(late_choice, "choose_cuts", self.choose)
        monkeypatch.setattr(late_choice, "_done", lambda *_: [])

    def clashes(self, *_: object) -> Sequence[Clash]:
        """Return the clashes of the next cuts; of the last ones for ever."""
        return self.told.pop(0) if len(self.told) > 1 else self.told[0]

    def choose(self, *asked: object) -> tuple[int, ...] | None:
        """Return the next cuts, the last ones for ever; note what is barred."""
        self.times += 1
        self.barred = list(cast("list[Mapping[int, frozenset[int]]]", asked[4]))
        return self.anew.pop(0) if len(self.anew) > 1 else self.anew[0]


def tried(chosen: tuple[int, ...]) -> tuple[int, ...]:
    """Return the cuts that are taken in the end."""
    return without_clashes(PLAN, 1.0, OPTIONS, [], chosen, cast("Palette", None))


def test_cuts_that_do_not_clash_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is chosen anew; nor for what the class did before it was cut."""
    told = Tried(monkeypatch, [[]], [None])
    assert tried((1, 0, 0)) == (1, 0, 0)
    told.told = [[Clash((1,), 2, 3)]]  # neither B nor C is cut
    assert tried((1, 0, 0)) == (1, 0, 0)
    assert told.times == 0


def test_what_clashes_is_barred(monkeypatch: pytest.MonkeyPatch) -> None:
    """A as it is cut with all of C that plays 3 phrases (whole, 3); B alone as it is cut."""
    told = Tried(monkeypatch, [[Clash((0,), 2, 3), Clash((1,), 1, 0)], []], [(0, 1, 0)])
    assert tried((2, 3, 0)) == (0, 1, 0)
    assert told.barred == [{0: frozenset({2}), 2: frozenset({0, 1})}, {1: frozenset({3})}]


def test_a_clash_in_which_only_the_last_song_is_cut_is_its_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A and B are whole, C is cut: that clash is told of the cuts too."""
    told = Tried(monkeypatch, [[Clash((0, 1), 2, 2)], []], [(1, 0, 0)])
    assert tried((0, 0, 2)) == (1, 0, 0)
    assert told.barred == [
        {0: frozenset({0}), 1: frozenset({0}), 2: frozenset({0, 1, 2})},
    ]  # fmt: skip


def test_where_all_cuts_clash_those_that_clash_least_are_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two clashes, one, one and two for ever: the first cuts with one; forty tries in all."""
    one, two = [Clash((0,), 0, 0)], [Clash((0,), 0, 0), Clash((0,), 1, 1)]
    told = Tried(monkeypatch, [two, one, one, two], [(2, 0, 0), (3, 0, 0), (2, 1, 0)])
    assert tried((1, 0, 0)) == (2, 0, 0)
    assert told.times == 40
    told = Tried(monkeypatch, [one], [None])
    assert tried((1, 0, 0)) == (1, 0, 0)
    assert told.times == 1


class Twelve:
    """Stands for a palette that rates any form at 12."""

    source = catalogue()

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms with their figures; all at the tempo played."""
        assert tempo_bpm == 64.0
        return [replace(rated("jack"), form=form) for form in forms]


def test_what_a_cut_class_does_is_told_block_by_block() -> None:
    """At half of 128 beats/min 24 counts last 22.5 s and 8 last 7.5; a song left out does nothing.

    Each with its song, its phrase, and how loud that is.
    """
    loud = replace(phrase_of("jack"), energy_level=EnergyLevel.HIGH, kind=PhraseKind.BREAK)
    both = song_of("A", "main", phrase_of(Block(24, "jog"), Block(8, "twist")), loud)
    cuts = [None, replace(both, speed=0.5), replace(B, speed=0.5)]
    found = late_choice._done(PLAN, cuts, cast("Palette", Twelve()))
    told = [(one.track, one.phrase, one.rated.form.move.key, one.seconds) for one in found]
    assert told[:3] == [(1, 0, "jog", 22.5), (1, 0, "twist", 7.5), (1, 1, "jack", 30.0)]
    assert [place for place, *_ in told[3:]] == [2] * 4
    assert {one.part for one in found} == {"main"}
    assert (found[2].kind, found[2].energy) == (PhraseKind.BREAK, EnergyLevel.HIGH)
    assert (found[0].kind, found[0].energy) == (PhraseKind.PHRASE, EnergyLevel.MEDIUM)


@pytest.mark.parametrize(
    ("block", "keep", "stays"),
    [
        (Block(32, "jog", lead="left"), False, False),
        (Block(32, "jog", lead="left"), True, True),
        (Block(32, "jog", lead="left", locked=True), False, True),
        (Block(32, "jog", (("sides", "one"),), lead="left"), False, True),
        (Block(32, "jog", (("hands", "fist"), ("travel", "back")), lead="left"), False, False),
        (Block(32, "calf-stretch", lead="left"), False, True),
    ],
)
def test_a_lead_stays_where_it_is_locked_one_sided_or_stretched(
    block: Block, keep: bool, stays: bool
) -> None:
    """Other leads are shared out anew."""
    piece = late._piece(block, PLAN, catalogue(), keep)
    assert (piece.counts, piece.form.move.key) == (32, block.move)
    assert piece.lead == ("left" if stays else "")


def test_leads_that_are_told_side_by_side_stay() -> None:
    """Both sides in a phrase, a locked phrase or song, and stretches; others come out even."""
    right = phrase_of(Block(32, "jog", lead="right"))
    both = phrase_of(Block(16, "jog", lead="right"), Block(16, "jog", lead="left"))
    names = ("jog", "twist", "jog", "twist")
    rows = [phrase_of(Block(32, key, lead="right")) for key in names]
    songs = [
        song_of("A", "main", both, rows[0], rows[1]), song_of("B", "main", rows[2]),
        song_of("C", "main", rows[3], replace(right, locked=True)),
        replace(song_of("D", "main", right, right), locked=True),
        song_of("E", "stretch", right, right),
    ]  # fmt: skip
    found = late._with_leads(songs, class_of(*songs), catalogue())
    leads = [[b.lead for p in one.phrases for b in p.blocks] for one in found]
    assert leads[0][:2] == ["right", "left"]
    free = [*leads[0][2:], *leads[1], leads[2][0]]
    assert free.count("left") == free.count("right") == 2
    assert (leads[2][1], *leads[3], *leads[4]) == ("right",) * 5
    assert [replace(one, phrases=()) for one in found] == [
        replace(one, phrases=()) for one in songs
    ]  # fmt: skip


def test_big_jumps_are_counted_in_minutes_as_played() -> None:
    """Two phrases of jumps at half of 128 beats/min are a minute, at 128 half of one."""
    song = song_of("A", "main", "jump", "jog", "frog")
    assert late._jumped([song], PLAN, catalogue()) == pytest.approx(0.5)
    slow = replace(song, speed=0.5)
    assert late._jumped([slow, song], PLAN, catalogue()) == pytest.approx(1.5)


def test_a_late_class_has_its_minutes_to_a_tenth(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of nine phrases three go: 1.5 minutes; where seven are left the brief asks for 1.8.

    Even where less than half a minute is asked of a class of locked songs, nothing can go.
    """
    told: list[float] = []

    def chosen(_: ClassPlan, minutes: float, *__: object) -> tuple[int, ...] | None:
        told.append(minutes)
        return None if len(told) > 1 else (2,)

    monkeypatch.setattr(late, "choose_cuts", chosen)
    monkeypatch.setattr(late, "without_clashes", lambda *given: given[4])
    monkeypatch.setattr(late, "closing_notes", lambda *_: ["closing"])
    rated_at: list[float] = []
    monkeypatch.setattr(late, "Palette", lambda _, tempos, __: rated_at.extend(tempos))
    one = song("A", "main", 9)
    still = song("B", "main", 9)
    plan = class_of(one, brief=Brief(minutes=2.2, known_moves=("jog",)))
    monkeypatch.setattr(late, "cuts_of", lambda *_: cut_ways(still, 3, False))
    found = late.trim_late(plan, 0.7)
    assert found.brief.minutes == 1.8
    assert found.notes == (
        "starts 0.7 minutes late: 0.5 minutes dropped in whole phrases",
        "A: fade out 2 phrases earlier, after 1:45 from count 1", "closing",
    )  # fmt: skip
    assert rated_at == [128.0]
    with pytest.raises(InfeasibleError) as caught:
        late.trim_late(plan, 0.7)
    assert caught.value.remedy.startswith("Least change: late by 0 minutes at most, so that")
    assert told == pytest.approx([0.7, 0.7, 0.7, 0.2])


def test_a_song_cut_inside_a_phrase_ends_earlier() -> None:
    """Where a set of intervals ends within a phrase no whole phrase is counted."""
    short = replace(A, phrases=(*A.phrases[:3], phrase_of(Block(16, "jog"))))
    found = late._what_changed(class_of(A), 0.1, [short], [short])
    assert found[1:] == ["A: fade out earlier, after 0:52 from count 1"]


def test_notes_of_what_changed_are_told_anew() -> None:
    """A song left out takes its notes with it; a cut one its fade only; others keep theirs."""
    notes = (
        "8.0 minutes in whole phrases; 8 were asked for", "1.0 minutes of jumps, 0.5 of them",
        "rights to play, copy and edit", "starts 2 minutes late", "A: fade out after 2:00",
        "A: not sure", "B: not sure", "C: fade out after 2:00", "a belt",
    )  # fmt: skip
    plan = replace(PLAN, notes=notes)
    cut = replace(A, phrases=A.phrases[:3])
    found = late._what_changed(plan, 1.2, [cut, C], [cut, None, C])
    assert found == [
        "starts 1.2 minutes late: 1.2 minutes dropped in whole phrases",
        "A: fade out 1 phrase earlier, after 0:45 from count 1", "B: left out",
        "A: not sure", "C: fade out after 2:00", "a belt",
    ]  # fmt: skip
