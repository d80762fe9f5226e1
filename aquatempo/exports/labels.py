"""The labels of the page, the card and the sheets, in the languages that we have."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

from aquatempo.errors import UnknownNameError

__all__ = ["labels"]


@cache
def labels(language: str) -> Mapping[str, str]:
    """Return the labels of a language; raise UnknownNameError where there are none.

    >>> labels("en")["next"]
    'Next'
    """
    text = (resources.files("aquatempo.exports") / "labels.toml").read_text(encoding="utf-8")
    tables: dict[str, dict[str, str]] = tomllib.loads(text)
    if language not in tables:
        raise UnknownNameError("language of the deck", language, tables)
    return tables[language]
