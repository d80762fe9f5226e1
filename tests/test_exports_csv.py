"""Cue timelines as CSV, read by the standard library's reader and by hand-counted rows."""

from __future__ import annotations

import csv
import io

from cue_cases import WORDS, heard, planned
from cue_drawing import Case, cases, of
from hypothesis import given, settings

from aquatempo.cues import timeline
from aquatempo.exports.csv_text import CUE_COLUMNS, cue_csv
from aquatempo.records.cues import CueOptions
from aquatempo.records.plan import Block


@settings(max_examples=40, deadline=None)
@given(cases())
def test_every_call_is_a_row_with_the_same_values(case: Case) -> None:
    """Rows are the calls in order; times agree to half a millisecond, the rest exactly."""
    made = of(case)
    rows = list(csv.DictReader(io.StringIO(cue_csv(made), newline="")))
    assert len(rows) == len(made.cues)
    for row, cue in zip(rows, made.cues, strict=True):
        assert abs(float(row["time_s"]) - cue.time_s) <= 0.0005000001  # written to 1 ms
        assert abs(float(row["end_s"]) - cue.end_s) <= 0.0005000001
        assert (row["words"], row["sign"], row["kind"]) == (cue.words, cue.sign, cue.kind)
        numbers = (cue.beat, cue.count, cue.phrase, cue.change)
        assert tuple(int(row[k]) for k in ("beat", "count", "phrase", "change")) == numbers
        assert row["move"] == made.changes[cue.change].move


def test_names_with_commas_quotes_and_line_breaks_survive() -> None:
    """RFC 4180 quoting: an own name with marks comes back as it was typed."""
    name = 'jack, "wide"\nand slow'
    analysis = heard((("intro", 16), ("phrase", 32)))
    plan = planned(analysis, [[], [Block(32, "jack", (("arms", "press"),), lead="left")]])
    made = timeline(analysis, plan, WORDS, CueOptions(own_names=(("jack", name),)))
    text = cue_csv(made)
    assert text.startswith(",".join(CUE_COLUMNS) + "\r\n")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert {row["name"] for row in rows} == {name}
    assert {(row["variation"], row["lead"], row["mirrored_lead"]) for row in rows} == {
        ("arms=press", "left", "right")
    }
