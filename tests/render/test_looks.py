"""Looks: varied, chosen the same way each time, and with a face that shows on every skin."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.render.looks import LOOKS, Look, blend, look_for

SEXES = st.sampled_from((None, "female", "male"))
LEAST_CONTRAST = 1.9


def luminance(colour: str) -> float:
    """Relative luminance of sRGB, as contrast ratios are defined (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: str, b: str) -> float:
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("key", LOOKS)
def test_mouth_brow_and_eye_show_on_the_face(key: str) -> None:
    look = LOOKS[key]
    assert contrast(look.mouth, look.hair if look.beard else look.skin) >= LEAST_CONTRAST
    assert contrast(look.brow, look.skin) >= LEAST_CONTRAST
    assert contrast(look.eye, look.skin) >= LEAST_CONTRAST


def test_there_are_women_and_men_of_light_and_dark_skin_old_and_young() -> None:
    looks = LOOKS.values()
    assert len(looks) >= 6
    for sex in ("female", "male"):
        of_sex = [look for look in looks if sex in look.sexes and look.prosthesis is None]
        assert len(of_sex) >= 3
        assert min(luminance(look.skin) for look in of_sex) < 0.15
        assert max(luminance(look.skin) for look in of_sex) > 0.4
    assert any(look.glasses for look in looks)
    assert any(look.hair_style == "scarf" for look in looks)
    assert any(look.prosthesis for look in looks)


@given(SEXES, st.text())
def test_a_person_always_gets_the_same_look_of_their_sex(sex: str | None, person_id: str) -> None:
    key = look_for(sex, "", person_id=person_id)  # type: ignore[arg-type]
    assert key == look_for(sex, "", person_id=person_id)  # type: ignore[arg-type]
    look: Look = LOOKS[key]
    assert sex is None or sex in look.sexes
    assert look.prosthesis is None


def test_a_chosen_look_is_kept_and_an_unknown_one_refused() -> None:
    assert look_for("male", "scarf") == "scarf"
    with pytest.raises(HalewardError, match='no look "pirate"'):
        look_for(None, "pirate")


def test_different_people_do_not_all_look_alike() -> None:
    assert len({look_for(None, "", person_id=str(n)) for n in range(60)}) >= 6


def test_blending_goes_from_one_colour_to_the_other() -> None:
    assert blend("#000000", "#FFFFFF", 0.0) == "#000000"
    assert blend("#000000", "#FFFFFF", 1.0) == "#FFFFFF"
