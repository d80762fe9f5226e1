"""Plain-number conversions and checks: beats, counts, lengths, masses, temperatures.

SI inside; text such as ``4ft``, ``5'10"`` or ``150 lb`` is read at the border.
"""

from __future__ import annotations

import math
import re

from aquatempo.errors import InputError, RangeError

__all__ = [
    "COUNTS_PER_EIGHT",
    "COUNTS_PER_PHRASE",
    "as_words",
    "check_range",
    "clock",
    "counts_duration_s",
    "is_count",
    "movements_per_minute",
    "parse_length_m",
    "parse_mass_kg",
    "parse_number",
    "parse_span",
    "parse_temperature_c",
    "parse_time_s",
    "percent",
    "seconds_per_beat",
    "tempo_for_cadence_bpm",
]

COUNTS_PER_EIGHT = 8
COUNTS_PER_PHRASE = 32

FOOT_M = 0.3048  # international foot, exact
INCH_M = 0.0254  # exact
POUND_KG = 0.45359237  # avoirdupois pound, exact

_LENGTH_UNITS_M = {
    "": 1.0, "m": 1.0, "cm": 0.01, "mm": 0.001,
    "ft": FOOT_M, "feet": FOOT_M, "foot": FOOT_M, "'": FOOT_M,
    "in": INCH_M, "inch": INCH_M, "inches": INCH_M, '"': INCH_M,
}  # fmt: skip
_MASS_UNITS_KG = {"": 1.0, "kg": 1.0, "g": 0.001, "lb": POUND_KG, "lbs": POUND_KG}
_NUMBER = r"[+-]?\d+(?:[.,]\d+)?"
_FEET_INCHES = re.compile(
    rf"({_NUMBER})\s*(?:ft|feet|foot|')\s*({_NUMBER})\s*(?:in|inch|inches|\")?", re.IGNORECASE
)
_QUANTITY = re.compile(rf"({_NUMBER})\s*([a-z'\"°]*)", re.IGNORECASE)


def as_words(text: str) -> str:
    r"""Return a text that may come from a file's name as one that UTF-8 can hold.

    >>> as_words("caf\udce9")
    'caf?'
    """
    return text.encode("utf-8", "replace").decode()


LONGEST_TIME = 40  # characters; a day to the nanosecond takes 18


def is_count(text: str) -> bool:
    """Tell whether text is a whole number that a person counts: 1 to 9 decimal digits.

    >>> is_count("12"), is_count("\u00b2"), is_count("9" * 5000)
    (True, False, False)
    """
    return text.isdecimal() and len(text) <= 9


def check_range(
    name: str, value: float, unit: str, low: float, high: float, slip: str = ""
) -> float:
    """Return value; raise RangeError unless low <= value <= high (NaN fails).

    name: as errors tell it; unit: of the numbers; slip: what was likely meant, for the error.
    """
    if not (math.isfinite(value) and low <= value <= high):
        raise RangeError(name, value, unit, low, high, slip)
    return value


def seconds_per_beat(tempo_bpm: float) -> float:
    """Return the duration of a beat [s] at a tempo [beats/min].

    >>> seconds_per_beat(120.0)
    0.5
    """
    if not (math.isfinite(tempo_bpm) and tempo_bpm > 0):
        raise RangeError("tempo", tempo_bpm, "bpm", 20, 400, "a tempo is above zero")
    return 60.0 / tempo_bpm


def counts_duration_s(counts: float, tempo_bpm: float) -> float:
    """Return how long some counts last [s]; a count is a beat.

    tempo_bpm: of the music [beats/min].

    >>> round(counts_duration_s(32, 130.0), 2)
    14.77
    """
    return counts * seconds_per_beat(tempo_bpm)


def movements_per_minute(tempo_bpm: float, counts_per_movement: float) -> float:
    """Return the cadence [movements/min] when a movement takes some counts.

    tempo_bpm: of the music [beats/min]; counts_per_movement: on average.

    >>> movements_per_minute(132.0, 2)
    66.0
    """
    if not counts_per_movement > 0:
        raise InputError(f"{counts_per_movement:g} counts a movement: needs more than 0")
    return 60.0 / counts_duration_s(counts_per_movement, tempo_bpm)


def tempo_for_cadence_bpm(cadence: float, counts_per_movement: float) -> float:
    """Return the music tempo [beats/min] that gives a cadence [movements/min].

    counts_per_movement: on average.

    >>> tempo_for_cadence_bpm(66.0, 2)
    132.0
    """
    if not (math.isfinite(cadence) and cadence > 0):
        raise InputError(f"cadence {cadence:g} movements a minute: needs more than 0")
    return cadence * counts_per_movement


def parse_length_m(text: str, name: str = "length") -> float:
    """Return a length [m] from text such as ``1.2``, ``120cm``, ``4ft`` or ``5'10"``.

    name: as errors tell it.

    >>> parse_length_m("4ft")
    1.2192
    >>> round(parse_length_m("5ft 10in"), 3)
    1.778
    """
    both = _FEET_INCHES.fullmatch(text.strip())
    if both:
        return round(_number(both[1]) * FOOT_M + _number(both[2]) * INCH_M, 4)
    needed = "metres (1.2), 120cm, 4ft or 5ft 10in"
    return round(_quantity(text, name, _LENGTH_UNITS_M, needed), 4)


def parse_mass_kg(text: str, name: str = "mass") -> float:
    """Return a mass [kg] from text such as ``70`` or ``150 lb``.

    name: as errors tell it.

    >>> round(parse_mass_kg("150 lb"), 1)
    68.0
    """
    return round(_quantity(text, name, _MASS_UNITS_KG, "kilograms (70) or 150lb"), 2)


def parse_temperature_c(text: str, name: str = "temperature") -> float:
    """Return a temperature [degrees Celsius] from text such as ``29`` or ``84F``.

    name: as errors tell it.

    >>> parse_temperature_c("86F")
    30.0
    """
    match = _QUANTITY.fullmatch(text.strip())
    unit = match[2].lower().strip("°") if match else "?"
    if match is None or unit not in ("", "c", "f"):
        raise InputError(f"{name} {text!r}: needs degrees Celsius (29) or 84F")
    value = _number(match[1])
    return value if unit != "f" else round((value - 32.0) * 5.0 / 9.0, 2)


def parse_time_s(text: str, name: str = "time") -> float:
    """Return a time [s] from text such as ``83.5``, ``1:23.5`` or ``1:02:03``.

    name: as errors tell it.

    >>> [parse_time_s(text) for text in ("83.5", "1:23.5", "1:02:03")]
    [83.5, 83.5, 3723.0]
    """
    parts = text.strip().replace(",", ".").split(":")
    whole, last = parts[:-1], parts[-1]
    if len(parts) > 3 or len(text) > LONGEST_TIME or not all(map(str.isdecimal, whole)):
        raise InputError(f"{name} {text!r}: needs seconds (83.5) or minutes and seconds (1:23.5)")
    if not re.fullmatch(r"\d+(?:\.\d+)?", last) or (whole and float(last) >= 60.0):
        raise InputError(f"{name} {text!r}: needs seconds (83.5) or minutes and seconds (1:23.5)")
    return sum(int(part) * 60.0 ** (len(whole) - place) for place, part in enumerate(whole)) + (
        float(last)
    )


def clock(time_s: float, tenths: bool = False) -> str:
    """Return a time [s] as minutes and seconds begun, as a clock shows it; tenths: these too.

    time_s: from the start.

    >>> clock(64.67), clock(64.67, tenths=True)
    ('1:04', '1:04.6')
    """
    begun = int(time_s * 10 + 1e-6)
    shown = f"{begun // 600}:{begun // 10 % 60:02d}"
    return f"{shown}.{begun % 10}" if tenths else shown


def percent(share: float) -> str:
    """Return a share 0 to 1 as whole percent.

    >>> percent(0.954)
    '95 %'
    """
    return f"{100 * share:.0f} %"


def parse_number(text: str, name: str = "value") -> float:
    """Return a plain number from text, with a point or a comma: ``65``, ``1,5``.

    text: as typed. name: as errors tell it. Raises InputError.

    >>> parse_number("1,5")
    1.5
    """
    if not re.fullmatch(_NUMBER, text.strip()):
        raise InputError(f"{name} {text!r}: needs a number, such as 65")
    return _number(text.strip())


def parse_span(text: str, name: str = "range") -> tuple[str, str]:
    """Split ``1.50-1.90`` or ``5ft..6ft`` into its ends; a single value is both ends.

    text: as typed; name: as errors tell it.

    >>> parse_span("1.50-1.90")
    ('1.50', '1.90')
    """
    for mark in ("..", "–", "-"):
        low, found, high = text.strip().partition(mark)
        if found and low and high:
            return low.strip(), high.strip()
    if not text.strip():
        raise InputError(f"{name} is empty: needs a value or a range such as 120-150")
    return text.strip(), text.strip()


def _quantity(text: str, name: str, units: dict[str, float], needed: str) -> float:
    match = _QUANTITY.fullmatch(text.strip())
    if match is None or match[2].lower() not in units:
        raise InputError(f"{name} {text!r}: needs {needed}")
    return _number(match[1]) * units[match[2].lower()]


def _number(text: str) -> float:
    value = float(text.replace(",", "."))
    if not math.isfinite(value):  # hundreds of digits
        raise InputError(f"a number of {len(text)} characters: no quantity here is so large")
    return value
