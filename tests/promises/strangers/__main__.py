"""Attacks of another user of the machine, of another port and of another site: nobody is let in, the owner goes on.

    python -m tests.promises.strangers --count 2000 --idle 2000

A server of a journal and a Chromium run as one user id, and a second id tries everything. It needs Linux with a
Chromium, and root; or a user who has more ids (newuidmap), as which the command then runs itself. `--without` takes a
protection away, to see that its attack is noticed; the command then has to fail.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

from tests.promises.strangers import (
    attacks_crowds,
    attacks_later,
    attacks_shared,
    attacks_sites,
    attacks_user,
    users,
)
from tests.promises.strangers.attacks import Attack, Field, Section
from tests.promises.strangers.owner import Owner
from tests.promises.strangers.users import Stranger, User

IDS = (61001, 61002)
_FEW_FILES = 160
_WITHOUT_BROWSER = "shared"

SECTIONS: dict[str, tuple[Section, ...]] = {
    "user": (attacks_user.files, attacks_user.processes, attacks_user.port, attacks_user.beside,
             attacks_user.code_under_attack),
    "sites": (attacks_sites.other_ports, attacks_sites.other_sites, attacks_sites.learned, attacks_sites.cookies),
    "crowds": (attacks_crowds.idle, attacks_crowds.flood),
    "later": (attacks_later.next_owner,),
    "shared": (attacks_shared.placed, attacks_shared.locks, attacks_shared.told, attacks_shared.begun),
}  # fmt: skip


def _tell(attack: Attack) -> None:
    got, works = len(attack.got), "no" if attack.harm else "yes"
    print(f"{attack.name:58} {attack.item:7} {attack.tries:7,} {got:6} {works:>6}", flush=True)
    for one in (*attack.got[:5], *([attack.harm] if attack.harm else [])):
        print(f"    {one}", flush=True)


def _folders(base: Path, ids: tuple[int, int], python: str) -> tuple[User, User]:
    """A home folder for each user, which everybody may enter and list as homes often are, and shared ones."""
    base.chmod(0o755)
    owner, stranger = (
        User(uid, ids[0], base / name, python) for uid, name in zip(ids, ("owner", "stranger"), strict=True)
    )
    for user in (owner, stranger):
        user.home.mkdir()
        os.chown(user.home, user.uid, user.uid)
        user.home.chmod(0o755)
    for name, mode in (("everyone", 0o1777), ("shared", 0o755)):
        (base / name).mkdir()
        (base / name).chmod(mode)
    return owner, stranger


def run(asked: argparse.Namespace, ids: tuple[int, int]) -> list[Attack]:
    """All attacks, those of the crowds once more on a server that may open few files."""
    attacks: list[Attack] = []

    def tell(attack: Attack) -> None:
        attacks.append(attack)
        _tell(attack)

    for few in (None, _FEW_FILES) if "crowds" in asked.only else (None,):
        base = Path(tempfile.mkdtemp(prefix="two-users-", dir="/tmp"))
        try:
            _attack(base, _folders(base, ids, asked.python), asked, few, tell)
        finally:
            shutil.rmtree(base, ignore_errors=True)
    return attacks


def _attack(
    base: Path, users_of: tuple[User, User], asked: argparse.Namespace, few: int | None, tell: Callable[[Attack], None]
) -> None:
    """The attacks of one server. `few` is how many files it may open, if it is not as the system says."""
    owner, stranger = Owner(users_of[0], base, asked.without, few), Stranger(users_of[1])
    names = ["crowds"] if few else asked.only
    field = Field(owner, stranger, count=asked.count, idle=asked.idle, seed=asked.seed, tell=tell)
    try:
        with sync_playwright() as playwright:
            if names != [_WITHOUT_BROWSER]:
                attacks_user.while_it_opens(field)
                owner.start_browser(playwright)
            for section in (section for name in SECTIONS if name in names for section in SECTIONS[name]):
                section(field)
            owner.end_browser()
    finally:
        stranger.end()
        owner.end()


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument(
        "--count", type=int, default=2000, help="requests with guessed paths; half as many of each other kind"
    )
    parser.add_argument("--idle", type=int, default=2000, help="connections that ask nothing")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--python", default=sys.executable, help="a Python that every user can run")
    parser.add_argument("--ids", default=",".join(map(str, IDS)), help="two user ids of which no process runs")
    parser.add_argument("--only", nargs="*", default=list(SECTIONS), choices=list(SECTIONS))
    parser.add_argument("--without", action="append", default=[], help="a protection to take away, see removed.py")
    asked = parser.parse_args()
    users.enter_namespace()
    first, second = (int(text) for text in asked.ids.split(","))
    if lacking := users.missing(asked.python, (first, second), Path("/")):
        print(lacking, file=sys.stderr)
        return 2
    expect.set_options(timeout=30_000)
    began = time.monotonic()
    print(f"{'attack':58} {'item':7} {'tries':>7} {'got in':>6} {'works':>6}", flush=True)
    attacks = run(asked, (first, second))
    failed = [attack for attack in attacks if attack.failed]
    tries = sum(attack.tries for attack in attacks)
    seconds = time.monotonic() - began
    cases = f"{tries:,} attempts in {len(attacks)} attacks"
    print(f"strangers: {cases}, {len(failed)} failures, {seconds:.0f} s, seed {asked.seed}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
