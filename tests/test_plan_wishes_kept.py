"""What a brief wishes is in the plan's file to the letter, and comes back from it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plan_shapes import class_of, song_of

from aquatempo.documents.brief import read_brief_text
from aquatempo.documents.plan import plan_from_text, plan_text
from aquatempo.documents.short_form import plan_from_short, short_text

WISHES = {
    "favourites": """\
[[favourites]]
name = "harbour wave"
blocks = ["16 jack", "16 jack+arms=fly"]
parts = ["main", "cool-down"]
depth = "shallow"
[[favourites]]
name = "quay"
blocks = ["32 jog"]
""",
    "rules": """\
[rules]
allowed_moves = ["jog", "jack"]
banned = ["overhead arms"]
levels = ["I", "grounded"]
max_impact = "medium"
max_rpe = 14
songs = ["Odd Lane", "First lengths"]
""",
    "songs": '[[songs]]\ntitle = "Odd Lane"\npart = "main"\nmax_impact = "low"\n',
    "course": "[course]\nweek = 3\nrpe_step = 0.5\nsongs_after = 2\n",
    "parts": '[[parts]]\nname = "main"\nminutes = 20\ntempo = "120-130"\nbuild = "block"\n',
    "intervals": '[intervals]\nwork = 20\nrest = 10\nsets = 8\nunit = "seconds"\n',
    "lists": """\
known_moves = ["jog"]
banned_moves = ["tuck"]
themes = ["legs"]
equipment = ["noodle"]
[group]
notes = ["two new knees"]
[names]
jack = "scissors"
""",
}


@pytest.mark.parametrize("wish", WISHES)
@pytest.mark.parametrize("form", ["long", "long again", "short"])
def test_wishes_come_back(wish: str, form: str) -> None:
    """Each kind of wish is read from a plan as it was in its brief; also over an earlier text."""
    brief = read_brief_text("brief.toml", WISHES[wish]).brief
    plan = class_of(song_of("Odd Lane", "main", "jog"), brief=brief)
    if form == "short":
        found = plan_from_short("a.plan", short_text(plan))
    else:
        plain = plan_text(replace(plan, brief=replace(brief, favourites=(), songs=())))
        found = plan_from_text("a.toml", plan_text(plan, plain if form == "long again" else None))
    assert found.brief == brief
