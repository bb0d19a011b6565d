"""Accounts: staff, roles and what each role may do."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.accounts"
    label = "accounts"
