# The commands that people need. `make demo` and `make test` set everything up by themselves.

PYTHON ?= python3.11
VENV   := .venv
BIN    := $(VENV)/bin
READY  := $(VENV)/.ready
# What the tests need beyond Python packages, as command:package: a reader of film, a voice, a judge of units, a caption checker, a browser.
SYSTEM := ffprobe:ffmpeg flite:flite units:units node:nodejs npm:npm chromium:chromium

.PHONY: setup demo test lint lock system clean help

help:
	@echo "make demo   set up and run the main job on the demo build"
	@echo "make test   set up and run every test"
	@echo "make setup  make .venv with benchscribe in it"
	@echo "make lint   ruff, mypy, import contracts, spelling"
	@echo "make lock   renew requirements.lock from pyproject.toml"

setup: $(READY)

$(READY): requirements.lock pyproject.toml
	@command -v $(PYTHON) >/dev/null || { echo "Python 3.11 or later is needed; name it with: make PYTHON=python3.12 ..."; exit 1; }
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps -e .
	@touch $@

demo: setup
	$(BIN)/benchscribe demo demo

test: setup system
	$(BIN)/python -m pytest $(ARGS)

# Only where apt-get is there and we may use it; elsewhere the tests say what they miss.
system:
	@missing=""; for pair in $(SYSTEM); do command -v $${pair%%:*} >/dev/null || missing="$$missing $${pair##*:}"; done; \
	if [ -n "$$missing" ] && command -v apt-get >/dev/null; then \
	  sudo=""; [ "$$(id -u)" = 0 ] || sudo=sudo; \
	  $$sudo apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$sudo apt-get install -y -qq --no-install-recommends $$missing; fi

lint: setup
	$(BIN)/ruff check pipeline tests
	$(BIN)/ruff format --check pipeline tests
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/codespell pipeline templates README.md DEVELOPERS.md CHANGELOG.md

lock: | $(BIN)/pip-compile
	$(BIN)/pip-compile --quiet --all-extras --generate-hashes --allow-unsafe --no-emit-index-url --no-emit-find-links \
	  --no-emit-trusted-host --strip-extras --no-header --output-file requirements.lock pyproject.toml

clean:
	rm -rf $(VENV) demo build dist
