"""The main job on the sample audio: the job behind ``aquatempo demo``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.exports.check_csv import check_csv
from aquatempo.moves import catalogue
from aquatempo.records.check import CheckReport
from aquatempo.records.people import Group, Pool
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.records.track import Track
from aquatempo.workflow.checking import check
from aquatempo.workflow.cueing import fill_track
from aquatempo.workflow.exporting import ExportOptions, export_class
from aquatempo.workflow.tracks import AS_USUAL, each_track
from aquatempo.workflow.writing import write_result

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
    folder: str = "aquatempo-demo", progress: Callable[[str, int, int], None] | None = None
) -> DemoReport:
    """Check the sample tracks, fill each with moves, and write all that goes to the deck.

    Files of an earlier demo in the folder are replaced. progress is told (what, done,
    of all). Raises OutputError.
    """

    def told(what: str) -> Callable[[int, int], None] | None:
        if progress is None:
            return None
        return lambda done, total: progress(what, done, total)

    samples = sample_folder()
    checked = check([samples], progress=told("checking"))
    write_result(Path(folder) / "check.csv", check_csv(checked), force=True)
    pool, group, source = Pool(), Group(), catalogue()
    tracks = [track for track in each_track([samples], AS_USUAL) if isinstance(track, Track)]
    plan = ClassPlan(
        brief=Brief(title="Tuesday group at the Lindenbad", pool=pool, group=group),
        tracks=tuple(fill_track(track, (), source, pool, group) for track in tracks),
    )
    report = export_class(plan, folder, source, ExportOptions(force=True), told("writing"))
    return DemoReport(checked, plan, (str(Path(folder) / "check.csv"), *report.files))
