"""People and referrals."""
