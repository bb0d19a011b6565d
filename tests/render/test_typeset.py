"""The typesetter: a missing typeface or a sign it cannot print is told in one sentence, and nothing is made."""

import shutil
from dataclasses import replace

import pytest
import typst

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.render.booklet import booklet_pdf
from haleward.render.page_bundle import FONTS
from haleward.render.typeset import typeset
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

TOLD = {"protocol": default_protocol(), "library": default_library(), "wording": default_wording()}


def test_a_missing_typeface_is_told_and_no_other_is_taken(tmp_path):
    shutil.copy(FONTS / "AtkinsonHyperlegible-Regular.ttf", tmp_path)
    with pytest.raises(HalewardError, match=r"lacks the typeface AtkinsonHyperlegible-Bold\.ttf; install") as error:
        typeset("booklet.typ", {}, fonts=tmp_path)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("goal", ["swim again 🏊", "到商店去"])
def test_a_sign_without_a_shape_is_named(goal):
    record = replace(PLAIN, goal=goal)
    sheet = compile_session(programme(exercise()), "one", record, service=SERVICE, made_on=TODAY, **TOLD)
    with pytest.raises(HalewardError, match="The print has no sign for") as error:
        booklet_pdf(sheet, record=record, service=SERVICE, **TOLD)
    assert "\n" not in str(error.value)


def test_a_fault_of_a_template_is_not_blamed_on_the_user():
    with pytest.raises(typst.TypstError):
        typeset("booklet.typ", {})
