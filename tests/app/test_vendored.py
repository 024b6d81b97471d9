"""What the page has of others' code is what is written down about it; the page's own keeps to its ceiling."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[2] / "src" / "kerftone" / "app" / "static"
VENDOR = STATIC / "vendor"
RECORD = json.loads((VENDOR / "vendored.json").read_text("utf-8"))
OWN = sorted(path for path in STATIC.rglob("*") if path.suffix in (".js", ".css") and path.parent != VENDOR)
SCRIPTS = [path for path in OWN if path.suffix == ".js"]
MOST_LINES = 400


def test_every_vendored_file_is_written_down_and_is_what_was_written_down() -> None:
    assert {path.name for path in VENDOR.glob("*.js")} == set(RECORD)
    for name, one in RECORD.items():
        data = (VENDOR / name).read_bytes()
        assert hashlib.sha256(data).hexdigest() == one["sha256"] and len(data) == one["bytes"]
        assert all(package["licence"] and package["version"] for package in one["packages"])


def test_the_licences_of_all_of_it_are_kept() -> None:
    kept = (VENDOR / "LICENSES.txt").read_text("utf-8")
    for one in RECORD.values():
        assert all(f"{package['name']}\n===" in kept for package in one["packages"])


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.name)
def test_no_file_of_the_page_is_longer_than_one_reads_at_a_sitting(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_every_script_is_typed_and_loads_only_what_is_here(path: Path) -> None:
    source = path.read_text("utf-8")
    assert source.startswith("// @ts-check\n")
    for found in re.findall(r'from "([^"]+)"', source):
        assert found.startswith("./") and (path.parent / found).is_file()
    assert "innerHTML" not in source and "eval(" not in source
    assert "https://" not in source and "http://" not in source.replace("http://www.w3.org/", "")


VENV = Path(__file__).parents[2] / ".venv"
TSC = VENV / "node" / "node_modules" / "typescript" / "bin" / "tsc"
NODE = shutil.which("node") or shutil.which("node", path=VENV / "bin")
PROJECT = Path(__file__).parent / "jsconfig.json"


def checked(project: Path) -> subprocess.CompletedProcess[str]:
    if not TSC.is_file() or NODE is None:
        pytest.skip("typescript is not there: scripts/test-packages fetches it")
    return subprocess.run([NODE, TSC, "-p", project], capture_output=True, text=True, check=False)


def test_the_modules_types_hold() -> None:
    done = checked(PROJECT)
    assert done.returncode == 0, done.stdout


def test_a_wrong_type_would_be_found(tmp_path: Path) -> None:
    (tmp_path / "a.js").write_text('// @ts-check\n/** @type {number} */\nexport const one = "two";\n')
    config = json.loads(PROJECT.read_text("utf-8")) | {"include": ["*.js"]}
    (tmp_path / "jsconfig.json").write_text(json.dumps(config))
    assert "TS2322" in checked(tmp_path / "jsconfig.json").stdout
