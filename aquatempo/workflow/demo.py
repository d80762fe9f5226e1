"""The main job on the sample audio: the job behind ``aquatempo demo``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from aquatempo.documents.brief import read_brief
from aquatempo.errors import InputError
from aquatempo.exports.check_csv import check_csv
from aquatempo.moves import catalogue
from aquatempo.records.check import CheckReport
from aquatempo.records.plan import ClassPlan
from aquatempo.store.manifest import Manifest
from aquatempo.store.results import refuse_folder, write_result
from aquatempo.workflow import planning
from aquatempo.workflow.checking import check
from aquatempo.workflow.exporting import SONG_FORMATS, ExportOptions, export_class

__all__ = ["DemoReport", "demo", "sample_folder"]


@dataclass(frozen=True, slots=True)
class DemoReport:
    """What the demo did: the check of the sample tracks, the plan, the files written."""

    check: CheckReport
    plan: ClassPlan
    files: tuple[str, ...]


def sample_folder() -> str:
    """Return the folder of the sample audio: in the package, or beside it in a checkout."""
    packaged = Path(str(resources.files("aquatempo"))) / "sample_audio"
    checkout = packaged.parent.parent / "sample_audio"
    for folder in (packaged, checkout):
        if folder.is_dir():
            return str(folder)
    raise InputError("the sample audio is not installed: take it from the source of aquatempo")


def demo(
    folder: str = "aquatempo-demo",
    progress: Callable[[str, int, int], None] | None = None,
    *,
    songs: bool = True,
) -> DemoReport:
    """Check the sample tracks, plan a class of them all, and write what goes to the deck.

    The class lasts as long as the tracks do, each used once. Files of an earlier demo in
    the folder are replaced. songs: also what carries the songs, which are our own.
    progress is told (what, done, of all). Raises OutputError.
    """

    def told(what: str) -> Callable[[int, int], None] | None:
        if progress is None:
            return None
        return lambda done, total: progress(what, done, total)

    refuse_folder(folder, Path(folder))
    samples = sample_folder()
    first = [Path(folder) / "check.csv", Path(folder) / "plan.toml"]
    results = Manifest(Path(folder))
    results.refuse_foreign(first)
    checked = check([samples], progress=told("checking"))
    results.begin(first)
    write_result(first[0], check_csv(checked), force=True)
    planned = planning.plan(
        [samples],
        read_brief(str(Path(samples) / "brief.toml")),
        out=str(first[1]),
        all_once=True,
        progress=progress,
        force=True,
    )
    results.finish(first)
    options = ExportOptions(songs=tuple(SONG_FORMATS) if songs else (), force=True, own_only=True)
    report = export_class(planned.plan, folder, catalogue(), options, told("writing"))
    files = (str(first[0]), *planned.written, *report.files)
    return DemoReport(checked, planned.plan, files)
