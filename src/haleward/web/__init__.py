"""The web application (Django)."""
