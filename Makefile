# make demo: plan the example works, invent one with a year of record.  make test: what CI checks.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test check lint types imports tests format docs expected install install-dev clean

demo: install
	$(BIN)/pacewright plan examples/trolleybus --out out/trolleybus
	@rm -rf out/works
	$(BIN)/pacewright example out/works --record-months 12
	@echo
	@echo "The plan: open out/trolleybus/report.html in a browser."
	@echo "The works by its record, day by day: $(BIN)/pacewright today out/works"
	@echo "The same as pages:                   $(BIN)/pacewright serve out/works --from-record"

test: install-dev check

check: lint types imports tests

install: $(VENV)/installed
install-dev: $(VENV)/installed-dev

$(VENV)/uv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo "Pacewright needs Python 3.11 or newer; name one: make PYTHON=python3.12 ..."; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check -c constraints.txt uv
	@touch $@

$(VENV)/installed: $(VENV)/uv constraints.txt pyproject.toml
	$(BIN)/uv pip install --quiet --python $(BIN)/python --compile-bytecode -c constraints.txt -e '.[simulate,papers]'
	@touch $@

$(VENV)/installed-dev: $(VENV)/installed
	$(BIN)/uv pip install --quiet --python $(BIN)/python --compile-bytecode -c constraints.txt -e '.[dev,test]'
	@touch $@

lint:
	$(BIN)/ruff check src tests bench
	$(BIN)/ruff format --check src tests bench

types:
	$(BIN)/mypy

imports:
	$(BIN)/lint-imports

tests:
	$(BIN)/python -m pytest -n 2

format: install-dev
	$(BIN)/ruff check --fix src tests bench
	$(BIN)/ruff format src tests bench

# What is made from the code; tests in tests/house fail when the committed copy is stale.
docs: install
	$(BIN)/python -m pacewright.files.reference > docs/files.md
	$(BIN)/python -m pacewright.files.daily_reference docs/daily.md
	$(BIN)/python -m pacewright.events.reference docs/events.md
	$(BIN)/python -m pacewright.control.door_reference docs/6-control.md
	$(BIN)/python -m pacewright.cli.reference > docs/commands.md

# The stored summaries of the examples, compared in tests: look at what changed before committing.
expected: install-dev
	$(BIN)/python tests/expected_plans.py

clean:
	rm -rf $(VENV) out build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
