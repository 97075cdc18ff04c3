"""Where the data goes."""

from __future__ import annotations

from pathlib import Path

import pytest

from webapp.site.settings import NetworkPath, Settings, refuse_network, user_data_folder


def test_data_and_database_come_from_the_environment(tmp_path: Path) -> None:
    given = {"DOVETALLY_DATA": str(tmp_path / "data")}
    settings = Settings.from_environment(given)
    assert settings == Settings(tmp_path / "data", str(tmp_path / "data" / "dovetally.db"), "127.0.0.1", 8765)
    assert not settings.data.exists()  # asking is not making
    elsewhere = Settings.from_environment(given | {"DOVETALLY_DATABASE_URL": "sqlite:////srv/shop.db"})
    assert elsewhere.database == "sqlite:////srv/shop.db"


def test_a_relative_folder_is_meant_from_here_and_a_tilde_from_home(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert Settings.from_environment({"DOVETALLY_DATA": "bench"}).data == tmp_path / "bench"
    assert Settings.from_environment({"DOVETALLY_DATA": "~/bench"}).data == Path.home() / "bench"


# Linux: XDG Base Directory Specification; a relative path there is to be ignored. macOS and Windows: the
# platforms' documented folders for what a program keeps for a user.
@pytest.mark.parametrize(
    ("platform", "environment", "folder"),
    [
        ("linux", {}, Path.home() / ".local/share/dovetally"),
        ("linux", {"XDG_DATA_HOME": "/data"}, Path("/data/dovetally")),
        ("linux", {"XDG_DATA_HOME": "data"}, Path.home() / ".local/share/dovetally"),
        ("darwin", {}, Path.home() / "Library/Application Support/Dovetally"),
        ("win32", {}, Path("C:/Users/Ada/AppData/Local/Dovetally")),
    ],
)
def test_the_platforms_own_folder(
    platform: str, environment: dict[str, str], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    # what Windows itself answers when asked for the folder of that name
    known = {"CSIDL_LOCAL_APPDATA": "C:/Users/Ada/AppData/Local"}
    monkeypatch.setattr("platformdirs.windows.get_win_folder", known.__getitem__)
    assert user_data_folder(platform) == folder


@pytest.mark.parametrize(
    "place", [r"\\server\share", "//server/share", r"\\?\UNC\server\share", r"\\.\pipe\x", r"\/server/share"]
)
def test_a_share_is_refused_in_a_sentence(place: str) -> None:
    with pytest.raises(NetworkPath, match="name a local folder"):
        Settings.from_environment({"DOVETALLY_DATA": place})
    with pytest.raises(NetworkPath):
        Settings.from_environment({"DOVETALLY_DATABASE_URL": place})
    with pytest.raises(NetworkPath):
        Settings.from_environment({"DOVETALLY_DATABASE_URL": f"sqlite:///{place}"})


@pytest.mark.parametrize("place", ["", "/srv/data", r"C:\data", r"\\?\C:\data", "postgresql://host/shop"])
def test_a_local_place_is_not_refused(place: str) -> None:
    refuse_network(place)
