"""The catalogue of moves and factor options: the packaged one, and the user's own on top."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from aquatempo.errors import TextFileError, UnknownNameError
from aquatempo.moves.reading import read_move, read_option
from aquatempo.moves.rules import packaged
from aquatempo.moves.tables import Table, table_at
from aquatempo.moves.tags import KNOWN_TAGS
from aquatempo.records.moves import Factor, FactorOption, Move, MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.tomltext.lines import TomlText

__all__ = ["Catalogue", "catalogue"]

MOVE_FILES = (
    *("base_legs.toml", "base_body.toml", "base_travel.toml"),
    *("holding.toml", "arms_only.toml", "deep.toml", "stretches.toml", "deep_stretches.toml"),
)
DEEP_WORDS = "deep_words.toml"
FACTOR_FILES = ("factors_arms.toml", "factors.toml")


@dataclass(frozen=True, eq=False)
class Catalogue:
    """Moves by key and factor options by (factor, key), in the order of their files.

    own_options: those that the user's text adds or changes. Two catalogues are equal if
    they are the same object, so that one can key a cache.
    """

    moves: Mapping[str, Move]
    options: Mapping[tuple[Factor, str], FactorOption]
    own_options: frozenset[tuple[Factor, str]] = frozenset()
    _at: dict[ClassDepth, Catalogue] = field(default_factory=dict, repr=False)

    def at(self, depth: ClassDepth) -> Catalogue:
        """Return the catalogue as it is said at a depth: in deep water nobody stands or lands.

        >>> catalogue().at(ClassDepth.DEEP).move("jack").easier
        'side-kick'
        """
        if depth not in self._at:
            self._at[ClassDepth.SHALLOW] = self
            deep = Catalogue(
                _deep_moves(self.moves), self.options, self.own_options, self._at
            )
            self._at[ClassDepth.DEEP] = deep
        return self._at[depth]

    def move(self, key: str) -> Move:
        """Return a move by key or name; raise UnknownNameError with the nearest key."""
        wanted = key.strip().lower()
        if wanted in self.moves:
            return self.moves[wanted]
        for move in self.moves.values():
            if wanted in (move.name.lower(), move.spoken.lower(), move.key.replace("-", " ")):
                return move
        raise UnknownNameError("move", key, self.moves)

    def option(self, factor: Factor, key: str) -> FactorOption:
        """Return an option of a factor; raise UnknownNameError with the nearest key."""
        try:
            return self.options[factor, key]
        except KeyError:
            known = [option.key for option in self.options_of(factor)]
            raise UnknownNameError(f"{factor} option", key, known) from None

    def options_of(self, factor: Factor) -> tuple[FactorOption, ...]:
        """Return the options of a factor in the order of the files."""
        return tuple(o for (f, _), o in self.options.items() if f is factor)

    def of_kind(self, kind: MoveKind) -> tuple[Move, ...]:
        """Return the moves of a kind in the order of the files."""
        return tuple(move for move in self.moves.values() if move.kind is kind)


def catalogue(extra_text: tuple[str, str] | None = None) -> Catalogue:
    """Return the packaged catalogue, with the user's own text on top of it.

    extra_text: (path, TOML text) of the user. A table of an existing key overrides
    only the keys it gives; a new key has to be complete. Raises TextFileError with
    path and line for what is wrong in it.
    """
    return _packaged() if extra_text is None else _merged(*extra_text)


@lru_cache(maxsize=1)
def _packaged() -> Catalogue:
    moves: dict[str, Move] = {}
    options: dict[tuple[Factor, str], FactorOption] = {}
    read = []
    for name in (*FACTOR_FILES, *MOVE_FILES):
        source = TomlText(name, packaged(name))
        read += _read_options(source, {}, options)
        read += _read_moves(source, {}, moves)
    _check_links(read, moves, options)
    return Catalogue(MappingProxyType(moves), MappingProxyType(options))


@lru_cache(maxsize=8)
def _merged(path: str, text: str) -> Catalogue:
    raw: dict[str, dict[str, Any]] = {"moves": {}}
    for name in (*FACTOR_FILES, *MOVE_FILES):
        data = TomlText(name, packaged(name)).data
        raw["moves"] |= data.get("moves", {})
        for factor, entries in data.get("factors", {}).items():
            raw[factor] = raw.get(factor, {}) | entries
    moves, options = dict(_packaged().moves), dict(_packaged().options)
    source = TomlText(path, text)
    for key in source.data:
        if key not in ("moves", "factors"):
            raise _unknown(source, (key,), f"unknown key {key!r}; known here: moves, factors")
    read = [*_read_options(source, raw, options), *_read_moves(source, raw["moves"], moves)]
    _check_links(read, moves, options)
    own = frozenset((one.factor, one.key) for one, _ in read if isinstance(one, FactorOption))
    return Catalogue(MappingProxyType(moves), MappingProxyType(options), own)


def _deep_moves(moves: Mapping[str, Move]) -> Mapping[str, Move]:
    """Return moves with what deep water says of them; what a user changed stays changed."""
    told = TomlText(DEEP_WORDS, packaged(DEEP_WORDS)).data["deep"]
    own = _packaged().moves
    found = {}
    for key, move in moves.items():
        values = {
            name: tuple(value) if isinstance(value, list) else value
            for name, value in told.get(key, {}).items()
            if key in own and getattr(move, name) == getattr(own[key], name)
        }
        found[key] = replace(move, **values) if values else move
    return MappingProxyType(found)


def _read_options(
    source: TomlText,
    raw: dict[str, dict[str, Any]],
    options: dict[tuple[Factor, str], FactorOption],
) -> list[tuple[FactorOption | Move, Table]]:
    """Read the options of source over the raw ones of the same key; add them to options."""
    read: list[tuple[FactorOption | Move, Table]] = []
    for name, entries in table_at(
        source, ("factors",), source.data.get("factors", {})
    ).data.items():
        factor = next((f for f in Factor if f.replace(" ", "_") == name), None)
        if factor is None:
            known = ", ".join(f.replace(" ", "_") for f in Factor)
            problem = f"unknown factor {name!r}; known: {known}"
            raise _unknown(source, ("factors", name), problem)
        for key, entry in table_at(source, ("factors", name), entries).data.items():
            own = table_at(source, ("factors", name, key), entry)
            own.data = {**raw.get(name, {}).get(key, {}), **own.data}
            options[factor, key] = read_option(factor, key, own)
            read.append((options[factor, key], own))
    return read


def _read_moves(
    source: TomlText, raw: dict[str, Any], moves: dict[str, Move]
) -> list[tuple[FactorOption | Move, Table]]:
    """Read the moves of source over the raw ones of the same key; add them to moves."""
    read: list[tuple[FactorOption | Move, Table]] = []
    for key, entry in table_at(source, ("moves",), source.data.get("moves", {})).data.items():
        own = table_at(source, ("moves", key), entry)
        own.data = {**raw.get(key, {}), **own.data}
        moves[key] = read_move(key, own)
        read.append((moves[key], own))
    return read


def _check_links(
    read: list[tuple[FactorOption | Move, Table]],
    moves: Mapping[str, Move],
    options: Mapping[tuple[Factor, str], FactorOption],
) -> None:
    """Raise TextFileError where an entry names a move or an option that does not exist."""

    def must_be(own: Table, field: str, value: str, known: Iterable[str]) -> None:
        names = sorted(known)
        if value and value not in names:
            raise own.error(field, f"{field} {value!r}: needs one of {', '.join(names)}")

    for record, own in read:
        if isinstance(record, Move):
            must_be(own, "arms", record.arms, (k for f, k in options if f is Factor.ARMS))
            known = (k for f, k in options if f is Factor.ARM_SYMMETRY)
            must_be(own, "arm_symmetry", record.arm_symmetry, known)
            must_be(own, "deep_equivalent", record.deep_equivalent, moves)
            must_be(own, "easier", record.easier, moves)
            must_be(own, "harder", record.harder, moves)
        else:
            for tag in record.fits:
                must_be(own, "fits", tag, KNOWN_TAGS.union(moves))
            for tag in record.unfit:
                must_be(own, "unfit", tag, KNOWN_TAGS.union(moves))
            must_be(own, "effect", str(dict(record.effect).get("partner", "")), moves)


def _unknown(source: TomlText, place: tuple[str | int, ...], problem: str) -> TextFileError:
    """Return the error for a table that should not be, at the first header that names it."""
    inner: Any = source.data
    for key in place:
        inner = inner[key]
    deepest = place
    while source.line_of(deepest) is None and isinstance(inner, dict) and inner:
        first = next(iter(inner))
        deepest, inner = (*deepest, first), inner[first]
    return source.error(deepest, problem)
