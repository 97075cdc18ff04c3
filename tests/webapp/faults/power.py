"""What a disk may hold after the power went, worked out from what a process asked of it.

A killed process shows nothing of this: the system writes on. Here ``strace`` notes every call, and a ``Disk``
tells what is sure after each. What was written to a file since its last sync may be there or not, sector by sector
and in any order; names made, changed and taken away since their folder's last sync may have come about or not, the
earlier before the later. (That a file system may do so much, and not more: T. S. Pillai and others, "All File
Systems Are Not Created Equal", OSDI 2014, from memory; that a sector is written whole or not at all: SQLite
documentation, "Atomic Commit In SQLite", section 2, from memory.)
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

_SECTOR = 512
_WATCHED = (
    "openat,open,creat,write,pwrite64,writev,pwritev,ftruncate,truncate,fallocate,lseek,sendfile,copy_file_range,"
    "fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,link,linkat"
)
_UNKNOWN = {"open", "creat", "truncate", "link", "linkat", "writev", "pwritev", "copy_file_range"}
"""Watched, but nothing here makes them: what they would leave on a disk is not worked out."""
_CALL = re.compile(r"(\w+)\((.*)\)\s+= (-?\d+)(?:<([^>]*)>)?")
_UNFINISHED = " <unfinished ...>"
_RESUMED = re.compile(r"<\.\.\. \w+ resumed>")
_HANDLE = re.compile(r"(\d+)<([^>]*)>(\(deleted\))?")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
_SAID = 1
"""The handle that a process says things on."""


class Left(Enum):
    """How much is found on the disk of what was not synced."""

    NOTHING = "nothing"
    SOME = "some"


def can_trace() -> bool:
    """Whether ``strace`` is here and may trace."""
    if shutil.which("strace") is None:
        return False
    done = subprocess.run(["strace", "-o", "/dev/null", "true"], capture_output=True, check=False)
    return done.returncode == 0


def traced(words: Sequence[str], cwd: Path, log: Path) -> list[str]:
    """The calls of a program, from its start to its end, as ``strace`` writes them down."""
    options = ("-f", "-y", "-xx", "-s", "4000000", "-e", f"trace={_WATCHED}", "-o", str(log))
    subprocess.run(["strace", *options, *words], cwd=cwd, check=True, capture_output=True)
    return list(_whole(log.read_text().splitlines()))


def _whole(lines: list[str]) -> Iterator[str]:
    """The lines without the number of the thread, those put together that another thread had come between."""
    begun: dict[str, str] = {}
    for line in lines:
        thread, _, call = line.partition(" ")
        call = call.strip()
        if call.endswith(_UNFINISHED):
            begun[thread] = call.removesuffix(_UNFINISHED)
        elif _RESUMED.match(call):
            yield begun.pop(thread) + _RESUMED.sub("", call)
        else:
            yield call


def _unescaped(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


@dataclass(frozen=True)
class _Write:
    """Bytes from a place on."""

    at: int
    data: bytes

    def onto(self, content: bytearray) -> None:
        content.extend(bytes(max(0, self.at - len(content))))
        content[self.at : self.at + len(self.data)] = self.data

    def torn(self, chance: random.Random) -> Iterator[_Write]:
        """Those of its sectors that came to the disk."""
        at = self.at
        while at < self.at + len(self.data):
            end = min((at // _SECTOR + 1) * _SECTOR, self.at + len(self.data))
            if chance.random() < 0.5:
                yield _Write(at, self.data[at - self.at : end - self.at])
            at = end


@dataclass(frozen=True)
class _Length:
    """A new length; what is added is zeros."""

    length: int
    grows: bool = False

    def onto(self, content: bytearray) -> None:
        if not self.grows:
            del content[self.length :]
        content.extend(bytes(max(0, self.length - len(content))))

    def torn(self, chance: random.Random) -> Iterator[_Length]:
        if chance.random() < 0.5:
            yield self


@dataclass
class _File:
    """What is sure of a file, and what was done to it since, in order."""

    sure: bytearray = field(default_factory=bytearray)
    since: list[_Write | _Length] = field(default_factory=list)

    def now(self) -> bytearray:
        content = bytearray(self.sure)
        for change in self.since:
            change.onto(content)
        return content

    def sync(self) -> None:
        for change in self.since:
            change.onto(self.sure)
        self.since.clear()

    def after_a_cut(self, left: Left, chance: random.Random) -> bytes:
        content = bytearray(self.sure)
        if left is Left.SOME:
            for change in self.since:
                for part in change.torn(chance):
                    part.onto(content)
        return bytes(content)


_Names = dict[str, _File | None]
"""Names that are given at once, or taken away where there is no file."""


class Disk:
    """The files under a folder: what is sure of them, and what a cut now may leave."""

    def __init__(self, folder: Path) -> None:
        self._folder = str(folder)
        self._sure = {
            str(path): _File(bytearray(path.read_bytes()))
            for path in folder.rglob("*")
            if path.is_file() and self._counts(str(path))
        }
        self._names = dict(self._sure)
        self._since: list[_Names] = []
        self._places: dict[int, int] = {}

    def hear(self, line: str) -> str | None:
        """Take in a call; what the process said by it, if it said something."""
        call = _CALL.match(line)
        if call is None or int(call[3]) < 0:
            return None
        name, words, done, opened = call[1], call[2], int(call[3]), call[4]
        handle = _HANDLE.match(words)
        if name == "write" and handle is not None and int(handle[1]) == _SAID:
            return _unescaped(_text(words)[0]).decode()
        assert name not in _UNKNOWN or self._elsewhere(words), f"what {name} leaves is not known: {words[:200]}"
        if name == "openat":
            self._open(_unescaped(opened or "").decode(), words, done)
        elif name.startswith(("rename", "unlink")):
            self._rename(name, words)
        elif handle is not None and handle[3] is None:
            self._change(name, words, handle, done)
        return None

    def after_a_cut(self, left: Left, chance: random.Random, to: Path) -> None:
        """Write down in the folder ``to`` what is found when the power comes back."""
        names: _Names = dict(self._sure)
        come = 0 if left is Left.NOTHING else chance.randint(0, len(self._since))
        for given in self._since[:come]:
            names.update(given)
        for name, file in names.items():
            if file is not None:
                path = to / Path(name).relative_to(self._folder)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(file.after_a_cut(left, chance))

    def _counts(self, path: str) -> bool:
        # the -shm is memory that the processes share: SQLite makes it anew out of the log
        return path.startswith(f"{self._folder}/") and not path.endswith("-shm")

    def _elsewhere(self, words: str) -> bool:
        told = [path for _, path, _ in _HANDLE.findall(words) if path.startswith("\\x")] + _text(words)
        return not any(self._counts(self._path(words, _unescaped(each).decode(errors="replace"))) for each in told)

    def _give(self, names: _Names) -> None:
        self._since.append(names)
        for name, file in names.items():
            if file is None:
                del self._names[name]
            else:
                self._names[name] = file

    def _open(self, path: str, words: str, handle: int) -> None:
        self._places[handle] = 0
        if not self._counts(path) or "O_DIRECTORY" in words:
            return
        if "O_CREAT" in words and path not in self._names:
            self._give({path: _File()})
        if "O_TRUNC" in words:
            self._names[path].since.append(_Length(0))

    def _rename(self, name: str, words: str) -> None:
        paths = [self._path(words, _unescaped(each).decode()) for each in _text(words)]
        if not all(self._counts(path) for path in paths) or paths[0] not in self._names:
            return  # elsewhere, or a folder
        moved = {paths[1]: self._names[paths[0]]} if name.startswith("rename") else {}
        self._give({paths[0]: None, **moved})

    def _path(self, words: str, path: str) -> str:
        """The whole of a path that is told from a folder on."""
        folder = _HANDLE.match(words.removeprefix("AT_FDCWD"))
        if path.startswith("/") or folder is None:
            return path
        return f"{_unescaped(folder[2]).decode()}/{path}"

    def _change(self, name: str, words: str, handle: re.Match[str], done: int) -> None:
        number = int(handle[1])
        path = _unescaped(handle[2]).decode() if handle[2].startswith("\\x") else ""
        if name == "lseek":
            self._places[number] = done
        elif name in {"fsync", "fdatasync"}:
            self._sync(path)
        elif self._counts(path):
            file = self._names[path]
            if name in {"write", "sendfile"}:
                data = self._sent(words, done) if name == "sendfile" else _unescaped(_text(words)[0])[:done]
                file.since.append(_Write(self._places[number], data))
                self._places[number] += done
            elif name == "pwrite64":
                file.since.append(_Write(int(words.rsplit(", ", 1)[1]), _unescaped(_text(words)[0])[:done]))
            elif name == "ftruncate":
                file.since.append(_Length(int(words.rsplit(", ", 1)[1])))
            elif name == "fallocate":
                at, length = (int(word) for word in words.rsplit(", ", 2)[1:])
                file.since.append(_Length(at + length, grows=True))

    def _sent(self, words: str, done: int) -> bytes:
        """What was copied from one file to another: the second handle's bytes, from where the call says."""
        source = _HANDLE.match(words.split(", ", 1)[1])
        assert source is not None
        at = re.search(r"\[(\d+)\]", words)
        path = _unescaped(source[2]).decode()
        content = bytes(self._names[path].now()) if path in self._names else Path(path).read_bytes()
        start = int(at[1]) if at is not None else self._places[int(source[1])]
        return content[start : start + done]

    def _sync(self, path: str) -> None:
        if path in self._names:
            self._names[path].sync()
            return
        kept = []
        for names in self._since:
            if any(str(Path(name).parent) == path for name in names):
                for name, file in names.items():
                    if file is None:
                        self._sure.pop(name, None)
                    else:
                        self._sure[name] = file
            else:
                kept.append(names)
        self._since = kept


def _text(words: str) -> list[str]:
    return _TEXT.findall(words)
