"""What the rooms answer in full: words, working, sources and questions, to be read and then held.

The check tables hold the numbers; this holds everything that is said around them. After a deliberate change of wording
``python -m tests.capacity.answers`` writes ``tests/checks/answers.txt`` again: read the difference before it is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path

from haleward.errors import HalewardError
from haleward.worksheet import Figure
from tests.capacity.answers_field import field_cases
from tests.capacity.answers_limits import contradiction_cases, formula_cases, limit_cases
from tests.capacity.answers_people import Case
from tests.capacity.answers_physiology import physiology_cases
from tests.capacity.answers_staged import staged_cases
from tests.capacity.answers_walk import walk_cases

FILE = Path(__file__).parent.parent / "checks" / "answers.txt"


GROUPS = (
    field_cases,
    walk_cases,
    staged_cases,
    physiology_cases,
    limit_cases,
    contradiction_cases,
    formula_cases,
)


def cases() -> dict[str, Case]:
    """Every case by its name."""
    found: dict[str, Case] = {}
    for group in GROUPS:
        found |= dict(group())
    return found


def told(value: object, depth: int = 0) -> Iterator[str]:
    """Any result as lines: a class with its plain fields, then what it holds; what is empty is left out."""
    pad = "  " * depth
    if isinstance(value, Figure):
        yield f"{pad}{_plain(value)}"
    elif is_dataclass(value):
        parts = {one.name: getattr(value, one.name) for one in fields(value)}
        plain = [f"{key}={_plain(one)}" for key, one in parts.items() if not _holds(one) and one not in (None, "", ())]
        yield f"{pad}{type(value).__name__} {'; '.join(plain)}"
        for key, one in parts.items():
            if _holds(one):
                yield f"{pad}  {key}:"
                yield from told(one, depth + 2)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield f"{pad}{key}:"
            yield from told(one, depth + 1)
    elif isinstance(value, tuple | list):
        for one in value:
            yield from told(one, depth)
    else:
        yield f"{pad}{_plain(value)}"


def _holds(value: object) -> bool:
    return (is_dataclass(value) and not isinstance(value, Figure)) or (
        isinstance(value, tuple | list | Mapping) and bool(value)
    )


def _plain(value: object) -> str:
    if isinstance(value, Figure):
        return f"{value.value:.9g} {value.unit} [{_plain(value.low)} to {_plain(value.high)}]"
    if isinstance(value, float):
        return f"{value:.9g}"
    return value if isinstance(value, str) and value else repr(value)


def answer(case: Case) -> str:
    """What a case says in full; a refusal is an answer too."""
    try:
        found = case()
    except HalewardError as fault:
        return f"{type(fault).__name__}: {fault}\n"
    return "\n".join(told(found)) + "\n"


def held() -> dict[str, str]:
    """The answers of the file by the name of their case."""
    blocks = FILE.read_text(encoding="utf-8").split("\n== ")[1:]
    return {name: text for name, _, text in (block.partition("\n") for block in blocks)}


if __name__ == "__main__":
    head = "Every answer in full, written by: python -m tests.capacity.answers\n"
    FILE.write_text(head + "".join(f"\n== {name}\n{answer(case)}" for name, case in cases().items()), encoding="utf-8")
