"""Nothing comes in, as a file or as a library, whose licence was not looked at; and every version is pinned.

Checked against the outside: licences as the installed packages themselves declare them (core metadata), and
versions as the bundled files themselves tell them.
"""

from __future__ import annotations

import re

import pytest
from packaging.requirements import Requirement
from packaging.utils import NormalizedName, canonicalize_name

from tests.supply import LISTS, PROJECT, ROOT, SUPPLY, Noticed, bill, bundled, licence, noticed, with_all_they_need

PERMISSIVE = {"0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "MIT", "MIT-CMU", "PSF-2.0", "Zlib"}
FOR_TESTS = PERMISSIVE | {"MPL-2.0"}
RUN_BY_THEMSELVES = {"djhtml": {"GPL-3.0-or-later"}}
"""Programs that only work on the source, are never imported and come with nothing."""
CHOSEN = {"psycopg": {"LGPL-3.0-only"}}
"""Comes only to whoever asks for it, unchanged and by itself: the driver for a database server."""


def choices(expression: str) -> set[str]:
    """The licences of an expression, all of which hold or from which one may choose."""
    return set(re.split(r" AND | OR ", expression.replace("(", "").replace(")", "")))


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
    assert {
        package: found for package in packages if not (found := choices(licence(package))) <= allowed
    } == others


def test_the_notice_names_what_is_bundled() -> None:
    assert bundled() == {one.file for one in noticed()}


@pytest.mark.parametrize("one", noticed(), ids=lambda one: one.file)
def test_the_notice_tells_the_version_and_where_the_licence_stands(one: Noticed) -> None:
    content = (ROOT / one.file).read_bytes()
    # fonts tell their version in UTF-16 (OpenType, name table, id 5), htmx as a script's value
    told = [
        f"Version {one.version}".encode("utf-16-be"),
        f'"{one.version}"'.encode(),
        f"'{one.version}'".encode(),
    ]
    assert any(mark in content for mark in told)
    assert len((ROOT / one.text).read_text(encoding="utf-8")) > 500


def listed(name: str) -> dict[NormalizedName, tuple[str, list[str]]]:
    """The libraries of a list of files: version and hashes, by name."""
    text = (SUPPLY / name).read_text(encoding="utf-8").replace("\\\n", "")
    found = {}
    for line in text.splitlines():
        match = re.fullmatch(r"(\S+)==(\S+?)( ; .*?)?((?: +--hash=sha256:[0-9a-f]{64})+)", line.rstrip())
        assert match, f"{name}: {line[:80]!r} is no library with the hashes of its files"
        package, version, _, hashes = match.groups()
        found[canonicalize_name(package)] = (version, hashes.split())
    return found


@pytest.mark.parametrize(("name", "extras"), LISTS.items())
def test_every_file_that_is_installed_has_a_hash(name: str, extras: tuple[str, ...]) -> None:
    """What pip is given by ``--require-hashes``: it refuses a library without one, and any other file."""
    wanted = [
        *PROJECT["dependencies"],
        *(need for extra in extras for need in PROJECT["optional-dependencies"][extra]),
    ]
    needed = {canonicalize_name(package) for package in with_all_they_need(wanted)}
    files = listed(name)
    assert needed <= files.keys()
    assert [package for package, (version, _) in files.items() if PINS[package] != version] == []


def test_what_runs_lists_no_test_library() -> None:
    assert not {"pytest", "hypothesis", "ruff", "mypy", "playwright"} & set(listed("run.txt"))


def test_the_bill_of_materials_is_of_what_is_installed() -> None:
    """Made anew from the installed packages' own metadata and the files in the tree, it is the one kept."""
    assert (SUPPLY / "sbom.cdx.json").read_text(encoding="utf-8") == bill()
