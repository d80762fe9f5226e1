"""Captions and tables of calls: each line by hand, read by parsers that know nothing of ours."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import m3u8
import pytest

from aquatempo.exports.captions import webvtt
from aquatempo.exports.check_csv import check_csv
from aquatempo.exports.csv_text import CUE_COLUMNS, cue_csv
from aquatempo.exports.playlist import entry_of, playlist_of
from aquatempo.interop.frames import rows, to_pandas, to_polars
from aquatempo.records.check import CheckReport, ClassFit, TrackCheck
from aquatempo.records.cues import Change, Cue, CueKind, CuePhrase, CueTimeline
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

WORK, REST = Stint(True, 1, 2, 30.0), Stint(False, 1, 2, 15.5)


def change(time_s: float, end_s: float, beat: int, name: str = "Jack", **more: object) -> Change:
    """Return a change from a time to a time."""
    usual = Change(
        time_s, end_s, beat, 32, 0, name.lower(), name, (("arms", "press"), ("tempo", "half")), "4",
        "right", "II", "in place", True, False, mirrored_lead="left",
        variation_names=("Press", "Half water"), tempo_name="half water",
    )  # fmt: skip
    return replace(usual, **more)  # type: ignore[arg-type]


def cue(time_s: float, kind: CueKind, index: int = 0, words: str = "", phrase: int = 0) -> Cue:
    """Return a call of half a second that leads to a change."""
    return Cue(time_s, time_s + 0.5, round(2 * time_s), 1, phrase, index, kind, words, "palm up")


def timeline(changes: list[Change], cues: list[Cue], title: str = "Odd Lane") -> CueTimeline:
    """Return a timeline of calls at 120 bpm."""
    phrase = CuePhrase(0.0, 60.0, 0, 120, PhraseKind.BRIDGE, EnergyLevel.LOW)
    return CueTimeline(
        title, "odd.ogg", 120.04, (0.0, 0.5), (False, False), tuple(changes), tuple(cues),
        phrases=(phrase,),
    )  # fmt: skip


CALLS = timeline(
    [change(12.0, 28.0, 24)],
    [cue(8.0, CueKind.WARN, words="next jack", phrase=-1), cue(10.0, CueKind.COUNTDOWN),
     cue(12.0, CueKind.COUNT_ONE)],
)  # fmt: skip
TURNS = timeline(
    [change(10.0, 40.0, 20, stint=WORK), change(40.0, 55.5, 80, "Jog", stint=REST)],
    [cue(8.0, CueKind.WARN, words="work"), cue(10.0, CueKind.COUNT_ONE),
     cue(36.0, CueKind.WARN, 1, "next rest"), cue(40.0, CueKind.COUNT_ONE, 1)],
)  # fmt: skip


def blocks(text: str) -> list[tuple[str, float, float, list[str]]]:
    """Return (name, start [s], end [s], lines) of each cue of WebVTT, by W3C WebVTT section 4.1.

    A cue is an identifier, a line of timings with `` --> ``, and its text to the next blank line.
    """
    head, *rest = text.split("\n\n")
    assert head == "WEBVTT"
    found = []
    for one in rest:
        lines = one.strip("\n").split("\n")
        if lines[0].startswith("NOTE"):
            continue
        stamps = re.fullmatch(
            r"(\d\d):(\d\d):(\d\d\.\d{3}) --> (\d\d):(\d\d):(\d\d\.\d{3})", lines[1]
        )
        assert stamps is not None
        times = [
            3600 * int(stamps[n]) + 60 * int(stamps[n + 1]) + float(stamps[n + 2]) for n in (1, 4)
        ]
        found.append((lines[0], times[0], times[1], lines[2:]))
    return found


def test_calls_stay_until_the_next_and_the_move_until_its_end() -> None:
    """8 to 10 s, 10 to 12 s, and from count 1 at 12 s to the end of the move at 28 s."""
    assert blocks(webvtt(CALLS)) == [
        ("1 warn", 8.0, 10.0, ["next jack", "[palm up]"]),
        ("2 countdown", 10.0, 12.0, ["[palm up]"]),
        ("3 count 1", 12.0, 28.0, ["Jack, right (you left), Press, half water"]),
    ]


def test_the_head_names_song_and_tempo() -> None:
    """The title, or the file where there is none, and the tempo to a tenth."""
    assert "\n\nNOTE Odd Lane, 120.0 bpm\n\n" in webvtt(CALLS)
    assert "NOTE odd.ogg, 120.0 bpm" in webvtt(replace(CALLS, title=""))
    assert webvtt(CALLS).endswith("half water\n")


def test_turns_are_told_with_what_is_left() -> None:
    """Work from 10 to 40 s: 30 s left, anew each 5 s; a call to rest at 36 s keeps it in view.

    From 36 s 4 s are left; a second tick would leave less than a second. Rest is 15.5 s.
    """
    told = blocks(webvtt(TURNS))
    assert told[0] == ("1 warn", 8.0, 10.0, ["work", "[palm up]"])
    work = [(start, end, lines[0]) for _, start, end, lines in told if "WORK" in lines[0]]
    starts = [10, 15, 20, 25, 30, 35, 36, 40]
    assert work == [
        (start, end, f"WORK 1/2 · {40 - start} s left") for start, end in pairwise(starts)
    ]
    names = [name for name, *_ in told]
    assert names == [
        "1 warn", "2 count 1", *["2 goes on"] * 5, "3 warn", "4 count 1", *["4 goes on"] * 2,
    ]  # fmt: skip
    # Half a second after 40 s, at 15 s left, nobody could read the first one.
    assert [(start, end, lines[0]) for _, start, end, lines in told if "REST" in lines[0]] == [
        (40.0, 45.5, "REST 1/2 · 16 s left"),
        (45.5, 50.5, "REST 1/2 · 10 s left"),
        (50.5, 55.5, "REST 1/2 · 5 s left"),
    ]


def table(made: CueTimeline) -> list[dict[str, str]]:
    """Return the table of calls as Python's csv module reads it."""
    return list(csv.DictReader(io.StringIO(cue_csv(made))))


def test_a_row_of_calls() -> None:
    """The call with the change that it leads to; no phrase before the first; times to 1 ms."""
    first, second, third = table(CALLS)
    assert tuple(first) == CUE_COLUMNS
    assert first == {
        "time_s": "8.000", "end_s": "8.500", "beat": "16", "count": "1", "phrase": "-1",
        "phrase_kind": "", "kind": "warn", "words": "next jack", "sign": "palm up", "change": "0",
        "move": "jack", "name": "Jack", "variation": "arms=press; tempo=half", "pattern": "4",
        "lead": "right", "mirrored_lead": "left", "level": "II", "travel": "in place",
        "origin": "common practice", "stint": "", "set": "", "sets": "", "stint_s": "",
        "left_s": "",
    }  # fmt: skip
    assert (second["phrase_kind"], second["words"], third["kind"]) == ("bridge", "", "count 1")


def test_what_is_left_of_a_turn_in_the_table() -> None:
    """Before the first turn nothing runs; at 10 s 30 s of work are left, at 36 s 4, then rest."""
    assert [row["left_s"] for row in table(TURNS)] == ["", "30.0", "4.0", "15.5"]
    told = [(row["stint"], row["set"], row["sets"], row["stint_s"]) for row in table(TURNS)]
    work, rest = ("work", "1", "2", "30"), ("rest", "1", "2", "15.5")
    assert told == [work, work, rest, rest]
    late = replace(TURNS, cues=(cue(40.2, CueKind.COUNT_ONE, 0),))
    assert table(late)[0]["left_s"] == "0.0"


def test_a_song_in_a_playlist() -> None:
    """As the m3u8 library reads it: whole seconds, the title on one line, the file."""
    folder = Path("/music")
    text = playlist_of([("/music/a.ogg", "One\n two", 200.6), ("/b.ogg", "Two", 59.4)], folder)
    read = m3u8.loads(text)
    assert [(one.uri, one.title, one.duration) for one in read.segments] == [
        ("a.ogg", "One two", 201.0), ("../b.ogg", "Two", 59.0),
    ]  # fmt: skip
    assert text.startswith("#EXTM3U\n#EXTINF:201,One two\na.ogg\n")


@pytest.mark.parametrize(
    ("file", "entry"),
    [
        ("/music/a.ogg", "a.ogg"),
        ("/music/x/a b.ogg", "x/a b.ogg"),
        ("/music/#a.ogg", "./#a.ogg"),
        ("/music/ a.ogg", "./ a.ogg"),
        ("/music/a:b.ogg", "./a:b.ogg"),
        ("/music/x/a:b.ogg", "x/a:b.ogg"),
        ("/music/a.ogg ", "file:///music/a.ogg%20"),
        ("/music/a\nb.ogg", "file:///music/a%0Ab.ogg"),
        ("/music/\udcff.ogg", "file:///music/%FF.ogg"),
    ],
)
def test_an_entry_is_no_comment_and_no_address_unless_it_must_be(file: str, entry: str) -> None:
    """Marks that other readers take for something else follow ``./``; the rest is an address."""
    assert entry_of(file, Path("/music")) == entry


def report() -> CheckReport:
    """Return a check of two songs for two classes; of the second no beat was heard."""
    fits = (
        ClassFit(ClassDepth.SHALLOW, "suits", "in range", (120.0, 135.0), "measured", 1.0, ()),
        ClassFit(
            ClassDepth.DEEP, "does not suit", "too fast", (100.0, 120.0), "measured", 0.955,
            ("jack", "jump"),
        ),
    )  # fmt: skip
    heard = TrackCheck("a.ogg", "One", 200.0, 128.456, 0.987, 6, 2, 1, "whole", fits)
    return CheckReport((heard, replace(heard, file="b.ogg", tempo_bpm=None)), ())


def test_a_check_as_a_table() -> None:
    """A row a song and class, as the csv module reads it: tempo and confidence to a hundredth."""
    told = list(csv.DictReader(io.StringIO(check_csv(report()))))
    assert [(row["file"], row["class"], row["tempo_bpm"]) for row in told] == [
        ("a.ogg", "shallow", "128.46"), ("a.ogg", "deep", "128.46"),
        ("b.ogg", "shallow", ""), ("b.ogg", "deep", ""),
    ]  # fmt: skip
    assert told[1] == {
        "file": "a.ogg", "title": "One", "tempo_bpm": "128.46", "confidence": "0.99",
        "phrases": "6", "bridges": "2", "breaks": "1", "phrase_health": "whole", "class": "deep",
        "fit": "does not suit", "reason": "too fast", "speed": "0.955",
        "losing_moves": "jack; jump",
    }  # fmt: skip


def test_a_check_as_rows() -> None:
    """A row a song and class, with what is known of both but for the list of classes."""
    first, second, *_ = rows(report())
    assert (first["depth"], second["depth"]) == ("shallow", "deep")
    assert (second["file"], second["phrases"], second["range_bpm"]) == ("a.ogg", 6, [100.0, 120.0])
    assert "fits" not in first


def test_frames_of_calls() -> None:
    """Both libraries agree: the call's own fields, and those of its change."""
    pandas, polars = to_pandas(CALLS), to_polars(CALLS)
    assert list(pandas.columns) == list(polars.columns)
    assert polars["phrase_kind"].to_list() == [None, "bridge", "bridge"]
    assert polars["kind"].to_list() == ["warn", "countdown", "count 1"]
    for name, wanted in (
        ("time_s", [8.0, 10.0, 12.0]), ("change_time_s", [12.0] * 3), ("move", ["jack"] * 3),
        ("name", ["Jack"] * 3), ("pattern", ["4"] * 3), ("lead", ["right"] * 3),
        ("level", ["II"] * 3), ("travel", ["in place"] * 3),
    ):  # fmt: skip
        assert polars[name].to_list() == wanted == pandas[name].tolist()
    assert rows(CALLS)[0]["variation"] == [["arms", "press"], ["tempo", "half"]]
