"""How one person's sessions are told: pace, talk, counting, for whom, and in which language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Pace = Literal["slower", "usual"]
Talk = Literal["few", "usual", "more"]
Listener = Literal["self", "carer"]

ENGLISH = "en-GB"


@dataclass(frozen=True)
class SessionOptions:
    """What may differ in the telling, never in the dose: movements, sets, repetitions, loads and limits stay as signed.

    ``pace`` slows the movement, and only slows it. ``talk`` says how much is said besides what safety needs.
    ``listener`` words the session for the person or for a carer beside them. ``language`` is a language tag; what has
    no reviewed translation is told in English.
    """

    pace: Pace = "usual"
    talk: Talk = "usual"
    count_aloud: bool = True
    listener: Listener = "self"
    low_vision: bool = False
    language: str = ENGLISH
