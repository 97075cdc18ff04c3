# Everything a contributor needs. `make run` and `make test` set themselves up.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready

.PHONY: setup run test check fix bench torture clean

setup: $(READY)

$(READY): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[test]'
	touch $(READY)

run: setup
	$(BIN)/dovetally serve

test: check
	$(BIN)/python -m pytest

check: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

fix: setup
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: setup
	$(BIN)/python -m tests.bench

torture: setup
	DOVETALLY_TORTURE=1 $(BIN)/python -m pytest -m torture

clean:
	rm -rf $(VENV) build *.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis
