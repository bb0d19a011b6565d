"""What stays of a movement while a wound heals, whether or not somebody wrote a restriction."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.cautions import Allowance, allowance, gripped, light_hands
from haleward.dose.refusals import Refusal, by_ruling
from haleward.dose.rules import Facts, Ruling
from haleward.dose.words import listed, title_of, words
from haleward.movement.model import Form, Movement
from haleward.record import Record
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import Protocol

_NO_LEAD = ("none", "loop_recorder")  # nothing that runs through a vein beside the shoulder
DEVICE_ARM_WEEKS = "device_arm_weeks"  # the protocol's setting
_SINCE = "weeks_since_device"  # the fact it limits


@dataclass(frozen=True)
class NewLead:
    """A heart device whose leads may still be settling: for how many weeks, and what is not recorded about it."""

    weeks: float
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Guard:
    """What is left of a form, and the reason where that is too little."""

    left: Allowance
    refusal: Refusal
    notes: tuple[str, ...] = ()  # what it asks of a movement that stays


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


def new_lead(record: Record, facts: Facts, protocol: Protocol) -> NewLead | None:
    """Whether the arm beside a device is spared: the protocol's weeks are not over, or nobody knows if they are.

    A loop recorder has no lead. ``None`` without a device, after these weeks, and where the protocol names none.
    """
    setting = protocol.settings.get(DEVICE_ARM_WEEKS)
    device, since = record.device, facts.get(_SINCE)
    absent = facts.get("device_fitted") is False if device is None else device.kind in _NO_LEAD
    if setting is None or absent or (isinstance(since, int | float) and since >= setting.value[0]):
        return None
    asked = ("device_fitted", _SINCE) if device is None else (_SINCE,)
    inputs = default_inputs()
    return NewLead(setting.value[0], tuple(inputs[name].label for name in asked if name not in facts))


def device_arm(movement: Movement, form: Form, lead: NewLead | None, *, light_load_most_kg: float) -> Guard | None:
    """The library's caution on the arm beside a new device, and a light load in the hands at most."""
    if lead is None:
        return None
    caution = form.cautions.get("device_arm", "")
    left = light_hands(allowance(caution, light_load_most_kg=light_load_most_kg), form, light_load_most_kg)
    told = {"weeks": lead.weeks, "limit": light_load_most_kg}
    if not movement.upper and not any(gripped(form, kit) for kit in form.kits):
        notes: tuple[str, ...] = ()
    else:
        own = (words("note_device_arm_caution", caution=left.note),) if left.note else ()
        notes = (words("note_device_arm", **told), *own)
    return Guard(left, _beside_device(movement, caution, left, lead, told), notes)


def _beside_device(movement: Movement, caution: str, left: Allowance, lead: NewLead, told: dict[str, float]) -> Refusal:
    values = {"movement_title": title_of(movement), "weeks": lead.weeks, "caution": caution.replace("_", " ")}
    if left.allowed:
        text = words("left_device_arm_load", movement_title=title_of(movement), **told)
    elif lead.missing:
        text = words("left_device_arm_unknown", missing_list=listed(lead.missing), **values)
    else:
        text = words("left_device_arm", **values)
    return Refusal("rule", text, f"setting.{DEVICE_ARM_WEEKS}")
