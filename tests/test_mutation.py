"""The mutation tester itself: it changes what it says, in memory, and covers every part."""

from __future__ import annotations

from importlib.util import module_from_spec

import pytest
from mutation.changes import PACKAGE, ROOT, Change, Changed, Part, changed, changes_to, parts

# Parts that compute nothing, or only read, write, show and hand on.
NOT_CHANGED = {"cli", "files.py", "music", "records", "store", "training", "workflow"}
NOT_CHANGED |= {"errors.py", "public.py", "__init__.py", "__main__.py"}


@pytest.fixture(scope="module")
def known() -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Return the parts and operators of parts.toml."""
    return parts()


def test_every_computing_part_is_covered(known: tuple[tuple[Part, ...], tuple[str, ...]]) -> None:
    """Each part of the package is changed by the tester, or named here as one that is not."""
    covered = {file.relative_to(PACKAGE).parts[0] for part in known[0] for file in part.code}
    there = {path.name for path in PACKAGE.iterdir() if path.suffix in ("", ".py")}
    there -= {"__pycache__", "sample_audio"}
    assert there - covered <= NOT_CHANGED


def test_a_change_is_made_in_memory_alone(known: tuple[tuple[Part, ...], tuple[str, ...]]) -> None:
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
    known: tuple[tuple[Part, ...], tuple[str, ...]],
) -> None:
    """No operator of parts.toml is misspelt, and a part offers changes that alter its source."""
    chosen, operators = known
    assert len(operators) > 50
    (cues,) = (part for part in chosen if part.name == "cues")
    found = list(changes_to(cues, operators))
    assert len({one.operator for one in found}) > 20
    first: Change = found[0]
    assert changed(first) != (ROOT / first.file).read_text(encoding="utf-8")
