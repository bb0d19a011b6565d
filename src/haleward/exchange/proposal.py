"""What a referral proposes: values for a person to confirm, each with where it came from and what was assumed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.record import DrugClass, EventType


@dataclass(frozen=True)
class ProposedText:
    """One field of the person or the request: ``first_name``, ``last_name``, ``sex``, ``request``, ``requester``..."""

    field: str
    value: str
    came_from: str  # resource and path, e.g. "entry 1, Patient.name[0].given"
    assumed: str = ""  # one sentence, "" if nothing was assumed


@dataclass(frozen=True)
class ProposedBirth:
    """A date of birth; ``on`` is None when the referral gives a year or month only (``text`` shows it)."""

    on: date | None
    text: str
    came_from: str
    assumed: str = ""


@dataclass(frozen=True)
class ProposedEvent:
    """A diagnosis or procedure in the referrer's words. ``kind`` is a suggestion to check, None if no word told it."""

    text: str
    kind: EventType | None
    on: date | None
    on_text: str
    came_from: str
    assumed: str = ""


@dataclass(frozen=True)
class ProposedMedicine:
    """A medicine in the referrer's words. ``drug_class`` comes from its generic name and is always to be checked."""

    text: str
    name: str
    dose: str
    drug_class: DrugClass | None
    since: date | None
    came_from: str
    assumed: str = ""


@dataclass(frozen=True)
class ProposedReading:
    """A measured value. ``name`` is one of READINGS; ``taken_on`` is None when the day is not given in full."""

    name: str
    value: float
    unit: str
    taken_on: date | None
    came_from: str
    assumed: str = ""


READINGS = (
    "systolic_mmhg",
    "diastolic_mmhg",
    "resting_bpm",
    "spo2_pct",
    "lvef_pct",
    "mass_kg",
    "stature_m",
    "six_minute_walk_m",
)


@dataclass(frozen=True)
class Missing:
    """Something the referral does not say, with the question to ask (a key of the wording tables, filled)."""

    what: str
    wording_key: str
    question: str


@dataclass(frozen=True)
class ReferralProposal:
    """Everything read from one referral file. Nothing here is decided: a person confirms each item."""

    bundle_type: str  # document, collection, searchset, transaction, or "" for a bare resource
    texts: tuple[ProposedText, ...] = ()
    birth: ProposedBirth | None = None
    events: tuple[ProposedEvent, ...] = ()
    medicines: tuple[ProposedMedicine, ...] = ()
    readings: tuple[ProposedReading, ...] = ()
    missing: tuple[Missing, ...] = ()
    left_out: tuple[str, ...] = ()  # one sentence for each thing that was not read, and why

    def text(self, field: str) -> str:
        """The first proposed text of ``field``, or ""."""
        return next((item.value for item in self.texts if item.field == field), "")

    def reading(self, name: str) -> ProposedReading | None:
        """The latest reading of ``name`` (readings without a day come last), or None."""
        found = [item for item in self.readings if item.name == name]
        return max(found, key=lambda item: item.taken_on or date.min, default=None)
