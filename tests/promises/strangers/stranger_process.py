"""The process of the stranger, a user with another id. It does what it is told, a line of JSON each, and answers.

It imports nothing of the project but the attempts beside it, and knows no secret except those it is told to look for
in what it got.
"""

from __future__ import annotations

import json
import sys
import traceback
from typing import Any

from tests.promises.strangers import try_crowds, try_files, try_port, try_processes, try_sites

ATTEMPTS = {
    name: attempt
    for module in (try_files, try_processes, try_port, try_crowds, try_sites)
    for name, attempt in module.ATTEMPTS.items()
}


def main() -> None:
    for line in sys.stdin:
        asked: dict[str, Any] = json.loads(line)
        try:
            answer = {"given": ATTEMPTS[asked.pop("do")](**asked)}
        except Exception:
            answer = {"error": traceback.format_exc()}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
