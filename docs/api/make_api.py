"""Make the reference and the worked examples of the library.

Run ``python docs/api/make_api.py``, with the extra ``docs``, to renew all three files beside it:

- ``reference.md``: every public name with its signature and docstring, read by griffe.
- ``main_job.ipynb``: the worked examples, executed by nbclient; edit its cells in place.
- ``README.md``: the same examples as a page, with what they print.

Tests hold the files against a fresh run. The notebook runs in a folder that has the sample audio.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import griffe
import nbformat
from nbclient import NotebookClient

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
NOTEBOOK, PAGE, REFERENCE = (
    HERE / name for name in ("main_job.ipynb", "README.md", "reference.md")
)
SECTIONS = {
    "The job": ("public",),
    "On the way": ("documents", "workflow"),
    "To other libraries": ("interop",),
    "What is given and what comes back": ("records",),
    "What is raised": ("errors",),
}
CLASSES = "What is given and what comes back"
MOST_LINES = 24  # of what an example prints, shown on the page


def reference() -> str:
    """Return the reference as Markdown."""
    package = griffe.load("aquatempo", search_paths=[ROOT])
    names = [name for name in package.exports or () if str(name) != "__version__"]
    homes: dict[str, list[str]] = {title: [] for title in SECTIONS}
    for name in map(str, names):
        found = package[name].final_target
        part = found.path.split(".")[1]
        title = next((one for one, parts in SECTIONS.items() if part in parts), CLASSES)
        if found.is_class and part != "errors":
            title = CLASSES
        homes[title].append(f"### `{name}`\n\n{''.join(_told(found))}")
    pages = [f"## {title}\n\n" + "".join(told) for title, told in homes.items()]
    opening = (
        "# Reference of the library\n\n"
        "Made from the docstrings by `python docs/api/make_api.py`. Every name is one of "
        "`aquatempo`: `import aquatempo`, then `aquatempo.hear(...)`. [Worked examples](README.md) "
        "show them together. Records are frozen; their fields stand with types and defaults.\n\n"
    )
    return (opening + "".join(pages)).rstrip() + "\n"


def _told(found: Any) -> Iterator[str]:  # noqa: ANN401  griffe's objects have many classes
    if found.is_function:
        yield f"```python\n{_signature(found)}\n```\n\n"
    elif found.is_class:
        fields = [one for one in found.members.values() if one.is_attribute]
        lines = [
            f"{one.name}: {one.annotation}" + (f" = {one.value}" if one.value else "")
            if one.annotation
            else f"{one.name} = {one.value}"
            for one in fields
            if not one.name.startswith("_")
        ]
        bases = ", ".join(str(base) for base in found.bases)
        head = f"class {found.name}({bases}):" if bases else f"class {found.name}:"
        body = "\n".join(f"    {line}" for line in lines) or "    ..."
        yield f"```python\n{head}\n{body}\n```\n\n"
    elif found.is_attribute:
        yield f"```python\n{found.name} = {found.value}\n```\n\n"
    if found.docstring is not None:
        yield f"{_markdown(found.docstring.value)}\n\n"


def _signature(found: Any) -> str:  # noqa: ANN401
    """Return the signature, one parameter a line where one line would be long."""
    whole = f"{found.signature(name=found.name)}".replace("\n", " ")
    if len(whole) <= 100:
        return whole
    inner, _, back = whole.partition("(")[2].rpartition(") -> ")
    parameters = re.split(r", (?![^\[\(]*[\]\)])", inner)
    return f"{found.name}(\n" + "".join(f"    {one},\n" for one in parameters) + f") -> {back}"


def _markdown(docstring: str) -> str:
    """Return a docstring as Markdown: names in backticks, examples as code."""
    text = docstring.replace("``", "`")
    text = re.sub(r"::$", ":", text, flags=re.MULTILINE)
    return re.sub(
        r"^>>> .*?(?=\n\n|\Z)", lambda found: f"```pycon\n{found[0]}\n```", text,
        flags=re.MULTILINE | re.DOTALL,
    )  # fmt: skip


def executed() -> Any:  # noqa: ANN401  nbformat publishes no types
    """Return the notebook with what its cells print now."""
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    with tempfile.TemporaryDirectory() as folder:
        desk = Path(folder).resolve()
        shutil.copytree(ROOT / "sample_audio", desk / "sample_audio")
        before = os.environ.get("XDG_DATA_HOME")
        os.environ["XDG_DATA_HOME"] = str(desk / "data")  # nobody's own corrections
        try:
            client = NotebookClient(
                notebook,
                timeout=300,
                startup_timeout=180,
                record_timing=False,
                coalesce_streams=True,
            )
            client.execute(cwd=str(desk))
        finally:
            if before is None:
                del os.environ["XDG_DATA_HOME"]
            else:
                os.environ["XDG_DATA_HOME"] = before
    notebook.metadata = {"kernelspec": {"display_name": "Python 3", "name": "python3"}}
    return notebook


def page(notebook: Any) -> str:  # noqa: ANN401
    """Return the worked examples as Markdown, with what they print. notebook: executed."""
    parts = [
        "<!-- made from main_job.ipynb by docs/api/make_api.py: edit the notebook -->\n\n",
    ]
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            parts.append(f"{cell.source}\n\n")
            continue
        parts.append(f"```python\n{cell.source}\n```\n\n")
        if shown := "".join(_shown(cell)):
            parts.append(f"```text\n{shown}```\n\n")
    return "".join(parts).rstrip() + "\n"


def _shown(cell: Any) -> Iterator[str]:  # noqa: ANN401
    for output in cell.outputs:
        text = output.text if output.output_type == "stream" else output.data["text/plain"]
        lines = textwrap.dedent(text).rstrip().splitlines()
        if len(lines) > MOST_LINES:
            lines = [*lines[:MOST_LINES], f"({len(lines) - MOST_LINES} more lines)"]
        yield "".join(f"{line.rstrip()}\n" for line in lines)


if __name__ == "__main__":
    REFERENCE.write_text(reference(), encoding="utf-8")
    fresh = executed()
    NOTEBOOK.write_text(nbformat.writes(fresh) + "\n", encoding="utf-8")
    PAGE.write_text(page(fresh), encoding="utf-8")
