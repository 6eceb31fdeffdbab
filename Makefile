# Everything is set up here: virtual environment, packages and, on Debian, the browser.
PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
DEMO ?= zincite-demo

.PHONY: demo test lint types bench bench-smoke fit clean browser database

demo: $(VENV)/.core
	$(BIN)/zincite demo --folder $(DEMO) --force

test: $(VENV)/.dev browser database
	$(BIN)/python -m pytest -n auto --dist worksteal

lint: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports

types: $(VENV)/.dev
	$(BIN)/mypy

bench: $(VENV)/.dev
	$(BIN)/python benchmarks/run.py

bench-smoke: $(VENV)/.dev
	$(BIN)/python benchmarks/run.py --smoke

fit: $(VENV)/.dev
	$(BIN)/python scripts/fit_skin_classes.py
	$(BIN)/python scripts/fit_film_model.py

$(VENV)/.core: pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .
	@touch $@

$(VENV)/.dev: $(VENV)/.core
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e ".[dev]"
	@touch $@

# The report is looked at in a real browser; Debian's Chromium is installed where it is missing.
browser:
	@command -v chromium >/dev/null 2>&1 || { \
	  command -v apt-get >/dev/null 2>&1 || { echo "no apt-get: install chromium by hand, or the browser tests are skipped"; exit 0; }; \
	  sudo=$$( [ "$$(id -u)" = 0 ] || echo sudo ); \
	  $$sudo apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$sudo apt-get install -y -qq chromium >/dev/null; }

# The notebook is tested on a real server, which the tests start themselves.
database:
	@ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || { \
	  command -v apt-get >/dev/null 2>&1 || { echo "no apt-get: install PostgreSQL by hand for the notebook's tests"; exit 0; }; \
	  sudo=$$( [ "$$(id -u)" = 0 ] || echo sudo ); \
	  $$sudo apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$sudo apt-get install -y -qq postgresql >/dev/null; }

clean:
	rm -rf $(VENV) $(DEMO) .mypy_cache .ruff_cache .pytest_cache .hypothesis
