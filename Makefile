# Everything a clone needs is python3 (3.11 or later), make and the package index pip already uses.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.firstcrop-installed
OUT := out
WORKERS ?= 2

.DEFAULT_GOAL := help
.PHONY: help open browser postgres setup demo test lint format types bench sweep board clean

help:
	@echo "make demo    forecast the demo preparations and draw their pictures into $(OUT)/"
	@echo "make open    the demo preparations in the browser, forecast as you type"
	@echo "make test    lint, types and every test"
	@echo "make lint    ruff check, ruff format --check, mypy"
	@echo "make bench   speed, side by side with general-purpose libraries"
	@echo "make sweep   a hundred thousand random liquors: how each equilibrium ends"
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

test: lint browser postgres
	$(BIN)/python -m pytest -n $(WORKERS)

# The tests of the page look for a chromium; where there is none and none can be had they are skipped.
browser:
	@command -v chromium >/dev/null || command -v google-chrome >/dev/null || { \
	  [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
	  apt-get install --yes --no-install-recommends chromium >/dev/null 2>&1; } || \
	  echo "No chromium: the tests of the page in a browser will be skipped." >&2

# The tests of the database start a PostgreSQL of their own, from Debian's package.
postgres:
	@ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null || { \
	  [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
	  apt-get install --yes --no-install-recommends postgresql >/dev/null 2>&1; } || \
	  echo "No PostgreSQL: its half of the database tests will be skipped." >&2

open: setup
	$(BIN)/firstcrop open sheets

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

sweep: setup
	$(BIN)/python bench/sweep

board: setup
	@PYTHONPATH=bench $(BIN)/python -m board

clean:
	rm -rf $(VENV) $(OUT) build dist .mypy_cache .ruff_cache .pytest_cache
