"""The songs that the network is trained on: their truth has to be true."""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.training.drums import GENERAL_MIDI, play_drums
from aquatempo.training.form import Plan, plan_song
from aquatempo.training.parts import play_parts
from aquatempo.training.styles import STYLES
from aquatempo.training.synth import RATE_HZ, drum, line
from aquatempo.training.voice import sing

SEEDS = range(60)


@pytest.fixture(scope="module")
def plans() -> list[Plan]:
    """Sixty songs."""
    return [plan_song(seed) for seed in SEEDS]


def test_patterns_fill_their_bar() -> None:
    """Every pattern of every style is a bar long and written with known signs."""
    for name, style in STYLES.items():
        for pattern in (*style.kick, *style.snare, *style.hats, *style.percussion):
            assert set(pattern) <= set(".oxX"), (name, pattern)
            silent = set(pattern) == {"."}
            lengths = (4 * style.beats_per_bar, 3 * style.beats_per_bar)  # sixteenths or triplets
            assert silent or len(pattern) in lengths, (name, pattern)


def test_same_seed_same_song(plans: list[Plan]) -> None:
    """A seed decides everything that is played."""
    for plan in plans[:10]:
        again = plan_song(plan.seed)
        assert play_drums(plan) == play_drums(again)
        assert play_parts(plan) == play_parts(again)
        assert np.array_equal(plan.beat_times_s, again.beat_times_s)


def test_bars_and_sections_tile_the_song(plans: list[Plan]) -> None:
    """Sections follow each other without gap, bars likewise, and a phrase has eight bars."""
    for plan in plans:
        ends = 0
        for section in plan.sections:
            assert section.start == ends
            ends += section.counts
            if section.is_phrase:
                assert section.counts == 8 * plan.style.beats_per_bar
        assert [bar.start for bar in plan.bars] == np.cumsum(
            [0, *(bar.counts for bar in plan.bars[:-1])]
        ).tolist()
        assert len(plan.beat_times_s) == ends + plan.pickup + 1


def test_beats_are_where_the_truth_says(plans: list[Plan]) -> None:
    """Whole beats fall on the beat times whatever the swing; time never runs backwards."""
    for plan in plans:
        whole = np.arange(-plan.pickup, len(plan.beat_times_s) - plan.pickup)
        assert np.allclose(plan.time_s(whole.astype(float)), plan.beat_times_s)
        fine = np.linspace(-plan.pickup, whole[-1], 2_000)
        assert (np.diff(plan.time_s(fine)) > 0).all()
        local_bpm = 60 / np.diff(plan.beat_times_s)
        assert 50 < local_bpm.min() < local_bpm.max() < 225


def test_swing_of_two_thirds_makes_triplets() -> None:
    """With a swing of 2/3, the first three sixteenths of a beat are thirds of it."""
    plan = next(plan for plan in map(plan_song, range(500)) if plan.swing > 0.66)
    first, second = plan.beat_times_s[plan.pickup : plan.pickup + 2]
    third, two_thirds = (plan.time_s(np.array([0.25, 0.5])) - first) / (second - first)
    assert third == pytest.approx(plan.swing / 2)
    assert two_thirds == pytest.approx(plan.swing)


def test_only_known_drums_and_playable_notes(plans: list[Plan]) -> None:
    """Each stroke has a place in General MIDI, each note a number from 0 to 127."""
    for plan in plans:
        for _, name, strength in play_drums(plan):
            assert name in GENERAL_MIDI
            assert 0 < strength <= 1.2
        for notes in play_parts(plan).values():
            assert all(0 <= note[2] <= 127 and note[1] > 0 for note in notes)


def test_drums_sound_at_once() -> None:
    """Every own drum is finite and has a third of its strength within 12 ms (a shaker's rise)."""
    for name in GENERAL_MIDI:
        sound = drum(name, np.random.default_rng(3))
        assert np.isfinite(sound).all()
        loud = np.abs(sound) > np.abs(sound).max() / 3
        assert int(loud.argmax()) < 0.012 * RATE_HZ, name


def test_own_voices_play_in_tune() -> None:
    """MIDI number 69 sounds at 440 Hz (ISO 16:1975), from oscillators and from the singer."""
    notes = [(0.1, 1.5, 69, 0.9)]
    rng = np.random.default_rng(5)
    for sound in (line(notes, 2 * RATE_HZ, "lead", rng), sing(notes, 2 * RATE_HZ, rng)):
        power = np.abs(np.fft.rfft(sound[: 2 * RATE_HZ])) ** 2
        hz = np.fft.rfftfreq(2 * RATE_HZ, 1 / RATE_HZ)
        near = (hz > 415) & (hz < 466)  # a semitone to either side
        around = (hz > 300) & (hz < 600)
        assert power[near].sum() > 0.8 * power[around].sum()


def test_run_time_weights_go_back_and_forth(tmp_path: object) -> None:
    """Weights written for the run-time network load into the training network unchanged."""
    pytest.importorskip("torch", reason="training is an extra")
    from pathlib import Path

    from aquatempo.training.net import Net, arrays, export, restore

    assert isinstance(tmp_path, Path)
    net, other = Net(8, 12, 10), Net(8, 12, 10)
    export(net, tmp_path / "weights.npz")
    restore(other, tmp_path / "weights.npz")
    for name, array in arrays(net).items():
        assert np.allclose(array, arrays(other)[name], atol=1e-3), name
