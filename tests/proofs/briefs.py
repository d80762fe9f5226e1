"""The fifteen briefs of ``tests/briefs``, planned and reviewed, a line each.

``python -m proofs.briefs [--only 03] [--out FOLDER]`` from ``tests``; docs/planning.md says what
was read in the plans. The songs are invented (``song_shelf``). What a trainer would change is
counted too (``trainer_edits``). With --out each plan is written in its short form, to be read.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from song_shelf import shelf
from trainer_demands import unmet
from trainer_edits import built, edits

from aquatempo.documents.brief import read_brief
from aquatempo.documents.short_form import short_text
from aquatempo.planning.class_plan import plan_class
from aquatempo.planning.late import trim_late
from aquatempo.planning.twin import twin_plan
from aquatempo.records.plan import ClassPlan
from aquatempo.review.plan_review import review_plan

__all__ = ["BRIEFS", "TEMPOS", "main", "plans_of"]

BRIEFS = Path(__file__).parent.parent / "briefs"
# fmt: off
TEMPOS = (96, 100, 104, 108, 112, 115, 118, 120, 122, 124, 126, 128, 130, 131, 132, 133, 134, 135,
          136, 138, 140, 142, 145, 148, 98, 94, 92, 88, 84, 76)
# fmt: on
LATE_MINUTES = 7.0


def plans_of(path: Path) -> list[ClassPlan]:
    """Return the plan of a brief, its twin for both depths, and a late one where it is named so."""
    file = read_brief(str(path))
    plans = [plan_class(shelf([float(t) for t in TEMPOS]), file.brief, lines=file.lines)]
    if file.brief.twin:
        plans.append(twin_plan(plans[0]))
    if "late" in path.stem:
        plans.append(trim_late(plans[0], LATE_MINUTES))
    return plans


def main() -> None:
    """Plan the briefs and print what review and the trainer's demands find."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--only", default="")
    asked.add_argument("--out", type=Path)
    told = asked.parse_args()
    for path in sorted(BRIEFS.glob(f"{told.only}*.toml")):
        started = time.process_time()
        for number, plan in enumerate(plans_of(path)):
            found = review_plan(plan)
            words = [f"{one.severity.value}: {one.fault.value}" for one in found.findings]
            spent = time.process_time() - started
            print(f"{path.stem} {number}: {spent:.0f} s, {found.minutes:.1f} minutes")
            print("   review:", words or "nothing")
            print("   demands:", unmet(plan) or "all met", flush=True)
            told_edits = edits(plan)
            print(f"   edits: {len(told_edits)}; {built(plan)}")
            for line in told_edits:
                print("      ", line, flush=True)
            if told.out is not None:
                told.out.mkdir(parents=True, exist_ok=True)
                (told.out / f"{path.stem}_{number}.plan").write_text(short_text(plan))


if __name__ == "__main__":
    main()
