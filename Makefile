# Everything from a fresh Debian 12 with Rust, Node and Python: each target sets up what it lacks.

.PHONY: demo test setup setup-test clean

demo: setup ## build, make the invented city, plan its season, write the papers
	@scripts/demo.sh

test: setup-test ## format, lints, tests, outside checks, licences
	@python3 scripts/test.py

setup: ## Debian packages to build with
	@scripts/setup.sh build

setup-test: ## the same, with the tools and Python packages of the outside checks
	@scripts/setup.sh build test
	@scripts/python-env.sh

clean: ## forget everything that was built
	cargo clean
	rm -rf demo checks/.venv
