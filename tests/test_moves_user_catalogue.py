"""A user's own catalogue file: merged where it is right, refused by line where it is wrong."""

from __future__ import annotations

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.errors import TextFileError
from aquatempo.moves import catalogue, resolve, variations
from aquatempo.records.moves import Factor, ImpactLevel, MoveKind, Side

OWN = """\
[moves.jack]
spoken = "wide"
sign = "elbows apart"

[moves.heel-tap]
name = "Heel tap"
spoken = "heel tap"
kind = "base"
plane = "sagittal"
lever = "short"
levels = ["I", "grounded"]
depths = ["shallow"]
muscles = ["shins"]
limits = "little"
description = "Tap the heel in front."
sign = "heel of the hand taps the other"
arms = "curl"
start = "feet together"
mirror = true

[[moves.heel-tap.movements]]
name = "lead heel out"
end = "lead leg in front"
flight_m = 0.02
swings = [
  { joint = "hip", action = "flexion", from_deg = 0, to_deg = 30 },
]

[[moves.heel-tap.movements]]
name = "lead heel in"
end = "feet together"
back = true

[factors.range.half]
name = "Half range"
spoken = "half as big"
sign = "hands half together"
physics = "half the range"
rung = -2
effect = { range_scale = 0.5 }
"""


def line_of(fragment: str, text: str = OWN) -> int:
    """Return the 1-based line on which a fragment stands first."""
    return text[: text.index(fragment)].count("\n") + 1


def refused(old: str, new: str) -> TextFileError:
    """Return the error for OWN with one thing changed."""
    assert OWN.count(old) >= 1
    with pytest.raises(TextFileError) as caught:
        catalogue(("own.toml", OWN.replace(old, new, 1)))
    assert caught.value.path == "own.toml"
    return caught.value


def test_own_words_replace_ours_and_nothing_else() -> None:
    """A table of a known move overrides the keys that it gives and leaves the others."""
    jack, ours = catalogue(("own.toml", OWN)).move("jack"), catalogue().move("jack")
    assert (jack.spoken, jack.sign) == ("wide", "elbows apart")
    assert jack.movements == ours.movements
    assert jack.description == ours.description
    assert ours.spoken == "jack"


def test_own_moves_are_varied_like_ours() -> None:
    """A new move is read, mirrored to both sides and varied with the packaged factors."""
    own = catalogue(("own.toml", OWN))
    move = own.move("heel tap")
    assert move.kind is MoveKind.BASE
    assert [m.name for m in move.movements] == [
        *("lead heel out", "lead heel in", "other heel out", "other heel in"),
    ]
    assert [m.swings[0].side for m in move.movements] == [Side.LEAD] * 2 + [Side.TRAIL] * 2
    assert resolve(move, source=own).level is ImpactLevel.I
    found = variations(move, source=own)
    assert len(found) >= 20
    assert (Factor.RANGE, "half") in {c for v in found for c in v.changes}


def test_without_a_file_the_packaged_catalogue_is_shared() -> None:
    """The packaged catalogue is read once, and a user's file does not touch it."""
    assert catalogue() is catalogue()
    catalogue(("own.toml", OWN))
    assert "heel-tap" not in catalogue().moves


@pytest.mark.parametrize(
    ("old", "new", "at", "needs"),
    [
        ('kind = "base"', 'kind = "basic"', "kind =", "'basic': needs one of base, holding"),
        ('plane = "sagittal"', "plane = 3", "plane =", "needs text in quotes"),
        ('levels = ["I", "grounded"]', "levels = []", "levels =", "at least one of"),
        ('levels = ["I", "grounded"]', 'levels = ["I", "IV"]', "levels =", "'IV': needs one of I"),
        ('arms = "curl"', 'arms = "curls"', "arms =", "'curls': needs one of breaststroke, curl"),
        ('start = "feet together"', 'start = "together"', "start =", "needs one of feet together"),
        ('limits = "little"', 'limit = "little"', "limits =", "unknown key 'limit'"),
        (
            "flight_m = 0.02",
            'flight_m = "2 cm"',
            "flight_m",
            "needs 0 to 0.4 m (without quotes and unit?)",
        ),
        ("flight_m = 0.02", "flight_m = 2", "flight_m", "needs 0 to 0.4"),
        (
            "from_deg = 0, to_deg = 30",
            "from_deg = 30, to_deg = 0",
            "{ joint",
            "did you mean ext",
        ),
        ("to_deg = 30", "to_deg = 130", "{ joint", "needs -30 to 120"),
        (
            'joint = "hip", action = "flexion"',
            'joint = "hip", action = "rotation"',
            "{ joint",
            "no rot",
        ),
        ("back = true", "back = 1", "back =", "needs true or false"),
        (
            'spoken = "heel tap"',
            'spoken = "heel tap to the front now"',
            'spoken = "heel',
            "letters",
        ),
        ("mirror = true", 'mirror = true\nharder = "handstand"', "mirror", "'handstand'"),
        ("mirror = true", 'mirror = true\npattern = "3"', "mirror", "such as 2-2-4"),
        ("range_scale = 0.5", 'range_scale = "half"', "effect =", "needs a float"),
        ("range_scale = 0.5", "scale = 0.5", "effect =", "unknown effect 'scale'"),
        ("rung = -2", "rung = -9", "rung =", "needs -3 to 3"),
        ("rung = -2", 'fits = ["water"]', "rung =", "needs one of"),
        ("[factors.range.half]", "[factors.size.half]", "[factors.range.half]", "unknown factor"),
        ("[moves.jack]", "[motions.jack]", "[moves.jack]", "unknown key 'motions'"),
    ],
)
def test_what_is_wrong_is_named_on_its_line(old: str, new: str, at: str, needs: str) -> None:
    """Each slip is refused with file, line and what is needed."""
    error = refused(old, new)
    # A key put after another on a new line stands one line further down.
    added = 1 if "\n" in new else 0
    assert error.line == line_of(at) + added
    assert needs in str(error)


def test_a_missing_key_names_the_move() -> None:
    """A new move without a needed key is refused at its table."""
    error = refused('lever = "short"\n', "")
    assert "no lever: needs lever = one of long, short, body" in str(error)
    assert error.line == line_of("[moves.heel-tap]")


def test_a_repetition_has_to_close() -> None:
    """A move that does not end where it starts is refused."""
    error = refused('end = "feet together"\nback = true', 'end = "feet apart"\nback = true')
    assert "has to end where it starts" in str(error)


def test_syntax_errors_keep_their_line() -> None:
    """A text that is no TOML is refused with the line of the slip."""
    error = refused('kind = "base"', "kind = base")
    assert error.line == line_of("kind =")


def test_arm_actions_move_arms_only() -> None:
    """An arm action that moves a hip is refused, and swings outside arm actions as well."""
    text = """\
[factors.arms.odd]
name = "Odd"
spoken = "odd"
sign = "odd"
physics = "odd"
swings = [{ joint = "hip", action = "flexion", from_deg = 0, to_deg = 20 }]
"""
    with pytest.raises(
        TextFileError, match=r"own\.toml, line 6: an arm action cannot move the hip"
    ):
        catalogue(("own.toml", text))
    with pytest.raises(TextFileError, match="swings belong to arm actions"):
        catalogue(("own.toml", text.replace("arms.odd", "hands.open")))


PLACES = [
    *(("moves", "heel-tap", key) for key in ("kind", "levels", "mirror", "movements", "muscles")),
    *(("moves", "heel-tap", key) for key in ("pattern", "travel_m", "space_m2", "arms", "harder")),
    *(("moves", "heel-tap", "movements", 0, key) for key in ("swings", "flight_m", "end", "back")),
    *(("moves", "heel-tap", "movements", 0, "swings", 0, k) for k in ("joint", "side", "to_deg")),
    *(("factors", "range", "half", key) for key in ("effect", "rung", "fits", "swings")),
    *(("factors", "range", "half", "effect", key) for key in ("range_scale", "level", "partner")),
    *(("moves",), ("factors",), ("moves", "jack"), ("factors", "range"), ("moves", "jack", "sign")),
]
JUNK = st.one_of(
    st.booleans(),
    st.integers(-1000, 1000),
    st.floats(),
    st.sampled_from(["", "jack", "II", "2-2-4", "hip", "both", "x" * 40]),
    st.lists(st.one_of(st.integers(), st.sampled_from(["I", "jog"])), max_size=2),
    st.dictionaries(st.sampled_from(["arms", "level", "name", "end"]), st.integers(), max_size=2),
)


@settings(deadline=None)
@given(st.sampled_from(PLACES), JUNK)
def test_junk_is_read_or_refused_but_never_crashes(
    place: tuple[str | int, ...], junk: object
) -> None:
    """Whatever stands at a place, the file is read or refused with its path, nothing else."""
    tree = tomlkit.parse(OWN).unwrap()
    inner = tree
    for key in place[:-1]:
        inner = inner[key]  # type: ignore[index]
    inner[place[-1]] = junk  # type: ignore[index]
    path = "junk.toml"
    try:
        catalogue((path, tomlkit.dumps(tree)))
    except TextFileError as error:
        path = error.path
    assert path == "junk.toml"
