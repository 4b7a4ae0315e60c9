# Everything a clone needs is python3 (3.11 or later), make and the package index pip already uses.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.firstcrop-installed
OUT := out
WORKERS ?= 2

.DEFAULT_GOAL := help
.PHONY: help setup demo test lint format types bench board clean

help:
	@echo "make demo    forecast the demo preparations and draw their pictures into $(OUT)/"
	@echo "make test    lint, types and every test"
	@echo "make lint    ruff check, ruff format --check, mypy"
	@echo "make bench   speed, side by side with general-purpose libraries"
	@echo "make board   every published value beside the engine's; writes docs/board.md"
	@echo "make format  let ruff lay the code out"
	@echo "make setup   only make $(VENV) ready"

setup: $(STAMP)

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "firstcrop needs Python 3.11 or later; name one with: make PYTHON=python3.12" >&2; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { \
	  echo "This Python cannot make a virtual environment: its venv or ensurepip module is missing." >&2; \
	  echo "On Debian and Ubuntu they are a package of their own: apt-get install python3-venv" >&2; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(STAMP): pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[test]'
	@touch $@

demo: setup
	@mkdir -p $(OUT)
	@set -e; for sheet in sheets/*.md; do \
	  name=$$(basename $$sheet .md); \
	  $(BIN)/firstcrop forecast $$sheet --plot $(OUT)/$$name.svg; \
	  echo "The picture is in $(OUT)/$$name.svg"; \
	done

test: lint
	$(BIN)/python -m pytest -n $(WORKERS)

lint: setup types
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: setup
	$(BIN)/mypy

format: setup
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: setup
	@set -e; for file in bench/*.py; do [ -e "$$file" ] || continue; $(BIN)/python $$file; done

board: setup
	@PYTHONPATH=bench $(BIN)/python -m board

clean:
	rm -rf $(VENV) $(OUT) build dist .mypy_cache .ruff_cache .pytest_cache
