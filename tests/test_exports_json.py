"""Cue timelines as JSON: they come back equal, are documented, and refuse what is not theirs."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from pathlib import Path

import jsonschema  # type: ignore[import-untyped]
import pytest
from cue_drawing import Case, cases, of
from hypothesis import given, settings

from aquatempo.errors import InputError
from aquatempo.exports.json_text import CUES_SCHEMA, cue_json, read_cue_json
from aquatempo.records.cues import Change, Cue, CuePhrase, CueTimeline
from aquatempo.records.plan import Stint

DOCS = Path(__file__).parent.parent / "docs"
DOCUMENT = DOCS / "data_format.md"
SCHEMA = json.loads((DOCS / "cues-1.schema.json").read_text(encoding="utf-8"))


@settings(max_examples=40, deadline=None)
@given(cases())
def test_a_timeline_comes_back_equal(case: Case) -> None:
    """Reading what was written gives an equal record, to the last digit of every time."""
    made = of(case)
    assert read_cue_json(cue_json(made)) == made


@settings(max_examples=15, deadline=None)
@given(cases())
def test_an_independent_validator_accepts_what_is_written(case: Case) -> None:
    """Files follow the published JSON Schema (draft 2020-12), judged by jsonschema."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(json.loads(cue_json(of(case))), SCHEMA)


@settings(max_examples=10, deadline=None)
@given(cases())
def test_the_schema_refuses_what_does_not_follow_it(case: Case) -> None:
    """A count of 9, a missing key and another kind of call are each found."""
    for key, value in (("count", 9), ("kind", "shout"), ("time_s", None)):
        data = json.loads(cue_json(of(case)))
        data["cues"][0][key] = value
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(data, SCHEMA)


@settings(max_examples=1, deadline=None)
@given(cases())
def test_the_schema_is_named_first(case: Case) -> None:
    """The first key names the schema and its version."""
    data = json.loads(cue_json(of(case)))
    assert next(iter(data.items())) == ("schema", CUES_SCHEMA)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not JSON"),
        ("[]", "schema None: needs 'aquatempo/cues/1'"),
        ('{"schema": "aquatempo/cues/9"}', "schema 'aquatempo/cues/9': needs 'aquatempo/cues/1'"),
        ('{"schema": "aquatempo/cues/1"}', "title is missing"),
    ],
)
def test_other_data_are_refused(text: str, message: str) -> None:
    """What is not a timeline of this version says what was seen and what is needed."""
    with pytest.raises(InputError, match=re.escape(message)):
        read_cue_json(text)


@pytest.mark.parametrize("record", [CueTimeline, Change, Stint, Cue, CuePhrase])
def test_every_key_is_documented(record: type) -> None:
    """The document of the format has a row for each key of each record, and no other."""
    section = DOCUMENT.read_text(encoding="utf-8").split(f"## {record.__name__}\n")[1]
    rows = re.findall(r"^\| `(\w+)` \|", section.split("\n## ")[0], flags=re.MULTILINE)
    documented = [row for row in rows if row != "schema"]
    assert documented == [field.name for field in fields(record)]
