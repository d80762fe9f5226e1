"""Documents that stay true: links, the import table, the command reference, README commands."""

from __future__ import annotations

import re
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest
from test_architecture import BASE, MAY_IMPORT

from aquatempo.cli.reference import reference_markdown
from aquatempo.documents.brief import read_brief_text
from aquatempo.errors import TextFileError

ROOT = Path(__file__).parent.parent
DOCUMENTS = sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")])
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
SOURCE_KEY = re.compile(r"\b[a-z]+(?:-[a-z]+)*-(?:19|20)\d\d\b")


def headings(text: str) -> set[str]:
    """Return the anchors of a Markdown text as common renderers make them."""
    found = re.findall(r"^#+\s+(.+)$", text, re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", one.lower()).replace(" ", "-") for one in found}


def leads_nowhere(path: Path, target: str) -> bool:
    """Tell whether a link inside the project names a file or heading that does not exist."""
    file, _, anchor = target.partition("#")
    linked = (path.parent / file).resolve() if file else path
    if not linked.exists():
        return True
    headed = anchor and linked.suffix == ".md"
    return bool(headed) and anchor not in headings(linked.read_text(encoding="utf-8"))


def test_links_resolve() -> None:
    """Every link inside the project leads to a file or heading that exists."""
    links = [
        (path, target)
        for path in DOCUMENTS
        for target in LINK.findall(path.read_text(encoding="utf-8"))
        if not re.match(r"[a-z]+:", target)
    ]
    assert len(links) > 50
    assert [(path.name, target) for path, target in links if leads_nowhere(path, target)] == []


def script(name: str) -> ModuleType:
    """Return a script of the documents as a module."""
    spec = spec_from_file_location(Path(name).stem, ROOT / "docs" / name)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


OUTPUTS = script("howto/make_outputs.py")


@pytest.mark.long
@pytest.mark.parametrize("path", OUTPUTS.documents(), ids=lambda path: path.name)
def test_examples_print_what_is_shown(path: Path) -> None:
    """Each console example of a document runs, and prints what stands below it."""
    text = path.read_text(encoding="utf-8")
    assert text == OUTPUTS.renewed(text), "run: python docs/howto/make_outputs.py"


def test_every_output_is_shown() -> None:
    """No console example stands with dots in place of its output."""
    blocks = [
        block
        for path in OUTPUTS.documents()
        for block in OUTPUTS.BLOCK.findall(path.read_text("utf-8"))
    ]
    assert len(blocks) > 15
    assert [block for block in blocks if "\n...\n" in block] == []


def test_import_table_in_the_documents_is_the_tested_one() -> None:
    """docs/architecture.md prints the import table that tests/test_architecture.py holds."""
    rows = re.findall(
        r"^\| `(\w+)` \|[^|]*\| ([^|]+) \|$",
        (ROOT / "docs/architecture.md").read_text(encoding="utf-8"),
        re.MULTILINE,
    )
    everything = set(MAY_IMPORT) - {"workflow", "interop", "public", "cli", "web"}
    printed = {
        part: set()
        if may == "nothing of ours"
        else everything
        if may == "everything above"
        else everything | {"workflow"}
        if may == "everything above, workflow"
        else set(may.removeprefix("the base").strip(", ").split(", ")) - {""}
        | (BASE if may.startswith("the base") else set())
        for part, may in rows
    }
    assert printed == MAY_IMPORT
    assert set(MAY_IMPORT) >= BASE


def test_command_reference_is_fresh() -> None:
    """docs/cli.md says what the commands' help says."""
    written = (ROOT / "docs/cli.md").read_text(encoding="utf-8")
    assert written == reference_markdown(), "run: python -m aquatempo.cli.reference > docs/cli.md"


def test_readme_has_its_commands() -> None:
    """README.md has three commands to paste, a line each: the page, the main job, the tests."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert len(blocks) == 3
    assert all(block.count("\n") == 1 for block in blocks)
    assert "aquatempo page" in blocks[0]
    assert "aquatempo demo" in blocks[1]
    assert "pytest" in blocks[2]


def test_commands_named_in_documents_exist() -> None:
    """Every ``aquatempo ...`` written in a document is a command with the options it takes."""
    reference = re.split(r"^## ", reference_markdown(), flags=re.MULTILINE)[1:]
    known = {part.split()[0]: set(re.findall(r"`(--[\w-]+)`", part)) for part in reference}
    for path in DOCUMENTS:
        for line in re.findall(r"`aquatempo ([^`]+)`", path.read_text(encoding="utf-8")):
            name, *words = line.split()
            if name.startswith("-"):
                continue
            assert name in known, f"{path.name}: aquatempo {line}"
            options = {word.split("=")[0] for word in words if word.startswith("--")}
            assert options <= known[name], f"{path.name}: aquatempo {line}"


def test_every_source_key_is_in_the_list_of_sources() -> None:
    """Each source key of a packaged table (``de-leva-1996``) is explained in docs/sources.md."""
    listed = set(SOURCE_KEY.findall((ROOT / "docs/sources.md").read_text(encoding="utf-8")))
    tables = sorted(p for p in ROOT.glob("aquatempo/*/data/*") if p.suffix in (".csv", ".toml"))
    keys = {key for table in tables for key in SOURCE_KEY.findall(table.read_text("utf-8"))}
    assert len(keys) > 5
    assert keys - listed == set()


def test_every_command_has_a_how_to() -> None:
    """Each command is shown at work in at least one how-to."""
    shown = "".join(p.read_text(encoding="utf-8") for p in (ROOT / "docs/howto").glob("*.md"))
    commands = re.findall(r"^## (\w+)$", reference_markdown(), re.MULTILINE)
    assert commands
    assert [name for name in commands if f"aquatempo {name}" not in shown] == []


def test_every_key_of_a_brief_is_explained() -> None:
    """The how-to on planning names every key that a brief may hold."""
    explained = (ROOT / "docs/howto/plan-a-class.md").read_text(encoding="utf-8")
    for text in ("nonsense = 1", "[pool]\nnonsense = 1", "[group]\nnonsense = 1"):
        with pytest.raises(TextFileError, match="known here: ") as refused:
            read_brief_text("brief.toml", text)
        keys = str(refused.value).partition("known here: ")[2].split(", ")
        assert [
            key for key in keys if f"`{key}`" not in explained and f"[{key}]" not in explained
        ] == []


def test_every_how_to_is_listed() -> None:
    """docs/howto/README.md lists each how-to that there is."""
    listed = (ROOT / "docs/howto/README.md").read_text(encoding="utf-8")
    names = [p.name for p in (ROOT / "docs/howto").glob("*.md") if p.name != "README.md"]
    assert [name for name in names if f"({name})" not in listed] == []
