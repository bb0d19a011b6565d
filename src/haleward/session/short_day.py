"""A day with little time: the same session with the short warm-up and cool-down of the protocol."""

from __future__ import annotations

import math
from dataclasses import replace

from haleward.safety.protocol import Protocol
from haleward.session.frame import STAGES


def short_day(protocol: Protocol) -> Protocol:
    """The protocol with warm-up and cool-down as on a day with little time, together its ``short_frame_minutes``.

    Each keeps its share; the odd minute goes to the warm-up. Without that rule, or without either stage, nothing
    changes.
    """
    names = [f"{stage}_minutes" for stage in STAGES]
    usual = [protocol.settings[name].value[0] for name in names if name in protocol.settings]
    minutes = protocol.policies.dose.short_frame_minutes
    if minutes is None or len(usual) < len(names) or minutes >= sum(usual):
        return protocol
    cool = math.ceil(minutes * usual[1] / sum(usual) - 0.5)
    cut = dict(zip(names, (minutes - cool, cool), strict=True))
    settings = {
        name: replace(one, value=(float(cut[name]),), text=str(cut[name])) if name in cut else one
        for name, one in protocol.settings.items()
    }
    return replace(protocol, settings=settings)
