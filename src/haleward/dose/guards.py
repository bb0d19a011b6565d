"""What stays of a movement while a wound heals, whether or not somebody wrote a restriction."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.cautions import Allowance, allowance
from haleward.dose.refusals import Refusal, by_ruling
from haleward.dose.rules import Ruling
from haleward.movement.model import Form, Movement


@dataclass(frozen=True)
class Guard:
    """What is left of a form, and the reason where that is too little."""

    left: Allowance
    refusal: Refusal


def breastbone(movement: Movement, form: Form, ruling: Ruling | None, *, light_load_most_kg: float) -> Guard | None:
    """The library's caution on the breastbone, while the protocol's rule (``ruling``) fires or cannot be judged.

    Which loads arms and hands may have in which week is said by the rules themselves; the library's "unloaded" speaks
    of the first weeks, in which they allow none.
    """
    if ruling is None:
        return None
    left = allowance(form.cautions.get("sternum", ""), light_load_most_kg=light_load_most_kg)
    early = left.load_most_kg == 0
    return Guard(replace(left, load_most_kg=None) if early else left, by_ruling(movement, ruling))
