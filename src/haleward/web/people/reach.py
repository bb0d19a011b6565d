"""How to reach a person, and who interprets. What was not asked stays not asked: a voice call is never assumed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db import models

from haleward.dose.words import shown, words


class Way(models.TextChoices):
    """The ways in which a person can be reached."""

    VOICE = "voice", "voice call"
    TEXT = "text", "text message"
    RELAY = "relay", "relay service"
    WRITING = "writing", "email or letter"
    HELPER = "helper", "through a named helper"


class Interpreter(models.TextChoices):
    """Whether an interpreter is needed; blank while nobody has asked."""

    NO = "no", "not needed"
    YES = "yes", "needed"
    DECLINED = "declined", "offered, and the person said no"


FACE = "face"  # a way that was used, in the room; nobody is reached by it
USED = (*Way.choices, (FACE, "face to face"))


def used(way: str) -> str:
    """ "by text", "face to face": how a contact was made, in words."""
    return words(f"way_{way}")


@dataclass(frozen=True)
class Reach:
    """What is recorded about being in touch with one person, and the words that follow from it on ``today``."""

    ways: tuple[str, ...]
    at: str
    phone: str
    needs: str
    interpreter: str
    language: str
    booked_on: date | None
    booked_note: str
    today: date

    @property
    def asked(self) -> bool:
        """Whether anybody has asked how this person can be reached."""
        return bool(self.ways)

    @property
    def voice(self) -> bool:
        """Whether a voice call is one of the ways."""
        return Way.VOICE in self.ways

    @property
    def by(self) -> str:
        """ "by text or through the relay service"; "" when not asked."""
        *rest, last = [used(way) for way in Way.values if way in self.ways] or [""]
        return f"{', '.join(rest)}{',' if len(rest) > 1 else ''} or {last}" if rest else last

    @property
    def talk(self) -> str:
        """What the next talk is: "a call" only where a voice call is a way."""
        return "a call" if self.voice else "a review"

    @property
    def review(self) -> str:
        """The same with the way: "a review by text"."""
        return self.talk if self.voice else f"{self.talk} {self.by}".rstrip()

    @property
    def details(self) -> str:
        """The number, where one of the ways needs it, and the address or helper."""
        numbered = not self.asked or bool({Way.VOICE, Way.TEXT, Way.RELAY}.intersection(self.ways))
        number = (self.phone or "no number recorded") if numbered else ""
        return "; ".join(text for text in (number, self.at) if text)

    @property
    def choices(self) -> list[tuple[str, str]]:
        """The ways a contact may have been made: those that reach the person, all while not asked; and face to face."""
        return [(way, label) for way, label in USED if not self.asked or way in self.ways or way == FACE]

    @property
    def interpreting(self) -> str:
        """One sentence: whether an interpreter is needed, and whether one is booked from today on."""
        if self.interpreter == Interpreter.NO:
            return "No interpreter needed."
        if self.interpreter == Interpreter.DECLINED:
            return "An interpreter was offered, and the person said no."
        if self.interpreter != Interpreter.YES:
            return "Interpreter: not asked."
        note = f" ({self.booked_note})" if self.booked_note else ""
        if self.booked_on is None:
            return f"Interpreter needed for {self.language}, not booked{note}. Book double time."
        if self.booked_on < self.today:
            return f"Interpreter needed for {self.language}, last booked for {shown(self.booked_on)}{note}. Book again."
        return f"Interpreter needed for {self.language}, booked for {shown(self.booked_on)}{note}."

    @property
    def to_book(self) -> bool:
        """Whether an interpreter is needed and none is booked from today on."""
        return self.interpreter == Interpreter.YES and (self.booked_on is None or self.booked_on < self.today)
