"""The least change that helps: each remedy held against trying all; what fits is said by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any, cast

import pytest
from plan_shapes import song_of
from planning_forms import rated
from planning_music import made_track

from aquatempo.errors import InfeasibleError
from aquatempo.planning import infeasible
from aquatempo.planning.asks import Ask
from aquatempo.planning.infeasible import check_moves
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.song import Song, songs_of
from aquatempo.records.moves import Move, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Brief, PartBrief, PartName

MAIN, WARM_UP = PartName.MAIN, PartName.WARM_UP
NONE, EFFORT = cast("Palette", None), Effort()


def fitting(monkeypatch: pytest.MonkeyPatch, fits: Callable[[Brief], bool]) -> list[Brief]:
    """Let music fill a class where a brief is let through; return the briefs that were tried."""
    tried: list[Brief] = []

    def task(_: object, __: object, brief: Brief, *___: object) -> Brief:
        tried.append(brief)
        return brief

    def pick(brief: Brief, _: Effort) -> object:
        return object() if fits(brief) else None

    monkeypatch.setattr(infeasible, "task_for", task)
    monkeypatch.setattr(infeasible, "pick_tracks", pick)
    return tried


def songs(*tempos_bpm: float) -> list[Song]:
    """Return songs of a minute at 128 beats/min each."""
    return songs_of([made_track("Lane", one, [(32, "phrase")] * 4) for one in tempos_bpm])[0]


OWN = Brief(minutes=5.0, parts=(PartBrief(WARM_UP, 1.0), PartBrief(MAIN, 4.0, (130.0, 150.0))))


@pytest.mark.parametrize(
    ("tempos", "fits", "range_"),
    [
        ((120.4, 158.6), (120, 159), "130-159"),  # 28.6 wide, before 29.6
        ((120.4, 157.2), (120, 158), "130-158"),
        ((120.4, 158.6), (120, 155), "120-150"),  # the other one alone fits
        ((120.4, 100.5, 118.2), (118, 150), "120-150"),
        ((140.0, 128.0, 110.0), (110, 150), "128-150"),  # a song in the range widens nothing
        ((151.0,), (130, 151), "130-151"),  # a whole beat is not rounded up
    ],
)
def test_a_range_is_widened_to_the_nearest_song_that_helps(
    monkeypatch: pytest.MonkeyPatch,
    tempos: tuple[float, ...],
    fits: tuple[int, int],
    range_: str,
) -> None:
    """Down to whole beats below and up to those above; the least wide first."""

    def let(brief: Brief) -> bool:
        low, high = brief.parts[1].tempo_bpm or (0.0, 0.0)
        return fits[0] <= low and high <= fits[1] and (low, high) != (130.0, 150.0)

    tried = fitting(monkeypatch, let)
    found = infeasible._least_change(songs(*tempos), OWN, NONE, EFFORT, ["minutes", "main.tempo"])
    remedy = f'Least change: tempo = "{range_}" for the main, or add music at 130 to 150 bpm.'
    assert found == remedy
    assert all(brief.parts[0] == OWN.parts[0] for brief in tried)


@pytest.mark.parametrize("most", range(13))
def test_the_longest_class_that_the_music_fills_is_found(
    monkeypatch: pytest.MonkeyPatch, most: int
) -> None:
    """Of 12.5 minutes, whatever is the longest: its parts shrink as the class does."""
    brief = Brief(minutes=12.5, parts=(PartBrief(WARM_UP, 2.5), PartBrief(MAIN, 10.0)))
    tried = fitting(monkeypatch, lambda one: one.minutes <= most)
    assert infeasible._most_minutes(songs(128.0), brief, NONE, EFFORT) == most
    for one in tried:
        told = [part.minutes / one.minutes for part in one.parts]
        assert told == pytest.approx([0.2, 0.8])


@pytest.mark.parametrize(
    ("minutes", "most", "remedy"),
    [
        (10.0, 4, "minutes = 4, or add 7 minutes"),  # 9 are the least, 2 there are
        (10.1, 4, "minutes = 4, or add 8 minutes"),  # 7.09
        (10.0, 0, "add 7 minutes"),
        (3.0, 2, "minutes = 2, or add 1 minutes"),  # 0.7
        (2.0, 1, "minutes = 1, or add 1 minutes"),  # there is enough, but it does not suit
        (1.0, 0, "add 1 minutes"),
    ],
)
def test_what_is_missing_is_told_in_whole_minutes(
    monkeypatch: pytest.MonkeyPatch, minutes: float, most: int, remedy: str
) -> None:
    """Nine tenths of the minutes are the least of a class; two songs of a minute each."""
    fitting(monkeypatch, lambda one: one.minutes <= most)
    brief = Brief(minutes=minutes)
    found = infeasible._least_change(songs(128.0, 128.0), brief, NONE, EFFORT, ["minutes"])
    assert found == f"Least change: {remedy} of music that suits."


@dataclass
class Depths:
    """Stands for a palette of a pool."""

    brief: Brief
    tempos_bpm: Sequence[float] = (128.0, 130.0)
    source: object = None


@pytest.mark.parametrize(
    ("depth_m", "deeper", "fits", "found"),
    [
        (1.2, True, lambda m: m >= 1.33, 1.35),
        (1.2, True, lambda m: m >= 1.2, 1.25),  # another one than it is
        (1.4, False, lambda m: m <= 1.33, 1.3),
        (1.0, True, lambda m: m >= 3.0, 3.0),  # forty steps of 5 cm, and 3 m, are the most
        (0.95, True, lambda m: m >= 3.0, None),
        (1.2, True, lambda m: m > 3.0, None),
        (1.2, False, lambda m: m <= 0.5, 0.5),
        (1.2, False, lambda m: m < 0.5, None),
        (2.6, False, lambda m: m <= 0.6, 0.6),
        (2.65, False, lambda m: m <= 0.6, None),
    ],
)
def test_the_nearest_depth_is_looked_for_in_steps(
    monkeypatch: pytest.MonkeyPatch,
    depth_m: float,
    deeper: bool,
    fits: Callable[[float], bool],
    found: float | None,
) -> None:
    """Steps of 5 cm, two metres at most, between 0.5 and 3 m; the pool is level then."""

    def barred(palette: Depths) -> str:
        assert palette.brief.pool.far_depth_m is None
        assert tuple(palette.tempos_bpm) == (128.0,)
        return "" if fits(palette.brief.pool.depth_m) else "too deep"

    monkeypatch.setattr(infeasible, "_barred", barred)
    monkeypatch.setattr(infeasible, "Palette", Depths)
    brief = Brief(pool=Pool(depth_m=depth_m, far_depth_m=2.9))
    palette = cast("Palette", Depths(brief))
    assert infeasible._fitting_depth(palette, deeper) == found


@dataclass
class Barring:
    """Stands for a palette whose moves are barred, each for a reason or "" for none."""

    why: tuple[str, ...]
    tempos_bpm: tuple[float, ...] = (128.0, 140.0)

    def of(self, *kinds: MoveKind) -> tuple[str, ...]:
        """Return the moves, told by their reasons."""
        assert kinds == (MoveKind.BASE, MoveKind.DEEP_ONLY)
        return self.why

    def form(self, move: str) -> str:
        """Return a move as it is."""
        return move

    def rate(self, forms: list[str], tempo_bpm: float) -> list[Any]:
        """Return each with its reason, at the first tempo."""
        assert tempo_bpm == 128.0
        return [SimpleNamespace(figures=SimpleNamespace(barred=one)) for one in forms]


DEEP, SHORE = "depth: too: deep", "depth: too: shallow"


@pytest.mark.parametrize(
    ("why", "told"),
    [
        ((), ""),
        (("", "", DEEP), ""),  # two moves are left
        (("", DEEP, DEEP), "too: deep"),
        ((DEEP, SHORE, SHORE), "too: shallow"),  # what most are barred for
        (("room: none", "depth: unknown"), ""),  # the depth is not why
        (("room: none", "room: none", DEEP), "too: deep"),
    ],
)
def test_water_bars_moves_where_fewer_than_two_are_left(why: tuple[str, ...], told: str) -> None:
    """The reason of most of those that the depth bars."""
    assert infeasible._barred(cast("Palette", Barring(why))) == told


@dataclass
class Starting:
    """Stands for a palette that has two moves less one for each move that is banned."""

    brief: Brief
    tempos_bpm: Sequence[float] = (128.0,)
    source: Any = field(default_factory=lambda: SimpleNamespace(moves={}))

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return no moves: their number is told by the brief."""
        assert kinds
        return []

    def starts(self, moves: Iterable[Move], _: float) -> dict[str, Rated]:
        """Return so many moves as are left."""
        assert list(moves) == []
        left = 4 - len(self.brief.banned_moves)
        return {str(n): rated("jack") for n in range(left)}

    @property
    def holds(self) -> list[MoveForm]:
        """What may carry a bridge."""
        return [rated("scull").form]


def ban(key: str, helps: bool = True) -> Ask:
    """Return an ask that bans a move; loosening it first changes nothing, then may help."""

    def without(brief: Brief) -> Brief:
        left = tuple(one for one in brief.banned_moves if one != key)
        return replace(brief, banned_moves=left)

    def looser(brief: Brief, moves: Iterable[str]) -> Any:
        assert list(moves) == []
        yield brief, f"keep {key}"
        if helps:
            yield without(brief), f"allow {key}"
            yield without(brief), f"allow {key} and more"

    return Ask(key, f"line {key}", f"no {key}", without, looser)


@pytest.mark.parametrize(
    ("asks", "remedy"),
    [
        ([ban("a"), ban("b"), ban("c")], "Least change: allow a, or allow b."),
        ([ban("a", helps=False), ban("b"), ban("c")], "Least change: allow b, or allow c."),
        ([ban("a", helps=False), ban("b", helps=False), ban("c")], "Least change: allow c."),
        (
            [ban(key, helps=False) for key in "abc"],
            "Take a slower song, or another place in the pool.",
        ),
    ],
)
def test_two_changes_are_named_of_those_that_help(
    monkeypatch: pytest.MonkeyPatch, asks: list[Ask], remedy: str
) -> None:
    """Of three bans that clash each may be lifted; the first of each that helps, two at most.

    A stretch needs no moves: the song after it is told.
    """
    monkeypatch.setattr(infeasible, "asks_of", lambda _: asks)
    monkeypatch.setattr(infeasible, "Palette", Starting)
    monkeypatch.setattr(infeasible, "_check_depth", lambda *_: None)
    brief = Brief(banned_moves=("a", "b", "c"))
    tracks = [
        song_of("Still", "stretch", "jog"),
        replace(song_of("Lane", "main", "jog", tempo_bpm=130.0), speed=0.5),
    ]
    with pytest.raises(InfeasibleError) as caught:
        check_moves(cast("Palette", Starting(brief)), tracks, {"line b": 7})
    assert list(caught.value.clashes) == [
        "no a", "line 7: no b", "no c", "Lane at 65 bpm in 1.2 m of water, shallow",
    ]  # fmt: skip
    assert caught.value.remedy == remedy


@pytest.mark.parametrize(
    ("depth", "pool", "clashes", "remedy"),
    [
        (ClassDepth.DEEP, Pool(depth_m=1.4), ["depth = deep", "pool depth = 1.4 m"],
         'Least change: depth = "shallow", or [pool] depth = 1.8.'),
        (ClassDepth.SHALLOW, Pool(depth_m=1.5, far_depth_m=1.9),
         ["depth = shallow", "pool depth = 1.5-1.9 m"],
         'Least change: depth = "deep", or [pool] depth = 1.8.'),
    ],
)  # fmt: skip
def test_water_of_the_wrong_depth_is_told_with_the_other(
    monkeypatch: pytest.MonkeyPatch,
    depth: ClassDepth,
    pool: Pool,
    clashes: list[str],
    remedy: str,
) -> None:
    """A deep class looks for deeper water, a shallow one for less; the other depth is named."""
    looked: list[bool] = []

    def fitting_depth(_: object, deeper: bool) -> float:
        looked.append(deeper)
        return 1.8

    monkeypatch.setattr(infeasible, "_barred", lambda _: "no ground")
    monkeypatch.setattr(infeasible, "_fitting_depth", fitting_depth)
    with pytest.raises(InfeasibleError) as caught:
        check_moves(cast("Palette", Depths(Brief(depth=depth, pool=pool))), [], {})
    why = "no ground for most of a group of 1.50 to 1.90 m"
    assert list(caught.value.clashes) == [*clashes, why]
    assert caught.value.remedy == remedy
    assert looked == [depth is ClassDepth.DEEP]
    monkeypatch.setattr(infeasible, "_fitting_depth", lambda *_: None)
    with pytest.raises(InfeasibleError) as caught:
        check_moves(cast("Palette", Depths(Brief(depth=depth, pool=pool))), [], {})
    assert caught.value.remedy == remedy.partition(", or")[0] + "."
