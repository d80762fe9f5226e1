"""A plan planned again: what planning is asked to keep, to leave free and to find music for.

The search itself is left out: what it is asked is written down, and it answers with jacks. Songs
are made up; at 128 beats/min a phrase of 32 counts lasts a quarter of a minute.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from plan_shapes import class_of, phrase_of, song_of
from planning_music import made_track

from aquatempo.class_shape.limits import limits_of
from aquatempo.class_shape.parts import class_shape
from aquatempo.errors import InfeasibleError
from aquatempo.moves import catalogue
from aquatempo.planning.class_plan import Wishes
from aquatempo.planning.moves.slots import Kept
from aquatempo.planning.shaping import replanning as module
from aquatempo.planning.shaping.replanning import bases_of, refilled, replan
from aquatempo.planning.solver.solving import Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.records.brief import Brief, PartBrief
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedPhrase, PlannedTrack
from aquatempo.records.track import Track

PARTS = (PartBrief(PartName.WARM_UP, 2.0), PartBrief(PartName.MAIN, 8.0))
BRIEF = Brief(minutes=10.0, parts=PARTS, seed=5)
HALF, EIGHT = Block(16, "jog", lead="right"), Block(8, "twist")
LOCKED_HALF = replace(HALF, locked=True)


@dataclass
class Asked:
    """What planning was asked; songs: what it finds where music is to be chosen."""

    outline: Outline | None = None
    others: Mapping[str, Any] = field(default_factory=dict)
    songs: tuple[PlannedTrack, ...] | None = ()
    music: Sequence[Track] = ()
    brief: Brief | None = None
    tempos: Sequence[float] = ()
    seed_work: tuple[int, float] = (0, 0.0)
    checked: list[object] = field(default_factory=list)

    @property
    def wishes(self) -> Wishes:
        """What is kept."""
        found = self.others["wishes"]
        assert isinstance(found, Wishes)
        return found

    @property
    def kept(self) -> dict[int, dict[int, list[str | int]]]:
        """Moves that stay and counts that are free, by track and phrase."""
        return {
            number: {
                index: [one.block.move if isinstance(one, Kept) else one for one in row]
                for index, row in rows.items()
            }
            for number, rows in self.wishes.kept.items()
        }


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what planning is asked; it fills every phrase with a jack."""
    told = Asked()

    def filled(track: PlannedTrack) -> PlannedTrack:
        assert not any(phrase.blocks for phrase in track.phrases)
        phrases = (
            replace(one, blocks=(Block(one.counts, "jack"),), locked=False, section="")
            for one in track.phrases
        )
        return replace(track, phrases=tuple(phrases), locked=False)

    def fill(outline: Outline, source: object, **others: Any) -> ClassPlan:
        told.outline, told.others = outline, others
        return ClassPlan(outline.brief, tuple(map(filled, outline.tracks)))

    def outlined(
        tracks: Sequence[Track], brief: Brief, palette: Any, effort: Any, all_once: bool
    ) -> Outline | None:
        assert not all_once
        told.music, told.brief, told.tempos = tracks, brief, palette.tempos_bpm
        told.seed_work = (effort.seed, effort.work)
        if told.songs is None:
            return None
        return Outline(brief, (), told.songs, (), ("found",), Solved(1.0, 1.0, True))

    monkeypatch.setattr(module, "fill_class", fill)
    monkeypatch.setattr(module, "outline_class", outlined)
    monkeypatch.setattr(
        module,
        "check_shape",
        lambda brief, lines, *, all_once: told.checked.append((brief, lines, all_once)),
    )
    monkeypatch.setattr(module, "no_outline", lambda *_: InfeasibleError(["no music"], ""))
    return told


def halves(*, locked: bool = False, start: int = 0) -> PlannedPhrase:
    """Return a phrase of half a jog, an eight of twist and an eight of jack."""
    first = LOCKED_HALF if locked else HALF
    return phrase_of(first, EIGHT, Block(8, "jack"), start=start, section="chorus")


WARM = song_of("Warm", "warm-up", "walk", "jog")
LANE = song_of("Lane", "main", "jack", halves(start=32), "twist")
PLAN = class_of(WARM, LANE, brief=BRIEF)


def locked(track: PlannedTrack, *phrases: int) -> PlannedTrack:
    """Return a track some of whose phrases are locked."""
    told = enumerate(track.phrases)
    return replace(
        track, phrases=tuple(replace(one, locked=index in phrases) for index, one in told)
    )


def test_nothing_is_kept_where_nothing_is_locked(asked: Asked) -> None:
    """Songs and brief stay, every phrase is planned anew, and the class is not searched twice."""
    found = replan(PLAN)
    assert asked.kept == {}
    assert asked.wishes.whole == {}
    assert asked.outline is not None
    assert [track.title for track in asked.outline.tracks] == ["Warm", "Lane"]
    assert asked.outline.brief == BRIEF
    assert asked.outline.solved == Solved(0.0, 0.0, True)
    assert asked.outline.parts == class_shape(BRIEF)
    assert [[p.section for p in track.phrases] for track in found.tracks] == [
        ["", ""], ["", "chorus", ""],
    ]  # fmt: skip
    assert found.brief.seed == 5
    assert replan(PLAN, seed=7).brief == replace(BRIEF, seed=7)
    assert replan(PLAN, seed=0).brief.seed == 0
    assert asked.checked == []
    replan(PLAN, lines={"a": 1}, work=3.0)
    assert (asked.others["lines"], asked.others["work"]) == ({"a": 1}, 3.0)


def test_what_is_locked_is_kept_and_stays_locked(asked: Asked) -> None:
    """A phrase, a block with the counts around it that are free, a track, a part."""
    plan = class_of(
        locked(WARM, 1),
        song_of("Lane", "main", "jack", halves(locked=True, start=32), halves(start=64)),
        brief=BRIEF,
    )
    found = replan(plan)
    assert asked.kept == {0: {1: ["jog"]}, 1: {1: ["jog", 16]}}  # 8 and 8 counts are 16 free
    assert asked.wishes.whole == {}
    assert [one.locked for one in found.tracks[0].phrases] == [False, True]
    replan(class_of(replace(LANE, locked=True), brief=BRIEF))
    assert asked.kept == {0: {0: ["jack"], 1: ["jog", "twist", "jack"], 2: ["twist"]}}
    assert set(asked.wishes.whole) == {0}
    main = replace(BRIEF, parts=(PARTS[0], replace(PARTS[1], locked=True)))
    again = replan(replace(PLAN, brief=main))
    assert set(asked.kept) == set(asked.wishes.whole) == {1}
    assert [track.locked for track in again.tracks] == [False, True]


@pytest.mark.parametrize(("blocks", "row"), [
    ([HALF, LOCKED_HALF], [16, "jog"]),
    ([EIGHT, EIGHT, LOCKED_HALF], [16, "jog"]),
    ([EIGHT, replace(EIGHT, locked=True), EIGHT, EIGHT], [8, "twist", 16]),
    ([LOCKED_HALF, replace(EIGHT, locked=True), EIGHT], ["jog", "twist", 8]),
    ([LOCKED_HALF, LOCKED_HALF], ["jog", "jog"]),
])  # fmt: skip
def test_counts_between_locked_blocks_are_free(
    asked: Asked, blocks: list[Block], row: list[str | int]
) -> None:
    """Blocks in a row that are not locked come to one stretch."""
    replan(class_of(song_of("Lane", "main", phrase_of(*blocks)), brief=BRIEF))
    assert asked.kept == {0: {0: row}}
    assert (0 in asked.wishes.whole) is all(isinstance(one, str) for one in row)


def test_a_kept_block_has_the_form_that_the_catalogue_makes_of_it(asked: Asked) -> None:
    """A jog with fists, to the letter, with its lock and side; an empty phrase is passed over."""
    fists = Block(32, "jog", (("hands", "fist"),), "left", locked=True)
    empty = replace(phrase_of("jog"), blocks=())
    replan(class_of(song_of("Lane", "main", empty, phrase_of(fists, start=32)), brief=BRIEF))
    ((kept,),) = asked.wishes.kept[0].values()
    assert isinstance(kept, Kept)
    assert kept.block == fists
    assert kept.form.variation.changes == ((Factor.HANDS, "fist"),)
    assert asked.wishes.whole == {}


def test_only_what_is_free_is_filled_anew(asked: Asked) -> None:
    """Phrase 1 of the song is free, then the whole of it, then both songs; locks hold always."""
    refilled(PLAN, {1: frozenset({1})})
    assert asked.kept == {0: {0: ["walk"], 1: ["jog"]}, 1: {0: ["jack"], 2: ["twist"]}}
    assert set(asked.wishes.whole) == {0}
    assert asked.wishes.bases == ("walk", "jog", "jack", "twist")
    assert asked.wishes.follow == {
        0: {(0, 0): Block(32, "walk"), (1, 0): Block(32, "jog")},
        1: {(0, 0): Block(32, "jack"), (1, 0): HALF, (1, 16): EIGHT, (1, 24): Block(8, "jack"),
            (2, 0): Block(32, "twist")},
    }  # fmt: skip
    assert asked.wishes.only == {}
    refilled(PLAN, {1: None})
    assert asked.kept == {0: {0: ["walk"], 1: ["jog"]}}
    refilled(class_of(WARM, locked(LANE, 0), brief=BRIEF), {0: None, 1: None})
    assert asked.kept == {1: {0: ["jack"]}}
    refilled(class_of(WARM, locked(LANE, 0), brief=BRIEF), {1: frozenset({0, 2})})
    assert asked.kept[1] == {0: ["jack"], 1: ["jog", "twist", "jack"]}
    only = {1: {1: frozenset({"jog"})}}
    refilled(PLAN, {1: None}, only=only, close=False, work=2.0)
    assert (asked.wishes.only, asked.wishes.follow, asked.others["work"]) == (only, {}, 2.0)


def test_the_base_moves_of_a_plan_are_told_as_they_come() -> None:
    """Each once; what only fills or stretches is none of them."""
    plan = class_of(
        song_of("A", "main", "twist", "easy-jog", "jack"),
        song_of("B", "stretch", "calf-stretch", "row", "jack", "jog"),
    )
    assert bases_of(plan, catalogue()) == ("twist", "jack", "jog")


def test_notes_that_the_plan_will_say_again_are_dropped(asked: Asked) -> None:
    """What is counted at the end of planning and the cautions of the brief go; others stay."""
    brief = replace(BRIEF, group_notes=("pregnancy",))
    cautions = limits_of(brief).cautions
    assert cautions
    gone = (
        "the class has 3 minutes of jumps", "the favourite 'Friday' is not used: no chorus",
        "rights to play are open", "8.2 minutes in whole phrases", *cautions,
    )  # fmt: skip
    replan(replace(PLAN, brief=brief, notes=("Lane is slow", *gone, "Warm is short")))
    assert asked.outline is not None
    assert asked.outline.notes == ("Lane is slow", "Warm is short")


def test_every_part_that_the_plan_has_is_one_of_its_brief(asked: Asked) -> None:
    """A stretch that no line asks for lasts as long as it does, half a minute at least.

    Six phrases are a minute and a half; one phrase is a quarter of one.
    """
    long = song_of("Calm", "stretch", *["calf-stretch"] * 6)
    short = song_of("Cool", "cool-down", "row")
    replan(class_of(long, *PLAN.tracks, short, brief=BRIEF))
    assert asked.outline is not None
    assert [(part.name.value, part.minutes) for part in asked.outline.parts] == [
        ("warm-up", 2.0), ("main", 8.0), ("cool-down", 0.5), ("stretch", 1.5),
    ]  # fmt: skip
    usual = Brief(minutes=50.0)
    replan(class_of(*PLAN.tracks, song_of("Rounds", "intervals", *["jog"] * 6), brief=usual))
    told = [(part.name.value, part.minutes) for part in asked.outline.parts]
    mine = [(part.name.value, part.minutes) for part in class_shape(usual)]
    assert told == [*mine[:2], ("intervals", 1.5), *mine[2:]]


def music(*tempos_bpm: float | None) -> list[Track]:
    """Return tracks of some tempos."""
    return [
        replace(made_track(f"Song {number}", tempo, [(32, "phrase")], duration_s=60.0),
                content_key=f"key {number}")
        for number, tempo in enumerate(tempos_bpm)
    ]  # fmt: skip


def test_music_is_looked_for_where_songs_may_go(asked: Asked) -> None:
    """Of 8 minutes of main part one song of one minute stays: 7 are looked for, and 2 of warm-up.

    Tempos that no class is done at, under 40 and over 240 beats/min, are not weighed.
    """
    stays = replace(
        song_of("Lane", "main", "jog", "jack", "jog", "jack"), content_key="key 0", locked=True
    )
    stays = replace(stays, title="Song 0")
    goes = song_of("Pool", "main", "jog")
    plan = class_of(WARM, goes, stays, brief=BRIEF)
    new = (song_of("New warm", "warm-up", "jog"), song_of("New one", "main", "jog"),
           song_of("New two", "main", "jog"))  # fmt: skip
    asked.songs = new
    tracks = music(120.0, 39.9, 40.0, 240.0, 240.1, None, 128.0)
    found = replan(plan, tracks=tracks, work=2.0, seed=9)
    assert [one.title for one in asked.music] == [f"Song {n}" for n in range(1, 7)]
    assert list(asked.tempos) == [40.0, 128.0, 240.0]
    assert asked.brief is not None
    assert [(one.name.value, one.minutes) for one in asked.brief.parts] == [
        ("warm-up", 2.0), ("main", 7.0),
    ]  # fmt: skip
    assert asked.brief.minutes == 9.0
    assert (asked.brief.seed, *asked.seed_work) == (9, 9, 2.0)
    # The song that stays is the second of its part, as it was.
    assert [track.title for track in found.tracks] == ["New warm", "New one", "Song 0", "New two"]
    assert asked.outline is not None
    assert asked.outline.brief.minutes == 10.0
    assert asked.outline.notes == ("found",)
    assert [part.minutes for part in asked.outline.parts] == [2.0, 8.0]
    assert asked.checked == [(asked.outline.brief, {}, False)]
    replan(plan, tracks=music(None), seed=9)
    assert list(asked.tempos) == [120.0]
    asked.songs = None
    with pytest.raises(InfeasibleError, match="no music"):
        replan(plan, tracks=tracks)


@pytest.mark.parametrize("what", ["track", "phrase", "block", "nothing"])
def test_a_song_stays_for_whatever_is_locked_in_it(asked: Asked, what: str) -> None:
    """The track, a phrase or a block of it; else it may be replaced."""
    row = replace(halves(locked=what == "block", start=32), locked=what == "phrase")
    song = replace(song_of("Lane", "main", "jog", row), locked=what == "track")
    asked.songs = (song_of("New", "main", "jog"),)
    found = replan(class_of(song, WARM, brief=BRIEF), tracks=music(128.0))
    titles = [track.title for track in found.tracks]
    assert titles == (["New"] if what == "nothing" else ["Lane", "New"])


@pytest.mark.parametrize(("phrases", "looked_for"), [
    (0, True), (28, True), (29, False), (32, False), (40, False),
])  # fmt: skip
def test_a_part_that_lacks_less_than_a_minute_is_full(
    asked: Asked, phrases: int, looked_for: bool
) -> None:
    """Of 8 minutes, 32 phrases: from 29 on no song is looked for, and all stay as they are."""
    brief = replace(BRIEF, minutes=8.0, parts=PARTS[1:])
    songs = [replace(song_of("Lane", "main", *["jog"] * phrases), locked=True)] if phrases else []
    found = replan(class_of(*songs, LANE, brief=brief), tracks=music(128.0))
    assert bool(asked.music) is looked_for
    assert [track.title for track in found.tracks] == ["Lane"] * bool(phrases)


def test_a_part_keeps_its_own_lines_when_music_is_looked_for(asked: Asked) -> None:
    """Tempo, effort and build of a part go along; a usual part has no tempo of its own."""
    own = replace(PARTS[1], tempo_bpm=(120.0, 130.0), rpe=(13.0, 15.0))
    replan(replace(PLAN, brief=replace(BRIEF, parts=(PARTS[0], own))), tracks=music(128.0))
    assert asked.brief is not None
    assert asked.brief.parts == (PARTS[0], own)
    usual = Brief(minutes=50.0)
    replan(replace(PLAN, brief=usual), tracks=music(128.0))
    assert [(one.name, one.minutes, one.tempo_bpm) for one in asked.brief.parts] == [
        (part.name, part.minutes, None) for part in class_shape(usual)
    ]


@pytest.mark.parametrize(("old", "staying", "new", "found"), [
    ("ab", [0, 1], "x", "abx"), ("ab", [1], "xy", "xby"), ("abc", [2], "x", "xc"),
    ("abc", [0, 2], "xy", "axcy"), ("abc", [], "xy", "xy"), ("abc", [0, 1, 2], "", "abc"),
    ("abc", [1, 2], "", "bc"),
])  # fmt: skip
def test_songs_that_stay_keep_their_places(
    asked: Asked, old: str, staying: list[int], new: str, found: str
) -> None:
    """Their number in the part, or its end where it has become shorter."""
    mine = [replace(song_of(one, "main", "jog"), locked=n in staying) for n, one in enumerate(old)]
    asked.songs = (*(song_of(one, "main", "jog") for one in new),
                   song_of("w", "warm-up", "jog"))  # fmt: skip
    again = replan(class_of(song_of("v", "warm-up", "jog"), *mine, brief=BRIEF),
                   tracks=music(128.0))  # fmt: skip
    assert "".join(track.title for track in again.tracks) == "w" + found
