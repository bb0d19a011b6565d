"""One concern as a session gives rise to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

CHECK_TOPIC = "check before the session"


@dataclass(frozen=True)
class Found:
    """A concern; ``stored_at`` is when the latest entry behind it reached us."""

    topic: str
    urgency: str
    text: str
    rule_ids: tuple[str, ...]
    holds_plan: bool
    stored_at: datetime
