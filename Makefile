# Everything a contributor needs. `make run` and `make test` set themselves up.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
RUNS := $(VENV)/.runs
READY := $(VENV)/.ready
# on every core; a file's tests stay together, for they share what is dear to make
TEST := $(BIN)/python -m pytest -n auto --dist loadfile
NPM := node_modules/.package-lock.json
BIOME := node_modules/.bin/biome

.DEFAULT_GOAL := help
.PHONY: help run test quick check fix coverage docs-pictures house bench supply torture setup clean

help: ## list these commands
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 16

run: $(RUNS) ## serve the program, with what running needs and no test library
	$(BIN)/dovetally serve

test: check ## every check and every test
	$(TEST)

quick: setup ## the fast tests: the domain, the shell of the pages, drawings, tables
	$(TEST) tests/domain tests/webapp/shell tests/webapp/drawings tests/webapp/tables tests/webapp/test_examples.py

check: setup $(NPM) ## ruff, mypy, Biome over scripts, and the indentation of templates
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/djhtml --tabwidth 2 --check templates
	if [ -x $(BIOME) ]; then $(BIOME) ci static; fi
	$(BIN)/mypy

fix: setup $(NPM) ## mend and format what ruff, djhtml and Biome can
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .
	$(BIN)/djhtml --tabwidth 2 templates
	if [ -x $(BIOME) ]; then $(BIOME) check --write static; fi

docs-pictures: setup ## make the pictures of the user's guide anew (needs Chromium and poppler-utils)
	DOVETALLY_DOCS_PICTURES=docs/pictures DOVETALLY_BROWSER_REQUIRED=1 DOVETALLY_POPPLER_REQUIRED=1 \
	$(BIN)/python -m pytest -q tests/browser/test_docs_pictures.py

coverage: setup $(NPM) ## run every test and print the lines and branches that none meets
	$(TEST) --cov --cov-report=term-missing:skip-covered

house: setup ## print the measures of the code: rooms, arrows, sizes
	$(BIN)/python -m tests.bench.house

bench: setup ## print speed, as ratios within one run
	$(BIN)/python -m tests.bench

supply: setup ## after a change of constraints.txt: list the files of these versions, and what the program is made of
	$(PIP) -c constraints.txt uv
	$(BIN)/python -m tests.supply

torture: setup ## the long tests
	DOVETALLY_TORTURE=1 $(TEST) -m torture

setup: $(READY) ## make .venv, with what tests need

clean: ## remove everything that these commands made
	rm -rf $(VENV) node_modules build dist *.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis .coverage*

# pip refuses every file whose hash is not in the list
$(RUNS): pyproject.toml supply/run.txt
	$(PYTHON) -m venv $(VENV)
	$(PIP) --require-hashes -r supply/run.txt
	$(PIP) --no-deps --no-build-isolation -e .
	touch $@

$(READY): $(RUNS) supply/test.txt
	$(PIP) --require-hashes -r supply/test.txt
	touch $@

# Biome for our scripts, axe-core for the tests of accessibility; a machine without npm does without them
$(NPM): package-lock.json
	if command -v npm >/dev/null; then npm ci --silent --no-audit --no-fund; \
	else echo "There is no npm here: our scripts are not linted, and tests of accessibility are skipped."; fi
