"""The catalogue of moves and factor options: the packaged one, and the user's own on top."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from aquatempo.errors import UnknownNameError
from aquatempo.moves.reading import read_move, read_option
from aquatempo.moves.rules import packaged
from aquatempo.moves.tags import KNOWN_TAGS
from aquatempo.records.moves import Factor, FactorOption, Move, MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.tomltext import TomlTable, need, read_toml

__all__ = ["Catalogue", "catalogue"]

MOVE_FILES = (
    *("base_legs.toml", "base_body.toml", "base_travel.toml"),
    *("holding.toml", "arms_only.toml", "deep.toml", "stretches.toml", "deep_stretches.toml"),
)
SAID_FILE = "said.toml"
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
    _at: dict[ClassDepth, Catalogue] = field(default_factory=dict, init=False, repr=False)

    def at(self, depth: ClassDepth) -> Catalogue:
        """Return the catalogue as it is said at a depth: in deep water nobody stands or lands.

        >>> catalogue().at(ClassDepth.DEEP).move("jack").easier
        'side-kick'
        """
        if depth not in self._at:
            deep = replace(self, moves=_deep_moves(self.moves))
            for one in (self, deep):
                one._at.update({ClassDepth.SHALLOW: self, ClassDepth.DEEP: deep})
        return self._at[depth]

    def move(self, key: str) -> Move:
        """Return a move by key, name, or what people say; raise UnknownNameError with the nearest.

        >>> catalogue().move("Jumping Jacks").key, catalogue().move("knee_lifts").key
        ('jack', 'knee-lift')
        """
        wanted = key.strip().lower()
        if wanted in self.moves:
            return self.moves[wanted]
        plain = " ".join(wanted.replace("-", " ").replace("_", " ").split())
        one = plain.removesuffix("s")
        for text in (plain, one):
            for move in self.moves.values():
                named = (move.name.lower(), move.spoken.lower(), move.key)
                if text in [name.replace("-", " ") for name in named]:
                    return move
            if _said().get(text) in self.moves:
                return self.moves[_said()[text]]
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
def _said() -> Mapping[str, str]:
    """Return what people call moves, beside their names: words, key."""
    return dict(read_toml(SAID_FILE, packaged(SAID_FILE)).table("said").data)


@lru_cache(maxsize=1)
def _packaged() -> Catalogue:
    read = [entry for source in _packaged_texts() for entry in _entries(source, {})]
    return _checked(read, {}, {})


@lru_cache(maxsize=8)
def _merged(path: str, text: str) -> Catalogue:
    raw: Raw = {}
    for packaged_text in _packaged_texts():
        for key, table in packaged_text.table("moves").inner():
            raw["moves", key] = table.data
        for factor, entries in packaged_text.table("factors").inner():
            raw |= {(factor, key): table.data for key, table in entries.inner()}
    source = read_toml(path, text)
    need("own moves", source)
    source.know(("moves", "factors"))
    found = _checked(list(_entries(source, raw)), _packaged().moves, _packaged().options)
    own = {(factor, key) for factor in Factor for key in _keys(source, factor)}
    return replace(found, own_options=frozenset(own))


def _deep_moves(moves: Mapping[str, Move]) -> Mapping[str, Move]:
    """Return moves with what deep water says of them; what a user changed stays changed."""
    told = read_toml(DEEP_WORDS, packaged(DEEP_WORDS)).table("deep").data
    own = _packaged().moves
    found = {}
    for key, move in moves.items():
        values: dict[str, Any] = {
            name: tuple(value) if isinstance(value, list) else value
            for name, value in told.get(key, {}).items()
            if key in own and getattr(move, name) == getattr(own[key], name)
        }
        found[key] = replace(move, **values) if values else move
    return MappingProxyType(found)


Raw = dict[tuple[str, str], Mapping[str, Any]]
"""Entries of the packaged texts: ("moves" or factor, key) -> keys and values."""


@lru_cache(maxsize=1)
def _packaged_texts() -> tuple[TomlTable, ...]:
    return tuple(read_toml(name, packaged(name)) for name in (*FACTOR_FILES, *MOVE_FILES))


def _keys(source: TomlTable, factor: Factor) -> Iterable[str]:
    """Return the keys of the options that a text has of a factor."""
    return source.table("factors").table(factor.replace(" ", "_")).data


def _entries(source: TomlTable, raw: Raw) -> Iterator[tuple[FactorOption | Move, TomlTable]]:
    """Yield the options and moves of a text over the packaged ones of their keys, with tables."""
    names = {factor.replace(" ", "_"): factor for factor in Factor}
    factors = source.table("factors")
    for name, entries in factors.inner():
        if name not in names:
            raise factors.error(name, f"unknown factor {name!r}; known: {', '.join(names)}")
        for key, table in entries.inner():
            whole = table.over(raw.get((name, key), {}))
            yield read_option(names[name], key, whole), whole
    for key, table in source.table("moves").inner():
        whole = table.over(raw.get(("moves", key), {}))
        yield read_move(key, whole), whole


def _checked(
    read: list[tuple[FactorOption | Move, TomlTable]],
    moves: Mapping[str, Move],
    options: Mapping[tuple[Factor, str], FactorOption],
) -> Catalogue:
    """Return what was read on top of earlier moves and options.

    Raises TextFileError where an entry names a move or an option that does not exist.
    """
    own_moves = {one.key: one for one, _ in read if isinstance(one, Move)}
    own_options = {(o.factor, o.key): o for o, _ in read if isinstance(o, FactorOption)}
    known = Catalogue(
        MappingProxyType({**moves, **own_moves}), MappingProxyType({**options, **own_options})
    )

    def must_be(table: TomlTable, field: str, value: str, names: Iterable[str]) -> None:
        if value and value not in names:
            listed = ", ".join(sorted(names))
            raise table.error(field, f"{field} {value!r}: needs one of {listed}")

    for record, table in read:
        if isinstance(record, Move):
            for field, factor in (("arms", Factor.ARMS), ("arm_symmetry", Factor.ARM_SYMMETRY)):
                keys = [option.key for option in known.options_of(factor)]
                must_be(table, field, getattr(record, field), keys)
            for field in ("deep_equivalent", "easier", "harder"):
                must_be(table, field, getattr(record, field), known.moves)
        else:
            for field, tags in (("fits", record.fits), ("unfit", record.unfit)):
                for tag in tags:
                    must_be(table, field, tag, KNOWN_TAGS.union(known.moves))
            partner = str(dict(record.effect).get("partner", ""))
            must_be(table, "effect", partner, known.moves)
    return known
