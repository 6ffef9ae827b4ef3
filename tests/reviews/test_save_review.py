"""A review saved: the exact text of its page and of journal.toml, what is merged, asked and refused."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.saving.form_values import LONGEST_TEXT
from journal.saving.save_pages import SaveResult
from tests.reviews.written import SETTINGS, WEEK, begin, entered, offered, path, saved, text, write

PAGE = """\
# Written on the train.
weather_in_words = "Grey."   # a key of hers

[[reflection]]
prompt = "What held?"  # asked last year
answer = "The letters."

# About the binding.
[[reflection]]
prompt = "What may go?"
answer = "The stock count."

[decisions]
"""


def fields(answer: SaveResult) -> dict[str, str]:
    return {trouble.field: trouble.message for trouble in answer.problems}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return begin(tmp_path)


def test_a_new_page_reads_as_a_person_would_write_it(folder: Path) -> None:
    said = write(
        folder,
        {"What carried?": 'The "blue" book: sewn.\n\nAnd out of the house.', "What next?": "  Photographs. "},
        notes=["Ask Bojan about the rail.", " "],
    )
    assert said == "Saved to 2025/2025-W11.toml at 21:04."
    assert text(folder) == (
        'notes = ["Ask Bojan about the rail."]\n\n'
        "[[reflection]]\n"
        'prompt = "What carried?"\n'
        "answer = '''\n"
        "The \"blue\" book: sewn.\n\nAnd out of the house.'''\n\n"
        "[[reflection]]\n"
        'prompt = "What next?"\n'
        'answer = "Photographs."\n'
    )
    assert (folder / "journal.toml").read_text(encoding="utf-8") == SETTINGS


@pytest.mark.parametrize(
    ("key", "prompt"), [("2025-03", "What held this month?"), ("2025", "What was this year like?")]
)
def test_a_month_and_a_year_that_still_run_are_written_too(folder: Path, key: str, prompt: str) -> None:
    assert write(folder, {prompt: "The letters."}, key) == f"Saved to 2025/{key}.toml at 21:04."
    assert text(folder, key) == f'[[reflection]]\nprompt = "{prompt}"\nanswer = "The letters."\n'


def test_an_answer_in_the_middle_stands_in_the_middle_and_all_else_stays(folder: Path) -> None:
    begin(folder, PAGE)
    write(folder, {"What next?": "Photographs.", "What carried?": "The book."}, notes=["Thread."])
    assert text(folder) == PAGE.replace("# a key of hers\n", '# a key of hers\nnotes = ["Thread."]\n').replace(
        "# About the binding.\n",
        '[[reflection]]\nprompt = "What carried?"\nanswer = "The book."\n\n# About the binding.\n',
    ).replace(
        'answer = "The stock count."\n',
        'answer = "The stock count."\n\n[[reflection]]\nprompt = "What next?"\nanswer = "Photographs."\n',
    )


def test_answers_follow_the_order_of_the_prompts(folder: Path) -> None:
    for prompt in ("What next?", "What carried?", "What may go?"):
        write(folder, {prompt: "Yes."})
    assert [row["prompt"] for row in tomllib.loads(text(folder))["reflection"]] == [
        "What carried?", "What may go?", "What next?",
    ]  # fmt: skip


def test_what_is_emptied_leaves_nothing_behind(folder: Path) -> None:
    write(folder, {"What carried?": "The book.", "What next?": "Photographs."}, notes=["Thread."])
    write(folder, {"What next?": " \n"}, notes=[])
    assert text(folder) == '[[reflection]]\nprompt = "What carried?"\nanswer = "The book."\n'
    write(folder, {"What carried?": ""})
    assert text(folder) == "\n"


def test_a_table_with_a_key_of_its_own_keeps_it_without_its_answer(folder: Path) -> None:
    begin(folder, '[[reflection]]\nprompt = "What may go?"\nanswer = "The count."\nmood = 4\n')
    write(folder, {"What may go?": ""})
    assert text(folder) == '[[reflection]]\nprompt = "What may go?"\nmood = 4\n'


def test_an_answer_whose_prompt_is_no_longer_asked_is_shown_and_can_be_changed(folder: Path) -> None:
    begin(folder, PAGE)
    offer = offered(folder)
    assert [(q["prompt"], q["answer"], q["asked"]) for q in offer["questions"]] == [
        ("What carried?", "", True),
        ("What may go?", "The stock count.", True),
        ("What next?", "", True),
        ("What held?", "The letters.", False),
    ]
    assert len(offer["problems"]) == 1
    assert "weather_in_words" in offer["problems"][0]
    write(folder, {"What held?": "The letters, all of them."})
    assert text(folder) == PAGE.replace('"The letters."', '"The letters, all of them."')
    write(folder, {"What held?": ""})
    assert "What held?" not in text(folder)
    assert "# asked last year\n" in text(folder), "no comment is ever taken out"


def test_one_prompt_asked_twice_has_two_answers(folder: Path) -> None:
    begin(folder, settings=SETTINGS.replace('"What may go?"', '"What carried?"'))
    offer = offered(folder)
    assert [q["ref"] for q in offer["questions"]] == ["What carried?", "What carried? (2)", "What next?"]
    raw = entered(offer)
    raw["answers"][1]["answer"] = "The second."
    assert saved(folder, raw).saved
    raw = entered(offered(folder))
    assert [row["answer"] for row in raw["answers"]] == ["The second.", "", ""]
    raw["answers"][1]["answer"] = "The other."
    assert saved(folder, raw).saved
    assert [row["answer"] for row in tomllib.loads(text(folder))["reflection"]] == ["The second.", "The other."]


def test_prompts_are_changed_in_journal_toml_and_answers_keep_theirs(folder: Path) -> None:
    write(folder, {"What may go?": "The count."})
    before = text(folder)
    offer = offered(folder)
    raw = entered(offer, prompts=["What next?", "What must go?", "What carried?", "Whom to thank?"])
    for row in raw["answers"]:
        if row["ref"] == "What next?":
            row["answer"] = "Photographs."
    raw["answers"].append({"ref": None, "prompt": "Whom to thank?", "answer": "Bojan."})
    answer = saved(folder, raw)
    assert answer.said == "Saved to 2025/2025-W11.toml and journal.toml at 21:04."
    assert (folder / "journal.toml").read_text(encoding="utf-8") == SETTINGS.replace(
        '["What carried?", "What may go?", "What next?"]',
        '["What next?", "What must go?", "What carried?", "Whom to thank?"]',
    )
    assert text(folder) == before + (
        '\n[[reflection]]\nprompt = "What next?"\nanswer = "Photographs."\n'
        '\n[[reflection]]\nprompt = "Whom to thank?"\nanswer = "Bojan."\n'
    )
    assert [(q["prompt"], q["answer"], q["asked"]) for q in offered(folder)["questions"]] == [
        ("What next?", "Photographs.", True),
        ("What must go?", "", True),
        ("What carried?", "", True),
        ("Whom to thank?", "Bojan.", True),
        ("What may go?", "The count.", False),
    ]


def test_an_answer_to_a_reworded_prompt_is_saved_under_the_new_words(folder: Path) -> None:
    raw = entered(offered(folder), prompts=["What carried you?", "What may go?", "What next?"])
    raw["answers"][0] |= {"prompt": "What carried you?", "answer": "The book."}
    assert saved(folder, raw).saved
    assert text(folder) == '[[reflection]]\nprompt = "What carried you?"\nanswer = "The book."\n'


def test_all_prompts_may_go_and_come_back(folder: Path) -> None:
    write(folder, prompts=[])
    assert "week = []  # three, no more" in (folder / "journal.toml").read_text(encoding="utf-8")
    assert offered(folder)["questions"] == []
    write(folder, prompts=[" What\ncarried? "])
    assert 'week = ["What carried?"]  # three, no more' in (folder / "journal.toml").read_text(encoding="utf-8")


def test_prompts_that_were_never_written_are_only_when_they_change(folder: Path) -> None:
    before = (folder / "journal.toml").read_text(encoding="utf-8")
    write(folder, {"What held this month?": "The letters."}, "2025-03")
    assert (folder / "journal.toml").read_text(encoding="utf-8") == before
    write(folder, key="2025-03", prompts=["What held?"])
    assert (folder / "journal.toml").read_text(encoding="utf-8") == before + 'month = ["What held?"]\n'


def test_two_tabs_that_write_different_things_keep_both(folder: Path) -> None:
    first, second = offered(folder), offered(folder)
    assert saved(folder, entered(first, {"What carried?": "The book."}, notes=["First."])).saved
    answer = saved(folder, entered(second, {"What next?": "Photographs."}, prompts=["What next?"], notes=["Second."]))
    assert answer.said.endswith("What was changed there meanwhile is kept."), answer
    page = tomllib.loads(text(folder))
    assert [(row["prompt"], row["answer"]) for row in page["reflection"]] == [
        ("What carried?", "The book."),
        ("What next?", "Photographs."),
    ]
    assert page["notes"] == ["First.", "Second."]


def test_where_both_changed_the_same_nothing_is_written_before_it_is_chosen(folder: Path) -> None:
    first, second = offered(folder), offered(folder)
    assert saved(folder, entered(first, {"What next?": "Photographs."}, prompts=["What next?"])).saved
    before, settings = text(folder), (folder / "journal.toml").read_text(encoding="utf-8")
    mine = entered(second, {"What next?": "Rest.", "What carried?": "The book."}, prompts=["And now?"])
    answer = saved(folder, mine)
    assert not answer.saved
    assert [(one.field, one.yours, one.theirs, one.file) for one in answer.conflict] == [
        ("answers.2", "Rest.", "Photographs.", "2025/2025-W11.toml"),
        ("prompts", ["And now?"], ["What next?"], "journal.toml"),
    ]
    assert (text(folder), (folder / "journal.toml").read_text(encoding="utf-8")) == (before, settings)
    picks = [
        {"field": one.field, "file": one.file, "theirs": one.theirs, "which": which}
        for one, which in zip(answer.conflict, ("both", "theirs"), strict=True)
    ]
    assert saved(folder, mine | {"resolve": picks}).saved
    answers = {row["prompt"]: row["answer"] for row in tomllib.loads(text(folder))["reflection"]}
    assert answers == {"What next?": "Photographs.\nRest.", "What carried?": "The book."}
    assert (folder / "journal.toml").read_text(encoding="utf-8") == settings


def test_a_change_beside_one_that_was_emptied_elsewhere_is_asked(folder: Path) -> None:
    write(folder, {"What next?": "Photographs."})
    stale = offered(folder)
    write(folder, {"What next?": ""})
    answer = saved(folder, entered(stale, {"What next?": "More photographs."}))
    assert [one.theirs for one in answer.conflict] == [None]
    assert text(folder) == "\n"


@pytest.mark.parametrize(
    ("page", "why"),
    [
        ("notes = [", "2025/2025-W11.toml:1"),
        ('reflection = "The letters."', "a reflection that is not a list of [[reflection]] tables"),
        ('notes = "The letters."', "notes that are not a list of texts"),
    ],
)
def test_a_page_that_cannot_be_read_says_so_and_is_not_written_over(folder: Path, page: str, why: str) -> None:
    good = offered(folder)
    begin(folder, page)
    offer = offered(folder)
    assert why in offer["closed"]
    assert offer["questions"] == offer["notes"] == offer["problems"] == []
    for base in (good, offer):
        raw = entered(good, {"What next?": "Photographs."}, notes=["Thread."]) | {"base": base["base"]}
        answer = saved(folder, raw)
        assert not answer.saved
        assert answer.problems or answer.conflict
        assert text(folder) == page


def test_settings_that_cannot_be_read_hinder_no_answer(folder: Path) -> None:
    begin(folder, settings='title = "Spine')
    offer = offered(folder)
    assert "journal.toml:1" in offer["prompts_closed"]
    assert [q["prompt"] for q in offer["questions"]] == ["What carried this week?", "What may go?"]
    answer = saved(folder, entered(offer, prompts=["Mine?"]))
    assert "journal.toml:1" in fields(answer)[""]
    assert saved(folder, entered(offer, {"What may go?": "The count."})).saved
    assert (folder / "journal.toml").read_text(encoding="utf-8") == 'title = "Spine'


@pytest.mark.parametrize("written", ['week = "What carried?"', "week = [1]"])
def test_prompts_of_another_shape_are_not_written_over(folder: Path, written: str) -> None:
    settings = SETTINGS.replace('week = ["What carried?", "What may go?", "What next?"]', written)
    offer = offered(begin(folder, settings=settings))
    assert "prompts that are not lists of texts" in offer["prompts_closed"]
    assert "not lists of texts" in fields(saved(folder, entered(offer, prompts=["Mine?"])))[""]
    assert (folder / "journal.toml").read_text(encoding="utf-8") == settings


def test_a_week_that_is_still_to_come_is_closed(folder: Path) -> None:
    offer = offered(folder, "2025-W12")
    assert offer["closed"] == "This week is still to come. It can be written from Monday 17 March 2025 on."
    answer = saved(folder, entered(offer, {"What next?": "Photographs."}))
    assert "still to come" in fields(answer)[""]
    assert not path(folder, "2025-W12").exists()


def test_what_is_wrong_is_said_beside_its_field(folder: Path) -> None:
    offer = offered(folder)
    raw = entered(offer, {"What carried?": "x" * (LONGEST_TEXT + 1), "What next?": "\x07"}, notes=["Fine.", 7])
    raw["prompts"] = ["What carried?", "\x07"]
    raw["answers"].append({"ref": None, "prompt": " ", "answer": "To what?"})
    answer = saved(folder, raw)
    assert set(fields(answer)) == {"answers.0.answer", "answers.2.answer", "answers.3", "notes.1", "prompts.1"}
    assert not path(folder).exists()


def test_an_untouched_answer_may_have_any_character(folder: Path) -> None:
    page = '[[reflection]]\nprompt = "What next?"\nanswer = "Bell \\u0007 and\\r\\nline."\n'
    begin(folder, page)
    write(folder, {"What carried?": "The book."})
    assert page.strip() in text(folder)


@pytest.mark.parametrize("raw", [None, [], {"period": "2025-03-14"}, {"period": "soon"}, {"period": WEEK, "base": 3}])
def test_what_is_no_review_is_refused(folder: Path, raw: Any) -> None:
    answer = saved(folder, raw)
    assert not answer.saved
    assert fields(answer)[""]


def test_nothing_touched_is_nothing_written(folder: Path) -> None:
    begin(folder, PAGE)
    assert write(folder) == "Nothing to save: the pages say all of it already."
    assert text(folder) == PAGE


def test_weeks_that_start_on_sunday_have_their_own_first_day(folder: Path) -> None:
    begin(folder, settings='week_starts = "sunday"\n' + SETTINGS)
    assert not offered(folder, "2025-W12")["closed"], "it began on Sunday 16 March"
    assert offered(folder, "2025-W13")["closed"].startswith("This week is still to come. It can be written from Sunday")
