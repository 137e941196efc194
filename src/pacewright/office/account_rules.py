"""What a name, a password and a badge must be; each fault a sentence."""

import re

LEAST_PASSWORD = 10
"""Signs of a password. Length counts, not mixtures of signs: NIST SP 800-63B, 5.1.1 (memory)."""

MOST_PASSWORD = 1000
"""Longer ones would only keep the hash at work."""

LEAST_SECRET = 4
LEAST_BADGE = 6


def name_faults(name: str, taken: bool) -> list[str]:
    """What is wrong with the name of a new account."""
    if not re.fullmatch(r"[a-z0-9][a-z0-9._-]{1,39}", name):
        return [
            f"name: {name[:60]!r} found. 2 to 40 small letters, digits, dots or dashes. Correct it."
        ]
    if taken:
        return [f"name: {name} is taken. A name has one person. Choose another."]
    return []


def password_faults(password: str, name: str) -> list[str]:
    """What is wrong with a new password."""
    faults = []
    if len(password) < LEAST_PASSWORD:
        faults.append(
            f"password: {len(password)} signs found. At least {LEAST_PASSWORD}. "
            "Three or four words make a good one."
        )
    if len(password) > MOST_PASSWORD:
        faults.append(f"password: longer than {MOST_PASSWORD:,} signs. Choose a shorter one.")
    if name and name.lower() in password.lower() and len(password) < 2 * len(name) + 4:
        faults.append("password: it is little more than the name. Choose another.")
    return faults


def badge_faults(badge: str, secret: str, anothers: bool) -> list[str]:
    """What is wrong with a badge code and the short secret beside it."""
    faults = []
    if len(badge.strip()) < LEAST_BADGE:
        faults.append(f"badge: too short. At least {LEAST_BADGE} signs. Scan the badge.")
    if anothers:
        faults.append("badge: it is another person's. A badge has one owner. Use another.")
    if len(secret) < LEAST_SECRET:
        faults.append(f"secret: too short. At least {LEAST_SECRET} signs. Choose a longer one.")
    return faults
