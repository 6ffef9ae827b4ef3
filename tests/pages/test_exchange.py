"""The exchange: what lets a browser in, from where, and to which page it goes on."""

from __future__ import annotations

import hmac
import html
import re
from urllib.parse import urlencode

import pytest

from journal.pages.exchange import cookie_values
from journal.pages.guard import Guard
from tests.pages.guarded import ORIGIN, PORT, Answer, Behind, ask, ask_at, cookie, enter, guarded

FILE = {"origin": "null", "site": "cross-site"}  # how a page that is a file posts


@pytest.fixture
def guard() -> Guard:
    return guarded(Behind())


def target(answer: Answer) -> str:
    found = re.search(r"location\.replace\(\"(.*?)\"\)", answer.body)
    return found[1] if found else ""


def test_a_token_from_a_file_is_exchanged_for_cookie_and_key(guard: Guard) -> None:
    token = guard.entrance.new_token()
    answer = enter(guard, **FILE, token=token, to="/week/?on=2025-03-13")
    assert answer.status == 200, "an answer that leads on by itself keeps the cookie in a chain that began elsewhere"
    value, *limits = answer.headers["set-cookie"].split("; ")
    assert value == cookie(guard)
    assert set(limits) == {f"Path=/{guard.prefix}/", "HttpOnly", "SameSite=Strict", "Priority=High"}
    assert target(answer) == f"/{guard.prefix}/week/?on=2025-03-13"
    assert guard.entrance.window_key in answer.body
    assert token not in answer.body + str(answer.headers)
    assert ask(guard, "/week/", cookie=value).status == 200


def test_a_token_used_twice_says_how_to_get_in(guard: Guard) -> None:
    token = guard.entrance.new_token()
    assert enter(guard, **FILE, token=token).status == 200
    again = enter(guard, **FILE, token=token)
    assert again.status == 403 and "set-cookie" not in again.headers
    assert "Run the command again, or type the code" in html.unescape(again.body)
    assert "The code in the terminal" in again.body
    assert guard.prefix not in again.body and guard.entrance.window_key not in again.body


@pytest.mark.parametrize("token", ["", "wrong", "é"])
def test_a_wrong_token_is_rejected(guard: Guard, token: str) -> None:
    answer = enter(guard, **FILE, token=token)
    assert answer.status == 403 and "set-cookie" not in answer.headers


def test_a_token_is_posted_and_never_in_an_address(guard: Guard) -> None:
    token = guard.entrance.new_token()
    for answer in (ask_at(guard, f"/enter?token={token}"), ask_at(guard, f"/week?token={token}")):
        assert answer.status == 403 and "set-cookie" not in answer.headers
    assert guard.entrance.spend_token(token)


def test_a_code_lets_in_from_our_own_page_only(guard: Guard) -> None:
    code = guard.entrance.code
    for origin, site in (("null", "cross-site"), ("http://127.0.0.1:9999", "same-site"), ("http://evil.example", "")):
        assert enter(guard, origin=origin, site=site, code=code).status == 403
    answer = enter(guard, code=code.lower().replace("-", " "))
    assert answer.status == 200 and answer.headers["set-cookie"].startswith(cookie(guard))
    assert enter(guard, code=code).status == 403


def test_wrong_codes_shut_out_neither_the_right_one_nor_who_is_in(guard: Guard) -> None:
    answers = [enter(guard, code="AAAA-AAAA-AAAA") for _ in range(12)]
    assert [answer.status for answer in answers] == [403] * 12
    assert "12 letters and digits" in html.unescape(answers[-1].body)
    assert ask(guard, "/week/", cookie=cookie(guard)).status == 200
    assert enter(guard, **FILE, token=guard.entrance.new_token()).status == 200
    assert enter(guard, key=guard.entrance.window_key).status == 200
    assert enter(guard, code=guard.entrance.code).status == 200


def test_a_window_key_renews_the_cookie(guard: Guard) -> None:
    """A browser that was made to drop our cookie by many others."""
    answer = enter(guard, key=guard.entrance.window_key, to=f"/{guard.prefix}/month/?on=2025-03-13")
    assert (answer.status, answer.body) == (200, f"/{guard.prefix}/month/?on=2025-03-13")
    assert answer.headers["set-cookie"].startswith(cookie(guard))
    for key in ("", "wrong", guarded(Behind()).entrance.window_key):
        assert enter(guard, key=key).status == 403
    assert enter(guard, **FILE, key=guard.entrance.window_key).status == 403


@pytest.mark.parametrize(
    ("to", "page"),
    [
        ("/month/?on=2025-03-13", "month/?on=2025-03-13"), ("year", "year/"), ("", "week/"), ("/", "week/"),
        ("/some-prefix/year/?year=2025", "year/?year=2025"), ("/enter", "week/"), ("/settings/", "week/"),
        ("https://evil.example/year/", "year/"), ("//evil.example", "week/"), ("javascript:alert(1)", "week/"),
        ('/year/?a="><script>', "year/"), ("/year/?a\r\nb: c", "year/"), ("/year/?" + "a" * 301, "year/"),
    ],
)  # fmt: skip
def test_it_goes_on_to_a_page_of_ours_only(guard: Guard, to: str, page: str) -> None:
    answer = enter(guard, **FILE, token=guard.entrance.new_token(), to=to)
    assert target(answer) == f"/{guard.prefix}/{page}"


def test_a_code_leads_to_the_page_of_the_command(guard: Guard) -> None:
    guard.entrance.first = "/year/?on=2025-03-13"
    answer = enter(guard, code=guard.entrance.code, to="/")
    assert target(answer) == f"/{guard.prefix}/year/?on=2025-03-13"


@pytest.mark.parametrize("path", ["/enter", "/again", "/proof"])
def test_a_long_body_is_not_read(guard: Guard, path: str) -> None:
    assert ask_at(guard, path, method="POST", body="a" * 4097, origin=ORIGIN).status == 400
    for method in ("GET", "PUT", "DELETE"):
        assert ask_at(guard, path, method=method, origin=ORIGIN).status == 403


def test_only_a_command_may_ask_again(guard: Guard) -> None:
    body = urlencode({"nonce": "0" * 32, "to": "", "proof": "0" * 64})
    for headers in ({"origin": ORIGIN}, {"sec_fetch_site": "none"}, {}):
        answer = ask_at(guard, "/again", method="POST", body=body, **headers)
        assert answer.status == 403 and guard.prefix not in answer.body


def test_a_server_proves_that_it_is_of_this_journal_to_a_command_and_to_a_tab(guard: Guard) -> None:
    nonce = "0123456789abcdef" * 2
    told = ask_at(guard, "/proof", method="POST", body=nonce).body
    start, proof = told.split(" ")
    message = f"proof\0{PORT}\0{start}\0{nonce}".encode()
    assert proof == hmac.digest(guard.exchange.secrets.proof_key, message, "sha256").hex()
    assert start == guard.entrance.start
    socket = ask_at(guard, f"/proof?nonce={nonce}", kind="websocket", origin=ORIGIN)
    assert [(sent["type"], sent.get("text")) for sent in socket.sent] == [
        ("websocket.accept", None), ("websocket.send", told), ("websocket.close", None),
    ]  # fmt: skip
    for wrong in ("", nonce[:-1], nonce.upper(), f"{nonce}0", "\0" * 32):
        assert ask_at(guard, "/proof", method="POST", body=wrong).status == 400
        assert ask_at(guard, f"/proof?nonce={wrong}", kind="websocket", origin=ORIGIN).sent[1]["text"] == ""
    for origin in ("http://127.0.0.1:9999", "null", ORIGIN):
        assert ask_at(guard, "/proof", method="POST", body=nonce, origin=origin).status == 403
        sent = ask_at(guard, f"/proof?nonce={nonce}", kind="websocket", origin=origin).sent
        assert (len(sent) == 3) == (origin == ORIGIN)


OURS = "duskbook_8420=right"
HOSTILE = [
    [OURS, 'user={"name":"Ana"}'], ['user={"name":"Ana"}', OURS], [f'user={{"name":"Ana"}}; {OURS}'],
    [f"{OURS}; user={{}}"], [f'"; {OURS}'], [f"=;;;=x; {OURS};;"], [f"a\x01b=\x7f; {OURS}"], [f"{OURS}; expires=Thu"],
    [f"duskbook_8420=wrong; {OURS}; duskbook_8420=later"], [f"$Version=1; {OURS}; $Path=/"], [f"café=é; {OURS}"],
    ['duskbook_8420="right"'], [f"x={'y' * 16_000}; {OURS}"], [f"{'; '.join(f'c{i}={i}' for i in range(180))}; {OURS}"],
    [f" {OURS} "], [f"a,b={{[()]}}; {OURS}"], ["\x00", OURS], [f"duskbook_84200=x; {OURS}; duskbook_842=y"],
]  # fmt: skip


@pytest.mark.parametrize("headers", HOSTILE)
def test_our_cookie_is_found_among_any_others(headers: list[str]) -> None:
    assert "right" in cookie_values(headers, "duskbook_8420")


@pytest.mark.parametrize(
    "header", ["", "duskbook_8420", "xduskbook_8420=right", "DUSKBOOK_8420=right", "a=duskbook_8420=right"]
)
def test_what_is_not_our_cookie_is_none(header: str) -> None:
    assert cookie_values([header], "duskbook_8420") == []
