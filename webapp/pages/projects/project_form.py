"""The choices of keys that a whole project pins: its form, read and shown like an assembly's."""

from __future__ import annotations

from typing import cast

from domain.lengths import Units
from domain.spec.choices import NO_CHOICES, KeyChoices
from domain.spec.fields import Spec
from webapp.form.common import PROJECT_KEYS
from webapp.form.reading import Reading, read_groups

GROUPS = (PROJECT_KEYS,)


class ProjectKeys(Spec):
    """What the form makes."""

    keys: KeyChoices = NO_CHOICES


def read_project_keys(texts: dict[str, str], units: Units) -> Reading[ProjectKeys]:
    """Read the fields; plain numbers are ``units``. Nothing raises: problems are part of the answer."""
    return cast(Reading[ProjectKeys], read_groups(GROUPS, ProjectKeys, texts, units))
