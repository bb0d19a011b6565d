"""Which versions a service has, each by its address: a number, or ``default`` for the one that ships."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.http import Http404

from haleward.errors import FileFault
from haleward.safety.protocol import DEFAULT_FILE, Protocol, default_protocol, read_protocol
from haleward.web.protocol.models import ProtocolVersion, in_force_of
from haleward.web.team.models import Service

DEFAULT = "default"


@dataclass(frozen=True)
class Version:
    """One version as the pages show it. ``row`` is ``None`` for the default that ships with the product."""

    key: str
    row: ProtocolVersion | None
    service: Service

    @cached_property
    def text(self) -> str:
        """The file, as written."""
        return self.row.text if self.row else DEFAULT_FILE.read_text(encoding="utf-8")

    @cached_property
    def faults(self) -> tuple[str, ...]:
        """Why the text cannot be read; only a draft may have faults."""
        try:
            self.protocol  # noqa: B018  (reading it is the check)
        except FileFault as fault:
            return fault.faults
        return ()

    @cached_property
    def protocol(self) -> Protocol:
        """The text as read. Raises :class:`FileFault` with every fault."""
        if self.row is None:
            return default_protocol(jurisdiction=self.service.jurisdiction)
        return read_protocol(self.text, name=str(self.row))

    @property
    def title(self) -> str:
        """What the version is called in lists."""
        if self.row is None:
            return f"Default, version {self.protocol.version}, {self.service.jurisdiction}"
        name = f"Version {self.row.version}" if self.row.version else f"No. {self.row.number}"
        return f"{name}, {self.row.get_state_display()}"


def version_of(service: Service, key: str) -> Version:
    """The version at an address; 404 for one that this service does not have."""
    if key == DEFAULT:
        return Version(DEFAULT, None, service)
    row = ProtocolVersion.objects.filter(service=service, number=int(key)).first() if key.isdecimal() else None
    if row is None:
        raise Http404
    return Version(key, row, service)


def version_in_force(service: Service) -> Version:
    """What the service works by: its signed version, else the default of its jurisdiction."""
    row = in_force_of(service)
    return Version(str(row.number), row, service) if row else Version(DEFAULT, None, service)


def versions_of(service: Service) -> list[Version]:
    """Every version of the service, newest first, and the default last."""
    rows = ProtocolVersion.objects.filter(service=service).select_related("made_by", "signed_by").defer("preview")
    return [*(Version(str(row.number), row, service) for row in rows), Version(DEFAULT, None, service)]
