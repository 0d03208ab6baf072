# Two commands: `make demo` and `make test`. Each makes its own virtual environment first.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
RUN := $(VENV)/.ready-to-run
TEST := $(VENV)/.ready-to-test

# Compiled files are kept, whatever the shell says: each command starts in a third of the time, and
# the tests start hundreds. (Set but empty counts as not set.)
export PYTHONDONTWRITEBYTECODE :=

.PHONY: demo test fast lint bench pictures guide lock clean

demo: $(RUN)
	$(BIN)/buckwright demo

# Two workers: the machines that check every change have two cores.
test: $(TEST) lint
	$(BIN)/pytest -n 2 --dist loadfile --no-loadscope-reorder

fast: $(TEST) lint
	$(BIN)/pytest -n 2 --dist loadfile --no-loadscope-reorder -m "not slow and not browser"

lint: $(TEST)
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(TEST)
	$(BIN)/python -m bench

# The example's photographs; they are committed, so this is for changing the example only.
pictures: $(TEST)
	$(BIN)/python examples/wren/make_pictures.py

guide: $(TEST)
	$(BIN)/python docs/guide/make_pictures.py

# Versions that everything is tested with. Hashes, but no addresses: any registry may serve them.
LOCK := $(BIN)/uv pip compile --quiet --python-version 3.11 --universal --generate-hashes \
  --no-emit-index-url --no-annotate --no-header pyproject.toml
lock: $(TEST)
	$(LOCK) -o requirements/run.txt
	$(LOCK) --extra test -c requirements/run.txt -o requirements/test.txt

UV := $(BIN)/uv pip install --quiet --python $(BIN)/python

$(RUN): pyproject.toml requirements/run.txt hatch_build.py src/buckwright/web/ui/package-lock.json
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "buckwright needs Python 3.11 or newer; say which with make PYTHON=python3.12")'
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv
	$(UV) --require-hashes -r requirements/run.txt
	$(UV) --no-deps --editable .
	@touch $@

$(TEST): $(RUN) requirements/test.txt
	$(UV) --require-hashes -r requirements/test.txt
	@touch $@

clean:
	rm -rf $(VENV) demo src/buckwright/web/bundle
