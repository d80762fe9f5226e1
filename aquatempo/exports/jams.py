"""JAMS, an open format for what was heard in music: beats, tempo and stretches.

Humphrey et al., "JAMS: A JSON Annotated Music Specification for Reproducible MIR Research",
ISMIR 2014; namespaces ``beat`` (value = place in the bar, 1 is the downbeat), ``tempo`` and
``segment_open``. What those have no room for lies in the sandboxes, under ``aquatempo``.
"""

from __future__ import annotations

import json
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median
from typing import Any

from aquatempo.errors import InputError, TextFileError
from aquatempo.records.origin import Origin
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis
from aquatempo.records.steadiness import STEADY_PERCENT, drift_percent
from aquatempo.units import COUNTS_PER_PHRASE, check_range

__all__ = ["from_jams", "to_jams"]

VERSION = "0.3.5"
OURS = "aquatempo"
SAME_BEAT_S = 0.001
LONGEST_S = 86_400.0  # a day: no recording of music is longer
LISTED = ("beats_s", "beats_inferred", "downbeats_s", "phrases", "tempo_sections", "duration_s")


def to_jams(analysis: RhythmAnalysis, title: str = "") -> str:
    """Return the JAMS text of an analysis.

    Times in seconds. The confidence of a beat that is inferred, not played, is 0; of others it
    is left open. title: of the track.
    """
    places = _places(analysis)
    beats = [
        _observation(time, 0.0, place, 0.0 if inferred else None)
        for time, place, inferred in zip(
            analysis.beats_s, places, analysis.beats_inferred, strict=True
        )
    ]
    tempi = [
        _observation(part.start_s, part.end_s - part.start_s, part.tempo_bpm, part.confidence)
        for part in analysis.tempo_sections
    ]
    stretches = [
        _observation(phrase.start_s, phrase.end_s - phrase.start_s, phrase.kind.value, None)
        for phrase in analysis.phrases
    ]
    rest = to_plain(analysis)
    assert isinstance(rest, dict)
    about = {key: value for key, value in rest.items() if key not in LISTED}
    document = {
        "annotations": [
            _annotation("beat", beats, analysis, {}),
            _annotation("tempo", tempi, analysis, {}),
            _annotation("segment_open", stretches, analysis, {OURS: rest["phrases"]}),
        ],
        "file_metadata": {
            "title": title,
            "artist": "",
            "release": "",
            "duration": analysis.duration_s,
            "identifiers": {},
            "jams_version": VERSION,
        },
        "sandbox": {OURS: about},
    }
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def from_jams(text: str, path: str = "JAMS") -> RhythmAnalysis:
    """Return the analysis in JAMS text, ours or another program's.

    Beats come from the first ``beat`` annotation, downbeats from its places in the bar,
    stretches from the first annotation of a ``segment`` namespace, each moved to the nearest
    beat; without our sandbox, 32 counts are a phrase and other lengths a bridge, of medium
    energy. The origin is then ``entered``. Raises TextFileError. path: as named in errors.
    """
    try:
        document = json.loads(text)
    except RecursionError as exc:
        raise TextFileError(path, None, "not JAMS: nested too deep") from exc
    except ValueError as exc:
        raise TextFileError(path, getattr(exc, "lineno", None), f"not JSON: {exc}") from exc
    try:
        return _within(LONGEST_S, _read(document))
    except (LookupError, TypeError, ValueError, ArithmeticError, AttributeError, InputError) as exc:
        why = f"{exc.args[0]!r} is missing" if isinstance(exc, KeyError) else repr(exc)
        raise TextFileError(path, None, f"not JAMS with beats: {why}") from exc


def _within(longest_s: float, analysis: RhythmAnalysis) -> RhythmAnalysis:
    """Return an analysis; raise InputError for a time before 0 or beyond longest_s [s]."""
    times_s = (
        analysis.duration_s,
        *analysis.beats_s,
        *(time for part in analysis.tempo_sections for time in (part.start_s, part.end_s)),
        *(time for phrase in analysis.phrases for time in (phrase.start_s, phrase.end_s)),
    )
    for time_s in times_s:
        if not 0.0 <= time_s <= longest_s:
            raise InputError(f"time {time_s:g} s: needs 0 to {longest_s:g} s")
    tempi_bpm = (analysis.tempo_bpm, *(part.tempo_bpm for part in analysis.tempo_sections))
    for tempo_bpm in tempi_bpm:
        if tempo_bpm is not None:
            check_range("tempo", tempo_bpm, "bpm", 20, 400)
    return analysis


def _places(analysis: RhythmAnalysis) -> list[int | None]:
    """Return the place of each beat in its bar; None before the first downbeat."""
    downbeats = {round(time / SAME_BEAT_S) for time in analysis.downbeats_s}
    place: int | None = None
    places: list[int | None] = []
    for time in analysis.beats_s:
        if round(time / SAME_BEAT_S) in downbeats:
            place = 1
        elif place is not None:
            place += 1
        places.append(place)
    return places


def _observation(
    time_s: float, duration_s: float, value: object, confidence: float | None
) -> dict[str, Any]:
    return {"time": time_s, "duration": duration_s, "value": value, "confidence": confidence}


def _annotation(
    namespace: str,
    data: list[dict[str, Any]],
    analysis: RhythmAnalysis,
    sandbox: Mapping[str, object],
) -> dict[str, Any]:
    tool = f"{OURS} ({analysis.origin.value})"
    return {
        "annotation_metadata": {
            "curator": {"name": "", "email": ""},
            "annotator": {},
            "version": "",
            "corpus": "",
            "annotation_tools": tool,
            "annotation_rules": "",
            "validation": "",
            "data_source": "program",
        },
        "namespace": namespace,
        "data": data,
        "sandbox": dict(sandbox),
        "time": 0.0,
        "duration": analysis.duration_s,
    }


def _read(document: Mapping[str, Any]) -> RhythmAnalysis:
    annotations = document["annotations"]
    beat_rows = sorted(_first(annotations, "beat")["data"], key=lambda row: float(row["time"]))
    beats = [float(row["time"]) for row in beat_rows]
    downbeats = [float(row["time"]) for row in beat_rows if row["value"] == 1]
    about = dict((document.get("sandbox") or {}).get(OURS) or {})
    tempo_rows = (_first(annotations, "tempo", needed=False) or {"data": []})["data"]
    tempo = about.get("tempo_bpm") or _tempo(tempo_rows, beats)
    segments = _first(annotations, "segment", needed=False)
    duration = document["file_metadata"].get("duration") or (beats[-1] if beats else 0.0)
    drift = drift_percent(beats)
    plain = {
        "tempo_confidence": 0.0,
        "confidence": 0.0,
        "tempo_alternatives": [],
        "steady": drift <= STEADY_PERCENT,
        "tempo_drift_percent": round(drift, 3),
        "beats_per_bar": _beats_per_bar(beat_rows),
        "origin": Origin.ENTERED.value,
        **about,
        "duration_s": float(duration),
        "tempo_bpm": tempo,
        "tempo_sections": [
            {
                "start_s": float(row["time"]),
                "end_s": float(row["time"]) + float(row["duration"]),
                "tempo_bpm": float(row["value"]),
                "confidence": float(row["confidence"] or 0.0),
            }
            for row in tempo_rows
        ],
        "beats_s": beats,
        "beats_inferred": [row["confidence"] == 0.0 for row in beat_rows],
        "downbeats_s": downbeats,
        "phrases": to_plain(_phrases(segments, beats)),
    }
    return from_plain(RhythmAnalysis, plain)


def _first(annotations: Sequence[Any], namespace: str, *, needed: bool = True) -> Any:  # noqa: ANN401  JSON
    for annotation in annotations:
        if str(annotation["namespace"]).split("_")[0] == namespace:
            return annotation
    if needed:
        raise ValueError(f"no annotation in the namespace {namespace}")
    return None


def _tempo(rows: Sequence[Mapping[str, Any]], beats: Sequence[float]) -> float | None:
    if rows:
        return float(max(rows, key=lambda row: float(row["duration"]))["value"])
    return 60 / median(b - a for a, b in pairwise(beats)) if len(beats) > 1 else None


def _beats_per_bar(rows: Sequence[Mapping[str, Any]]) -> int | None:
    places = [int(row["value"]) for row in rows if row["value"] is not None]
    return max(places) if places else None


def _phrases(annotation: Mapping[str, Any] | None, beats: Sequence[float]) -> tuple[Phrase, ...]:
    """Return the stretches: as we wrote them where nobody moved them, else as they lie."""
    if annotation is None:
        return ()
    rows = annotation["data"]
    kept = (annotation.get("sandbox") or {}).get(OURS) or []
    phrases = []
    for number, row in enumerate(rows):
        start, end = float(row["time"]), float(row["time"]) + float(row["duration"])
        first = _nearest(beats, start)
        # A stretch that ends after the last beat holds that beat too.
        last = _nearest(beats, end) if end <= beats[-1] else len(beats)
        known = kept[number] if number < len(kept) else None
        if (
            known
            and abs(known["start_s"] - start) < SAME_BEAT_S
            and abs(known["end_s"] - end) < SAME_BEAT_S
        ):
            phrases.append(from_plain(Phrase, known))
            continue
        label, counts = str(row["value"]), last - first
        names = [kind.value for kind in PhraseKind]
        guess = PhraseKind.PHRASE if counts == COUNTS_PER_PHRASE else PhraseKind.BRIDGE
        kind = PhraseKind(label) if label in names else guess
        phrases.append(Phrase(start, end, first, counts, kind, 0.5, EnergyLevel.MEDIUM))
    return tuple(phrases)


def _nearest(beats: Sequence[float], time_s: float) -> int:
    after = bisect_left(beats, time_s)
    if after and (after == len(beats) or time_s - beats[after - 1] < beats[after] - time_s):
        return after - 1
    return after
