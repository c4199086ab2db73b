# Every target does its own set-up; `make help` lists them.
.DEFAULT_GOAL := help
.PHONY: help demo test check bench nightly docs lock clean
PYTHON := .venv/bin/python
DEV := sh scripts/venv.sh requirements-dev.txt

help: ## this list
	@sed -n 's/^\([a-z]*\):.*## /  make \1	/p' Makefile

demo: ## plan two example streets into ./hardpan-demo; on a terminal, serve them until Ctrl-C
	@sh scripts/venv.sh requirements.txt
	.venv/bin/hardpan demo

test: ## the gate: every test, format, lint and types among them
	@$(DEV)
	@sh scripts/test_tools.sh
	$(PYTHON) -m pytest -n 2

check: ## format, lint, types and the lock, without the tests
	@$(DEV)
	$(PYTHON) scripts/check.py

bench: ## ratios of times, against their aims
	@$(DEV)
	$(PYTHON) -m benchmarks.run

nightly: ## long tests, and mutants of the laws
	@$(DEV)
	@sh scripts/test_tools.sh
	$(PYTHON) -m pytest -n 2 -m nightly
	PYTHONDONTWRITEBYTECODE=1 $(PYTHON) scripts/mutate.py

docs: ## API pages from the docstrings, into docs/api
	@$(DEV)
	$(PYTHON) scripts/api_pages.py docs/api

lock: ## the requirements files from pyproject.toml; a version moves only when it must, or with UPGRADE=1
	@$(DEV)
	$(PYTHON) scripts/lock.py $(if $(UPGRADE),--upgrade)

clean: ## everything that can be made again
	rm -rf .venv node_modules .pytest_cache .mypy_cache .ruff_cache .hypothesis .coverage dist build hardpan-demo
	find src tests scripts benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +
