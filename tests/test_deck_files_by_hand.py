"""Files of a class, clicks, outlines and lines of the deck: names, order and values by hand."""

from __future__ import annotations

import base64
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from cue_cases import WORDS, heard, planned

from aquatempo.audio import Click
from aquatempo.cues import timeline
from aquatempo.deck.book import deck_book
from aquatempo.deck.cards import CardFile
from aquatempo.deck.export_options import FORMATS, ExportOptions
from aquatempo.deck.song_files import RIGHTS_REMINDER, song_jobs, songless
from aquatempo.deck.song_outline import outline, song_outlines, to_text
from aquatempo.deck.songless_files import class_jobs, page_facts, track_jobs
from aquatempo.deck.track_files import (
    _envelope,
    click_strengths,
    timeline_clicks,
    write_clicks,
    write_count_click,
    write_jams,
    write_picture,
)
from aquatempo.errors import InputError, OutputError
from aquatempo.moves import catalogue
from aquatempo.records.cues import CallWords, CueOptions, CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedTrack
from aquatempo.records.track import Track

SPANS = (("intro", 4), ("phrase", 32), ("bridge", 10), ("phrase", 32))
HEARD = heard(SPANS, 120.0, first_beat_s=0.5)
BLOCKS = [
    [Block(4, "easy-jog")], [Block(32, "knee-lift", lead="right", level="II")],
    [Block(10, "easy-jog")], [Block(32, "jack", (("arms", "press"),), "4")],
]  # fmt: skip
CALLS = (
    *WORDS,
    CallWords("easy-jog", "Easy jog", "easy jog", "hands down"),
    CallWords("knee-lift", "Knee lift", "knee lift", "palm on the knee"),
)
PLANNED = planned(HEARD, BLOCKS)
MADE = timeline(HEARD, PLANNED, CALLS)


def a_class(*tracks: PlannedTrack, brief: Brief | None = None) -> ClassPlan:
    """Return a class of tracks."""
    return ClassPlan(brief or Brief(title="Tuesday group"), tracks or (PLANNED,))


def book_of(
    plan: ClassPlan, made: CueTimeline = MADE, options: CueOptions | None = None
) -> DeckBook:
    """Return a class as it stands on the deck."""
    used = options or CueOptions()
    return deck_book(plan, [made] * len(plan.tracks), catalogue(), used)


def test_clicks_of_odd_counts() -> None:
    """Count 1 of phrases is strongest, of eights within any stretch less; the rest are beats.

    An intro of 4 from beat 0, a phrase from 4, a bridge of 10 from 36, a phrase from 46.
    """
    strengths = click_strengths(HEARD)
    assert [n for n, one in enumerate(strengths) if one is Click.PHRASE] == [4, 46]
    assert [n for n, one in enumerate(strengths) if one is Click.EIGHT] == [
        0, 12, 20, 28, 36, 44, 54, 62, 70,
    ]  # fmt: skip
    assert len(strengths) == 78
    cut = replace(HEARD, beats_s=HEARD.beats_s[:46], beats_inferred=HEARD.beats_inferred[:46])
    assert click_strengths(cut) == strengths[:46]
    clicks = timeline_clicks(MADE)
    assert [time_s for time_s, _ in clicks] == list(MADE.beats_s)
    assert [strength for _, strength in clicks] == strengths


def test_an_envelope_is_the_level_a_tenth_of_a_second(tmp_path: Path) -> None:
    """A sine at full level, then 18 dB below it, then silence: 1, a half (of 36 dB) and 0.

    18 dB below is a factor of 7.943; levels are told from the loudest hundredth down.
    """
    rate_hz = 8_000
    time_s = np.arange(2 * rate_hz) / rate_hz
    sine = 0.5 * np.sin(2 * np.pi * 200 * time_s)
    samples = np.concatenate([sine, sine / 10 ** (18 / 20), 0 * sine])
    path = tmp_path / "a.wav"
    soundfile.write(path, samples, rate_hz, subtype="FLOAT")
    levels = _envelope(Track(str(path), "", HEARD))
    assert len(levels) == 60
    assert levels[2:18] == pytest.approx([1.0] * 16, abs=0.01)
    assert levels[22:38] == pytest.approx([0.5] * 16, abs=0.01)
    assert levels[42:58] == [0.0] * 16
    assert _envelope(Track(str(tmp_path / "none.wav"), "", HEARD)) == []
    sheet = tmp_path / "sheet.toml"
    sheet.write_text("x", encoding="utf-8")
    assert _envelope(Track(str(sheet), "", HEARD)) == []


def test_an_outline_is_the_change_of_level() -> None:
    """A tone of 50 Hz that grows tenfold after a second: +2 (of power) once, in the low band.

    Steps are a twentieth of a second: 40 of them in two seconds, at any rate.
    """
    for rate_hz in (8_000, 11_025):
        time_s = np.arange(2 * rate_hz) / rate_hz
        tone = np.sin(2 * np.pi * 50 * time_s) * np.where(time_s < 1.0, 0.05, 0.5)
        low, middle = outline(tone.astype(np.float32), rate_hz)
        assert (len(low), len(middle), low[0], middle[0]) == (40, 40, 0.0, 0.0)
        # A sine of 50 Hz has five half periods a step, so all steps of one level are alike.
        assert np.abs(low[4:19]).max() < 0.05
        assert low[18:24].sum() == pytest.approx(2.0, abs=0.02)
        assert np.abs(low[25:]).max() < 0.05
    high = np.sin(2 * np.pi * 1000 * time_s) * np.where(time_s < 1.0, 0.05, 0.5)
    rows = outline(high.astype(np.float32), rate_hz)
    assert rows[1][18:24].sum() == pytest.approx(2.0, abs=0.05)


def test_bands_are_those_of_filters_of_one_pole() -> None:
    """As sample by sample: y(n) = (1 - k) x(n) + k y(n - 1) with k = exp(-2 pi f / rate).

    The filter is that of textbooks (J. O. Smith, Introduction to Digital Filters, one-pole); noise
    whose level rises a hundredfold from near silence, in steps of 400 samples. The low band is
    below 150 Hz, the middle one between that and 1,500 Hz; below a power of 1e-9 is silence.
    """
    draw = np.random.default_rng(3)
    samples = draw.normal(size=4_000) * np.repeat(10.0 ** np.linspace(-4.5, -1, 10), 400)
    bands = []
    for hz in (150.0, 1500.0):
        k, y, found = np.exp(-2 * np.pi * hz / 8_000), 0.0, []
        for x in samples:
            y = (1 - k) * float(x) + k * y
            found.append(y)
        bands.append(np.array(found))
    wanted = []
    for band in (bands[0], bands[1] - bands[0]):
        level = np.log10((band.reshape(10, 400) ** 2).mean(axis=1) + 1e-9)
        wanted.append([0.0, *np.diff(level)])
    np.testing.assert_allclose(outline(samples.astype(np.float32), 8_000.0), wanted, atol=1e-4)


def test_clicks_over_a_song(tmp_path: Path) -> None:
    """The song at half its level, clicks at 0.7 of theirs, in two channels; kept if it is there.

    A song of one level, 0.2: between clicks 0.1 is heard, and on count 1 of the phrase, the
    strongest, at most 0.8.
    """
    song, made = tmp_path / "a.wav", tmp_path / "clicks.wav"
    soundfile.write(song, np.full(6 * 8_000, 0.2), 8_000)
    short = replace(HEARD, beats_s=HEARD.beats_s[:8], beats_inferred=HEARD.beats_inferred[:8])
    one = Track(str(song), "A", short)
    write_clicks(one, str(made))
    samples, rate_hz = soundfile.read(made)
    assert samples.shape == (6 * 8_000, 2)
    beat = round(short.beats_s[4] * rate_hz)
    assert 0.5 < np.abs(samples[beat : beat + 300]).max() < 0.8
    quiet = samples[round(0.35 * rate_hz) : round(0.45 * rate_hz)]
    assert quiet == pytest.approx(np.full(quiet.shape, 0.1), abs=0.01)
    with pytest.raises(OutputError, match="exists already"):
        write_clicks(one, str(made))
    with pytest.raises(InputError, match="is a track sheet: there is no sound to click over"):
        write_clicks(replace(one, file="a.TOML"), str(tmp_path / "b.wav"))


def test_files_of_a_track_are_not_written_over(tmp_path: Path) -> None:
    """JAMS, a picture, a count click as long as its timeline: only by force."""
    one = Track("none.wav", "A", HEARD)
    click = replace(MADE, duration_s=3.0, beats_s=MADE.beats_s[:4])
    write_jams(one, str(tmp_path / "a.jams"))
    write_picture(one, str(tmp_path / "a.svg"))
    write_count_click(click, str(tmp_path / "a.wav"))
    with pytest.raises(OutputError, match="exists already"):
        write_jams(one, str(tmp_path / "a.jams"))
    with pytest.raises(OutputError, match="exists already"):
        write_picture(one, str(tmp_path / "a.svg"))
    with pytest.raises(OutputError, match="exists already"):
        write_count_click(click, str(tmp_path / "a.wav"))
    write_jams(one, str(tmp_path / "a.jams"), force=True)
    write_picture(one, str(tmp_path / "a.svg"), force=True)
    samples, rate_hz = soundfile.read(tmp_path / "a.wav")
    assert (len(samples), rate_hz) == (132_300, 44_100)


def test_an_outline_of_silence_and_of_nothing_is_flat() -> None:
    """No change of level; less than a step has none."""
    assert np.all(outline(np.zeros(4_000, dtype=np.float32), 8_000.0) == 0.0)
    assert outline(np.zeros(4_000, dtype=np.float32), 8_000.0).shape == (2, 10)
    assert outline(np.zeros(399, dtype=np.float32), 8_000.0).shape == (2, 0)
    assert outline(np.zeros(400, dtype=np.float32), 8_000.0).shape == (2, 1)


def test_an_outline_is_written_in_bytes() -> None:
    """A factor of ten is 40 steps of a byte, cut at 127; row after row."""
    rows = np.array([[0.0, 1.0, -1.0], [0.26, 5.0, -5.0]], dtype=np.float32)
    read = np.frombuffer(base64.b64decode(to_text(rows)), dtype=np.int8)
    assert read.tolist() == [0, 40, -40, 10, 127, -127]


def test_outlines_are_of_songs_that_can_be_read(tmp_path: Path) -> None:
    """By their number from 0; sheets, missing files and what is no sound have none."""
    soundfile.write(tmp_path / "a.wav", np.zeros(60_000), 8_000)
    (tmp_path / "b.wav").write_text("no sound", encoding="utf-8")
    soundfile.write(tmp_path / "c.toml", np.zeros(60_000), 8_000, format="WAV")
    files = ("b.wav", "c.toml", "none.wav", "a.wav")
    plan = a_class(*(replace(PLANNED, file=str(tmp_path / name)) for name in files))
    assert list(song_outlines(plan)) == [3]
    made = page_facts(plan, [MADE] * 4)
    assert (len(made.mixed), made.step_s) == (4, 0.05)


def names(jobs: object) -> list[str]:
    """Return the files of jobs, as seen from their folder."""
    return [path.relative_to("/out").as_posix() for path, _ in jobs]  # type: ignore[attr-defined]


def test_files_of_the_class() -> None:
    """Cards first, then what is asked for, in a fixed order."""
    plan, book = a_class(), book_of(a_class())
    cards = [CardFile("deck_card.pdf", book, "a5")]

    def made(*only: str) -> list[str]:
        options = ExportOptions(only=only)
        return names(class_jobs(plan, book, book, [MADE], cards, Path("/out"), options))

    assert made() == ["deck_card.pdf"]
    assert made("page", "sheet") == ["deck_card.pdf", "substitute_sheet.pdf", "deck_page.html"]
    assert made("page") == ["deck_card.pdf", "deck_page.html"]
    app = made("app")[1:]
    assert app
    assert all(name.startswith("deck_page_app/") for name in app)


def test_files_of_each_track() -> None:
    """Numbered from 1; a picture only where the song was heard."""
    known = replace(PLANNED, analysis=HEARD)
    plan = a_class(PLANNED, known)

    def made(*only: str, sound: str = "ogg") -> list[str]:
        options = ExportOptions(only=only, sound=sound)
        jobs = track_jobs(plan, book_of(plan), [MADE, MADE], Path("/out"), options)
        return [name.removeprefix("tracks/") for name in names(jobs)]

    first, second = "01_lindenbad_1", "02_lindenbad_1"
    assert made("csv") == [f"{first}.csv", f"{second}.csv"]
    assert made("picture") == [f"{second}.svg"]
    assert made("clicks", sound="wav") == [f"{first}_clicks.wav", f"{second}_clicks.wav"]
    assert made(*FORMATS)[:6] == [
        f"{first}_card.pdf", f"{first}.vtt", f"{first}.json", f"{first}.csv", f"{first}.mid",
        f"{first}_clicks.ogg",
    ]  # fmt: skip
    assert made() == []


def test_what_tracks_are_written(tmp_path: Path) -> None:
    """Captions and tables of a track are those of its timeline; what is there is kept."""
    options = ExportOptions(only=("csv", "captions"))
    for path, write in track_jobs(a_class(), book_of(a_class()), [MADE], tmp_path, options):
        path.parent.mkdir(exist_ok=True)
        write(path)
        with pytest.raises(OutputError, match="exists already"):
            write(path)
    assert (tmp_path / "tracks/01_lindenbad_1.vtt").read_text(encoding="utf-8")[:6] == "WEBVTT"


def test_a_card_of_a_track_has_that_track_alone() -> None:
    """The second card shows the second song, and no other."""
    plan = a_class(PLANNED, replace(PLANNED, title="Second"))
    book = book_of(plan)
    book = replace(book, tracks=(book.tracks[0], replace(book.tracks[1], title="Second")))
    options = ExportOptions(only=("track-cards",))
    jobs = track_jobs(plan, book, [MADE, MADE], Path("/out"), options)
    cards = [job.keywords["make"].__self__ for _, job in jobs]  # type: ignore[attr-defined]
    assert [[one.title for one in card.book.tracks] for card in cards] == [
        ["Lindenbad 1"], ["Second"],
    ]  # fmt: skip


def test_a_page_with_songs_has_those_that_there_are(tmp_path: Path) -> None:
    """A track that is counted by a sheet has none; the song after it has its own bytes."""
    song = tmp_path / "a.wav"
    soundfile.write(song, np.zeros(800), 8_000)
    plan = a_class(replace(PLANNED, file="a.toml"), replace(PLANNED, file=str(song)))
    options = ExportOptions(songs=("song-page",))
    *_, (path, write) = song_jobs(plan, [MADE] * 2, book_of(plan), tmp_path, options)
    path.parent.mkdir()
    write(path)
    page = path.read_text(encoding="utf-8")
    assert base64.b64encode(song.read_bytes()).decode()[:200] in page
    assert "audio/x-wav" in page or "audio/wav" in page


def test_songs_are_exported_only_where_they_are(tmp_path: Path) -> None:
    """A file that is gone, a class without any song, a mix with a track that has none."""
    song = tmp_path / "a.wav"
    soundfile.write(song, np.zeros(8_000), 8_000)
    here = replace(PLANNED, file=str(song))
    sheet, clock = replace(PLANNED, file="a.toml"), replace(PLANNED, file="")
    gone = replace(PLANNED, file=str(tmp_path / "b.wav"), title="Gone")
    assert songless(a_class(here, sheet, clock)) == (sheet, clock)

    def made(
        *tracks: PlannedTrack, songs: tuple[str, ...] = ("rehearsal", "song-page")
    ) -> list[str]:
        plan, options = a_class(*tracks), ExportOptions(songs=songs, sound="flac")
        made_of = [MADE] * len(tracks)
        return names(song_jobs(plan, made_of, book_of(plan), Path("/out"), options))

    assert made(here, sheet) == [
        "with_song/RIGHTS.txt", "with_song/01_lindenbad_1_rehearsal.flac",
        "with_song/deck_page_with_songs.html",
    ]  # fmt: skip
    assert made(sheet, here, songs=("rehearsal",))[1:] == [
        "with_song/02_lindenbad_1_rehearsal.flac"
    ]
    assert made(here, here, songs=("mix",)) == [
        "with_song/RIGHTS.txt", "with_song/class_mix.flac", "with_song/class_mix.vtt",
        "with_song/class_mix.json",
    ]  # fmt: skip
    for wrong in ((here, gone), (sheet, clock)):
        with pytest.raises(InputError, match="has no audio file: no song can be exported"):
            made(*wrong)
    with pytest.raises(InputError, match="track 'Lindenbad 1' has no audio file"):
        made(here, sheet, songs=("mix",))


def test_the_reminder_of_rights_is_written(tmp_path: Path) -> None:
    """Beside every file that carries a song."""
    song = tmp_path / "a.wav"
    soundfile.write(song, np.zeros(8_000), 8_000)
    plan = a_class(replace(PLANNED, file=str(song)))
    (path, write), *_ = song_jobs(plan, [MADE], book_of(plan), tmp_path, ExportOptions())
    path.parent.mkdir()
    write(path)
    assert path.read_text(encoding="utf-8") == RIGHTS_REMINDER + "\n"
