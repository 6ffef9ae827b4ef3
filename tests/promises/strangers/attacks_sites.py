"""Another port and another site: pages of the stranger in the owner's browser."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page

from tests.promises.strangers.attacks import Field
from tests.promises.strangers.owner import SITES

_LOADED = "() => window.attack && document.readyState === 'complete'"


def _visit(field: Field, host: str, port: int, path: str = "/visit") -> Page:
    page = field.owner.new_page()
    page.goto(f"http://{host}:{port}{path}")
    page.wait_for_function(_LOADED)
    return page


def _told(field: Field, text: str) -> list[str]:
    """Which secrets stand in a text. The path is none where it was given away."""
    return [f"secret {i} was sent" for i, one in enumerate(field.owner.private_texts()) if one in text]


def _attack(field: Field, host: str, port: int, known: str) -> dict[str, Any]:
    owner, stranger = field.owner, field.stranger
    before = {path: path.read_bytes() for path in owner.folder.rglob("*.toml")}
    stranger.does("heard")
    page = _visit(field, host, port)
    hosts = [owner.host] if known != "unknown" else [owner.host, "127.0.0.1", "localhost"]
    given: dict[str, Any] = page.evaluate(
        "(what) => window.attack(what)", {"hosts": hosts, "port": owner.port, "known": known, "session": "s_strang"}
    )
    given["tries"] = int(given["tries"])
    secrets = [one for one in owner.private_texts() if known not in ("unknown", one) or known == "unknown"]
    heard = "\n".join(stranger.does("heard")) + given["kept"]
    given["got"] += [f"secret {i} was sent or kept" for i, one in enumerate(secrets) if one in heard]
    if f"{owner.cookie}=" in heard and "of-another-program" not in heard:
        given["got"].append("the cookie was sent")
    if before != {path: path.read_bytes() for path in owner.folder.rglob("*.toml")}:
        given["got"].append("a page of the journal was changed")
    page.close()
    return given


def other_ports(field: Field) -> None:
    """Servers of the stranger at 127.0.0.1, localhost, another name below it, and the journal's own name."""
    owner, stranger = field.owner, field.stranger
    port = stranger.does("serve", port=0)
    for host in ("127.0.0.1", "localhost", "other.localhost"):
        field.record(
            f"a page of http://{host} at another port", "2, 3", _attack(field, host, port, "unknown"), owner.works()
        )
    for known in ("unknown", owner.secrets.prefix):
        name = "the journal's own name, at another port" + ("" if known == "unknown" else ", and its path")
        field.record(f"a page of {name}", "2", _attack(field, owner.host, port, known), owner.works())
    stranger.does("stop")


def other_sites(field: Field) -> None:
    """Another site, and a name that is made to lead to the journal's own port."""
    owner, stranger = field.owner, field.stranger
    port = stranger.does("serve", port=0)
    for known in ("unknown", owner.secrets.prefix):
        name = "a page of another site" + ("" if known == "unknown" else " that has learned the path")
        field.record(name, "2", _attack(field, SITES[0], port, known), owner.works())
    stranger.does("stop")
    page, got = owner.new_page(), []
    for path in ("/", "/favicon.ico", f"/{owner.secrets.prefix}/evening/"):
        answer = page.goto(f"http://{SITES[1]}:{owner.port}{path}")
        if answer is None or answer.status != 421:
            got.append(f"{answer.status if answer else 0} to {path} at a rebound name")
    page.close()
    field.record("another site's name, rebound to the port", "2", {"tries": 3, "got": got}, owner.works())


def learned(field: Field) -> None:
    """A program that has learned name and path gets the cookie of a visit. What it opens with that."""
    owner, stranger = field.owner, field.stranger
    port = stranger.does("serve", port=0)
    stranger.does("heard")
    page = _visit(field, owner.host, port, f"/{owner.secrets.prefix}/evening/")
    readable = page.evaluate("() => document.cookie")
    page.close()
    sent = "\n".join(stranger.does("heard"))
    cookies = [
        part.strip() for part in sent.replace("\n", ";").replace("Cookie: ", "").split(";") if owner.cookie in part
    ]
    given = stranger.does("use_cookie", port=owner.port, host=owner.host, prefix=owner.secrets.prefix,
                          cookies=cookies, keys=["x", "k" * 43])  # fmt: skip
    given["got"] += ["a script read the cookie"] if owner.cookie in readable else []
    stranger.does("stop")
    harm = "" if cookies else "the cookie was not sent: the attempt is of no use"
    field.record("the cookie of a visit to name and path", "2", given, harm or owner.works())


def cookies(field: Field) -> None:
    """Cookies that lock the owner out: too many, broken, of our name. And all that a browser keeps, cleared."""
    owner, stranger = field.owner, field.stranger
    port = stranger.does("serve", port=0)
    prefix = owner.secrets.prefix
    ours = [f"{owner.cookie}=of-another-program; Path={path}" for path in ("/", f"/{prefix}/", f"/{prefix}/evening/")]
    broken = [
        'user={"name":"Ana"}; Path=/',
        'a="; Path=/',
        f'{owner.cookie}=";" ; Path=/',
        "\x7f=\x7f; Path=/",
        "=x; Path=/",
    ]
    stranger.does("set_cookies", cookies=ours + broken)
    for host in ("127.0.0.1", "other.localhost", owner.host):
        page = _visit(field, host, port)
        tries = page.evaluate("(what) => window.plant(what)", {"cookie": owner.cookie, "known": prefix})
        page.close()
        given = {"tries": tries + len(ours + broken), "got": []}
        field.record(f"cookies set at {_named(owner.host, host)}", "4", given, owner.works(reload=True))
    stranger.does("stop")
    page = owner.new_page()  # at another port: the first one has a worker of its own by now
    page.goto(f"http://{owner.host}:{stranger.does('serve', port=0)}/clear")
    page.close()
    stranger.does("set_cookies", cookies=[])
    field.record("cookies and storage cleared by that name", "4", {"tries": 1, "got": []}, owner.works(reload=True))
    stranger.does("stop")
    assert owner.context is not None
    owner.context.clear_cookies(name=re.compile("^c[0-9]|^user|^$"))  # too many for the stranger's own server


def _named(ours: str, host: str) -> str:
    return "the journal's own name" if host == ours else host
