"""Results in other libraries: each converter is read back with the library it is for."""

from __future__ import annotations

import io
import re
from pathlib import Path

import jams
import mir_eval
import numpy as np
import pandas as pd
import partitura
import polars as pl
import pytest

import aquatempo
from aquatempo.interop.missing import optional
from aquatempo.records.rhythm import TempoAlternative
from aquatempo.units import COUNTS_PER_PHRASE

SHEET = """
title = "Lane seven"
length = 55
tempo_bpm = 120
first_count_1_s = 2
phrases = [32, 32, 6, 32]
"""
BEATS = 3 * COUNTS_PER_PHRASE + 6


@pytest.fixture
def track(tmp_path: Path) -> aquatempo.Track:
    """Return a track entered by hand: 120 bpm from 2 s on, three phrases and a bridge of 6."""
    sheet = tmp_path / "lane_seven.toml"
    sheet.write_text(SHEET, encoding="utf-8")
    return aquatempo.hear(sheet)


@pytest.fixture
def timeline(track: aquatempo.Track) -> aquatempo.CueTimeline:
    """Return the calls of that track with three moves."""
    return aquatempo.cue(aquatempo.one_track_class(track, ["jog", "jack", "front kick"]))[0]


def test_a_track_is_a_row_a_beat(track: aquatempo.Track) -> None:
    """Beats stand 0.5 s apart at 120 bpm, counted from 1 in each phrase and in the bridge."""
    frame = aquatempo.to_pandas(track)
    assert len(frame) == len(track.analysis.beats_s)
    # 60 s / 120 beats = 0.5 s; the first beat of the sheet lies at 2 s.
    np.testing.assert_allclose(frame.time_s, 2.0 + 0.5 * np.arange(len(frame)))
    ones = frame[frame.count_in_phrase == 1].beat.tolist()
    assert ones[:4] == [0, 32, 64, 70]  # the counts of the sheet, added up
    assert frame[frame.phrase_kind == "bridge"].count_in_phrase.tolist() == [1, 2, 3, 4, 5, 6]


def test_pandas_and_polars_hold_the_same(timeline: aquatempo.CueTimeline) -> None:
    """Both libraries get the same columns and values; a call is a row, times in seconds."""
    with_pandas, with_polars = aquatempo.to_pandas(timeline), aquatempo.to_polars(timeline)
    assert isinstance(with_pandas, pd.DataFrame)
    assert isinstance(with_polars, pl.DataFrame)
    assert list(with_pandas.columns) == with_polars.columns
    assert with_pandas.time_s.tolist() == with_polars["time_s"].to_list()
    assert with_pandas.time_s.tolist() == [cue.time_s for cue in timeline.cues]
    assert with_pandas.kind.tolist() == [cue.kind.value for cue in timeline.cues]


def test_a_verdict_is_a_row_with_its_bands_spread_out() -> None:
    """A record within a record gets columns of its own, ``met_low`` to ``met_high``."""
    verdicts = aquatempo.judge(132.0, moves=["jack"], patterns=["1", "2"])
    frame = aquatempo.to_pandas(verdicts)
    assert frame.pattern.tolist() == ["1", "2"]
    assert frame.met_median.tolist() == [verdict.met.median for verdict in verdicts]
    assert frame.rating.tolist() == [verdict.rating.value for verdict in verdicts]
    assert (frame.met_low <= frame.met_median).all()


def test_a_plan_is_a_row_a_block(track: aquatempo.Track) -> None:
    """The blocks of a plan follow one another: each starts where the one before it ended."""
    frame = aquatempo.to_pandas(aquatempo.one_track_class(track, ["jog", "jack"]))
    assert frame.counts.sum() >= BEATS
    ends = frame.start_beat + frame.counts
    assert ends[:-1].tolist() == frame.start_beat[1:].tolist()
    np.testing.assert_allclose(frame.duration_s, 0.5 * frame.counts)  # 120 bpm


def test_several_tracks_are_told_apart(track: aquatempo.Track) -> None:
    """Rows of several tracks carry the number of theirs."""
    table = aquatempo.rows([track, track])
    beats = len(track.analysis.beats_s)
    assert [row["item"] for row in table] == [0] * beats + [1] * beats


def test_a_check_is_a_row_a_class(tmp_path: Path, track: aquatempo.Track) -> None:
    """A checked track has a row for the shallow and one for the deep class."""
    frame = aquatempo.to_pandas(aquatempo.check(track.file))
    assert frame.depth.tolist() == ["shallow", "deep"]
    assert frame.tempo_bpm.tolist() == [120.0, 120.0]  # of the sheet


@pytest.mark.parametrize("wrong", ["text", {"tempo": 1}, 3.0])
def test_what_is_no_result_is_refused(wrong: object) -> None:
    """A text, a mapping or a number is no table: the error says what is needed."""
    with pytest.raises(aquatempo.InputError, match="needs a record or several"):
        aquatempo.rows(wrong)


def test_mir_eval_takes_the_shapes(track: aquatempo.Track) -> None:
    """mir_eval's own checks accept beats, tempos and segments, and score them as perfect."""
    shapes = aquatempo.to_mir_eval(track)
    mir_eval.beat.validate(shapes.beats_s, shapes.downbeats_s)
    assert mir_eval.beat.f_measure(shapes.beats_s, shapes.beats_s) == 1.0
    mir_eval.tempo.validate(shapes.tempi_bpm, shapes.tempo_weight, shapes.tempi_bpm)
    assert mir_eval.tempo.detection(shapes.tempi_bpm, shapes.tempo_weight, shapes.tempi_bpm) == (
        1.0, True, True,
    )  # fmt: skip
    labels = list(shapes.labels)
    intervals = shapes.intervals_s - shapes.intervals_s[0, 0]  # segments are scored from 0
    mir_eval.segment.validate_structure(intervals, labels, intervals, labels)
    assert labels[:4] == ["phrase", "phrase", "bridge", "phrase"]


def analysis_with(*odds: tuple[float, float], own: float) -> aquatempo.RhythmAnalysis:
    """Return an analysis at 120 bpm with other tempos and their odds."""
    return aquatempo.RhythmAnalysis(
        duration_s=60.0, tempo_bpm=120.0, tempo_confidence=own, confidence=own,
        tempo_alternatives=tuple(TempoAlternative(bpm, share) for bpm, share in odds),
        tempo_sections=(), steady=True, tempo_drift_percent=0.0, beats_per_bar=4, beats_s=(),
        beats_inferred=(), downbeats_s=(), phrases=(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("odds", "tempi", "weight"),
    [
        (((120.0, 0.6), (60.0, 0.2)), [60.0, 120.0], 0.25),  # 0.2 of 0.2 + 0.6
        (((120.0, 0.6), (240.0, 0.2)), [120.0, 240.0], 0.75),  # 0.6 of 0.6 + 0.2
        (((120.0, 0.6), (60.0, 0.1), (240.0, 0.4)), [120.0, 240.0], 0.6),  # the likelier rival
        (((120.0, 0.6), (120.4, 0.3)), [120.0, 120.0], 1.0),  # the same level, told more finely
    ],
)
def test_tempos_stand_slower_first(
    odds: tuple[tuple[float, float], ...], tempi: list[float], weight: float
) -> None:
    """The weight is the share of the slower tempo among the two, as mir_eval wants it."""
    shapes = aquatempo.to_mir_eval(analysis_with(*odds, own=0.6))
    assert shapes.tempi_bpm.tolist() == tempi
    assert shapes.tempo_weight == pytest.approx(weight)
    assert shapes.intervals_s.shape == (0, 2)


@pytest.mark.filterwarnings("ignore:Passing a schema")  # jams with a newer jsonschema
def test_jams_holds_the_beats_and_is_valid(track: aquatempo.Track) -> None:
    """The JAMS object passes its own schema, and its beats are ours."""
    jam = aquatempo.to_jams(track)
    assert isinstance(jam, jams.JAMS)
    assert jam.validate()
    beats = jam.search(namespace="beat")[0]
    assert [one.time for one in beats.data] == pytest.approx(track.analysis.beats_s)
    assert jam.file_metadata.title == "Lane seven"


def test_pretty_midi_plays_the_beats(timeline: aquatempo.CueTimeline) -> None:
    """The clicks of the MIDI object start on our beats within 1 ms, and it carries the calls."""
    midi = aquatempo.to_pretty_midi(timeline)
    starts = [note.start for instrument in midi.instruments for note in instrument.notes]
    assert sorted(starts) == pytest.approx(timeline.beats_s, abs=0.001)
    assert len(midi.lyrics) == len(timeline.cues)
    first = next(cue for cue in timeline.cues if cue.words)
    assert first.words in [lyric.text.strip() for lyric in midi.lyrics]


@pytest.mark.filterwarnings("ignore:error parsing")  # words that are no musical terms
def test_a_score_has_a_stroke_a_beat_and_phrases_on_bars(
    timeline: aquatempo.CueTimeline, tmp_path: Path
) -> None:
    """Written as MusicXML and read back: a stroke a beat, and each phrase starts a bar."""
    file = tmp_path / "calls.musicxml"
    partitura.save_musicxml(aquatempo.to_partitura(timeline), str(file))
    part = partitura.load_musicxml(str(file)).parts[0]
    strokes = list(part.iter_all(partitura.score.UnpitchedNote))
    assert len(strokes) == len(timeline.beats_s)
    divisions = strokes[0].duration
    bars = {measure.start.t // divisions for measure in part.measures}
    assert {phrase.start_beat for phrase in timeline.phrases} <= bars
    # Three phrases of 8 bars, a bridge of 6 counts: one whole bar and one of 2.
    assert {0, 32, 64, 68, 70} <= bars
    tempos = [mark.bpm for mark in part.iter_all(partitura.score.Tempo)]
    assert tempos == [120]  # of the sheet, written once
    written = re.findall(r"<words.*?>(.*?)</words>", file.read_text(encoding="utf-8"))
    told = [one.name for one in timeline.changes] + [one.words for one in timeline.cues]
    assert sorted(written) == sorted(filter(None, told))


def test_what_is_not_installed_is_named() -> None:
    """A library that is missing gives one line with the extra that brings it."""
    with pytest.raises(aquatempo.MissingExtraError, match=r"a frame needs .*\[interop\]"):
        optional("no_such_library", "a frame")


@pytest.mark.filterwarnings("ignore:Passing a schema")  # jams with a newer jsonschema
def test_jams_text_and_object_agree(track: aquatempo.Track) -> None:
    """The object read by the library is the text that ``listen --jams`` writes."""
    from aquatempo.exports.jams import to_jams

    text = to_jams(track.analysis, track.title)
    again = jams.load(io.StringIO(text), fmt="jams")
    assert again.dumps() == aquatempo.to_jams(track).dumps()
