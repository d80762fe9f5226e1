"""Score what is heard in a folder against truth files: the job behind ``aquatempo bench``.

A truth file is JSON beside the audio, with the same name: ``tempo_bpm``, ``beats_s`` and,
where known, ``downbeats_s`` and ``phrases`` (objects with ``start_s, counts, kind``).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from aquatempo.errors import AquatempoError, InputError, TextFileError
from aquatempo.music.gathering import AUDIO_SUFFIXES
from aquatempo.records.bench import BenchReport, MeanScore, TrackScore
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.store.files import read_text
from aquatempo.workflow.bench_measures import Heard, Span, Truth, bridge_counts, score_track

__all__ = ["bench", "mean_score", "pairs_in", "read_truth", "truth_from_plain"]


def bench(
    folder: str,
    *,
    analyse: Callable[[str], RhythmAnalysis] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> BenchReport:
    """Return the score of every track in folder that has a truth file, and the means.

    analyse turns a path into an analysis; by default tracks are heard anew, without cache
    and corrections. A track that cannot be heard scores 0, with the reason as its trouble.
    progress is told (done, of all). Raises InputError where the folder holds no pair,
    TextFileError for a truth file that cannot be used and MissingExtraError without
    mir_eval.
    """
    pairs = pairs_in(folder)
    truths = [read_truth(truth_file) for _, truth_file in pairs]
    hear = analyse or _heard_anew
    scores: list[TrackScore] = []
    bridges: list[tuple[int, int, int]] = []
    for (audio, _), truth in zip(pairs, truths, strict=True):
        try:
            heard = Heard.of(hear(str(audio)))
        except AquatempoError as exc:
            scores.append(score_track(audio.name, truth, None, str(exc)))
            bridges.append(bridge_counts(truth, ()))
        else:
            scores.append(score_track(audio.name, truth, heard))
            bridges.append(bridge_counts(truth, heard.spans))
        if progress is not None:
            progress(len(scores), len(pairs))
    return BenchReport(tuple(scores), mean_score(scores, bridges))


def pairs_in(folder: str) -> list[tuple[Path, Path]]:
    """Return (audio, truth file) of every track in folder that has both, by name."""
    found = []
    if not Path(folder).is_dir():
        raise InputError(f"{folder!r} is no folder: bench needs one with audio and truth files")
    for truth_file in sorted(Path(folder).glob("*.json")):
        audio = [truth_file.with_suffix(suffix) for suffix in AUDIO_SUFFIXES]
        found += [(path, truth_file) for path in audio if path.is_file()][:1]
    if not found:
        raise InputError(
            f"no track with a truth file in {folder!r}: each needs audio and JSON of the same "
            "name, such as song.ogg and song.json"
        )
    return found


def read_truth(path: Path) -> Truth:
    """Return the truth in a file. Raises TextFileError with what is wrong in it."""
    try:
        data = json.loads(read_text(path))
        return truth_from_plain(data)
    except ValueError as exc:
        raise TextFileError(str(path), None, f"not a truth file: {exc}") from exc


def truth_from_plain(data: object) -> Truth:
    """Return the truth in plain data. Raises ValueError with what is wrong.

    >>> truth_from_plain({"tempo_bpm": 120, "beats_s": [0.5, 1.0]}).tempo_bpm
    120.0
    """
    if not isinstance(data, dict):
        raise ValueError(f"a {type(data).__name__}, need an object with tempo_bpm and beats_s")
    tempo = data.get("tempo_bpm")
    if isinstance(tempo, bool) or not isinstance(tempo, int | float) or not 20 <= tempo <= 400:
        raise ValueError(f"tempo_bpm is {tempo!r}, need a number from 20 to 400")
    phrases = data.get("phrases")
    if phrases is not None and not isinstance(phrases, list):
        raise ValueError("phrases: need a list")
    return Truth(
        tempo_bpm=float(tempo),
        beats_s=_times(data, "beats_s"),
        downbeats_s=_times({"downbeats_s": [], **data}, "downbeats_s"),
        spans=tuple(_span(number, phrase) for number, phrase in enumerate(phrases or ())),
        spans_known=phrases is not None,
    )


def mean_score(
    scores: Sequence[TrackScore], bridges: Iterable[tuple[int, int, int]] = ()
) -> MeanScore:
    """Return the means over tracks; bridges are (hit, there, heard) of each track.

    scores: one a track.
    """
    counts = list(bridges)
    hits, there, heard = (sum(row[column] for row in counts) for column in range(3))
    return MeanScore(
        tracks=len(scores),
        failed=sum(score.heard_bpm is None for score in scores),
        tempo_near=_mean([float(score.tempo_near) for score in scores]) or 0.0,
        tempo_exact=_mean([float(score.tempo_exact) for score in scores]) or 0.0,
        beat_f=_mean([score.beat_f for score in scores]) or 0.0,
        cmlt=_mean([score.cmlt for score in scores]) or 0.0,
        amlt=_mean([score.amlt for score in scores]) or 0.0,
        downbeat_f=_mean([score.downbeat_f for score in scores]),
        phrase_f=_mean([score.phrase_f for score in scores]),
        bridge_precision=hits / heard if heard else None,
        bridge_recall=hits / there if there else None,
        bias_ms=_mean([score.bias_ms for score in scores]),
        error_ms=_mean([score.error_ms for score in scores]),
        early_beats=sum(score.early_beats for score in scores),
    )


def _heard_anew(path: str) -> RhythmAnalysis:
    from aquatempo.music.hearing import Hearing, open_track

    return open_track(path, Hearing(None, use_cache=False, use_corrections=False)).analysis


def _times(data: dict[str, Any], key: str) -> tuple[float, ...]:
    values = data.get(key)
    if not isinstance(values, list) or not all(
        isinstance(value, int | float) and not isinstance(value, bool) for value in values
    ):
        raise ValueError(f"{key}: need a list of times in seconds")
    if any(later <= earlier for earlier, later in pairwise(values)):
        raise ValueError(f"{key}: times do not ascend")
    return tuple(float(value) for value in values)


def _span(number: int, phrase: Mapping[str, Any]) -> Span:
    try:
        return Span(float(phrase["start_s"]), int(phrase["counts"]), PhraseKind(phrase["kind"]))
    except (KeyError, TypeError, ValueError) as exc:
        raise ValueError(f"phrases[{number}]: need start_s, counts and kind ({exc})") from exc


def _mean(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None
