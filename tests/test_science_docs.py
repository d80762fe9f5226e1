"""The published tables of limits are what the model says today."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


def _tables() -> ModuleType:
    path = ROOT / "docs/figures/science_tables.py"
    spec = importlib.util.spec_from_file_location("science_tables", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.long
def test_the_limits_page_is_not_stale() -> None:
    """docs/limits.md is what docs/figures/science_tables.py writes, to the last number."""
    assert (ROOT / "docs/limits.md").read_text("utf-8") == _tables().limits_page()


def test_the_sensitivity_page_covers_every_free_input() -> None:
    """docs/sensitivity.md has a row for each free input, and for excursions and options."""
    from aquatempo.feasibility import input_ranges

    text = (ROOT / "docs/sensitivity.md").read_text("utf-8")
    for name in input_ranges():
        told = "every excursion" if name == "excursion" else name
        assert f"| {told} |" in text
