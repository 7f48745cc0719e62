# The task runner: `just` lists the tasks. It needs what `pip install '.[test,dev]'` installs.
set positional-arguments

python := env_var_or_default("PYTHON", ".venv/bin/python")

default:
    @just --list

# run the tests, or those named; -n auto takes every processor
test *args:
    {{python}} -m pytest "$@"

# every case of every test, and all of the terminal: 22 minutes on two processors
test-all *args:
    ADVISOR_TEST_ALL=1 {{python}} -m pytest -n auto --dist worksteal "$@"

# two thousand random walks through a sitting: half an hour
soak:
    ADVISOR_SOAK=1 {{python}} -m pytest -n auto tests/app/test_walks.py::test_walks

# the property tests with examples that nobody has seen
shake *args:
    {{python}} -m pytest -n auto --hypothesis-profile shaken "$@"

# style
lint:
    {{python}} -m ruff check .
    {{python}} -m ruff format --check .

# strict types
types:
    {{python}} -m mypy

# which room may import which
layers:
    {{python}} -c "from importlinter.cli import lint_imports_command as lint; lint()"

# knowledge and scenarios: no errors, no weaknesses
knowledge:
    {{python}} -m advisor check

# real complaints: hits in the first one, three and five
score:
    {{python}} -m tests.real_complaints.score

# whole-process start against bare imports, as ratios
bench:
    {{python}} -m tests.benchmarks.start_up

# the journal under kills and power cuts
durability:
    {{python}} -m tests.journal.kills 500
    {{python}} -m tests.journal.power

# what a journal with 100,000 trials costs, as ratios
growth:
    {{python}} -m tests.benchmarks.growth

# write what the README shows of the program into it
readme:
    {{python}} -m tests.docs.readme

# put what the formatter and linter can mend right
fix:
    {{python}} -m ruff check --fix .
    {{python}} -m ruff format .

# everything but the tests
check: lint types layers knowledge
