"""Exercise made for one person: from referral to prescription, session, log and next step."""

__version__ = "0.1.0"
