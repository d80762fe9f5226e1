"""Work and rest of intervals: the set and the seconds, in calls, captions, data, card and page."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace

import pytest
from cue_cases import WORDS, heard, planned
from deck_making import make_book, make_track, refolded

from aquatempo import cues
from aquatempo.deck.set_rows import LinePart, phrase_rows
from aquatempo.exports.captions import webvtt
from aquatempo.exports.csv_text import cue_csv
from aquatempo.exports.json_text import cue_json, read_cue_json
from aquatempo.exports.labels import labels
from aquatempo.exports.page import deck_page
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.deck import DeckTrack
from aquatempo.records.plan import Block, Stint

BEAT_S = 60.0 / 128.0  # 64 counts at 128 b/min are 30 s, 32 are 15 s


def stint(works: bool, number: int) -> Stint:
    """Return a turn of one of two sets: 30 s of work, 15 s of rest."""
    return Stint(works, number, 2, 30.0 if works else 15.0)


def intervals(language: str = "en") -> CueTimeline:
    """Return two sets of work and rest with one move of work, one of rest."""
    analysis = heard([("phrase", 32)] * 6, tempo_bpm=128.0)
    blocks = []
    for number in (1, 2):
        work, rest = stint(True, number), stint(False, number)
        blocks += [[Block(32, "ski", stint=work)], [Block(32, "ski", stint=work)]]
        blocks += [[Block(32, "jog", stint=rest)]]
    return cues.timeline(analysis, planned(analysis, blocks), WORDS, CueOptions(language))


def test_work_and_rest_are_called_with_their_set_and_seconds() -> None:
    """The warn says which turn begins, its set and its length; the last word says which it is."""
    said = [cue.words for cue in intervals().cues if cue.words]
    assert "next rest, jog, 15 seconds" in said
    assert "next work two of two, cross-country ski, 30 seconds" in said
    assert any(words in ("rest, jog", "rest") for words in said)


@pytest.mark.parametrize(
    ("language", "work"), [("en", "work two of two"), ("de", "Belastung zwei von zwei")]
)
def test_a_turn_is_called_where_the_move_stays(language: str, work: str) -> None:
    """Rest in the move of the work is a change of its own: the class has to hear of it."""
    analysis = heard([("phrase", 32)] * 4, tempo_bpm=128.0)
    turns = [stint(works, number) for number in (1, 2) for works in (True, False)]
    blocks = [[Block(32, "jog", stint=one)] for one in turns]
    made = cues.timeline(analysis, planned(analysis, blocks), WORDS, CueOptions(language))
    assert [change.stint for change in made.changes] == turns
    assert any(work in cue.words for cue in made.cues)


def test_captions_tell_what_is_left_of_a_turn() -> None:
    """The caption of the first count of a turn has its whole length, later ones what is left."""
    text = webvtt(intervals())
    first = text.index("REST 1/2 · 15 s left")
    told = re.findall(r"(WORK|REST) (\d)/2 · (\d+) s left", text)
    assert ("WORK", "1", "30") in told
    assert first > 0
    for one in ("WORK", "REST"):
        left = [int(seconds) for kind, number, seconds in told if (kind, number) == (one, "2")]
        assert left == sorted(left, reverse=True)
        longest = 30 if one == "WORK" else 15
        assert set(range(5, longest + 1, 5)) <= set(left)


def test_data_carry_the_turn() -> None:
    """JSON comes back with it; the table has its kind, its set of how many and its seconds."""
    made = intervals()
    assert read_cue_json(cue_json(made)).changes[1].stint == stint(False, 1)
    rows = list(csv.DictReader(io.StringIO(cue_csv(made))))
    last = rows[-1]
    assert (last["stint"], last["set"], last["sets"], last["stint_s"]) == ("rest", "2", "2", "15")
    assert float(last["left_s"]) == pytest.approx(15.0)
    warn = next(row for row in rows if row["kind"] == "warn" and row["stint"] == "rest")
    ends_s = made.changes[0].end_s
    assert float(warn["left_s"]) == pytest.approx(ends_s - float(warn["time_s"]), abs=0.1)


def worked(*turns: Stint) -> DeckTrack:
    """Return a track whose phrases after the intro are work and rest in turn, one move each."""
    track = make_track()
    lines = [replace(track.lines[0])]
    for number, turn in enumerate(turns):
        place = track.lines[1:3] + track.lines[4:8]
        name = "jack" if turn.works else "easy jog"
        line = replace(place[number], name=name, stint=turn, holding=not turn.works)
        end_s = line.clock_s + line.counts * 60.0 / track.tempo_bpm
        lines.append(replace(line, stint_end_s=end_s, style=(), lead=""))
    return refolded(track, *lines)


def test_a_card_begins_a_turn_with_a_set_of_its_own() -> None:
    """Each turn says work or rest, set and seconds; equal rounds are told once."""
    turns = [Stint(works, number, 3, 14.5) for number in (1, 2, 3) for works in (True, False)]
    sets = worked(*turns).sets
    told = [row.text for one in sets for row in one.rows if not row.joint]
    assert told[0].startswith("WORK 1/3 · 14 s")
    assert any(text.startswith("REST 1/3") for text in told)
    assert any(text.startswith("set 2-3 of 3: 2 × again 1-2") for text in told)
    assert len(sets) == 2


def test_turns_of_one_move_are_not_run_together() -> None:
    """Work and rest in the same move are two sets of a card."""
    work, rest = Stint(True, 1, 1, 14.5), Stint(False, 1, 1, 14.5)
    track = worked(work, rest)
    same = [replace(line, name="jack", holding=False) for line in track.lines[1:]]
    assert [one.name for one in refolded(track, *same).sets] == ["jack", "jack"]


def test_a_page_knows_when_a_turn_ends() -> None:
    """The data of the page have the turn in words, its set, and its end in the file's own time."""
    track = worked(Stint(True, 1, 1, 14.5), Stint(False, 1, 1, 14.5))
    page = deck_page(make_book(track))
    found = re.search(r'<script id="data" type="application/json">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    changes = json.loads(found[1])["tracks"][0]["changes"]
    assert [(one["stint"], one["set"]) for one in changes][1:] == [("WORK", "1/1"), ("REST", "1/1")]
    assert changes[1]["stint_end_s"] == pytest.approx(track.lines[1].stint_end_s, abs=1e-3)


def test_the_counts_of_a_turn_are_told_whole() -> None:
    """A turn of 40 counts that begins three counts before a phrase is ten repetitions of four."""
    line = replace(make_track().lines[1], counts=40, stint=Stint(True, 1, 8, 18.0), style=())
    parts = [LinePart(line, n, line.kind, 29, counts) for n, counts in ((0, 3), (1, 37))]
    first = phrase_rows(parts, None, set(), labels("en"))[0]
    assert first.spelled.endswith(": 10 times")
