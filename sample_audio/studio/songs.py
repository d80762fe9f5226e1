"""The seven songs: what each section holds, in patterns of 16 steps a bar."""

from __future__ import annotations

from .mix import Channel
from .song import Section, Song

FOUR = "X...X...X...X..."
BACK = "....x.......x..."

FIRST_LENGTHS = Song(
    name="first_lengths",
    title="First Lengths",
    tempo_bpm=132.0,
    seed=1321,
    scale="A C D E G",
    progressions={"main": "Am F C G Am F C E7", "lift": "F G Am C F G Am G"},
    grooves={
        "light": {
            "kick": "X.......X.......",
            "hat": "..x...x...x...x.",
            "clap": "............x...",
        },
        "main": {
            "kick": FOUR,
            "clap": BACK,
            "hat_open": "..x...x...x...x.",
            "hat": "o.g.o.g.o.g.o.gg",
        },
        "full": {
            "kick": FOUR,
            "snare": BACK,
            "clap": BACK,
            "hat_open": "..x...x...x...x.",
            "shaker": "ogogogogogogogog",
            "tambourine": "....o.......o...",
        },
    },
    basses={
        "long": ("bass_synth", "r-----------r---"),
        "push": ("bass_synth", "r-.r..r-r-.r..f-r-.r..r-r-.r..a-"),
    },
    chords={
        "pad": ("pad", "x---------------", 62),
        "stab": ("stab", "...x..x....x..x....x..x....x.x..", 64),
        "arp": ("pluck", "0.1.2.3.2.1.0.2.", 69),
    },
    leads={"saw": ("saw_lead", 74)},
    sections=(
        Section(32, "phrase", "low", "light", "long", ("pad",), None, 2, crash=False),
        Section(32, "phrase", "medium", "main", "push", ("pad", "stab"), None, 2),
        Section(32, "phrase", "high", "full", "push", ("pad", "stab", "arp"), "saw", 4),
        Section(32, "phrase", "medium", "main", "long", ("pad", "arp"), None, 4, True, "lift"),
        Section(32, "phrase", "high", "full", "push", ("pad", "stab", "arp"), "saw", 0),
    ),
    notes="Clean 32-count phrases throughout, four on the floor.",
)

ODD_LANE = Song(
    name="odd_lane",
    title="Odd Lane",
    tempo_bpm=126.0,
    seed=1262,
    scale="D E F# A B",
    progressions={"main": "D Bm G A D Bm G A", "lift": "G A Bm D G A F#m A"},
    grooves={
        "verse": {
            "kick": "X.....x.X.......X.....x.X.x.....",
            "snare": BACK,
            "hat": "x.o.x.o.x.o.x.o.",
        },
        "chorus": {
            "kick": "X..x..x.X..x..x.",
            "snare": "....X..g.g..X...",
            "hat_open": "x...x...x...x...",
            "tambourine": "..o...o...o...o.",
        },
        "turn": {
            "kick": "X.......X.......",
            "tom_low": "..x...x...x...xx",
            "hat": "x...x...x...x...",
        },
    },
    basses={
        "walk": ("bass_finger", "r---r-..f---r-a-"),
        "drive": ("bass_finger", "r-r-r-r-r-f-r-a-"),
        "hold": ("bass_finger", "r---------------"),
    },
    chords={
        "strum": ("string", "x---..x-o-x-..x-", 62),
        "organ": ("organ", "x-------x-----x-", 66),
    },
    leads={"sing": ("singer", 69)},
    sections=(
        Section(32, "phrase", "medium", "verse", "walk", ("strum",), None, 2),
        Section(32, "phrase", "high", "chorus", "drive", ("strum", "organ"), "sing", 2),
        Section(8, "bridge", "medium", "turn", "hold", ("organ",), None, 1),
        Section(32, "phrase", "medium", "verse", "walk", ("strum",), "sing", 4, True, "lift"),
        Section(32, "phrase", "high", "chorus", "drive", ("strum", "organ"), "sing", 0),
    ),
    notes="An 8-count bridge after the second phrase; later phrases start 8 counts off the 32s.",
)

WHISTLE = Song(
    name="whistle_at_seven",
    title="Whistle at Seven",
    tempo_bpm=148.0,
    seed=1483,
    scale="E G A B D",
    progressions={"main": "Em C G D Em C Am B7", "lift": "C D Em G C D Am B7"},
    grooves={
        "riff": {
            "kick": "X.x...x.X.x...x.",
            "snare": "....X.......X...",
            "hat": "x.x.x.x.x.x.x.x.",
        },
        "blast": {
            "kick": "X...X...X...X.x.",
            "snare": "....X.......X..g",
            "ride": "x.x.x.x.x.x.x.x.",
            "tambourine": "....x.......x...",
        },
        "pound": {
            "kick": "X...X...X...X...",
            "tom_low": "..x.x.x...x.x.xx",
            "tom_mid": "......x.......x.",
        },
    },
    basses={
        "eighths": ("bass_finger", "r-r-r-r-r-r-r-a-"),
        "octaves": ("bass_synth", "r.R.r.R.r.R.r.R."),
    },
    chords={
        "chug": ("power", "x-..x-..x-..x-x-", 45),
        "open": ("power", "x-------x-----x-", 47),
        "pad": ("pad", "x---------------", 64),
    },
    leads={"saw": ("saw_lead", 76)},
    sections=(
        Section(32, "phrase", "high", "riff", "eighths", ("chug",), None, 2),
        Section(32, "phrase", "high", "blast", "octaves", ("open", "pad"), "saw", 4),
        Section(32, "phrase", "medium", "pound", "eighths", ("pad",), None, 4, True, "lift"),
        Section(32, "phrase", "high", "riff", "eighths", ("chug", "pad"), "saw", 2),
        Section(32, "phrase", "high", "blast", "octaves", ("open", "pad"), "saw", 4, True, "lift"),
        Section(32, "phrase", "high", "blast", "octaves", ("open", "chug", "pad"), "saw", 0),
    ),
    notes="Driving rock; off-beat octaves in the bass in half of the phrases.",
)

LINDEN_ROOF = Song(
    name="under_the_linden_roof",
    title="Under the Linden Roof",
    tempo_bpm=138.0,
    seed=1384,
    scale="G A Bb D F",
    progressions={"main": "Gm Eb Bb F Gm Eb Cm D7", "air": "Eb Bb F Gm Eb Bb Cm Dsus4"},
    grooves={
        "intro": {"kick": FOUR, "hat": "....o.......o..."},
        "main": {
            "kick": FOUR,
            "clap": BACK,
            "hat_open": "..x...x...x...x.",
            "hat": "o.o.o.o.o.o.o.og",
        },
        "full": {
            "kick": FOUR,
            "clap": BACK,
            "snare_tight": BACK,
            "hat_open": "..x...x...x...x.",
            "ride": "x...x...x...x...",
            "shaker": "ogogogogogogogog",
        },
        "tag": {"kick": "X...X...X...X...", "snare": "x.x.x.x.xxxxXXXX"},
    },
    basses={"off": ("bass_synth", "..rr..rr..rr..ra"), "hold": ("bass_synth", "r---------------")},
    chords={
        "pad": ("pad", "x---------------", 65),
        "pulse": ("stab", "x..x..x...x..x..", 65),
        "keys": ("electric_piano", "0-2-1-2-3-2-1-2-", 67),
    },
    leads={"saw": ("saw_lead", 74), "bell": ("bell", 79)},
    sections=(
        Section(16, "intro", "low", "intro", None, ("pad",), None, 0, crash=False),
        Section(32, "phrase", "medium", "main", "off", ("pad",), None, 2),
        Section(32, "phrase", "high", "full", "off", ("pad", "pulse"), "saw", 2),
        Section(32, "break", "low", None, None, ("pad", "keys"), "bell", 0, True, "air"),
        Section(4, "bridge", "medium", "tag", "hold", ("pad",), None, 0, crash=False),
        Section(32, "phrase", "high", "full", "off", ("pad", "pulse"), "saw", 4),
        Section(16, "outro", "medium", "main", "off", ("pad",), None, 0),
    ),
    notes="A 32-count breakdown without drums, then a 4-count tag (snare build), then the return.",
)

WET_TILES = Song(
    name="wet_tiles_shuffle",
    title="Wet Tiles Shuffle",
    tempo_bpm=112.0,
    seed=1125,
    scale="F G Ab C Eb",
    progressions={"main": "F7 F7 Bb7 F7 Dm7 Gm7 C7 C7", "lift": "Bb7 Bb7 F7 F7 Bb7 Bb7 C7 C7"},
    grooves={
        "shuffle": {
            "kick": "X.......X.......X.....o.X.......",
            "snare": "....x..g....x..g",
            "hat": "x...x.o.x...x.o.",
        },
        "ride": {
            "kick": "X.......X.....o.",
            "snare": "....X..g....X..g",
            "ride": "x...x.o.x...x.o.",
            "tambourine": "....o.......o...",
        },
    },
    basses={
        "walk": ("bass_finger", "r---f---s---a---"),
        "boogie": ("bass_finger", "r-r-f-f-s-s-f-a-"),
    },
    chords={
        "organ": ("organ", "....x-....x-....", 64),
        "keys": ("electric_piano", "x-..o-x-....o-..", 62),
    },
    leads={"flute": ("flute", 77), "sing": ("singer", 70)},
    sections=(
        Section(32, "phrase", "medium", "shuffle", "walk", ("keys",), None, 2, crash=False),
        Section(32, "phrase", "medium", "shuffle", "walk", ("keys", "organ"), "flute", 2),
        Section(32, "phrase", "high", "ride", "boogie", ("keys", "organ"), "sing", 2, True, "lift"),
        Section(32, "phrase", "high", "ride", "boogie", ("keys", "organ"), "flute", 0),
    ),
    swing=0.64,
    silence_s=1.9,
    pickup_counts=2,
    notes="Swung eighths (64:36). Starts with 1.9 s of silence and a pick-up on counts 7 and 8.",
)

LAST_LANE = Song(
    name="last_lane_slowly",
    title="Last Lane, Slowly",
    tempo_bpm=96.0,
    seed=966,
    scale="C D E G A",
    progressions={
        "main": "Cmaj7 Am7 Fmaj7 G6 Em7 Am7 Dm7 Gsus4",
        "lift": "Fmaj7 G6 Em7 Am7 Fmaj7 G6 C6 C6",
    },
    grooves={},
    basses={
        "low": ("bass_finger", "r-------f---r---"),
        "still": ("bass_finger", "r---------------"),
    },
    chords={
        "strum": ("string", "0-1-2-3-2-1-2-3-", 60),
        "pad": ("pad", "x---------------", 62),
        "keys": ("electric_piano", "x-------o---o---", 64),
    },
    leads={"flute": ("flute", 76), "bell": ("bell", 79)},
    sections=(
        Section(32, "phrase", "low", None, "still", ("strum",), None, 0),
        Section(32, "phrase", "medium", None, "low", ("strum", "keys", "pad"), "flute", 0),
        Section(32, "phrase", "low", None, "low", ("strum", "pad"), "bell", 0, True, "lift"),
    ),
    human_ms=4.0,
    faders={"string": Channel(-3.0, 0.3, 0.2), "pad": Channel(-13.0, 0.0, 0.25)},
    notes="Cool-down without drums: plucked strings carry the pulse.",
)

EVENING_LIGHT = Song(
    name="tuesday_evening_light",
    title="Tuesday Evening Light",
    tempo_bpm=120.0,
    seed=1207,
    scale="B D E F# A",
    progressions={"main": "Bm7 E7 Bm7 E7 G A Bm7 F#m7", "lift": "G A F#m7 Bm7 G A Bm7 A"},
    grooves={
        "latin": {
            "kick_soft": "X.....x.X.....x.",
            "rim": "x..x..x...x.x...",
            "shaker": "xgogxgogxgogxgog",
            "conga_high": "..x...xx..x...x.",
            "conga_low": "......o.......oo",
        },
        "disco": {
            "kick": FOUR,
            "snare": BACK,
            "hat_open": "..x...x...x...x.",
            "hat": "x...x...x...x...",
            "conga_high": "..o...oo..o...o.",
            "cowbell": "x...o...x...o...",
        },
    },
    basses={
        "tumbao": ("bass_finger", "r-....f-....R-.."),
        "disco": ("bass_finger", "r.R.r.R.r.R.f.a."),
    },
    chords={
        "keys": ("electric_piano", "x-.x-.x-..x-.x-.", 64),
        "pad": ("pad", "x---------------", 64),
    },
    leads={"flute": ("flute", 76), "sing": ("singer", 71)},
    sections=(
        Section(32, "phrase", "low", "latin", "tumbao", ("keys",), None, 2, crash=False),
        Section(32, "phrase", "medium", "latin", "tumbao", ("keys", "pad"), "flute", 2),
        Section(32, "phrase", "high", "disco", "disco", ("keys", "pad"), "sing", 4, True, "lift"),
        Section(32, "phrase", "high", "disco", "disco", ("keys", "pad"), "flute", 2),
        Section(20, "outro", "medium", "disco", "disco", ("keys", "pad"), "sing", 0),
    ),
    fade_counts=24,
    notes="Fades out over the last 24 counts; beats end where the fade has taken 34 dB.",
)

SONGS: tuple[Song, ...] = (
    FIRST_LENGTHS,
    ODD_LANE,
    WHISTLE,
    LINDEN_ROOF,
    WET_TILES,
    LAST_LANE,
    EVENING_LIGHT,
)
