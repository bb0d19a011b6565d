"""Scenarios of the reference about what a session says and shows: a Deaf person, a fluid limit, glucose when alone."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from datetime import timedelta
from functools import partial
from typing import Any

import pytest

from haleward.dose.model import Walking
from haleward.dose.week_plan import Off, Planned, Week
from haleward.movement.library import default_library
from haleward.record import Medicine, Record
from haleward.render.captions import captions
from haleward.render.diary_page import part_name
from haleward.safety.protocol import Protocol, default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.session.own_limits import values_not_to_start
from haleward.session.ready import ready_keys
from haleward.session.short_day import short_day
from haleward.session.week_words import WeekWords
from haleward.wording import WORDING_FOLDER, Service, default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, programme

PROTOCOL, LIBRARY, WORDING = default_protocol(), default_library(), default_wording()
PLAN = programme()
MARCH = Walking((), 5, 1, 1, movement_id="march_on_spot", posture="seated")


def say(service: Service, key: str, **values: object) -> str:
    return WORDING.text(key, {**service.values, **{name: str(value) for name, value in values.items()}})


def sheet(part_key: str = "one", *, protocol: Protocol = PROTOCOL, **changes: Any) -> CueSheet:
    return compile_session(
        replace(PLAN, **changes),
        part_key,
        PLAIN,
        protocol=protocol,
        library=LIBRARY,
        wording=WORDING,
        service=SERVICE,
        made_on=TODAY,
    )


def spoken(one: CueSheet) -> list[str]:
    return [cue.text for block in one.blocks for cue in block.cues if cue.text]


def texts(table: str) -> list[tuple[str, str]]:
    with (WORDING_FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return [(next(iter(row.values())), cell) for row in csv.DictReader(file) for cell in row.values()]


def minutes_of(one: CueSheet, kind: str) -> float:
    return sum(block.length_ms for block in one.blocks if block.kind == kind) / 60_000


def test_a_longer_warm_up_is_part_of_the_session_and_of_the_minutes_it_tells() -> None:
    usual, longer = sheet(), sheet(warm_up_more_minutes=5)
    assert round(minutes_of(usual, "warm_up")) == 15
    assert round(minutes_of(longer, "warm_up")) == 20
    assert minutes_of(longer, "cool_down") == minutes_of(usual, "cool_down")
    assert longer.length_ms - usual.length_ms == pytest.approx(5 * 60_000, abs=15_000)
    told = [
        next(int(found[0]) for text in spoken(one) if (found := re.findall(r"(\d+) minutes", text)))
        for one in (usual, longer)
    ]
    assert told[1] - told[0] == 5
    assert "Warm up for 20 minutes." in spoken(longer)


def test_a_short_day_keeps_the_minutes_of_warm_up_that_are_the_persons_own() -> None:
    short = short_day(PROTOCOL)
    assert round(minutes_of(sheet(protocol=short, warm_up_more_minutes=5), "warm_up")) == 9


def test_a_bout_of_one_minute_is_told_as_one_minute() -> None:
    one = sheet(WALK, walking=MARCH)
    assert one.exercises[0].dose_text == "5 marches of 1 minute"
    assert not [
        text for text in (*spoken(one), *one.before_lines) if re.search(r"\b1 (minutes|seconds|days|weeks)\b", text)
    ]
    assert WORDING.text("march_go", {"minutes": "11"}) == "Start gently. March for 11 minutes."
    assert minutes_of(one, "walk") == 5


@pytest.mark.parametrize("posture", ["standing", "hand_supported"])
def test_a_march_on_the_feet_is_nowhere_told_as_one_sitting_down(posture: Any) -> None:
    """Held or free: the one who may march, but not walk, need not sit down for it."""
    on_feet = replace(MARCH, posture=posture)
    told = {block.title for block in sheet(WALK, walking=on_feet).blocks if block.kind == "walk"}
    told |= {
        part_name(WALK, on_feet, WORDING),
        WeekWords(on_feet, partial(say, SERVICE)).name(Planned(WALK, TODAY, TODAY, minutes=5)),
    }
    assert told == {"March on the spot", "March on the spot for 5 minutes"}
    seated = {block.title for block in sheet(WALK, walking=MARCH).blocks if block.kind == "walk"}
    assert seated | {part_name(WALK, MARCH, WORDING)} == {"March sitting down", "Seated march"}


def test_p_018_no_wording_asks_anybody_to_drink_much() -> None:
    """What is said about drinks is a glass close by, and only where it is known that there is no limit."""
    drinks = [
        (key, cell)
        for table in sorted(path.stem for path in WORDING_FOLDER.glob("*.csv"))
        for key, cell in texts(table)
        if cell
        and re.search(r"\b(drinks?|drinking|fluids?|hydrat\w+|sips?|thirsty|glass of water)\b", cell, re.IGNORECASE)
    ]
    for key, cell in drinks:
        assert not re.search(r"plenty|lots of|as much|more (water|fluid)|drink (more|often|water)|hydrat", cell), key
    to_people = {key for key, cell in drinks if not key.startswith("gp_")}
    assert {"check_drink", "check_drink_limit"} <= to_people
    for limited, wanted in ((True, {"check_drink_limit"}), (False, {"check_drink"}), (None, set())):
        person = replace(PLAIN, fluid_limited=limited)
        assert {key for key in ready_keys(person, (), library=LIBRARY) if "drink" in key} == wanted
    advice = " ".join(rule.advice for rule in PROTOCOL.rules)
    assert not re.search(r"drink plenty|drink more", advice, re.IGNORECASE)


def test_p_010_a_deaf_person_can_follow_the_session_without_sound() -> None:
    """Every sentence has a caption while it is said, every stretch words to read and a length for the timer."""
    for one in (sheet(), sheet(WALK)):
        said = [cue for block in one.blocks for cue in block.cues if cue.kind in ("say", "count") and cue.text]
        shown = {(caption.start_ms, caption.text): caption for caption in captions(one)}
        assert len(said) > 20
        for cue in said:
            assert shown[cue.start_ms, cue.text].end_ms > cue.start_ms
        for block in one.blocks:
            assert block.length_ms > 0
            assert block.title or block.lines  # what it is, to be read


def test_p_010_the_way_to_help_without_a_voice_is_shown_where_the_service_has_one() -> None:
    values = {**PROTOCOL.wording_values, **SERVICE.values}
    shown = {line.key: line for line in WORDING.safety("header", values=values)}
    assert shown["banner_relay"].text == "If you do not hear or speak on the phone, use the text relay."
    assert shown["banner_relay"].level == "emergency"
    without = {name: text for name, text in values.items() if name != "relay_route"}
    assert "banner_relay" not in {line.key for line in WORDING.safety("header", values=without)}
    assert "relay_route" in PROTOCOL.numbers


def test_p_010_a_review_is_never_by_phone_only() -> None:
    asked = WORDING.template("call_next")
    assert all(way in asked for way in ("by phone", "in writing", "relay", "interpreter", "face to face"))


def test_p_014_a_fall_at_home_has_its_steps_for_the_person_and_for_a_carer() -> None:
    values = {**PROTOCOL.wording_values, **SERVICE.values, "first_name": "Ada"}
    for audience in ("person", "carer"):
        lines = WORDING.safety("fall", audience=audience, values=values, strict=True)
        assert lines[0].level == "emergency"
        assert "cannot get up" in lines[0].text
    assert "check_fall" in {check.wording for check in PROTOCOL.checks}


INSULIN = Medicine("insulin", "insulin")


@pytest.mark.parametrize(
    ("medicines", "alone", "limit"),
    [
        ((INSULIN,), True, "5"),
        ((INSULIN,), None, "5"),  # nobody has said that somebody is always there
        ((INSULIN,), False, "4"),
        ((Medicine("sulfonylurea", "gliclazide"),), True, "5"),
        ((), True, "4"),
        (None, True, "4"),
    ],
)
def test_the_list_of_what_bars_a_start_says_the_glucose_under_which_this_person_does_not_start(
    medicines: tuple[Medicine, ...] | None, alone: bool | None, limit: str
) -> None:
    person = with_answers(replace(PLAIN, medicines=medicines), exercising_alone=alone)
    values = {**PROTOCOL.wording_values, **SERVICE.values}
    own = values_not_to_start(person, values, protocol=PROTOCOL, today=TODAY)
    (line,) = [one for one in WORDING.safety("do not start today if", values=own) if one.key == "not_start_7"]
    assert line.text == f"Do not start if your sugar is under {limit} or over 15."
    assert values["sugar_low"] == "4"  # what low glucose is treated at stays


def test_a_protocol_without_a_limit_for_exercising_alone_prints_what_it_printed() -> None:
    settings = {name: one for name, one in PROTOCOL.settings.items() if name != "sugar_low_alone"}
    older, person = replace(PROTOCOL, settings=settings), replace(PLAIN, medicines=(INSULIN,))
    values = {"sugar_low": "4"}
    assert values_not_to_start(person, values, protocol=older, today=TODAY) is values


def with_answers(person: Record, **answers: Any) -> Record:
    given = {name: value for name, value in answers.items() if value is not None}
    return replace(person, answers={**person.answers, **given})


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        (("one",), "Left out this week: one. There is no need to catch up."),
        (("one", "walk", "walk"), "Left out this week: one and walk, 2 times. There is no need to catch up."),
        (("one", "two", "walk"), "Left out this week: one, two and walk. There is no need to catch up."),
        ((), ""),
    ],
)
def test_what_is_left_out_of_a_week_is_joined_by_the_wording(left_out: tuple[str, ...], said: str) -> None:
    service = Service("Team", {})

    week = Week((), tuple(Off(part, TODAY + timedelta(days=place), "ill") for place, part in enumerate(left_out)))
    assert WeekWords(PLAN.walking, partial(say, service)).off(week, lambda key: key) == said
