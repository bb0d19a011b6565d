"""How I am doing: the person's own goal, what they told us week by week, and the walk test against its error."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from haleward.capacity.change import limits_of
from haleward.dose.log import WALK, SessionLog
from haleward.dose.week_plan import DAYS_A_WEEK, monday_of
from haleward.record import Record, WalkTest
from haleward.render.chart_person import Bar, effort_dots, error_line, week_bars
from haleward.render.chart_series import walked_minutes
from haleward.web.assessment.mapping import record_of
from haleward.web.delivery.landing_words import Words, words_for
from haleward.web.delivery.sheets import intensity_in_force, signed_programme
from haleward.web.delivery.weeks import Told, begun_on, told_by_place, week_for
from haleward.web.people.models import Person
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

WEEKS_SHOWN = 6
EFFORTS_SHOWN = 10
SHUTTLE, POPULATIONS = "shuttle_walk", ("coronary", "heart_failure")
HEADINGS = (
    "doing_heading", "doing_goal", "doing_told", "doing_sessions", "doing_walks", "doing_effort", "doing_walk_test",
    "doing_effort_none", "doing_nothing", "caution_line",
)  # fmt: skip


def doing_of(person: Person, *, today: date) -> dict[str, Any]:
    """Template context. Raises when there is no signed plan."""
    row, say = signed_programme(person), words_for(person)
    told = told_by_place(person)
    week, programme = week_for(row, today), programme_of(row)
    records = [record_of(one) for one in person.assessments.filter(finished_at__isnull=False).order_by("finished_at")]
    mondays = _mondays(begun_on(person), today)
    walked = {version.version: programme_of(version) for version in person.programmes.filter(signed_at__isnull=False)}

    def minutes(known: Told) -> float | None:
        return walked_minutes(known.log, walked.get(known.log.plan_version))

    strength = len([one for one in week.sessions if one.part_key != WALK])
    return {
        "person": person,
        "goal": records[-1].goal if records else "",
        "anything": bool(told),
        "sessions": _sessions(told, mondays, strength, say),
        "walks": _walks([(on, minutes(known)) for (on, key), known in told.items() if key == WALK], mondays,
                        week.walking_minutes, say),
        "effort": _effort((known.log for known in told.values()), say, programme.effort_low, programme.effort_high,
                          20 if intensity_in_force(row).effort_scale == "6-20" else 10),
        "walk_test": _walk_test(records, say),
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "back": say("back_button"),
        "service": in_force.numbers_of(person.service).name,
        "words": {key: say(key) for key in HEADINGS},
    }  # fmt: skip


def _mondays(begun: date, today: date) -> list[date]:
    last = monday_of(today)
    weeks = min(WEEKS_SHOWN, (last - monday_of(begun)).days // DAYS_A_WEEK + 1)
    return [last - timedelta(weeks=weeks - 1 - number) for number in range(weeks)]


def _sessions(told: dict[tuple[date, str], Told], mondays: list[date], planned: int, say: Words) -> dict[str, str]:
    def count(monday: date) -> float | None:
        here = [known for (on, key), known in told.items() if key != WALK and monday_of(on) == monday]
        return float(sum(known.done for known in here)) if here else None

    bars = [Bar(_label(monday, say), count(monday), planned if monday == mondays[-1] else None) for monday in mondays]
    done = bars[-1].value
    line = say("log_week_none")
    if done is not None:
        line = say("doing_sessions_line", done_count=f"{done:g}", planned_count=planned)
    return {"line": line, "svg": week_bars(bars, title=say("doing_sessions"), description=_spoken(bars, line))}


def _walks(told: list[tuple[date, float | None]], mondays: list[date], planned: int, say: Words) -> dict[str, str]:
    def total(monday: date) -> float | None:
        here = [minutes for on, minutes in told if monday_of(on) == monday and minutes is not None]
        return sum(here) if here else None

    bars = [Bar(_label(monday, say), total(monday), planned if monday == mondays[-1] else None) for monday in mondays]
    walked = bars[-1].value
    line = say("log_week_none")
    if walked is not None:
        line = say("doing_walks_line", minutes=f"{walked:g}", planned_minutes=planned)
    return {"line": line, "svg": week_bars(bars, title=say("doing_walks"), description=_spoken(bars, line))}


def _label(monday: date, say: Words) -> str:
    return say.phrase(f"{monday:%-d %b}")


def _effort(logs: Iterable[SessionLog], say: Words, low: float, high: float, most: float) -> dict[str, str]:
    given = [effort for log in logs if (effort := _hardest(log)) is not None][-EFFORTS_SHOWN:]
    line = say("doing_effort_line", effort_low=f"{low:g}", effort_high=f"{high:g}")
    if not given:
        return {"line": line, "svg": ""}
    spoken = f"{line} " + ", ".join(f"{one:g}" for one in given)
    svg = effort_dots(given, low=low, high=high, most=most, title=say("doing_effort"), description=spoken)
    return {"line": line, "svg": svg}


def _hardest(log: SessionLog) -> float | None:
    if log.whole_effort is not None:
        return log.whole_effort
    return max((one.effort for one in log.sets if one.effort is not None), default=None)


def _walk_test(records: list[Record], say: Words) -> dict[str, Any]:
    """The last walk test with what chance alone may do to it, and the first of the same kind beside it."""
    tests = [(record, record.walk) for record in records if record.walk is not None]
    if not tests:
        return {}
    record, last = tests[-1]
    limits = limits_of(last.kind, _population(record, last))
    size = max(limits.important, limits.detectable or 0.0)
    low, high = max(0.0, last.distance_m - size), last.distance_m + size
    first = next(walk for _, walk in tests if walk.kind == last.kind)
    lines = [
        say("doing_walk_test_line", distance=f"{last.distance_m:g}", test_date=f"{last.tested_on:%-d %B %Y}"),
        say("doing_walk_test_error", low=f"{low:g}", high=f"{high:g}"),
    ]
    if first.tested_on != last.tested_on:
        difference = last.distance_m - first.distance_m
        way = "same" if abs(difference) <= size else "better" if difference > 0 else "less"
        lines.append(say(f"doing_walk_test_{way}"))
    description = " ".join(lines)
    return {
        "lines": lines,
        "svg": error_line(last.distance_m, low, high, title=say("doing_walk_test"), description=description),
    }


def _population(record: Record, walk: WalkTest) -> str:
    """Whose published error: where heart failure is not ruled out, the larger one counts."""
    if walk.kind == SHUTTLE:
        return "cardiac_rehabilitation"
    return POPULATIONS[0] if record.answers.get("chf_present") is False else POPULATIONS[1]


def _spoken(bars: list[Bar], line: str) -> str:
    return f"{line} " + "; ".join(f"{one.label}: {'–' if one.value is None else f'{one.value:g}'}" for one in bars)
