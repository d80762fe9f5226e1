"""What the main commands print at four widths is what was looked at and recorded."""

from __future__ import annotations

from pathlib import Path

import pytest
from terminal_views import FOLDER, RULE, VIEWS, WIDTHS, prepared, view


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the songs and the plan that the views are of."""
    folder = tmp_path_factory.mktemp("class")
    prepared(folder)
    return folder


def recorded(name: str, width: int) -> str:
    """Return a view as it was recorded."""
    parts = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").split(RULE)
    (text,) = [part for part in parts if part.startswith(f" {width} columns")]
    return text.partition("\n")[2].rstrip("\n") + "\n"


SLOW = ("alternatives", "judge")  # a search, and every move in every tempo option


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.long] * (name in SLOW)) for name in VIEWS]
)
def test_a_view_is_as_recorded(desk: Path, name: str) -> None:
    """A view at one width is that of its file: ``python terminal_views.py`` makes them anew."""
    width = WIDTHS[list(VIEWS).index(name) % len(WIDTHS)]
    assert view(desk, VIEWS[name], width).rstrip("\n") + "\n" == recorded(name, width)


@pytest.mark.parametrize("name", VIEWS)
def test_no_recorded_view_is_wider_than_its_terminal(name: str) -> None:
    """Every line keeps to the width but those that name a folder, and tables stay tables."""
    for width in WIDTHS:
        text = recorded(name, width)
        wide = [line for line in text.splitlines() if len(line) > width and "FOLDER" not in line]
        assert wide == []
        # A list of entries has headings set in by two, one a row.
        assert not any(line.startswith("  impact  ") for line in text.splitlines())
        assert "-0.0" not in text
        assert "100 % no" not in text
