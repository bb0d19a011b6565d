"""The class card: two sides at most, the person's doses and limits, and the emergency line on both."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.record import Restriction
from haleward.render.class_card import class_card_pdf
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.wording import default_wording
from tests.render.printed import printed
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

TOLD = {"protocol": default_protocol(), "library": default_library(), "wording": default_wording()}
ARM = Restriction(
    "arm", "Do not lift with the left arm.", "Device clinic", date(2026, 1, 5), date(2026, 3, 2), side="left"
)


def sheet_of(plan=None):
    return compile_session(plan or programme(), "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)


def card(record=PLAIN, **changes):
    return printed(class_card_pdf(replace(sheet_of(), **changes), record=record, service=SERVICE, **TOLD))


@pytest.fixture(scope="module")
def usual():
    return card(replace(PLAIN, restrictions=(ARM,)))


def test_the_card_is_a5_of_two_sides(usual):
    assert [tuple(map(round, page.mediabox[2:])) for page in usual.reader.pages] == [(420, 595)] * 2


def test_both_sides_begin_with_the_emergency_line_and_end_with_version_and_date(usual):
    for page in range(2):
        assert usual.text(page).startswith("Call 999 now if you feel very ill.")
        assert usual.text(page).endswith("This is plan 3, made on 3 February 2026.")


def test_the_front_has_every_movement_with_dose_load_and_two_pictures(usual):
    front = usual.text(0)
    for number, each in enumerate(sheet_of().exercises, 1):
        assert f"{number}. {each.title} {each.dose_text} {each.load_text}." in front
    told = [tag.alternative for tag in usual.tags if tag.kind == "Figure"]
    assert len(told) == 2 * len(sheet_of().exercises)
    assert "Ada" in front
    assert "Stop for chest pain" in front


def test_the_front_says_how_long_warm_up_and_cool_down_are(usual):
    front = usual.text(0)
    assert front.index("Warm up for 15 minutes.") < front.index("1. ") < front.index("Slow down for 10 minutes.")


def test_the_back_has_effort_limits_and_reasons_to_stop(usual):
    back = usual.text(1)
    assert "Effort: 3 to 5 out of 10." in back
    assert "Do not lift with the left arm. Set by Device clinic." in back
    assert "Stop if you feel faint, dizzy or confused." in back


def test_a_restriction_that_has_ended_or_not_begun_is_not_on_the_card():
    over = replace(ARM, shown="This is over", released_on=TODAY)
    later = replace(ARM, shown="This comes later", start_on=date(2026, 9, 1))
    text = card(replace(PLAIN, restrictions=(over, later))).whole_text
    assert "Not for me" not in text
    assert "This" not in text.replace("This is plan", "")


RATE = {"rate_ceiling": "118", "how_hard": ("Do not go over 118 beats a minute.",)}
NO_RATE = {"rate_ceiling": "", "how_hard": ("Use the effort numbers.",)}
OTHER_SCALE = {"effort_scale": "6-20", "effort_low": 11, "effort_high": 13, "effort_anchors": ()}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (RATE, "Do not go over 118 beats a minute."),
        (NO_RATE, "Heart rate: not used. Go by effort and talking."),
        (OTHER_SCALE, "Aim for a number from 11 to 13 today."),
    ],
)
def test_the_limits_are_those_of_the_person(changes, told):
    assert told in card(**changes).text(1)


def test_without_an_intensity_nothing_is_said_about_heart_rate():
    assert "Heart rate" not in card(rate_ceiling="", how_hard=()).whole_text


def test_more_than_six_movements_are_refused():
    with pytest.raises(HalewardError, match="7 movements; it has room for 6"):
        class_card_pdf(sheet_of(programme(*[exercise()] * 7)), record=PLAIN, service=SERVICE, **TOLD)


def test_a_missing_emergency_number_blocks_the_card():
    service = SimpleNamespace(name=SERVICE.name, values={**SERVICE.values, "emergency_number": ""})
    silent = {**TOLD, "protocol": replace(TOLD["protocol"], settings={})}
    with pytest.raises(HalewardError, match="emergency_number"):
        class_card_pdf(sheet_of(), record=PLAIN, service=service, **silent)
