"""Records for a window in its language: of each kind, the fields that the library composed."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TypeVar, cast

__all__ = ["in_language"]

T = TypeVar("T")

_SAID = {
    "Refusal": ("error",),
    "PlanShown": ("prompts", "because", "left_out", "notes"),
    "FindingShown": ("reason", "remedy"),
    "JobShown": ("error",),
    "MusicRow": ("failure", "notes"),
    "VariationRow": ("why",),
    "MoveShown": ("cautions",),
    "Advice": ("words",),
    "PoolShown": ("notes",),
    "MadeFolder": ("error",),
}


def in_language(record: T, language: str) -> T:
    """Return a record, and all that is in it, as a window in a language shows it.

    record: what goes out; language: code of the window's. What a person typed, and fields that
    programs compare, are left as they are.
    """
    if language == "en":
        return record
    return cast("T", _record(record, language))


def _record(record: object, language: str) -> object:
    if isinstance(record, tuple):
        return tuple(_record(one, language) for one in record)
    if not is_dataclass(record) or isinstance(record, type):
        return record
    chosen = _SAID.get(type(record).__name__, ())
    changed: dict[str, object] = {}
    for field in fields(record):
        value = getattr(record, field.name)
        told = _said(value, language) if field.name in chosen else _record(value, language)
        if told is not value:
            changed[field.name] = told
    return replace(record, **changed) if changed else record


def _said(value: object, language: str) -> object:
    from aquatempo.workflow.saying import said

    if isinstance(value, str):
        return said(value, language)
    return tuple(_said(one, language) for one in value) if isinstance(value, tuple) else value
