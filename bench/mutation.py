"""Run mutants of a copy made by ``mutants.py``: each in a fork that runs only the tests that reach its function.

    cd FOLDER && python bench/mutation.py RESULTS.csv [--sample N] [--seed N] [--files WORD ...] [--again OLD.csv]
    cd FOLDER && python bench/mutation.py RESULTS.csv --imported OLD.csv

mutmut makes the mutants; its own runner starts pytest anew for each, which costs seconds. Here the tests are collected
once, run once to see which function each reaches and how long it takes, and every mutant is then a fork of that state:
caches are emptied, the mutant is switched on, and the tests that reach it run, quickest first, until one fails.
A mutant that survives ``MOST_S`` seconds of such tests counts as survived.

A fault in what runs while a module is imported comes too late in a fork: with ``--imported`` such survivors each get a
process of their own, switched on before the first import. The last lines of output are a table by file.
"""

from __future__ import annotations

import argparse
import csv
import fnmatch
import functools
import gc
import hashlib
import itertools
import json
import os
import random
import resource
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable
from pathlib import Path

import mutmut.__main__ as tool
import mutmut.mutation.trampoline as trampoline
import pytest
from hypothesis import Phase, settings

Caches = list[functools._lru_cache_wrapper]
TESTS = ("tests/formula", "tests/physiology", "tests/capacity", "tests/test_formula.py", "tests/test_units.py")
# What needs only an import and little time; without the test that reads a module's names, to which mutmut adds its own.
IMPORTED = (
    "tests/capacity/test_answers.py",
    "tests/physiology/test_check_tables.py",
    "tests/test_formula.py",
    "tests/formula/test_spread.py",
    "tests/formula/test_arrays.py",
    "tests/formula/test_typed.py",
    "--deselect=tests/physiology/test_check_tables.py::test_every_conversion_has_a_check_row",
)
MOST_S = 2.0  # of tests, by their time without a mutant
KNOWN = Path("reached.json")  # in the folder "mutants": which functions each test reaches, by the content of its file
CPU_S = 30  # a mutant that uses more runs for ever: killed


class Runner:
    """The pytest plugin that replaces the loop over tests."""

    def __init__(self, names: list[str], results: Path) -> None:
        self.names, self.results = names, results
        self.hit: set[str] = set()
        self.at_import: set[str] = set()

    def pytest_configure(self) -> None:
        """Note every function that is called, from the first import on."""
        os.environ["MUTANT_UNDER_TEST"] = "stats"
        trampoline.record_trampoline_hit = lambda name, caller=None: self.hit.add(name)  # noqa: ARG005

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        """The same examples in every run, and no search for the smallest one."""
        settings.register_profile(
            "mutation", deadline=None, database=None, derandomize=True, phases=(Phase.explicit, Phase.generate)
        )
        settings.load_profile("mutation")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """First all tests without a mutant, then each mutant in a fork."""
        self.at_import = set(self.hit)
        caches = [one for one in gc.get_objects() if type(one) is functools._lru_cache_wrapper]
        reached = self._reached(session.items, caches)
        gc.freeze()
        with self.results.open("w", encoding="utf-8", newline="") as file:
            write = csv.writer(file)
            write.writerow(("mutant", "verdict", "tests", "when_imported"))
            for name in self.names:
                function = trampoline.mangled_name_from_mutant_name(name)
                tests = reached.get(function, [])
                verdict = self._verdict(name, tests, caches) if tests else "no test"
                write.writerow((name, verdict, len(tests), function in self.at_import))
                file.flush()
        return True

    def _reached(self, items: list[pytest.Item], caches: Caches) -> dict[str, list[pytest.Item]]:
        """The tests that reach each function, quickest first, up to ``MOST_S`` seconds of them."""
        known = json.loads(KNOWN.read_text(encoding="utf-8")) if KNOWN.exists() else {}
        seconds: dict[pytest.Item, float] = {}
        reached: dict[str, list[pytest.Item]] = defaultdict(list)
        fresh = [item for item in items if _key(item) not in known]
        for item, after in _with_next(fresh):
            self.hit.clear()
            _empty(caches)
            start = time.process_time()
            if not _passes(item, after):
                sys.stderr.write(f"fails without a mutant, left out: {item.nodeid}\n")
                self.hit.clear()
            known[_key(item)] = (time.process_time() - start, sorted(self.hit))
        for item in items:
            seconds[item], functions = known[_key(item)]
            for function in functions:
                reached[function].append(item)
        KNOWN.write_text(json.dumps(known), encoding="utf-8")
        sys.stderr.write(f"{len(items)} tests, {sum(seconds.values()):.0f} s of processor time\n")
        for tests in reached.values():
            tests.sort(key=seconds.__getitem__)
        return {function: _within(tests, seconds) for function, tests in reached.items()}

    def _verdict(self, name: str, tests: list[pytest.Item], caches: Caches) -> str:
        child = os.fork()
        if child == 0:
            resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))
            os.environ["MUTANT_UNDER_TEST"] = name
            _empty(caches)
            for item, after in _with_next(tests):
                if not _passes(item, after):
                    os._exit(1)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        return "survived" if status == 0 else "killed"


def _with_next(items: list[pytest.Item]) -> Iterable[tuple[pytest.Item, pytest.Item | None]]:
    """Each test with the one after it, as pytest wants to know what it may keep set up."""
    return zip(items, [*items, None][1:], strict=True)


def _passes(item: pytest.Item, after: pytest.Item | None) -> bool:
    """Whether a test passes: run as pytest does, without the report on what failed, which costs more than the test."""
    state = item.session._setupstate
    try:
        item._initrequest()
        state.setup(item)
        item.runtest()
        state.teardown_exact(after)
    except KeyboardInterrupt:
        raise
    except BaseException:
        state.teardown_exact(None)
        return False
    return True


def _empty(caches: Caches) -> None:
    for cache in caches:
        cache.cache_clear()


@functools.cache
def _content(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def _key(item: pytest.Item) -> str:
    return f"{item.nodeid} {_content(item.path)}"


def _within(tests: list[pytest.Item], seconds: dict[pytest.Item, float]) -> list[pytest.Item]:
    total, kept = 0.0, []
    for item in tests:
        total += seconds[item]
        if kept and total > MOST_S:
            break
        kept.append(item)
    return kept


def _make() -> None:
    """The mutants, as mutmut makes them, in the folder ``mutants`` of the copy."""
    Path("mutants").mkdir(exist_ok=True)
    tool.copy_src_dir()
    tool.copy_also_copy_files()
    tool.create_mutants(1)


def _chosen(words: list[str], sample: int | None, seed: int) -> list[str]:
    """The mutants of the files named by ``words``, or of all; ``sample`` of each file.

    In turns, one of each file: a run that is stopped has tried as many of each.
    """
    of_files: list[list[str]] = []
    for path in sorted(Path("mutants/src").rglob("*.py.meta")):
        if words and not any(fnmatch.fnmatch(path.as_posix(), f"*{word}*") for word in words):
            continue
        found = sorted(json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"])
        random.Random(f"{seed} {path.name}").shuffle(found)  # noqa: S311 - a sample, no secret
        of_files.append(found[:sample])
    return [name for turn in itertools.zip_longest(*of_files) for name in turn if name]


def _not_killed(results: Path, imported: bool = False) -> list[str]:
    with results.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["verdict"] != "killed"]
    return [row["mutant"] for row in rows if not imported or row["when_imported"] == "True"]


def _run_imported(names: list[str], results: Path) -> int:
    """Each mutant in a process of its own. Returns 1 if the tests fail without any."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "--tb=no", "-p", "no:cacheprovider", *IMPORTED]

    def fails(name: str) -> bool:
        known = {**os.environ, "MUTANT_UNDER_TEST": name, "PYTHONPATH": "src:."}
        done = subprocess.run(command, env=known, cwd="mutants", stdout=subprocess.DEVNULL, check=False)  # noqa: S603
        return done.returncode != 0

    if fails(""):
        sys.stderr.write("The tests fail without a mutant: put that right first.\n")
        return 1
    with results.open("w", encoding="utf-8", newline="") as file:
        write = csv.writer(file)
        write.writerow(("mutant", "verdict", "tests", "when_imported"))
        write.writerows((name, "killed" if fails(name) else "survived", "", True) for name in names)
    return 0


def _table(results: Path) -> str:
    """Mutants tried and killed, by file."""
    tried: Counter[str] = Counter()
    killed: Counter[str] = Counter()
    with results.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            module = ".".join(row["mutant"].split(".")[1:-1])
            tried[module] += 1
            killed[module] += row["verdict"] == "killed"
    lines = [
        f"| {one} | {tried[one]} | {killed[one]} | {100 * killed[one] / tried[one]:.0f} % |" for one in sorted(tried)
    ]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Make mutants where there are none yet, run them, write one row for each."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("results", type=Path)
    words.add_argument("--sample", type=int)
    words.add_argument("--seed", type=int, default=3)
    words.add_argument("--files", nargs="*", default=[])
    words.add_argument("--again", type=Path, help="only what survived in these earlier results")
    words.add_argument("--imported", type=Path, help="only what survived there and runs while a module is imported")
    given = words.parse_args()
    if not Path("mutants").exists():
        _make()
    if given.imported:
        failed = _run_imported(_not_killed(given.imported, imported=True), given.results)
        sys.stdout.write("" if failed else _table(given.results))
        return failed
    names = _not_killed(given.again) if given.again else _chosen(given.files, given.sample, given.seed)
    runner = Runner(names, given.results.resolve())
    os.chdir("mutants")
    sys.path[:0] = [str(Path("src").resolve()), str(Path.cwd())]
    code = pytest.main(["-q", "-p", "no:cacheprovider", "-p", "no:randomly", *TESTS], plugins=[runner])
    sys.stdout.write(_table(runner.results))
    return code


if __name__ == "__main__":
    raise SystemExit(main())
