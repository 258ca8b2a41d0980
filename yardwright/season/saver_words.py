"""How a saver that was found is said, of its plain JSON."""

from collections.abc import Mapping
from typing import Any


def slack(saver: Mapping[str, Any]) -> str:
    """How much later she could go in on that water."""
    minutes = int(saver["slack_min"])
    return (
        f"{minutes} min of water to spare"
        if minutes < 120
        else f"{minutes // 60} h of water to spare"
    )


def hurts(saver: Mapping[str, Any]) -> str:
    """Whose promise it makes less sure."""
    return (
        f"makes {', '.join(saver['hurts'])} less sure"
        if saver["hurts"]
        else "hurts no other promise"
    )
