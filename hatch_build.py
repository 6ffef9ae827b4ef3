"""The readme of the package: README.md without what only a checkout has.

A package page has no files beside it: a picture would be a gap, a link to a file of the project would lead nowhere, and
the project has no public address that could stand before them. So the words of both stay, and a sentence says where the
pictures are.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from hatchling.metadata.plugin.interface import MetadataHookInterface

_PICTURE = re.compile(r"^!\[[^\]]*\]\([^)]*\)\n\n?", re.MULTILINE)
_LINK = re.compile(r"\[([^\]]+)\]\((?!https?://|#)[^)]*\)")
_WHERE = "Pictures of the pages are in the source distribution, in `example_year/pictures`.\n\n"


def package_readme(text: str) -> str:
    """Return a readme without pictures and without links to files.

    >>> print(package_readme("# A\\n\\n![B.](b.png)\\n\\n[C](c.md), [D](https://d.example)\\n\\n## E"))
    # A
    <BLANKLINE>
    C, [D](https://d.example)
    <BLANKLINE>
    Pictures of the pages are in the source distribution, in `example_year/pictures`.
    <BLANKLINE>
    ## E
    """
    plain = _LINK.sub(r"\1", _PICTURE.sub("", text))
    return plain.replace("\n## ", f"\n{_WHERE}## ", 1)


class ReadmeHook(MetadataHookInterface):
    """Gives the metadata their readme."""

    def update(self, metadata: dict[str, Any]) -> None:
        text = (Path(self.root) / "README.md").read_text(encoding="utf-8")
        metadata["readme"] = {"content-type": "text/markdown", "text": package_readme(text)}
