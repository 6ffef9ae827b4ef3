"""Another user of the machine: files, processes, and the port of the running server."""

from __future__ import annotations

import time
from typing import Any

from tests.promises.strangers.attacks import Field

_TEMPORARY = ("/tmp", "/var/tmp", "/dev/shm", "/run")
_YEAR_SECONDS = 365.25 * 86_400
_CHANCE = 1e-6  # of a year of guessing that opens the journal


def while_it_opens(field: Field) -> None:
    """From the start of the server up to the moment in which the browser reads the file. The watch goes on."""
    owner, stranger = field.owner, field.stranger
    stranger.does("watch", owner=owner.user.uid)
    owner.start_server()
    file = owner.redirect
    field.record(
        "the file that opens the browser", "1", stranger.does("files", paths=[str(file), str(file.parent)], but=[])
    )
    assert file.exists(), "an attempt has taken the file away"


def files(field: Field) -> None:
    """Every file and folder of the journal, and of the browser's profile, by every call."""
    owner, stranger = field.owner, field.stranger
    assert not (harm := owner.works()), harm
    journal = [str(owner.folder), *(str(path) for path in sorted(owner.folder.rglob("*")))]
    assert any(".cache/server.json" in path for path in journal) and any(".history" in path for path in journal)
    field.record("files of the journal", "1, 7", stranger.does("files", paths=journal, but=[]), owner.works())
    profile = [owner.user.home / "profile", *sorted((owner.user.home / "profile").rglob("*"))]
    names = [
        str(path) for path in profile if "History" in path.name or "Storage" in path.name or "Cookies" in path.name
    ]
    names += [str(path) for path in profile[:200]]
    field.record("the browser's profile and history", "1, 3", stranger.does("files", paths=names, but=[]))
    tops = [*_TEMPORARY, str(owner.user.home.parent)]
    found = stranger.does("everywhere", tops=tops, owner=owner.user.uid, secrets=owner.private_texts())
    field.record("anything of the owner's in folders for all", "1", found)


def processes(field: Field) -> None:
    """What was listed since the server began to start, and what can be done to the processes."""
    owner, stranger = field.owner, field.stranger
    seen = stranger.does(
        "watched", secrets=owner.private_texts(), marks=[owner.redirect.name, str(owner.folder), "profile"]
    )
    harm = f"the watch saw nothing of {seen['unseen']}" if seen["unseen"] else ""
    field.record("lists of processes: lines, environment, files", "1", seen, harm)
    field.record("signals, tracing, memory", "1", stranger.does("disturb", processes=owner.processes()), owner.works())
    field.record("local sockets", "1", stranger.does("sockets"))


def port(field: Field) -> None:
    """The port is listed, so it is known. What it answers to guesses, and to what was used before."""
    owner, stranger = field.owner, field.stranger
    place: dict[str, Any] = {"port": owner.port, "host": owner.host}
    assert owner.port in stranger.does("listed_ports", owner=owner.user.uid)
    paths = stranger.does("guess_paths", **place, count=field.count, seed=field.seed, secrets=owner.private_texts())
    field.record("paths, hosts, methods, cookies", "2, 4", paths, owner.works())
    used = [*owner.used, {"code": owner.code.replace("-", "")[::-1]}]
    field.record("a token that was spent", "1", stranger.does("replay", **place, fields=used))
    for name, what in (
        ("guess_tokens", "tokens"),
        ("guess_keys", "window keys"),
        ("guess_proofs", "requests of a command"),
    ):
        field.record(f"guessed {what}", "1, 2", stranger.does(name, **place, count=field.count // 4))
    began = time.monotonic()
    codes = stranger.does("guess_codes", **place, count=field.count // 4)
    a_second = codes["tries"] / (time.monotonic() - began)
    chance = a_second * _YEAR_SECONDS / 32 ** len(owner.code.replace("-", ""))
    likely = (
        "" if chance < _CHANCE else f"at {a_second:.0f} codes a second, a year opens it with a chance of {chance:.2g}"
    )
    field.record("guessed codes", "1", codes, likely or owner.works())
    field.record(
        "the same port at other addresses", "2", stranger.does("take", port=owner.port), owner.works(reload=True)
    )


def beside(field: Field) -> None:
    """A program that listens at the same port of the machine's other address, which browsers ask first."""
    owner, stranger = field.owner, field.stranger
    got = ["it listens there"] if stranger.does("serve_beside", port=owner.port) else []
    harm = owner.works(reload=True)
    told = "\n".join(stranger.does("heard"))
    got += [f"it was told secret {i}" for i, one in enumerate(owner.private_texts()) if one in told]
    stranger.does("stop")
    field.record("a listener beside, at ::1", "2, 3", {"tries": 1, "got": got}, harm)


def code_under_attack(field: Field) -> None:
    """The owner types the code of a command that was run again, while the stranger types codes without end."""
    owner, stranger = field.owner, field.stranger
    code, output = owner.command("week", str(owner.folder), "--no-browser")
    assert code == 0, output
    typed = output.splitlines()[1].split()[-1]
    stranger.does("flood", port=owner.port, host=owner.host, kind="codes")
    time.sleep(2)
    harm = ""
    page = owner.new_page()
    try:
        page.goto(f"http://127.0.0.1:{owner.port}/", wait_until="commit")  # a name for which this browser has no key
        page.get_by_label("The code in the terminal").fill(typed)
        page.get_by_role("button", name="Open the journal").click()
        page.wait_for_url("**/week/**", wait_until="commit", timeout=15_000)
    except Exception as error:
        harm = f"the right code does not open: {str(error).partition(chr(10))[0]}"
    finally:
        stranger.does("end_flood")
        page.close()
    field.record(
        "codes without end, while the owner types hers", "1, 5", {"tries": 1, "got": []}, harm or owner.works()
    )
