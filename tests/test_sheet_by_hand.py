"""Track sheets and taps: arithmetic by hand, borders, and what is refused."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Iterator

import pytest

from aquatempo.cli import taps
from aquatempo.documents.track_sheet import read_track_sheet
from aquatempo.errors import InputError, TextFileError
from aquatempo.records.rhythm import EnergyLevel, PhraseKind, RhythmAnalysis

BASE = "tempo_bpm = 120\nlength = 60\n"  # 120 beats of half a second


def read(text: str) -> RhythmAnalysis:
    """Return what a sheet tells."""
    return read_track_sheet("sheet.toml", text)[1]


def test_a_sheet_is_sure_of_what_it_says() -> None:
    """At 120 bpm from 2 s on 116 whole beats fit into 60 s; four a bar, one tempo."""
    heard = read(BASE + "first_count_1_s = 2\nphrases = [32]")
    assert (heard.duration_s, heard.tempo_bpm, heard.beats_per_bar) == (60.0, 120.0, 4)
    assert (heard.tempo_confidence, heard.confidence, heard.steady) == (1.0, 1.0, True)
    assert heard.tempo_drift_percent == 0.0
    assert heard.beats_s == tuple(2.0 + n / 2 for n in range(116))
    assert heard.beats_inferred == (False,) * 116
    assert heard.downbeats_s == tuple(2.0 + 2 * n for n in range(29))
    (section,) = heard.tempo_sections
    assert (section.start_s, section.end_s, section.tempo_bpm, section.confidence) == (
        2.0, 60.0, 120.0, 1.0,
    )  # fmt: skip
    assert [(p.start_s, p.end_s, p.start_beat, p.counts) for p in heard.phrases] == [
        (2.0, 18.0, 0, 32)
    ]


def test_a_beat_that_ends_with_the_song_is_whole() -> None:
    """132 bpm for 110 beats is 50 s to the last digit: none is lost to rounding."""
    assert len(read("tempo_bpm = 132\nlength = 50").beats_s) == 110
    assert len(read("tempo_bpm = 132\nlength = 49.99").beats_s) == 109


@pytest.mark.parametrize(
    ("counts", "kinds"),
    [
        ([32], ["phrase"]),
        ([16], ["intro"]),  # the first, though it is the last too
        ([16, 32, 8, 32, 4], ["intro", "phrase", "bridge", "phrase", "outro"]),
        ([32, 31, 20, 32], ["phrase", "bridge", "bridge", "phrase"]),
        ([8, 8], ["intro", "outro"]),
    ],
)
def test_a_length_tells_what_a_stretch_is(counts: list[int], kinds: list[str]) -> None:
    """32 counts are a phrase; others an intro, an outro, or a bridge between them."""
    assert [phrase.kind for phrase in read(BASE + f"phrases = {counts}").phrases] == kinds


def test_stretches_may_say_more() -> None:
    """Kind and energy as told; low, medium and high are a quarter, half and three quarters."""
    text = (
        "[[phrases]]\ncounts = 16\nkind = 'break'\nenergy = 'low'\n[[phrases]]\ncounts = 32\n"
        "[[phrases]]\ncounts = 32\nenergy = 'high'\n"
    )
    assert [
        (p.kind, p.energy, p.energy_level, p.start_beat) for p in read(BASE + text).phrases
    ] == [
        (PhraseKind.BREAK, 0.25, EnergyLevel.LOW, 0),
        (PhraseKind.PHRASE, 0.5, EnergyLevel.MEDIUM, 16),
        (PhraseKind.PHRASE, 0.75, EnergyLevel.HIGH, 48),
    ]


@pytest.mark.parametrize(
    ("length_s", "counts"), [(16, [32]), (32, [32, 32]), (32.5, [32, 32, 1]), (15.5, [31])]
)
def test_without_stretches_all_beats_are_counted(length_s: float, counts: list[int]) -> None:
    """Half a second a beat: phrases of 32, then what is left."""
    heard = read(f"tempo_bpm = 120\nlength = {length_s}")
    assert [phrase.counts for phrase in heard.phrases] == counts


def test_a_title_is_the_name_of_the_sheet_where_none_is_told() -> None:
    """An empty one too."""
    assert read_track_sheet("sheet.toml", BASE)[0] == "sheet.toml"
    assert read_track_sheet("sheet.toml", BASE + 'title = ""')[0] == "sheet.toml"
    assert read_track_sheet("sheet.toml", BASE + 'title = "Lanes"')[0] == "Lanes"


@pytest.mark.parametrize(
    ("key", "low", "high", "step"),
    [
        ("tempo_bpm", 30, 300, 0.1),
        ("first_count_1_s", 0, 3600, 0.1),
        ("beats_per_bar", 2, 7, 1),
        ("length", 5, 7200, 0.1),
    ],
)
def test_figures_of_a_sheet_are_read_to_their_borders(
    key: str, low: float, high: float, step: float
) -> None:
    """Ends of each range are read, a step beyond is told with its line."""
    usual = {"tempo_bpm": "120", "length": "3700"}
    for value in (low, high):
        figures = usual | {key: f"{value}"} | ({"tempo_bpm": "300"} if value == 5 else {})
        read("".join(f"{name} = {told}\n" for name, told in figures.items()))
    for value in (low - step, high + step):
        told = f"{key} = {value}\n" + "".join(
            f"{name} = {one}\n" for name, one in usual.items() if name != key
        )
        with pytest.raises(TextFileError, match=rf"line 1: {key} {value:g}.*needs {low} to {high}"):
            read(told)


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ('tempo_bpm = 120\nlength = "0:04"', 2, "length 4 s: needs 5 to 7200 s"),
        ('tempo_bpm = 120\nlength = "2:00:01"', 2, "length 7201 s: needs 5 to 7200 s"),
        ("tempo_bpm = 120\n", None, 'no length: needs length = "3:20" or seconds'),
        ("tempo_bpm = 30\nlength = 15.9", 2, "length 15.9 s leaves fewer than 8 counts"),
        (
            "tempo_bpm = 120\nlength = 16\nphrases = [32, 1]", 3,
            "phrases take 33 counts but the track has only 32 (is the length or the tempo right?)",
        ),
        (BASE + "phrases = [4097]", 3, "counts 4097: needs 1 to 4096 counts"),
        (BASE + "[[phrases]]\ncounts = 8\nbars = 2", 5, "unknown key 'bars'; known here: counts"),
        (BASE + "tempo = 2", 3, "unknown key 'tempo'; known here: title, length"),
    ],
)  # fmt: skip
def test_a_sheet_that_does_not_add_up_is_told(text: str, line: int | None, told: str) -> None:
    """What was seen, with its line."""
    with pytest.raises(TextFileError) as caught:
        read(text)
    assert caught.value.line == line
    assert told in caught.value.problem


def test_eight_counts_are_a_song() -> None:
    """The shortest: 8 beats of 2 s; a length may be told as a clock."""
    assert len(read('tempo_bpm = 30\nlength = "0:16"').beats_s) == 8


def test_a_count_of_one_fits_at_the_end() -> None:
    """Stretches may take all beats there are, and a single one."""
    assert [p.counts for p in read("tempo_bpm = 120\nlength = 16\nphrases = [31, 1]").phrases] == [
        31, 1,
    ]  # fmt: skip


def lines(monkeypatch: pytest.MonkeyPatch, text: str) -> list[float]:
    """Return the taps read from text that another program writes."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    return taps.read_taps()


def test_taps_from_a_file_are_times(monkeypatch: pytest.MonkeyPatch) -> None:
    """A number a line, with a point or a comma; empty lines are passed over."""
    assert lines(monkeypatch, "0.5\n\n 1,0 \n1.5\n") == [0.5, 1.0, 1.5]
    assert lines(monkeypatch, "") == []


@pytest.mark.parametrize("wrong", ["soon", "nan", "inf", "1e999", "1 2"])
def test_a_line_that_is_no_time_is_told(monkeypatch: pytest.MonkeyPatch, wrong: str) -> None:
    """With the number of its line, empty ones counted."""
    with pytest.raises(InputError) as caught:
        lines(monkeypatch, f"0.5\n\n {wrong} \n")
    assert str(caught.value) == f"line 3 of the taps, {wrong!r}: needs a time in seconds"


class Terminal(io.StringIO):
    """A terminal."""

    def isatty(self) -> bool:
        """Say that it is one."""
        return True


def pressed(
    monkeypatch: pytest.MonkeyPatch, keys: str, times_s: list[float]
) -> tuple[list[float], str]:
    """Return the taps of some keys at some times, and what was shown."""
    from contextlib import contextmanager

    left, clock = iter(keys), iter(times_s)

    @contextmanager
    def single_keys() -> Iterator[object]:
        yield lambda: next(left)

    shown = io.StringIO()
    monkeypatch.setattr(taps, "_single_keys", single_keys)
    monkeypatch.setattr(time, "perf_counter", lambda: next(clock))
    monkeypatch.setattr(sys, "stdin", Terminal())
    monkeypatch.setattr(sys, "stderr", shown)
    return taps.read_taps(), shown.getvalue()


def test_keys_are_taps_and_the_tempo_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three taps in a second are two beats of half a second: 120 bpm."""
    found, shown = pressed(monkeypatch, "  x\n", [10.0, 10.5, 11.0])
    assert found == [10.0, 10.5, 11.0]
    assert shown == (
        "Press a key on every beat; Backspace starts again, Enter ends.\n"
        "\r1 taps           \r2 taps, about 120 bpm  \r3 taps, about 120 bpm  \n"
    )


@pytest.mark.parametrize("key", ["\x7f", "\b"])
def test_backspace_starts_again(monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    """What was tapped before is gone; a beat later two taps are 60 bpm."""
    found, shown = pressed(monkeypatch, f"  {key}  \r", [1.0, 1.1, 5.0, 6.0])
    assert found == [5.0, 6.0]
    assert "\r0 taps" in shown
    assert "2 taps, about 60 bpm" in shown


@pytest.mark.parametrize("key", ["\r", "\n", "\x1b", "\x04"])
def test_several_keys_end_the_taps(monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    """Enter, Escape, the end of input."""
    assert pressed(monkeypatch, f" {key}", [1.0])[0] == [1.0]


def test_control_c_interrupts(monkeypatch: pytest.MonkeyPatch) -> None:
    """It ends the command, as everywhere."""
    with pytest.raises(KeyboardInterrupt):
        pressed(monkeypatch, " \x03", [1.0])


@pytest.mark.skipif(sys.platform == "win32", reason="terminals are others there")
def test_keys_of_a_terminal_are_read_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A key is there without Enter; afterwards the terminal waits for lines as before."""
    import termios

    writing, reading = os.openpty()
    before = termios.tcgetattr(reading)
    with os.fdopen(reading, encoding="utf-8") as terminal, os.fdopen(writing, "wb") as keys:
        monkeypatch.setattr(sys, "stdin", terminal)
        with taps._single_keys() as read_key:
            assert not termios.tcgetattr(reading)[3] & termios.ICANON
            keys.write(b"ab")
            keys.flush()
            assert [read_key(), read_key()] == ["a", "b"]
        assert termios.tcgetattr(reading)[3] == before[3]
