"""The commands are declared without loading anything heavy."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HEAVY = ("ngsolve", "netgen", "numpy", "scipy", "shapely", "soundfile", "rich.table")


def loaded_by(code: str) -> set[str]:
    """Which of the heavy modules this code loads, in a fresh process."""
    ask = f"{code}\nimport sys\nprint(*[name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    return set(done.stdout.splitlines()[-1].split())


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\nsys.argv = ['kerftone', 'modes', '--help']\n"
        "from kerftone.cli import main\ntry:\n    main()\nexcept SystemExit as end:\n    assert end.code == 0"
    )
    assert loaded_by(code) == set()


def test_an_answer_that_was_kept_is_read_and_shown_without_the_solver() -> None:
    """What `modes` loads where it finds its answer beside the drum file."""
    code = (
        "import kerftone.jobs.predict_notes, kerftone.air.notes_in_air, kerftone.modal.shelf\n"
        "import kerftone.cli.prediction_words, kerftone.modal.notes, kerftone.tune.spread\n"
        "import kerftone.tune.box_air, kerftone.air.breathing"
    )
    assert not {"ngsolve", "netgen", "scipy"} & loaded_by(code)


def test_a_whole_command_on_a_kept_answer_loads_no_solver(answered: Path) -> None:
    code = (
        f"import sys\nsys.argv = ['kerftone', 'modes', {str(answered)!r}]\n"
        "from kerftone.cli import main\ntry:\n    main()\nexcept SystemExit as end:\n    assert not end.code"
    )
    assert loaded_by(code) == {"numpy", "shapely", "rich.table"}


def test_what_a_command_says_loads_neither_drawings_nor_recordings() -> None:
    """The modules of words that `hear` and `bench next` load."""
    code = "import kerftone.cli.make, kerftone.cli.bench_words\nimport sys\nprint(*sys.modules, sep='\\n')"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.splitlines())
    assert {"kerftone.jobs.prediction", "kerftone.drum.file"} <= loaded, "the check itself must see them"
    heavy = {"reportlab", "soundfile", "scipy", "ngsolve", "kerftone.draw.share", "kerftone.draw.layout"}
    assert not heavy & loaded


def test_drawing_does_not_load_the_solver() -> None:
    assert not {"ngsolve", "netgen"} & loaded_by("import kerftone.jobs.draw_layout")
    assert "ngsolve" in loaded_by("import kerftone.modal.solve"), "the check itself must see it"
