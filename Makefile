# Voltwright: the commands of the house. `make help` lists them.

unexport PYTHONDONTWRITEBYTECODE

PYTHON ?= python3
BIN := .venv/bin
EXAMPLE := examples/coupe.yaml
OUT := out/coupe
# Debian packages that the tests need, each PACKAGE or PACKAGE:PROBE (see scripts/need.sh).
# Debian keeps the commands of PostgreSQL off the PATH. The driver of the browser tests brings a program that wants libatomic.
TEST_NEEDS := git openssl chromium 'libatomic1:/sbin/ldconfig -p | grep -q libatomic.so.1' 'postgresql:ls /usr/lib/postgresql/*/bin/initdb || command -v initdb'

LOCK := $(BIN)/uv pip compile pyproject.toml --quiet --universal --python-version 3.11 \
	--generate-hashes --no-header --no-annotate $(if $(UPGRADE),--upgrade)

.PHONY: help run serve test check lock evidence bench clean
.DEFAULT_GOAL := help

help:  ## list these commands
	@awk -F ':.*  ## ' '/^[a-z]+:.*  ## / { printf "  make %-9s %s\n", $$1, $$2 }' Makefile

run: .venv/.ready-run  ## set up, assess the example build and write its papers
	@scripts/run.sh $(BIN)/voltwright $(EXAMPLE) $(OUT)

serve: .venv/.ready-run  ## serve the pages to this computer, at http://localhost:8420
	@$(BIN)/voltwright serve

test: .venv/.ready-test  ## run every test
	@scripts/need.sh $(TEST_NEEDS)
	@$(BIN)/python -m pytest -n 2

check: .venv/.ready-test  ## style, types and the direction of imports
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/pyright
	$(BIN)/lint-imports

# The run lock takes its versions from the test lock, so that both hold the same ones.
lock: | .venv/.ready-test  ## pin the dependencies anew (UPGRADE=1 takes the newest)
	$(LOCK) --group build --group test --group check --output-file requirements/test.txt
	$(LOCK) --group build --constraint requirements/test.txt --output-file requirements/run.txt

evidence: .venv/.ready-test  ## write docs/reference/evidence.md from the published checks
	@$(BIN)/python tools/evidence.py

# A machine may tell OpenBLAS what processor it has; here it finds out by itself, as at a workshop.
bench: .venv/.ready-test  ## how fast it is, side by side; writes benchmarks/latest.json
	@unset OPENBLAS_CORETYPE OPENBLAS_L2_SIZE; $(BIN)/python -m benchmarks

clean:  ## remove what these commands made
	rm -rf .venv out dist .pytest_cache .ruff_cache .hypothesis .import_linter_cache .kernels
	find src tests -name __pycache__ -type d -prune -exec rm -rf {} +

# A stamp is written last and taken away first, so a half-made .venv is made again.
.venv/.ready-run: requirements/run.txt pyproject.toml
	@scripts/setup.sh $(PYTHON) run

.venv/.ready-test: requirements/test.txt pyproject.toml
	@scripts/setup.sh $(PYTHON) test
