"""A running `duskbook` command, and a client that enters with the code that it prints."""

from __future__ import annotations

import http.cookiejar
import re
import subprocess
import urllib.parse
import urllib.request
from typing import IO


def opener() -> urllib.request.OpenerDirector:
    """A URL opener that keeps the guard's cookie, as a browser does, and uses no proxy."""
    cookies = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    return urllib.request.build_opener(urllib.request.ProxyHandler({}), cookies)


def read_announced(command: subprocess.Popen[str]) -> tuple[str, str]:
    """The address and the code that a command prints. Its host is the loopback address, for clients that look it up."""
    stdout: IO[str] | None = command.stdout
    assert stdout is not None
    address = next(line for line in stdout if line.startswith("http://")).strip()
    address = re.sub(r"//[0-9a-f]{12}\.localhost:", "//127.0.0.1:", address)
    return address, stdout.readline().strip().rpartition(" ")[2]


def enter(client: urllib.request.OpenerDirector, address: str, code: str) -> str:
    """Exchange the code; gives the address of the page that it leads to."""
    form = urllib.parse.urlencode({"code": code, "to": "/"}).encode()
    asked = urllib.request.Request(f"{address}enter", form, {"Origin": address.rstrip("/")})
    with client.open(asked, timeout=60) as answer:
        found = re.search(r"location\.replace\(\"/(.*?)\"\)", answer.read().decode())
    assert found is not None
    return address + found[1]
