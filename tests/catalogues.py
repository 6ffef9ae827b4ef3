"""The catalogues of texts: `python -m tests.catalogues` collects the texts of the code, and compiles all catalogues.

    python -m tests.catalogues            # update catalogues/*.po, compile them, and say what has no translation
    python -m tests.catalogues --missing  # print the texts without a translation, by file

A catalogue is a file of gettext. Texts are looked for with Babel, in Python and in the browser's modules. Translations
of texts that went are dropped. Of each catalogue there is a compiled one for Python (`.mo`), and one with the texts of
the browser (`.json`).
"""

from __future__ import annotations

import argparse
import datetime as dt
import io
import json
import re
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from babel.core import Locale
from babel.messages import extract, mofile, pofile
from babel.messages.catalog import Catalog, Message

import journal
from journal.cli import duskbook
from journal.commands import command_help, table_words
from journal.entry import DAY_FIELDS
from journal.folder import new_journal_text, new_journal_words
from journal.language.catalogue import CATALOGUES
from journal.language.languages import ENGLISH, LANGUAGES

ROOT = Path(journal.__file__).parent
KEYWORDS: Any = {
    "_": None, "N_": None, "_n": (1, 2), "_p": ((1, "c"), 2), "_np": ((1, "c"), 2, 3),
    "L_": None, "L_n": (1, 2), "L_p": ((1, "c"), 2),
}  # fmt: skip
FIELD = re.compile(r"\{(\w+)\}")


def collected(root: Path = ROOT) -> Catalog:
    """All texts of the code, with the files they are in, by file."""
    catalog = Catalog(project="Duskbook", charset="utf-8")
    _add_lists(catalog)
    for path in sorted([*root.rglob("*.py"), *(root / "pages" / "browser").glob("*.js")]):
        name = f"journal/{path.relative_to(root).as_posix()}"
        method = "python" if path.suffix == ".py" else "javascript"
        with path.open("rb") as file:
            for _line, text, _comments, context in extract.extract(method, file, KEYWORDS):
                catalog.add(text, None, [(name, 0)], context=context)
    for field in DAY_FIELDS:  # without marks, so that a new field is one line
        texts = (field.label, field.question, field.example, field.unit, field.driver, field.meaning, field.missing)
        for text in filter(None, texts):
            catalog.add(text, None, [("journal/entry.py", 0)])
    return catalog


def _add_lists(catalog: Catalog) -> None:
    """Add the texts that are marked by where they stand: in tables, in a new journal.toml, in the help of commands."""
    for context, words in ((table_words.HEAD, table_words.heads()), (table_words.CELL, table_words.codes())):
        for text in words:
            catalog.add(text, None, [("journal/commands/table_words.py", 0)], context=context)
    for text in new_journal_text.texts():
        catalog.add(text, None, [("journal/folder/new_journal_text.py", 0)], context=new_journal_words.CONTEXT)
    for help_text, meaning in command_help.texts(duskbook):  # docstrings, and what click adds
        catalog.add(help_text, None, [("journal/cli.py", 0)], context=meaning)


def path_of(code: str) -> Path:
    """The catalogue of a language."""
    return CATALOGUES / f"{code}.po"


def read(code: str) -> Catalog:
    """The catalogue of a language as it is on disk."""
    with path_of(code).open("rb") as file:
        return pofile.read_po(file, locale=code)


def updated(code: str, template: Catalog) -> Catalog:
    """A catalogue with the texts of the code: translations stay, new texts have none, others are dropped."""
    catalog = read(code)
    header = catalog.header_comment
    catalog.update(template, no_fuzzy_matching=True)
    catalog.obsolete.clear()
    catalog.header_comment = header
    return catalog


def written(catalog: Catalog) -> str:
    """The text of a catalogue's file."""
    target = io.BytesIO()
    pofile.write_po(target, catalog, width=120, omit_header=False, include_lineno=False)
    lines = target.getvalue().decode().splitlines(keepends=True)
    varying = ('"POT-Creation-Date:', '"PO-Revision-Date:', '"Generated-By:', '"Last-Translator:', '"Language-Team:',
               '"Report-Msgid-Bugs-To:', '"Project-Id-Version:')  # fmt: skip
    return "".join(line for line in lines if not line.startswith(varying))


def compiled(catalog: Catalog) -> bytes:
    """A catalogue for Python."""
    target = io.BytesIO()
    catalog.creation_date = catalog.revision_date = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)  # the same bytes at any time
    mofile.write_mo(target, catalog)
    return target.getvalue()


def for_browser(catalog: Catalog) -> str:
    """The texts of the browser's modules as JSON: a text, or its forms in the order of CLDR's plural categories.

    A text in a context has the context before it, with a control character between, as in gettext.
    """
    locale = Locale.parse(catalog.locale_identifier or "")
    forms = [
        tag for tag in ("zero", "one", "two", "few", "many", "other") if tag in locale.plural_form.tags | {"other"}
    ]
    texts: dict[str, Any] = {}
    for message in sorted(_messages(catalog), key=_key):
        if message.string and any(name.endswith(".js") for name, _line in message.locations):
            plural = isinstance(message.string, tuple)
            texts[_key(message)] = dict(zip(forms, message.string, strict=True)) if plural else message.string
    return json.dumps(texts, ensure_ascii=False, indent=0, sort_keys=True) + "\n"


def _key(message: Message) -> str:
    text = message.id[0] if isinstance(message.id, (tuple, list)) else message.id
    return f"{message.context}\x04{text}" if message.context else str(text)


def _messages(catalog: Catalog) -> Iterable[Message]:
    return (message for message in catalog if message.id)


def missing(catalog: Catalog) -> list[Message]:
    """The texts without a translation."""
    return [message for message in _messages(catalog) if not message.string or not all(_strings(message))]


def _strings(message: Message) -> tuple[str, ...]:
    strings = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
    return tuple(text or "" for text in strings)


def wrong_fields(catalog: Catalog) -> list[str]:
    """Translations with other fields than their text has. The count of a singular may be left out."""
    wrong = []
    for message in _messages(catalog):
        ids = message.id if isinstance(message.id, (tuple, list)) else (message.id,)
        expected = set(FIELD.findall(ids[-1]))
        for place, text in enumerate(_strings(message)):
            fields = set(FIELD.findall(text))
            is_singular = len(ids) > 1 and place == 0
            if text and fields != expected and not (is_singular and fields | {"count"} == expected | {"count"}):
                wrong.append(f"{ids[0]!r}: {text!r}")
    return wrong


def codes() -> list[str]:
    """The languages that have a catalogue: all but English."""
    return [code for code in LANGUAGES if code != ENGLISH.code]


def write(code: str, template: Catalog) -> Catalog:
    """Write the catalogue of a language, and what is compiled from it."""
    catalog = updated(code, template)
    path_of(code).write_text(written(catalog), encoding="utf-8")
    path_of(code).with_suffix(".mo").write_bytes(compiled(catalog))
    path_of(code).with_suffix(".json").write_text(for_browser(catalog), encoding="utf-8")
    return catalog


def main() -> None:
    parser = argparse.ArgumentParser(description="Collect the texts of the code and compile the catalogues.")
    parser.add_argument("--missing", action="store_true", help="print the texts that have no translation")
    arguments = parser.parse_args()
    template = collected()
    for code in codes():
        catalog = write(code, template)
        without = missing(catalog)
        print(f"{code}: {sum(1 for _message in _messages(catalog))} texts, {len(without)} without a translation")
        for line in wrong_fields(catalog):
            print(f"  other fields: {line}")
        if arguments.missing:
            by_file = defaultdict(list)
            for message in without:
                by_file[message.locations[0][0]].append(message.id)
            for name, ids in by_file.items():
                print(f"  {name}", *[f"    {text!r}" for text in ids], sep="\n")


if __name__ == "__main__":
    main()
