"""Language packs: complete, alike, and covering the whole catalogue."""

from __future__ import annotations

import pytest

from aquatempo.cues import language_codes, load_language
from aquatempo.errors import UnknownNameError
from aquatempo.moves import catalogue
from aquatempo.records.cues import CallWords


def test_language_packs_are_complete_and_alike() -> None:
    """Every language has all entries of the English pack, none empty, with the same blanks."""
    english = load_language("en")
    assert language_codes()[0] == "en"
    assert len(language_codes()) >= 2
    for code in language_codes():
        pack = load_language(code)
        assert pack.code == code
        assert len(pack.numbers) == len(set(pack.numbers)) == 32
        assert len(pack.countdown) == len(pack.countdown_signs) == len(english.countdown)
        for table in ("words", "signs", "sides", "side_names", "travel", "travel_signs",
                      "level", "level_signs", "tempo", "tempo_signs"):  # fmt: skip
            ours, other = getattr(english, table), getattr(pack, table)
            assert ours.keys() == other.keys(), (code, table)
            assert all(other.values()), (code, table)
            for key in ours:
                assert blanks(ours[key]) == blanks(other[key]), (code, table, key)


def blanks(template: str) -> set[str]:
    """Return the names to be filled in a template."""
    return {part.split("}")[0] for part in template.split("{")[1:]}


def catalogue_words() -> list[CallWords]:
    """Return how the catalogue writes, says and signs its moves and options."""
    known = catalogue()
    moves = [CallWords(m.key, m.name, m.spoken, m.sign) for m in known.moves.values()]
    return moves + [
        CallWords(o.key, o.name, o.spoken, o.sign, factor=o.factor) for o in known.options.values()
    ]


def test_every_move_and_option_is_named_in_the_second_language() -> None:
    """German has a name and a sign of its own for all that the catalogue can ask, and no more."""
    pack = load_language("de")
    given = {(str(words.factor), words.key) for words in catalogue_words()}
    assert set(pack.call_words) == given
    for words in catalogue_words():
        local = pack.localise(words)
        assert local.name
        assert local.spoken
        assert local.sign != words.sign


@pytest.mark.parametrize("code", ["en", "de"])
def test_short_forms_are_shorter(code: str) -> None:
    """A short form has fewer syllables than what it stands for."""
    pack = load_language(code)
    short = [words for words in map(pack.localise, catalogue_words()) if words.short]
    assert short
    for words in short:
        assert pack.syllables.count(words.short) < pack.syllables.count(words.spoken), words


def test_an_unknown_language_names_the_nearest() -> None:
    """The error lists the languages there are, or the nearest."""
    with pytest.raises(UnknownNameError, match="no language named 'xx'; known: en, de"):
        load_language("xx")
