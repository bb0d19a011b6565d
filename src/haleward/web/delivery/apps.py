"""Delivery: the person's link, session, log and print."""

from django.apps import AppConfig


class DeliveryConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.delivery"
    label = "delivery"
