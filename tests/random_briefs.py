"""Random briefs and folders, small enough to be printed, and the plan of each."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st
from planning_music import folder

from aquatempo.planning.class_plan import plan_class
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Brief, BuildWay, ClassPlan, Intervals, IntervalUnit

__all__ = ["Case", "cases"]

# Few pools and groups, so that what feasibility has computed serves many examples.
_POOLS = {
    ClassDepth.SHALLOW: Pool(depth_m=1.2),
    ClassDepth.DEEP: Pool(depth_m=2.0, kind=ClassDepth.DEEP),
}
_TEMPOS = {ClassDepth.SHALLOW: st.floats(118, 148), ClassDepth.DEEP: st.floats(100, 134)}
_INTERVALS = (None, Intervals(2, 1, 1), Intervals(30, 15, 2, IntervalUnit.SECONDS))


@dataclass(frozen=True)
class Case:
    """A folder of songs and a brief. phrases: of each song, about; folder_seed: of its layout."""

    tempos_bpm: tuple[float, ...]
    phrases: int
    folder_seed: int
    brief: Brief
    all_once: bool

    def plan(self) -> ClassPlan:
        """Return the plan of the case."""
        tracks = folder(self.tempos_bpm, self.phrases, self.folder_seed)
        return plan_class(tracks, self.brief, all_once=self.all_once)


@st.composite
def cases(draw: st.DrawFn, only: ClassDepth | None = None, allowed: tuple[str, ...] = ()) -> Case:
    """Draw some songs of a folder that the brief's minutes fit, or all of them.

    only: this depth, None for both; allowed: base moves, all where it is empty.
    """
    depth = only or draw(st.sampled_from(list(ClassDepth)))
    quick = draw(st.lists(_TEMPOS[depth], min_size=3, max_size=3))
    slow = draw(st.lists(st.floats(80, 100), max_size=1))
    tempos, phrases, seed = (*quick, *slow), draw(st.integers(3, 6)), draw(st.integers(0, 99))
    tracks = folder(tempos, phrases, seed)
    length = sum(track.analysis.duration_s for track in tracks) / 60.0
    intervals = draw(st.sampled_from(_INTERVALS))
    brief = Brief(
        minutes=round(draw(st.floats(0.75, 1.0)) * length, 1),
        depth=depth,
        pool=_POOLS[depth],
        group=Group(),
        build=draw(st.sampled_from(list(BuildWay))),
        intervals=intervals if length > 5.0 else None,
        allowed_moves=allowed,
        banned_moves=tuple(draw(st.sets(st.sampled_from(["jog", "jack", "walk"]), max_size=1))),
        known_moves=tuple(draw(st.sets(st.sampled_from(["jog", "jack", "mogul"]), max_size=2))),
        range_floor=draw(st.sampled_from([0.8, 0.9])),
        jump_minutes=draw(st.sampled_from([0.0, 0.4, 6.0])),
        seed=draw(st.integers(1, 5)),
    )
    return Case(tempos, phrases, seed, brief, draw(st.booleans()))
