"""The hard set: 42 tracks that look for the edges of hearing a beat.

What counts as the beat, by what a class would count: where a backbeat (snare, clap) is played,
it falls on 2 and 4 of the counts. Where the snare falls on every off-beat (fast_punk, oompah) the
kicks are the counts. Half-time at 160 to 190 bpm (snare on 3 of the fast bar): the fast pulse is
counted, as the trade lists such music; these tracks are marked arguable, and so is skank at 76
(its snare would fit 152). Slow songs (60 to 80) are counted slow: a backbeat on 2 and 4 says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .arrangement import Piece, Pulse, Render, Stretch
from .styles import load_styles

HARD = load_styles("hard_styles.toml")
PLAIN, STEADY = Render("csound"), Pulse()
LIVE = Pulse(drift=0.03, sway_ms=5.0, scatter_ms=8.0)
LOUD_BASS = Render("synth", drums_db=-4, bass_db=5)


def body(levels: str, comps: Sequence[str] = ("pad", "comp", "arp", "riff")) -> list[Stretch]:
    """Return phrases of 32 by letters: l, m, h their level; b an 8-count bridge, k a breakdown."""
    stretches: list[Stretch] = []
    for number, letter in enumerate(levels):
        if letter == "b":
            stretches.append(
                Stretch(8, "bridge", "medium", "medium", "low", ("pad",), False, "roll", 4)
            )
        elif letter == "k":
            stretches.append(Stretch(32, "break", "low", None, None, ("pad", "comp", "arp"), True))
        else:
            level = {"l": "low", "m": "medium", "h": "high"}[letter]
            ending = "fill" if number % 2 else "none"
            stretches.append(
                Stretch(32, "phrase", level, level, level, tuple(comps), letter == "h", ending, 2,
                        crash=letter == "h", progression=number % 2)
            )  # fmt: skip
    return stretches


def opening(counts: int, **parts: object) -> Stretch:
    """Return an introduction with only the named parts."""
    return replace(Stretch(counts, "intro", "low"), **parts)  # type: ignore[arg-type]


def entry(
    number: int,
    style: str,
    tempo_bpm: float,
    tag: str,
    levels: str = "mhmh",
    render: Render = PLAIN,
    pulse: Pulse = STEADY,
    intro: Stretch | None = None,
    **more: object,
) -> Piece:
    """Return one track of the set."""
    stretches = ([intro] if intro else []) + body(levels)
    made = Piece(
        name=f"hard_{number:02d}_{style}_{tempo_bpm:g}",
        tempo_bpm=tempo_bpm,
        seed=9000 + number,
        style=HARD[style],
        stretches=tuple(stretches),
        transpose=number % 7 - 3,
        pulse=pulse,
        render=render,
        tags=(tag,),
    )
    return replace(made, **more)  # type: ignore[arg-type]


def pieces() -> list[Piece]:
    """Return the tracks."""
    played, fm = Render("csound", "pearl"), Render("fm")
    noisy = {"noise_db": -12.0, "mp3_kbps": 64}
    pads = opening(32, comps=("pad",))
    voice = opening(32, comps=("pad",), lead=True)
    offbeats = opening(16, groove="low")
    return [
        entry(1, "offbeat_bass", 128, "offbeat", render=LOUD_BASS),
        entry(2, "offbeat_bass", 141, "offbeat", "hmbh", Render("fm", drums_db=-3, bass_db=6)),
        entry(3, "skank", 152, "offbeat", render=Render("patches", "rust", comps_db=4)),
        entry(4, "oompah", 126, "offbeat", "mhbh", Render("fluid", comps_db=4)),
        entry(5, "offbeat_bass", 118.5, "offbeat", "mhkh", Render(bass_db=7, drums_db=-2)),
        entry(6, "no_kick", 124, "kick", render=Render("synth")),
        entry(7, "no_kick", 136, "kick", render=fm),
        entry(8, "eighth_kicks", 112, "kick", render=Render("synth")),
        entry(9, "eighth_kicks", 126.4, "kick", render=Render("patches")),
        entry(10, "one_kick", 132, "kick", render=fm),
        entry(11, "claps_only", 108, "kick", render=Render("fluid")),
        entry(12, "chopped_break", 170, "fast", "mhhmh", Render("csound", "pearl")),
        entry(13, "chopped_break", 164, "fast", "hhmbhh", Render("fm", "rust")),
        entry(14, "rolling_two_step", 175, "fast", "mhmhmh", Render("synth")),
        entry(15, "rolling_two_step", 182.5, "fast", "mhkhmh", Render("patches", "pearl")),
        entry(16, "half_time", 172, "half-time", "mhmhmh", Render("synth"), arguable=True),
        entry(17, "half_time", 162, "half-time", "hmhmh", Render("csound", "rust"), arguable=True),
        entry(18, "double_kicks", 186, "fast", "mhmhmh", Render("fluid", "rust", comps_db=3)),
        entry(19, "fast_punk", 178, "fast", "mhmbhmh", Render("csound", "pearl", comps_db=3)),
        entry(20, "plain_pop", 130, "sparse opening", "mhmh", fm, intro=pads, silence_s=2.2),
        entry(21, "offbeat_bass", 138, "sparse opening", "mhmh", Render("synth"), intro=offbeats),
        entry(22, "plain_pop", 122, "sparse opening", "hmh", Render("patches"), intro=voice),
        entry(23, "played_rock", 104, "played", "mhmh", played, LIVE),
        entry(24, "played_rock", 143, "played", "mhmbh", Render("fluid", "rust"), LIVE),
        entry(25, "played_funk", 99, "played", "mhm", played, replace(LIVE, drift=0.02)),
        entry(26, "swing_ride", 164, "played", "mhmhm", Render("fluid", "pearl"), LIVE),
        entry(27, "slow_soul", 66, "slow", "mh", Render("fluid", "pearl"), Pulse(0.02, 4, 6)),
        entry(28, "slow_beats", 76, "slow", "mhh", Render("synth")),
        entry(29, "plain_pop", 144, "degraded", "mhbhm", Render("fluid", room=0.9, **noisy)),  # type: ignore[arg-type]
        entry(30, "played_rock", 120, "degraded", "mhmh",
              Render("csound", "rust", low_pass_hz=3500, mp3_kbps=64), LIVE),
        entry(31, "skank", 76, "slow", "hhm", Render("csound", "pearl", comps_db=3), arguable=True),
        entry(32, "rolling_two_step", 168, "degraded", "mhmh", Render("fm", **noisy)),  # type: ignore[arg-type]
        # Second batch, added before the decoder was run on it.
        entry(33, "tresillo", 128, "threes", render=Render("synth")),
        entry(34, "tresillo", 100, "threes", "mhbh", Render("fm")),
        entry(35, "threes", 124, "threes", render=Render("csound", "pearl")),
        entry(36, "threes", 140, "threes", "mhmh", Render("patches", drums_db=-4)),
        entry(37, "plain_pop", 118, "quiet drums", "mhmh",
              Render("fluid", drums_db=-12, comps_db=3, lead_db=8)),
        entry(38, "no_kick", 131, "quiet drums", "hmbh", Render("csound", drums_db=-14, lead_db=8)),
        entry(39, "ahead", 134, "ahead", "mhmh", Render("csound", "rust")),
        entry(40, "ahead", 112, "ahead", "hmh", Render("synth"), LIVE),
        entry(41, "played_funk", 92, "played", "mhm", Render("fluid", "pearl"),
              Pulse(drift=0.06, sway_ms=7, scatter_ms=10)),
        entry(42, "slow_beats", 88, "degraded", "mhm",
              Render("patches", noise_db=-8.0, mp3_kbps=64, room=0.6)),
    ]  # fmt: skip
