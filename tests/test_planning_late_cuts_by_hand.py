"""Which phrases may go, what teaches what, and what may not stand side by side; by hand.

At 128 beats/min a phrase of 32 counts lasts a quarter of a minute, 15 s.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from plan_shapes import class_of, phrase_of, song_of
from planning_forms import rated

from aquatempo.moves import catalogue
from aquatempo.planning.late_cuts import cuts_of, lessons_of
from aquatempo.planning.late_rules import Carried, Clash, clashes
from aquatempo.planning.moves.palette import Rated
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, Brief, PlannedPhrase, PlannedTrack, Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

CALM = song_of("Calm", "cool-down", "row", "row")


def left(*tracks: PlannedTrack, number: int = 0) -> list[tuple[int, int]]:
    """Return how many phrases each cut leaves (-1: none at all) and what goes [tenths]."""
    found = cuts_of(class_of(*tracks), number, catalogue())
    return [(-1 if cut is None else len(cut.phrases), tenths) for cut, tenths in found]


@pytest.mark.parametrize(
    ("phrases", "cuts"),
    [
        # a phrase is 2.5 tenths of a minute, two are 5, three 7.5: told as whole tenths
        (1, [(1, 0), (-1, 2)]),
        (2, [(2, 0), (1, 2), (-1, 5)]),
        (3, [(3, 0), (2, 2), (-1, 7)]),
        (6, [(6, 0), (5, 2), (4, 5), (3, 7), (-1, 15)]),
        (7, [(7, 0), (6, 2), (5, 5), (4, 7), (-1, 17)]),
    ],
)
def test_a_song_keeps_half_or_is_left_out(phrases: int, cuts: list[tuple[int, int]]) -> None:
    """It ends ever earlier, to half of its phrases; what goes is counted in whole tenths."""
    song = song_of("Lane", "main", *["jog"] * phrases)
    assert left(song, CALM) == cuts
    (whole, _), *_ = cuts_of(class_of(song, CALM), 0, catalogue())
    assert whole is song


def test_a_song_ends_after_a_whole_phrase() -> None:
    """Bridges count in no half and end no song: of four phrases two may go, with what follows."""
    bridge = replace(phrase_of(Block(8, "jog")), kind=PhraseKind.BRIDGE)
    song = song_of("Lane", "main", "jog", bridge, "jog", "jog", bridge, "jog", bridge)
    assert left(song, CALM) == [(7, 0), (4, 3), (3, 6), (-1, 11)]  # 48, 80 and 152 counts


def test_what_is_less_than_a_tenth_is_no_cut() -> None:
    """At 400 beats/min 16 counts are 0.4 tenths: three of them are one, of six phrases."""
    song = song_of("Lane", "main", *[phrase_of(Block(16, "jog"))] * 6, tempo_bpm=400.0)
    assert left(song, CALM) == [(6, 0), (3, 1), (-1, 2)]


@pytest.mark.parametrize("what", ["track", "phrase", "block"])
def test_what_is_locked_is_whole(what: str) -> None:
    """A song with anything locked has one way only."""
    song = song_of("Lane", "main", "jog", "jog", "jog", "jog")
    if what == "track":
        song = replace(song, locked=True)
    row = song.phrases[2]
    if what == "phrase":
        row = replace(row, locked=True)
    if what == "block":
        row = replace(row, blocks=(replace(row.blocks[0], locked=True),))
    song = replace(song, phrases=(*song.phrases[:2], row, *song.phrases[3:]))
    assert left(song, CALM) == [(4, 0)]


def test_the_last_song_gives_from_within() -> None:
    """The blocks of its end go where it now stops, as long as that is; it is never left out."""
    rows = [phrase_of(key, start=32 * n) for n, key in enumerate(("jog", "jack", "twist", "row"))]
    ending = phrase_of("sway", start=128, section="ending")
    song = song_of("End", "cool-down", *rows, ending)
    found = cuts_of(class_of(song), 0, catalogue())
    told = [[p.blocks[0].move for p in cut.phrases] for cut, _ in found if cut is not None]
    assert told == [
        ["jog", "jack", "twist", "row", "sway"], ["jog", "jack", "twist", "sway"],
        ["jog", "jack", "sway"],
    ]  # fmt: skip
    assert [tenths for _, tenths in found] == [0, 2, 5]
    first = found[1][0]
    assert first is not None
    last = first.phrases[-1]
    assert last.start_beat == 96
    assert last.section == "ending"
    for counts in (16, 40):  # an ending of another length fits nowhere but where a phrase has it
        other = song_of("End", "cool-down", *rows, phrase_of(Block(counts, "sway")))
        assert len(cuts_of(class_of(other), 0, catalogue())) == 1


def sides(part: str, move: str, *counts: tuple[int, str]) -> PlannedTrack:
    """Return a song of phrases with a lead each, and as many of a jack after them."""
    rows = [phrase_of(Block(n, move, lead=lead)) for n, lead in counts]
    return song_of("Still", part, *rows, "jack", "jack")


@pytest.mark.parametrize(
    ("part", "move", "counts", "even"),
    [
        ("stretch", "calf-stretch", (32, 32), True),
        ("stretch", "calf-stretch", (48, 32), True),  # 16 counts apart
        ("stretch", "calf-stretch", (49, 32), False),
        ("stretch", "calf-stretch", (32, 49), False),
        ("cool-down", "calf-stretch", (64, 32), False),  # a stretch anywhere
        ("stretch", "march", (64, 32), False),  # anything in a stretch part
        ("cool-down", "march", (64, 32), True),  # leads are told anew
        ("warm-up", "march", (64, 32), True),
        ("stretch", "chest-stretch", (64, 32), True),  # has no sides
    ],
)
def test_both_sides_of_a_stretch_have_their_share(
    part: str, move: str, counts: tuple[int, int], even: bool
) -> None:
    """Right and left may be 16 counts apart, half a phrase, or the cut is none."""
    song = sides(part, move, (counts[0], "right"), (counts[1], "left"))
    assert ((3, 2) in left(song, CALM)) is even
    assert (3, 2) in left(sides(part, move, (64, ""), (32, "")), CALM)  # no side is told


def turn(works: bool, number: int, counts: int) -> Block:
    """Return a turn of timed work or rest."""
    move = "jack" if works else "easy-jog"
    return Block(counts, move, stint=Stint(works, number, 4, counts * 15.0 / 32.0))


def test_intervals_lose_whole_sets_from_their_end() -> None:
    """Four sets of 32 and 16 counts are 192: three (144) and two (96) stay, one would be less.

    Rest that belongs to no set goes with what is before it.
    """
    rows: list[PlannedPhrase] = []
    for number in (1, 2, 3, 4):
        rows += [phrase_of(turn(True, number, 32)), phrase_of(turn(False, number, 16))]
    song = song_of("Set", "intervals", *rows)
    assert left(song, CALM) == [(8, 0), (6, 3), (4, 7), (-1, 15)]  # 48 counts are 3.75 tenths
    whole = phrase_of(turn(True, 1, 16), turn(False, 1, 8), turn(True, 2, 16), turn(False, 2, 8))
    (_, (cut, tenths), _) = cuts_of(class_of(song_of("Set", "main", whole), CALM), 0, catalogue())
    assert cut is not None
    assert [block.counts for block in cut.phrases[0].blocks] == [16, 8]
    assert tenths == 1
    after = song_of("Set", "intervals", *rows[:4], phrase_of(Block(32, "easy-jog")))
    assert left(after, CALM) == [(5, 0), (-1, 10)]


def lessons(*songs: Sequence[PlannedPhrase], known: tuple[str, ...] = ()) -> object:
    """Return what needs what before, of songs of the main part."""
    tracks = [song_of(str(n), "main", *rows) for n, rows in enumerate(songs)]
    plan = class_of(*tracks, brief=Brief(known_moves=known))
    return lessons_of(plan, catalogue())


PLAIN, LOW = phrase_of("jack"), phrase_of(Block(32, "jack", (("level", "grounded"),)))
ALL_SLOW = phrase_of(Block(32, "jack", (("level", "II"), ("tempo", "half"))))
RAISED = phrase_of(Block(32, "jack", (("arms", "raise"),)))
INSIDE = phrase_of(Block(16, "jog"), Block(16, "jack"))


@pytest.mark.parametrize(
    ("songs", "known", "needs"),
    [
        (([PLAIN], [INSIDE]), ("jog",), [((1, 0), [(0, 0)])]),
        (([LOW], [INSIDE]), ("jog",), [((1, 0), [(0, 0)])]),  # slowed is as it stands
        (([ALL_SLOW], [INSIDE]), ("jog",), [((1, 0), [(0, 0)])]),
        (([PLAIN, INSIDE],), ("jog",), []),  # taught in the same song, which ends later
        (([INSIDE], [PLAIN]), ("jog",), []),  # nothing taught it before
        (([PLAIN], [INSIDE]), ("jog", "jack"), []),
        (([PLAIN], [PLAIN], [INSIDE]), ("jog",), [((2, 0), [(0, 0), (1, 0)])]),
        (([PLAIN, PLAIN], [INSIDE]), ("jog",), [((1, 0), [(0, 0)])]),  # the first of a song
        (([PLAIN], [RAISED]), (), [((1, 0), [(0, 0)])]),  # varied: the move has to be known
    ],
)
def test_a_move_is_met_alone_and_plain_before_it_comes_inside(
    songs: tuple[list[PlannedPhrase], ...], known: tuple[str, ...], needs: object
) -> None:
    """A phrase of one move as it stands, or slowed, teaches it; inside or varied it needs that."""
    assert lessons(*songs, known=known) == needs


@pytest.mark.parametrize(("counts", "needs"), [(16, True), (15, False)])
def test_a_variation_is_learned_in_half_a_phrase(counts: int, needs: bool) -> None:
    """16 counts of it in a row, in two blocks too, teach it; 8 counts need that."""
    change = (("arms", "raise"),)
    parts = [Block(8, "jack", change), Block(counts - 8, "jack", change)]
    longer = phrase_of(*parts, Block(32 - counts, "jack"))
    short = phrase_of(Block(24, "jack"), Block(8, "jack", change))
    expected = [((1, 0), [(0, 0)])] if needs else []
    assert lessons([longer], [short], known=("jack",)) == expected
    hold = phrase_of(Block(24, "jack"), Block(8, "march", change))
    teach = phrase_of(Block(32, "march", change))
    assert lessons([teach], [hold], known=("jack",)) == []


HIGH, LOUD_LOW = EnergyLevel.HIGH, EnergyLevel.LOW
SHALLOW = ClassDepth.SHALLOW


def row(*forms: Rated, seconds: float = 60.0, part: str = "main", track: int = 0) -> list[Carried]:
    """Return phrases of a song, a minute each unless told."""
    return [
        Carried(track, at, part, PhraseKind.PHRASE, EnergyLevel.MEDIUM, one, seconds)
        for at, one in enumerate(forms)
    ]


@pytest.mark.parametrize(
    ("form", "seconds", "clash"),
    [
        (rated("jack", 12.0), 60.0, 0),  # 180 s of one move and plane
        (rated("jack", 12.0), 61.0, 3),
        (rated("jack", 12.0, ("hip",)), 36.0, 0),  # 108 s of one muscle
        (rated("jack", 12.0, ("hip",)), 37.0, 3),
        (rated("jack", 17.0), 20.0, 0),  # 60 s near RPE 17
        (rated("jack", 17.0), 21.0, 3),
        (rated("jack", 16.0), 39.0, 0),  # 117 s near RPE 16; 117 near 17 are not
        (rated("row", 12.0), 60.0, 0),
        (rated("march", 12.0, ("hip",)), 90.0, 0),  # holds rest
    ],
)
def test_nothing_goes_on_for_too_long(form: Rated, seconds: float, clash: int) -> None:
    """Longest: 180 s a move and a plane, 108 a muscle, 60 near RPE 17 (common practice)."""
    found = clashes(row(form, form, form, seconds=seconds), SHALLOW)
    assert {one.phrases for one in found} == ({clash} if clash else set())
    assert all((one.cut, one.track) == ((0,), 0) for one in found)


def test_a_move_of_several_planes_is_one_move() -> None:
    """Arms have no move of the legs: rowing may go on where the plane changes, a jack may not."""
    jack = [replace(done, seconds=64.0) for done in row(*[rated("jack")] * 3)]
    rest = rated("march")
    assert clashes([*jack[:2], *row(rest), *jack[2:]], SHALLOW) == []
    stretch = row(*[rated("jack")] * 4, part="stretch")
    assert clashes(stretch, SHALLOW) == []
    assert clashes([*jack[:2], *row(rated("jack"), part="stretch"), *jack[2:]], SHALLOW) == []
    for part in ("warm-up", "intervals", "cool-down"):
        assert clashes(row(*[rated("jack")] * 4, part=part), SHALLOW) != []


@pytest.mark.parametrize(
    ("loud", "quiet", "told"), [(10.0, 11.0, False), (10.0, 11.1, True), (12.0, 11.0, False)]
)
def test_a_loud_phrase_may_be_a_point_lighter(loud: float, quiet: float, told: bool) -> None:
    """More than a point is told, of whole phrases of one song of the main part; by their seconds.

    A bridge is not counted; 90 s at the quiet effort outweigh 10 s of less.
    """
    first, second = row(rated("jack", loud), rated("row", quiet), seconds=10.0, track=1)
    pair = [replace(first, energy=HIGH), replace(second, energy=LOUD_LOW)]
    assert clashes(pair, SHALLOW) == ([Clash((1,), 1, 0)] if told else [])
    bridge = replace(pair[0], kind=PhraseKind.BRIDGE, rated=rated("jack", 6.0))
    assert clashes([*pair, bridge], SHALLOW) == ([Clash((1,), 1, 0)] if told else [])
    other = replace(pair[1], track=2, rated=rated("row", 16.0))
    assert len(clashes([*pair, other], SHALLOW)) == told
    assert clashes([replace(one, part="warm-up") for one in pair], SHALLOW) == []
    long = replace(pair[0], seconds=90.0, rated=rated("twist", quiet))
    assert clashes([*pair, long], SHALLOW) == []


def test_the_first_song_of_the_main_part_does_not_jump() -> None:
    """Jumps of a later song or of another part are not told; of the first the first is."""
    plain, jump = rated("jack"), rated("jump")
    warm = row(jump, part="warm-up", track=0, seconds=5.0)
    first = row(plain, jump, jump, track=2, seconds=5.0)
    assert clashes([*warm, *first], SHALLOW) == [Clash((0, 1), 2, 2)]
    later = row(jump, track=3, seconds=5.0)
    assert clashes([*warm, *row(plain, track=2, seconds=5.0), *later], SHALLOW) == []
    assert clashes(warm, SHALLOW) == []
