"""A referral as staff typed it -> what it proposes and what it does not say, exactly as for a file."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from haleward.exchange.fhir_tables import events_in, medicines_in
from haleward.exchange.proposal import (
    ProposedBirth,
    ProposedEvent,
    ProposedMedicine,
    ProposedText,
    ReferralProposal,
)
from haleward.exchange.referral_gaps import gaps

TYPED = "typed"
CAME_FROM = "typed in"


def typed_referral(
    texts: dict[str, str], *, born_on: date | None, event: str, event_on: date | None, medicines: Iterable[str]
) -> ReferralProposal:
    """``texts`` holds first_name, last_name, sex, language, request and requester, as far as they were typed.

    ``medicines`` holds one line a medicine, in the referrer's words.
    """
    proposal = ReferralProposal(
        bundle_type=TYPED,
        texts=tuple(ProposedText(field, value, CAME_FROM) for field, value in texts.items() if value),
        birth=ProposedBirth(born_on, born_on.isoformat(), CAME_FROM) if born_on else None,
        events=tuple(_events(event, event_on)),
        medicines=tuple(found for line in medicines for found in _medicines(line.strip()) if line.strip()),
    )
    return gaps(proposal)


def _events(words: str, on: date | None) -> list[ProposedEvent]:
    on_text = f"{on:%-d %B %Y}" if on else ""
    known = events_in(words)
    if not known:
        return [ProposedEvent(words, None, on, on_text, CAME_FROM)]
    return [
        ProposedEvent(words, kind, on, on_text, CAME_FROM, f'"{word}" was read as {kind}; check.')
        for word, kind in known
    ]


def _medicines(line: str) -> list[ProposedMedicine]:
    known = medicines_in(line)
    if not known:
        return [ProposedMedicine(line, line, "", None, None, CAME_FROM, "Its class is not known here; choose it.")]
    return [
        ProposedMedicine(
            line, name, _dose(line, name), drug_class, None, CAME_FROM, f'"{name}" is listed as {drug_class}; check.'
        )
        for name, drug_class in known
    ]


def _dose(line: str, name: str) -> str:
    """What follows the name, if it begins with a figure: "2.5 mg once a day"."""
    rest = re.split(re.escape(name), line, maxsplit=1, flags=re.IGNORECASE)[-1].strip(" ,")
    return rest if re.match(r"\d", rest) else ""
