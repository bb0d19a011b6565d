"""One concern as a session gives rise to it, and the soreness that lasts longer than the protocol calls normal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from haleward.dose.log import SessionLog
from haleward.safety.concerns import triage
from haleward.safety.protocol import Protocol
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person

LONG, ON_STATIN, JOINT = "sore_long", "sore_statin", "joint"  # symptoms of the protocol's list
ONE_SIDE = "one_side"


@dataclass(frozen=True)
class Found:
    """A concern; ``stored_at`` is when the latest entry behind it reached us."""

    topic: str
    urgency: str
    text: str
    rule_ids: tuple[str, ...]
    holds_plan: bool
    stored_at: datetime


def soreness(person: Person, log: SessionLog, rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    """Soreness beyond the protocol's days. It holds the raise, not the plan; who takes a statin is looked at sooner."""
    limit = protocol.policies.progression.sore_days
    if log.sore_days is None or log.sore_days <= limit:
        return []
    # Sore on one side only may be another thing than soreness: then "unsure", which is one level up.
    reported: dict[str, bool | None] = {LONG: None if ONE_SIDE in log.sore_places else True}
    if JOINT in log.sore_places:
        reported[JOINT] = True
    if _may_take_statin(person):
        reported[ON_STATIN] = True
    concern = triage(reported, protocol)
    assert concern is not None  # soreness was reported
    where = ", ".join(place.replace("_", " ") for place in log.sore_places) or "no place told"
    text = f"Sore for {log.sore_days:g} days ({where}); up to {limit} are normal. Ask for swelling, warmth, dark urine."
    behind = [row.stored_at for row in rows if row.kind in ("sore", "done")]
    return [Found(concern.topic, concern.level, text, concern.rule_ids, holds_plan=False, stored_at=max(behind))]


def _may_take_statin(person: Person) -> bool:
    """Whether a statin is taken; medicines that are not recorded count as if it were."""
    row = finished_of(person)
    medicines = record_of(row).medicines if row else None
    return medicines is None or any(one.drug_class == "statin" for one in medicines)
