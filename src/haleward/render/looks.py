"""Looks of the drawn figure: grown-up people of varied age, skin, hair, sex and size of features.

A look sets colours and hair; stature and girth come from the person's own record.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Literal

from haleward.errors import HalewardError
from haleward.record import Sex, Side

LINE = "#2F3E46"
Hair = Literal["short", "bald", "bob", "bun", "scarf"]
DARK_SKIN_BELOW = 0.5  # perceived brightness under which features are drawn nearly black
DARK_FEATURE = "#0E0907"
LEAST_BROW_DIFFERENCE = 0.25


@dataclass(frozen=True)
class Look:
    """Clothes, skin and hair. Mouth, cheek, brow and eye colours follow from the skin so that they always show."""

    words: str
    sexes: tuple[Sex, ...]
    skin: str
    hair: str
    shirt: str
    trousers: str
    shoe: str = "#F4F1EA"
    sole: str = "#C9503F"
    hair_style: Hair = "short"
    glasses: bool = False
    beard: bool = False
    prosthesis: Side | None = None  # below this knee
    wheelchair: bool = False  # sits in one wherever a movement is seated throughout

    @property
    def on_choice(self) -> bool:
        """Whether this look is only for those it was chosen for."""
        return self.wheelchair or self.prosthesis is not None or self.hair_style == "scarf"

    @property
    def _light(self) -> bool:
        return brightness(self.skin) > DARK_SKIN_BELOW

    @property
    def mouth(self) -> str:
        """Colour of the mouth."""
        if self.beard:
            return "#D08A7B" if brightness(self.hair) < DARK_SKIN_BELOW else "#6E1F18"
        return blend(self.skin, "#7E241B", 0.90) if self._light else blend(self.skin, DARK_FEATURE, 0.92)

    @property
    def cheek(self) -> str:
        """Colour of the cheek."""
        return blend(self.skin, "#D9534F", 0.26 if self._light else 0.20)

    @property
    def eye(self) -> str:
        """Colour of the eye."""
        return LINE if self._light else DARK_FEATURE

    @property
    def brow(self) -> str:
        """Colour of the brow: the hair's where it stands out from the skin."""
        hair = shade(self.hair)
        if self.hair_style != "scarf" and brightness(self.skin) - brightness(hair) > LEAST_BROW_DIFFERENCE:
            return hair
        return blend(self.skin, DARK_FEATURE, 0.80 if self._light else 0.92)


LOOKS: dict[str, Look] = {
    "silver": Look("older man, light skin, grey hair", ("male",), "#E8B08F", "#8E8A86", "#2E8C86", "#3B4A66"),
    "silver_bob": Look(
        *("older woman, light skin, grey bob", ("female",), "#F0C4A8", "#A9A39C", "#8C4A6B", "#2F4A3F"),
        hair_style="bob",
    ),
    "dark_short": Look("man, dark skin, short hair", ("male",), "#8D5A3B", "#2B2523", "#7A4E8A", "#4A4A4A"),
    "dark_bun": Look(
        *("woman, dark skin, hair in a bun", ("female",), "#7A4B33", "#241F1D", "#C77B30", "#37405C"),
        hair_style="bun",
    ),
    "brown_bun_glasses": Look(
        *("woman, brown skin, hair in a bun, glasses", ("female",), "#C98F66", "#4B3A30", "#B8476E", "#37405C"),
        hair_style="bun",
        glasses=True,
    ),
    "scarf": Look(
        *("woman, brown skin, headscarf", ("female",), "#B97F56", "#3E6FA8", "#5B8C5A", "#42485A"),
        hair_style="scarf",
    ),
    "beard": Look(
        *("man, tanned skin, beard", ("male",), "#D9A583", "#6B4A32", "#3F6FB0", "#2F3440"),
        beard=True,
    ),
    "bald_glasses": Look(
        *("man, dark skin, bald, glasses", ("male",), "#6F4630", "#2B2523", "#D08A2E", "#30424F"),
        hair_style="bald",
        glasses=True,
    ),
    "brown_bob": Look(
        *("woman, light skin, brown bob", ("female",), "#EBBE9C", "#6E4A2F", "#B5542F", "#3B4A66"),
        hair_style="bob",
    ),
    "prosthesis": Look(
        *("person, light skin, fair hair, prosthesis below the left knee", ("male", "female"), "#EBBE9C", "#C9A94E"),
        *("#2F7FA6", "#4B4F3A"),
        prosthesis="left",
    ),
    "prosthesis_right": Look(
        *("person, dark skin, short hair, prosthesis below the right knee", ("male", "female"), "#8D5A3B", "#2B2523"),
        *("#B5542F", "#37405C"),
        prosthesis="right",
    ),
    "wheelchair": Look(
        *("man, dark skin, bald, in a wheelchair", ("male",), "#6F4630", "#2B2523", "#D08A2E", "#30424F"),
        hair_style="bald",
        wheelchair=True,
    ),
    "wheelchair_bob": Look(
        *("woman, light skin, grey bob, in a wheelchair", ("female",), "#F0C4A8", "#A9A39C", "#2F7FA6", "#42485A"),
        hair_style="bob",
        wheelchair=True,
    ),
}


def look_for(sex: Sex | None, key: str, *, person_id: str = "") -> str:
    """The key of a look: ``key`` itself when given, else one of the person's sex, always the same for one person.

    A prosthesis, a wheelchair and a headscarf are only drawn when someone chose them for this person.
    """
    if key:
        if key not in LOOKS:
            raise HalewardError(f'There is no look "{key}"; choose one of {", ".join(LOOKS)}.')
        return key
    fitting = [name for name, look in LOOKS.items() if not look.on_choice and (sex is None or sex in look.sexes)]
    digest = hashlib.sha256(person_id.encode()).digest()
    return fitting[int.from_bytes(digest[:4], "big") % len(fitting)]


def blend(a: str, b: str, share: float) -> str:
    """A colour a share of the way from ``a`` to ``b``."""
    parts = ((int(a[i : i + 2], 16), int(b[i : i + 2], 16)) for i in (1, 3, 5))
    return "#" + "".join(f"{int(first * (1 - share) + last * share):02X}" for first, last in parts)


def brightness(colour: str) -> float:
    """Perceived brightness from 0 (black) to 1 (white)."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return 0.3 * r + 0.59 * g + 0.11 * b


def shade(colour: str) -> str:
    """The darker shade of far limbs."""
    return blend(colour, "#101820", 0.24)
