"""A certificate of the shop's own, so that nobody in the network can read along."""

from __future__ import annotations

import ssl
from dataclasses import dataclass
from pathlib import Path


class NoCertificate(Exception):
    """Files that no encrypted connection can be made with; the message says which and what would work."""


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate and its private key, as PEM files; both in one file where ``key`` is None."""

    file: Path
    key: Path | None = None

    def checked(self) -> Certificate:
        """The same, after the two were read and found to belong together. Raises NoCertificate."""
        for each in (self.file, self.key):
            if each is not None and not each.is_file():
                raise NoCertificate(f"{each} is not there; name a file in PEM form")
        try:
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(self.file, self.key, password=_no_password)
        except _Encrypted:
            raise NoCertificate(f"{self._of_key} is locked by a password; give a key without one") from None
        except (ssl.SSLError, OSError, ValueError):
            pair = f"{self.file} with {self._of_key}"
            raise NoCertificate(f"{pair} is no certificate with its own private key; give both as PEM") from None
        return self

    @property
    def _of_key(self) -> Path:
        return self.key or self.file


class _Encrypted(Exception):
    """The key asks for a password, which nobody is there to type when the program starts by itself."""


def _no_password() -> str:
    raise _Encrypted
