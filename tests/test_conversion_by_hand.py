"""The whole table of a tempo, of a cadence and of taps, worked by hand or by numpy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import linregress

from aquatempo.errors import InputError, RangeError
from aquatempo.records.conversion import ConvertedPattern, ConvertedStep
from aquatempo.workflow.conversion import convert, convert_cadence, tapped_tempo

# At 120 b/min a beat is 0.5 s: name, counts of a round, movements a minute, s a movement, eights
# until a round starts on count 1, whether rounds fill the 32 counts of a phrase.
AT_120 = {
    "1": ("land tempo", 1, 120.0, 0.5, 1, True),
    "2": ("water tempo", 2, 60.0, 1.0, 1, True),
    "4": ("half water tempo", 4, 30.0, 2.0, 1, True),
    "2+2h": ("half water tempo, held", 4, 30.0, 2.0, 1, True),
    "2+2b": ("half water tempo, bounced", 4, 30.0, 2.0, 1, True),
    "2-2-4": ("2-2-4", 8, 45.0, 4.0 / 3.0, 1, True),
    "2-4": ("2-4", 6, 40.0, 1.5, 3, False),  # 6 and 8 meet at 24
    "1-2": ("1-2", 3, 80.0, 0.75, 3, False),
    "4+12h": ("4+12h", 16, 7.5, 8.0, 2, True),
    "4-4-4": ("4-4-4", 12, 30.0, 2.0, 3, False),
    "4+60h": ("4+60h", 64, 1.875, 32.0, 8, False),  # longer than a phrase
}


@pytest.mark.parametrize("text", AT_120)
def test_each_pattern_at_120_beats_a_minute(text: str) -> None:
    """Counts over movements times half a second, and where rounds meet eights and phrases."""
    name, counts, cadence, seconds, eights, fills = AT_120[text]
    option = next(one for one in convert(120.0, [text]).options if one.pattern == text)
    assert (option.name, option.counts) == (name, counts)
    assert option.movements_per_minute == pytest.approx(cadence)
    assert option.seconds_per_movement == pytest.approx(seconds)
    assert (option.eights_to_count_1, option.fills_phrase) == (eights, fills)


def test_the_usual_options_come_first_and_once() -> None:
    """Five usual ones in order, then those asked for that are not among them."""
    names = [option.pattern for option in convert(120.0, ["2", "2-2-4", "1"]).options]
    assert names == ["1", "2", "4", "2+2h", "2+2b", "2-2-4"]
    cadences = [option.pattern for option in convert_cadence(60.0, ["2-2-4", "4"]).options]
    assert cadences == names


def test_the_head_of_a_table_at_96_beats_a_minute() -> None:
    """60 / 96 s a beat, 8 and 32 of them, half of 96 and double."""
    table = convert(96.0)
    assert (table.tempo_bpm, table.half_tempo_bpm, table.double_tempo_bpm) == (96.0, 48.0, 192.0)
    assert (table.beat_s, table.eight_s, table.phrase_s) == (0.625, 5.0, 20.0)


def test_steps_are_told_one_by_one() -> None:
    """1-4+4b at 60 b/min: 1 s, then 4 s moving and 4 s bounced."""
    assert convert(60.0, ["1-4+4b"]).options[-1] == ConvertedPattern(
        name="1-4+4b",
        pattern="1-4+4b",
        count_lengths="1 count, 4 counts moving and 4 bounced",
        counts=9,
        steps=(
            ConvertedStep(1, 0, False, 1.0, 0.0),
            ConvertedStep(4, 4, True, 4.0, 4.0),
        ),
        movements_per_minute=60.0 / 4.5,
        seconds_per_movement=4.5,
        eights_to_count_1=9,
        fills_phrase=False,
    )


def test_one_count_is_told_in_the_singular_also_with_a_hold() -> None:
    """1+1h is one count moving and one held."""
    options = convert_cadence(60.0, ["1+1h"]).options
    assert [option.count_lengths for option in options] == [
        "1 count",
        "2 counts",
        "4 counts",
        "2 counts moving and 2 held",
        "2 counts moving and 2 bounced",
        "1 count moving and 1 held",
    ]


def test_a_cadence_asks_for_tempos() -> None:
    """45 movements a minute: 45, 90, 180 b/min; of 2-2-4, eight counts in three, 120."""
    options = convert_cadence(45.0, ["2-2-4"]).options
    assert [option.tempo_bpm for option in options] == pytest.approx([45, 90, 180, 180, 180, 120])
    assert [options[0].name, options[-1].name] == ["land tempo", "2-2-4"]


@pytest.mark.parametrize(("end", "beyond"), [(5.0, 4.99), (300.0, 300.1)])
def test_cadences_reach_from_5_to_300(end: float, beyond: float) -> None:
    """Both ends are taken, a little beyond is refused."""
    assert convert_cadence(end).movements_per_minute == end
    with pytest.raises(RangeError, match=r"cadence .* needs 5 to 300 movements a minute"):
        convert_cadence(beyond)


@pytest.mark.parametrize(
    ("tempo_bpm", "told"),
    [
        (0.0, "tempo 0 bpm: needs 30 to 300 bpm (a tempo is above zero)"),
        (-4.0, "tempo -4 bpm: needs 30 to 300 bpm (a tempo is above zero)"),
        (1.0, "tempo 1 bpm: needs 30 to 300 bpm (beats or movements a minute?)"),
        (29.0, "tempo 29 bpm: needs 30 to 300 bpm (beats or movements a minute?)"),
        (301.0, "tempo 301 bpm: needs 30 to 300 bpm"),
    ],
)
def test_a_tempo_that_no_music_has_is_told_with_its_slip(tempo_bpm: float, told: str) -> None:
    """Below zero, too slow and too quick have their own words."""
    with pytest.raises(RangeError) as caught:
        convert(tempo_bpm)
    assert str(caught.value) == told


def test_both_ends_of_tempo_are_taken() -> None:
    """30 and 300 b/min are converted."""
    assert [convert(tempo).beat_s for tempo in (30.0, 300.0)] == [2.0, 0.2]


@pytest.mark.parametrize("seed", range(4))
def test_taps_are_a_straight_line_as_scipy_draws_it(seed: int) -> None:
    """Slope, its error and what is left over are those of scipy.stats.linregress, skips counted."""
    rng = np.random.default_rng(seed)
    beats = np.delete(np.arange(16), [3, 4, 9])
    times = 5.0 + 0.45 * beats + rng.normal(0.0, 0.01, len(beats))
    line = linregress(beats, times)
    left = times - line.intercept - line.slope * beats
    found = tapped_tempo(rng.permutation(times).tolist())
    assert found.tempo_bpm == pytest.approx(60.0 / line.slope)
    assert found.uncertainty_bpm == pytest.approx(60.0 / line.slope * line.stderr / line.slope)
    scatter = np.sqrt(np.sum(left**2) / (len(times) - 2))
    assert found.scatter_ms == pytest.approx(1000.0 * scatter)
    assert (found.taps, found.skipped_beats) == (13, 3)
    assert found.half_tempo_bpm == pytest.approx(30.0 / line.slope)
    assert found.double_tempo_bpm == pytest.approx(120.0 / line.slope)


@pytest.mark.parametrize(
    ("times_s", "told"),
    [
        ([0.0, 0.5, 1.0], "3 taps: needs 4 or more, on every beat"),
        ([2.0] * 5, "taps all at one time: tap once on each beat"),
        (
            [0.0, 0.5, 0.51, 1.0, 1.5],
            "two taps on one beat: tap once on each beat (a bouncing key?)",
        ),
        (
            # Beats 0 to 3 of 1 s: 0.2, -0.2, -0.2 and 0.2 s off a line of slope 1; two are free,
            # so the scatter is the root of 0.16 / 2, 0.283 s.
            [0.2, 0.8, 1.8, 3.2],
            "taps fall 283 ms from an even beat: needs an even beat (did the music change speed?)",
        ),
    ],
)
def test_taps_that_are_no_beat_say_why(times_s: list[float], told: str) -> None:
    """Too few, all at once, doubled, uneven."""
    with pytest.raises(InputError) as caught:
        tapped_tempo(times_s)
    assert str(caught.value) == told


@pytest.mark.parametrize("beat_s", [0.5, 1.0, 1.5])
@pytest.mark.parametrize(("off", "even"), [(0.104, True), (0.108, False)])
def test_an_even_beat_is_one_to_15_hundredths_of_it(beat_s: float, off: float, even: bool) -> None:
    """Off by +, -, -, + a share of a beat: same slope, scatter share x root 2: 0.147 and 0.153."""
    times = [beat_s * place for place in (off, 1.0 - off, 2.0 - off, 3.0 + off)]
    if even:
        assert tapped_tempo(times).tempo_bpm == pytest.approx(60.0 / beat_s)
        assert tapped_tempo(times).scatter_ms == pytest.approx(1000 * beat_s * off * np.sqrt(2.0))
    else:
        with pytest.raises(InputError, match="from an even beat"):
            tapped_tempo(times)


@pytest.mark.parametrize(("beat_s", "told"), [(0.19, "315.789"), (2.1, "28.5714")])
def test_taps_of_no_music_are_refused(beat_s: float, told: str) -> None:
    """60 / 0.19 and 60 / 2.1 b/min lie beyond both ends."""
    with pytest.raises(RangeError) as caught:
        tapped_tempo([beat_s * i for i in range(5)])
    assert str(caught.value) == f"tapped tempo {told} bpm: needs 30 to 300 bpm"
