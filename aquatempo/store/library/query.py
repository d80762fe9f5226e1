"""What a person asks of the library, as a condition for its database.

Terms are parted by commas and all must hold: "126-138 bpm, suits shallow, >= 8 phrases,
no bridge, sure".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from difflib import get_close_matches

from aquatempo.errors import InputError
from aquatempo.records.doubt import SURE
from aquatempo.units import parse_span

__all__ = ["TERMS", "condition_of", "likely_slip"]

LONGEST_QUERY = 1000  # characters
MOST = 1_000_000  # of anything that is counted or measured here
AROUND_BPM = 0.5  # "132 bpm" means 131.5 to 132.5
TRIGRAM = 3  # characters of the pieces by which words are indexed
Condition = tuple[str, tuple[object, ...]]

TERMS = (
    ("126-138 bpm, 132 bpm, >= 126 bpm", "tempo"),
    (">= 8 phrases, 1-2 bridges, no bridge, no break", "what the track is made of"),
    ("3:00-5:00 long, < 4:00 long", "length"),
    ("suits shallow, may suit deep, not suits deep", "verdict for a stated pool"),
    ("sure, not sure", "tempo and count 1 are right with 80 % or more"),
    ("steady, corrected, in 4, in 3", "tempo that stays, corrections, beats a bar"),
    ("tag warm-up, not tag warm-up", "your tags"),
    ("approved, approved by NAME", "your approvals"),
    ("rights, rights on 2027-03-01, no rights", "your notes on rights"),
    ('title "lane", artist "band", or just words', "words in title or artist"),
)
_COUNTED = {"phrase": "phrases", "bridge": "bridges", "break": "breaks"}
_COMPARED = re.compile(r"(>=|<=|>|<|=)?\s*([0-9:.]{1,20}(?:\s*-\s*[0-9:.]{1,20})?)\s*(\w+)")
_WORDS = ("bpm", "phrases", "bridges", "breaks", "long", "suits", "may suit", "sure", "steady",
          "corrected", "tag", "approved", "rights", "title", "artist", "no", "not")  # fmt: skip


def condition_of(query: str, pools: Sequence[str] = ()) -> Condition:
    """Return a condition on the table of tracks and its values. Raises InputError.

    query: as a person types it. pools: the names of the stated pools.

    >>> condition_of(">= 8 phrases, no bridge")
    ('phrases >= ? AND bridges = ?', (8.0, 0))
    """
    if len(query) > LONGEST_QUERY:
        raise InputError(f"a query of {len(query)} characters: needs {LONGEST_QUERY} at most")
    terms = [term.strip() for term in query.split(",") if term.strip()]
    found = [_term(term, pools) for term in terms]
    if not found:
        return "1", ()
    values = tuple(value for _, some in found for value in some)
    return " AND ".join(condition for condition, _ in found), values


def likely_slip(query: str, found: int = 0) -> str:
    """Return how plain words in a query were understood, where that may not be what was meant.

    found: how many tracks the query names. Words that are near a term are always told, others
    where nothing was found or where "not" stands before them.

    >>> likely_slip("126 bpm, steaady")
    "did you mean 'steady' by 'steaady'?"
    >>> likely_slip("bogus")
    "'bogus' was looked for in titles and artists"
    """
    for term in query[:LONGEST_QUERY].split(","):
        rest, negated = _without_not(term.strip())
        words = rest.lower().split()
        if not words or _known(rest):
            continue
        close = get_close_matches(words[0], _WORDS, n=1, cutoff=0.8)
        if close and (not found or len(words) == 1 or negated):
            return f"did you mean {close[0]!r} by {words[0]!r}?"
        if not found or negated:
            return f"{rest!r} was looked for in titles and artists"
    return ""


def _without_not(term: str) -> tuple[str, bool]:
    """Return a term without the "not" or "no" before it, and whether there was one."""
    for opening in ("not", "no"):
        if rest := _after(opening, term):
            return rest, True
    return term, False


def _after(opening: str, term: str) -> str | None:
    """Return what follows the words that a term opens with, None where it opens otherwise."""
    words = r"\s+".join(opening.split())
    match = re.match(rf"{words}(?:\s+|\Z)", term, re.IGNORECASE)
    return None if match is None else term[match.end() :].strip()


def _known(term: str) -> bool:
    """Tell whether a term is one of those that are no plain words."""
    low = " ".join(term.lower().split())
    named = any(_after(word, term) is not None for word, _ in _NAMED)
    return named or low.removesuffix("s") in _COUNTED or bool(_COMPARED.fullmatch(low))


def _term(term: str, pools: Sequence[str]) -> Condition:
    rest, negated = _without_not(term)
    if negated:
        counted = _COUNTED.get(rest.lower().removesuffix("s"))
        if counted:
            return f"{counted} = ?", (0,)
        condition, values = _term(rest, pools)
        return f"NOT ({condition})", values
    low = " ".join(term.lower().split())
    if match := _COMPARED.fullmatch(low):
        return _compared(term, *match.groups())
    for word, make in _NAMED:
        if (said := _after(word, term)) is not None:
            return make(said.strip("\"'"), pools)
    return _like(("title", "artist"), term.strip("\"'"))


def _compared(term: str, sign: str | None, number: str, what: str) -> Condition:
    read: Callable[[str], float]
    if what == "bpm":
        column, read = "tempo_bpm", _number
    elif what in ("long", "s", "seconds"):
        column, read = "duration_s", _seconds
    elif (counted := _COUNTED.get(what.removesuffix("s"))) is not None:
        column, read = counted, _whole
    else:
        raise InputError(f"{term!r} in the query: needs bpm, phrases, bridges, breaks or long")
    try:
        ends = (
            [read(end) for end in parse_span(number.replace(" ", ""), term)]
            if ("-" in number)
            else [read(number)]
        )
    except ValueError:
        raise InputError(f"{term!r} in the query: {number!r} is no number of {what}") from None
    if len(ends) == 2:
        if sign:
            raise InputError(f"{term!r} in the query: needs a sign or a range, not both")
        return f"{column} BETWEEN ? AND ?", tuple(sorted(ends))
    if column == "tempo_bpm" and not sign:
        return f"{column} BETWEEN ? AND ?", (ends[0] - AROUND_BPM, ends[0] + AROUND_BPM)
    return f"{column} {sign or '='} ?", (ends[0],)


def _number(text: str) -> float:
    value = float(text)
    if not value <= MOST:
        raise ValueError
    return value


def _whole(text: str) -> float:
    return float(min(int(text), MOST))


def _seconds(text: str) -> float:
    minutes, found, seconds = text.partition(":")
    return 60.0 * _whole(minutes) + _number(seconds) if found else _number(text)


def _suits(least: int) -> Callable[[str, Sequence[str]], Condition]:
    def make(name: str, pools: Sequence[str]) -> Condition:
        if name.lower() not in [pool.lower() for pool in pools]:
            known = ", ".join(pools)
            raise InputError(f"no pool named {name!r} is stated; known: {known}")
        place = "(SELECT 2 * place FROM pools WHERE name = ?)"  # asked once, not for each track
        return f"(fits >> {place}) & 3 >= ?", (name, least)

    return make


def _marked(kind: str) -> Callable[[str, Sequence[str]], Condition]:
    def make(name: str, _: Sequence[str]) -> Condition:
        name = _after("by", name) or name
        condition = "number IN (SELECT track FROM marks WHERE kind = ?"
        if kind == "rights" and (day := _after("on", name)) is not None:
            if not re.fullmatch(r"\d{4}-\d\d-\d\d", day):
                raise InputError(f"day {day!r}: needs one such as 2027-03-01")
            return f"{condition} AND (until = '' OR until >= ?))", (kind, day)
        if not name:
            return f"{condition})", (kind,)
        return f"{condition} AND value = ?)", (kind, name)

    return make


def _flag(condition: str, *values: object) -> Callable[[str, Sequence[str]], Condition]:
    return lambda _, __: (condition, values)


def _bars(text: str, _: Sequence[str]) -> Condition:
    if not text.isdecimal() or len(text) > 2:
        raise InputError(f"in {text!r}: needs the beats of a bar, as in 4")
    return "beats_per_bar = ?", (int(text),)


def _like(columns: Sequence[str], words: str) -> Condition:
    """Return the condition that words stand somewhere in one of the columns."""
    if len(words) >= TRIGRAM and "\0" not in words:
        quoted = '"' + words.replace('"', '""') + '"'
        match = f"{{{' '.join(columns)}}} : {quoted}"
        return "number IN (SELECT rowid FROM names WHERE names MATCH ?)", (match,)
    pattern = re.sub(r"([%_\\])", r"\\\1", words)
    either = " OR ".join(f"{column} LIKE ? ESCAPE '\\'" for column in columns)
    return f"({either})", (f"%{pattern}%",) * len(columns)


_NAMED: tuple[tuple[str, Callable[[str, Sequence[str]], Condition]], ...] = (
    ("may suit", _suits(1)),
    ("suits", _suits(2)),
    ("sure", _flag("confidence >= ?", SURE)),
    ("unsure", _flag("confidence < ?", SURE)),
    ("steady", _flag("steady = 1")),
    ("corrected", _flag("corrected = 1")),
    ("in", _bars),
    ("tag", _marked("tag")),
    ("approved", _marked("approval")),
    ("rights", _marked("rights")),
    ("title", lambda words, _: _like(("title",), words)),
    ("artist", lambda words, _: _like(("artist",), words)),
)
