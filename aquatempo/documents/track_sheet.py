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

from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoSection,
)
from aquatempo.tomltext import TomlTable, need, read_toml
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE, check_range, parse_time_s

__all__ = ["read_track_sheet"]

_KEYS = ("title", "length", "tempo_bpm", "first_count_1_s", "beats_per_bar", "phrases", "rights")
_PHRASE_KEYS = ("counts", "kind", "energy")
_ENERGY = {EnergyLevel.LOW: 0.25, EnergyLevel.MEDIUM: 0.5, EnergyLevel.HIGH: 0.75}
_LENGTH_S = (5.0, 7200.0)


def read_track_sheet(path: str, text: str) -> tuple[str, RhythmAnalysis]:
    """Return (title, analysis with origin entered) of a sheet's text.

    path: as named in errors, and the title where the sheet has none. Raises TextFileError
    with the line of what is missing or wrong.
    """
    sheet = read_toml(path, text)
    need("a track sheet", sheet)
    sheet.know(_KEYS)
    tempo_bpm = sheet.number("tempo_bpm", 30.0, 300.0, "bpm")
    first_s = sheet.number("first_count_1_s", 0.0, 3600.0, "s", 0.0)
    length_s = _length_s(sheet)
    beats_per_bar = sheet.whole("beats_per_bar", 2, 7, "beats", 4)
    period_s = 60.0 / tempo_bpm
    total = int((length_s - first_s) / period_s + 1e-9)
    if total < COUNTS_PER_EIGHT:
        raise sheet.error("length", f"length {length_s:g} s leaves fewer than 8 counts")
    beats_s = tuple(first_s + period_s * index for index in range(total))
    return sheet.text("title", "") or path, RhythmAnalysis(
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


def _phrases(sheet: TomlTable, first_s: float, period_s: float, total: int) -> tuple[Phrase, ...]:
    stretches = _stretches(sheet, total)
    phrases: list[Phrase] = []
    beat = 0
    for index, one in enumerate(stretches):
        one.know(_PHRASE_KEYS)
        counts = one.whole("counts", 1, 4096, "counts")
        if beat + counts > total:
            raise one.error(
                None,
                f"phrases take {beat + counts} counts but the track has only {total} "
                "(is the length or the tempo right?)",
            )
        edge = index == 0 or index == len(stretches) - 1
        kind = one.choice("kind", PhraseKind, _usual_kind(counts, index, edge))
        level = one.choice("energy", EnergyLevel, EnergyLevel.MEDIUM)
        start_s, end_s = first_s + beat * period_s, first_s + (beat + counts) * period_s
        phrases.append(Phrase(start_s, end_s, beat, counts, kind, _ENERGY[level], level))
        beat += counts
    return tuple(phrases)


def _stretches(sheet: TomlTable, total: int) -> tuple[TomlTable, ...]:
    """Return what a sheet says of each stretch; a bare number is its counts."""
    if "phrases" in sheet:
        return sheet.tables("phrases", bare="counts")
    whole, rest = divmod(total, COUNTS_PER_PHRASE)
    counts = [COUNTS_PER_PHRASE] * whole + ([rest] if rest else [])
    return sheet.over({"phrases": counts}).tables("phrases", bare="counts")


def _usual_kind(counts: int, index: int, edge: bool) -> PhraseKind:
    if counts == COUNTS_PER_PHRASE:
        return PhraseKind.PHRASE
    if not edge:
        return PhraseKind.BRIDGE
    return PhraseKind.INTRO if index == 0 else PhraseKind.OUTRO


def _length_s(sheet: TomlTable) -> float:
    """Return the length [s], written as seconds or as a clock: 200, "3:20"."""
    if not isinstance(sheet.data.get("length", ""), str):
        return sheet.number("length", *_LENGTH_S, "s")
    if "length" not in sheet:
        raise sheet.error(None, 'no length: needs length = "3:20" or seconds')
    with sheet.naming("length"):
        return check_range("length", parse_time_s(sheet.text("length"), "length"), "s", *_LENGTH_S)
