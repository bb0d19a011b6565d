"""Drafts of the protocol: who makes them, what is stored and what is refused whole."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from haleward.errors import Inconsistent
from haleward.safety.edits import Edit
from haleward.safety.protocol import DEFAULT_FILE, read_protocol
from haleward.web.accounts.models import User
from haleward.web.protocol import actions
from haleward.web.protocol.checks import check
from haleward.web.protocol.choosing import choice_words
from haleward.web.protocol.forms import SectionForm
from haleward.web.protocol.models import ProtocolVersion, draft_of
from haleward.web.protocol.views_draft import groups_of
from haleward.web.team.protocol import protocol_of
from tests.web.conftest import as_user
from tests.web.protocol_drafts import SYSTOLIC_LIMIT, clean, draft_for

pytestmark = pytest.mark.django_db
SECTION = "rules.session"
LOWER_BAND = "rule/R026/condition/any/0/over"  # where the band under the limit of R023 begins
__all__ = ["clean"]


def limit_of(row: ProtocolVersion, rule_id: str = "R023") -> float:
    row.refresh_from_db()
    condition = read_protocol(row.text, name="draft").rule(rule_id).condition
    return float(condition["any"][0]["over"])


def values_of(user: User, key: str = SECTION) -> dict[str, str]:
    """Every value of a section as its form sends them."""
    page = as_user(user).get(reverse("protocol_section", args=[key]))
    form = page.context["form"]
    return {name: form.initial[name] for name in form.fields}


@pytest.mark.parametrize(("role", "status"), [("lead", 302), ("nurse", 302), ("manager", 302), ("assistant", 403)])
def test_lead_nurse_and_manager_may_draft(role: str, status: int, staff: dict[str, User]) -> None:
    assert as_user(staff[role]).post(reverse("protocol_drafts"), {"default": "1"}).status_code == status
    assert (draft_of(staff[role].service) is not None) is (status == 302)


def test_a_draft_has_the_next_version_and_decides_nothing(lead: User) -> None:
    row = draft_for(lead, Edit(SYSTOLIC_LIMIT, "170"))
    assert (row.state, row.version) == ("draft", "0.3")
    assert limit_of(row) == 170
    assert protocol_of(lead.service).version == "0.2"


def test_there_is_one_draft_at_a_time(lead: User, nurse: User) -> None:
    first = draft_for(lead)
    assert draft_for(nurse) == first
    assert ProtocolVersion.objects.filter(service=lead.service).count() == 1


def test_each_change_is_kept_with_its_name_and_what_it_was(lead: User) -> None:
    row = draft_for(lead, Edit(SYSTOLIC_LIMIT, "170"))
    change = row.changes.get()
    assert (change.made_by, change.sentences) == (
        lead,
        ["R023: resting systolic blood pressure over from 180 to 170."],
    )


def test_a_limit_is_changed_on_its_form_with_the_words_that_print_it(clean: None, lead: User) -> None:
    row = draft_for(lead)
    data = values_of(lead) | {SYSTOLIC_LIMIT: "170"}
    answer = as_user(lead).post(reverse("protocol_section", args=[SECTION]), data)
    assert answer.status_code == 302
    assert limit_of(row) == 170
    protocol = read_protocol(row.text, name="draft")
    assert protocol.settings["bp_limit"].text == "170 over 100"
    assert "over 170 systolic" in protocol.rule("R023").wording


def test_a_form_sent_unchanged_changes_nothing(clean: None, lead: User) -> None:
    row = draft_for(lead)
    before = row.text
    assert as_user(lead).post(reverse("protocol_section", args=[SECTION]), values_of(lead)).status_code == 302
    row.refresh_from_db()
    assert row.text == before
    assert not row.changes.exists()


def test_the_form_of_every_section_holds_its_values_as_they_are(lead: User) -> None:
    row = draft_for(lead)
    for group in groups_of(row):
        for whole in (False, True):
            form = SectionForm({}, group=group, whole=whole)
            form.data = dict(form.initial)
            assert form.is_valid(), group.key
            assert form.changes() == [], group.key


def test_all_of_one_rule_is_changed_on_its_own_page(clean: None, lead: User) -> None:
    row = draft_for(lead)
    address = f"{reverse('protocol_section', args=['rules.home'])}?entry=rule/R072"
    form = as_user(lead).get(address).context["form"]
    data = form.initial | {"rule/R072/advice": "Ring us first.", "rule/R072/sources": ["S09", "S00"]}
    assert as_user(lead).post(address, data).status_code == 302
    row.refresh_from_db()
    rule = read_protocol(row.text, name="draft").rule("R072")
    assert (rule.advice, rule.sources) == ("Ring us first.", ("S00", "S09"))
    assert as_user(lead).get(address.replace("R072", "R999")).status_code == 404


def test_a_list_is_ticked_by_its_words_and_keeps_the_order_it_had(clean: None, lead: User) -> None:
    row = draft_for(lead)
    address = reverse("protocol_section", args=["intensity"])
    page = as_user(lead).get(address).content.decode()
    assert "rate-limiting calcium-channel blocker" in page
    before = read_protocol(row.text, name="draft").policies.intensity.prediction_not_with
    assert before == ("ivabradine", "rate_limiting_ccb", "amiodarone", "digoxin")
    ticked = ["beta_blocker", "ivabradine", "digoxin", "amiodarone"]  # in the order of the page, not of the file
    data = values_of(lead, "intensity") | {"intensity/prediction_not_with": ticked}
    assert as_user(lead).post(address, data).status_code == 302
    row.refresh_from_db()
    after = read_protocol(row.text, name="draft").policies.intensity.prediction_not_with
    assert after == ("ivabradine", "amiodarone", "digoxin", "beta_blocker")
    (told,) = row.changes.get().sentences
    was, now = "rate-limiting calcium-channel blocker, amiodarone, digoxin", "amiodarone, digoxin, beta-blocker"
    assert told == f"No estimate with: before ivabradine, {was}; now ivabradine, {now}."


def test_where_the_order_counts_each_place_is_chosen(clean: None, lead: User) -> None:
    row = draft_for(lead)
    address = reverse("protocol_section", args=["progression"])
    data = values_of(lead, "progression") | {"progression/raise_order": ["load", "", "repetitions", ""]}
    assert as_user(lead).post(address, data).status_code == 302
    row.refresh_from_db()
    assert read_protocol(row.text, name="draft").policies.progression.raise_order == ("load", "repetitions")


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("progression/raise_order", ["load", "speed"], "“speed” is not among the choices of “what is raised first”;"),
        ("progression/raise_order", ["load", "load"], "&quot;load&quot; stands more than once in"),
        ("progression/illness_topics", ["the moon"], "“the moon” is not among the choices of “reports that mean"),
    ],
)
def test_what_is_not_offered_is_refused_in_one_sentence(path: str, value: list[str], sentence: str, lead: User) -> None:
    row = draft_for(lead)
    data = values_of(lead, "progression") | {path: value}
    answer = as_user(lead).post(reverse("protocol_section", args=["progression"]), data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert row.text == ProtocolVersion.objects.get(pk=row.pk).text


def test_every_list_of_codes_is_chosen_by_words(lead: User) -> None:
    for group in groups_of(draft_for(lead)):
        for entry in group.entries:
            for field in (one for one in entry.fields if one.kind == "texts"):
                assert field.choices, field.path
                assert not [code for code in field.choices if "_" in choice_words(field, code)], field.path


def test_a_wrong_value_is_shown_again_and_nothing_of_the_form_is_stored(clean: None, lead: User) -> None:
    row = draft_for(lead)
    data = values_of(lead) | {SYSTOLIC_LIMIT: "high", "rule/R031/condition/over": "110"}
    answer = as_user(lead).post(reverse("protocol_section", args=[SECTION]), data)
    assert answer.status_code == 422
    assert "it must be a number" in answer.content.decode()
    assert limit_of(row) == 180
    assert read_protocol(row.text, name="draft").rule("R031").condition["over"] == 120


def test_a_fault_of_the_whole_leads_to_its_entry_and_stores_nothing(clean: None, lead: User) -> None:
    row = draft_for(lead)
    data = values_of(lead, "rules.home") | {"rule/R072/level": "never"}
    answer = as_user(lead).post(reverse("protocol_section", args=["rules.home"]), data)
    assert answer.status_code == 422
    assert row.text == ProtocolVersion.objects.get(pk=row.pk).text


def test_checks_while_typing_store_nothing(clean: None, lead: User) -> None:
    row = draft_for(lead)
    address = reverse("protocol_checks", args=[SECTION])
    wrong = as_user(lead).post(address, values_of(lead) | {SYSTOLIC_LIMIT: "x"})
    right = as_user(lead).post(address, values_of(lead) | {SYSTOLIC_LIMIT: "170"})
    assert "it must be a number" in wrong.content.decode()
    assert f'href="#id_{SYSTOLIC_LIMIT}"' in wrong.content.decode()
    assert "nothing that stands against" in right.content.decode()
    assert limit_of(row) == 180


def test_the_analysis_is_told_with_a_link_to_the_rule(lead: User) -> None:
    row = draft_for(lead, Edit(LOWER_BAND, "185"))
    told = [one for one in check(row.text, lead.service).serious if "R026" in one.sentence]
    assert told
    assert told[0].entry.startswith("rule/R0")
    assert told[0].group == SECTION


def test_a_finding_is_kept_with_a_reason_or_not_at_all(lead: User) -> None:
    row = draft_for(lead, Edit(LOWER_BAND, "185"))
    found = next(one for one in check(row.text, lead.service).serious if "R026" in one.sentence)
    address = reverse("protocol_kept")
    assert as_user(lead).post(address, {"finding": found.name, "reason": ""}).status_code == 422
    assert as_user(lead).post(address, {"finding": found.name, "reason": "Decided so."}).status_code == 302
    row.refresh_from_db()
    assert found.sentence not in [one.sentence for one in check(row.text, lead.service).serious]
    assert [one.reason for one in read_protocol(row.text, name="draft").accepted][-1] == "Decided so."


RULE = {
    "join": "all",
    "input_1": "hr_rest",
    "comparison_1": "over",
    "value_1": "95",
    "level": "caution",
    "urgency": "none",
    "advice": "Rest and measure again.",
    "sources": "S00",
    "trust": "common practice, no source",
}


def test_a_rule_is_added_from_parts(lead: User) -> None:
    row = draft_for(lead)
    answer = as_user(lead).post(reverse("protocol_rule", args=[SECTION]), RULE)
    assert answer.status_code == 302
    row.refresh_from_db()
    rule = read_protocol(row.text, name="draft").rule("L001")
    assert rule.condition == {"input": "hr_rest", "over": 95, "unit": "bpm"}
    assert (rule.stage, rule.level, rule.sources) == ("session", "caution", ("S00",))


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"value_1": "fast"}, "“fast” is not a number."),
        ({"comparison_1": ""}, "Fill in input, comparison and value"),
        ({"input_1": "chest_pain_now"}, "Chest pain now is not a number."),
        ({"advice": ""}, "This field is required."),
        ({"input_2": "sbp_rest"}, "or leave all three blank"),
    ],
)
def test_a_rule_with_a_wrong_part_is_not_added(change: dict[str, str], fault: str, lead: User) -> None:
    row = draft_for(lead)
    answer = as_user(lead).post(reverse("protocol_rule", args=[SECTION]), RULE | change)
    assert answer.status_code == 422
    assert fault in answer.content.decode()
    assert row.text == ProtocolVersion.objects.get(pk=row.pk).text


def test_a_rule_is_retired_with_its_reason(lead: User) -> None:
    row = draft_for(lead)
    address = reverse("protocol_retirement", args=[SECTION])
    assert as_user(lead).post(address, {"rule_id": "R050", "reason": ""}).status_code == 422
    assert as_user(lead).post(address, {"rule_id": "R050", "reason": "We ask in person."}).status_code == 302
    row.refresh_from_db()
    assert "R050" not in {rule.id for rule in read_protocol(row.text, name="draft").rules}
    assert "We ask in person." in row.text


def test_a_line_is_worded_anew_with_its_source(lead: User) -> None:
    row = draft_for(lead)
    client, address = as_user(lead), reverse("protocol_wording")
    assert "key=check_well" in client.get(address, {"q": "feel well today"}).content.decode()
    answer = client.post(f"{address}?key=check_well", {"text": "Are you well today?", "source": "Team meeting"})
    assert answer.status_code == 302
    row.refresh_from_db()
    own = read_protocol(row.text, name="draft").wording_overrides
    assert [(one.key, one.text, one.source) for one in own] == [("check_well", "Are you well today?", "Team meeting")]


def test_a_line_that_names_a_number_nobody_gives_is_refused(lead: User) -> None:
    row = draft_for(lead)
    address = f"{reverse('protocol_wording')}?key=check_well"
    answer = as_user(lead).post(address, {"text": "Ring {moon_line}.", "source": "Team meeting"})
    assert answer.status_code == 422
    assert "moon_line" in answer.content.decode()
    assert row.text == ProtocolVersion.objects.get(pk=row.pk).text


def upload(text: str) -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile("ours.toml", text.encode())}


def test_a_file_becomes_the_draft(lead: User) -> None:
    text = DEFAULT_FILE.read_text(encoding="utf-8").replace('id = "haleward-default"', 'id = "ours"')
    assert as_user(lead).post(reverse("protocol_import"), upload(text)).status_code == 302
    row = draft_of(lead.service)
    assert row is not None
    assert (row.protocol_id, row.origin) == ("ours", "Imported from the file ours.toml")
    assert as_user(lead).get(reverse("protocol_file", args=[str(row.number)])).content.decode() == row.text


def test_a_file_with_faults_is_refused_whole_with_each_line(lead: User) -> None:
    text = DEFAULT_FILE.read_text(encoding="utf-8").replace('level = "block"', 'level = "never"', 2)
    answer = as_user(lead).post(reverse("protocol_import"), upload(text))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert page.count("never") >= 2
    assert "ours.toml, line " in page
    assert draft_of(lead.service) is None


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"not = [toml"])
def test_what_is_no_protocol_file_is_refused(content: bytes, lead: User) -> None:
    answer = as_user(lead).post(reverse("protocol_import"), {"file": SimpleUploadedFile("x.toml", content)})
    assert answer.status_code == 422
    assert draft_of(lead.service) is None


def test_a_draft_is_thrown_away_and_a_signed_one_is_not(lead: User) -> None:
    row = draft_for(lead)
    assert as_user(lead).post(reverse("protocol_removal")).status_code == 302
    assert draft_of(lead.service) is None
    row.state = ProtocolVersion.State.SIGNED
    with pytest.raises(Inconsistent, match="is signed and is kept"):
        row.delete()


def test_the_note_says_what_and_why(clean: None, lead: User) -> None:
    row = draft_for(lead)
    assert as_user(lead).post(reverse("protocol_draft"), {"note": ""}).status_code == 422
    assert as_user(lead).post(reverse("protocol_draft"), {"note": "Lower limit, team of May."}).status_code == 302
    row.refresh_from_db()
    assert row.note == "Lower limit, team of May."


def test_another_service_has_its_own_draft(clean: None, lead: User, outsider: User) -> None:
    draft_for(lead)
    assert as_user(outsider).get(reverse("protocol_draft")).status_code == 404
    assert actions.start_draft  # the outsider can make one of their own
    assert as_user(outsider).post(reverse("protocol_drafts"), {"default": "1"}).status_code == 302
    assert ProtocolVersion.objects.count() == 2
    assert timezone.now() >= ProtocolVersion.objects.latest("made_at").made_at
