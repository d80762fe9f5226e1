"""Records to plain data and back."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError
from aquatempo.records.origin import Origin
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoAlternative,
    TempoSection,
)


@dataclass(frozen=True)
class Mixed:
    """The kinds of field that no rhythm record has."""

    pair: tuple[float, str]
    any_of: tuple[tuple[str, str | float | bool], ...]
    whole_or_part: int | float
    maybe: TempoAlternative | None = None


finite = st.floats(allow_nan=False, allow_infinity=False)
mixed = st.builds(
    Mixed,
    pair=st.tuples(finite, st.text()),
    any_of=st.lists(st.tuples(st.text(), st.one_of(st.text(), finite, st.booleans()))).map(tuple),
    whole_or_part=st.one_of(st.integers(), finite),
    maybe=st.one_of(st.none(), st.builds(TempoAlternative, finite, finite)),
)
analyses = st.builds(
    RhythmAnalysis,
    duration_s=finite,
    tempo_bpm=st.one_of(st.none(), finite),
    tempo_confidence=finite,
    confidence=finite,
    tempo_alternatives=st.lists(st.builds(TempoAlternative, finite, finite), max_size=4).map(tuple),
    tempo_sections=st.lists(
        st.builds(TempoSection, finite, finite, finite, finite), max_size=4
    ).map(tuple),
    steady=st.booleans(),
    tempo_drift_percent=finite,
    beats_per_bar=st.one_of(st.none(), st.integers()),
    beats_s=st.lists(finite, max_size=4).map(tuple),
    beats_inferred=st.lists(st.booleans(), max_size=4).map(tuple),
    downbeats_s=st.lists(finite, max_size=4).map(tuple),
    phrases=st.lists(
        st.builds(
            Phrase,
            finite,
            finite,
            st.integers(),
            st.integers(),
            st.sampled_from(PhraseKind),
            finite,
            st.sampled_from(EnergyLevel),
        ),
        max_size=4,
    ).map(tuple),
    origin=st.sampled_from(Origin),
    notes=st.lists(st.text(), max_size=4).map(tuple),
)


@given(analyses)
def test_analysis_survives_json(analysis: RhythmAnalysis) -> None:
    """An analysis written as JSON and read back is equal, types included."""
    text = json.dumps(to_plain(analysis), allow_nan=False)
    assert repr(from_plain(RhythmAnalysis, json.loads(text))) == repr(analysis)


@given(mixed)
def test_unions_and_pairs_survive_json(record: Mixed) -> None:
    """Unions, pairs and optional records come back with the types they had."""
    text = json.dumps(to_plain(record), allow_nan=False)
    assert repr(from_plain(Mixed, json.loads(text))) == repr(record)


GOOD: dict[str, Any] = {"pair": [1.5, "a"], "any_of": [["x", True]], "whole_or_part": 2}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"pair": [1.5]}, "pair [1.5]: needs a list of 2"),
        ({"pair": 1.5}, "pair 1.5: needs a list"),
        ({"pair": [True, "a"]}, "pair[0] True: needs a number"),
        ({"pair": [float("nan"), "a"]}, "pair[0] nan: needs a number"),
        ({"any_of": [["x", None]]}, "any_of[0][1] None: needs text or a number or true or false"),
        ({"maybe": 3}, "maybe 3: needs a table of TempoAlternative"),
        ({"maybe": {"tempo_bpm": 1}}, "maybe.odds is missing"),
        (
            {"maybe": {"tempo": 1}},
            "maybe.tempo: unknown; known here: tempo_bpm, odds",
        ),
    ],
)
def test_wrong_data_name_the_place(change: dict[str, Any], message: str) -> None:
    """Wrong data are refused with the place, what was seen and what is needed."""
    with pytest.raises(InputError) as caught:
        from_plain(Mixed, GOOD | change)
    assert str(caught.value) == message


def test_whole_must_be_a_table() -> None:
    """Data that are no table at all are refused."""
    with pytest.raises(InputError, match=r"^the whole \[\]: needs a table of Mixed$"):
        from_plain(Mixed, [])


def test_unknown_enum_value_lists_the_known() -> None:
    """A word outside an enumeration is refused with the words it has."""
    with pytest.raises(
        InputError, match=r"^kind 'verse': needs intro, phrase, bridge, break, outro"
    ):
        from_plain(Phrase, {**_phrase(), "kind": "verse"})


def _phrase() -> dict[str, Any]:
    plain = to_plain(Phrase(0.0, 1.0, 0, 32, PhraseKind.PHRASE, 0.5, EnergyLevel.LOW))
    assert isinstance(plain, dict)
    return plain


def test_infinite_number_is_refused_on_writing() -> None:
    """A number that JSON cannot hold stops the writer, not the reader."""
    with pytest.raises(ValueError, match="use None"):
        to_plain(TempoAlternative(float("inf"), 0.5))


def test_foreign_object_is_refused_on_writing() -> None:
    """Only what records are made of can be written."""
    with pytest.raises(TypeError, match="object is not part of a record"):
        to_plain((object(),))
