"""Verdicts on moves, for people."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rich.console import Console
from rich.text import Text

from aquatempo.cli.views.marks import Grade, graded
from aquatempo.cli.views.table import show_table
from aquatempo.cli.views.words import kept_words, pool_words
from aquatempo.records.people import Pool
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.verdict import ImpactBand, Rating, Verdict
from aquatempo.units import percent

__all__ = ["ESTIMATE", "grade_of", "show_verdicts"]

ESTIMATE = (
    "Estimates from physics and published tables, for planning. They clear nobody for anything: "
    "follow the site's rules, and a health professional for each participant."
)
FIGURES = (
    *("verdict", "range kept", "weak to strong", "full range for", "full range up to"),
    *("effort, RPE 6-20", "MET", "can be held", "impact", "goes first", "limited by"),
    "what to change",
)
FEW = 4  # forms of moves that are shown in detail rather than in a grid
OPTION_NAMES = {option.value: option.words.removesuffix(" tempo") for option in TempoOption}
HALF = OPTION_NAMES["4"].removesuffix(" water")  # a narrow terminal does without it: it goes
A_CLASS_S = 3600.0  # what can be held longer is told as a class


def show_verdicts(
    console: Console, tempo_bpm: float, pool: Pool, verdicts: Sequence[Verdict]
) -> None:
    """Show verdicts: few moves in detail, many as a grid of moves by tempo option.

    console: the terminal; tempo_bpm: of the music [beats/min]; pool: judged for.
    """
    console.print(f"At {tempo_bpm:.1f} bpm, {pool_words(pool)}:")
    forms: dict[tuple[str, object], list[Verdict]] = {}
    for verdict in verdicts:
        forms.setdefault((verdict.name, verdict.variation), []).append(verdict)
    shapes = {tuple(verdict.pattern for verdict in some) for some in forms.values()}
    if len(forms) > FEW and len(shapes) == 1:
        _show_grid(console, list(forms.values()))
        console.print("Name a move (--move) for its figures, cautions and what else to change.")
    else:
        _show_details(console, verdicts)
        cautions = dict.fromkeys((v.name, caution) for v in verdicts for caution in v.cautions)
        for name, caution in cautions:
            console.print(f"{name}: {caution}.")
    console.print(ESTIMATE)


def _show_grid(console: Console, forms: Sequence[Sequence[Verdict]]) -> None:
    patterns = [verdict.pattern for verdict in forms[0]]
    names = (OPTION_NAMES.get(text, text).removesuffix(" water") for text in patterns)
    headings = ["move", *names, "what to do"]
    rows: list[list[str | Text]] = [
        [some[0].name, *(_cell(console, verdict) for verdict in some), _what_to_do(some)]
        for some in forms
    ]
    show_table(
        console,
        headings,
        rows,
        free_text="what to do",
        spare=[name for name in headings[1:-1] if name == HALF],
        whole=headings[1:-1],
    )
    size = forms[0][0].full_of[1]
    console.print(
        f"15/{size}, 12: full range for 15 of {size}, at an effort of RPE 12 (6 to 20) for the "
        "middle of the group; 75 %, 14: it keeps 75 % of the range. Lost: less than half is left, "
        "another move (a knee lift has become a jog, a ski a shuffle) or off the beat."
    )
    console.print(
        "Up to 150-165: the middle half of what the limit may be for somebody here, from how "
        "people differ and from how sure the model is."
    )


def _show_details(console: Console, verdicts: Sequence[Verdict]) -> None:
    """Show a table a move, a column a tempo option."""
    for name, some in groupby(verdicts, key=lambda verdict: verdict.name):
        told = list(some)
        options = [OPTION_NAMES.get(one.pattern, one.pattern) for one in told]
        rows = zip(FIGURES, *(_figures(console, one) for one in told), strict=True)
        wanted = [row for row in rows if any(row[1:])]
        show_table(console, (name, *options), wanted)


def _figures(console: Console, verdict: Verdict) -> tuple[str | Text, ...]:
    """Return what stands in the column of a verdict, in the order of FIGURES."""
    return (
        graded(console, verdict.rating.value, grade_of(verdict)),
        kept_words(verdict),
        f"{percent(verdict.range_kept.low)} to {percent(verdict.range_kept.high)}",
        f"{verdict.full_of[0]} of {verdict.full_of[1]}",
        _limit(verdict),
        f"{verdict.rpe.median:.0f}, less fit {verdict.rpe.high:.0f}",
        f"{verdict.met.median:.1f}, {percent(verdict.capacity_share[0])} of the maximum",
        _held(verdict),
        _impact(verdict),
        verdict.given_up[0] if verdict.given_up else "",
        verdict.limited_by,
        verdict.advice[0].words if verdict.advice else "",
    )


def grade_of(verdict: Verdict) -> Grade:
    """Return whether a form goes as it is, goes smaller or harder, or does not go."""
    if verdict.rating is Rating.FULL:
        return Grade.GOOD
    if verdict.rating in (Rating.FULL_HARD, Rating.A_LITTLE_SHORT, Rating.NOT_RATED):
        return Grade.PARTLY
    return Grade.BAD


def _cell(console: Console, verdict: Verdict) -> Text:
    return graded(console, _kept(verdict), grade_of(verdict))


def _kept(verdict: Verdict) -> str:
    if verdict.rating in (Rating.NOT_RATED, Rating.NOT_FEASIBLE):
        return verdict.rating.value
    kept = kept_words(verdict)
    if verdict.rating.is_full:
        kept = "{}/{}".format(*verdict.full_of)
    if verdict.rating is Rating.LOST:
        return f"lost {kept}"
    return f"{kept}, {verdict.rpe.median:.0f}"


def _what_to_do(some: Sequence[Verdict]) -> str:
    """Return the quickest option that keeps full range, or the first advice on the last one."""
    smaller = ""
    for verdict in some:
        if verdict.rating is Rating.A_LITTLE_SHORT and not smaller:
            option = OPTION_NAMES.get(verdict.pattern, verdict.pattern)
            smaller = f"{option} but smaller, or "
        if verdict.rating.is_full:
            option = OPTION_NAMES.get(verdict.pattern, verdict.pattern)
            hard = ", very hard" if verdict.rating is Rating.FULL_HARD else ""
            limit = verdict.limit
            if limit.likely_bpm is None or smaller:
                return f"{smaller}{option}{hard}"
            return f"{smaller}{option}{hard}, up to {limit.low_bpm:.0f}-{limit.high_bpm:.0f}"
    advice = some[-1].advice
    return advice[0].words if advice else f"limited by {some[-1].limited_by}"


def _limit(verdict: Verdict) -> str:
    """Return the limit, and what of its width is people and what is model."""
    limit = verdict.limit
    if not limit.likely_bpm:
        return limit.words
    people, model = (f"{low:.0f}-{high:.0f}" for low, high in (limit.people_bpm, limit.model_bpm))
    return f"{limit.words} bpm (people {people}, model {model})"


def _held(verdict: Verdict) -> str:
    less_fit, median = verdict.full_held_s
    if median <= 1.0:
        return "full range not at all"
    middle = "as long as a class" if median >= A_CLASS_S else _time(median)
    return (
        f"full range {middle}"
        if median <= less_fit
        else (f"full range {middle}, less fit {_time(less_fit)}")
    )


def _time(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"


def _impact(verdict: Verdict) -> str:
    if verdict.impact is ImpactBand.NONE:
        return verdict.impact.value
    return f"{verdict.impact.value}, {verdict.impact_bw:.1f} body weights"
