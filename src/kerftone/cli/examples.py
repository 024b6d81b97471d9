"""How each command is used, a few lines that can be typed as they stand; the first is the plainest.

Held by tests/cli/test_help.py, which reads every line as the program would.
"""

from __future__ import annotations

EXAMPLES: dict[tuple[str, ...], tuple[str, ...]] = {
    (): (
        "kerftone new brook --notes 'D3 F3 G3 A3 C4 D4' --wood cherry",
        "kerftone fit brook",
        "kerftone plan brook -o brook/plan",
    ),
    ("new",): (
        "kerftone new brook --notes 'D3 F3 G3 A3 C4 D4' --wood cherry",
        "kerftone new finch --scale 'A minor pentatonic' --count 8 --wood walnut --units in",
        "kerftone new wren --notes 'G3 C4 D4 G4' --wood maple --board '20 x 8 x 5/8'",
    ),
    ("scales",): ("kerftone scales", "kerftone scales 'D minor pentatonic'"),
    ("woods",): ("kerftone woods", "kerftone woods walnut"),
    ("modes",): (
        "kerftone modes brook",
        "kerftone modes brook --humidity 30",
        "kerftone modes brook --stands held",
    ),
    ("fit",): ("kerftone fit brook", "kerftone fit brook --explain"),
    ("hear",): ("kerftone hear brook -o brook.wav", "kerftone hear brook -o brook.wav --mallet wood"),
    ("layout",): ("kerftone layout brook -o top.svg",),
    ("draw",): ("kerftone draw brook -o drawings", "kerftone draw brook -o drawings --format pdf,dxf,step"),
    ("plan",): ("kerftone plan brook -o brook/plan",),
    ("open",): ("kerftone open", "kerftone open brook"),
    ("build",): ("kerftone build brook -o brook/shop",),
    ("share",): ("kerftone share brook", "kerftone share brook -o brook.pdf --paper letter"),
    ("listen",): (
        "kerftone listen tap.wav",
        "kerftone listen tap.wav --drum brook --tongue L1",
        "kerftone listen tap.wav --around D4",
    ),
    ("board",): (
        "kerftone board new boards/cherry-2.toml --species cherry --length 610 --width 200 --thickness 16 "
        "--mass 1092",
        "kerftone board tap boards/cherry-2.toml --motion along --hz 231.4",
        "kerftone board fit boards/cherry-2.toml",
    ),
    ("board", "new"): (
        "kerftone board new boards/cherry-2.toml --species cherry --length 610 --width 200 --thickness 16 "
        "--mass 1092",
        "kerftone board new boards/oak.toml --species 'white oak' --length 24 --width '8 1/4' --thickness 5/8 "
        "--mass '3 lb 2 oz' --units in",
    ),
    ("board", "tap"): (
        "kerftone board tap boards/cherry-2.toml",
        "kerftone board tap boards/cherry-2.toml --motion along --hz 231.4",
        "kerftone board tap boards/cherry-2.toml --motion twisting --recording taps.wav",
    ),
    ("board", "fit"): ("kerftone board fit boards/cherry-2.toml",),
    ("bench",): (
        "kerftone bench start brook",
        "kerftone bench tap brook --tongue L1 --hz 144.1",
        "kerftone bench next brook",
        "kerftone bench bore brook --tongue L1 --bit 20 --depth 3 --from-root 210",
    ),
    ("bench", "start"): ("kerftone bench start brook",),
    ("bench", "tap"): (
        "kerftone bench tap brook --tongue L1 --hz 144.1",
        "kerftone bench tap brook --recording taps.wav",
        "kerftone bench tap brook --tongue d4 --recording taps.wav --bottom off",
    ),
    ("bench", "bore"): (
        "kerftone bench bore brook --tongue L1 --bit 20 --depth 3 --from-root 210",
        "kerftone bench bore finch --tongue D4 --bit 3/4 --depth 1/8 --from-root '4 23/32'",
    ),
    ("bench", "lengthen"): ("kerftone bench lengthen brook --tongue L1 --by 1.5",),
    ("bench", "trim"): ("kerftone bench trim brook --tongue L1 --by 0.5",),
    ("bench", "weight"): ("kerftone bench weight brook --tongue L1 --grams 2",),
    ("bench", "note"): ("kerftone bench note brook 'small knot by the tip' --tongue L1",),
    ("bench", "void"): ("kerftone bench void brook 7 --reason 'tapped the wrong tongue'",),
    ("bench", "log"): ("kerftone bench log brook", "kerftone bench log brook --csv"),
    ("bench", "status"): ("kerftone bench status brook",),
    ("bench", "map"): ("kerftone bench map brook -o map.pdf",),
    ("bench", "next"): ("kerftone bench next brook", "kerftone bench next brook --tongue L1"),
}
"""By the words after `kerftone`."""

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Design", ("new", "scales", "modes", "fit", "hear", "plan", "open")),
    ("Wood", ("woods", "board")),
    ("Make", ("layout", "draw", "build", "share")),
    ("Tune", ("listen", "bench")),
)
"""What a maker does, and the commands for it in the order of use; a command that is nowhere here comes last."""
