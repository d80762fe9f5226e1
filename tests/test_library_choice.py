"""Candidates of a library: what the planner looks at in place of all tracks."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from unittest import mock

import pytest
from proofs.scale import synthetic
from test_library import home

from aquatempo.class_shape.parts import class_shape
from aquatempo.moves import catalogue
from aquatempo.planning import class_plan
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.choice import TrackTask, pick_tracks
from aquatempo.records.plan import Brief
from aquatempo.records.track import Track
from aquatempo.workflow import library

__all__ = ["home"]  # the fixture keeps these tests' libraries apart too
BRIEF = Brief(minutes=30)


def filled(folder: Path, count: int) -> None:
    """Fill the library with so many synthetic tracks whose files are there."""
    folder.mkdir()
    for number in range(count):
        (folder / f"{number}.mp3").touch()
    library.add_tracks([str(folder)])
    library.hear_waiting(hearer=synthetic)


def task_of(tracks: list[Track]) -> TrackTask:
    """Return the problem that the planner makes of some tracks."""
    pick = mock.Mock(side_effect=KeyError)
    with mock.patch("aquatempo.planning.songs.outline.pick_tracks", pick), suppress(KeyError):
        class_plan.plan_class(tracks, BRIEF, catalogue())
    task = pick.call_args_list[0].args[0]
    assert isinstance(task, TrackTask)
    return task


def test_each_part_gets_candidates_in_its_range(tmp_path: Path) -> None:
    """Each part of the class has a few songs in its range, and there are few in all."""
    filled(tmp_path / "music", 300)
    chosen, total = library.candidates("", BRIEF)
    tempos = [one.analysis.tempo_bpm for one in chosen if isinstance(one, Track)]
    assert total == 300
    assert len(tempos) == len(chosen) <= 40
    for part in class_shape(BRIEF):
        low, high = part.tempo_bpm
        assert sum(low <= (tempo or 0) <= high for tempo in tempos) >= 4, part.name


@pytest.mark.long
def test_choice_costs_nothing_that_the_search_would_find(tmp_path: Path) -> None:
    """From the candidates the planner finds a class as good as from all tracks in more work.

    Costs are the planner's own: 100 is a second off the wanted minutes.
    """
    filled(tmp_path / "music", 150)
    chosen = [one for one in library.candidates("", BRIEF)[0] if isinstance(one, Track)]
    everything = [one for one in library.library_tracks() if isinstance(one, Track)]
    few = pick_tracks(task_of(chosen), Effort(1, 1.0))
    many = pick_tracks(task_of(everything), Effort(1, 4.0))
    assert few is not None
    assert many is not None
    assert few[2].cost <= many[2].cost * 1.05 + 100
