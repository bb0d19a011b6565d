"""A language is shown to a person once it was reviewed, to nobody before, and never beside English."""

import io
import json
import re
import unicodedata
import zipfile
from html.parser import HTMLParser

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from pypdfium2 import PdfDocument

from haleward.languages import load_catalogue
from haleward.languages.files import head_of, po_files
from haleward.web.accounts.actions import name_clinical_lead
from haleward.web.languages.catalogues import standing_of, texts_of
from haleward.web.languages.models import ServiceLanguage
from haleward.web.languages.shown import lacking, told_to_staff
from haleward.wording import default_wording
from tests.languages.whole import whole_catalogue
from tests.page_text import page_data
from tests.web.conftest import as_user

PAGES = ("me", "me_safety", "me_calendar", "me_days", "me_doing", "me_carers", "me_tell", "me_tell_session")
OWN = {"Ana", "Test", "team", "Europe", "London", "walk", "the", "shop"}  # names, and the goal as Ana said it
ARABIC = re.compile(r"[\u0621-\u064a]")
BRACES = re.compile(r"\{\w+\}")
ENGLISH = re.compile(r"[A-Za-z]{3,}")


class Shown(HTMLParser):
    """What is read on a page: its texts and text alternatives, without scripts and styles."""

    def __init__(self, html):
        super().__init__()
        self.texts, self._hidden = [], 0
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self._hidden += tag in ("script", "style")
        self.texts += [text for name, text in attrs if name in ("aria-label", "alt", "title", "placeholder")]

    def handle_endtag(self, tag):
        self._hidden -= tag in ("script", "style")

    def handle_data(self, data):
        if not self._hidden and data.strip():
            self.texts.append(data.strip())


def whole(service, tag="ar", without=""):
    """The shipped catalogue as files, made whole but for one text."""
    catalogue = whole_catalogue(tag, without=without)
    files = po_files(head_of(catalogue), texts_of(service), catalogue)
    return {name.removesuffix(".po"): content for name, content in files.items()}


def reviewed(service, files=None, tag="ar"):
    row = ServiceLanguage.objects.create(service=service, tag=tag, files=files or whole(service))
    row.reviewer, row.qualification, row.reviewed_on = "Test reader", "translator", timezone.localdate()
    row.reviewed_digest = standing_of(service, tag).catalogue.digest
    row.save()
    return row


@pytest.fixture
def arabic(plan):
    """Arabic is chosen for the person with the signed plan."""
    plan.person.language_tag = "ar"
    plan.person.save()
    return plan.person


def english_in(texts):
    return {word for text in texts for word in ENGLISH.findall(text)} - OWN


def get(client, name, token, *more):
    if name == "me_tell_session":
        more = (timezone.localdate().isoformat(), "walk")
    return client.get(reverse(name, args=[token, *more]))


@pytest.mark.parametrize("name", PAGES)
def test_no_page_of_a_person_shows_a_draft(client, arabic, token, name):
    html = get(client, name, token).content.decode()
    assert 'lang="en-GB" dir="ltr"' in html
    assert not ARABIC.search(html)


@pytest.mark.parametrize("name", PAGES)
def test_a_reviewed_language_leaves_no_english_on_a_page(client, arabic, token, name):
    reviewed(arabic.service)
    html = get(client, name, token).content.decode()
    assert 'lang="ar" dir="rtl"' in html
    texts = Shown(html).texts
    assert ARABIC.search(" ".join(texts))
    assert english_in(texts) == set()


def test_the_log_page_is_whole_in_the_language(client, arabic, token):
    reviewed(arabic.service)
    html = get(client, "me_diary", token).content.decode()
    assert '<html lang="ar" dir="rtl">' in html
    data = json.loads(re.search(r'id="data">(.*?)</script>', html, re.DOTALL)[1])
    shown = [*data["words"].values(), *data["banner"], *(one["label"] for one in data["symptoms"])]
    shown += [text for lines in data["topics"].values() for _, text in lines]
    shown += [text for part in data["parts"].values() for one in (part, *part["exercises"]) for text in
              (one.get("name", ""), one.get("title", ""), one.get("dose_text", ""))]  # fmt: skip
    shown += [text for _, text in data["sheet"]["effort_anchors"]]
    assert english_in(BRACES.sub("", text) for text in shown) == set()


def test_the_session_page_shows_the_language_and_speaks_english(client, arabic, token):
    reviewed(arabic.service)
    html = get(client, "me_session", token, "one").content.decode()
    assert '<html lang="ar" dir="rtl">' in html
    data = page_data(html)
    sheet = data["sheet"]
    told = dict(sheet["translation"])
    said = {text for block in sheet["blocks"] for text in block["cues"]["text"] if text}
    assert said <= set(told)
    assert english_in(told.values()) == set()
    assert not ARABIC.search(" ".join(said))
    spoken = dict(data["spoken"])
    assert not ARABIC.search(" ".join(spoken.values()))
    assert all(ARABIC.search(text) for text in spoken)


def test_a_page_that_lacks_one_text_is_english_as_a_whole(client, arabic, token):
    english = default_wording().template("stop_lead")
    reviewed(arabic.service, whole(arabic.service, without=english))
    assert lacking(arabic, standing_of(arabic.service, "ar").catalogue) == (english,)
    assert english in told_to_staff(arabic)
    for name in ("me", "me_safety", "me_diary"):
        html = get(client, name, token).content.decode()
        assert 'lang="en-GB"' in html
        assert not ARABIC.search(html)


def test_the_prints_are_in_the_language_too(client, arabic, token):
    reviewed(arabic.service)
    pages = PdfDocument(get(client, "me_booklet", token, "one").content)
    text = " ".join(page.get_textpage().get_text_range() for page in pages)
    for words in ("خطة تمارينك", "أسبوعك", "المجموعات", "توقف إذا"):
        assert words in unicodedata.normalize("NFKC", text)
    assert english_in([text]) == set()


def test_the_calendar_is_in_the_language(client, arabic, token):
    reviewed(arabic.service)
    text = client.get(reverse("me_calendar_file", args=[token]), {"reminder": "none"}).content.decode()
    titles = re.findall(r"SUMMARY:(.*)", text)
    assert titles
    assert all(ARABIC.search(title) and not ENGLISH.search(title) for title in titles)


def test_a_review_holds_for_the_state_that_was_read(client, arabic, token):
    row = reviewed(arabic.service)
    told = dict(row.files)
    told["film"] = told["film"].replace('msgstr "', 'msgstr "تغيير ', 2)
    row.files = told
    row.save()
    standing = standing_of(arabic.service, "ar")
    assert standing.state == "changed"
    assert "a draft again" in standing.told
    assert not ARABIC.search(get(client, "me", token).content.decode())


def mark(user, **changes):
    standing = standing_of(user.service, "ar")
    sent = {"digest": standing.catalogue.digest, "reviewer": "A. Reader", "qualification": "translator", "read": "on"}
    return as_user(user).post(reverse("language_mark", args=["ar"]), sent | changes)


def test_manager_and_clinical_lead_mark_a_language_and_nobody_else(staff):
    manager, lead, nurse = staff["manager"], staff["lead"], staff["nurse"]
    assert "Only the service manager or the clinical lead" in mark(lead).content.decode()
    assert standing_of(manager.service, "ar").state == "draft"
    assert mark(manager).status_code == 302
    standing = standing_of(manager.service, "ar")
    assert standing.state == "reviewed"
    assert standing.told.endswith("by A. Reader, translator")
    assert as_user(lead).post(reverse("language_take_back", args=["ar"])).status_code == 302
    assert standing_of(manager.service, "ar").state == "reviewed"
    name_clinical_lead(nurse, "consultant nurse", today=timezone.localdate())
    assert as_user(nurse).post(reverse("language_take_back", args=["ar"])).status_code == 302
    assert standing_of(manager.service, "ar").state == "draft"


@pytest.mark.parametrize("lacking_field", ["reviewer", "qualification", "read"])
def test_a_review_needs_who_with_what_and_that_all_was_read(manager, lacking_field):
    assert mark(manager, **{lacking_field: ""}).status_code == 422
    assert not ServiceLanguage.objects.filter(service=manager.service).exists()


def test_what_changed_while_it_was_read_is_not_marked(manager):
    assert "has changed since this page was opened" in mark(manager, digest="0" * 16).content.decode()


def send(user, files):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in files.items():
            archive.writestr(f"{name}.po", content)
    upload = SimpleUploadedFile("ar.zip", out.getvalue(), content_type="application/zip")
    return as_user(user).post(reverse("languages_import"), {"file": upload})


def test_an_export_comes_back_as_the_services_own(manager):
    exported = as_user(manager).get(reverse("language_export", args=["ar"]))
    with zipfile.ZipFile(io.BytesIO(exported.content)) as archive:
        files = {name.removesuffix(".po"): archive.read(name).decode() for name in archive.namelist()}
    assert send(manager, files).status_code == 302
    standing = standing_of(manager.service, "ar")
    assert standing.own
    assert standing.state == "draft"
    assert standing.catalogue.texts == load_catalogue("ar").texts


BROKEN = {
    "not a catalogue": ("session", "", "nonsense", "session.po"),
    "another table": ("menu", "", "nonsense", "menu.po belongs to no wording table"),
    "a placeholder": (
        "safety",
        'msgstr "اتصل بالرقم {emergency_number}',
        'msgstr "اتصل بالرقم {number}',
        "Nothing was taken",
    ),
    "a number": ("session", "من 0 إلى 10", "من 0 إلى 18", "Nothing was taken"),
}


@pytest.mark.parametrize("fault", BROKEN)
def test_a_bad_file_is_one_sentence_and_keeps_nothing(manager, fault):
    table, right, wrong, told = BROKEN[fault]
    files = whole(manager.service)
    assert right in files.get(table, "")
    files[table] = files[table].replace(right, wrong, 1) if right else wrong
    answer = send(manager, files)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not ServiceLanguage.objects.filter(service=manager.service).exists()


def test_staff_read_why_a_person_has_english(lead, arabic):
    html = as_user(lead).get(reverse("person", args=[arabic.pk])).content.decode()
    assert "Arabic: draft, not shown until reviewed. Pages and prints are in English." in html


def test_pages_of_staff_stay_english(lead, arabic):
    reviewed(arabic.service)
    for name in ("person_calendar", "person_days"):
        assert not ARABIC.search(as_user(lead).get(reverse(name, args=[arabic.pk])).content.decode())


def test_every_table_is_read_beside_the_english(manager):
    client = as_user(manager)
    assert "German" in client.get(reverse("languages")).content.decode()
    for table in ("values", "safety"):
        answer = client.get(reverse("language", args=["ar"]), {"table": table})
        assert answer.status_code == 200
        assert 'dir="rtl"' in answer.content.decode()
    assert client.get(reverse("language", args=["xx"])).status_code == 404


def test_the_language_is_chosen_in_the_details_and_the_free_text_stays(lead, arabic):
    arabic.language = "Arabic at home, some English"
    arabic.save()
    client, address = as_user(lead), reverse("person_details", args=[arabic.pk])
    assert "German: draft, not shown until reviewed" in client.get(address).content.decode()
    sent = {"first_name": "Ana", "last_name": "Hill", "language": arabic.language, "language_tag": "de"}
    assert client.post(address, sent).status_code == 302
    arabic.refresh_from_db()
    assert (arabic.language_tag, arabic.language) == ("de", "Arabic at home, some English")
