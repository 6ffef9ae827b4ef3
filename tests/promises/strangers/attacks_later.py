"""The port after the journal has ended: what the next owner of the port is sent, can read, and can use later."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from journal.pages.entrance_pages import WINDOW_KEY
from tests.browser.evenings import Evening
from tests.promises.strangers.attacks import Field

_TYPED = "Typed and not saved by the owner."


def next_owner(field: Field) -> None:
    """The stranger has the port; the owner's page stays open, is pressed, is reloaded; the journal starts again."""
    owner, stranger = field.owner, field.stranger
    Evening(owner.window).field("Good thing 2").fill(_TYPED)
    owner.window.wait_for_timeout(500)
    secrets = [*owner.private_texts(), _TYPED]
    key = str(owner.window.evaluate("(name) => localStorage.getItem(name)", WINDOW_KEY))
    assert owner.end_server() == 0
    stranger.does("heard")
    harm = (
        "" if stranger.does("serve", port=owner.port) else "the stranger did not get the port: the attempt is of no use"
    )
    try:
        expect(owner.window.locator(".connection")).to_contain_text("The journal has ended.", timeout=15_000)
        owner.window.get_by_role("button", name=re.compile("^Save ")).click()
        owner.window.wait_for_timeout(4_000)  # marimo would connect again after three seconds
    except Exception as error:
        harm = harm or f"the page does not tell: {str(error).partition(chr(10))[0]}"
    told = stranger.does("heard")
    got = [f"secret {i} was sent" for i, one in enumerate(secrets) if any(one in line for line in told)]
    field.record("an open page, when a stranger has the port", "3", {"tries": max(1, len(told)), "got": got}, harm)
    _read_storage(field, key)


def _read_storage(field: Field, key: str) -> None:
    """The owner reloads by mistake: all that the browser keeps for the port can be read. Nothing of it is of use."""
    owner, stranger = field.owner, field.stranger
    owner.window.goto(f"{owner.root}/evening/")
    owner.window.wait_for_function("() => window.kept")
    kept = owner.window.evaluate("() => window.kept()")
    told = "\n".join(stranger.does("heard"))
    cookie = re.findall(rf"{owner.cookie}=[\w-]{{43}}", told)
    harm = "" if key in kept and cookie and "duskbook" in kept else "nothing is kept: the attempt is of no use"
    words = ("Typed and not saved", "Kept by the owner", "Cook wheat", "good things", owner.secrets.drafts_key.hex())
    got = [f'"{one}" is kept readably' for one in words if one in kept]
    got += ["a day is kept readably"] if re.search(r"\b20\d\d-\d\d-\d\d\b", kept) else []
    field.record("what the browser keeps for the port", "3", {"tries": kept.count('":"') + 1, "got": got}, harm)
    stranger.does("stop")
    owner.start_server()
    given = stranger.does("use_cookie", port=owner.port, host=owner.host, prefix=owner.secrets.prefix,
                          cookies=cookie[:1], keys=[key])  # fmt: skip
    fields = [{"key": key}, *owner.used[:-1]]
    again = stranger.does("replay", port=owner.port, host=owner.host, fields=fields)
    owner.let_in()
    text = Evening(owner.window).field("Good thing 2").input_value()
    lost = "" if text == _TYPED else "what was typed is lost"
    both = {"tries": given["tries"] + again["tries"], "got": given["got"] + again["got"]}
    field.record("what was learned, after a new start", "2, 3", both, lost or owner.works())
