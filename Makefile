# Everything here sets itself up in .venv; the only thing a machine must bring is Python 3.11 to 3.13.
#
#   make walk    be led through a job (without a terminal: play the demo and print its path)
#   make test    every check and every test, except those that take long
#   make soak    the tests that take long
#   make bench   how fast, how good: figures as ratios measured in one run
#   make check   ruff, mypy and the layers, without the tests
#   make format  let ruff lay the code out
#   make snapshots  write the texts of the screens anew, once they were looked at
#   make pictures  draw the guides' pictures of the screens anew
#   make lock    renew the locks (see DEVELOPERS.md)
#   make clean   remove what was made here
#
# PYTHON=… chooses the interpreter, ARGS=… is handed on: make test ARGS="-k quantity -x"

SHELL := /bin/sh
PYTHON ?=
ARGS ?=

VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.stamp
DEMO := no-picture --board brindle-14

# An interpreter serves when it runs, is of the right version and can make a virtual environment.
SERVES := import ensurepip, sys, venv; sys.exit(not (3, 11) <= sys.version_info[:2] < (3, 14))
# What is in .venv is used again only when it is whole and apart: never install into the machine's own Python.
APART := import pip, sys; sys.exit(sys.prefix == sys.base_prefix)

.PHONY: walk test soak bench check format lock clean setup pictures snapshots
.DEFAULT_GOAL := walk

setup: $(STAMP)

$(STAMP): requirements-dev.lock pyproject.toml
	@rm -f $(STAMP)
	@if ! { $(BIN)/python -c '$(SERVES)' && $(BIN)/python -c '$(APART)'; } >/dev/null 2>&1; then \
	  chosen=; \
	  for candidate in $(if $(PYTHON),"$(PYTHON)",python3.13 python3.12 python3.11 python3 python); do \
	    if "$$candidate" -c '$(SERVES)' >/dev/null 2>&1; then chosen=$$candidate; break; fi; \
	  done; \
	  if [ -z "$$chosen" ]; then \
	    echo "No Python 3.11, 3.12 or 3.13 with venv was found. Install one, or name it: make PYTHON=/path/to/python3.12" >&2; \
	    exit 1; \
	  fi; \
	  echo "Making $(VENV) with $$("$$chosen" --version)"; \
	  rm -rf $(VENV) && "$$chosen" -m venv $(VENV); \
	fi
	@echo "Installing what requirements-dev.lock names"
	@$(BIN)/python -m pip install -qq --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@$(BIN)/python -m pip install -qq --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $(STAMP)

# The demo writes its job into a throwaway store, not among the shop's own.
walk: $(STAMP)
	@if [ -t 0 ] && [ -t 1 ]; then \
	  $(BIN)/nextprobe walk $(DEMO) $(ARGS); \
	else \
	  scratch=$$(mktemp -d) && trap 'rm -rf "$$scratch"' EXIT && \
	  NEXTPROBE_STORE="sqlite:///$$scratch/jobs.db" \
	    $(BIN)/nextprobe walk $(DEMO) --answers packs/no-picture/demo.yaml $(ARGS); \
	fi

check: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

test: check
	$(BIN)/python -m pytest -n 2 --dist loadfile $(ARGS)

soak: $(STAMP)
	$(BIN)/python -m pytest -m soak $(ARGS)

# One after another: figures taken side by side on a busy machine mean nothing.
bench: $(STAMP)
	@set -e; for script in benchmarks/bench_*.py; do echo "== $$script"; $(BIN)/python "$$script" $(ARGS); done

snapshots: $(STAMP)
	NEXTPROBE_WRITE_SNAPSHOTS=1 $(BIN)/python -m pytest -q tests/tui/test_snapshots.py

pictures: $(STAMP)
	$(BIN)/python docs/pictures/draw.py

format: $(STAMP)
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

LOCKING := --universal --python-version 3.11 --fork-strategy fewest --generate-hashes \
           --no-emit-index-url --no-header --no-annotate --quiet

lock: $(STAMP)
	@$(BIN)/python -m venv .venv-lock && .venv-lock/bin/python -m pip install -qq uv
	.venv-lock/bin/uv pip compile pyproject.toml $(LOCKING) $(ARGS) -o requirements.lock
	.venv-lock/bin/uv pip compile pyproject.toml --extra dev -c requirements.lock $(LOCKING) $(ARGS) -o requirements-dev.lock

clean:
	rm -rf $(VENV) .venv-lock dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
