"""The water of the page: pool and group as typed, the group drawn in it, moves judged there."""

from __future__ import annotations

from dataclasses import asdict

from aquatempo.documents.move_requests import parse_moves
from aquatempo.documents.people import read_group, read_pool
from aquatempo.errors import InputError
from aquatempo.exports.group_picture import group_picture
from aquatempo.exports.labels import said_of_move
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.cues import CallWords
from aquatempo.records.figure import View
from aquatempo.records.moves import Move, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.variation import JudgedRung
from aquatempo.records.verdict import Rating, Verdict
from aquatempo.records.water_page import (
    ClassForm,
    MoveRow,
    MoveShown,
    PersonInWater,
    VariationRow,
    WaterShown,
)
from aquatempo.store.settings import load_setting, save_setting
from aquatempo.workflow.figures import figure_svg, middle_stature
from aquatempo.workflow.judging import judge as judge_class
from aquatempo.workflow.varying import vary

__all__ = [
    "class_of",
    "group_svg",
    "judged_moves",
    "move_svg",
    "pools_with",
    "read_form",
    "read_water",
    "show_move",
    "show_water",
    "write_water",
]

_POOL = ("depth", "temperature", "space", "salinity")
_GROUP = ("size", "women", "heights", "ages", "masses", "intensity")
_SHOWN = (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.HOLDING, MoveKind.ARMS_ONLY)
_LONGEST_TEXT = 4_000


def read_water() -> ClassForm:
    """Return the pool and group that the page was told last."""
    return load_setting("water", ClassForm())


def write_water(form: ClassForm) -> WaterShown:
    """Keep a pool and a group. Raises InputError for what no pool or group has."""
    shown = show_water(form)
    save_setting("water", form)
    return shown


def read_form(form: ClassForm) -> tuple[Pool, Group]:
    """Return what was typed as a pool and a group, usual where nothing was. Raises InputError.

    >>> read_form(ClassForm(depth="4ft"))[0].depth_m
    1.2192
    """
    typed = {name: text.strip() for name, text in asdict(form).items() if str(text).strip()}
    longest = max(map(len, map(str, typed.values())), default=0)
    if longest > _LONGEST_TEXT:
        raise InputError(f"a text of {longest} letters: at most {_LONGEST_TEXT} are kept")
    deep = form.kind is ClassDepth.DEEP
    pool = read_pool({key: typed[key] for key in _POOL if key in typed}, deep=deep)
    return pool, read_group({key: typed[key] for key in _GROUP if key in typed})


def class_of(form: ClassForm) -> tuple[tuple[Pool, ...], Group | None]:
    """Return what songs are judged for: the pool of a form among the usual two, and its group.

    A form that can no longer be read counts as the usual one.
    """
    try:
        pool, group = read_form(form)
    except InputError:
        return (), None
    return pools_with(pool), group


def pools_with(pool: Pool) -> tuple[Pool, ...]:
    """Return the usual pools, shallow and deep, with one in the place of its kind."""
    from aquatempo.workflow.checking import USUAL_POOLS

    return tuple(pool if one.kind is pool.kind else one for one in USUAL_POOLS)


def show_water(form: ClassForm) -> WaterShown:
    """Return a form as it was read, and where the water stands on the group. InputError."""
    from aquatempo.feasibility.depths import depths_on_group
    from aquatempo.feasibility.tempo_curve import tempo_range

    pool, group = read_form(form)
    people = tuple(
        PersonInWater(one.height_m, one.depth_m, one.landmark, one.kind, one.foot_load_bw)
        for one in depths_on_group(pool, group)
    )
    return WaterShown(
        form=form,
        depth_m=pool.depth_m,
        far_depth_m=pool.far_depth_m,
        temperature_c=pool.temperature_c,
        space_m2=pool.space_m2,
        size=group.size,
        women=group.women,
        height_m=group.height_m,
        age_years=group.age_years,
        mass_kg=group.mass_kg,
        intensity=group.intensity.value,
        people=people,
        tempo_bpm=tempo_range(pool, group),
    )


def group_svg(form: ClassForm, title: str, length_words: tuple[str, ...] = ()) -> str:
    """Return the short, the middle and the tall of a group in the water, to scale, as SVG.

    form: pool and group; title: read by screen readers. length_words: heights of the people and
    then depths, as they are to be written; none: in metres.
    """
    from aquatempo.figures import standing_figure

    shown = show_water(form)
    pool, _ = read_form(form)
    figures = [
        standing_figure(Pool(depth_m=one.depth_m, kind=pool.kind), one.height_m)
        for one in shown.people
    ]
    heights = [f"{one.height_m:.2f} m" for one in shown.people]
    depths = [f"{one.depth_m:.2f} m" for one in shown.people]
    if len(length_words) == 2 * len(figures):
        heights, depths = (
            list(length_words[: len(figures)]),
            list(length_words[len(figures) :]),
        )
    return group_picture(figures, heights, depths, title)


def judged_moves(
    form: ClassForm, tempo_bpm: float, pattern: str = "2", language: str = "en"
) -> tuple[MoveRow, ...]:
    """Return the moves of a depth judged at a tempo, full range first. Raises InputError.

    form: pool and group; tempo_bpm [beats/min]; pattern: counts a movement; language: of names,
    such as "de".
    """
    pool, group = read_form(form)
    known = [
        move for kind in _SHOWN for move in catalogue().of_kind(kind) if pool.kind in move.depths
    ]
    verdicts = judge_class(
        tempo_bpm,
        pool,
        group,
        moves=[move.key for move in known],
        patterns=(pattern,),
    )
    rows = [
        _row(verdict, move.kind.value, language)
        for move, verdict in zip(known, verdicts, strict=True)
    ]
    kinds = [kind.value for kind in _SHOWN]
    unrated = Rating.NOT_RATED.value
    return tuple(
        sorted(
            rows,
            key=lambda row: (
                kinds.index(row.kind),
                row.rating == unrated,
                -round(row.range_kept[1], 2),
            ),
        )
    )


def show_move(form: ClassForm, key: str, tempo_bpm: float, language: str = "en") -> MoveShown:
    """Return a move at length, judged in land, water and half water tempo, with variations.

    form: pool and group; key: of the move; tempo_bpm [beats/min]; language: of names. Raises
    UnknownNameError, InputError.
    """
    from aquatempo.cues.language import load_language
    from aquatempo.feasibility import range_curve
    from aquatempo.figures import view_of

    pool, group = read_form(form)
    move = catalogue().move(key)
    shape = resolve(move, None, pool.kind, catalogue())
    patterns = tuple(option.value for option in TempoOption)
    verdicts = judge_class(tempo_bpm, pool, group, moves=[key], patterns=patterns)
    rungs = vary(key, tempo_bpm, pool, group).rungs
    said = load_language(language).localise(CallWords(move.key, move.name, move.spoken, move.sign))
    return MoveShown(
        key=move.key,
        name=said.name,
        description=said_of_move(move.description, language),
        call=said.spoken,
        sign=said.sign,
        muscles=move.muscles,
        cautions=tuple(said_of_move(one, language) for one in verdicts[0].cautions),
        view=view_of(shape).value,
        verdicts=verdicts,
        curves=tuple(
            range_curve(shape, parse_pattern(pattern), pool, group) for pattern in patterns
        ),
        variations=tuple(
            VariationRow(
                ask=f"{move.key}+{rung.factor}={rung.option}" if rung.factor else move.key,
                name=_rung_name(rung, move, language),
                factor=rung.factor,
                why=rung.why,
                step_met=rung.step_met,
                rating=rung.verdict.rating.value,
                range_kept=rung.verdict.range_kept.median,
                rpe=rung.verdict.rpe.median,
                impact=rung.verdict.impact.value,
            )
            for rung in rungs
        ),
    )


def move_svg(
    form: ClassForm,
    ask: str,
    *,
    tempo_bpm: float | None = None,
    view: str = "",
    mirrored: bool = False,
    range_kept: float = 1.0,
    language: str = "en",
    captions: bool = True,
    only_first: bool = False,
) -> str:
    """Return the move that is asked for, ``jack`` or ``jack+arms=fly``, as SVG.

    form: pool and group; ask: the move. mirrored, range_kept, language, captions: as for
    ``figure_svg``. Raises InputError. tempo_bpm: it moves at this tempo [beats/min], None: end
    positions, only_first: the first of them. view: ``side``, ``front``, ``turned``, "" for the
    best.
    """
    from aquatempo.units import check_range

    if tempo_bpm is not None:
        check_range("tempo", tempo_bpm, "b/min", 40.0, 240.0)
    check_range("range kept", range_kept, "", 0.0, 1.0)
    if view and view not in [one.value for one in View]:
        raise InputError(f"view {view!r}: needs side, front or turned")
    pool, group = read_form(form)
    return figure_svg(
        _form_of(ask, pool),
        pool,
        tempo_bpm=tempo_bpm,
        stature_m=middle_stature(group),
        view=View(view) if view else None,
        mirrored=mirrored,
        range_kept=range_kept,
        language=language,
        captions=captions,
        only_first=only_first,
    )


def _form_of(ask: str, pool: Pool) -> MoveForm:
    requests = parse_moves([ask], catalogue())
    if len(requests) != 1:
        raise InputError(f"{ask!r}: needs one move")
    return resolve(requests[0].move, requests[0].variation, pool.kind, catalogue())


def _row(verdict: Verdict, kind: str, language: str) -> MoveRow:
    kept = verdict.range_kept
    return MoveRow(
        key=verdict.move,
        name=_name("", verdict.move, verdict.name, language),
        kind=kind,
        pattern=verdict.pattern,
        rating=verdict.rating.value,
        range_kept=(kept.low, kept.median, kept.high),
        odds=verdict.odds,
        full_of=verdict.full_of,
        rpe=verdict.rpe.median,
        met=verdict.met.median,
        impact=verdict.impact.value,
        limit=verdict.limit.words,
    )


def _rung_name(rung: JudgedRung, move: Move, language: str) -> str:
    if not rung.factor:
        return _name("", move.key, move.name, language)
    return _name(rung.factor, rung.option, rung.name.removeprefix(f"{move.name}, "), language)


def _name(factor: str, key: str, name: str, language: str) -> str:
    from aquatempo.cues.language import load_language

    return load_language(language).localise(CallWords(key, name, "", "", factor)).name
