"""Options that several commands share: the pool, the group, JSON."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from aquatempo.errors import InputError
from aquatempo.units import check_range, parse_span

__all__ = [
    "Ages",
    "AsJson",
    "Deep",
    "Depth",
    "Expected",
    "Force",
    "Heights",
    "Intensity",
    "Jobs",
    "Masses",
    "Size",
    "Temperature",
    "Women",
    "expected_range",
    "parse_time_s",
]

_CLOCK = re.compile(r"(?:(\d+):)?(\d+(?:\.\d+)?)")

AsJson = Annotated[bool, typer.Option("--json", help="JSON for machines instead of a table.")]
Depth = Annotated[
    str | None,
    typer.Option(
        metavar="LENGTH", help="Water depth: 1.2, 120cm or 4ft; a slope as 1.0-1.4. [default: 1.2]"
    ),
]
Temperature = Annotated[
    str | None,
    typer.Option(metavar="DEGREES", help="Water temperature: 29 or 84F. [default: 29]"),
]
Deep = Annotated[
    bool, typer.Option("--deep", help="A deep class: belts on, feet off the floor, 2.0 m.")
]
Size = Annotated[int | None, typer.Option(metavar="PEOPLE", help="Group size. [default: 20]")]
Women = Annotated[
    int | None, typer.Option(metavar="PEOPLE", help="Women among them. [default: 7 in 10]")
]
Heights = Annotated[
    str | None,
    typer.Option(
        metavar="RANGE", help="Body heights: 1.50-1.90 or 5ft-6ft2in. [default: 1.50-1.90]"
    ),
]
Ages = Annotated[str | None, typer.Option(metavar="RANGE", help="Ages in years. [default: 30-75]")]
Masses = Annotated[
    str | None,
    typer.Option(metavar="RANGE", help="Body masses: 55-95 or 120lb-210lb. [default: 55-95]"),
]
Intensity = Annotated[
    str | None, typer.Option(metavar="NAME", help="easy, steady or hard. [default: steady]")
]
Jobs = Annotated[
    int | None,
    typer.Option(min=1, metavar="N", help="Tracks analysed at the same time. [default: all cores]"),
]
Expected = Annotated[
    str | None,
    typer.Option(
        "--expect",
        metavar="RANGE",
        help="Range in which the tempo is expected, e.g. 120-150: settles half or double.",
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Replace files that exist already.")]


def expected_range(text: str | None) -> tuple[float, float] | None:
    """Return the range [beats/min] in a text such as ``120-150``, None where there is none.

    >>> expected_range("120-150")
    (120.0, 150.0)
    """
    if text is None:
        return None
    try:
        low, high = (float(end) for end in parse_span(text, "expected tempo"))
    except ValueError:
        raise InputError(f"expected tempo {text!r}: needs a range such as 120-150") from None
    check_range("expected tempo", low, "bpm", 30, 300)
    check_range("expected tempo", high, "bpm", 30, 300)
    if low > high:
        raise InputError(f"expected tempo {text!r}: needs the slower end first")
    return low, high


def parse_time_s(text: str) -> float:
    """Return a time [s] from text such as ``62.3`` or ``1:02.3``.

    >>> parse_time_s("1:02.5")
    62.5
    """
    match = _CLOCK.fullmatch(text.strip())
    if match is None or (match[1] is not None and float(match[2]) >= 60):
        raise InputError(f"time {text!r}: needs seconds (62.3) or minutes and seconds (1:02.3)")
    return 60 * int(match[1] or 0) + float(match[2])
