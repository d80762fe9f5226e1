"""What every record of the package keeps."""

from __future__ import annotations

import inspect
from dataclasses import is_dataclass
from importlib import import_module
from pkgutil import walk_packages

import aquatempo

# What is filled while something is put together, and never handed out.
WORKING = {"_RowDraft", "CardSide", "_Work", "_Worker", "Clock", "Ledger", "Passages"}


def records() -> list[type]:
    """Return the dataclasses that are defined in the package, training left out."""
    names = [module.name for module in walk_packages(aquatempo.__path__, "aquatempo.")]
    wanted = [name for name in names if ".training" not in name and "__main__" not in name]
    return [
        found
        for name in wanted
        for _, found in inspect.getmembers(import_module(name), inspect.isclass)
        if is_dataclass(found) and found.__module__ == name
    ]


def test_results_cannot_be_changed() -> None:
    """Every dataclass but those named is frozen, and every record has its fields and no others."""
    every = records()
    open_ones = {one.__name__ for one in every if not vars(one)["__dataclass_params__"].frozen}
    assert open_ones == WORKING
    loose = [
        one.__name__
        for one in every
        if one.__module__.startswith("aquatempo.records") and "__slots__" not in vars(one)
    ]
    assert loose == []
