"""Choosing anew keeps what went well, as it was, and replaces only what did not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haleward.dose.anew import chosen_anew, went_well
from haleward.dose.checks import check_programme
from haleward.dose.log import Proposal, ProposalKind
from haleward.dose.model import Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.movement.library import default_library
from haleward.record import Record, Restriction
from haleward.safety.protocol import default_protocol
from tests.dose.people import TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
MADE = prescribe(WELL, protocol=PROTOCOL, library=LIBRARY, today=TODAY)


def signed() -> Programme:
    """A plan with another choice than today's, done with more repetitions than a start has."""
    kept = frozenset({"hip_extension", "front_raise"})
    plan = draft_programme(WELL, MADE, protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1, kept=kept)
    parts = tuple(
        replace(
            part,
            exercises=tuple(
                replace(one, dose=replace(one.dose, repetitions=12)) if not one.dose.hold_s else one
                for one in part.exercises
            ),
        )
        for part in plan.parts
    )
    return replace(plan, parts=parts)


def judged(plan: Programme, against: dict[str, ProposalKind]) -> tuple[Proposal, ...]:
    return tuple(
        Proposal(
            kind=against.get(one.movement_id, "hold"),
            part_key=part.key,
            exercise_index=index,
            movement_id=one.movement_id,
            before=one.dose,
            after=None,
            reason="",
            rule_id="",
            made_on=TODAY,
            evidence=("s-1",),
        )
        for part in plan.parts
        for index, one in enumerate(part.exercises)
    )


def anew(plan: Programme, proposals: tuple[Proposal, ...], record: Record = WELL) -> Programme:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    found = chosen_anew(plan, proposals, record, made, protocol=PROTOCOL, library=LIBRARY, version=2)
    assert check_programme(found, record, made, protocol=PROTOCOL, library=LIBRARY) == ()
    return found


def by_id(plan: Programme) -> dict[str, int]:
    return {one.movement_id: one.dose.repetitions for part in plan.parts for one in part.exercises}


def test_what_went_well_stays_with_its_dose_and_nothing_changes_needlessly() -> None:
    plan = signed()
    found = anew(plan, judged(plan, {}))
    assert by_id(found) == by_id(plan)
    assert all(
        "It was in the last signed programme and went well, so it stays." in one.reasons
        for part in found.parts
        for one in part.exercises
    )


@pytest.mark.parametrize("kind", ["ease", "step_back", "swap", "review"])
def test_what_did_not_go_well_gives_way_to_the_first_choice(kind: ProposalKind) -> None:
    plan = signed()
    found = anew(plan, judged(plan, {"hip_extension": kind}))
    assert "hip_extension" not in by_id(found)
    assert "side_leg_raise" in by_id(found)
    assert "front_raise" in by_id(found)


def test_without_sessions_nothing_is_said_to_have_gone_well() -> None:
    plan = signed()
    assert went_well(plan, ()) == frozenset()
    assert "hip_extension" not in by_id(anew(plan, ()))


def test_what_a_new_restriction_forbids_does_not_stay_however_well_it_went() -> None:
    plan = signed()
    limit = Restriction("movement", "No front raise", "Dr D", TODAY, TODAY, movement_ids=("front_raise",))
    assert "front_raise" not in by_id(anew(plan, judged(plan, {}), replace(WELL, restrictions=(limit,))))


def test_a_review_of_the_whole_plan_lets_nothing_stay_by_habit() -> None:
    plan = signed()
    first = judged(plan, {})
    whole = replace(first[0], kind="review", movement_id="", part_key="", exercise_index=-1)
    assert went_well(plan, (whole, *first)) == frozenset()
