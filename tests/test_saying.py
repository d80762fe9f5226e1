"""What the library says, in German: every kind of line has its sentence."""

from __future__ import annotations

import ast
import json
import re
import tomllib
from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest
from conftest import Command

from aquatempo.class_shape.notes import DEFER, vocabulary
from aquatempo.records.plan_page import BriefForm, JobShown
from aquatempo.web.saying import in_language
from aquatempo.workflow.saying import is_said, said

SOURCE = Path(__file__).parent.parent / "aquatempo"
SAYING = ("finding", "_error", "Finding", "Because", "Advice", "InputError", "ConflictError")
# Modules whose lines reach the page; those of commands alone are English, as their options are.
SHOWN = (
    *("review", "planning", "class_shape", "feasibility/advising.py", "feasibility/rules.py"),
    *("music/dropping.py", "music/ear_changes.py", "music/places.py", "rhythm/corrections.py"),
    *("workflow/ear.py", "workflow/plan_desk.py", "workflow/pool.py", "workflow/music_list.py"),
    *("workflow/water.py", "web", "documents/people.py", "audio/opening.py", "audio/decoding.py"),
)
# What stands in a place that is no figure; an addition at the end may be missing.
WITH = {
    **dict.fromkeys(("more", "others", "side", "noticed"), ""),
    **{"DEFER": DEFER, "told[0].format(name, clock(lasted))": "7 work hard for 7 from here"},
    "told": "block 7 of phrase 7",
    "all_going": "side step and 7 more blocks travel",
}
NOT_SHOWN = (  # kinds of advice, which have a word each; what only programs and terminals meet
    *("tempo option", "song speed", "no landmark 7: known are 7", "7 is not a path"),
    "the page needs 7, which is not installed: pip install 7 (it comes with aquatempo; was it "
    "removed?)",
)
# Put together of several: what comes out, instead of what stands in the code.
COMPOSED = {
    "the  works 7 counts, the 7 7; 7 adds most to it, here last": "the right works 700 counts, "
    "the left 650; jog adds most to it, here last",
    "7 at 7 bpm (wanted 7), limited by 7": "Jack (2) keeps 60% of its range at 132 bpm "
    "(wanted 70%), limited by hip abductors",
    "7 counts from beat 7: 7 in the track": "32 counts from beat 17: it is cut otherwise in the "
    "track",
    "7: it starts on beat 7, not 7": "leaves a gap: it starts on beat 41, not 33",
    "7: more than 7 spoils a song": "played +7.5 %: more than 6% spoils a song",
    "7, which is heard (7)": "played +4.5 %, which is heard (no reason is given)",
    "the model of docs/design/feasibility.md": "",  # where a finding comes from is not shown
    "garber-2011: 10 to 30 s": "",
}


def lines_of(file: Path) -> Iterator[str]:
    """Yield what a module says: f-strings with a 7 in each place."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        named = getattr(node.func, "id", getattr(node.func, "attr", ""))
        noted = named == "append" and "notes" in ast.unparse(node.func)
        if named in SAYING or noted:
            yield from filter(_is_line, map(_filled, node.args))


def _filled(node: ast.expr) -> str:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value)
            if isinstance(part, ast.Constant)
            else WITH.get(ast.unparse(part.value), "7")
            for part in node.values
            if isinstance(part, ast.Constant | ast.FormattedValue)
        )
    return ""


def _is_line(text: str) -> bool:
    return " " in text.strip() and len(text) > 8


@pytest.mark.parametrize("where", SHOWN)
def test_each_line_of_the_library_has_its_sentence(where: str) -> None:
    """Notes, reasons, remedies and errors that the page can show are German in German."""
    place = SOURCE / where
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place]
    missing = [
        f"{file.name}: {line}"
        for file in files
        for line in lines_of(file)
        if line not in NOT_SHOWN
        if (told := COMPOSED.get(line, line)) and not is_said(told, "de")
    ]
    assert not missing


def test_notes_on_people_are_said() -> None:
    """What each documented note does, and its cautions, are there in German."""
    for note in vocabulary().values():
        for line in (note.does, *note.cautions):
            assert is_said(line, "de"), line


def test_sentences_keep_their_places() -> None:
    """A German sentence has the places of the English one, no more and no fewer."""
    text = resources.files("aquatempo.workflow").joinpath("saying_de.toml").read_text("utf-8")
    for english, german in tomllib.loads(text)["sentences"].items():
        places = [sorted(re.findall(r"\{(\w+)\}", one)) for one in (english, german)]
        assert places[0] == places[1], english


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("44.5 minutes in whole phrases; 45 were asked for",
         "44,5 Minuten in ganzen Phrasen; 45 waren gewünscht"),
        ("pool depth 120 m: needs 0.5 to 5 m (did you mean centimetres?)",
         "Beckentiefe 120 m: nötig sind 0,5 bis 5 m (waren Zentimeter gemeint?)"),
        ("no plan fits: minutes = 90; 3 usable tracks of 10.5 minutes together. "
         "Least change: minutes = 10, or add 71 minutes of music that suits.",
         "Kein Plan passt: Dauer = 90 Minuten; 3 brauchbare Stücke, zusammen 10,5 Minuten. "
         "Kleinste Änderung: Dauer = 10 Minuten, oder 71 Minuten passende Musik dazunehmen."),
        ("Cross-country ski to Jack costs 2 counts: changes from sagittal to frontal off the "
         "centre",
         "Langlauf zu Hampelmann kostet 2 Zählzeiten: wechselt von sagittal zu frontal außerhalb "
         "der Mitte"),
        ("cannot decode 'a.mp3' (PyAV: Invalid data found when processing input; soundfile: "
         "Format not recognised); this is a text file, renamed?",
         "'a.mp3' lässt sich nicht dekodieren (PyAV: ungültige Daten; soundfile: Format nicht "
         "erkannt); ist das eine umbenannte Textdatei?"),
        ("cannot write '/stick/deck': No space left on device",
         "'/stick/deck' lässt sich nicht schreiben: kein Platz mehr auf dem Datenträger"),
    ],
)  # fmt: skip
def test_lines_read_as_one_says_them(english: str, german: str) -> None:
    """Figures with a comma, names of moves as the calls have them, lists part by part."""
    assert said(english, "de") == german
    assert said(english, "en") == english


@pytest.mark.parametrize("title", ["Jack", "7 and 8", "Rain: a waltz", "main"])
def test_titles_stay_as_they_are(title: str) -> None:
    """A song that is called as a move, or with a colon, keeps its title."""
    assert said(f"{title}: fade out after 3:20", "de") == f"{title}: ausblenden nach 3:20"


def test_what_is_not_known_stays_english() -> None:
    """A line without a sentence is not mixed of two languages."""
    assert said("this and that are unknown here", "de") == "this and that are unknown here"
    assert said("silence: nothing to count", "fr") == "silence: nothing to count"


def test_what_a_person_typed_is_left_alone() -> None:
    """A brief comes back as it was typed, also where it says what a sentence says."""
    form = BriefForm(notes=("pregnancy",))
    assert in_language(form, "de") == form
    assert in_language(JobShown(error="the body is not JSON"), "de").error == (
        "der Inhalt ist kein JSON"
    )


def test_a_timeline_is_read_in_the_language_of_its_calls(
    aquatempo: Command, tmp_path: Path
) -> None:
    """``cue --language de`` says notes, kinds of calls and lengths in German, in view and JSON."""
    (tmp_path / "lanes.toml").write_text(
        'title = "Lindenbad"\nlength = "1:10"\ntempo_bpm = 132.0\nfirst_count_1_s = 0.1\n'
        "phrases = [32, 32, 32]\n",
        "utf-8",
    )
    arguments = ("cue", "lanes.toml", "--move", "jack", "--move", "jog", "--language", "de")
    run = aquatempo(*arguments)
    assert run.returncode == 0, run.stderr
    for german in ("Hinweis: bevor die Musik beginnt, ansagen: Hampelmann", "LOS", "Zählzeiten"):
        assert german in run.stdout
    for english in ("Note", "counts", "leads", "sign", "warn "):
        assert english not in run.stdout
    told = json.loads(aquatempo(*arguments, "--json").stdout)
    assert told["notes"][0] == "bevor die Musik beginnt, ansagen: Hampelmann"
    reasons = {change["reason"] for change in told["changes"] if change["reason"]}
    assert reasons == {"neue Grundbewegung"}
