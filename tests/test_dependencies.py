"""Nothing comes in, as a file or as a library, whose licence was not looked at; and every version is pinned.

Checked against the outside: licences as the installed packages themselves declare them (core metadata), and
versions as the bundled files themselves tell them.
"""

from __future__ import annotations

import re
import tomllib
from email.message import Message
from importlib.metadata import PackageNotFoundError, metadata, requires
from pathlib import Path
from typing import cast

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NOTICES = (ROOT / "NOTICES.md").read_text(encoding="utf-8")

PERMISSIVE = {"0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "MIT", "PSF-2.0", "Zlib"}
FOR_TESTS = PERMISSIVE | {"MPL-2.0"}
RUN_BY_THEMSELVES = {"djhtml": {"GPL-3.0-or-later"}}
"""Programs that only work on the source, are never imported and come with nothing."""
CHOSEN = {"psycopg": {"LGPL-3.0-only"}}
"""Comes only to whoever asks for it, unchanged and by itself: the driver for a database server."""
SAID_OTHERWISE = {
    "GNU General Public License v3 or later (GPLv3+)": "GPL-3.0-or-later",
    "3-Clause BSD License": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD-3-Clause",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}
"""How some packages name a licence, beside the name that the SPDX list gives it."""


def with_all_they_need(names: list[str]) -> set[str]:
    """These requirements' packages and everything that they are installed with."""
    found: set[str] = set()
    waiting = [Requirement(name) for name in names]
    while waiting:
        wanted = waiting.pop()
        if wanted.name in found or not applies(wanted, {""}):
            continue
        try:
            needs = requires(wanted.name) or []
        except PackageNotFoundError:
            continue
        found.add(wanted.name)
        waiting += [need for need in map(Requirement, needs) if applies(need, {"", *wanted.extras})]
    return found


def applies(need: Requirement, extras: set[str]) -> bool:
    return need.marker is None or any(need.marker.evaluate({"extra": extra}) for extra in extras)


def licences(package: str) -> set[str]:
    """The licences that the package declares, all of which hold or from which one may choose."""
    declared = cast("Message", metadata(package))
    classified = [
        line.rpartition(" :: ")[2] for line in declared.get_all("Classifier", []) if line.startswith("License ::")
    ]
    said = declared.get("License-Expression")
    if said is None:
        said = " AND ".join(SAID_OTHERWISE.get(name, name) for name in classified) or declared.get("License", "")
    said = SAID_OTHERWISE.get(said, said)
    return set(re.split(r" AND | OR ", said.replace("(", "").replace(")", "")))


PINNED = (ROOT / "constraints.txt").read_text(encoding="utf-8")
PINS = {canonicalize_name(name): pin for name, pin in re.findall(r"^(\S+)==(\S+)$", PINNED, re.MULTILINE)}
LIBRARIES = [name for extra in PROJECT["optional-dependencies"].values() for name in extra]


@pytest.mark.parametrize("name", PROJECT["dependencies"])
def test_a_library_of_the_program_is_bounded_around_the_version_that_is_tested(name: str) -> None:
    library = Requirement(name)
    assert {bound.operator for bound in library.specifier} == {">=", "<"}
    assert library.specifier.contains(PINS[canonicalize_name(library.name)])


def test_every_library_is_pinned() -> None:
    needed = with_all_they_need([*PROJECT["dependencies"], *LIBRARIES])
    assert {canonicalize_name(name) for name in needed} <= PINS.keys()


def test_the_program_has_a_licence() -> None:
    assert PROJECT["license"] == "MIT"
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert text.startswith("MIT License")
    assert "The Dovetally authors" in text


@pytest.mark.parametrize(
    ("names", "allowed", "others"),
    [
        (PROJECT["dependencies"], PERMISSIVE, {}),
        (PROJECT["optional-dependencies"]["test"], FOR_TESTS, RUN_BY_THEMSELVES | CHOSEN),
        (PROJECT["optional-dependencies"]["postgresql"], PERMISSIVE, CHOSEN),
    ],
    ids=["the program's", "the tests'", "the server's driver"],
)
def test_every_library_has_a_licence_that_was_looked_at(
    names: list[str], allowed: set[str], others: dict[str, set[str]]
) -> None:
    packages = with_all_they_need(names)
    assert len(packages) > len(names)
    assert {package: found for package in packages if not (found := licences(package)) <= allowed} == others


def noticed() -> dict[str, tuple[str, str]]:
    """The files in the notice's table, each with its version and the file of its licence."""
    rows = re.findall(r"^\| `(\S+)` \|.*?\| ([\d.]+) \|.*\]\((\S+)\) \|$", NOTICES, re.MULTILINE)
    return {file: (version, text) for file, version, text in rows}


def bundled() -> set[str]:
    """The files in the tree that others made: fonts, and scripts that carry a version in their name."""
    fonts = (ROOT / "templates").rglob("*.[to]tf")
    scripts = (ROOT / "static").glob("*-[0-9]*.js")
    return {path.relative_to(ROOT).as_posix() for path in (*fonts, *scripts)}


def test_the_notice_names_what_is_bundled() -> None:
    assert bundled() == set(noticed())


@pytest.mark.parametrize("file", sorted(noticed()))
def test_the_notice_tells_the_version_and_where_the_licence_stands(file: str) -> None:
    version, text = noticed()[file]
    content = (ROOT / file).read_bytes()
    # fonts tell their version in UTF-16 (OpenType, name table, id 5), htmx as a script's value
    told = [f"Version {version}".encode("utf-16-be"), f'"{version}"'.encode(), f"'{version}'".encode()]
    assert any(mark in content for mark in told)
    assert len((ROOT / text).read_text(encoding="utf-8")) > 500
