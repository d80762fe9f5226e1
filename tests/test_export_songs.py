"""The files that carry songs: where their clicks and beats lie, how loud, how long, where.

Onsets are found in the written files by a detector that shares no code with the package
(tests/song_making.py). 5 ms: a third of what listeners notice between two sounds that belong
together; common practice, no source.
"""

from __future__ import annotations

import base64
import html
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pyloudnorm  # type: ignore[import-untyped]
import pytest
import soundfile
from numpy.typing import NDArray
from song_making import RATE_HZ, make_class, make_planned, make_song, onsets_s

from aquatempo import audio
from aquatempo.deck.rehearsal_files import track_stems, write_rehearsal
from aquatempo.errors import InputError
from aquatempo.exports.json_text import read_cue_json
from aquatempo.moves import catalogue
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plan import PlannedTrack
from aquatempo.workflow.exporting import ExportOptions, export_class

NEAR_S = 0.005
Samples = NDArray[np.float32]


class Exported:
    """A track exported with its song: the plan, its timeline, and the files read back."""

    def __init__(self, folder: Path, speed: float, sound: str, loudness_lufs: float) -> None:
        song = make_song(folder / "lanes.wav", 126.0)
        self.planned: PlannedTrack = make_planned(song, speed)
        self.plan = make_class(self.planned)
        options = ExportOptions(
            only=("json", "clicks"), songs=("rehearsal",), sound=sound, loudness_lufs=loudness_lufs
        )
        self.report = export_class(self.plan, str(folder / "out"), catalogue(), options)
        self.timeline: CueTimeline = read_cue_json(
            (folder / "out/tracks/01_lanes.json").read_text(encoding="utf-8")
        )
        self.rehearsal = folder / f"out/with_song/01_lanes_rehearsal.{sound}"
        self.clicks = folder / f"out/tracks/01_lanes_clicks.{sound}"


@pytest.fixture(
    scope="module",
    params=[pytest.param((1.0, "wav", -16.0), marks=pytest.mark.long), (1.03, "ogg", -16.0)],
)
def exported(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Exported:
    """Return an export as recorded (wav), and one at 1.03 times the speed (ogg)."""
    return Exported(tmp_path_factory.mktemp("song"), *request.param)


def read(path: Path) -> Samples:
    """Return a file's samples, shape (frames, channels), decoded by soundfile."""
    samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    assert rate_hz == RATE_HZ
    return np.asarray(samples)


def assert_onsets(samples: Samples, beats_s: Any) -> None:
    """Assert that samples start sounding at each beat and nowhere else."""
    found_s = onsets_s(samples, RATE_HZ, least=0.15)
    expected_s = np.asarray(beats_s)
    nearest_s = found_s[np.abs(found_s[None, :] - expected_s[:, None]).argmin(axis=1)]
    np.testing.assert_allclose(nearest_s, expected_s, atol=NEAR_S)
    assert len(found_s) == len(expected_s)


def test_beats_are_those_of_the_song_as_played(exported: Exported) -> None:
    """At 1.03 times the speed each beat of the timeline comes at 1/1.03 of its time."""
    assert exported.planned.analysis is not None
    expected_s = np.asarray(exported.planned.analysis.beats_s) / exported.planned.speed
    np.testing.assert_allclose(exported.timeline.beats_s, expected_s, atol=1e-6)
    assert_onsets(track_stems(exported.planned, exported.timeline).song[:, 0], expected_s)


def test_the_click_file_clicks_on_the_beats(exported: Exported) -> None:
    """In the file of the count click alone, onsets are the timeline's beats within 5 ms."""
    assert_onsets(read(exported.clicks)[:, 0], exported.timeline.beats_s)


def test_in_the_rehearsal_the_clicks_lie_on_the_beats(
    exported: Exported, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a written mix, less the ducked song and the calls, onsets are the beats (5 ms).

    At -27 LUFS the limiter has nothing to do, so the mix is a plain sum of its parts. Calls
    are tones here: within a process no word is spoken twice alike, so none could be taken away.
    """
    monkeypatch.setattr(audio, "can_speak", lambda: False, raising=False)
    path = tmp_path / exported.rehearsal.name
    write_rehearsal(path, exported.planned, exported.timeline, -27.0, False)
    mix = read(path)[:, 0]
    stems = track_stems(exported.planned, exported.timeline)
    parts = np.stack((stems.song[:, 0], stems.calls, stems.clicks), axis=1)
    gains = np.linalg.lstsq(parts, mix, rcond=None)[0]
    assert_onsets(mix - parts[:, :2] @ gains[:2], exported.timeline.beats_s)


def test_a_rehearsal_is_as_loud_and_as_long_as_stated(exported: Exported) -> None:
    """-16 LUFS within 1 LU by pyloudnorm, true peak below -1 dBTP, to the sample as long."""
    samples = read(exported.rehearsal)
    loudness = pyloudnorm.Meter(RATE_HZ).integrated_loudness(samples.astype(np.float64))
    assert loudness == pytest.approx(-16.0, abs=1.0)
    assert audio.true_peak_dbtp(samples, RATE_HZ) < -1.0
    source = soundfile.info(exported.planned.file)
    assert len(samples) == round(source.frames / exported.planned.speed)
    assert len(read(exported.clicks)) == len(samples)
    assert exported.timeline.duration_s == pytest.approx(len(samples) / RATE_HZ, abs=1e-4)


def test_calls_sound_within_their_spans(exported: Exported) -> None:
    """Each call with words is heard, spoken or as tones, and only before its change."""
    stems = track_stems(exported.planned, exported.timeline)
    silent = np.ones(len(stems.calls), dtype=bool)
    called = 0
    for cue in exported.timeline.cues:
        if not cue.words or cue.kind == "count 1":
            continue
        span = slice(round(cue.time_s * RATE_HZ), round(cue.end_s * RATE_HZ) + 1)
        assert np.abs(stems.calls[span]).max() > 0.1
        silent[span] = False
        called += 1
    assert called >= 4
    assert np.abs(stems.calls[silent]).max(initial=0.0) == 0.0


def test_without_speech_calls_are_tones(
    exported: Exported, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no speech library is there, each call is its tone figure in the same span."""
    spoken = track_stems(exported.planned, exported.timeline).calls
    monkeypatch.setattr(audio, "can_speak", lambda: False, raising=False)
    toned = track_stems(exported.planned, exported.timeline).calls
    assert not np.array_equal(spoken, toned)
    name = next(cue for cue in exported.timeline.cues if cue.kind == "name" and cue.words)
    start = round(name.time_s * RATE_HZ)
    sounding = np.abs(np.fft.rfft(toned[start : start + 4800]))  # 0.11 s: the first note
    assert np.argmax(sounding) * RATE_HZ / 4800 == pytest.approx(660.0, abs=10.0)


def test_a_louder_target_is_met(tmp_path: Path) -> None:
    """--loudness moves the file: asked for -20 LUFS, it has -20 within 1 LU."""
    louder = Exported(tmp_path, 1.0, "flac", -20.0)
    samples = read(louder.rehearsal).astype(np.float64)
    measured = pyloudnorm.Meter(RATE_HZ).integrated_loudness(samples)
    assert measured == pytest.approx(-20.0, abs=1.0)


def test_songs_stay_out_unless_asked_for(tmp_path: Path) -> None:
    """Everything of the default lies outside with_song and holds no sound of the song."""
    plan = make_class(make_planned(make_song(tmp_path / "lanes.wav", 126.0)))
    report = export_class(plan, str(tmp_path / "out"), catalogue(), ExportOptions())
    assert report.song_files == ()
    assert not (tmp_path / "out/with_song").exists()
    page = (tmp_path / "out/deck_page.html").read_text(encoding="utf-8")
    assert "data:audio" not in page
    heard = read(tmp_path / "out/tracks/01_lanes_clicks.ogg")[:, 0]
    song = read(tmp_path / "lanes.wav")[: len(heard), 0]
    assert abs(np.corrcoef(heard[: len(song)], song)[0, 1]) < 0.05  # unrelated sounds


def test_songs_lie_in_a_folder_of_their_own_with_the_reminder(tmp_path: Path) -> None:
    """All files that carry songs lie in with_song, beside a reminder of the rights."""
    plan = make_class(make_planned(make_song(tmp_path / "lanes.wav", 126.0)))
    options = ExportOptions(only=(), songs=("rehearsal", "song-page"))
    report = export_class(plan, str(tmp_path / "out"), catalogue(), options)
    assert report.files == report.song_files
    assert {Path(file).parent for file in report.files} == {tmp_path / "out/with_song"}
    assert "licence" in (tmp_path / "out/with_song/RIGHTS.txt").read_text(encoding="utf-8")


def test_the_page_with_songs_carries_each_file_to_the_byte(tmp_path: Path) -> None:
    """The song inside the page is the file as it was, found by its media type."""
    plan = make_class(make_planned(make_song(tmp_path / "lanes.wav", 126.0)))
    options = ExportOptions(only=(), songs=("song-page",))
    export_class(plan, str(tmp_path / "out"), catalogue(), options)
    page = (tmp_path / "out/with_song/deck_page_with_songs.html").read_text(encoding="utf-8")
    found = re.search(r"data:(audio/[\w.+-]+);base64,([A-Za-z0-9+/=]+)", html.unescape(page))
    assert found is not None
    assert base64.b64decode(found[2]) == (tmp_path / "lanes.wav").read_bytes()
    assert "wav" in found[1]


def test_a_track_sheet_among_songs_is_left_out_and_told(tmp_path: Path) -> None:
    """A streamed track of a class has no rehearsal file, and a note says so; a mix needs all."""
    song = make_planned(make_song(tmp_path / "lanes.wav", 126.0))
    plan = make_class(replace(song, title="streamed", file="streamed.toml"), song)
    options = ExportOptions(only=(), songs=("rehearsal", "song-page"), sound="wav")
    report = export_class(plan, str(tmp_path / "out"), catalogue(), options)
    names = {Path(file).name for file in report.song_files}
    assert names == {"RIGHTS.txt", "02_lanes_rehearsal.wav", "deck_page_with_songs.html"}
    assert "streamed: no audio file, so no file with its song" in report.notes
    with pytest.raises(InputError, match="'streamed' has no audio file"):
        export_class(plan, str(tmp_path / "mix"), catalogue(), replace(options, songs=("mix",)))


def test_a_track_without_a_song_file_is_refused_before_anything_is_written(
    tmp_path: Path,
) -> None:
    """A song that is gone is named, and not even the reminder is left behind."""
    plan = make_class(make_planned(make_song(tmp_path / "lanes.wav", 126.0)))
    (tmp_path / "lanes.wav").unlink()
    options = ExportOptions(songs=("mix",))
    with pytest.raises(InputError, match="track 'lanes' has no audio file"):
        export_class(plan, str(tmp_path / "out"), catalogue(), options)
    assert not (tmp_path / "out").exists()
