"""What a brief, notes, ages, a course and rules leave of a class, each by itself and together.

The numbers of notes are those of ``class_shape/data/notes.toml`` (with their sources there);
efforts by intensity are those of the ACSM (Garber 2011), the ceilings common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from planning_forms import form_of

from aquatempo.class_shape.bans import ban_named
from aquatempo.class_shape.limits import BANDS, LEVELS, Limits, limits_of, lower
from aquatempo.class_shape.notes import DEFER, Note, notes_named
from aquatempo.records.brief import (
    Brief,
    Course,
    Experience,
    HouseRules,
    PartBrief,
    PartName,
    SongBrief,
)
from aquatempo.records.moves import ImpactLevel, MoveKind
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.records.plan import Because
from aquatempo.records.verdict import ImpactBand

LOW, MEDIUM, HIGH = ImpactBand.LOW, ImpactBand.MEDIUM, ImpactBand.HIGH
JACK = form_of("jack")


def asked(intensity: Intensity = Intensity.STEADY, **others: object) -> Brief:
    """Return a brief of people of 30 to 50."""
    group = Group(age_years=(30.0, 50.0), intensity=intensity)
    return replace(Brief(group=group), **others)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("intensity", "rpe", "max_rpe", "impact", "experience", "bans"),
    [
        (Intensity.EASY, (9.5, 11.5), 12.5, LOW, Experience.REGULAR, 5),
        (Intensity.STEADY, (12.0, 14.0), 15.5, MEDIUM, Experience.REGULAR, 0),
        (Intensity.HARD, (14.0, 17.0), 19.0, HIGH, Experience.TRAINED, 0),
    ],
)
def test_an_intensity_has_its_effort_and_ceilings(
    intensity: Intensity, rpe: tuple[float, float], max_rpe: float, impact: ImpactBand,
    experience: Experience, bans: int,
) -> None:  # fmt: skip
    """Light, moderate, vigorous; nobody is banned anything but in an easy class."""
    found = limits_of(asked(intensity))
    assert (found.rpe, found.max_rpe, found.max_impact) == (rpe, max_rpe, impact)
    assert (found.experience, len(found.bans)) == (experience, bans)
    assert (found.max_level, found.calm, found.older) == (ImpactLevel.POWER, False, False)
    assert (found.warm_up, found.cool_down, found.because, found.cautions) == (0.0, 0.0, (), ())


def test_lines_of_a_brief_overrule_its_intensity() -> None:
    """Effort with its ceiling one and a half above, band, level, experience; easy bans fall."""
    found = limits_of(
        asked(
            Intensity.EASY, rpe=(13.0, 15.0), max_impact=HIGH, max_level=ImpactLevel.II,
            experience=Experience.BEGINNERS, banned=("turns",),
        )
    )  # fmt: skip
    assert (found.rpe, found.max_rpe) == ((13.0, 15.0), 16.5)
    assert (found.max_impact, found.max_level) == (HIGH, ImpactLevel.II)
    assert found.experience is Experience.BEGINNERS
    assert [(of, ban.key) for of, ban in found.bans] == [("banned", "body turns")]


def test_an_easy_class_lets_through_what_is_allowed_and_hanging_in_deep_water() -> None:
    """Jumps allowed by name; suspended is what deep water is."""
    let = limits_of(asked(Intensity.EASY, allow=("big jumps",)))
    assert [ban.key for _, ban in let.bans] == ["land tempo", "power", "suspended", "open hands"]
    deep = limits_of(asked(Intensity.EASY, depth=ClassDepth.DEEP))
    assert [ban.key for _, ban in deep.bans] == ["land tempo", "power", "jumps", "open hands"]
    assert {of for of, _ in deep.bans} == {"intensity easy"}


@pytest.mark.parametrize(
    ("first", "second", "least"), [(LOW, MEDIUM, LOW), (HIGH, LOW, LOW), (MEDIUM, None, MEDIUM)]
)
def test_of_two_bands_the_lower(first: ImpactBand, second: ImpactBand | None, least: str) -> None:
    """None is no ceiling."""
    assert lower(first, second) == least


@pytest.mark.parametrize("low", range(5))
@pytest.mark.parametrize("high", range(5))
def test_a_ceiling_under_a_level_is_the_lower_of_both(low: int, high: int) -> None:
    """From off the floor over grounded, II and I to power."""
    names = ["III", "grounded", "II", "I", "power"]
    assert [level.value for level in LEVELS] == names
    limits = replace(limits_of(asked()), max_level=LEVELS[high])
    assert limits.under(max_level=LEVELS[low]).max_level is LEVELS[min(low, high)]
    assert limits.under().max_level is LEVELS[high]
    form = replace(JACK, level=LEVELS[low])
    told = f"max_level {names[high]}" if low > high else ""
    assert limits.excludes(form) == told


def test_a_form_above_the_band_is_left_out() -> None:
    """At the ceiling it stays, above it goes; a stretch is never left out by either."""
    limits = replace(limits_of(asked()), max_impact=MEDIUM)
    found = [limits.excludes(JACK, band) for band in BANDS]
    assert found == ["", "", "", "max_impact medium"]
    assert limits.excludes(JACK) == ""
    stretch = replace(JACK, move=replace(JACK.move, kind=MoveKind.STRETCH))
    assert limits.excludes(stretch, HIGH) == ""
    levels = replace(limits, allowed_levels=(ImpactLevel.II, ImpactLevel.GROUNDED))
    assert levels.excludes(JACK) == "rules: level I is not among the allowed"
    assert levels.excludes(replace(JACK, level=ImpactLevel.II)) == ""
    banned = replace(limits, bans=(("note", ban_named("rebound")),))
    assert banned.excludes(JACK) == "note: no rebound"


def test_parts_and_songs_have_their_own_ceilings() -> None:
    """A song is told by title, path or file name; others have what the class has."""
    part = PartBrief(PartName.MAIN, 30.0, max_impact=LOW, max_level=ImpactLevel.II)
    song = SongBrief("slow.ogg", max_impact=LOW)
    brief = asked(parts=(PartBrief(PartName.WARM_UP, 5.0), part), songs=(SongBrief("x"), song))
    limits = limits_of(brief)
    main = limits.of_part(brief, PartName.MAIN)
    assert (main.max_impact, main.max_level) == (LOW, ImpactLevel.II)
    assert limits.of_part(brief, PartName.WARM_UP) == limits
    assert limits.of_part(brief, PartName.STRETCH) is limits
    for title, file in (("slow.ogg", "a"), ("t", "slow.ogg"), ("t", "music/new/slow.ogg")):
        assert limits.of_song(brief, title, file).max_impact is LOW
    assert limits.of_song(brief, "slow", "music/slow.ogg/a") is limits


@pytest.mark.parametrize(
    ("notes", "rpe", "max_rpe"),
    [
        (("asthma",), (12.0, 14.0), 14.0),  # effort to 14 at most
        (("heart",), (10.0, 13.0), 13.0),  # 10 to 13 and never above
        (("pregnancy",), (11.0, 14.0), 14.5),  # 11 to 14, half a point of play
        (("first week",), (9.5, 12.0), 12.5),
        (("heart", "first week"), (9.5, 12.0), 12.5),  # of two the lower
        (("first week", "heart"), (9.5, 12.0), 12.5),
        (("beginners",), (12.0, 14.0), 15.5),
    ],
)
def test_notes_cap_effort(notes: tuple[str, ...], rpe: tuple[float, float], max_rpe: float) -> None:
    """A steady class of 12 to 14 up to 15.5, as its notes leave it."""
    found = limits_of(asked(group_notes=notes))
    assert (found.rpe, found.max_rpe) == (rpe, max_rpe)


def test_a_cap_keeps_a_point_between_low_and_high() -> None:
    """Hard work is 14 to 17: with multiple sclerosis at most 13, so 12 to 13."""
    found = limits_of(asked(Intensity.HARD, group_notes=("multiple sclerosis",)))
    assert (found.rpe, found.max_rpe) == ((12.0, 13.0), 13.0)
    told = "effort stays at RPE 13, though intensity = hard was asked"
    assert found.because[-1] == Because("multiple sclerosis", told)
    over = limits_of(asked(Intensity.HARD, group_notes=("asthma", "heart"), rpe=(14.0, 16.0)))
    assert over.because[-1] == Because("lungs and heart", "hard work was asked all the same")
    easy = limits_of(asked(group_notes=("asthma",), rpe=(14.0, 16.0)))
    assert [one.of for one in easy.because] == ["asthma (lungs)"]


def test_what_a_note_does_is_told_with_what_overrules_it() -> None:
    """Each line of the brief that lets something through all the same, in one text."""
    brief = asked(
        group_notes=("two with a heart condition",), rpe=(12.0, 15.0), allow=("level power",)
    )
    (told,) = limits_of(brief).because
    assert (told.of, told.overruled) == (
        "two with a heart condition", "allow = level power; rpe = 12-15",
    )  # fmt: skip
    assert limits_of(brief).rpe == (12.0, 15.0)
    assert "power" not in {ban.key for _, ban in limits_of(brief).bans}
    new = asked(
        group_notes=("pregnancy",), max_impact=MEDIUM, max_level=ImpactLevel.POWER, rpe=(11, 14)
    )
    found = limits_of(new)
    wanted = "rpe = 11-14; max_impact = medium; max_level = power"
    assert found.because[0].overruled == wanted
    assert (found.max_impact, found.max_level) == (MEDIUM, ImpactLevel.POWER)
    first = asked(group_notes=("first week",), experience=Experience.TRAINED)
    assert limits_of(first).because[0].overruled == "experience = trained"
    same = asked(
        group_notes=("first week",), experience=Experience.FIRST_WEEK, max_impact=LOW,
        max_level=ImpactLevel.II,
    )  # fmt: skip
    assert limits_of(same).because[0].overruled == ""


def test_a_note_has_the_ceilings_of_its_depth() -> None:
    """Pregnancy: low impact, level II; in deep water no level is left to choose."""
    shallow = limits_of(asked(group_notes=("pregnancy",)))
    assert (shallow.max_impact, shallow.max_level) == (LOW, ImpactLevel.II)
    deep = limits_of(asked(group_notes=("pregnancy",), depth=ClassDepth.DEEP))
    assert (deep.max_impact, deep.max_level) == (LOW, ImpactLevel.POWER)


def test_the_longest_warm_up_of_all_notes_holds() -> None:
    """Balance asks for 8 minutes, the heart for 10 and 8 at the end; either way round."""
    for notes in (("unsteady", "heart"), ("heart", "unsteady")):
        found = limits_of(asked(group_notes=notes))
        assert (found.warm_up, found.cool_down, found.calm) == (10.0, 8.0, True)
    assert not limits_of(asked(group_notes=("knee",))).calm


@pytest.mark.parametrize(("youngest", "older"), [(59.9, False), (60.0, True), (75.0, True)])
def test_a_group_from_60_on_is_older(youngest: float, older: bool) -> None:
    """By its ages, named so, or by a note that says it."""
    brief = asked(group=Group(age_years=(youngest, 80.0)))
    found = limits_of(brief)
    assert (found.older, found.calm, found.warm_up) == (older, older, 8.0 if older else 0.0)
    assert [one.of for one in found.because] == [f"ages {youngest:.0f}-80 (older)"] * older
    named = limits_of(replace(brief, group_notes=("seniors",)))
    assert [one.of for one in named.because] == ["seniors (older)"]
    assert named.older


def test_the_least_of_what_was_done_before_holds() -> None:
    """Of trained people and some in their first week, the first week."""
    both = limits_of(asked(Intensity.HARD, group_notes=("trained", "first week")))
    assert both.experience is Experience.FIRST_WEEK
    assert limits_of(asked(group_notes=("trained",))).experience is Experience.TRAINED


@pytest.mark.parametrize(
    ("week", "step", "most", "intensity", "rpe", "told"),
    [
        (1, 0.25, 1.5, Intensity.STEADY, (12.0, 14.0), ""),
        (2, 0.25, 1.5, Intensity.STEADY, (12.25, 14.25), "effort +0.25 in week 2"),
        (5, 0.25, 1.5, Intensity.STEADY, (13.0, 15.0), "effort +1 in week 5"),
        (9, 0.25, 1.5, Intensity.STEADY, (13.5, 15.5), "effort +1.5 in week 9"),
        (9, 0.0, 1.5, Intensity.STEADY, (12.0, 14.0), ""),
        (9, 1.0, 4.0, Intensity.STEADY, (14.5, 15.5), "effort +1.5 in week 9"),
    ],
)
def test_a_course_raises_effort_by_the_week(
    week: int, step: float, most: float, intensity: Intensity, rpe: tuple[float, float], told: str
) -> None:
    """A quarter point a week up to its most, a point under the ceiling at its low end."""
    course = Course(week=week, rpe_step=step, rpe_most=most)
    found = limits_of(asked(intensity, course=course))
    assert found.rpe == rpe
    source = f"{step:g} a week, {most:g} at most"
    assert found.because == ((Because("course", told, source),) if told else ())


def test_rules_of_the_house_are_overruled_by_nothing() -> None:
    """The lower effort and band, the longer warm-up; bans by the title of the rules."""
    rules = HouseRules(
        title="Own rules", banned=("jumps",), levels=(ImpactLevel.II,), max_impact=LOW,
        max_rpe=13.0, warm_up_minutes=6.0, cool_down_minutes=7.0,
    )  # fmt: skip
    found = limits_of(asked(rules=rules, rpe=(13.0, 16.0), allow=("jumps",)))
    assert (found.max_rpe, found.rpe, found.max_impact) == (13.0, (12.0, 13.0), LOW)
    assert (found.warm_up, found.cool_down) == (6.0, 7.0)
    assert [(of, ban.key) for of, ban in found.bans] == [("Own rules", "jumps")]
    assert found.allowed_levels == (ImpactLevel.II,)
    loose = limits_of(asked(rules=HouseRules(banned=("jumps",), max_rpe=18.0)))
    assert (loose.max_rpe, loose.rpe, loose.bans[0][0]) == (15.5, (12.0, 14.0), "rules")
    none = limits_of(asked(Intensity.HARD, rules=HouseRules()))
    assert (none.max_rpe, none.rpe) == (19.0, (14.0, 17.0))
    most = limits_of(asked(rpe=(19.0, 20.0), rules=HouseRules()))
    assert most.rpe == (19.0, 20.0)
    notes = limits_of(asked(group_notes=("heart",), rules=rules))
    assert (notes.warm_up, notes.cool_down, notes.rpe) == (10.0, 8.0, (10.0, 13.0))


def test_a_text_that_names_nothing_is_told() -> None:
    """It has no effect, and says so."""
    found = limits_of(asked(group_notes=("they like waltzes",)))
    assert found.unknown == ("they like waltzes",)
    told = "no effect: it is not among the notes that a plan acts on"
    assert found.because == (Because("they like waltzes", told),)


@pytest.mark.parametrize(
    ("intensity", "oldest", "rpe", "told"),
    [
        (Intensity.HARD, 70.0, None, True),
        (Intensity.HARD, 69.0, None, False),
        (Intensity.STEADY, 80.0, None, False),
        (Intensity.STEADY, 80.0, (13.0, 15.0), False),
        (Intensity.STEADY, 80.0, (13.0, 15.5), True),
    ],
)
def test_hard_work_with_people_of_70_is_left_to_others(
    intensity: Intensity, oldest: float, rpe: tuple[float, float] | None, told: bool
) -> None:
    """Above 15, or hard by name, with anybody of 70 or more: the health professional decides."""
    group = Group(age_years=(30.0, oldest), intensity=intensity)
    words = f"hard work with people of up to {oldest:.0f} years: {DEFER}"
    assert (words in limits_of(asked(group=group, rpe=rpe)).cautions) is told


@pytest.mark.parametrize(("water_c", "told"), [(25.9, True), (26.0, False), (29.1, True)])
def test_water_outside_the_usual_of_a_note_is_told(water_c: float, told: bool) -> None:
    """Multiple sclerosis: 26 to 29 degrees."""
    brief = asked(group_notes=("one with multiple sclerosis",), pool=Pool(temperature_c=water_c))
    words = f"multiple sclerosis: water of 26 to 29 C is usual, here {water_c:g}"
    found = limits_of(brief).cautions
    assert (words in found) is told
    assert found[0] == "one with multiple sclerosis: mind the heat; rest before tired"
    assert f"multiple sclerosis: {DEFER}" in found
    assert DEFER not in str(limits_of(asked(group_notes=("beginners",))).cautions)


def test_an_exact_note_stands_for_the_wider_one() -> None:
    """A new knee is no sore knee; a knee lift is neither; two notes in a text are two."""
    assert [n.key for _, n in notes_named(["new knee, trained"])[0]] == [
        *("trained", "knee replacement"),
    ]
    assert notes_named(["knee lift"]) == ((), ("knee lift",))
    assert [n.key for _, n in notes_named(["untrained beginners"])[0]] == ["beginners"]
    note = Note("own", "", "a book", ())
    assert note.told_source == "a book"
    assert replace(note, source_for="this").told_source == "a book: this"
    assert replace(note, source="common practice").told_source == "common practice, no source"


def test_limits_without_any_line_let_all_through() -> None:
    """A class without ceilings."""
    assert Limits(Experience.REGULAR, (12.0, 14.0), 15.0).excludes(JACK, HIGH) == ""
