"""What planning a class asks of its parts: tempos, seeds, who stretches at the end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from plan_shapes import phrase_of, song_of
from planning_forms import form_of
from planning_music import made_track

from aquatempo.class_shape.parts import ClassPart
from aquatempo.errors import InfeasibleError
from aquatempo.planning import class_plan
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.pieces import Piece
from aquatempo.planning.class_plan import fill_class, plan_class
from aquatempo.planning.moves.repertoire import Repertoire
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.records.plan import Brief, BuildWay, ClassPlan, PartName, PlannedTrack
from aquatempo.records.rhythm import PhraseKind


def song_at(part: str, tempo_bpm: float) -> PlannedTrack:
    """Return a song of one phrase at a tempo."""
    return song_of("A", part, "jog", tempo_bpm=tempo_bpm)


def filled(music: Music, *_: object) -> Filled:
    """Return music filled with jacks, named for the phrases that carry moves."""
    rows = [[Piece(one.counts, form_of("jack"))] for one in music.phrases]
    return Filled(rows, (), ("verse",) * len(music.whole))


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Return what was asked, by name; songs that cool down and stretch, by their tempo."""
    told: dict[str, Any] = {"stretched": [], "ends": []}

    def chosen(_: object, tempos: Sequence[float], effort: Effort, __: object) -> Repertoire:
        told["tempos"], told["work"] = list(tempos), effort.work
        return Repertoire(("jack",), Solved(0.0, 0.0, True))

    def cool(music: Music, *_: object) -> Filled:
        told["stretched"].append(music.tempo_bpm)
        return filled(music)

    def stretched(music: Music, *_: object, ends: bool) -> Filled:
        told["ends"].append(ends)
        return filled(music)

    stands: dict[str, Any] = {
        "check_moves": lambda *_: None,
        "Ahead": lambda *_: None,
        "choose_repertoire": chosen,
        "with_showing": lambda tracks, *_: tuple(tracks),
        "closing_notes": lambda *_: (),
        "fill": filled,
        "cool_and_stretch": cool,
        "fill_with_stretches": stretched,
    }
    for name, what in stands.items():
        monkeypatch.setattr(class_plan, name, what)
    return told


def planned(*tracks: PlannedTrack, **others: Any) -> ClassPlan:
    """Return a class of some songs, filled."""
    parts = [ClassPart(name, 10.0, (90.0, 140.0), BuildWay.LINEAR) for name in PartName]
    solved = Solved(0.0, 0.0, True)
    return fill_class(Outline(Brief(), tuple(parts), tracks, (), (), solved), **others)


@pytest.mark.parametrize(
    ("songs", "tempos"),
    [
        ([("warm-up", 120.0), ("main", 130.0), ("cool-down", 100.0)], [120.0, 130.0]),
        ([("main", 130.0), ("main", 130.0), ("warm-up", 121.0)], [121.0, 130.0]),
        ([("cool-down", 100.0), ("cool-down", 98.0)], [98.0, 100.0]),  # nothing works
        ([("main", 120.0 + n) for n in range(12)], [120.0, 122.0, 124.0, 126.0, 128.0, 130.0]),
        ([("main", 120.0 + n) for n in range(5)], [120.0, 121.0, 122.0, 123.0, 124.0]),
    ],
)
def test_base_moves_suit_the_songs_in_which_the_class_works(
    asked: dict[str, Any], songs: list[tuple[str, float]], tempos: list[float]
) -> None:
    """Base moves are chosen for some of the tempos of work, each once, slow to fast."""
    planned(*(song_at(*one) for one in songs), work=0.5)
    assert (asked["tempos"], asked["work"]) == (tempos, 0.5)


def test_only_the_last_song_stretches_where_no_part_does(asked: dict[str, Any]) -> None:
    """The last song of the cool-down ends with stretches, unless a part of the class does."""
    cool = [song_at("cool-down", 100.0), song_at("cool-down", 99.0)]
    planned(song_at("main", 130.0), *cool)
    assert asked["stretched"] == [99.0]
    planned(*cool, song_at("stretch", 90.0), song_at("stretch", 90.0))
    assert asked["stretched"] == [99.0]
    assert asked["ends"] == [False, True]
    planned(*cool, song_at("main", 130.0))
    assert asked["stretched"] == [99.0]


def test_phrases_between_have_no_name(asked: dict[str, Any]) -> None:
    """Names go to the phrases that carry moves, in their order."""
    bridge = phrase_of("jog")
    object.__setattr__(bridge, "kind", PhraseKind.BRIDGE)
    plan = planned(song_of("A", "main", "jog", bridge, "jog"))
    assert [one.section for one in plan.tracks[0].phrases] == ["verse", "", "verse"]
    assert asked["tempos"] == [128.0]


def test_progress_is_told_after_each_song(asked: dict[str, Any]) -> None:
    """Progress tells how many songs are done of all."""
    told: list[tuple[int, int]] = []
    planned(
        *(song_at("main", 130.0) for _ in range(3)),
        progress=lambda done, every: told.append((done, every)),
    )
    assert told == [(1, 3), (2, 3), (3, 3)]
    assert asked["work"] == 1.0


def test_tempos_that_no_move_has_are_left_aside(monkeypatch: pytest.MonkeyPatch) -> None:
    """Moves are rated at 40 to 240 beats/min; the songs' search has its share of the work."""
    told: dict[str, Any] = {}

    def palette(_: object, tempos: list[float], __: object) -> None:
        told["tempos"] = tempos

    def outline(*given: Any) -> None:
        told["work"], told["seed"], told["once"] = given[3].work, given[3].seed, given[4]

    def none(*given: Any) -> InfeasibleError:
        told["searched"], told["lines"] = given[3].work, given[4]
        return InfeasibleError(["no way"], "another song")

    def shape(*given: Any) -> None:
        told["shape"] = given[1:]

    monkeypatch.setattr(class_plan, "Palette", palette)
    monkeypatch.setattr(class_plan, "outline_class", outline)
    monkeypatch.setattr(class_plan, "no_outline", none)
    monkeypatch.setattr(class_plan, "check_shape", shape)
    tempos = [39.9, 40.0, None, 128.0, 240.0, 240.1]
    tracks = [made_track("A", tempo, [(32, "phrase")]) for tempo in tempos]
    lines = {"minutes": 3}
    with pytest.raises(InfeasibleError, match="no way"):
        plan_class(tracks, Brief(seed=5), lines=lines, work=3.0, song_work=0.5)
    assert told == {
        "tempos": [40.0, 128.0, 240.0],
        **{"work": 1.5, "seed": 5, "once": False, "searched": 3.0},
        **{"lines": lines, "shape": (lines, False)},
    }
    with pytest.raises(InfeasibleError):
        plan_class(tracks, Brief(), work=3.0)
    assert (told["work"], told["lines"]) == (3.0, {})
