"""JAMS, shapes for scoring and rows a beat, each value worked by hand on a few beats."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from aquatempo.errors import InputError, TextFileError
from aquatempo.exports.jams import from_jams, to_jams
from aquatempo.interop.frames import rows, to_pandas
from aquatempo.interop.music_data import to_mir_eval
from aquatempo.records.brief import Brief
from aquatempo.records.origin import Origin
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoAlternative,
    TempoSection,
)
from aquatempo.records.track import Track

BEATS_S = tuple(1.0 + n / 2 for n in range(40))


def analysis(**others: object) -> RhythmAnalysis:
    """Return 40 beats from 1 s on, half a second apart; count 1 of bars on the beats 2, 6, ..."""
    phrases = (
        Phrase(2.0, 18.0, 2, 32, PhraseKind.PHRASE, 0.7, EnergyLevel.HIGH),
        Phrase(18.0, 21.0, 34, 6, PhraseKind.OUTRO, 0.2, EnergyLevel.LOW),
    )
    usual = RhythmAnalysis(
        30.0, 120.0, 0.9, 0.8, (TempoAlternative(60.0, 0.1),),
        (TempoSection(1.0, 20.0, 120.0, 0.95), TempoSection(20.0, 21.0, 121.0, 0.5)), True, 0.1,
        4, BEATS_S, tuple(n in (5, 6) for n in range(40)), BEATS_S[2::4], phrases,
    )  # fmt: skip
    return replace(usual, **others)  # type: ignore[arg-type]


def written(heard: RhythmAnalysis, title: str = "") -> dict[str, Any]:
    """Return JAMS as the data that JSON holds."""
    found: dict[str, Any] = json.loads(to_jams(heard, title))
    return found


def annotation(document: dict[str, Any], namespace: str) -> dict[str, Any]:
    """Return the annotation of a namespace."""
    (found,) = (one for one in document["annotations"] if one["namespace"] == namespace)
    return dict(found)


def test_beats_are_written_with_their_place_in_the_bar() -> None:
    """None before the first bar, then 1 to 4; a beat that was not played has confidence 0."""
    data = annotation(written(analysis()), "beat")["data"]
    assert [row["time"] for row in data] == list(BEATS_S)
    assert [row["value"] for row in data[:9]] == [None, None, 1, 2, 3, 4, 1, 2, 3]
    assert [row["confidence"] for row in data[:8]] == [None] * 5 + [0.0, 0.0, None]
    assert {row["duration"] for row in data} == {0.0}


def test_tempi_and_stretches_have_lengths() -> None:
    """19 s and 1 s of tempo; phrases of 16 and 3 s by their kind."""
    document = written(analysis())
    assert annotation(document, "tempo")["data"] == [
        {"time": 1.0, "duration": 19.0, "value": 120.0, "confidence": 0.95},
        {"time": 20.0, "duration": 1.0, "value": 121.0, "confidence": 0.5},
    ]
    assert annotation(document, "segment_open")["data"] == [
        {"time": 2.0, "duration": 16.0, "value": "phrase", "confidence": None},
        {"time": 18.0, "duration": 3.0, "value": "outro", "confidence": None},
    ]


def test_each_annotation_covers_the_song() -> None:
    """From 0 to its end, by a program, with nobody's name in it."""
    document = written(analysis(), "Odd Lane")
    for one in document["annotations"]:
        assert (one["time"], one["duration"]) == (0.0, 30.0)
        about = one["annotation_metadata"]
        assert (about["data_source"], about["curator"]["name"]) == ("program", "")
        assert about["annotation_tools"] == "aquatempo (measured)"
    assert document["file_metadata"]["title"] == "Odd Lane"
    assert document["file_metadata"]["duration"] == 30.0
    assert to_jams(analysis()).endswith("}\n")
    assert "\n {" in to_jams(analysis()) or '\n "' in to_jams(analysis())


def stranger(beats: Sequence[tuple[object, object]], **others: Any) -> dict[str, Any]:
    """Return a document of another program: (time, place in the bar) of each beat."""
    data = [
        {"time": time_s, "duration": 0, "value": value, "confidence": None}
        for time_s, value in beats
    ]
    return {
        "annotations": [{"namespace": "beat", "data": data}],
        "file_metadata": {"duration": 30.0},
        **others,
    }


def segments(*spans: tuple[float, float, str]) -> dict[str, Any]:
    """Return stretches: start, length, label."""
    return {
        "namespace": "segment_salami_upper",
        "data": [
            {"time": start, "duration": length, "value": label, "confidence": None}
            for start, length, label in spans
        ],
    }


FORTY = [(time_s, n % 3 + 1) for n, time_s in enumerate(BEATS_S)]


def read(document: dict[str, Any]) -> RhythmAnalysis:
    """Return the analysis of a document."""
    return from_jams(json.dumps(document))


def test_a_strangers_beats_are_taken_as_entered() -> None:
    """Beats in order of time, bars of three; what is not told is not known."""
    heard = read(stranger(FORTY[::-1]))
    assert heard.beats_s == BEATS_S
    assert (heard.beats_per_bar, heard.downbeats_s) == (3, BEATS_S[::3])
    assert (heard.tempo_confidence, heard.confidence, heard.tempo_alternatives) == (0.0, 0.0, ())
    assert (heard.origin, heard.steady, heard.tempo_drift_percent) == (Origin.ENTERED, True, 0.0)
    assert (heard.duration_s, heard.tempo_bpm, heard.phrases) == (30.0, 120.0, ())


@pytest.mark.parametrize(
    ("times_s", "tempo_bpm"),
    [
        ([0.0, 0.5], 120.0),
        ([0.0, 0.5, 1.0, 2.0], 120.0),
        ([0.0, 0.5, 1.5], 80.0),
        ([0.0, 0.64], 93.75),
        ([1.0], None),
    ],
)
def test_a_tempo_is_that_of_the_median_beat(times_s: list[float], tempo_bpm: float | None) -> None:
    """Gaps of 0.5, 0.5 and 1 s have the median 0.5; of 0.5 and 1 it is 0.75; one beat has none."""
    assert read(stranger([(time_s, None) for time_s in times_s])).tempo_bpm == tempo_bpm


def test_the_longest_tempo_is_that_of_the_song() -> None:
    """Of 100 for 5 s and 110 for 20 s it is 110; a missing confidence is 0."""
    document = stranger(FORTY)
    data = [
        {"time": 0, "duration": 5, "value": 100, "confidence": None},
        {"time": 5, "duration": 20, "value": 110, "confidence": 0.5},
    ]
    document["annotations"].append({"namespace": "tempo", "data": data})
    heard = read(document)
    assert heard.tempo_bpm == 110.0
    assert heard.tempo_sections == (
        TempoSection(0.0, 5.0, 100.0, 0.0), TempoSection(5.0, 25.0, 110.0, 0.5),
    )  # fmt: skip


def test_a_song_without_a_length_ends_with_its_last_beat() -> None:
    """20.5 s, the 40th beat; nothing at all is 0 s."""
    assert read(stranger(FORTY, file_metadata={})).duration_s == 20.5
    assert read(stranger([], file_metadata={})).duration_s == 0.0


@pytest.mark.parametrize(
    ("start_s", "length_s", "label", "first", "counts", "kind"),
    [
        (1.0, 16.0, "A", 0, 32, "phrase"),
        (1.2, 16.0, "A", 0, 32, "phrase"),  # nearest is the beat at 1 s
        (1.24, 16.0, "A", 0, 32, "phrase"),
        (1.26, 16.0, "A", 1, 32, "phrase"),
        (1.25, 15.75, "A", 1, 31, "bridge"),  # half way: the later one
        (0.0, 17.0, "A", 0, 32, "phrase"),  # before the first beat
        (1.0, 8.0, "A", 0, 16, "bridge"),
        (1.0, 17.0, "A", 0, 34, "bridge"),
        (1.0, 8.0, "intro", 0, 16, "intro"),
        (1.0, 16.0, "break", 0, 32, "break"),
        (17.0, 3.5, "A", 32, 7, "bridge"),  # ends on the last beat, which is not in it
        (17.0, 3.6, "A", 32, 8, "bridge"),  # ends after it
        (17.0, 60.0 - 48.0, "outro", 32, 8, "outro"),
    ],
)
def test_a_stretch_takes_the_nearest_beats(
    start_s: float, length_s: float, label: str, first: int, counts: int, kind: str
) -> None:
    """32 counts are a phrase, others a bridge, unless the label is one of our kinds."""
    document = stranger(FORTY)
    document["annotations"].append(segments((start_s, length_s, label)))
    (phrase,) = read(document).phrases
    assert (phrase.start_beat, phrase.counts, phrase.kind) == (first, counts, kind)
    assert (phrase.start_s, phrase.end_s) == (start_s, start_s + length_s)
    assert (phrase.energy, phrase.energy_level) == (0.5, EnergyLevel.MEDIUM)


@pytest.mark.parametrize(("off_s", "kept"), [(0.0009, True), (0.0011, False)])
def test_what_we_wrote_holds_for_stretches_that_nobody_moved(off_s: float, kept: bool) -> None:
    """Within a millisecond, at either end, the energy that was heard is kept."""
    for key in ("time", "duration"):
        document = written(analysis())
        row = annotation(document, "segment_open")["data"][0]
        row[key] += off_s
        assert (read(document).phrases[0].energy == 0.7) is kept
        row[key] -= 2 * off_s
        assert (read(document).phrases[0].energy == 0.7) is kept


def test_stretches_that_were_added_are_taken_as_they_lie() -> None:
    """The first two are ours, the third has the middle energy."""
    document = written(analysis())
    data = annotation(document, "segment_open")["data"]
    data.append({"time": 10.0, "duration": 4.0, "value": "new", "confidence": None})
    assert [phrase.energy for phrase in read(document).phrases] == [0.7, 0.2, 0.5]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"duration": 86_400.1}, "time 86400.1 s: needs 0 to 86400 s"),
        ({"duration": -1.0}, "time -1 s: needs 0 to 86400 s"),
    ],
)
def test_times_are_those_of_a_recording(change: dict[str, float], told: str) -> None:
    """Not before 0, not beyond a day; a day is the border."""
    with pytest.raises(TextFileError) as caught:
        read(stranger(FORTY, file_metadata=change))
    assert told in str(caught.value)
    assert read(stranger(FORTY, file_metadata={"duration": 86_400.0})).duration_s == 86_400.0


@pytest.mark.parametrize(
    ("tempo", "fits"), [(20, True), (400, True), (19.9, False), (400.1, False)]
)
def test_tempi_are_those_of_music(tempo: float, fits: bool) -> None:
    """From 20 to 400 beats/min, of the song and of each part of it."""
    for rows_ in ([(0, 9, tempo)], [(0, 9, 120), (9, 1, tempo)]):
        document = stranger(FORTY)
        data = [
            {"time": at, "duration": length, "value": value, "confidence": 1.0}
            for at, length, value in rows_
        ]
        document["annotations"].append({"namespace": "tempo", "data": data})
        if fits:
            read(document)
        else:
            with pytest.raises(TextFileError, match=f"tempo {tempo} bpm: needs 20 to 400 bpm"):
                read(document)


def test_a_beat_or_a_stretch_before_the_song_is_refused() -> None:
    """Whatever stands in the list."""
    for document in (stranger([(-0.1, 1), *FORTY]), stranger(FORTY)):
        if len(document["annotations"][0]["data"]) == 40:
            document["annotations"].append(segments((-3.0, 10.0, "A")))
        with pytest.raises(TextFileError, match="needs 0 to 86400 s"):
            read(document)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[1,\n 2", "x.jams, line 2: not JSON"),
        ("[" * 100_000, "not JAMS: nested too deep"),
        ('{"annotations": [{"data": []}]}', "'namespace' is missing"),
        (
            '{"annotations": [{"namespace": "chord", "data": []}]}',
            "no annotation in the namespace beat",
        ),
        (json.dumps(stranger([("soon", 1)])), "not JAMS with beats"),
    ],
)
def test_what_cannot_be_read_is_told(text: str, told: str) -> None:
    """One line with the file's name."""
    with pytest.raises(TextFileError) as caught:
        from_jams(text, "x.jams")
    assert told in str(caught.value)


def test_rows_of_beats() -> None:
    """Beat 0 and 1 before the first phrase, then counts from 1; the file where a track is told."""
    table = rows(analysis())
    assert table[1] == {
        "beat": 1, "time_s": 1.5, "inferred": False, "downbeat": False, "phrase": -1,
        "phrase_kind": None, "count_in_phrase": None, "energy_level": None,
    }  # fmt: skip
    assert table[2] == {
        "beat": 2, "time_s": 2.0, "inferred": False, "downbeat": True, "phrase": 0,
        "phrase_kind": "phrase", "count_in_phrase": 1, "energy_level": "high",
    }  # fmt: skip
    assert [table[n]["count_in_phrase"] for n in (33, 34, 39)] == [32, 1, 6]
    assert [table[n]["phrase_kind"] for n in (33, 34)] == ["phrase", "outro"]
    assert [n for n, row in enumerate(table) if row["inferred"]] == [5, 6]
    assert [n for n, row in enumerate(table) if row["downbeat"]] == list(range(2, 40, 4))
    assert rows(Track("a.ogg", "A", analysis()))[2] == {"file": "a.ogg", **table[2]}


def test_several_results_are_numbered() -> None:
    """Two tracks: 40 rows each; records of one row each are not numbered."""
    table = rows([analysis(), analysis()])
    assert [row["item"] for row in table] == [0] * 40 + [1] * 40
    assert next(iter(table[0])) == "item"
    assert rows([TempoAlternative(60.0, 0.1)] * 2) == [{"tempo_bpm": 60.0, "odds": 0.1}] * 2


def test_rows_of_a_plan() -> None:
    """At 120 x 1.25 = 150 beats/min 16 counts are 6.4 s; beats go on from the phrase's start."""
    blocks = (Block(16, "jog", (("arms", "press"),)), Block(16, "jack"))
    phrase = PlannedPhrase(8, 32, PhraseKind.PHRASE, EnergyLevel.LOW, blocks)
    later = replace(phrase, start_beat=40, kind=PhraseKind.BRIDGE, blocks=blocks[:1])
    track = PlannedTrack("A", "a.ogg", "main", 120.0, (phrase, later), 1.25)
    table = rows(ClassPlan(Brief(), (track, track)))
    assert [(row["track"], row["phrase"], row["start_beat"]) for row in table] == [
        (n, *one) for n in (0, 1) for one in ((0, 8), (0, 24), (1, 40))
    ]
    assert {row["tempo_bpm"] for row in table} == {150.0}
    assert table[0]["duration_s"] == pytest.approx(6.4)
    assert [row["phrase_kind"] for row in table[:3]] == ["phrase", "phrase", "bridge"]
    assert (table[0]["variation"], table[0]["move"]) == ([["arms", "press"]], "jog")


def test_records_within_records_are_spread_out() -> None:
    """A track's own fields have the name of their record before them; a list stays one."""
    frame = to_pandas(PlannedPhrase(8, 32, PhraseKind.PHRASE, EnergyLevel.LOW, ()))
    assert frame.to_dict("list")["blocks"] == [[]]
    (row,) = rows(Brief())
    assert row["pool_depth_m"] == 1.2
    assert row["group_age_years"] == [30.0, 75.0]
    for wrong in ("text", {"a": 1}, 3, [1, 2]):
        with pytest.raises(InputError, match="is no result: needs a record or several"):
            rows(wrong)


def test_shapes_for_scoring() -> None:
    """Beats, downbeats and (n, 2) intervals with their labels, of a track or its analysis."""
    for heard in (analysis(), Track("", "", analysis())):
        shapes = to_mir_eval(heard)
        np.testing.assert_array_equal(shapes.beats_s, BEATS_S)
        np.testing.assert_array_equal(shapes.downbeats_s, BEATS_S[2::4])
        np.testing.assert_array_equal(shapes.intervals_s, [[2.0, 18.0], [18.0, 21.0]])
        assert shapes.labels == ("phrase", "outro")
    empty = to_mir_eval(analysis(beats_s=(), downbeats_s=(), phrases=(), tempo_bpm=None))
    assert (empty.tempi_bpm.tolist(), empty.tempo_weight) == ([0.0, 0.0], 1.0)
    assert empty.intervals_s.shape == (0, 2)


@pytest.mark.parametrize(
    ("others", "tempi", "weight"),
    [
        ([], [120.0, 120.0], 1.0),
        ([(60.0, 0.3)], [60.0, 120.0], 0.25),  # 0.3 of 0.3 + 0.9
        ([(240.0, 0.3)], [120.0, 240.0], 0.75),
        ([(60.0, 0.0)], [120.0, 120.0], 1.0),  # no odds, no rival
        ([(121.0, 0.3)], [120.0, 120.0], 1.0),  # the same level, told more finely
        ([(121.1, 0.3)], [120.0, 121.1], 0.75),
        ([(118.9, 0.3)], [118.9, 120.0], 0.25),
        ([(60.0, 0.1), (240.0, 0.3)], [120.0, 240.0], 0.75),
    ],
)
def test_two_tempi_and_the_share_of_the_slower(
    others: list[tuple[float, float]], tempi: list[float], weight: float
) -> None:
    """The counted tempo and its likeliest rival, slower first."""
    heard = analysis(tempo_alternatives=tuple(TempoAlternative(*one) for one in others))
    shapes = to_mir_eval(heard)
    assert shapes.tempi_bpm.tolist() == tempi
    assert shapes.tempo_weight == pytest.approx(weight)
