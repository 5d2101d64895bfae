# Words of this project. Each does its own set-up on a fresh Debian with Python 3.11.
#   make demo    plan the example batch and say where the results are
#   make test    all tests
#   make check   lint, types, direction of imports, names nobody uses, docs
#   make hunt    answers to thousands of made-up cases held against referees, oracles and themselves, for an hour or N=… cases
#   make attack  hours of mutated inputs and kills (SECONDS=3600 SEED=0)
#   make pythons the same files and the wheel under the other Pythons that are here (3.12, 3.13)
#   make bench   speed, as ratios against named baselines
#   make golden  write the reference drawings and tables again
#   make docs    build the documentation
#   make serve   the workshop in the browser
#   make lock    pin the requirements again

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
OUT ?= out/demo
PAGES ?= 7 13 24  # sheets of the example pack that stand in the README: see that they are the ones meant
SECONDS ?= 3600
SEED ?= 0
KILLS ?= 500
unexport PYTHONDONTWRITEBYTECODE  # every command that a test starts would compile the program anew
export OMP_NUM_THREADS ?= 1
export OPENBLAS_NUM_THREADS ?= 1

.PHONY: demo test check lint types hunt attack pythons bench golden docs pictures serve lock clean programs browser

$(VENV)/run.ready: requirements/run.txt pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "longpoint needs Python 3.11 or newer; set PYTHON=python3.x")'
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV) || { echo "python3-venv is missing: apt-get install python3-venv"; exit 1; }
	@echo "Setting up (once, a minute or two) ..."
	@$(PIP) --require-hashes -r requirements/run.txt
	@$(MAKE) --no-print-directory browser
	@$(PIP) --no-deps --no-build-isolation -e .
	@touch $@

# Browser code: Node.js comes as a package where the machine has none; without any, pages are plain forms.
browser:
	@! $(BIN)/python hatch_build.py --needs-node || $(PIP) --require-hashes -r requirements/node.txt || true
	@$(BIN)/python hatch_build.py || echo "The browser code is not built: the pages will be plain forms."

$(VENV)/dev.ready: requirements/dev.txt $(VENV)/run.ready
	@echo "Setting up the tests (once, a minute or two) ..."
	@$(PIP) --require-hashes -r requirements/dev.txt
	@$(PIP) --no-deps --no-build-isolation -e .
	@touch $@

demo: $(VENV)/run.ready
	@$(BIN)/longpoint plan examples/winter-show.toml -o $(OUT)
	@echo "From now on: $(BIN)/longpoint --help, or . $(BIN)/activate once, then longpoint by its name."

test: $(VENV)/dev.ready programs
	@$(BIN)/python -m pytest -q -n 2 --dist loadgroup --durations=40 --durations-min=8 tests

# Debian programs that some tests compare with; the tests that need a missing one are skipped, and say so.
programs:
	@./tools/programs calculix-ccx:ccx poppler-utils:pdftoppm chromium:chromium postgresql:pg_lsclusters

# Types and docs take the time; they are worked beside each other.
check: $(VENV)/dev.ready
	@$(MAKE) --no-print-directory --jobs=2 --output-sync types docs lint

lint: $(VENV)/dev.ready
	@$(BIN)/ruff check src tests
	@$(BIN)/ruff format --check -q src tests
	@$(BIN)/lint-imports
	@$(BIN)/vulture

types: $(VENV)/dev.ready
	@$(BIN)/mypy

hunt: $(VENV)/dev.ready
	@$(BIN)/python tests/hunt/run.py $(if $(N),--cases $(N) --minutes 100000,--minutes 60)

pythons: $(VENV)/dev.ready
	@./tools/pythons 3.12 3.13

bench: $(VENV)/dev.ready programs
	@$(BIN)/python -m pytest -q -m bench -o python_files='bench_*.py' tests/bench

attack: $(VENV)/dev.ready
	@$(BIN)/python tests/hard/attack.py $(SECONDS) $(SEED)
	@$(BIN)/python tests/hard/kills.py $(KILLS) $(SEED)
	@$(BIN)/python tests/hard/store_kills.py 200 $(SEED)
	@$(BIN)/python tests/bench/contention.py 300

golden: $(VENV)/dev.ready
	@LONGPOINT_WRITE_GOLDEN=1 LONGPOINT_WRITE_DOCS=1 $(BIN)/python -m pytest -q -k "golden or written_docs or docs_table"

docs: $(VENV)/dev.ready
	@$(BIN)/sphinx-build -q -W --keep-going -b html docs docs/_build/html
	@echo "Documentation: docs/_build/html/index.html"

pictures: $(VENV)/dev.ready programs
	@$(BIN)/longpoint plan examples/winter-show.toml -o $(OUT)-pictures --unrehearsed
	@$(BIN)/python tools/picture.py $(OUT)-pictures/pack.pdf docs/pictures/pack.png $(PAGES)
	@$(BIN)/python tools/pages_picture.py docs/pictures/pages.png docs/pictures/phone.png

serve: $(VENV)/run.ready
	@$(BIN)/longpoint serve

lock: $(VENV)/dev.ready
	@$(BIN)/pip-compile -q --allow-unsafe --strip-extras --generate-hashes --no-emit-index-url --no-header -o requirements/dev.txt requirements/dev.in
	@$(BIN)/pip-compile -q --allow-unsafe --strip-extras --generate-hashes --no-emit-index-url --no-header -c requirements/dev.txt -o requirements/run.txt requirements/run.in

clean:
	@rm -rf $(VENV) $(VENV)-3.* out build dist docs/_build .pytest_cache .mypy_cache .ruff_cache
