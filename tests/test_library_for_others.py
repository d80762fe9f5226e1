"""The library as others use it: plain scripts, what loads when, what is listed and told."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import nbformat
import pytest

import aquatempo

ROOT = Path(__file__).parent.parent
SAMPLES = ROOT / "sample_audio"
HEAVY = ("numpy", "scipy", "librosa", "pandas", "polars", "soundfile", "av", "ortools", "rich")


def run_script(folder: Path, text: str, *options: str) -> subprocess.CompletedProcess[str]:
    """Run a plain script, as a user saves it, in a process of its own."""
    script = folder / "script.py"
    script.write_text(text, encoding="utf-8")
    return subprocess.run(
        [sys.executable, *options, str(script)],
        capture_output=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, "XDG_CACHE_HOME": str(folder / "cache")},
        check=False,
    )


def test_a_plain_script_hears_in_parallel(tmp_path: Path) -> None:
    """A script without a guard for its main part hears several files, and runs only once."""
    for name in ("one", "two"):
        shutil.copy(SAMPLES / "whistle_at_seven.ogg", tmp_path / f"{name}.ogg")
    with (tmp_path / "two.ogg").open("ab") as changed:
        changed.write(b"\0")  # another file, so that both are heard
    ran = run_script(
        tmp_path,
        "import aquatempo\n"
        "print('begins')\n"
        "tracks = list(aquatempo.listen('one.ogg', 'two.ogg', jobs=2))\n"
        "print([type(track).__name__ for track in tracks], __file__[-9:])\n",
    )
    assert ran.returncode == 0, ran.stderr
    # Each line once: the processes that hear did not run the script again.
    assert ran.stdout.splitlines() == ["begins", "['Track', 'Track'] script.py"]


def test_importing_loads_nothing_and_a_name_loads_only_its_own(tmp_path: Path) -> None:
    """``import aquatempo`` loads no library, a record only records, a verdict no decoder."""
    ran = run_script(
        tmp_path,
        "import sys, aquatempo\n"
        f"heavy = {HEAVY!r}\n"
        "print([name for name in heavy if name in sys.modules])\n"
        "print([name for name in sys.modules if name.startswith('aquatempo.')])\n"
        "aquatempo.Pool(depth_m=1.2)\n"
        "print([name for name in heavy if name in sys.modules])\n"
        "aquatempo.judge(132.0, moves=['jack'])\n"
        "print([name for name in ('av', 'soundfile', 'pandas', 'ortools') if name in sys.modules])",
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.splitlines() == ["[]"] * 4


def test_every_listed_name_is_there() -> None:
    """Each name in ``__all__`` can be taken, and nothing public is left out of ``dir``."""
    assert len(set(aquatempo.__all__)) == len(aquatempo.__all__)
    assert [name for name in aquatempo.__all__ if not hasattr(aquatempo, name)] == []
    assert set(aquatempo.__all__) <= set(dir(aquatempo))


def test_a_name_that_is_not_there_is_refused() -> None:
    """An unknown name raises AttributeError, as of any module."""
    with pytest.raises(AttributeError, match="no attribute 'hearr'"):
        aquatempo.hearr  # noqa: B018


if TYPE_CHECKING:
    # The types behind the lazy names reach the user: mypy, which warns of ignores without a cause,
    # finds the wrong argument.
    _heard: aquatempo.Track = aquatempo.hear("song.ogg")
    aquatempo.judge(_heard, 1.2)  # type: ignore[arg-type]


def test_the_main_job_is_five_lines_of_what_is_told() -> None:
    """The docstring of the package shows the main job in five lines of listed functions."""
    shown = re.findall(r"^    \w+ = aquatempo\.(\w+)\(", aquatempo.__doc__ or "", re.MULTILINE)
    assert shown == ["hear", "judge", "plan", "cue", "export"]
    assert set(shown) <= set(aquatempo.__all__)


@pytest.fixture(scope="module")
def pages() -> ModuleType:
    """Return the script that makes the pages of docs/api."""
    spec = spec_from_file_location("make_api", ROOT / "docs/api/make_api.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_reference_tells_what_the_docstrings_say(pages: ModuleType) -> None:
    """docs/api/reference.md has every public name, with its signature and docstring of now."""
    written = (ROOT / "docs/api/reference.md").read_text(encoding="utf-8")
    assert written == pages.reference(), "run: python docs/api/make_api.py"
    told = re.findall(r"^### `(\w+)`$", written, re.MULTILINE)
    assert sorted(told) == sorted({*aquatempo.__all__} - {"__version__"})


@pytest.mark.long
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_the_notebook_prints_what_is_shown(pages: ModuleType) -> None:
    """The notebook runs from its first cell to its last and prints what it and its page show."""
    fresh = pages.executed()
    written = nbformat.read(pages.NOTEBOOK, as_version=4)
    assert [cell.get("outputs") for cell in written.cells] == [
        cell.get("outputs") for cell in fresh.cells
    ], "run: python docs/api/make_api.py"
    assert pages.PAGE.read_text(encoding="utf-8") == pages.page(fresh)
