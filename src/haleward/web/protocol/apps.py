"""Protocol: the service's own rules as versions that are read, edited, previewed and signed."""

from django.apps import AppConfig


class ProtocolConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.protocol"
    label = "protocol"
