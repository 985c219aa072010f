# Everything from a fresh Debian 12 with Rust, Node and Python: each target sets up what it lacks.

.PHONY: demo test setup setup-test clean

demo: setup ## build, make the invented city, plan its season, write the papers
	@scripts/demo.sh

test: setup-test ## format, lints, tests, outside checks, licences
	@python3 scripts/test.py

setup: ## Debian and npm packages to build with
	@scripts/setup.sh build
	@scripts/node-packages.sh web

setup-test: ## the same, with the browser, tools and packages of the tests
	@scripts/setup.sh build test
	@scripts/node-packages.sh web tests/desk
	@scripts/python-env.sh

clean: ## forget everything that was built
	cargo clean
	rm -rf demo checks/.venv web/node_modules tests/desk/node_modules
