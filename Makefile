# Two commands matter: `make demo` runs the service on this machine, `make test` runs the suite.
# Both need Python 3.11 or newer with venv, and nothing else; `make help` lists the rest.

PYTHON ?= python3
PY := .venv/bin/python
PIP := $(PY) -m pip --disable-pip-version-check --no-input install --quiet --require-hashes
# A database that is made for one command and gone afterwards.
BESIDE := $(PY) -m config.local.postgres run --throwaway --
# As a production host would be set up, for the checks that look at settings; connects to nothing.
AS_PRODUCTION := env -u LOCAL_DEMO DATABASE_URL=postgresql://web@database/reefer ALLOWED_HOSTS=clearance.example \
	SECRET_KEY="$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(50))')" \
	MEDIA_ROOT=/srv/media HISTORY_DIGEST_DIR=/srv/digests TRUSTED_PROXIES=127.0.0.1 EMAIL_HOST=mail.example

# The demo and the suite start many processes; without bytecode each compiles everything anew.
export PYTHONDONTWRITEBYTECODE :=

# A file stays with one worker, for what its tests share; the long ones are begun first.
# One process more than the two cores it is meant for: a test that waits for a server leaves its core to another.
SPREAD := -n 3 --dist loadfile --no-loadscope-reorder

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help demo demo-reset replay test drills check lint types imports migrations sql deploy-check openapi openapi-check examples screenshots sentences sentences-check production-check bench pin

help: ## list what can be made
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 16

demo: .venv/demo-installed ## run the service here, with its own database and the demo fleet
	@exec $(PY) -m config.local.demo

demo-reset: .venv/demo-installed ## throw the demo's data away
	@$(PY) -m config.local.demo --reset

replay: DAY ?= 5
replay: .venv/demo-installed ## play a day of the demo carrier against the running demo, as in: make replay DAY=5
	@$(PY) manage.py replay_scenario --day "$(DAY)" \
		--address "$$($(PY) -c 'from config import env; print(env.left_by_demo().get("ADDRESS", "http://127.0.0.1:8000"))')"

test: .venv/dev-installed ## run the whole suite
	$(PY) -m pytest $(SPREAD)

drills: .venv/dev-installed .venv-contract/installed ## run the long forms that the suite leaves out
	$(PY) -m pytest $(SPREAD) --drills

check: lint types imports migrations deploy-check openapi-check sentences-check test ## everything a change must pass

lint: .venv/dev-installed ## format and lint
	$(PY) -m ruff format --check .
	$(PY) -m ruff check .

types: .venv/dev-installed ## mypy, strict
	$(PY) -m mypy .

imports: .venv/dev-installed ## who may import whom
	.venv/bin/lint-imports

migrations: .venv/dev-installed ## the models and their migrations agree
	$(BESIDE) $(PY) manage.py makemigrations --check --dry-run

sql: .venv/dev-installed ## write the files of */sql anew, as the migrations leave the database
	$(BESIDE) $(PY) -m tests.support.sql_files

deploy-check: .venv/dev-installed ## Django's own checks with production settings
	$(AS_PRODUCTION) $(PY) manage.py check --deploy --fail-level WARNING

openapi: .venv/dev-installed ## write docs/openapi.yaml anew
	$(AS_PRODUCTION) $(PY) manage.py spectacular --validate --fail-on-warn --file docs/openapi.yaml

openapi-check: .venv/dev-installed ## the committed description is the one the code gives
	$(AS_PRODUCTION) $(PY) manage.py spectacular --validate --fail-on-warn | diff docs/openapi.yaml -

examples: .venv/dev-installed ## record the examples of the description anew where one no longer fits
	$(PY) -m tests.support.examples

screenshots: .venv/dev-installed ## draw the pages into docs/pictures anew; needs Chromium
	$(BESIDE) $(PY) -m tests.support.screenshots

sentences: .venv/dev-installed ## write docs/sentences.md anew
	$(PY) -m tests.support.sentences write

sentences-check: .venv/dev-installed ## the committed sentences are those the code says
	$(PY) -m tests.support.sentences check

production-check: .venv/dev-installed ## compose's services, run with the production set alone, do the work; needs nginx and redis-server
	$(PY) -m tests.production.check

bench: .venv/dev-installed ## measure against plain floors, every answer checked, as in: make bench CASES=walkarounds
	$(PY) -m tests.benchmarks $(CASES)

pin: ## choose versions anew; needs uv
	for set in production demo dev; do \
		uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header \
			--no-emit-index-url --upgrade --quiet $$(test $$set = production || echo --group $$set) \
			-o requirements/$$set.txt || exit 1; \
	done
	uv pip compile --group contract --universal --python-version 3.11 --generate-hashes --no-header \
		--no-emit-index-url --upgrade --quiet -o requirements/contract.txt

# Apart from the suite's environment, whose test runner it would change.
.venv-contract/installed: requirements/contract.txt | .venv/pyvenv.cfg
	@echo "Installing what tries the API's description on the running service …"
	@$(PYTHON) -m venv .venv-contract
	@.venv-contract/bin/python -m pip --disable-pip-version-check --no-input install --quiet --require-hashes -r $<
	@touch $@

.venv/pyvenv.cfg:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo "Python 3.11 or newer is needed; name one with PYTHON=…" >&2; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null \
		|| { echo "Python's venv is missing; on Debian or Ubuntu: apt-get install python3-venv" >&2; exit 1; }
	@$(PYTHON) -m venv .venv || { rm -rf .venv; exit 1; }

.venv/demo-installed: requirements/demo.txt | .venv/pyvenv.cfg
	@test .venv/dev-installed -nt requirements/demo.txt || { echo "Installing what the demo needs …"; $(PIP) -r $<; }
	@touch $@

.venv/dev-installed: requirements/dev.txt | .venv/pyvenv.cfg
	@echo "Installing what the suite needs …"
	@$(PIP) -r $<
	@touch $@
