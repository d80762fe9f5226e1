"""Music tempo to cadence, back, and from taps, against worked arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError, RangeError
from aquatempo.workflow.conversion import convert, convert_cadence, tapped_tempo


def test_132_bpm_worked_by_hand() -> None:
    """132 beats a minute: 60/132 s a beat; land 132, water 66, half water 33 movements."""
    table = convert(132.0)
    assert table.beat_s == pytest.approx(0.4545454545, abs=1e-9)
    assert table.phrase_s == pytest.approx(32 * 60 / 132, abs=1e-9)
    cadences = {option.name: option.movements_per_minute for option in table.options}
    assert cadences["land tempo"] == pytest.approx(132.0)
    assert cadences["water tempo"] == pytest.approx(66.0)
    assert cadences["half water tempo"] == pytest.approx(33.0)


def test_phrase_at_130_bpm() -> None:
    """A 32-count phrase at 130 bpm lasts 14.77 s (32 x 60 / 130; worked arithmetic)."""
    assert convert(130.0).phrase_s == pytest.approx(14.77, abs=0.005)


def test_pattern_worked_by_hand() -> None:
    """2-2-4 at 120 bpm: 3 movements in 8 counts of 0.5 s are 45 a minute; fills an eight."""
    option = convert(120.0, ["2-2-4"]).options[-1]
    assert (option.counts, option.eights_to_count_1, option.fills_phrase) == (8, 1, True)
    assert option.movements_per_minute == pytest.approx(45.0)
    assert [step.moving_s for step in option.steps] == pytest.approx([1.0, 1.0, 2.0])


def test_held_counts_are_told_apart_from_moving_ones() -> None:
    """2+2h at 120 bpm moves for 1 s and holds for 1 s: half water tempo in 2 moving counts."""
    option = next(o for o in convert(120.0).options if o.pattern == "2+2h")
    assert (option.steps[0].moving_s, option.steps[0].held_s) == pytest.approx((1.0, 1.0))
    assert option.movements_per_minute == pytest.approx(30.0)
    assert option.count_lengths == "2 counts moving and 2 held"


def test_pattern_that_does_not_fill_a_phrase_is_flagged() -> None:
    """2-4 (6 counts) starts on count 1 again after 3 eights, which no phrase of 4 holds."""
    option = convert(120.0, ["2-4"]).options[-1]
    assert (option.eights_to_count_1, option.fills_phrase) == (3, False)


@given(st.floats(30, 300), st.sampled_from(["1", "2", "4", "2-2-4", "1-1-2-4"]))
def test_cadence_and_back(tempo_bpm: float, text: str) -> None:
    """The music tempo for a cadence gives that cadence (floating point apart)."""
    option = next(o for o in convert(tempo_bpm, [text]).options if o.pattern == text)
    cadence = min(max(option.movements_per_minute, 5.0), 300.0)
    back = next(o for o in convert_cadence(cadence, [text]).options if o.pattern == text)
    if cadence == option.movements_per_minute:
        assert back.tempo_bpm == pytest.approx(tempo_bpm, rel=1e-12)


@pytest.mark.parametrize("tempo_bpm", [-5.0, 0.0, 29.9, 300.1, float("nan"), float("inf")])
def test_tempo_outside_its_range(tempo_bpm: float) -> None:
    """A tempo that no music has is refused, not clamped."""
    with pytest.raises(RangeError, match="needs 30 to 300 bpm"):
        convert(tempo_bpm)


@given(st.floats(60, 200), st.lists(st.floats(-0.02, 0.02), min_size=8, max_size=40))
def test_taps_with_human_scatter(tempo_bpm: float, slips_s: list[float]) -> None:
    """Taps up to 20 ms off bend the beat by no more than least squares can: worked bound."""
    beat_s = 60 / tempo_bpm
    tapped = tapped_tempo([i * beat_s + slip for i, slip in enumerate(slips_s)])
    middle = (len(slips_s) - 1) / 2
    offsets = [abs(i - middle) for i in range(len(slips_s))]
    bound_s = 0.02 * sum(offsets) / sum(offset**2 for offset in offsets)
    assert abs(60 / tapped.tempo_bpm - beat_s) <= bound_s + 1e-9


def test_exact_taps_give_the_exact_tempo() -> None:
    """Taps every 0.48 s are 125 bpm with no uncertainty."""
    tapped = tapped_tempo([0.48 * i for i in range(9)])
    assert tapped.tempo_bpm == pytest.approx(125.0, abs=1e-9)
    assert tapped.uncertainty_bpm == pytest.approx(0.0, abs=1e-9)


def test_skipped_beat_is_counted_not_averaged() -> None:
    """A tap left out is seen as a skipped beat and does not bend the tempo."""
    tapped = tapped_tempo([0.0, 0.5, 1.0, 2.0, 2.5, 3.0])
    assert tapped.tempo_bpm == pytest.approx(120.0)
    assert tapped.skipped_beats == 1


@pytest.mark.parametrize(
    ("times_s", "problem"),
    [
        ([], "0 taps: needs 4 or more"),
        ([0.0, 0.5, 1.0], "3 taps: needs 4 or more"),
        ([1.0, 1.0, 1.0, 1.0], "all at one time"),
        ([0.0, 0.5, 0.51, 1.0, 1.5], "two taps on one beat"),
        ([0.0, 0.5, 1.2, 1.6, 2.3, 2.6], "needs an even beat"),
    ],
)
def test_taps_that_are_no_beat(times_s: list[float], problem: str) -> None:
    """Too few, doubled or uneven taps are refused with the reason."""
    with pytest.raises(InputError, match=problem):
        tapped_tempo(times_s)
