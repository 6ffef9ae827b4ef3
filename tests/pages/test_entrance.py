"""Ways in: tokens and codes that are spent once, and the proof between a command and a server."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from journal.pages import entrance
from journal.pages.entrance import Entrance, granted_code, prove
from journal.pages.redirect_file import RedirectFile

NONCE = "0" * 32


@pytest.fixture(autouse=True)
def runtime(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    return tmp_path


class Clock:
    seconds = 0.0

    def __call__(self) -> float:
        return self.seconds


def test_a_token_is_spent_at_its_first_use() -> None:
    ways = Entrance(8420)
    token, other = ways.new_token(), ways.new_token()
    assert [ways.spend_token(text) for text in (f"{token}x", "", "é", token, token, other)] == [
        False, False, False, True, False, True,
    ]  # fmt: skip


def test_a_token_is_void_after_five_minutes() -> None:
    clock = Clock()
    ways = Entrance(8420, clock=clock)
    early, late = ways.new_token(), ways.new_token()
    clock.seconds = 299
    assert ways.spend_token(early)
    clock.seconds = 300
    assert not ways.spend_token(late)


def test_only_the_newest_tokens_are_kept() -> None:
    ways = Entrance(8420)
    tokens = [ways.new_token() for _ in range(10)]
    assert [ways.spend_token(token) for token in tokens] == [False] * 2 + [True] * 8


def test_a_code_may_be_typed_in_any_way_and_lets_in_once() -> None:
    ways = Entrance(8420)
    typed = f" {ways.code.lower().replace('-', ' ')}"
    assert [ways.spend_code(text) for text in ("", typed, typed, "")] == [False, True, False, False]


def test_codes_have_sixty_bits_and_no_look_alikes() -> None:
    assert len(entrance._ALPHABET) == 32 and not set(entrance._ALPHABET) & set("01IO")
    codes = {Entrance(8420).code for _ in range(50)}
    assert len(codes) == 50 and all([len(part) for part in code.split("-")] == [4, 4, 4] for code in codes)
    assert set("".join(codes)) <= {*entrance._ALPHABET, "-"}


def test_whoever_guesses_is_told_of_once_and_keeps_nobody_out() -> None:
    """After five wrong codes there was another one, and half a minute in which the right one was refused."""
    told = list[str]()
    ways = Entrance(8420, say=told.append)
    assert not any(ways.spend_code("AAAA-AAAA-AAAA") for _ in range(1000))
    assert told == ["5 wrong codes were typed. If that was not you, another program is guessing."]
    assert ways.spend_code(ways.code)


def test_a_command_of_this_user_is_granted_a_file_and_a_code(runtime: Path) -> None:
    ways = Entrance(8420)
    answer = ways.grant(NONCE, "/week/", prove(ways.control_key, "ask", 8420, NONCE, "/week/"))
    assert answer is not None
    proof, _, path = answer.partition(" ")
    assert proof == prove(ways.control_key, "granted", 8420, NONCE, path)
    assert ways.code == granted_code(ways.control_key, 8420, NONCE)
    assert Path(path).is_relative_to(runtime) and "/week/" in Path(path).read_text().replace("&#47;", "/")
    assert ways.first == "/week/"
    ways.close()
    assert list(runtime.iterdir()) == []


def test_a_grant_needs_the_key_of_this_start_and_port_and_page() -> None:
    ways, other = Entrance(8420), Entrance(8420)
    right = ("ask", 8420, NONCE, "/week/")
    wrong = [("granted", 8420, NONCE, "/week/"), ("ask", 8421, NONCE, "/week/"), ("ask", 8420, "1" * 32, "/week/")]
    before = ways.code
    for proof in (*(prove(ways.control_key, *parts) for parts in wrong), prove(other.control_key, *right), "", "é"):
        assert ways.grant(NONCE, "/week/", proof) is None
    assert ways.grant(NONCE, "/year/", prove(ways.control_key, *right)) is None
    assert ways.code == before


def test_parts_of_a_proof_cannot_be_moved_into_each_other() -> None:
    parts = [("ask", "1", "23"), ("ask", "12", "3"), ("ask1", "2", "3"), ("ask", "123"), ("ask", "1", "2", "3")]
    assert len({prove(b"key", *part) for part in parts}) == len(parts)


def test_a_folder_that_cannot_be_written_leaves_the_code(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(RedirectFile, "__init__", full)
    ways = Entrance(8420)
    assert ways.write_redirect("/week/") is None and ways._tokens == {}


def test_every_start_has_its_own_secrets() -> None:
    names = ("cookie_value", "window_key", "control_key", "code", "start")
    first, second = Entrance(8420), Entrance(8420)
    assert [name for name, (a, b) in zip(names, _both(first, second, names), strict=True) if a == b] == []
    texts = [str(getattr(first, name)) for name in names]
    assert all(a not in b for a, b in itertools.permutations(texts, 2))


def _both(first: Entrance, second: Entrance, names: tuple[str, ...]) -> list[tuple[object, object]]:
    return [(getattr(first, name), getattr(second, name)) for name in names]
