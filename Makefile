# Everything a contributor needs. `make run` and `make test` set themselves up.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt
RUNS := $(VENV)/.runs
READY := $(VENV)/.ready
AXE := node_modules/.package-lock.json

.DEFAULT_GOAL := help
.PHONY: help run test check fix docs-pictures house bench torture setup clean

help: ## list these commands
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 16

run: $(RUNS) ## serve the program, with what running needs and no test library
	$(BIN)/dovetally serve

test: check $(AXE) ## every check and every test
	$(BIN)/python -m pytest

check: setup ## ruff, mypy and the indentation of templates
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/djhtml --tabwidth 2 --check templates
	$(BIN)/mypy

fix: setup ## mend and format what ruff and djhtml can
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .
	$(BIN)/djhtml --tabwidth 2 templates

docs-pictures: setup ## make the pictures of the user's guide anew (needs Chromium and poppler-utils)
	DOVETALLY_DOCS_PICTURES=docs/pictures DOVETALLY_BROWSER_REQUIRED=1 DOVETALLY_POPPLER_REQUIRED=1 \
	$(BIN)/python -m pytest -q tests/browser/test_docs_pictures.py

house: setup ## print the measures of the code: rooms, arrows, sizes
	$(BIN)/python -m tests.bench.house

bench: setup ## print speed, as ratios within one run
	$(BIN)/python -m tests.bench

torture: setup ## the long tests
	DOVETALLY_TORTURE=1 $(BIN)/python -m pytest -m torture

setup: $(READY) ## make .venv, with what tests need

clean: ## remove everything that these commands made
	rm -rf $(VENV) node_modules build dist *.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis

$(RUNS): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(INSTALL) -e .
	touch $@

$(READY): $(RUNS)
	$(INSTALL) -e '.[test]'
	touch $@

# axe-core, for the tests of accessibility; a machine without npm skips them
$(AXE): package-lock.json
	if command -v npm >/dev/null; then npm ci --silent --no-audit --no-fund; \
	else echo "There is no npm here: the tests that need axe-core are skipped."; fi
