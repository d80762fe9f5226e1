"""The labels of the page, the card and the sheets, in the languages that we have."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

from aquatempo.errors import UnknownNameError

__all__ = ["labels", "movement_name", "said_of_move", "within"]

_SIDE = re.compile(r"\b(lead|other)\b")
_OTHER_SIDE = {"right": "left", "left": "right"}


@cache
def labels(language: str) -> Mapping[str, str]:
    """Return the labels of a language; raise UnknownNameError where there are none.

    >>> labels("en")["next"]
    'Next'
    """
    tables = _read("labels.toml")
    if language not in tables:
        raise UnknownNameError("language of the deck", language, tables)
    return tables[language]


def movement_name(name: str, lead: str, language: str = "en") -> str:
    """Return what a movement of the catalogue is called, with the sides that it means.

    lead: ``right`` or ``left``, or empty where no side leads. name: as in the catalogue;
    language: code such as "de".

    >>> movement_name("lead knee up", "left"), movement_name("lead knee up", "left", "de")
    ('left knee up', 'Knie links hoch')
    """
    words = labels(language)
    sides = {
        "lead": words[lead] if lead else words["lead_side"],
        "other": words[_OTHER_SIDE[lead]] if lead else words["other_side"],
    }
    template = _read("movements.toml").get(language, {}).get(name)
    if template is None:
        return _SIDE.sub(lambda found: sides[found[1]], name)
    return template.format_map(sides)


def within(name: str, words: Mapping[str, str]) -> str:
    """Return a name as it stands within a line: with a small letter where the language has it.

    words: labels of the language; a language that writes its nouns with a capital lists the
    first words that are none.

    >>> within("Easy jog", labels("en")), within("Fäuste", labels("de"))
    ('easy jog', 'Fäuste')
    >>> within("Offene Hände", labels("de"))
    'offene Hände'
    """
    first = name.split(" ", 1)[0]
    small = words["small_letters"] == "all" or first in words["small_letters"].split()
    small = small and not name[1:2].isupper()
    return name[:1].lower() + name[1:] if small else name


def said_of_move(text: str, language: str) -> str:
    """Return a description or caution of the catalogue in a language, as it is without one.

    text: in English, as in the catalogue.

    >>> said_of_move("hold the wall for balance", "de")
    'an der Wand halten'
    """
    return _read("descriptions.toml").get(language, {}).get(text, text)


@cache
def _read(file: str) -> dict[str, dict[str, str]]:
    text = (resources.files("aquatempo.exports") / file).read_text(encoding="utf-8")
    return tomllib.loads(text)
