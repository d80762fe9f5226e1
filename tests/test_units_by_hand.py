"""Text to SI and back, each value worked by hand from exact definitions of the units.

The foot is 0.3048 m, the inch 0.0254 m, the pound 0.45359237 kg (NIST SP 811, exact); degrees
Fahrenheit are 9/5 C + 32.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo import units
from aquatempo.errors import InputError, RangeError


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.2", 1.2),
        ("1,2", 1.2),
        ("+1.2 m", 1.2),
        ("-0.5m", -0.5),
        (" 120cm ", 1.2),
        ("1200 mm", 1.2),
        ("4ft", 1.2192),
        ("1 foot", 0.3048),
        ("4 feet", 1.2192),
        ("4'", 1.2192),
        ("10in", 0.254),
        ("1 inch", 0.0254),
        ("100 INCHES", 2.54),
        ('10"', 0.254),
        ("5'10\"", 1.778),  # 5 x 0.3048 + 10 x 0.0254
        ("5' 10", 1.778),
        ("5 feet 10 inches", 1.778),
        ("5FT 10IN", 1.778),
        ("5foot 10 inch", 1.778),
        ("5ft 10.5in", 1.7907),
        ("1ft 1in", 0.3302),
        ("0.123456", 0.1235),  # to a tenth of a millimetre
        ("1ft 0.01in", 0.3051),  # 0.3048 + 0.000254
    ],
)
def test_a_length_is_read_in_metres(text: str, metres: float) -> None:
    """Metres alone, centimetres, feet and inches, in any case, to a tenth of a millimetre."""
    assert units.parse_length_m(text) == metres


@pytest.mark.parametrize(
    "text", ["", "m", "1.2 mi", "1.2.3", "4kg", "five", "1.2°", "1 2", "4ft x"]
)
def test_a_length_that_is_none_is_refused(text: str) -> None:
    """The message tells the name, what was seen and what is needed."""
    needed = f"tide {text!r}: needs metres (1.2), 120cm, 4ft or 5ft 10in"
    with pytest.raises(InputError) as caught:
        units.parse_length_m(text, "tide")
    assert str(caught.value) == needed


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("70", 70.0),
        ("70.5 kg", 70.5),
        ("70500 g", 70.5),
        ("100lb", 45.36),
        ("100 LBS", 45.36),
        ("1lb", 0.45),
        ("62,346", 62.35),
        ("1234 g", 1.23),
    ],
)
def test_a_mass_is_read_in_kilograms(text: str, kg: float) -> None:
    """Kilograms alone, grams and pounds, to ten grams."""
    assert units.parse_mass_kg(text) == kg


def test_a_mass_that_is_none_is_refused() -> None:
    """The message tells what is needed; stones are not known."""
    with pytest.raises(InputError) as caught:
        units.parse_mass_kg("11 st")
    assert str(caught.value) == "mass '11 st': needs kilograms (70) or 150lb"


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("29", 29.0),
        ("29.5 C", 29.5),
        ("29°c", 29.0),
        ("29 °", 29.0),
        ("-40F", -40.0),  # where both scales meet
        ("32 f", 0.0),
        ("212°F", 100.0),
        ("84F", 28.89),  # 52 x 5 / 9 = 28.888...
        ("33F", 0.56),
    ],
)
def test_a_temperature_is_read_in_celsius(text: str, celsius: float) -> None:
    """Fixed points of both scales: ice at 32 F, steam at 212 F, one reading at -40."""
    assert units.parse_temperature_c(text) == celsius


@pytest.mark.parametrize("text", ["", "warm", "29K", "29 m", "29..5", "c", "f"])
def test_a_temperature_that_is_none_is_refused(text: str) -> None:
    """Kelvin and words are not taken for degrees."""
    with pytest.raises(InputError) as caught:
        units.parse_temperature_c(text)
    assert str(caught.value) == f"temperature {text!r}: needs degrees Celsius (29) or 84F"


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("0", 0.0),
        ("83,5", 83.5),
        ("90", 90.0),  # alone, seconds may pass a minute
        ("1:00", 60.0),
        ("1:59.999", 119.999),
        (" 10:03 ", 603.0),
        ("0:00:01", 1.0),
        ("1:00:00", 3600.0),
        ("2:10:07.5", 7807.5),  # 2 x 3600 + 10 x 60 + 7.5
        ("90:00", 5400.0),
        ("0" * 39 + "7", 7.0),  # 40 characters
    ],
)
def test_a_time_is_read_in_seconds(text: str, seconds: float) -> None:
    """Places count 1, 60 and 3600 from the right."""
    assert units.parse_time_s(text) == pytest.approx(seconds, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        *("", ":", "1:", ":30", "1:60", "1:2:60", "1:2:3:4", "-5", "1:-5", "1.5:20", "1:2.", "x"),
        *("0" * 40 + "7", "1:\u00b2", "\u00b2:10", "1e3", "1:00:00:00"),
    ],
)
def test_a_time_that_is_none_is_refused(text: str) -> None:
    """Sixty seconds beside minutes, four places, signs, and more than 40 characters are none."""
    with pytest.raises(InputError) as caught:
        units.parse_time_s(text)
    needed = f"time {text!r}: needs seconds (83.5) or minutes and seconds (1:23.5)"
    assert str(caught.value) == needed


@pytest.mark.parametrize(
    ("time_s", "shown", "tenths"),
    [
        (0.0, "0:00", "0:00.0"),
        (9.99, "0:09", "0:09.9"),
        (59.96, "0:59", "0:59.9"),
        (60.0, "1:00", "1:00.0"),
        (0.3, "0:00", "0:00.3"),  # 3 tenths, though 0.3 x 10 is a little less than 3
        (83.7, "1:23", "1:23.7"),
        (599.0, "9:59", "9:59.0"),
        (600.0, "10:00", "10:00.0"),
        (3725.4, "62:05", "62:05.4"),
        (0.09999, "0:00", "0:00.0"),
    ],
)
def test_a_clock_shows_what_has_begun(time_s: float, shown: str, tenths: str) -> None:
    """Minutes, seconds with two digits, tenths when asked: all cut, none rounded up."""
    assert units.clock(time_s) == shown
    assert units.clock(time_s, tenths=True) == tenths


@given(st.integers(0, 99999))
def test_a_clock_is_read_back(tenths: int) -> None:
    """What the clock shows of whole tenths is read as the same time."""
    assert units.parse_time_s(units.clock(tenths / 10, tenths=True)) == pytest.approx(tenths / 10)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("120", ("120", "120")),
        (" 120 ", ("120", "120")),
        ("120-150", ("120", "150")),
        ("120 - 150", ("120", "150")),
        ("5ft..6ft", ("5ft", "6ft")),
        ("-5..5", ("-5", "5")),  # two dots before the sign
        ("120\u2013150", ("120", "150")),
        ("-5", ("-5", "-5")),  # nothing before it: a sign
        ("5-", ("5-", "5-")),
    ],
)
def test_a_span_is_split_at_its_mark(text: str, ends: tuple[str, str]) -> None:
    """Two dots, a dash or a hyphen between two ends; else one value is both."""
    assert units.parse_span(text) == ends


def test_an_empty_span_is_refused() -> None:
    """Nothing is no range."""
    with pytest.raises(InputError) as caught:
        units.parse_span("  ", "tempo")
    assert str(caught.value) == "tempo is empty: needs a value or a range such as 120-150"


@pytest.mark.parametrize(("text", "value"), [("65", 65.0), (" -1,5 ", -1.5), ("+0.25", 0.25)])
def test_a_plain_number_is_read(text: str, value: float) -> None:
    """With a point or a comma and a sign."""
    assert units.parse_number(text) == value


@pytest.mark.parametrize("text", ["", "1.", ".5", "1e3", "65kg", "nan", "1,2,3"])
def test_a_number_that_is_none_is_refused(text: str) -> None:
    """The message tells the name and shows a number."""
    with pytest.raises(InputError) as caught:
        units.parse_number(text, "mass")
    assert str(caught.value) == f"mass {text!r}: needs a number, such as 65"


def test_hundreds_of_digits_are_no_quantity() -> None:
    """A number that no float holds is refused: 10^308 is one, 10^310 is not."""
    assert units.parse_number("1" + "0" * 308) == 1e308
    with pytest.raises(InputError) as caught:
        units.parse_number("1" + "0" * 310)
    assert str(caught.value) == "a number of 311 characters: no quantity here is so large"


@pytest.mark.parametrize(
    ("text", "counts"),
    [("0", True), ("9" * 9, True), ("9" * 10, False), ("", False), ("-1", False)],
)
def test_a_count_has_one_to_nine_digits(text: str, counts: bool) -> None:
    """Nine digits are a count, ten are not, nor signs."""
    assert units.is_count(text) is counts


@pytest.mark.parametrize("value", [1.0, 2.0, 3.0])
def test_both_ends_of_a_range_lie_in_it(value: float) -> None:
    """A value at an end or between is handed back."""
    assert units.check_range("depth", value, "m", 1.0, 3.0) == value


@pytest.mark.parametrize("value", [0.999, 3.001, math.nan, math.inf, -math.inf])
def test_what_lies_outside_a_range_says_so(value: float) -> None:
    """Just below, just above and no number at all."""
    with pytest.raises(RangeError) as caught:
        units.check_range("depth", value, "m", 1.0, 3.0, "feet?")
    assert str(caught.value) == f"depth {value:g} m: needs 1 to 3 m (feet?)"


@pytest.mark.parametrize("tempo_bpm", [0.0, -120.0, math.nan, math.inf])
def test_a_tempo_is_above_zero(tempo_bpm: float) -> None:
    """No beat lasts for ever or less than no time."""
    with pytest.raises(RangeError) as caught:
        units.seconds_per_beat(tempo_bpm)
    told = f"tempo {tempo_bpm:g} bpm: needs 20 to 400 bpm (a tempo is above zero)"
    assert str(caught.value) == told


def test_slow_and_quick_tempos_have_their_beat() -> None:
    """60 s over the tempo, also far from music: 0.5 b/min is 120 s a beat."""
    assert units.seconds_per_beat(0.5) == 120.0
    assert units.seconds_per_beat(480.0) == 0.125


def test_counts_tempo_and_cadence_go_together() -> None:
    """96 b/min: 0.625 s a count, 8 counts in 5 s, 1.5 counts a movement 64 times a minute."""
    assert units.counts_duration_s(8, 96.0) == pytest.approx(5.0)
    assert units.movements_per_minute(96.0, 1.5) == pytest.approx(64.0)
    assert units.tempo_for_cadence_bpm(64.0, 1.5) == pytest.approx(96.0)
    assert (units.COUNTS_PER_EIGHT, units.COUNTS_PER_PHRASE) == (8, 32)


@pytest.mark.parametrize("counts", [0.0, -2.0, math.nan])
def test_a_movement_takes_some_counts(counts: float) -> None:
    """A movement of no counts has no cadence."""
    with pytest.raises(InputError) as caught:
        units.movements_per_minute(120.0, counts)
    assert str(caught.value) == f"{counts:g} counts a movement: needs more than 0"
    assert units.movements_per_minute(120.0, 0.5) == pytest.approx(240.0)


@pytest.mark.parametrize("cadence", [0.0, -1.0, math.nan, math.inf])
def test_a_cadence_is_above_zero(cadence: float) -> None:
    """No music makes nobody move."""
    with pytest.raises(InputError) as caught:
        units.tempo_for_cadence_bpm(cadence, 2)
    assert str(caught.value) == f"cadence {cadence:g} movements a minute: needs more than 0"
    assert units.tempo_for_cadence_bpm(0.5, 2) == 1.0


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, "0 %"), (0.004, "0 %"), (0.951, "95 %"), (1.0, "100 %"), (1.2, "120 %")],
)
def test_a_share_is_told_in_whole_percent(share: float, told: str) -> None:
    """A hundredth is one percent, rounded to the nearest."""
    assert units.percent(share) == told
