"""A track sheet: what a person knows of a track without an audio file.

::

    title = "Morning lanes"
    length = "3:20"              # or seconds
    tempo_bpm = 132.0            # typed or tapped
    first_count_1_s = 1.25       # when the first count 1 falls
    phrases = [16, 32, 32, 8, 32]  # counts; 32 is a phrase, others are bridges
                                   # (a first or last one that is not 32: intro, outro)

or, where more is known, ``[[phrases]]`` tables with ``counts``, ``kind`` and ``energy``.
Without ``phrases`` the track is taken as phrases of 32 from the first count 1.
"""

from __future__ import annotations

import re
from typing import Any, TypeVar

from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoSection,
)
from aquatempo.tomltext.lines import Place, TomlText
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["read_track_sheet"]

_KEYS = ("title", "length", "tempo_bpm", "first_count_1_s", "beats_per_bar", "phrases", "rights")
_PHRASE_KEYS = ("counts", "kind", "energy")
_ENERGY = {EnergyLevel.LOW: 0.25, EnergyLevel.MEDIUM: 0.5, EnergyLevel.HIGH: 0.75}
_Choice = TypeVar("_Choice", PhraseKind, EnergyLevel)
_CLOCK = re.compile(r"(?:(\d+):)?(\d{1,3}):(\d{2}(?:\.\d+)?)")


def read_track_sheet(path: str, text: str) -> tuple[str, RhythmAnalysis]:
    """Return (title, analysis with origin entered) of a sheet's text.

    Raises TextFileError with the line of what is missing or wrong.
    """
    sheet = TomlText(path, text)
    sheet.check_keys((), sheet.data, _KEYS)
    tempo_bpm = _number(sheet, ("tempo_bpm",), 30.0, 300.0, "bpm")
    first_s = _number(sheet, ("first_count_1_s",), 0.0, 3600.0, "s", default=0.0)
    length_s = _length_s(sheet)
    beats_per_bar = int(_number(sheet, ("beats_per_bar",), 2, 7, "beats", default=4))
    period_s = 60.0 / tempo_bpm
    total = int((length_s - first_s) / period_s + 1e-9)
    if total < 8:
        raise sheet.error(("length",), f"length {length_s:g} s leaves fewer than 8 counts")
    beats_s = tuple(first_s + period_s * index for index in range(total))
    title = str(sheet.data.get("title", "")) or path
    return title, RhythmAnalysis(
        duration_s=length_s,
        tempo_bpm=tempo_bpm,
        tempo_confidence=1.0,
        confidence=1.0,
        tempo_alternatives=(),
        tempo_sections=(TempoSection(first_s, beats_s[-1] + period_s, tempo_bpm, 1.0),),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=beats_per_bar,
        beats_s=beats_s,
        beats_inferred=(False,) * total,
        downbeats_s=beats_s[::beats_per_bar],
        phrases=_phrases(sheet, first_s, period_s, total),
        origin=Origin.ENTERED,
    )


def _phrases(sheet: TomlText, first_s: float, period_s: float, total: int) -> tuple[Phrase, ...]:
    given = sheet.data.get("phrases")
    if given is None:
        given = [COUNTS_PER_PHRASE] * (total // COUNTS_PER_PHRASE)
        if rest := total % COUNTS_PER_PHRASE:
            given.append(rest)
    if not isinstance(given, list):
        raise sheet.error(("phrases",), "phrases: needs a list of counts or [[phrases]] tables")
    phrases: list[Phrase] = []
    beat = 0
    for index, item in enumerate(given):
        place: Place = ("phrases", index)
        table = item if isinstance(item, dict) else {"counts": item}
        sheet.check_keys(place, table, _PHRASE_KEYS)
        counts = table.get("counts")
        if not isinstance(counts, int) or isinstance(counts, bool) or counts < 1:
            raise sheet.error(
                (*place, "counts"), f"counts {counts!r}: needs a whole number above 0"
            )
        if beat + counts > total:
            raise sheet.error(
                place,
                f"phrases take {beat + counts} counts but the track has only {total} "
                "(is the length or the tempo right?)",
            )
        edge = index == 0 or index == len(given) - 1
        kind = _choice(sheet, (*place, "kind"), table, PhraseKind, _usual_kind(counts, index, edge))
        level = _choice(sheet, (*place, "energy"), table, EnergyLevel, EnergyLevel.MEDIUM)
        start_s, end_s = first_s + beat * period_s, first_s + (beat + counts) * period_s
        phrases.append(Phrase(start_s, end_s, beat, counts, kind, _ENERGY[level], level))
        beat += counts
    return tuple(phrases)


def _usual_kind(counts: int, index: int, edge: bool) -> PhraseKind:
    if counts == COUNTS_PER_PHRASE:
        return PhraseKind.PHRASE
    if not edge:
        return PhraseKind.BRIDGE
    return PhraseKind.INTRO if index == 0 else PhraseKind.OUTRO


def _choice(
    sheet: TomlText, place: Place, table: dict[str, Any], kind: type[_Choice], usual: _Choice
) -> _Choice:
    value = table.get(str(place[-1]), usual)
    try:
        return kind(value)
    except ValueError as exc:
        known = ", ".join(kind)
        raise sheet.error(place, f"{place[-1]} {value!r}: needs one of {known}") from exc


def _length_s(sheet: TomlText) -> float:
    value = sheet.data.get("length")
    if value is None:
        raise sheet.error((), 'no length: needs length = "3:20" or seconds')
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _number(sheet, ("length",), 5.0, 7200.0, "s")
    clock = _CLOCK.fullmatch(str(value).strip())
    if clock is None:
        raise sheet.error(
            ("length",), f'length {value!r}: needs minutes and seconds such as "3:20"'
        )
    return int(clock[1] or 0) * 3600.0 + int(clock[2]) * 60.0 + float(clock[3])


def _number(
    sheet: TomlText, place: Place, low: float, high: float, unit: str, default: float | None = None
) -> float:
    name = str(place[-1])
    value = sheet.data.get(name, default)
    if value is None:
        raise sheet.error((), f"no {name}: needs {name} = {low:g} to {high:g} {unit}")
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise sheet.error(place, f"{name} {value!r}: needs {low:g} to {high:g} {unit}")
    return float(value)
