"""The evening's form as one module, and its line to the journal."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from journal.errors import UsageError
from journal.pages.forms import EveningForm, TriageForm, joined

FOLDER = Path(__file__).parents[2] / "journal" / "pages" / "browser"


def test_modules_become_one_each_in_its_own_scope(tmp_path: Path) -> None:
    (tmp_path / "base.js").write_text("export const ONE = 1;\nexport async function wait() {}\nconst hidden = 2;\n")
    (tmp_path / "middle.js").write_text('import { ONE } from "./base.js";\nexport function two() { return ONE + 1; }\n')
    (tmp_path / "page.js").write_text(
        'import { two } from "./middle.js";\nimport { ONE, wait } from "./base.js";\nexport default { two };\n'
    )
    text = joined(tmp_path)
    assert text.index("const base_js = ") < text.index("const middle_js = ") < text.index("// page.js")
    assert text.count("const base_js") == 1
    assert "return { ONE, wait };" in text
    assert "const { ONE } = base_js;" in text
    assert re.findall(r"^(?:import|export).*$", text, re.MULTILINE) == ["export default { two };"]


def test_modules_in_a_ring_are_refused(tmp_path: Path) -> None:
    (tmp_path / "page.js").write_text('import { a } from "./other.js";\nexport default {};\n')
    (tmp_path / "other.js").write_text('import { b } from "./page.js";\nexport const a = 1;\n')
    with pytest.raises(ValueError, match=r"page\.js imports itself by way of page, other"):
        joined(tmp_path)


def test_every_module_is_used_and_none_makes_markup_of_text() -> None:
    """What a person wrote becomes textContent or the value of a field; the page's policy forbids eval as well."""
    whole = joined() + joined(last="undecided") + joined(last="yearbook")
    for path in FOLDER.glob("*.js"):
        assert f"// {path.name}\n" in whole
        text = path.read_text(encoding="utf-8")
        for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", "http"):
            assert word not in text, f"{path.name} has {word}"
        assert len(text.splitlines()) <= 300


class Heard(EveningForm):
    """A form whose messages are kept."""

    def __init__(self, **answers: Any) -> None:
        self.sent: list[dict[str, Any]] = []
        super().__init__({"day": "2025-03-13", "base": "one"}, answers)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append(content)

    def hear(self, message: object) -> None:
        self._heard(self, message, [])


def test_a_question_is_answered_with_its_number() -> None:
    sheet = Heard(fit=lambda of: {"fit": of["minutes"] * 2})
    sheet.hear({"id": 7, "ask": "fit", "of": {"minutes": 4}})
    assert sheet.sent == [{"id": 7, "fit": 8}]


@pytest.mark.parametrize("message", ["fit", None, {"ask": "delete"}, {"id": 1}, {"ask": ["fit"]}])
def test_what_is_no_question_is_passed_over(message: object) -> None:
    sheet = Heard(fit=lambda of: {"fit": of})
    sheet.hear(message)
    assert sheet.sent == []


def test_a_refusal_is_told_and_a_fault_is_told_and_seen() -> None:
    def refuse(of: dict[str, Any]) -> dict[str, Any]:
        raise UsageError("2026-01-01 is still to come")

    def fail(of: dict[str, Any]) -> dict[str, Any]:
        raise KeyError("broken")

    sheet = Heard(day=refuse, save=fail)
    sheet.hear({"id": 1, "ask": "day"})
    assert sheet.sent == [{"id": 1, "failed": "2026-01-01 is still to come"}]
    with pytest.raises(KeyError):
        sheet.hear({"id": 2, "ask": "save"})
    assert sheet.sent[1]["id"] == 2
    assert "What you typed stays here" in sheet.sent[1]["failed"]


def test_only_another_offer_of_the_day_shown_is_told() -> None:
    sheet = Heard(day=lambda of: {"offer": {"day": of["day"], "base": "two"}})
    assert not sheet.told({"day": "2025-03-13", "base": "one"})
    assert not sheet.told({"day": "2025-03-12", "base": "new"})
    sheet.hear({"id": 1, "ask": "day", "of": {"day": "2025-03-12"}})
    assert sheet.day == "2025-03-12"
    assert sheet.told({"day": "2025-03-12", "base": "new"})
    assert sheet.sent[-1] == {"news": True, "offer": {"day": "2025-03-12", "base": "new"}}


def test_the_list_to_decide_on_is_told_of_every_other_offer() -> None:
    class HeardList(TriageForm):
        def send(self, content: Any, buffers: Any = None) -> None:
            sent.append(content)

    sent: list[dict[str, Any]] = []
    here, hidden = {"base": "one", "shown": True}, {"base": "one", "shown": False}
    after = {"base": "two", "shown": True}
    widget = HeardList(here, {"decide": lambda of: {"answer": of, "offer": after}})
    widget.told(here)
    widget.told(hidden)
    widget._heard(widget, {"id": 1, "ask": "decide", "of": {"decisions": []}}, [])
    widget.told(after)
    assert sent == [{"news": True, "offer": hidden}, {"id": 1, "answer": {"decisions": []}, "offer": after}]
