"""What the library says, in the language of who reads it: sentences matched, places filled.

Notes, reasons, remedies and errors are composed in English where they arise. Here each is held
against the sentences of ``saying_<language>.toml``, whose head says what places hold; what
stands in them is said in turn, names of moves as the language pack has them, figures with the
decimal sign of the language. What no sentence matches stays English.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources

from aquatempo.exports.labels import said_of_move
from aquatempo.records.cues import CueTimeline

__all__ = ["is_said", "said", "timeline_said"]

_PLACE = re.compile(r"\{(\w+)\}")
_FIGURE = re.compile(r"[-+~]?\d+(?:\.\d+)?(?:-\d+(?:\.\d+)?)?(?: ?[%:\w²°/]{0,8})?")
_LOOSE = 8  # a sentence of fewer letters of its own needs every place to be known
_DEEPEST = 6  # a sentence in a sentence in a sentence
_JOINS = ("; ", ", ", ": ")


@dataclass(frozen=True, slots=True)
class _Sentence:
    """A pattern, the places in it in order, and what is said instead. plain: letters that match."""

    pattern: re.Pattern[str]
    start: str
    places: tuple[str, ...]
    instead: str
    plain: int


@dataclass(frozen=True)
class _Book:
    """The sentences of a language, those with most letters of their own first, and its words."""

    sentences: tuple[_Sentence, ...]
    words: dict[str, str]
    language: str


@lru_cache(maxsize=4096)  # the same notes go out with every list
def said(text: str, language: str) -> str:
    """Return a line of the library in a language; what is not known stays as it is.

    text: English; language: its code.

    >>> said("Rain on the roof: fade out after 3:20", "de")
    'Rain on the roof: ausblenden nach 3:20'
    >>> said("44.5 minutes in whole phrases; 45 were asked for", "de")
    '44,5 Minuten in ganzen Phrasen; 45 waren gewünscht'
    """
    book = _book(language)
    found = _said(text, book, 0) if book is not None else None
    return text if found is None else found


def timeline_said(timeline: CueTimeline) -> CueTimeline:
    """Return a timeline whose notes and reasons are in the language of its calls.

    timeline: as ``cues`` makes it.
    """
    language = timeline.language
    return replace(
        timeline,
        notes=tuple(said(note, language) for note in timeline.notes),
        changes=tuple(
            replace(change, reason=said(change.reason, language)) if change.reason else change
            for change in timeline.changes
        ),
    )


def is_said(text: str, language: str) -> bool:
    """Return whether a line has a sentence in a language.

    text: English; language: its code.
    """
    book = _book(language)
    return book is None or _said(text, book, 0) is not None


@lru_cache(maxsize=4)
def _book(language: str) -> _Book | None:
    file = resources.files("aquatempo.workflow") / f"saying_{language}.toml"
    if not language.isalpha() or not file.is_file():
        return None
    table = tomllib.loads(file.read_text(encoding="utf-8"))
    sentences = [_sentence(english, other) for english, other in table["sentences"].items()]
    words = {**_names(language), **table["words"]}
    return _Book(tuple(sorted(sentences, key=lambda one: -one.plain)), words, language)


def _sentence(english: str, other: str) -> _Sentence:
    parts = _PLACE.split(english)
    letters, places = parts[::2], parts[1::2]
    pattern = re.escape(letters[0]) + "".join(
        _kind(place) + re.escape(part) for place, part in zip(places, letters[1:], strict=True)
    )
    plain = sum(len(part) for part in letters)
    return _Sentence(re.compile(pattern, re.DOTALL), letters[0], tuple(places), other, plain)


def _kind(place: str) -> str:
    """Return what a place may hold: x, y, z a figure, another letter no list, a word anything."""
    if place in "xyz":
        return r"([-+]?[\d.,:]+)"
    return r"((?:(?!; ).)+?)" if len(place) == 1 and place.islower() else "(.+?)"


def _names(language: str) -> dict[str, str]:
    """Return the names of moves and options, by their English ones, large and small."""
    from aquatempo.cues.language import load_language
    from aquatempo.deck.call_words import call_words
    from aquatempo.moves import catalogue

    pack, names = load_language(language), {}
    for words in call_words(catalogue()):
        local = pack.localise(words).name
        if local != words.name:
            names[words.name] = names[words.name.lower()] = local
    return names


def _said(text: str, book: _Book, depth: int) -> str | None:
    """Return a text said, None where there is no sentence for it."""
    if text in book.words:
        return book.words[text]
    if _FIGURE.fullmatch(text):
        return text.replace(".", ",") if ":" not in text else text
    if (of_move := said_of_move(text, book.language)) != text:
        return of_move
    if depth > _DEEPEST:
        return None
    for one in book.sentences:
        if not text.startswith(one.start):
            continue
        matched = one.pattern.fullmatch(text)
        if matched is None:
            continue
        filled = _filled(one, matched.groups(), book, depth)
        if filled is not None:
            return one.instead.format(**filled)
    return _joined(text, book, depth)


def _filled(
    one: _Sentence, values: tuple[str, ...], book: _Book, depth: int
) -> dict[str, str] | None:
    """Return what stands in the places of a sentence, None where it only seems to match."""
    filled = {}
    for place, value in zip(one.places, values, strict=True):
        told = value if place[0].isupper() else _said(value, book, depth + 1)
        if told is None and one.plain < _LOOSE:
            return None
        filled[place] = value if told is None else told
    return filled


def _joined(text: str, book: _Book, depth: int) -> str | None:
    """Return the parts of a list said; the head before a colon may be anybody's name."""
    for join in _JOINS:
        parts = text.split(join, 1) if join == ": " else text.split(join)
        if len(parts) < 2:
            continue
        told = [_said(part, book, depth + 1) for part in parts]
        if join == ": " and told[0] is None:
            told[0] = parts[0]
        if all(part is not None for part in told):
            return join.join(part for part in told if part is not None)
    return None
