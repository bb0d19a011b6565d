"""A FHIR referral: what it proposes, what it asks, and what it refuses."""

from __future__ import annotations

import json
from contextlib import suppress
from copy import deepcopy
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.exchange.fhir_node import plain_text
from haleward.exchange.fhir_referral import read_referral
from haleward.exchange.fhir_tables import events_in, medicines_in
from haleward.exchange.proposal import ReferralProposal
from haleward.plain import from_plain, to_plain

SAMPLE = Path(__file__).parent / "data" / "fhir_referral_collection.json"
LOINC = "http://loinc.org"


def sample() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(SAMPLE.read_text(encoding="utf-8"))
    return content


def read(content: object) -> ReferralProposal:
    return read_referral(json.dumps(content).encode())


def resource(content: dict[str, Any], kind: str, nth: int = 0) -> dict[str, Any]:
    found = [entry["resource"] for entry in content["entry"] if entry["resource"]["resourceType"] == kind]
    chosen: dict[str, Any] = found[nth]
    return chosen


def asked(proposal: ReferralProposal) -> set[str]:
    return {missing.wording_key for missing in proposal.missing}


def observation(code: str, **value: object) -> dict[str, Any]:
    coded = {"coding": [{"system": LOINC, "code": code}]}
    return {"resourceType": "Observation", "status": "final", "code": coded, "effectiveDateTime": "2026-02-09", **value}


def test_it_works() -> None:
    proposal = read_referral(SAMPLE.read_bytes())
    assert proposal.bundle_type == "collection"
    assert (proposal.text("first_name"), proposal.text("last_name"), proposal.text("sex")) == (
        "Robin",
        "Sample",
        "female",
    )
    assert proposal.text("request") == "Supervised exercise after a heart event"
    assert proposal.text("requester") == "Invented referring clinic"
    readings = {reading.name: (reading.value, reading.unit, reading.taken_on) for reading in proposal.readings}
    assert readings == {
        "systolic_mmhg": (128, "mmHg", date(2026, 2, 9)),
        "diastolic_mmhg": (76, "mmHg", date(2026, 2, 9)),
        "resting_bpm": (62, "bpm", date(2026, 2, 9)),
        "spo2_pct": (97, "%", date(2026, 2, 9)),
        "lvef_pct": (48, "%", date(2026, 1, 21)),
    }
    assert proposal.left_out == ()


def test_the_sample_is_structurally_valid_fhir_by_an_independent_model() -> None:
    assert Bundle.model_validate(sample()).type == "collection"


def test_a_year_of_birth_is_kept_as_a_year_and_the_day_is_asked_for() -> None:
    proposal = read(sample())
    assert proposal.birth is not None
    assert (proposal.birth.on, proposal.birth.text) == (None, "1955")
    question = next(m.question for m in proposal.missing if m.wording_key == "referral_ask_birth_day")
    assert "1955" in question


def test_a_month_of_the_event_is_never_made_into_a_day() -> None:
    (event,) = read(sample()).events
    assert (event.kind, event.on, event.on_text) == ("mi", None, "2026-01")
    assert '"heart attack" was read as mi, and "stent" as pci; check.' in event.assumed
    assert "referral_ask_event_day" in asked(read(sample()))


def test_a_medicine_in_words_gets_its_dose_its_start_and_a_class_to_check() -> None:
    (medicine,) = read(sample()).medicines
    assert (medicine.name, medicine.dose, medicine.drug_class) == ("bisoprolol", "2.5 mg once daily", "beta_blocker")
    assert medicine.since == date(2026, 1, 20)
    assert medicine.assumed.endswith("check.")
    assert "ask_beta_blocker" in asked(read(sample()))


def test_what_the_referral_does_not_say_is_asked() -> None:
    expected = {"ask_rhythm", "ask_device", "ask_nitrate", "ask_discharge", "ask_language"}
    assert expected <= asked(read(sample()))
    assert not asked(read(sample())) & {"ask_ef", "ask_bp", "ask_hr", "referral_ask_medicines"}
    bare = read({"resourceType": "Patient", "name": [{"family": "Sample"}]})
    assert {"referral_ask_name", "referral_ask_birth", "referral_ask_event", "ask_ef", "ask_bp", "ask_hr"} <= asked(
        bare
    )


def test_every_item_says_where_it_came_from() -> None:
    proposal = read(sample())
    items = [*proposal.texts, *proposal.events, *proposal.medicines, *proposal.readings]
    assert all(item.came_from.startswith("entry ") for item in items)
    assert proposal.readings[0].came_from == "entry 5, Observation.component[0].value"


def test_a_proposal_can_be_stored_and_read_back() -> None:
    proposal = read(sample())
    assert from_plain(ReferralProposal, json.loads(json.dumps(to_plain(proposal)))) == proposal


def test_a_request_for_a_medicine_with_a_reference_is_read_too() -> None:
    content = sample()
    statement = resource(content, "MedicationStatement")
    statement.clear()
    statement |= {
        "resourceType": "MedicationRequest",
        "status": "active",
        "contained": [{"resourceType": "Medication", "id": "m1", "code": {"text": "Ramipril 5 mg capsules"}}],
        "medicationReference": {"reference": "#m1"},
        "authoredOn": "2026-01-25",
        "dosageInstruction": [{"text": "one a day"}],
    }
    (medicine,) = read(content).medicines
    assert (medicine.name, medicine.drug_class, medicine.dose) == ("ramipril", "ace_arb_arni", "one a day")
    assert medicine.since == date(2026, 1, 25)
    assert "the day it was prescribed" in medicine.assumed


def test_a_medicine_that_is_not_taken_now_is_left_out_and_said_so() -> None:
    content = sample()
    resource(content, "MedicationStatement")["status"] = "stopped"
    proposal = read(content)
    assert proposal.medicines == ()
    assert "its status is stopped" in proposal.left_out[0]
    assert "referral_ask_medicines" in asked(proposal)


def test_an_unknown_medicine_gets_no_class_and_is_asked_about() -> None:
    content = sample()
    resource(content, "MedicationStatement")["medicationCodeableConcept"] = {"text": "Inventium 3 mg"}
    (medicine,) = read(content).medicines
    assert medicine.drug_class is None
    assert "referral_ask_medicine_class" in asked(read(content))


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("isosorbide mononitrate 30 mg", ["isosorbide mononitrate"]),
        ("GTN spray", ["gtn"]),
        ("Sacubitril/valsartan 49/51", ["sacubitril", "valsartan"]),
        ("Bisoprolols", ["bisoprolol"]),
        ("aspirinated water", []),
    ],
)
def test_medicine_names_are_whole_words(text: str, names: list[str]) -> None:
    assert [name for name, _drug_class in medicines_in(text)] == names


def test_a_longer_event_word_wins_over_one_inside_it() -> None:
    assert events_in("NSTEMI in May") == (("nstemi", "mi"),)
    assert events_in("Transcatheter aortic valve replacement")[0][1] == "tavi"
    assert events_in("broken arm") == ()


@pytest.mark.parametrize("words", ["No heart attack", "Suspected heart attack", "Family history of heart attack"])
def test_words_that_rule_something_out_choose_no_event(words: str) -> None:
    content = sample()
    resource(content, "Condition")["code"] = {"text": words}
    (event,) = read(content).events
    assert event.kind is None
    assert "referral_ask_event" in asked(read(content))


def test_a_refuted_condition_is_left_out() -> None:
    content = sample()
    resource(content, "Condition")["verificationStatus"] = {"coding": [{"code": "refuted"}]}
    proposal = read(content)
    assert proposal.events == ()
    assert "refuted" in proposal.left_out[0]


@pytest.mark.parametrize(
    ("code", "value", "name", "expected"),
    [
        ("29463-7", {"valueQuantity": {"value": 178, "code": "[lb_av]"}}, "mass_kg", 80.739),
        ("29463-7", {"valueQuantity": {"value": 81, "unit": "kg"}}, "mass_kg", 81),
        ("8302-2", {"valueQuantity": {"value": 172, "code": "cm"}}, "stature_m", 1.72),
        ("10230-1", {"valueString": "48"}, "lvef_pct", 48),
        ("8867-4", {"valueInteger": 62}, "resting_bpm", 62),
    ],
)
def test_readings_are_turned_into_our_units(code: str, value: dict[str, Any], name: str, expected: float) -> None:
    found = read(observation(code, **value)).reading(name)
    assert found is not None
    assert found.value == pytest.approx(expected, abs=0.001)


def test_a_heart_rate_that_is_not_called_resting_is_proposed_with_the_doubt() -> None:
    found = read(observation("8867-4", valueQuantity={"value": 62, "code": "/min"})).reading("resting_bpm")
    assert found is not None
    assert "does not say that this heart rate was taken at rest" in found.assumed


def test_a_heart_rate_over_a_period_is_not_taken_for_a_resting_one() -> None:
    content = observation("8867-4", valueQuantity={"value": 101, "code": "/min"})
    content["effectivePeriod"] = {"start": "2026-02-09T10:00:00Z", "end": "2026-02-09T10:20:00Z"}
    del content["effectiveDateTime"]
    proposal = read(content)
    assert proposal.readings == ()
    assert "over a period, not one at rest" in proposal.left_out[0]


@pytest.mark.parametrize(
    ("code", "value", "told"),
    [
        ("29463-7", {"valueInteger": 178}, "has no unit"),
        ("29463-7", {"valueQuantity": {"value": 178}}, "has no unit"),
        ("8302-2", {"valueQuantity": {"value": 172, "code": "m"}}, "172 m is outside"),
        ("10230-1", {"valueQuantity": {"value": 40, "code": "%", "comparator": "<"}}, "no single number"),
        ("10230-1", {"dataAbsentReason": {"text": "not done"}}, "no value is available"),
        ("40443-4", {"valueQuantity": {"value": 62, "code": "Hz"}}, 'The unit "Hz" is not read here'),
    ],
)
def test_a_doubtful_reading_is_left_out_with_the_reason(code: str, value: dict[str, Any], told: str) -> None:
    proposal = read(observation(code, **value))
    assert proposal.readings == ()
    assert told in proposal.left_out[0]


def test_pressures_the_wrong_way_round_are_left_out() -> None:
    content = sample()
    parts = resource(content, "Observation")["component"]
    parts[0]["valueQuantity"]["value"], parts[1]["valueQuantity"]["value"] = 76, 128
    proposal = read(content)
    assert proposal.reading("systolic_mmhg") is None
    assert "must be higher than the lower value" in proposal.left_out[0]
    assert "ask_bp" in asked(proposal)


def test_something_about_another_person_is_left_out() -> None:
    content = sample()
    content["entry"].append({"fullUrl": "urn:uuid:1", "resource": {"resourceType": "RelatedPerson"}})
    resource(content, "Condition")["subject"] = {"reference": "urn:uuid:1"}
    proposal = read(content)
    assert proposal.events == ()
    assert "not about the person" in proposal.left_out[0]


def test_a_death_is_said_first() -> None:
    content = sample()
    resource(content, "Patient")["deceasedBoolean"] = True
    assert "has died" in read(content).left_out[0]


@pytest.mark.parametrize("kind", ["searchset", "transaction", "document"])
def test_every_kind_of_bundle_is_read(kind: str) -> None:
    content = sample()
    content["type"] = kind
    if kind == "document":
        content["entry"].insert(0, {"resource": {"resourceType": "Composition"}})
    assert read(content).text("first_name") == "Robin"


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        (lambda c: c.update(type="batch"), 'Bundle.type is "batch"'),
        (lambda c: c.update(type="document"), "FHIR asks for a Composition"),
        (lambda c: c.update(entry=[]), "has no entries"),
        (lambda c: c.update(entry={}), "Bundle.entry must be a list"),
        (lambda c: c["entry"].append({}), "Entry 9 of the Bundle holds no resource"),
        (lambda c: c["entry"].append(deepcopy(c["entry"][0])), "about 2 people"),
        (lambda c: resource(c, "Patient").update(name="Robin"), "entry 1, Patient.name must be a list"),
        (lambda c: resource(c, "Patient").update(birthDate="04/05/1951"), "is not a FHIR date"),
        (lambda c: resource(c, "Patient").update(birthDate="1951-02-30"), "is no day of the calendar"),
        (
            lambda c: resource(c, "Observation", 1)["valueQuantity"].update(value="62"),
            "must be a number of usual size, not text",
        ),
        (lambda c: resource(c, "Observation", 1)["valueQuantity"].update(value=10**400), "a number of usual size"),
        (lambda c: c.pop("resourceType"), "resourceType is missing"),
    ],
)
def test_a_wrong_shape_is_one_sentence(damage: Any, told: str) -> None:
    content = sample()
    damage(content)
    try:
        proposal = read(content)
    except HalewardError as error:
        sentence = str(error)
    else:
        sentence = " ".join(proposal.left_out)
    assert told in sentence
    assert "\n" not in sentence


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "is not JSON"),
        (b"{", "is not JSON: line 1"),
        (b"[]", "is not a FHIR resource"),
        (b'{"resourceType": "Bundle", "type": "collection", "entry": [NaN]}', "a number that FHIR does not allow"),
        (b"\xff\xfe{", "letters cannot be read"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"resourceType": "Device"}', "it holds Device"),
        (b" " * 5_000_001, "at most 5 MB"),
    ],
)
def test_a_file_that_is_no_referral_is_one_sentence(data: bytes, told: str) -> None:
    with pytest.raises(HalewardError, match=told):
        read_referral(data)


def test_text_is_made_safe_to_show() -> None:
    content = sample()
    name = "<b onclick=x>Ro\u202ebin</b>\x07 " + "x" * 500
    resource(content, "Patient")["name"][0]["given"] = [name, None]
    shown = read(content).text("first_name")
    assert shown.startswith("Robin x")
    assert len(shown) == 200


@given(st.text(max_size=300))
def test_no_text_keeps_mark_up_or_control_characters(text: str) -> None:
    safe = plain_text(text)
    assert len(safe) <= 200
    assert not set(safe) & {"<", ">", "\n", "\0", "\u202e"}


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=10),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=200)
@given(_JSON)
def test_random_json_gives_a_proposal_or_a_sentence(content: object) -> None:
    with suppress(HalewardError):
        read(content)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, part in inner for place in _places(part, (*path, key)))]


@settings(max_examples=300)
@given(st.sampled_from(_places(json.loads(SAMPLE.read_text(encoding="utf-8")))[1:]), _JSON)
def test_a_referral_damaged_anywhere_gives_a_proposal_or_a_sentence(place: tuple[Any, ...], value: object) -> None:
    content: Any = sample()
    holder = content
    for key in place[:-1]:
        holder = holder[key]
    holder[place[-1]] = value
    with suppress(HalewardError):
        proposal = read(content)
        assert all(0 < reading.value < 2000 for reading in proposal.readings)
