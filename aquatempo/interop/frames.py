"""Results as tables: one row a beat, call, verdict, block, or record of any other kind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from itertools import chain
from typing import TYPE_CHECKING, Any

from aquatempo.errors import InputError
from aquatempo.interop.missing import optional
from aquatempo.records.check import CheckReport
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plan import ClassPlan
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.units import counts_duration_s

if TYPE_CHECKING:
    import pandas
    import polars

__all__ = ["rows", "to_pandas", "to_polars"]

Cell = str | int | float | bool | None | list[object]
Row = dict[str, Cell]


def rows(result: object) -> list[Row]:
    """Return a result as rows of a table; all rows have the same keys, in order.

    A track or an analysis gives a row a beat, a timeline one a call, a plan one a block of
    moves, a check one a track and class; a sequence of results gives the rows of all, with the
    number of each (from 0) in ``item`` where one result has many. Any other record, such as a
    verdict, is one row: records within it are spread out (``met_median``), pairs and lists
    stay lists. Units are in the names: ``time_s``, ``tempo_bpm``. Raises InputError for what is
    no record.

    >>> from aquatempo.records.rhythm import TempoAlternative
    >>> rows([TempoAlternative(66.0, 0.2), TempoAlternative(132.0, 0.8)])
    [{'tempo_bpm': 66.0, 'odds': 0.2}, {'tempo_bpm': 132.0, 'odds': 0.8}]
    """
    if isinstance(result, str | Mapping):
        raise InputError(f"{type(result).__name__} is no result: needs a record or several")
    if not isinstance(result, Iterable):
        return list(_of_one(result))
    many = list(result)
    if any(isinstance(one, tuple(_TABLES)) for one in many):
        return [{"item": n, **row} for n, one in enumerate(many) for row in _of_one(one)]
    return list(chain.from_iterable(map(_of_one, many)))


def to_pandas(result: object) -> pandas.DataFrame:
    """Return a result as a pandas frame; see ``rows`` for its columns.

    result: a record or several. Raises MissingExtraError without pandas, InputError.
    """
    frame: pandas.DataFrame = optional("pandas", "a pandas frame").DataFrame(_columns(result))
    return frame


def to_polars(result: object) -> polars.DataFrame:
    """Return a result as a polars frame; see ``rows`` for its columns.

    result: a record or several. Raises MissingExtraError without polars, InputError.
    """
    frame: polars.DataFrame = optional("polars", "a polars frame").DataFrame(_columns(result))
    return frame


def _columns(result: object) -> dict[str, list[Cell]]:
    table = rows(result)
    names = list(dict.fromkeys(name for row in table for name in row))
    return {name: [row.get(name) for row in table] for name in names}


def _of_one(result: object) -> Iterator[Row]:
    for kind, table in _TABLES.items():
        if isinstance(result, kind):
            yield from table(result)
            return
    yield dict(_spread(result))


def _of_track(track: Track) -> Iterator[Row]:
    for row in _of_analysis(track.analysis):
        yield {"file": track.file, **row}


def _of_analysis(analysis: RhythmAnalysis) -> Iterator[Row]:
    downbeats = set(analysis.downbeats_s)
    number, spans = -1, analysis.phrases
    for beat, (time_s, inferred) in enumerate(
        zip(analysis.beats_s, analysis.beats_inferred, strict=True)
    ):
        while number + 1 < len(spans) and spans[number + 1].start_beat <= beat:
            number += 1
        span = spans[number] if number >= 0 else None
        yield {
            "beat": beat,
            "time_s": time_s,
            "inferred": inferred,
            "downbeat": time_s in downbeats,
            "phrase": number,
            "phrase_kind": span.kind.value if span else None,
            "count_in_phrase": beat - span.start_beat + 1 if span else None,
            "energy_level": span.energy_level.value if span else None,
        }


def _of_timeline(timeline: CueTimeline) -> Iterator[Row]:
    for cue in timeline.cues:
        change = timeline.changes[cue.change]
        kind = timeline.phrases[cue.phrase].kind.value if cue.phrase >= 0 else None
        yield {
            **{name: _cell(value) for name, value in _named(cue)},
            "phrase_kind": kind,
            "move": change.move,
            "name": change.name,
            "change_time_s": change.time_s,
            "variation": _cell(change.variation),
            "pattern": change.pattern,
            "lead": change.lead,
            "level": change.level,
            "travel": change.travel,
        }


def _of_plan(plan: ClassPlan) -> Iterator[Row]:
    for number, track in enumerate(plan.tracks):
        tempo_bpm = track.tempo_bpm * track.speed
        for phrase_number, phrase in enumerate(track.phrases):
            beat = phrase.start_beat
            for block in phrase.blocks:
                yield {
                    "track": number,
                    "title": track.title,
                    "part": track.part,
                    "tempo_bpm": tempo_bpm,
                    "phrase": phrase_number,
                    "phrase_kind": phrase.kind.value,
                    "start_beat": beat,
                    "duration_s": counts_duration_s(block.counts, tempo_bpm),
                    **{name: _cell(value) for name, value in _named(block)},
                }
                beat += block.counts


def _of_check(report: CheckReport) -> Iterator[Row]:
    for track in report.tracks:
        about = {name: _cell(value) for name, value in _named(track) if name != "fits"}
        for fit in track.fits:
            yield {**about, **{name: _cell(value) for name, value in _named(fit)}}


_TABLES: dict[type, Callable[[Any], Iterator[Row]]] = {
    Track: _of_track,
    RhythmAnalysis: _of_analysis,
    CueTimeline: _of_timeline,
    ClassPlan: _of_plan,
    CheckReport: _of_check,
}


def _named(record: object) -> Iterator[tuple[str, object]]:
    if not is_dataclass(record) or isinstance(record, type):
        raise InputError(f"{type(record).__name__} is no result: needs a record or several")
    yield from ((field.name, getattr(record, field.name)) for field in fields(record))


def _spread(record: object, before: str = "") -> Iterator[tuple[str, Cell]]:
    for name, value in _named(record):
        if is_dataclass(value) and not isinstance(value, type):
            yield from _spread(value, f"{before}{name}_")
        else:
            yield f"{before}{name}", _cell(value)


def _cell(value: object) -> Cell:
    if isinstance(value, Enum):
        return _cell(value.value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, Sequence):
        return [_cell(item) for item in value]
    return str(dict(_spread(value)))
