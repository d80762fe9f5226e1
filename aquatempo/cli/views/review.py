"""What a review found, for people."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.judge import ESTIMATE
from aquatempo.records.plan import ClassPlan
from aquatempo.records.review import PRACTICE, Fault, Finding, Review, Severity
from aquatempo.units import clock, percent

__all__ = ["show_review"]

_MEANS = {
    Severity.ERROR: "cannot be done, or may hurt someone",
    Severity.WARNING: "breaks a rule of the craft",
    Severity.ADVICE: "may be left",
}
_MANY = {Severity.ERROR: "errors", Severity.WARNING: "warnings", Severity.ADVICE: "advice"}
_SHARES = 6  # largest shares of muscles shown
_INDENT = 2


def show_review(console: Console, plan: ClassPlan, review: Review) -> None:
    """Show findings, worst first, then the figures they rest on and what to mind.

    console: the terminal; plan: that was reviewed; review: what was found.
    """
    console.print(
        f"{one_line(plan.brief.title)}: {len(plan.tracks)} tracks, {review.minutes:.1f} of"
        f" {plan.brief.minutes:g} minutes, {review.jump_minutes:.1f} minutes of jumps on deck."
    )
    for severity in Severity:
        some = [one for one in review.findings if one.severity is severity]
        if some:
            name = severity.value if len(some) == 1 else _MANY[severity]
            console.print()
            console.print(Text(f"{len(some)} {name}: {_MEANS[severity]}", style="bold"))
            for one in some:
                _show_finding(console, plan, one)
    console.print()
    if not review.findings:
        console.print("Nothing to say against it.")
    if review.balance:
        shares = review.balance[: 2 + _planes(review) + _SHARES]
        words = ", ".join(f"{name} {percent(share)}" for name, share in shares)
        console.print(f"Shares of the work: {words}.")
    if review.prompts:
        console.print("\nTo mind:")
        for prompt in review.prompts:
            console.print(Padding(Text(one_line(prompt)), (0, 0, 0, _INDENT), expand=False))
    console.print(ESTIMATE)


def _planes(review: Review) -> int:
    known = {"sagittal", "frontal", "transverse", "vertical"}
    return sum(name in known for name, _ in review.balance)


def _show_finding(console: Console, plan: ClassPlan, one: Finding) -> None:
    console.print(
        Padding(Text(f"{_place(plan, one)}: {one.fault.value}"), (0, 0, 0, _INDENT), expand=False)
    )
    told = [one.reason, f"Remedy: {one.remedy}"]
    if one.source != PRACTICE:
        told.append(f"Source: {one.source}")
    for words in told:
        console.print(Padding(Text(f"{one_line(words)}."), (0, 0, 0, 3 * _INDENT), expand=False))


def _place(plan: ClassPlan, one: Finding) -> str:
    if not one.track or one.track > len(plan.tracks):
        return "the file" if one.fault is Fault.FILE else "the class"
    title = one_line(plan.tracks[one.track - 1].title)
    words = f"{clock(60.0 * one.minute)}, track {one.track} ({title})"
    if one.phrase:
        words += f", phrase {one.phrase}"
    return words + (f", block {one.block}" if one.block > 1 else "")
