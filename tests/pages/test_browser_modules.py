"""The browser modules: their rules, and how a browser loads them."""

from __future__ import annotations

import asyncio
import gzip
import json
import re
from pathlib import Path

import pytest

from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.pages import browser_bundle, browser_languages, browser_modules
from journal.pages.asgi import Message, Receive, Scope, Send
from journal.pages.book_widget import YearBook
from journal.pages.browser_modules import BROWSER, ROUTE
from journal.pages.chapters_widget import OpenChapters
from journal.pages.forms import EveningForm, Form, TriageForm
from journal.pages.trials_widget import TrialsForm

MODULES = sorted(BROWSER.glob("*.js"))
FORMS = [form for form in Form.__subclasses__() if form.__module__ == Form.__module__]
_OF_FORMS: list[type[Form]] = [YearBook, TrialsForm, *FORMS]
LOADED_BY_A_WIDGET = {f"{module}.js" for module in (OpenChapters._module, *(form._module for form in _OF_FORMS))}


def source_of(form: Form) -> str:
    """The source of a form's widget."""
    assert form.widget is not None
    return str(form.widget._esm)


def imports(path: Path) -> set[str]:
    """The names of the modules that a module imports."""
    text = path.read_text(encoding="utf-8")
    return {other.name for other in MODULES if f'"./{other.name}"' in text}


def test_every_module_is_used() -> None:
    used: set[str] = set()
    waiting = {"loader.js", "takeover.js", *LOADED_BY_A_WIDGET}
    while waiting:
        used |= waiting
        waiting = {name for module in waiting for name in imports(BROWSER / module)} - used
    assert used == {path.name for path in MODULES}


def test_every_import_is_exported() -> None:
    """A name that its module does not export leaves the page empty, with an error that only the console shows."""
    exported = {
        path.name: set(
            re.findall(r"^export (?:async )?(?:function|const|let|class) (\w+)", path.read_text("utf-8"), re.M)
        )
        for path in MODULES
    }
    missing = [
        (path.name, name, module)
        for path in MODULES
        for names, module in re.findall(r'^import \{([^}]*)\} from "\./([\w.]+)"', path.read_text("utf-8"), re.M)
        for name in (part.split(" as ")[0].strip() for part in names.split(","))
        if name and name not in exported[module]
    ]
    assert missing == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_a_module_is_short_and_makes_no_markup(path: Path) -> None:
    """User text becomes textContent or the value of a field. The page's policy forbids eval as well."""
    text = path.read_text(encoding="utf-8")
    for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", "http"):
        # One function takes markup: that of drawings and tables which the journal made, with their text escaped.
        allowed = 1 if (path.name, word) == ("elements.js", "innerHTML") else 0
        assert text.count(word) == allowed, f"{path.name} has {word}"
    assert len(text.splitlines()) <= 300


def test_a_module_imports_only_modules_of_its_folder() -> None:
    """Neither the route nor the loader supports other import specifiers."""
    for path in MODULES:
        text = path.read_text(encoding="utf-8")
        named = re.findall(r"""^(?:import\b|export\b[^"'=(]*\bfrom\b)[^"'=(]*["']([^"']*)["']""", text, re.MULTILINE)
        assert text.count("import(") == (path.name == "loader.js")
        assert {name.removeprefix("./") for name in named} == imports(path)


@pytest.fixture
def no_route(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ROUTE, raising=False)


class Answer:
    def __init__(self, sent: list[Message]) -> None:
        start, body = sent
        self.status: int = start["status"]
        self.headers = dict(start["headers"])
        self.body: bytes = body["body"]


async def behind(scope: Scope, receive: Receive, send: Send) -> None:
    """The application behind the route, which answers 404."""
    await send({"type": "http.response.start", "status": 404, "headers": []})
    await send({"type": "http.response.body", "body": b"behind"})


def ask(path: str, method: str = "GET", accept: str = "") -> Answer:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {}

    async def request() -> None:
        await browser_modules.modules_route(behind)(
            {"type": "http", "method": method, "path": path, "headers": [(b"accept-encoding", accept.encode())]},
            receive,
            send,
        )

    asyncio.run(request())
    return Answer(sent)


@pytest.fixture
def route(monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv(ROUTE, "")  # so that monkeypatch restores it
    return f"/{browser_modules.route_path()}"


def test_the_route_serves_the_modules_as_one(route: str) -> None:
    answer = ask(route)
    assert answer.status == 200
    assert answer.headers[b"content-type"] == b"text/javascript; charset=utf-8"
    assert answer.headers[b"content-length"] == str(len(answer.body)).encode()
    zipped = ask(route, accept="gzip, br")
    assert (zipped.headers[b"content-encoding"], gzip.decompress(zipped.body)) == (b"gzip", answer.body)
    head = ask(route, "HEAD")
    assert (head.status, head.body, head.headers) == (200, b"", answer.headers)
    text = answer.body.decode()
    assert text.count("\nimport ") + text.count("\nexport default") == 0
    for path in MODULES:
        if path.name != "loader.js":
            assert text.count(f"const m_{path.stem} = ") == 1
        if path.name not in ("loader.js", browser_languages.MODULE):
            lines = path.read_text("utf-8").splitlines()
            assert all(line in text for line in lines if not line.startswith(("import ", "export ")))


def test_modules_that_import_each_other_are_refused() -> None:
    texts = {"a.js": 'import { b } from "./b.js";\n', "b.js": 'import { a } from "./a.js";\n'}
    with pytest.raises(ValueError, match=r"b\.js imports itself by way of others"):
        browser_bundle.bundle(texts, ["a"], "b", styles="")


@pytest.mark.parametrize(
    ("path", "method"),
    [
        ("{route}/", "GET"), ("{route}/../server.py", "GET"), ("{route}", "POST"), ("{route}x", "GET"),
        ("/browser/0000000000000000/forms.js", "GET"), ("/forms.js", "GET"),
    ],
)  # fmt: skip
def test_the_route_serves_nothing_else(route: str, path: str, method: str) -> None:
    answer = ask(path.format(route=route), method)
    assert (answer.status, answer.body) == (404, b"behind")


def test_whatever_the_file_is_made_of_changes_its_path(monkeypatch: pytest.MonkeyPatch) -> None:
    texts, styles = browser_modules._sources()
    paths = [browser_modules.route_path()]
    assert browser_modules.route_path.__wrapped__() == paths[0]
    for changed in (({**texts, "times.js": "export const DAY = 1441;\n"}, styles), (texts, f"{styles}p {{}}")):
        monkeypatch.setattr(browser_modules, "_sources", lambda changed=changed: changed)
        paths.append(browser_modules.route_path.__wrapped__())
    monkeypatch.undo()
    monkeypatch.setattr(browser_modules, "WIDGETS", browser_modules.WIDGETS[:-1])
    paths.append(browser_modules.route_path.__wrapped__())
    assert len(set(paths)) == len(paths)


def test_the_file_is_not_made_before_it_is_asked_for(route: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[bytes] = []

    def make() -> bytes:
        made.append(gzip.compress(b"made"))
        return made[0]

    monkeypatch.setattr(browser_modules, "served_file", make)
    assert ask("/elsewhere").status == 404
    assert not made
    assert ask(route).body == b"made"
    assert len(made) == 1


def test_with_the_route_a_widget_imports_its_module(route: str) -> None:
    ask(route)
    source = source_of(EveningForm({"day": "2025-03-13", "base": ""}, {}))
    assert source == (
        f'import {{ takenOver, forms }} from "../..{route}";\nexport default takenOver("evening", forms.evening);\n'
    )


@pytest.mark.usefixtures("no_route")
def test_the_languages_are_in_it_and_english_is_as_in_the_repository(route: str) -> None:
    line = next(line for line in ask(route).body.decode().splitlines() if line.startswith("const languages = "))
    served = json.loads(line.removeprefix("const languages = ").removesuffix(";"))
    assert set(served) == set(LANGUAGES)
    assert served["de"]["texts"]["Save the day"] == "Tag speichern"
    own = (BROWSER / browser_languages.MODULE).read_text("utf-8")
    for name, value in served["en"].items():
        assert re.search(rf"\b{name}: {re.escape(json.dumps(value, ensure_ascii=False))},", own), name


def test_a_widget_says_what_its_page_speaks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(ROUTE, "browser/0123456789abcdef/forms.js")
    english = browser_modules.widget_source("evening")
    with speaking(LANGUAGES["de"]):
        german = browser_modules.widget_source("evening")
    assert "speak" not in english
    assert 'speak("de");\nexport default takenOver("evening"' in german


def test_without_a_route_a_widget_has_its_language(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ROUTE, raising=False)
    with speaking(LANGUAGES["de"]):
        source = browser_modules.widget_source("evening")
    assert 'first = \\"de\\"' in source
    assert "Tag speichern" in source


def test_without_a_route_a_widget_contains_its_modules() -> None:
    source = source_of(TriageForm({"tasks": [], "base": ""}, {}))
    texts, name = re.findall(r"await loadModules\((\{.*\}), (\".*?\")\)\)\.default;$", source, re.MULTILINE)[0]
    modules = json.loads(texts)
    assert json.loads(name) == "task_triage.js"
    assert modules == {path.name: path.read_text(encoding="utf-8") for path in MODULES if path.name != "loader.js"}
