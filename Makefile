# Kerftone: try it (make demo), test it (make test, make test-all), check it (make gates).
# Needs Python 3.11 or later and its venv module; everything else goes into .venv here.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip -qq --disable-pip-version-check
EXAMPLE := examples/brook/drum.toml
WORKERS ?= auto
PYTEST := $(BIN)/python -m pytest
SHARED := --numprocesses $(WORKERS) --dist loadfile --no-loadscope-reorder
export PIP_ROOT_USER_ACTION := ignore
# Without kept bytecode each worker of the tests would translate all of them anew.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: help demo open test test-all lint gates docs packages clean

help:
	@echo "make demo    make a drum of the example in demo/"
	@echo "make open    open the example on the page in your browser"
	@echo "make test    run the tests, but for the slow ones"
	@echo "make test-all    run those, then the slow ones"
	@echo "make lint    formatter, linter, types"
	@echo "make gates   lint, the types of the page, the order of the rooms, the documents"
	@echo "make docs    write docs/cli.md from the commands, docs/drum-file.md from the keys"
	@echo "make clean   remove what the above have made"

# The environment is made once, and again when pyproject.toml or the Python changes.
$(VENV)/installed: pyproject.toml scripts/make-venv scripts/lend-quadmath
	@scripts/make-venv "$(PYTHON)" "$(VENV)"
	@$(PIP) install --editable .
	@scripts/lend-quadmath "$(VENV)"
	@touch $@

$(VENV)/installed-dev: $(VENV)/installed
	@echo "Installing what the tests need." >&2
	@$(PIP) install --editable ".[dev]"
	@touch $@

demo: $(VENV)/installed
	@mkdir -p demo
	@cp $(EXAMPLE) demo/drum.toml
	@echo "kerftone plan demo/drum.toml -o demo" >&2
	@$(BIN)/kerftone plan demo/drum.toml -o demo
	@echo
	@echo "That was the main job, done on $(EXAMPLE): demo/drum.toml now has the lengths."
	@echo "Open demo/report.html in a browser, and listen to demo/drum.wav."

# The page on a copy of the example; Ctrl-C ends it.
open: $(VENV)/installed
	@mkdir -p demo
	@test -f demo/drum.toml || cp $(EXAMPLE) demo/drum.toml
	@$(BIN)/kerftone open demo

# One worker for each processor (WORKERS=1 for one). The tests of one drum go to one worker: see tests/conftest.py.
test: $(VENV)/installed-dev packages
	@$(PYTEST) $(SHARED) -m "not slow"

# Then what `make test` left: the slow tests, and the laws that are tested on random examples, on four times as many.
test-all: test
	@$(PYTEST) $(SHARED) -m "slow or hypothesis" --hypothesis-profile=full

# Debian packages that some tests compare with or look through; without them those tests say so.
packages:
	@scripts/test-packages

lint: $(VENV)/installed-dev
	@$(BIN)/ruff check
	@$(BIN)/ruff format --check
	@$(BIN)/mypy

# Beyond the linter only what `make test` has too, the quickest of it: .ci/run leaves that to the tests.
gates: lint packages
	@$(PYTEST) tests/test_rooms.py tests/test_docs.py tests/app/test_vendored.py

docs: $(VENV)/installed-dev
	@$(BIN)/python -m kerftone.cli.manual > docs/cli.md.new
	@mv docs/cli.md.new docs/cli.md
	@$(BIN)/python -m kerftone.drum.reference > docs/drum-file.md.new
	@mv docs/drum-file.md.new docs/drum-file.md

clean:
	rm -rf $(VENV) demo dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
