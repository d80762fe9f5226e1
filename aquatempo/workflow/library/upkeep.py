"""A library looked over and copied."""

from __future__ import annotations

from pathlib import Path

from aquatempo.store.library import soundness
from aquatempo.store.results import refuse_target
from aquatempo.workflow.library.opening import open_books

__all__ = ["backup_library", "look_over"]


def look_over(library: str | None = None, *, mend: bool = False) -> tuple[str, ...]:
    """Return what is wrong in a library (None: the user's own), one line each.

    mend: let tracks whose analysis is damaged wait to be heard again. Raises InputError where
    the file cannot be opened at all, OutputError.
    """
    with open_books(library) as books:
        found = soundness.faults(books)
        if mend and found:
            soundness.hear_damaged_again(books)
        return found


def backup_library(target: str, *, library: str | None = None) -> None:
    """Write a whole copy of a library (None: the user's own), also while it is written.

    target: a new file that ends in .sqlite. Raises InputError, OutputError.
    """
    refuse_target(target, "backup", (".sqlite",), force=False)
    with open_books(library) as books:
        soundness.copy_to(books, Path(target))
