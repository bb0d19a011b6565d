"""The catalogues of a service and where each stands: draft, reviewed, or changed since it was reviewed."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from haleward.languages import Catalogue, Text, languages, load_catalogue, person_texts, read_catalogue
from haleward.languages.checks import Finding, findings, missing
from haleward.web.languages.models import ServiceLanguage
from haleward.web.team import protocol as in_force
from haleward.web.team.models import Service
from haleward.wording import Wording

State = Literal["draft", "reviewed", "changed"]


@dataclass(frozen=True)
class Standing:
    """One language of a service."""

    catalogue: Catalogue
    row: ServiceLanguage | None
    texts: tuple[Text, ...]

    @property
    def state(self) -> State:
        """Reviewed only while the translation is the one that was reviewed."""
        if self.row is None or not self.row.reviewed_digest:
            return "draft"
        return "reviewed" if self.row.reviewed_digest == self.catalogue.digest else "changed"

    @property
    def told(self) -> str:
        """The state as staff read it."""
        if self.row is None or self.state == "draft":
            return "draft, not shown until reviewed"
        on = f"{self.row.reviewed_on:%-d %B %Y}"
        if self.state == "changed":
            return f"changed since the review on {on}: a draft again, not shown until reviewed"
        return f"reviewed on {on} by {self.row.reviewer}, {self.row.qualification}"

    @property
    def own(self) -> bool:
        """Whether the service imported its own catalogue."""
        return self.row is not None and bool(self.row.files)

    @property
    def missing(self) -> tuple[Text, ...]:
        """The texts without a translation."""
        return missing(self.catalogue, self.texts)

    @property
    def missing_told(self) -> str:
        """How much is missing, in words."""
        count = len(self.missing)
        if not count:
            return "nothing is missing"
        return f"{count} of {len(self.texts)} texts missing ({100 * count / len(self.texts):.1f}%)"

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What else can be told of the translation by rules."""
        return tuple(one for one in _findings(self.catalogue, self.texts) if one.kind not in ("missing", "retired"))


def standings(service: Service) -> tuple[Standing, ...]:
    """Every language that ships or that the service imported, by its English name."""
    rows = {row.tag: row for row in ServiceLanguage.objects.filter(service=service)}
    tags = dict.fromkeys((*languages(), *(tag for tag, row in rows.items() if row.files)))
    texts = texts_of(service)
    found = [Standing(_catalogue(tag, rows.get(tag)), rows.get(tag), texts) for tag in tags]
    return tuple(sorted(found, key=lambda one: one.catalogue.english_name))


def standing_of(service: Service, tag: str) -> Standing | None:
    """One language; None for one that there is not."""
    row = ServiceLanguage.objects.filter(service=service, tag=tag).first()
    if tag not in languages() and not (row and row.files):
        return None
    return Standing(_catalogue(tag, row), row, texts_of(service))


def texts_of(service: Service) -> tuple[Text, ...]:
    """Every text to translate, with the lines that the service's protocol words in its own way."""
    return _texts(in_force.wording_of(service), tuple(symptoms_of(service).items()))


def symptoms_of(service: Service) -> dict[str, str]:
    """What a person may choose when telling of a session, by key."""
    return {one.key: one.label for one in in_force.protocol_of(service).concerns.symptoms}


_findings = lru_cache(maxsize=8)(findings)


def _catalogue(tag: str, row: ServiceLanguage | None) -> Catalogue:
    return _read(json.dumps(row.files, sort_keys=True)) if row and row.files else load_catalogue(tag)


@lru_cache(maxsize=8)
def _read(files: str) -> Catalogue:
    return read_catalogue(json.loads(files))


@lru_cache(maxsize=8)
def _texts(wording: Wording, symptoms: tuple[tuple[str, str], ...]) -> tuple[Text, ...]:
    return person_texts(wording, dict(symptoms))
