"""The tab Class: plans, their changes and reviews, long work on them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from aquatempo.errors import InputError
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan_page import (
    AlternativeShown,
    BriefForm,
    JobShown,
    PlanChange,
    PlanEntry,
    PlanKind,
    PlanShown,
)
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Done, Endpoint
from aquatempo.workflow.plan_desk import brief_of, brief_words
from aquatempo.workflow.plan_jobs import PlanTask
from aquatempo.workflow.water import read_water

__all__ = [
    "Again",
    "BriefAsked",
    "BriefWords",
    "Choices",
    "KeptPlan",
    "PlanChanged",
    "PlanList",
    "PlanMoved",
    "PlanText",
    "Spoken",
    "WhereIn",
    "endpoints",
]


@dataclass(frozen=True, slots=True)
class Spoken:
    """The language of names."""

    language: str = "en"


@dataclass(frozen=True, slots=True)
class WhereIn:
    """A place in a plan, and the language of names."""

    place: str
    language: str = "en"


@dataclass(frozen=True, slots=True)
class BriefAsked:
    """What is asked of a class, and the language of its calls."""

    form: BriefForm
    language: str = "en"


@dataclass(frozen=True, slots=True)
class BriefWords:
    """What a brief may name: notes of people, themes, moves of the depth with their names."""

    notes: tuple[str, ...]
    themes: tuple[str, ...]
    builds: tuple[str, ...]
    moves: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PlanList:
    """The plans that are kept, and long work."""

    plans: tuple[PlanEntry, ...]
    job: JobShown


@dataclass(frozen=True, slots=True)
class PlanText:
    """A plan as text, with the name of its file."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan that is now kept: its id."""

    id: str


@dataclass(frozen=True, slots=True)
class PlanChanged:
    """A change to a plan, and the state that it was made on."""

    revision: str
    change: PlanChange
    language: str = "en"


@dataclass(frozen=True, slots=True)
class PlanMoved:
    """The state of a plan that a window shows, to be undone or done again."""

    revision: str
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Again:
    """Plan again around what is locked. songs: other songs may come in."""

    revision: str
    songs: bool = False


@dataclass(frozen=True, slots=True)
class Choices:
    """What else might be done."""

    choices: tuple[AlternativeShown, ...]


def endpoints(desk: Desk) -> tuple[Endpoint, ...]:
    """Return what the tab Class asks for."""
    plans, work = desk.plans, desk.work

    def listed() -> PlanList:
        return PlanList(plans.entries(), work.shown)

    def words(spoken: Spoken) -> BriefWords:
        return BriefWords(*brief_words(read_water(), spoken.language))

    def new(asked: BriefAsked) -> JobShown:
        water = read_water()
        brief = brief_of(asked.form, water, asked.language)
        files = desk.music.files_for(brief.depth, asked.form.songs, asked.form.place)
        if not files:
            raise InputError("no song is heard that suits this class: open some music first")
        task = PlanTask("plan", files, brief, all_once=asked.form.all_once)
        return work.start_new(task, PlanKind.PLANNED)

    def opened(given: PlanText) -> KeptPlan:
        return KeptPlan(plans.open_text(given.name, given.text))

    def show(key: str, spoken: Spoken) -> PlanShown:
        shown = plans.show(key, spoken.language)
        plans.prepare(key, weighing(key))
        return shown

    def weighing(key: str) -> Callable[[int, int], None]:
        return lambda done, of: desk.news.tell("choices", key, done=done, all=of)

    def choices(key: str, where: WhereIn) -> Choices:
        found = plans.alternatives(key, where.place, where.language, weighing(key))
        return Choices(found)

    def told(key: str, language: str) -> PlanShown:
        shown = plans.show(key, language)
        desk.news.tell("plan", key, revision=shown.revision)
        return shown

    def change(key: str, asked: PlanChanged) -> PlanShown:
        plans.change(key, asked.change, asked.revision)
        return told(key, asked.language)

    def stepping(by: int) -> Callable[[str, PlanMoved], PlanShown]:
        def step(key: str, asked: PlanMoved) -> PlanShown:
            plans.step(key, by, asked.revision)
            return told(key, asked.language)

        return step

    def again(key: str, asked: Again) -> JobShown:
        depth = ClassDepth(plans.plan(key).brief.depth)
        files = desk.music.files_for(depth, (), "") if asked.songs else ()
        task = PlanTask("again", files, text=plans.text(key))
        return work.start_on(key, task, PlanKind.AGAIN, asked.revision)

    def twin(key: str) -> JobShown:
        return work.start_new(PlanTask("twin", text=plans.text(key)), PlanKind.TWIN)

    def others(key: str, spoken: Spoken) -> JobShown:
        plan = plans.plan(key)
        files = desk.music.files_for(ClassDepth(plan.brief.depth), (), "")
        if not files:
            raise InputError("no song is heard that suits this class: open some music first")
        task = PlanTask("others", files, text=plans.text(key), language=spoken.language)
        return work.start_others(task)

    def drop(key: str) -> Done:
        plans.drop(key)
        desk.news.tell("plan", key)
        return Done()

    def text(key: str) -> bytes:
        return plans.text(key).encode()

    def job() -> JobShown:
        return work.shown

    at, toml = "/api/plans/{key}", "application/toml"
    return (
        Endpoint("GET", "/api/plans", "Plans that are kept", listed, PlanList),
        Endpoint("GET", "/api/brief", "What a brief may name", words, BriefWords, Spoken),
        Endpoint("POST", "/api/plans/new", "Plan a class", new, JobShown, BriefAsked),
        Endpoint("POST", "/api/plans/open", "Open a plan", opened, KeptPlan, PlanText),
        Endpoint("GET", at, "A plan with its review", show, PlanShown, Spoken),
        Endpoint("GET", f"{at}/plan.toml", "A plan as a file", text, bytes, media=toml),
        Endpoint("GET", f"{at}/choices", "What else fits", choices, Choices, WhereIn),
        Endpoint("POST", f"{at}/change", "Change a plan", change, PlanShown, PlanChanged),
        Endpoint("POST", f"{at}/undo", "Take back", stepping(-1), PlanShown, PlanMoved),
        Endpoint("POST", f"{at}/redo", "Do again", stepping(1), PlanShown, PlanMoved),
        Endpoint("POST", f"{at}/again", "Plan the rest again", again, JobShown, Again),
        Endpoint("POST", f"{at}/twin", "Plan its twin", twin, JobShown),
        Endpoint("POST", f"{at}/others", "Plan other classes", others, JobShown, Spoken),
        Endpoint("POST", f"{at}/drop", "Remove a plan", drop, Done),
        Endpoint("GET", "/api/job", "Long work", job, JobShown),
        Endpoint("POST", "/api/job/stop", "Stop long work", work.stop, JobShown),
    )
