"""The booklet: tagged, complete, the same numbers as the page, and never printed with a gap in its safety lines."""

import io
from dataclasses import replace

import numpy as np
import pypdf
import pypdfium2
import pytest
import segno

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.render.booklet import booklet_pdf
from haleward.render.booklet_codes import Links
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.wording import Service, default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

TOLD = {"protocol": default_protocol(), "library": default_library(), "wording": default_wording()}


def booklet(record=PLAIN, *, plan=None, part="one", service=SERVICE):
    sheet = compile_session(plan or programme(), part, record, service=service, made_on=TODAY, **TOLD)
    return sheet, booklet_pdf(sheet, record=record, service=service, **TOLD)


@pytest.fixture(scope="module")
def made():
    sheet, data = booklet()
    reader = pypdf.PdfReader(io.BytesIO(data))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    return sheet, reader, pages


def test_it_is_tagged_and_has_title_and_language(made):
    _, reader, _ = made
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en-GB"
    assert reader.metadata.title == "Your exercise plan"


def test_every_page_has_version_emergency_line_and_stop_list(made):
    _, _, pages = made
    for number, text in enumerate(pages, 1):
        assert "This is plan 3, made on 3 February 2026." in text
        assert "Call 999 now if you feel very ill." in text
        assert "Stop if you feel faint, dizzy or confused." in text
        assert f"Page {number} of {len(pages)}" in text


def test_every_movement_has_its_page_with_the_numbers_of_the_sheet(made):
    sheet, _, pages = made
    for number, each in enumerate(sheet.exercises, 1):
        (text,) = [page for page in pages if page.startswith(f"{number}. {each.title}")]
        for line in (each.dose_text, each.kit_line, each.easier, each.stop_if, *each.setup):
            assert line in text
        assert each.load_text.lower() in text.lower()


def test_pictures_have_their_words(made):
    sheet, reader, _ = made
    assert {each.alt_start for each in sheet.exercises} <= set(alternatives(reader))
    assert {each.alt_end for each in sheet.exercises} <= set(alternatives(reader))


def alternatives(reader):
    return [str(obj["/Alt"]) for obj in objects(reader) if isinstance(obj, dict) and "/Alt" in obj]


def objects(reader):
    for number in range(1, len(reader.xref_objStm) + sum(map(len, reader.xref.values())) + 1):
        found = reader.get_object(number)
        if found is not None:
            yield found


def test_no_text_is_smaller_than_fourteen_points(made):
    _, reader, _ = made
    sizes = set()
    for page in reader.pages:
        page.extract_text(
            visitor_text=lambda text, cm, tm, font, size: text.strip() and sizes.add(round(size * abs(tm[0]), 1))
        )
    assert min(sizes) >= 14


def test_every_page_can_be_drawn_and_is_not_empty():
    _, data = booklet()
    document = pypdfium2.PdfDocument(data)
    for page in document:
        pixels = page.render(scale=0.3, grayscale=True).to_numpy()
        assert (pixels < 128).mean() > 0.005


def test_what_a_person_wrote_is_never_read_as_markup():
    goal = '#panic("x") *walk* `to` the $shops$ \\ <b> = "quoted"'
    _, data = booklet(replace(PLAIN, goal=goal))
    text = " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    assert '#panic("x") *walk* `to` the $shops$' in text


@pytest.mark.parametrize("name", ["emergency_number", "nurse_line", "chest_pain_minutes"])
def test_a_missing_safety_number_blocks_the_print_with_one_sentence(name):
    values = {key: value for key, value in SERVICE.values.items() if key != name}
    protocol = replace(TOLD["protocol"], settings={k: v for k, v in TOLD["protocol"].settings.items() if k != name})
    service = Service("Tarn Valley heart recovery team", values)
    sheet = compile_session(programme(), "one", PLAIN, service=service, made_on=TODAY, **{**TOLD, "protocol": protocol})
    with pytest.raises(HalewardError, match=name) as error:
        booklet_pdf(sheet, record=PLAIN, service=service, **{**TOLD, "protocol": protocol})
    assert "\n" not in str(error.value)


def test_a_person_without_a_heart_rate_limit_gets_a_booklet_without_that_line():
    values = {key: value for key, value in SERVICE.values.items() if key != "hr_ceiling"}
    _, data = booklet(service=Service("Tarn Valley heart recovery team", values))
    text = " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    assert "heart rate goes over" not in text


def test_more_than_six_movements_are_refused():
    with pytest.raises(HalewardError, match="7 movements; a home sheet may have at most 6"):
        booklet(plan=programme(*[exercise()] * 7))


def test_a_walk_has_a_booklet():
    sheet, data = booklet(part=WALK)
    assert sheet.exercises[0].dose_text in text_of(data)


def text_of(data):
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def test_a_teams_own_words_for_a_worry_and_the_page_number_are_printed_as_they_are():
    own = {"worry_harm": "Your plan starts gently.", "page_number": "Sheet {page}"}
    told = {**TOLD, "wording": TOLD["wording"].with_texts(own)}
    sheet = compile_session(programme(exercise()), "one", PLAIN, service=SERVICE, made_on=TODAY, **told)
    text = text_of(booklet_pdf(sheet, record=PLAIN, service=SERVICE, **told))
    assert "Your plan starts gently." in text
    assert "Sheet 1 / " in text


@pytest.mark.parametrize("address", ["heart.example/me/1", "javascript:alert(1)", "https://" + "x" * 600])
def test_an_address_that_no_camera_could_open_is_refused(address):
    sheet = compile_session(programme(exercise()), "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    with pytest.raises(HalewardError, match="code") as error:
        booklet_pdf(sheet, record=PLAIN, service=SERVICE, links=Links(page=address), **TOLD)
    assert "\n" not in str(error.value)


def test_a_printed_code_holds_the_address_module_for_module():
    address = "https://heart.example/me/abc:1/session/one/"
    sheet = compile_session(programme(exercise()), "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    data = booklet_pdf(sheet, record=PLAIN, service=SERVICE, links=Links(page=address), **TOLD)
    expected = np.array([list(row) for row in segno.make(address, error="m", micro=False).matrix], dtype=bool)
    assert any(np.array_equal(square, expected) for square in squares(data, len(expected)))


def squares(data, count):
    """What a camera sees: every big dark square shape of a page, read as ``count`` modules each way."""
    for page in pypdfium2.PdfDocument(data):
        dark = page.render(scale=4, grayscale=True).to_numpy().squeeze() < 128
        black = dark & (page.render(scale=4, grayscale=True).to_numpy().squeeze() < 20)
        rows, columns = np.nonzero(black)
        if len(rows) < 2000:
            continue
        top, bottom, left, right = rows.min(), rows.max() + 1, columns.min(), columns.max() + 1
        if abs((bottom - top) - (right - left)) > 3:
            continue
        step = (bottom - top) / count
        middles = [int((place + 0.5) * step) for place in range(count)]
        yield black[np.ix_([top + place for place in middles], [left + place for place in middles])]
