"""Editing a protocol as data: one value at a time, comments and order kept, one figure in one place."""

from __future__ import annotations

import tomllib
from datetime import date
from difflib import unified_diff
from functools import cache

import pytest

from haleward.errors import FileFault, Inconsistent
from haleward.safety.analysis import policies
from haleward.safety.edits import (
    Edit,
    NewRule,
    Part,
    Retirement,
    Sections,
    apply,
    as_draft,
    editable,
    next_version,
    signed,
    words_to_read,
)
from haleward.safety.edits_fields import typed
from haleward.safety.edits_words import with_figure
from haleward.safety.protocol import DEFAULT_FILE, read_protocol

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")


@cache
def sections() -> Sections:
    """The default protocol as forms show it."""
    return editable(TEXT)


def lines_changed(after: str, before: str = TEXT) -> list[str]:
    """The lines that an edit took and gave, with - and +."""
    found = unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm="")
    return [line for line in found if line[0] in "-+" and line[:3] not in ("---", "+++")]


def test_every_rule_item_setting_and_policy_can_be_reached_by_its_path() -> None:
    values = tomllib.loads(TEXT)
    found = {entry.path for entry in sections().entries()}
    for section, name in (("rule", "id"), ("risk_item", "id"), ("placement_rule", "id"), ("symptom", "key")):
        assert {f"{section}/{row[name]}" for row in values[section]} <= found
    assert {f"setting/{row['name']}@{row['jurisdiction']}" for row in values["setting"]} <= found
    for policy in ("intensity", "dose", "progression"):
        shown = {field.path for field in sections().group(policy).entries[0].fields}
        assert shown == {f"{policy}/{key}" for key in values[policy]}


def test_a_list_offers_the_codes_that_the_analysis_allows() -> None:
    for section, key, allowed in policies._CODES:
        found = sections().find(f"{section}/{key}")
        assert found is not None
        assert found.choices == allowed, key


def test_what_a_list_holds_stays_a_choice_even_if_no_table_knows_it() -> None:
    found = editable(TEXT.replace('sources = ["S00"]', 'sources = ["Local 4"]', 1)).find("rule/R001/sources")
    assert found is not None
    assert found.choices[-1] == "Local 4"
    assert typed(found, ["Local 4", "S09"]) == ["Local 4", "S09"]


def test_every_number_a_rule_compares_with_is_a_limit_with_its_unit() -> None:
    limits = {field.path: field for field in sections().fields() if field.comparison}
    found = limits["rule/R023/condition/any/1/over"]
    assert (found.value, found.unit, found.input, found.comparison) == (100, "mmHg", "dbp_rest", "over")
    assert limits["rule/R086/condition/all/2/over/plus"].value == -10
    assert limits["gates/hall/needs/ketones_mmol/when/all/1/over"].unit == "mmol/L"


def test_setting_each_value_to_what_it_is_changes_not_one_character() -> None:
    edits = [Edit(field.path, field.value) for entry in list(sections().entries())[::25] for field in entry.fields]
    assert edits
    assert apply(TEXT, edits) == TEXT


def test_a_limit_moves_with_its_words_and_nothing_else_changes() -> None:
    assert lines_changed(apply(TEXT, [Edit("rule/R027/condition/under", "85")])) == [
        '-condition = {input = "sbp_rest", under = 90, unit = "mmHg"}',
        '-wording = "Resting systolic blood pressure under 90."',
        '+condition = {input = "sbp_rest", under = 85, unit = "mmHg"}',
        '+wording = "Resting systolic blood pressure under 85."',
    ]


def test_a_setting_and_the_rules_that_use_its_figure_move_together_from_either_side() -> None:
    by_rule = apply(TEXT, [Edit("rule/R023/condition/any/0/over", 170), Edit("rule/R023/condition/any/1/over", 95)])
    by_setting = apply(TEXT, [Edit("setting/bp_limit@UK/value", "170, 95")])
    assert by_rule == by_setting
    protocol = read_protocol(by_setting, name="edited")
    assert protocol.settings["bp_limit"].text == "170 over 95"
    assert protocol.rule("R023").wording == "Resting blood pressure over 170 systolic or over 95 diastolic."


def test_one_figure_in_several_rules_and_settings_moves_everywhere() -> None:
    after = apply(TEXT, [Edit("rule/R089/condition/all/1/under", 10)])
    protocol = read_protocol(after, name="edited")
    assert protocol.settings["sternal_light_weeks"].value == (10,)
    assert protocol.rule("R090").condition["all"][1]["under"] == 10
    assert protocol.settings["sternal_light_weeks"].text == "10 weeks"


def test_a_margin_below_keeps_its_sign() -> None:
    protocol = read_protocol(apply(TEXT, [Edit("setting/icd_margin_stop_bpm@ALL/value", 15)]), name="edited")
    assert protocol.rule("R086").condition["all"][2]["over"]["plus"] == -15


def test_a_setting_whose_words_do_not_say_its_figure_wants_new_words_too() -> None:
    value = Edit("setting/illness_wait@ALL/value", 72)
    with pytest.raises(Inconsistent, match=r'^Setting illness_wait reads "two days", which does not say 48; write'):
        apply(TEXT, [value])
    after = apply(TEXT, [value, Edit("setting/illness_wait@ALL/text", "three days")])
    assert read_protocol(after, name="edited").settings["illness_wait"].text == "three days"


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("rule/R027/condition/under", "low", '"low" does not fit "resting systolic blood pressure under": it must be'),
        ("rule/R027/condition/under", True, "it must be a number in mmHg"),
        ("rule/R027/condition/under", float("inf"), "it must be a number in mmHg"),
        ("rule/R027/level", "red", "it must be one of block, clinician_decision, caution, inform"),
        ("dose/sets", "2.5", "it must be a whole number"),
        ("setting/bp_limit@UK/value", "170", "it must be numbers with commas between, as many as before"),
        ("progression/self_report_raises_load", "maybe", "it must be yes or no"),
        ("protocol/review_due", "soon", "it must be a date such as 2026-03-01"),
        ("intensity/epoch_medicines", "aspirin", '"aspirin" is not among the choices of "medicines that end a range"'),
        ("intensity/epoch_medicines", ["digoxin", "digoxin"], '"digoxin" stands more than once'),
        ("rule/R072/sources", "S00, S999", '"S999" is not among the choices of "sources"; choose from those'),
        ("dose/upper_body_rules", "R023", '"R023" is not among the choices of "rules on arm work"'),
        ("intensity/maximum_method", "guess", "it must be one of maximum_bpm_"),
        ("rule/R999/level", "block", 'There is nothing to change at "rule/R999/level"'),
        ("rule/R027/colour", "red", 'There is nothing to change at "rule/R027/colour"'),
    ],
)
def test_a_value_of_the_wrong_kind_or_place_is_told_in_one_sentence(path: str, value: object, sentence: str) -> None:
    with pytest.raises(Inconsistent) as told:
        apply(TEXT, [Edit(path, value)])
    assert sentence in str(told.value)
    assert "\n" not in str(told.value)


def test_what_is_not_toml_is_told_in_one_sentence() -> None:
    with pytest.raises(FileFault, match="cannot be read as TOML"):
        apply("[protocol", [Edit("protocol/id", "x")])


def test_a_new_rule_stands_after_the_last_one_and_is_read() -> None:
    new = NewRule(
        parts=(Part("sbp_rest", "over", 150, "mmHg"), Part("chf_present", "is", value=True)),
        level="caution",
        urgency="none",
        advice="Recheck.",
        sources=("S00",),
        trust="common practice, no source",
    )
    protocol = read_protocol(apply(TEXT, [new]), name="edited")
    assert protocol.rules[-1].id == "L001"
    assert protocol.rules[-1].wording == "Resting systolic blood pressure is over 150 mmHg and heart failure: yes."
    assert read_protocol(apply(TEXT, [new, new]), name="edited").rules[-1].id == "L002"


def test_a_new_rule_with_a_wrong_unit_or_without_a_source_is_refused() -> None:
    part = Part("sbp_rest", "over", 150, "kPa")
    with pytest.raises(Inconsistent, match=r'^The unit of sbp_rest is "mmHg", not "kPa".$'):
        apply(TEXT, [NewRule((part,), "caution", "none", "Recheck.", ("S00",), "design choice")])
    with pytest.raises(Inconsistent, match=r"^The new rule has no sources. Write it.$"):
        apply(TEXT, [NewRule((part,), "caution", "none", "Recheck.", (), "design choice")])


def test_a_retired_rule_leaves_its_lines_as_comments_and_no_mention() -> None:
    after = apply(TEXT, [Retirement("R095", "Covered by R026")])
    protocol = read_protocol(after, name="edited")
    assert "R095" not in {rule.id for rule in protocol.rules}
    assert "R095" not in protocol.gates["hall"].strength
    assert "# Retired: R095. Reason: Covered by R026" in after
    assert '# condition = {any = [{input = "sbp_rest", over = 160, unit = "mmHg"}' in after


def test_the_last_rule_can_be_retired_without_taking_the_next_heading_along() -> None:
    last = tomllib.loads(TEXT)["rule"][-1]["id"]
    after = apply(TEXT, [Retirement(last, "Not used here")])
    assert [line for line in lines_changed(after) if line.startswith("-# ----")] == []
    assert len(tomllib.loads(after)["rule"]) == len(tomllib.loads(TEXT)["rule"]) - 1


@pytest.mark.parametrize(
    ("gone", "sentence"),
    [
        (Retirement("R095", " "), "without a reason"),
        (Retirement("R999", "why"), "There is no rule R999"),
        (Retirement("R090", "why"), "Name another rule there first"),
    ],
)
def test_a_rule_is_not_retired_without_reason_or_while_the_dose_needs_it(gone: Retirement, sentence: str) -> None:
    with pytest.raises(Inconsistent, match=sentence):
        apply(TEXT, [gone])


def test_a_line_of_wording_becomes_the_protocols_own() -> None:
    after = apply(TEXT, [Edit("wording/note_professional/text", "Ask the team.")])
    after = apply(after, [Edit("wording/note_professional/source", "our clinical lead")])
    own = read_protocol(after, name="edited").wording_overrides[-1]
    assert (own.key, own.text, own.source) == ("note_professional", "Ask the team.", "our clinical lead")


def test_words_that_no_longer_say_the_limit_are_named() -> None:
    after = apply(TEXT, [Edit("rule/R027/condition/under", 85), Edit("rule/R027/wording", "Low blood pressure.")])
    assert words_to_read(TEXT, after) == ()
    again = apply(after, [Edit("rule/R027/condition/under", 80)])
    assert words_to_read(after, again) == (
        'Rule R027: the limit is now 80 mmHg; the words are as before: "Low blood pressure." Read them again.',
    )


def test_a_signature_names_who_and_when_and_a_draft_takes_it_off() -> None:
    on, due = date(2026, 3, 1), date(2027, 3, 1)
    after = signed(TEXT, by="Ada  Fell", role="cardiologist", on=on, review_due=due)
    protocol = read_protocol(after, name="signed")
    assert (protocol.signed_by, protocol.signed_on, protocol.review_due) == ("Ada Fell, cardiologist", on, due)
    assert "# a date such as" in after
    draft = read_protocol(as_draft(after, next_version(protocol.version)), name="draft")
    assert (draft.signed_by, draft.signed_on) == ("", None)
    assert draft.version == next_version(protocol.version) != protocol.version


def test_a_signature_without_a_name_or_with_a_review_in_the_past_is_refused() -> None:
    on = date(2026, 3, 1)
    with pytest.raises(Inconsistent, match="Write the name and the profession"):
        signed(TEXT, by="", role="cardiologist", on=on, review_due=date(2027, 3, 1))
    with pytest.raises(Inconsistent, match="Choose a later day"):
        signed(TEXT, by="Ada Fell", role="cardiologist", on=on, review_due=on)


@pytest.mark.parametrize(
    ("version", "following"), [("0.1", "0.2"), ("1.9", "1.10"), ("2026-a", "2027-a"), ("a", "a.1")]
)
def test_the_next_version_raises_the_last_number(version: str, following: str) -> None:
    assert next_version(version) == following


@pytest.mark.parametrize(
    ("text", "old", "new", "moved"),
    [
        ("two kilograms", 2, 3, "three kilograms"),
        ("two days", 2, 1, "one day"),
        ("one hour", 1, 2, "two hours"),
        ("12 weeks", 12, 10, "10 weeks"),
        ("two kilograms", 2, 2.5, "2.5 kilograms"),
        ("over 0.8 to 1.0 m/s", 1.0, 1.1, "over 0.8 to 1.1 m/s"),
        ("5 to 5 minutes", 5, 6, None),
        ("a while", 5, 6, None),
    ],
)
def test_a_figure_in_words_moves_only_where_it_stands_once(
    text: str, old: float, new: float, moved: str | None
) -> None:
    assert with_figure(text, old, new) == moved


@pytest.mark.parametrize(
    ("rule_id", "key"),
    [("R090", "sternum_rule"), ("R112", "frail_rule"), ("R113", "short_bouts_rule")],
)
def test_a_rule_that_the_dose_names_is_not_retired_before_another_takes_its_place(rule_id: str, key: str) -> None:
    with pytest.raises(Inconsistent, match=rf"\(dose\.{key}\). Name another rule there first"):
        apply(TEXT, [Retirement(rule_id, "not needed")])


def test_the_rule_on_a_weak_heart_is_not_retired_either() -> None:
    elsewhere = apply(TEXT, [Edit("dose/short_bouts_rule", "R112")])
    with pytest.raises(Inconsistent, match=r"who has a weak heart \(dose\.weak_heart_rule\)"):
        apply(elsewhere, [Retirement("R113", "not needed")])


def test_what_frail_people_and_weak_hearts_start_with_is_edited_as_any_other_value() -> None:
    values = {"frail_movements_most": "1", "frail_march": "no", "weak_heart_effort_high": "3.5"}
    text = apply(TEXT, [Edit(f"dose/{key}", value) for key, value in values.items()])
    dose = read_protocol(text, name="own").policies.dose
    assert (dose.frail_movements_most, dose.frail_march, dose.weak_heart_effort_high) == (1, False, 3.5)
    fields = {field.path: field for field in editable(TEXT).fields()}
    assert fields["dose/frail_regions"].keeps == "order"
    for key in values:
        assert fields[f"dose/{key}"].sentence
