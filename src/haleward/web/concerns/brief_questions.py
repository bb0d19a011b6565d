"""What to ask in a call or another review: the sentences of the wording, chosen by what was told and what was not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haleward.dose.log import WALK, SessionLog
from haleward.dose.model import Programme
from haleward.dose.words import words
from haleward.record import Record
from haleward.web.concerns.models import Concern
from haleward.web.people.reach import Reach


@dataclass(frozen=True)
class Asked:
    """What the questions follow from; ``newest`` holds the last session ever told, if any."""

    logs: tuple[SessionLog, ...]
    newest: tuple[SessionLog, ...]
    plan: Programme | None
    record: Record | None
    concerns: tuple[Concern, ...]
    first: date
    last: date
    reach: Reach


def questions_of(asked: Asked) -> tuple[str, ...]:
    """Every question, worries first, each once."""
    found = (_worries(asked), _sessions(asked), _medicines(asked), _rest(asked))
    return tuple(dict.fromkeys(question for part in found for question in part))


def _worries(asked: Asked) -> Iterator[str]:
    for concern in asked.concerns:
        yield words("call_open", topic=concern.topic)
    asked_already = {concern.topic for concern in asked.concerns}
    for log in asked.logs:
        for topic in sorted(set(log.symptoms) - asked_already):
            yield words("call_symptom", topic=topic, date=log.started_at.date())
    sore = [log for log in asked.logs if log.sore_days]
    if sore:
        places = ", ".join(sore[-1].sore_places) or "no place told"
        yield words("call_sore", days=sore[-1].sore_days, places=places)


def _sessions(asked: Asked) -> Iterator[str]:
    if asked.plan is None:
        return
    if not asked.logs:
        yield (
            words("call_not_told", date=asked.newest[0].started_at.date()) if asked.newest else words("call_never_told")
        )
        return
    yield words("call_how")
    done = [log for log in asked.logs if not log.missed and not log.stopped_by_check]
    weeks = ((asked.last - asked.first).days + 1) / 7
    wanted = round(weeks * (sum(len(part.days) for part in asked.plan.parts) + len(asked.plan.walking.days)))
    if len(done) < wanted and asked.plan.signed_on is not None and asked.plan.signed_on <= asked.first:
        yield words("call_fewer", done=len(done), asked=wanted)
    high = asked.plan.effort_high
    hard = [log for log in done if any(one.effort is not None and one.effort > high for one in log.sets)]
    if hard:
        yield words("call_hard", count=len(hard))
    strength = [log for log in done if log.part_key != WALK]
    if any(log.whole_effort is None and all(one.effort is None for one in log.sets) for log in strength):
        yield words("call_effort", low=0 if high <= 10 else 6, high=10 if high <= 10 else 20)


def _medicines(asked: Asked) -> Iterator[str]:
    for one in (asked.record.medicines or ()) if asked.record else ():
        if one.since is not None and one.since >= asked.first:
            yield words("call_medicine", medicine=one.name, date=one.since)
    yield words("call_medicine_any")


def _rest(asked: Asked) -> Iterator[str]:
    for one in asked.record.restrictions if asked.record else ():
        if one.released_on is None:
            yield words("call_restriction", restriction=one.shown, author=one.author, date=one.review_on)
    if asked.record and asked.record.goal:
        yield words("call_goal", goal=asked.record.goal)
    if asked.reach.asked:
        yield words("call_next_ways", ways=asked.reach.by)
    else:
        yield words("call_reach")
        yield words("call_next")
