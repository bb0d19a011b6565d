"""A preview says exactly what computing everything for everybody says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from haleward.dose.preview import Subject, prepare, preview, preview_one_by_one
from haleward.dose.preview_views import views_one_by_one
from haleward.errors import HalewardError, Inconsistent
from haleward.exchange.person_file import read_person_file
from haleward.movement.library import default_library
from haleward.safety import edits
from haleward.safety.edits import Edit, NewRule, Part, Retirement
from haleward.safety.protocol import DEFAULT_FILE, Protocol, default_protocol, read_protocol
from tests.dose.crowd import crowd
from tests.dose.people import TODAY, WELL

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
DEMO = DEFAULT_FILE.parents[1] / "demo"
DEMO_DAY = date(2026, 11, 25)


@cache
def fields() -> tuple[edits.Field, ...]:
    """Every value of the default protocol that decides something."""
    sections = edits.editable(TEXT)
    deciding = [
        field
        for entry in sections.entries()
        for field in (
            *entry.limits,
            *(one for one in entry.fields if one.kind in ("number", "whole", "choice", "flag")),
        )
    ]
    return tuple(field for field in deciding if _decides(field))


def _decides(field: edits.Field) -> bool:
    section = field.path.split("/")[0]
    if section in ("rule", "risk_item", "placement_rule"):
        return bool(field.comparison) or field.path.endswith(("/level", "/urgency", "/band", "/effect", "/stage"))
    return section in ("gates", "risk", "intensity", "dose") and "method" not in field.path


@st.composite
def changes(draw: st.DrawFn) -> list[Any]:
    """A few edits of the default protocol, of every kind."""
    found: list[Any] = []
    for field in draw(st.lists(st.sampled_from(fields()), min_size=1, max_size=2, unique_by=lambda one: one.path)):
        if field.kind == "choice":
            found.append(Edit(field.path, draw(st.sampled_from(field.choices))))
        elif field.kind == "flag":
            found.append(Edit(field.path, draw(st.booleans())))
        else:
            by = draw(st.sampled_from((0.5, 0.8, 0.9, 1.1, 1.25, 2)))
            value = float(field.value) * by  # type: ignore[arg-type]
            found.append(Edit(field.path, max(1, round(value)) if field.kind == "whole" else round(value, 2)))
    if draw(st.booleans()):
        found.append(
            Retirement(draw(st.sampled_from(("R017", "R023", "R032", "R089", "R095", "R103"))), "for the test")
        )
    if draw(st.booleans()):
        part = draw(st.sampled_from((Part("lvef_pct", "under", 50, "%"), Part("meds_missed", "is", value=True))))
        found.append(_new_rule(part, draw(st.sampled_from(("entry", "session", "resistance")))))
    return found


def _new_rule(part: Part, stage: str) -> NewRule:
    return NewRule((part,), "block", "same_day", "Ask.", ("S00",), "common practice, no source", stage=stage)


def changed(*made: Any) -> Protocol:
    """The default protocol with edits; a protocol that no longer reads is not asked about people."""
    return read_protocol(edits.apply(TEXT, made), name="changed")


def both_ways(people: list[Subject], old: Protocol, new: Protocol, today: date = TODAY) -> Any:
    """The preview, after the slow way has said the same."""
    library = default_library()
    found = preview(people, old, new, library=library, today=today)
    assert found == preview_one_by_one(people, old, new, library=library, today=today)
    return found


def demo_people() -> list[Subject]:
    """The invented people of the demo service."""
    files = [read_person_file(path, today=DEMO_DAY) for path in sorted(DEMO.glob("*.toml"))]
    return [Subject(one.record.person_id, one.record, one.day) for one in files]


def test_a_raised_limit_of_the_ejection_fraction_stops_the_people_below_it() -> None:
    found = both_ways(demo_people(), default_protocol(), changed(Edit("rule/R017/condition/under", 60)), DEMO_DAY)
    assert found.counts["entry_gate"] == len(found.people) > 0
    change = found.people[0].differences[0]
    assert (change.what, change.after, change.rule_ids) == ("entry_gate", "check first", ("R017",))
    assert change.sentence == "Gate before a prescription: go ahead becomes check first; rule R017 would fire."


def test_the_same_protocol_touches_nobody() -> None:
    found = preview(crowd(40), default_protocol(), default_protocol(), library=default_library(), today=TODAY)
    assert (found.people, found.asked, found.not_affected, found.counts) == ((), 40, 40, {})


@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(made=changes(), seed=st.integers(0, 10_000))
def test_the_fast_way_says_what_computing_everything_says(made: list[Any], seed: int) -> None:
    try:
        new = changed(*made)
    except HalewardError:  # a limit that contradicts another is refused when the protocol is read
        assume(False)
    both_ways(crowd(3, seed=seed), default_protocol(), new)


@pytest.mark.parametrize(
    "made",
    [
        (Edit("intensity/device_margin_bpm", 5), Edit("intensity/reserve_fraction_high", 0.6)),
        (Edit("intensity/epoch_medicines", "beta_blocker, statin"), Edit("intensity/not_usable_devices", "icd")),
        (Edit("intensity/reading_valid_days", 7), Edit("intensity/prediction_not_with", "nitrate")),
        (
            Edit("placement_rule/P4/condition/any/1/at_most", 1.2),
            Edit("placement/standing_needs", "rises_without_arms"),
        ),
        (Edit("risk/capacity_under_5_mets", "moderate"), Edit("risk_item/L04/condition/at_least", 5)),
        (Edit("rule/R023/condition/any/0/over", 130), Edit("rule/R032/condition/over", 70)),
        (Edit("gates/home/needs/pregnant/when/under", 90), Edit("rule/R088/condition/all/1/under", 10)),
    ],
)
def test_each_kind_of_change_finds_the_same_people_both_ways(made: Any) -> None:
    found = both_ways(crowd(12, seed=3), default_protocol(), changed(*made))
    assert found.people, "the change must touch somebody for this test to say anything"


def test_a_changed_method_of_capacity_is_followed_to_the_risk_level_and_the_dose() -> None:
    old = default_protocol()
    method = "peak_vo2_six_minute_walk_cahalin_1996"
    new = replace(
        old,
        policies=replace(old.policies, intensity=replace(old.policies.intensity, capacity_method=method)),
    )
    both_ways(crowd(6, seed=5), old, new)


def test_jurisdictions_differ_the_same_both_ways() -> None:
    both_ways(crowd(6, seed=9), default_protocol("UK"), default_protocol("EU"))


def test_a_person_whose_facts_cannot_be_read_is_told_with_the_reason() -> None:
    odd = replace(WELL, person_id="odd", answers={**WELL.answers, "embolism_weeks": "long ago"})
    people = [Subject("odd", odd), *crowd(3)]
    found = both_ways(people, default_protocol(), changed(Retirement("R011", "for the test")))
    told = found.people[0].differences[0]
    assert told.before == "not computed (embolism_weeks is 'long ago'; it must be a number)"


def test_prepared_people_give_the_same_answer_and_only_for_their_day() -> None:
    people, library = crowd(20), default_library()
    ready, new = prepare(people, TODAY), changed(Edit("rule/R023/condition/any/0/over", 130))
    for _ in range(2):
        found = preview(ready, default_protocol(), new, library=library, today=TODAY)
        assert found == preview(people, default_protocol(), new, library=library, today=TODAY)
    with pytest.raises(Inconsistent, match="Prepare them anew"):
        preview(ready, default_protocol(), new, library=library, today=TODAY + timedelta(days=1))


def test_progress_is_told_from_the_first_programme_to_the_last() -> None:
    told: list[tuple[int, int]] = []
    preview(
        crowd(3),
        default_protocol(),
        changed(Edit("dose/sets", 3)),
        library=default_library(),
        today=TODAY,
        progress=lambda done, of: told.append((done, of)),
    )
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]


def test_without_a_check_of_a_day_no_session_is_judged() -> None:
    views = views_one_by_one(Subject("one", WELL), protocol=default_protocol(), library=default_library(), today=TODAY)
    assert "session_gate" not in views
