"""The published tables of limits are what the model says today."""

from __future__ import annotations

import importlib.util
import os
import re
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


def _script(name: str) -> ModuleType:
    path = ROOT / f"docs/figures/{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.long
def test_the_limits_page_is_not_stale() -> None:
    """docs/limits.md is what docs/figures/science_tables.py writes, to the last number."""
    assert (ROOT / "docs/limits.md").read_text("utf-8") == _script("science_tables").limits_page()


@pytest.mark.long
def test_the_figures_of_the_science_page_are_drawn_from_the_model(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """docs/figures/make_science.py runs, and its curves are those of the figures kept.

    The two quickest with the model in them; versions of matplotlib differ in the rest of the
    file, so that only the places of the curves are compared, to half a point of the page.
    """
    drawn_with_us()
    monkeypatch.syspath_prepend(str(ROOT / "docs/figures"))
    names = ("limb_drag", "weight_on_feet")
    _script("make_science").main(tmp_path, names)
    for name in names:
        kept = curves((ROOT / f"docs/figures/{name}.svg").read_text("utf-8"))
        new = curves((tmp_path / f"{name}.svg").read_text("utf-8"))
        assert [len(one) for one in new] == [len(one) for one in kept]
        for ours, theirs in zip(new, kept, strict=True):
            assert ours == pytest.approx(theirs, abs=0.5)


def drawn_with_us() -> None:
    """Skip where matplotlib is missing, but not in CI."""
    if not os.environ.get("CI"):
        pytest.importorskip("matplotlib")


def curves(svg: str) -> list[list[float]]:
    """Return the coordinates of the long paths of a picture, in points."""
    paths = re.findall(r'<path d="([^"]+)"', svg)
    found = [[float(x) for x in re.findall(r"-?[0-9.]+", path)] for path in paths]
    return [path for path in found if len(path) > 60]


def test_the_sensitivity_page_covers_every_free_input() -> None:
    """docs/sensitivity.md has a row for each free input, and for excursions and options."""
    from aquatempo.feasibility import input_ranges

    text = (ROOT / "docs/sensitivity.md").read_text("utf-8")
    for name in input_ranges():
        told = "every excursion" if name == "excursion" else name
        assert f"| {told} |" in text
