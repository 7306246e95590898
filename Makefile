# Everything a developer types; `make help` lists it. A fresh machine needs Python 3.11+ and make.

PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.installed
PACKAGES := web/node_modules/.installed
APP := src/matbook/server/app/index.html
JOBS ?= 3 # browser tests wait a good part of their time
unexport PYTHONDONTWRITEBYTECODE # compiled once, not by every process of a test
MAKEFLAGS += --jobs=2 # Python's and the app's packages are set up, and checked, side by side

.DEFAULT_GOAL := build
.PHONY: build demo test test-long check check-python check-web check-tests bench docs format lock clean help

build: $(STAMP) $(APP) ## set up .venv and the app; the command is then .venv/bin/matbook

$(APP): $(shell find web/src web/public -type f -not -path '*/generated/*' 2>/dev/null) \
		$(shell find src/matbook/words src/matbook/book src/matbook/desk src/matbook/lots src/matbook/shift \
			src/matbook/plan src/matbook/engine -type f -not -name '*.pyc' 2>/dev/null) \
		$(PACKAGES) web/vite.config.ts web/index.html web/compile.mjs tools/compiled.py | $(STAMP)
	@echo "Building the app"
	@$(BIN)/python -m tools.write_web
	@cd web && npx --no-install vite build --logLevel error
	@touch $@

$(PACKAGES): web/package-lock.json
	@cd web && npm ci --silent --no-audit --no-fund
	@touch $@

$(STAMP): requirements.lock pyproject.toml
	@$(PYTHON) tools/fresh.py
	@echo "Setting up .venv from requirements.lock; about a minute the first time"
	@$(PYTHON) -m venv .venv
	@sed -n '/^pip==/,/#/p' requirements.lock > .venv/pip.lock # first: an old one takes twice the time
	@for lock in .venv/pip.lock requirements.lock; do $(BIN)/python -m pip install --quiet \
		--disable-pip-version-check --no-compile --no-deps --require-hashes -r $$lock || exit 1; done
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check \
		--no-deps --no-build-isolation --editable .
	@touch $@
	@echo "Ready: $(BIN)/matbook --help"

demo: build ## two invented jobs: their records in demo/, then the app on a shift in full swing
	@$(BIN)/matbook demo

test: check ## check everything, then run every test but the long ones
	@echo "Running the tests"
	@$(BIN)/python -m pytest -n $(JOBS) --dist worksteal -p tools.covered --durations=20

test-long: build ## kills, mutations and simulations that take minutes
	@echo "Running the long tests"
	@HYPOTHESIS_PROFILE=long $(BIN)/python -m pytest -m long --durations=20

check: check-python check-web check-tests ## format, lint, strict types, import contract, generated docs

check-python: $(STAMP) # while the app is built
	@echo "Checking format, lint, types, imports and docs"
	@$(BIN)/ruff format --quiet --check .
	@$(BIN)/ruff check --quiet .
	@$(BIN)/mypy
	@$(BIN)/lint-imports --no-cache --no-logo
	@$(BIN)/python -m tools.write_docs --check
	@$(BIN)/python -m tools.write_forms --check

check-web: build
	@cd web && npx --no-install svelte-check --fail-on-warnings --output human

check-tests: build # what is compiled of them here is compiled once, and not by every test process
	@$(BIN)/python -m pytest --collect-only -qq > .pytest_collected 2>&1 || { cat .pytest_collected; exit 1; }

bench: build ## measure against references in the same run; see docs/measurements.md
	@$(BIN)/python -m bench $(ARGS)

docs: build ## write the generated pages and pictures of docs/ and THIRD_PARTY again
	@$(BIN)/python -m tools.write_docs
	@$(BIN)/python -m tools.write_third_party
	@$(BIN)/python -m tools.write_pictures
	@$(BIN)/python -m tools.write_screens

format: build ## put the code into its one format
	@$(BIN)/ruff check --quiet --fix .
	@$(BIN)/ruff format --quiet .

lock: ## choose versions again, all with hashes, for every platform and Python we support
	@echo "Locking"
	@$(PYTHON) -m venv build/lock
	@build/lock/bin/python -m pip install --quiet --disable-pip-version-check uv
	@build/lock/bin/python tools/lock.py build/lock/bin/uv

clean: ## remove what make made; your books are elsewhere
	@rm -rf .venv build demo web/node_modules src/matbook/server/app .mypy_cache .ruff_cache .pytest_cache .pytest_collected .hypothesis

help: ## this list
	@sed -n 's/^\([a-z-]*\):[^#]*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 12
