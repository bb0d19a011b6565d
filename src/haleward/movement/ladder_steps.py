"""Read a movement's ladder: its rungs from easiest to hardest, each with the rule for coming to it."""

from __future__ import annotations

from functools import cache

from haleward.movement.loads import KIT_KINDS, KitKind
from haleward.movement.model import Form, LadderStep
from haleward.physiology.tables import rows
from haleward.record import POSTURES, Posture
from haleward.strict_toml import Table

START, LOAD_UP, POSTURE_UP = "start", "load_up", "posture_up"


@cache
def ladder_rules() -> dict[str, str]:
    """The sentence of each rule."""
    return {row["rule"]: row["text"] for row in rows("ladder_rules")}


def read_ladder(table: Table, postures: dict[Posture, Form]) -> tuple[LadderStep, ...]:
    """The ``[[ladder]]`` of a movement file, with what contradicts its postures noted as faults."""
    steps, before = [], None
    for part in table.tables("ladder"):
        step = _step(part)
        wanted = _rule_after(before, step)
        if step.rule != wanted:
            part.wrong("rule", f'rule is "{step.rule}"; coming here it must be "{wanted}"')
        if before is not None and POSTURES.index(step.posture) < POSTURES.index(before.posture):
            part.wrong("posture", f"{step.posture} is easier than {before.posture} and must stand before it")
        steps.append(step)
        before = step
    _note_missing(table, steps, postures)
    return tuple(steps)


def _step(part: Table) -> LadderStep:
    posture = part.choice("posture", POSTURES)
    kits: list[KitKind] = []
    for text in part.texts("kits"):
        known = next((kind for kind in KIT_KINDS if kind == text), None)
        if known is None:
            part.wrong("kits", f'kits names "{text}"; it must be one of {", ".join(KIT_KINDS)}')
        else:
            kits.append(known)
    step = LadderStep(posture, tuple(kits), part.choice("rule", tuple(ladder_rules())))
    part.close()
    return step


def _rule_after(before: LadderStep | None, step: LadderStep) -> str:
    if before is None:
        return START
    return LOAD_UP if before.posture == step.posture else POSTURE_UP


def _note_missing(table: Table, steps: list[LadderStep], postures: dict[Posture, Form]) -> None:
    """Every posture and kit of the file stands on the ladder once, and nothing else does."""
    on_ladder = [(step.posture, kit) for step in steps for kit in step.kits]
    in_file = [(posture, kit) for posture, form in postures.items() for kit in form.kits]
    for posture, kit in dict.fromkeys((*in_file, *on_ladder)):
        if (posture, kit) not in on_ladder:
            table.wrong("ladder", f"the ladder has no rung for {posture} with {kit}")
        elif (posture, kit) not in in_file:
            table.wrong("ladder", f"the ladder has a rung for {posture} with {kit}, which the postures do not have")
        elif on_ladder.count((posture, kit)) > 1:
            table.wrong("ladder", f"the ladder has {posture} with {kit} more than once")
