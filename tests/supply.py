"""``make supply``: which files of others' libraries are installed, by hash, and what the program is made of.

``constraints.txt`` says which versions; ``supply/run.txt`` and ``supply/test.txt`` which files of these, on any
system, so that pip installs nothing else (``--require-hashes``). ``supply/sbom.cdx.json`` is a bill of materials
after CycloneDX 1.6 (ECMA-424): every library that the program runs with and every file of others that it ships,
each with its version and licence. No file names an address, a machine or a moment.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from email.message import Message
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, metadata, requires
from pathlib import Path
from typing import cast

from cyclonedx.model import HashAlgorithm, HashType
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.model.license import DisjunctiveLicense, LicenseExpression
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
SUPPLY = ROOT / "supply"
DECLARED = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PROJECT = DECLARED["project"]
NOTICES = (ROOT / "NOTICES.md").read_text(encoding="utf-8")
OLDEST_PYTHON = "3.11.7"
"""The oldest that every pinned version runs on; files for later ones, and for every system, are listed too."""
LISTS = {"run.txt": (), "test.txt": ("test", "postgresql")}

SAID_OTHERWISE = {
    "GNU General Public License v3 or later (GPLv3+)": "GPL-3.0-or-later",
    "3-Clause BSD License": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD-3-Clause",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL-3.0-only",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
"""How some packages name a licence, beside the name that the SPDX list gives it."""


def licence(package: str) -> str:
    """The licence that an installed package declares, as an expression of SPDX's names where it has one."""
    declared = cast("Message", metadata(package))
    classified = [
        line.rpartition(" :: ")[2] for line in declared.get_all("Classifier", []) if line.startswith("License ::")
    ]
    said = declared.get("License-Expression")
    if said is None:
        said = " AND ".join(SAID_OTHERWISE.get(name, name) for name in classified) or declared.get("License", "")
    return SAID_OTHERWISE.get(said, said)


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


@dataclass(frozen=True)
class Noticed:
    """A file of others that comes with the program, as the notice's table has it."""

    file: str
    what: str
    version: str
    licence: str
    text: str
    """The file that the licence stands in."""


def noticed() -> list[Noticed]:
    """The files in the notice's table."""
    row = r"^\| `(\S+)` \| (.*?), .*? \| ([\d.]+) \| (.*?) \| \[.*\]\((\S+)\) \|$"
    return [Noticed(*cells) for cells in re.findall(row, NOTICES, re.MULTILINE)]


def bundled() -> set[str]:
    """The files in the tree that others made: fonts, and scripts that carry a version in their name."""
    fonts = (ROOT / "templates").rglob("*.[to]tf")
    scripts = (ROOT / "static").glob("*-[0-9]*.js")
    return {path.relative_to(ROOT).as_posix() for path in (*fonts, *scripts)}


def bill() -> str:
    """The bill of materials, as it is kept."""
    program = Component(
        name=PROJECT["name"],
        version=PROJECT["version"],
        type=ComponentType.APPLICATION,
        bom_ref=PROJECT["name"],
        licenses=[DisjunctiveLicense(id=PROJECT["license"])],
    )
    libraries = {component.name: component for component in _libraries()}
    files = list(_files())
    bom = Bom(components=[*libraries.values(), *files])
    bom.metadata.component = program
    bom.register_dependency(program, [*_among(libraries, PROJECT["dependencies"]), *files])
    for component in libraries.values():
        bom.register_dependency(component, _among(libraries, requires(component.name) or []))
    written = json.loads(JsonV1Dot6(bom).output_as_string())
    # who makes it anew gets the same file: no number of its own, no moment
    del written["serialNumber"], written["metadata"]["timestamp"]
    return json.dumps(written, indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def _among(libraries: dict[str, Component], needs: list[str]) -> list[Component]:
    """Those of the libraries that somebody needs."""
    names = {canonicalize_name(need.name) for need in map(Requirement, needs) if applies(need, {""})}
    return [libraries[name] for name in sorted(names & libraries.keys())]


def _libraries() -> Iterator[Component]:
    for name in sorted(with_all_they_need(PROJECT["dependencies"]), key=canonicalize_name):
        package = canonicalize_name(name)
        version = cast("Message", metadata(name))["Version"]
        yield Component(
            name=package,
            version=version,
            type=ComponentType.LIBRARY,
            bom_ref=f"{package}@{version}",
            purl=PackageURL("pypi", None, package, version),
            licenses=[LicenseExpression(licence(name))],
        )


def _files() -> Iterator[Component]:
    for one in noticed():
        yield Component(
            name=one.file,
            version=one.version,
            description=one.what,
            type=ComponentType.FILE,
            bom_ref=one.file,
            hashes=[
                HashType(alg=HashAlgorithm.SHA_256, content=sha256((ROOT / one.file).read_bytes()).hexdigest())
            ],
            licenses=[DisjunctiveLicense(name=one.licence)],
        )


def _hashed(extras: tuple[str, ...], name: str) -> None:
    """Write the list of files with their hashes, by uv, which asks the index for every system's."""
    command = [sys.executable, "-m", "uv", "pip", "compile", "--quiet", "--universal", "--generate-hashes"]
    command += ["--no-header", "--no-annotate", "--no-emit-index-url", "--python-version", OLDEST_PYTHON]
    command += ["--constraint", "constraints.txt", "--output-file", str(SUPPLY / name)]
    for extra in extras:
        command += ["--extra", extra]
    # what builds the program's own package is installed with it, for pip then asks no index for it
    builders = "\n".join(DECLARED["build-system"]["requires"])
    subprocess.run([*command, "pyproject.toml", "-"], cwd=ROOT, input=builders, text=True, check=True)


if __name__ == "__main__":
    for name, extras in LISTS.items():
        _hashed(extras, name)
    (SUPPLY / "sbom.cdx.json").write_text(bill(), encoding="utf-8")
