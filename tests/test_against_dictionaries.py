"""Syllable counts against dictionaries that we did not write (headers in tests/authorities)."""

from __future__ import annotations

from pathlib import Path

import pytest

from aquatempo.cues import load_language

AUTHORITIES = Path(__file__).parent / "authorities"


def rows(name: str) -> list[list[str]]:
    """Return the fields of an authority's lines, its header left out."""
    lines = (AUTHORITIES / name).read_text(encoding="utf-8").splitlines()
    return [line.split() for line in lines if not line.startswith("#")]


def test_english_words_have_the_syllables_of_the_pronouncing_dictionary() -> None:
    """163 exercise words agree exactly with a pronunciation in the CMU dictionary."""
    rule = load_language("en").syllables
    words = rows("cmudict_syllables.txt")
    assert len(words) == 163
    assert [w for w, *counts in words if str(rule.count(w)) not in counts] == []


def test_german_words_have_the_syllables_of_their_hyphenation() -> None:
    """93 in 100 exercise words have as many syllables as parts; no other is more than 1 off.

    The tolerance is the hyphenation's: it does not divide "hocken" or cut off one letter.
    """
    rule = load_language("de").syllables
    off = [rule.count(word) - parts.count("-") - 1 for word, parts in rows(
        "hyphenation_de_syllables.txt")]  # fmt: skip
    assert len(off) == 101
    assert off.count(0) >= 93
    assert max(map(abs, off)) <= 1


@pytest.mark.parametrize(
    ("code", "text", "syllables"),
    [
        ("en", "cross-country ski", 4),  # the practice note's example: a second at 4 a second
        ("en", "", 0),
        ("en", "2-2-4", 0),
        ("en", "bridge, eight counts", 3),
        ("en", "twenty-four", 3),
        ("de", "Brücke, acht Schläge", 5),
        ("de", "einundzwanzig", 4),
        ("de", "Knie heben", 3),
    ],
)
def test_texts_counted_by_hand(code: str, text: str, syllables: int) -> None:
    """Whole calls have the syllables counted by hand; figures and marks have none."""
    assert load_language(code).syllables.count(text) == syllables
