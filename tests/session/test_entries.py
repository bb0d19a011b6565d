"""Entries from a page become one session's log; a faulty one is refused with a sentence."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.dose.evidence import showing
from haleward.dose.log import SessionLog, SetLog
from haleward.dose.model import Dose, Load
from haleward.errors import Inconsistent
from haleward.session.entries import UNNAMED_SYMPTOM, faults_of, logs_of

START = datetime(2026, 2, 4, 10, 0, tzinfo=UTC)
SESSION = "2b9f4f6a-44a1-4c6e-9a53-0a4f6f3f0c11"
CURL = {"exercise_index": 0, "movement_id": "biceps_curl", "set_number": 1}


def entry(kind, minute=0, **data):
    common = {"session_id": SESSION, "sheet_id": "s", "plan_version": 3, "part_key": "one"}
    return {
        "entry_id": str(uuid4()),
        "kind": kind,
        "at": (START + timedelta(minutes=minute)).isoformat(),
        "data": {**common, **data},
    }


WHOLE = [
    entry("check", 0, outcome="go_ahead"),
    entry("set", 2, **CURL, repetitions=10),
    entry("effort", 3, **CURL, effort=4),
    entry("set", 5, **{**CURL, "set_number": 2}, repetitions=10),
    entry("effort", 6, **{**CURL, "set_number": 2}, effort=None),
    entry("skip", 7, exercise_index=1, movement_id="wall_press", set_number=0),
    entry("note", 8, text="It went well."),
    entry("done", 9, whole_effort=3, worried=False),
]


def test_it_works():
    log = logs_of(WHOLE)
    assert (log.session_id, log.plan_version, log.part_key) == (SESSION, 3, "one")
    assert (log.started_at, log.ended_at) == (START, START + timedelta(minutes=9))
    assert log.sets == (
        SetLog("biceps_curl", 0, 1, 10, 4),
        SetLog("biceps_curl", 0, 2, 10, None),
        SetLog("wall_press", 1, 1, None, None, "skipped"),
    )
    assert log.whole_effort == 3
    assert log.symptoms == ()
    assert not log.stopped_by_check


@given(st.permutations(WHOLE), st.lists(st.sampled_from(WHOLE)))
def test_order_and_repeats_change_nothing(shuffled, repeats):
    assert logs_of([*shuffled, *repeats]) == logs_of(WHOLE)


def test_a_later_entry_corrects_an_earlier_one():
    log = logs_of([*WHOLE, entry("set", 4, **CURL, repetitions=8)])
    assert log.sets[0].repetitions == 8


def test_blank_is_not_zero():
    assert logs_of([entry("effort", **CURL, effort=None)]).sets[0].effort is None
    assert logs_of([entry("effort", **CURL, effort=0)]).sets[0].effort == 0


def test_a_check_that_stopped_is_a_session_stopped_by_check():
    assert logs_of([entry("check", outcome="not_today")]).stopped_by_check
    assert logs_of([entry("check", outcome="check_first")]).stopped_by_check


def test_feeling_unwell_names_the_topic_and_counts_even_without_one():
    assert logs_of([entry("unwell", 1, topic=""), entry("unwell", 2, topic="breathless")]).symptoms == ("breathless",)
    assert logs_of([entry("unwell", topic="")]).symptoms == (UNNAMED_SYMPTOM,)
    assert logs_of([entry("done", worried=True)]).symptoms == (UNNAMED_SYMPTOM,)


def test_a_press_by_mistake_is_no_symptom():
    assert logs_of([entry("unwell", 1, topic=""), entry("unwell", 2, topic="", withdrawn=True)]).symptoms == ()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"entry_id": "7"}, "The entry_id is '7'; it must be a UUID made on the page."),
        ({"kind": "dance"}, "The kind is 'dance'; it must be one of check, set"),
        ({"at": "yesterday"}, "The time is 'yesterday'; it must be ISO 8601 with its offset"),
        ({"at": "2026-02-04T10:00:00"}, "it must be ISO 8601 with its offset"),
        ({"data": []}, "The data of the entry are not an object."),
    ],
)
def test_a_fault_of_the_entry_is_one_sentence(change, sentence):
    faults = faults_of({**WHOLE[1], **change})
    assert len([fault for fault in faults if sentence in fault]) == 1


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("repetitions", -1, "repetitions is -1; it must be a whole number, 0 or more, at most 999."),
        ("repetitions", True, "repetitions is True; it must be a whole number"),
        ("exercise_index", None, "The entry has no exercise_index."),
        ("plan_version", "3", "plan_version is '3'; it must be a whole number, 0 or more."),
        ("movement_id", 4, "movement_id is 4; it must be text."),
    ],
)
def test_a_fault_of_a_field_is_one_sentence(field, value, sentence):
    (fault,) = faults_of({**WHOLE[1], "data": {**WHOLE[1]["data"], field: value}})
    assert sentence in fault


def test_a_faulty_entry_is_refused_with_its_place():
    with pytest.raises(Inconsistent, match="Entry 2: The kind is 'dance'"):
        logs_of([WHOLE[0], {**WHOLE[1], "kind": "dance"}])


def test_entries_of_two_sessions_or_of_none_make_no_log():
    other = entry("check", outcome="go_ahead")
    other["data"]["session_id"] = str(UUID(int=1))
    with pytest.raises(Inconsistent, match="2 sessions"):
        logs_of([WHOLE[0], other])
    with pytest.raises(Inconsistent, match="0 sessions"):
        logs_of([])


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(st.one_of(JSON, st.fixed_dictionaries({"entry_id": JSON, "kind": JSON, "at": JSON, "data": JSON})))
def test_no_entry_whatever_it_holds_raises_while_it_is_checked(data):
    assert all(fault.endswith(".") for fault in faults_of(data))


def test_what_the_page_saves_as_a_file_is_read_back():
    text = json.dumps({"format": "haleward-log/1", "entries": WHOLE})
    assert logs_of(json.loads(text)["entries"]) == logs_of(WHOLE)


# What is told afterwards


def told(entered, outcome="as_planned", minute=20, **data):
    at = (START + timedelta(minutes=entered)).isoformat()
    return entry("report", minute, on="2026-02-04", outcome=outcome, entered_at=at, **data)


def test_a_report_makes_a_session_without_playing_it():
    sets = [{**CURL, "repetitions": 8}, {**CURL, "set_number": 2, "skipped": True}]
    log = logs_of([told(1, "part", sets=sets, whole_effort=5)])
    assert (log.outcome, log.whole_effort, log.ended_at) == ("part", 5, None)
    assert [(s.repetitions, s.effort, s.feel) for s in log.sets] == [(8, None, ""), (None, None, "skipped")]


def test_the_newest_word_on_a_session_counts_in_whatever_order_it_arrives():
    first, second = told(1, sets=[{**CURL, "repetitions": 10}]), told(2, "not_done", reason="tired")
    for entries in ([first, second], [second, first]):
        log = logs_of(entries)
        assert (log.outcome, log.sets, log.reason, log.missed) == ("not_done", (), "tired", True)


def test_a_report_puts_a_played_set_right_and_leaves_what_it_does_not_tell():
    log = logs_of([*WHOLE, told(30, "part", sets=[{**CURL, "repetitions": 6, "load_change": "lighter"}])])
    assert (log.sets[0].repetitions, log.sets[0].effort, log.sets[0].load_change) == (6, 4, "lighter")
    assert log.whole_effort == 3


def test_soreness_has_its_days_and_places_and_the_last_word_counts():
    log = logs_of(
        [entry("sore", 1, sore_days=2, places=["legs"]), entry("sore", 2, sore_days=4, places=["legs", "back"])]
    )
    assert (log.sore_days, log.sore_places) == (4, ("legs", "back"))
    assert "places is" in faults_of(entry("sore", 1, sore_days=2, places=["soul"]))[0]


def test_a_walk_has_its_minutes():
    assert logs_of([entry("set", 1, **CURL, minutes=12.5)]).sets[0].minutes == 12.5


def test_a_set_with_another_load_is_not_done_as_planned():
    done = SetLog("biceps_curl", 0, 1, 10, 3)
    dose = Dose(1, 10, Load("bottle", 1.0), 2, 0, 2, 60)
    log = SessionLog("s", 1, "one", START, sets=(done,))
    shown = showing((log,), exercise_index=0, movement_id="biceps_curl", dose=dose)
    lighter = replace(log, sets=(replace(done, load_change="lighter"),))
    assert shown.all_done
    assert not showing((lighter,), exercise_index=0, movement_id="biceps_curl", dose=dose).all_done
