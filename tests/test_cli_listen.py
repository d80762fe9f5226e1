"""``aquatempo listen`` and ``aquatempo correct`` as people and machines see them."""

from __future__ import annotations

import json
import shutil
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
import soundfile
from conftest import Command

SAMPLES = Path(__file__).parent.parent / "sample_audio"
KEYS = {
    *("schema", "file", "duration_s", "tempo_bpm", "tempo_confidence", "tempo_alternatives"),
    *("steady", "tempo_drift_percent", "beats_per_bar", "beats_s", "beats_inferred"),
    *("downbeats_s", "phrases"),
}
PHRASE_KEYS = {"start_s", "end_s", "start_beat", "counts", "kind", "energy", "energy_level"}


@pytest.fixture
def song(tmp_path: Path) -> Path:
    """Return a copy of a sample track that a test may do with as it likes."""
    return Path(shutil.copy(SAMPLES / "first_lengths.ogg", tmp_path / "song.ogg"))


def test_json_has_the_promised_keys(aquatempo: Command, song: Path) -> None:
    """``--json`` prints one line with at least the documented keys, consistent in themselves."""
    run = aquatempo("listen", "song.ogg", "--json")
    (line,) = run.stdout.splitlines()
    heard = json.loads(line)
    assert set(heard) >= KEYS
    assert all(set(phrase) >= PHRASE_KEYS for phrase in heard["phrases"])
    assert len(heard["beats_s"]) == len(heard["beats_inferred"])
    assert heard["beats_s"] == sorted(heard["beats_s"])
    for phrase in heard["phrases"]:
        assert phrase["start_s"] == pytest.approx(heard["beats_s"][phrase["start_beat"]], abs=1e-3)
    assert {"tempo_bpm", "odds"} <= set(heard["tempo_alternatives"][0])


def test_tempo_of_a_sample_track(aquatempo: Command, song: Path) -> None:
    """The first sample track comes out at the tempo of its truth file, within 0.1 bpm."""
    truth = json.loads((SAMPLES / "first_lengths.json").read_text(encoding="utf-8"))
    heard = json.loads(aquatempo("listen", "song.ogg", "--json").stdout)
    assert heard["tempo_bpm"] == pytest.approx(truth["tempo_bpm"], abs=0.1)


@pytest.mark.parametrize("width", [60, 200])
def test_fits_the_terminal(aquatempo: Command, song: Path, width: int) -> None:
    """The view of one track and of several keeps to the width of the terminal."""
    shutil.copy(song, song.with_name("a much longer name than most songs have.ogg"))
    for files in (["song.ogg"], ["."]):
        run = aquatempo("listen", *files, env={"COLUMNS": str(width)})
        assert run.returncode == 0, run.stderr
        assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= width


def test_plot_and_click_are_written_and_not_overwritten(aquatempo: Command, song: Path) -> None:
    """``--plot`` gives well-formed SVG, ``--click`` audio as long as the song; both stay safe."""
    run = aquatempo("listen", "song.ogg", "--plot", "a.svg", "--click", "a.ogg")
    assert run.returncode == 0, run.stderr
    assert "yours to check" in run.stderr
    assert ElementTree.parse(song.with_name("a.svg")).getroot().tag.endswith("svg")
    clicks, original = soundfile.info(song.with_name("a.ogg")), soundfile.info(song)
    assert clicks.duration == pytest.approx(original.duration, abs=0.01)
    again = aquatempo("listen", "song.ogg", "--plot", "a.svg")
    assert (again.returncode, "give --force" in again.stderr) == (1, True)
    assert aquatempo("listen", "song.ogg", "--plot", "a.svg", "--force").returncode == 0


def test_plot_of_several_tracks_is_refused(aquatempo: Command, song: Path) -> None:
    """One picture cannot show several tracks: wrong usage."""
    assert aquatempo("listen", "song.ogg", "b.ogg", "--plot", "a.svg").returncode == 2


def test_output_that_cannot_be_written(aquatempo: Command, song: Path) -> None:
    """A picture in a place that is a file, not a folder, is one line and exit code 1."""
    run = aquatempo("listen", "song.ogg", "--plot", "song.ogg/a.svg")
    assert run.returncode == 1
    assert "cannot write" in run.stderr
    assert len(run.stderr.splitlines()) == 1


def test_corrections_add_up_over_commands(aquatempo: Command, song: Path) -> None:
    """A second ``correct`` in a later command adds to the file that the first one wrote."""
    assert aquatempo("correct", "song.ogg", "--half").returncode == 0
    run = aquatempo("correct", "song.ogg", "--no-beat", "0:00-0:01")
    assert run.returncode == 0, run.stderr
    kept = run.stdout + run.stderr
    (file,) = [word for word in kept.split() if word.endswith(".toml")]
    text = Path(file).read_text(encoding="utf-8")
    assert "tempo_bpm" in text
    assert "no_beat" in text
    assert aquatempo("correct", "song.ogg", "--forget").returncode == 0


def test_correction_lasts_through_renaming(aquatempo: Command, song: Path) -> None:
    """``correct --half`` halves the tempo for good, also after the file is renamed."""
    before = json.loads(aquatempo("listen", "song.ogg", "--json").stdout)
    assert aquatempo("correct", "song.ogg", "--half").returncode == 0
    song.rename(song.with_name("other.ogg"))
    after = json.loads(aquatempo("listen", "other.ogg", "--json", "--fresh").stdout)
    assert after["corrected"] is True
    assert after["tempo_bpm"] == pytest.approx(before["tempo_bpm"] / 2)
    assert aquatempo("correct", "other.ogg", "--forget").returncode == 0
    again = json.loads(aquatempo("listen", "other.ogg", "--json").stdout)
    assert again["tempo_bpm"] == pytest.approx(before["tempo_bpm"])


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        ((), 1, "nothing to correct"),
        (("--half", "--double"), 2, "exclude each other"),
        (("--phrase", "soon"), 1, "needs seconds (83.5)"),
        (("--bridge", "0:40/x"), 1, "needs a time and counts"),
        (("--phrase", "0:75.0"), 1, "needs seconds (83.5)"),
        (("--tempo", "0"), 1, "tempo 0 bpm"),
        (("--tempo", "-120"), 1, "tempo -120 bpm"),
        (("--tempo", "nan"), 1, "tempo nan bpm"),
        (("--tempo", "1e300"), 1, "20 to 400"),
    ],
)
def test_corrections_that_make_no_sense(
    aquatempo: Command, song: Path, arguments: tuple[str, ...], code: int, said: str
) -> None:
    """A correction that cannot be meant changes nothing and says what is needed."""
    run = aquatempo("correct", "song.ogg", *arguments)
    assert (run.returncode, said in run.stderr) == (code, True), run.stderr
    assert json.loads(aquatempo("listen", "song.ogg", "--json").stdout)["corrected"] is False
