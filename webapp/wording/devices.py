"""Other devices in words."""

from __future__ import annotations

ROLES = {
    "reads": "Reads: sees every page, changes nothing",
    "at_the_machine": "At the machine: sees every page, ticks off",
    "everything": "Everything but settings, backups and devices",
}
"""What a device may do, by the name of its role."""
