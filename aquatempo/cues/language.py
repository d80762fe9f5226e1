"""Language packs: the words and signs of one language, read from packaged data."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from aquatempo.cues.syllables import SyllableRule
from aquatempo.errors import UnknownNameError
from aquatempo.records.cues import CallWords

__all__ = ["LanguagePack", "language_codes", "load_language"]

_DATA = resources.files("aquatempo.cues") / "data"


@dataclass(frozen=True)
class LanguagePack:
    """All wording of one language. Templates are filled with str.format.

    short: a short form of some of the pack's own phrases. call_words: the language's own
    names of moves and options, by (factor, key); a move has an empty factor.
    """

    code: str
    name: str
    words: Mapping[str, str]
    signs: Mapping[str, str]
    countdown: tuple[str, ...]
    countdown_signs: tuple[str, ...]
    sides: Mapping[str, str]
    side_names: Mapping[str, str]
    travel: Mapping[str, str]
    travel_signs: Mapping[str, str]
    level: Mapping[str, str]
    level_signs: Mapping[str, str]
    tempo: Mapping[str, str]
    tempo_signs: Mapping[str, str]
    short: Mapping[str, str]
    numbers: tuple[str, ...]
    syllables: SyllableRule
    call_words: Mapping[tuple[str, str], Mapping[str, str]]

    def number(self, value: int) -> str:
        """Return a number as a word where the pack has one, otherwise in figures."""
        return self.numbers[value - 1] if 1 <= value <= len(self.numbers) else str(value)

    def localise(self, words: CallWords) -> CallWords:
        """Return the words with what this language says of the move or option put over them."""
        own = self.call_words.get((words.factor, words.key), {})
        return CallWords(
            key=words.key,
            factor=words.factor,
            name=own.get("name", words.name),
            spoken=own.get("spoken", own.get("name", words.spoken)),
            short=own.get("short", "" if "name" in own else words.short),
            sign=own.get("sign", words.sign),
        )


def language_codes() -> tuple[str, ...]:
    """Return the codes of the languages that are packaged, English first.

    >>> language_codes()
    ('en', 'de')
    """
    found = (path.name for path in _DATA.iterdir() if path.name.endswith(".toml"))
    codes = (name.removesuffix(".toml") for name in found)
    return tuple(sorted(codes, key=lambda code: (code != "en", code)))


@cache
def load_language(code: str) -> LanguagePack:
    """Return a language pack; raise UnknownNameError where there is none.

    >>> load_language("en").countdown
    ('four', 'three', 'two')
    """
    if code not in language_codes():
        raise UnknownNameError("language", code, language_codes())
    table = tomllib.loads((_DATA / f"{code}.toml").read_text(encoding="utf-8"))
    return _pack(table)


def _pack(table: dict[str, Any]) -> LanguagePack:
    words, signs, rule = table["words"], table["signs"], table["syllables"]
    named = {("", key): row for key, row in table.get("moves", {}).items()}
    for factor, options in table.get("options", {}).items():
        named |= {(factor, key): row for key, row in options.items()}
    return LanguagePack(
        code=table["code"],
        name=table["name"],
        words={key: text for key, text in words.items() if key != "countdown"},
        signs={key: text for key, text in signs.items() if key != "countdown"},
        countdown=tuple(words["countdown"]),
        countdown_signs=tuple(signs["countdown"]),
        numbers=tuple(table["numbers"]["words"]),
        syllables=SyllableRule(
            vowels=rule["vowels"],
            together=tuple(rule["together"]),
            silent=tuple(re.compile(pattern) for pattern in rule["silent"]),
            kept=tuple(re.compile(pattern) for pattern in rule["kept"]),
            words=dict(rule["words"]),
        ),
        call_words=named,
        **{
            key: dict(table[key])
            for key in (
                "sides", "side_names", "travel", "travel_signs",
                "level", "level_signs", "tempo", "tempo_signs", "short",
            )
        },
    )  # fmt: skip
