"""Notes on people: which of the documented ones a text names, and what each asks of a class.

The vocabulary is data, ``data/notes.toml``: every note with its defaults and where they
come from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from aquatempo.class_shape.tables import packaged
from aquatempo.records.brief import Experience
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.verdict import ImpactBand

__all__ = ["DEFER", "Note", "notes_named", "vocabulary"]

DEFER = "the site's rules and the participant's health professional decide"


@dataclass(frozen=True, slots=True)
class Note:
    """What one note asks by default; see the head of ``data/notes.toml``.

    rpe, max_rpe: Borg 6 to 20; warm_up, cool_down: least minutes [min]; water_c: coolest
    and warmest water for it [degrees Celsius].
    """

    key: str
    does: str
    source: str
    words: tuple[str, ...]
    unless: tuple[str, ...] = ()
    source_for: str = ""
    max_impact: ImpactBand | None = None
    max_level: ImpactLevel | None = None
    rpe: tuple[float, float] | None = None
    max_rpe: float | None = None
    banned: tuple[str, ...] = ()
    experience: Experience | None = None
    warm_up: float = 0.0
    cool_down: float = 0.0
    water_c: tuple[float, float] | None = None
    calm: bool = False
    health: bool = False
    cautions: tuple[str, ...] = ()

    @property
    def told_source(self) -> str:
        """Where it comes from, as a person reads it."""
        if self.source == "common practice":
            return "common practice, no source"
        return f"{self.source}: {self.source_for}" if self.source_for else self.source


@cache
def vocabulary() -> dict[str, Note]:
    """Return every documented note by its key.

    >>> vocabulary()["pregnancy"].max_impact
    <ImpactBand.LOW: 'low'>
    """
    found = {}
    for key, row in packaged("notes")["notes"].items():
        values = dict(row)
        for name in ("words", "unless", "banned", "cautions", "rpe", "water_c"):
            if name in values:
                values[name] = tuple(values[name])
        for name, kind in (
            ("max_impact", ImpactBand),
            ("max_level", ImpactLevel),
            ("experience", Experience),
        ):
            if name in values:
                values[name] = kind(values[name])
        found[key] = Note(key=key, **values)
    return found


def notes_named(texts: Sequence[str]) -> tuple[tuple[tuple[str, Note], ...], tuple[str, ...]]:
    """Return (text, note) for each note that texts name, and the texts that name none.

    A text may name several; a note that another one of the same text makes more exact
    (knee, of a knee replacement) is left out.

    >>> named, unknown = notes_named(["two with knee replacement", "they like waltzes"])
    >>> [note.key for _, note in named], unknown
    (['knee replacement'], ('they like waltzes',))
    """
    named: list[tuple[str, Note]] = []
    unknown = []
    for text in texts:
        said = text.lower()
        mine = [note for note in vocabulary().values() if _names(note, said)]
        mine = [
            note
            for note in mine
            if not any(note is not other and note.key in other.key.split() for other in mine)
        ]
        named += [(text, note) for note in mine]
        if not mine:
            unknown.append(text)
    return tuple(named), tuple(unknown)


def _names(note: Note, said: str) -> bool:
    for word in note.unless:
        said = said.replace(word, " ")
    return any(word in said for word in note.words)
