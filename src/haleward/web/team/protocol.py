"""The protocol, library, wording and numbers that are in force for one service."""

from __future__ import annotations

from functools import lru_cache

from haleward.errors import FileFault, HalewardError
from haleward.movement.library import Library, default_library
from haleward.safety.own_words import numbers_for, wording_for
from haleward.safety.protocol import Protocol, default_protocol, read_protocol
from haleward.web.protocol.models import PROTOCOL_FORMAT, ProtocolVersion
from haleward.web.team.models import Service as ServiceRow
from haleward.wording import Service, Wording, default_wording


def protocol_of(service: ServiceRow) -> Protocol:
    """The newest version that the service's clinical lead signed, else the default of its jurisdiction (a draft).

    Raises one sentence when the signed version cannot be read: another protocol is never put in its place.
    """
    in_force = ProtocolVersion.objects.filter(service=service, state=ProtocolVersion.State.SIGNED)
    found = in_force.values_list("pk", "digest").first()
    return _signed(*found) if found else default_protocol(jurisdiction=service.jurisdiction)


@lru_cache(maxsize=32)
def _signed(version_id: int, digest: str) -> Protocol:  # noqa: ARG001  (the digest is part of what is remembered)
    row = ProtocolVersion.objects.get(pk=version_id)
    if row.format != PROTOCOL_FORMAT:
        raise HalewardError(f"{row} is stored as {row.format}; this version of the software reads {PROTOCOL_FORMAT}.")
    try:
        return read_protocol(row.text, name=f"protocol version {row.version}")
    except FileFault as fault:
        raise HalewardError(
            f"The protocol in force ({row}) cannot be read, so nothing is decided by it. Tell your service manager. "
            f"The first fault: {fault.faults[0]}"
        ) from fault


def library() -> Library:
    """The movement library."""
    return default_library()


def wording() -> Wording:
    """The wording tables as they ship."""
    return default_wording()


def wording_of(service: ServiceRow) -> Wording:
    """The wording tables with the lines that the service's protocol words in its own way."""
    return wording_for(protocol_of(service))


def numbers_of(service: ServiceRow) -> Service:
    """The service's name, and its numbers over those of its protocol, for the wording's placeholders."""
    return Service(name=service.name, values=numbers_for(protocol_of(service), service.values))
