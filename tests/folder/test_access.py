"""Who else can read a journal: by the bits of files and of the folders on the way to them."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.folder import access


@pytest.mark.parametrize(
    ("modes", "can"),
    [
        ({}, ("read", "change")),
        ({"": 0o700}, ()),
        ({"": 0o711, "2025": 0o700, "journal.toml": 0o600}, ()),
        ({"": 0o711, "2025": 0o711, "journal.toml": 0o600, "2025/2025-03-14.toml": 0o644}, ("read",)),
        ({"": 0o711, "2025": 0o711, "journal.toml": 0o600, "2025/2025-03-14.toml": 0o602}, ("change",)),
        ({"": 0o750, "2025": 0o700, "journal.toml": 0o640}, ("read",)),
        ({"": 0o755, "2025": 0o755, "journal.toml": 0o600, "2025/2025-03-14.toml": 0o600}, ()),
        ({"": 0o777, "2025": 0o755, "journal.toml": 0o600, "2025/2025-03-14.toml": 0o600}, ("change",)),
    ],
)
def test_what_others_can_do(open_path: Path, modes: dict[str, int], can: tuple[str, ...]) -> None:
    (open_path / "2025").mkdir()
    usual = {"": 0o777, "journal.toml": 0o666, "2025": 0o777, "2025/2025-03-14.toml": 0o666}
    for path, mode in (usual | modes).items():
        if path.endswith(".toml"):
            (open_path / path).touch()
        (open_path / path).chmod(mode)
    assert access.others(open_path) == can


def test_a_folder_above_that_is_closed_keeps_others_out(open_path: Path) -> None:
    inner = open_path / "home" / "journal"
    inner.mkdir(parents=True)
    (inner / "journal.toml").touch(mode=0o666)
    for path in (inner, inner.parent):
        path.chmod(0o755)
    assert access.others(inner) == ("read",)
    inner.parent.chmod(0o700)
    assert access.others(inner) == ()


@pytest.mark.parametrize("name", [".cache", ".history"])
def test_hidden_folders_with_text_of_the_pages_count(open_path: Path, name: str) -> None:
    (open_path / "journal.toml").touch(mode=0o600)
    (open_path / name / "2025-03-14").mkdir(parents=True)
    (open_path / name / "2025-03-14" / "state.toml").touch(mode=0o644)
    for path in (open_path, open_path / name, open_path / name / "2025-03-14"):
        path.chmod(0o755)
    assert access.others(open_path) == ("read",)
    (open_path / name).chmod(0o700)
    assert access.others(open_path) == ()
