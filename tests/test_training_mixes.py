"""The class mixes that the network for joins is trained on: their truth has to be true."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

pytest.importorskip("tinysoundfont", reason="training is an optional part")

from aquatempo.training.form import plan_song
from aquatempo.training.mix import Mix, Written, play_class
from aquatempo.training.synth import RATE_HZ

LENGTH_S = 64.0


@pytest.fixture(scope="module")
def mixes() -> list[Mix]:
    """Eight mixes of songs that are a click on each count."""
    songs = []
    for seed in range(40):
        tempo_bpm = 104.0 + seed
        plan = plan_song(seed, tempo_bpm, plain=True)
        samples = np.zeros(int(LENGTH_S * RATE_HZ), np.float32)
        samples[np.round(np.arange(0, LENGTH_S - 1, 60 / tempo_bpm) * RATE_HZ).astype(int)] = 1
        songs.append(Written(plan, samples))
    return [play_class(seed, songs) for seed in range(8)]


def test_sections_tile_a_mix_and_songs_begin_with_one(mixes: list[Mix]) -> None:
    """Sections follow each other without gap to the last beat; a song begins with a section."""
    for mix in mixes:
        for before, later in pairwise(mix.sections):
            assert before[0] + before[1] == later[0]
        assert mix.sections[-1][0] + mix.sections[-1][1] == len(mix.beats_s)
        assert set(mix.joins) <= {first for first, _, _ in mix.sections}
        assert all(counts == 32 for _, counts, whole in mix.sections if whole)


def test_clicks_lie_on_the_beats_of_a_mix(mixes: list[Mix]) -> None:
    """Whatever the tempo of a song was, its clicks are where the mix says that its beats are."""
    for mix in mixes:
        at = np.round(mix.beats_s * RATE_HZ).astype(int)
        heard = np.abs(np.pad(mix.samples, 60))
        near = heard[at[:, None] + np.arange(121)].max(axis=1)
        between = heard[(at[:-1] + at[1:]) // 2 + 60]
        assert np.mean(near > 4 * between.mean() + 1e-3) > 0.95


def test_the_same_seed_joins_the_same_songs(mixes: list[Mix]) -> None:
    """Some mixes are a single song, others are not, and none has a join at its first beat."""
    assert {len(mix.joins) for mix in mixes} != {0}
    assert all(join > 0 for mix in mixes for join in mix.joins)
