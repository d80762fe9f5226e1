"""The mutation tester itself: it changes what it says, in memory, and covers every part."""

from __future__ import annotations

from importlib.util import module_from_spec
from pathlib import Path

import pytest
from mutation.changes import PACKAGE, ROOT, Change, Changed, Part, changed, changes_to, parts
from mutation.reaching import Reach

Known = tuple[tuple[Part, ...], tuple[str, ...], tuple[Path, ...]]

# Parts that compute nothing, or only read, write, show and hand on.
NOT_CHANGED = {"cli", "figures", "files.py", "music", "records", "store"}
NOT_CHANGED |= {"training", "web", "workflow"}
NOT_CHANGED |= {"errors.py", "public.py", "__init__.py", "__main__.py"}


@pytest.fixture(scope="module")
def known() -> Known:
    """Return the parts and operators of parts.toml."""
    return parts()


def test_every_computing_part_is_covered(known: Known) -> None:
    """Each part of the package is changed by the tester, or named here as one that is not."""
    covered = {file.relative_to(PACKAGE).parts[0] for part in known[0] for file in part.code}
    there = {path.name for path in PACKAGE.iterdir() if path.suffix in ("", ".py")}
    there -= {"__pycache__", "sample_audio"}
    assert there - covered <= NOT_CHANGED


def test_a_change_is_made_in_memory_alone(known: Known) -> None:
    """A beat of 60 s over the tempo becomes 60 s times it in the module, and not in its file."""
    (units,) = (part for part in known[0] if part.name == "units")
    before = (PACKAGE / "units.py").read_text(encoding="utf-8")
    line = before.splitlines().index("    return 60.0 / tempo_bpm") + 1
    (change,) = (
        one
        for one in changes_to(units, ("core/ReplaceBinaryOperator_Div_Mul",))
        if (one.file, one.line) == ("aquatempo/units.py", line)
    )
    loader = Changed(change)
    spec = loader.find_spec("aquatempo.units")
    assert spec is not None
    module = module_from_spec(spec)
    loader.exec_module(module)
    assert module.seconds_per_beat(120.0) == 60.0 * 120.0
    assert loader.find_spec("aquatempo.errors") is None
    assert (PACKAGE / "units.py").read_text(encoding="utf-8") == before


def test_each_part_has_changes_of_many_kinds(
    known: Known,
) -> None:
    """No operator of parts.toml is misspelt, and a part offers changes that alter its source."""
    chosen, operators, _ = known
    assert len(operators) > 50
    (cues,) = (part for part in chosen if part.name == "cues")
    found = list(changes_to(cues, operators))
    assert len({one.operator for one in found}) > 20
    first: Change = found[0]
    assert changed(first) != (ROOT / first.file).read_text(encoding="utf-8")


def test_tests_that_run_a_changed_function_are_asked_first() -> None:
    """A test that runs it is asked before the quicker one beside it; other files are not asked."""
    file, told = "aquatempo/units.py", PACKAGE / "units.py"
    line = told.read_text(encoding="utf-8").splitlines().index("    return 60.0 / tempo_bpm") + 1
    seconds = {"test_a.py::test_1": 3.0, "test_a.py::test_2": 1.0, "test_b.py::test_3": 1.0}
    seconds["test_a.py::test_long"] = 40.0
    reach = Reach(seconds, {file: {line: frozenset({"test_a.py::test_1"}), 1: frozenset()}})
    inside, outside = (Change("units", file, "core/NumberReplacer", 0, at) for at in (line, 1))
    assert reach.asked(inside) == ["test_a.py::test_1", "test_a.py::test_2"]
    assert reach.asked(outside) == ["test_a.py::test_1", "test_a.py::test_2"]
