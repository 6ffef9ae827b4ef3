"""The catalogues: whole, up to date, with the same fields, and with plurals by CLDR in Python and in the browser."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest
from babel import Locale
from babel.messages.catalog import Catalog

from journal.language import catalogue
from journal.language.languages import ENGLISH, LANGUAGES
from tests import catalogues

CODES = catalogues.codes()


@pytest.fixture(scope="module")
def template() -> Catalog:
    return catalogues.collected()


@pytest.mark.parametrize("code", CODES)
def test_a_catalogue_is_whole_and_up_to_date(code: str, template: Catalog) -> None:
    current = catalogues.updated(code, template)
    remedy = "run python -m tests.catalogues, translate what is missing, and run it again"
    assert [str(message.id) for message in catalogues.missing(current)] == [], remedy
    path = catalogues.path_of(code)
    assert path.read_text(encoding="utf-8") == catalogues.written(current), remedy
    assert path.with_suffix(".mo").read_bytes() == catalogues.compiled(current), remedy
    assert path.with_suffix(".json").read_text(encoding="utf-8") == catalogues.for_browser(current), remedy
    assert catalogues.wrong_fields(current) == []


@pytest.mark.parametrize("code", CODES)
def test_plurals_are_chosen_as_by_cldr(code: str) -> None:
    rule = Locale.parse(code).plural_form
    texts = catalogue.texts(LANGUAGES[code])
    one, many = texts.ngettext("{count} day", "{count} days", 1), texts.ngettext("{count} day", "{count} days", 2)
    for count in range(200):
        assert texts.ngettext("{count} day", "{count} days", count) == (one if rule(count) == "one" else many)


@pytest.mark.parametrize("code", CODES)
def test_the_browsers_texts_have_all_forms(code: str) -> None:
    texts = json.loads(catalogues.path_of(code).with_suffix(".json").read_text(encoding="utf-8"))
    tags = Locale.parse(code).plural_form.tags | {"other"}
    assert all(isinstance(text, str) or set(text) == tags for text in texts.values())


def test_english_is_the_text_of_the_code() -> None:
    assert catalogue.texts(ENGLISH).gettext("a text in no catalogue") == "a text in no catalogue"


def test_a_text_that_is_new_has_no_translation(template: Catalog) -> None:
    template = catalogues.collected()
    template.add("A sentence that nobody has translated.", locations=[("journal/cli.py", 0)])
    missing = catalogues.missing(catalogues.updated("de", template))
    assert [message.id for message in missing] == ["A sentence that nobody has translated."]


def test_a_lost_field_is_found() -> None:
    catalog = Catalog(locale="de")
    catalog.add("{done} of {count}", "{done} von {zahl}")
    catalog.add(("{count} day", "{count} days"), ("ein Tag", "{count} Tage"))
    assert catalogues.wrong_fields(catalog) == ["'{done} of {count}': '{done} von {zahl}'"]


def names_lost(source: str) -> list[int]:
    """The lines of a module that bind `_` to something else, though it looks texts up with it."""
    tree = ast.parse(source)
    imported = any(
        alias.name == "_" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names
    )
    bound = (node for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store))
    return [node.lineno for node in bound if node.id == "_"] if imported else []


def texts_in_texts(source: str) -> list[int]:
    """The lines of texts that are looked up inside of an f-string, where Babel does not find them in Python 3.11."""
    strings = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.JoinedStr))
    calls = (part for node in strings for part in ast.walk(node) if isinstance(part, ast.Call))
    return [
        call.lineno
        for call in calls
        if isinstance(call.func, ast.Name)
        and call.func.id in catalogues.KEYWORDS
        and any(isinstance(argument, ast.Constant) for argument in call.args)
    ]


@pytest.mark.parametrize("path", sorted(catalogues.ROOT.rglob("*.py")), ids=lambda path: path.stem)
def test_no_module_loses_the_name_that_looks_texts_up(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    assert names_lost(source) == []
    assert texts_in_texts(source) == []


def test_a_lost_name_is_found() -> None:
    text = "from journal.language.catalogue import _\n\n\ndef f():\n    first, _ = (1, 2)\n"
    assert names_lost(text) == [5]
    assert names_lost(text.replace("import _", "import N_")) == []
    assert texts_in_texts("text = f\"{_('One')} {_(ONE)}\"") == [1]
