"""Every key of journal.toml has its place in the order of new keys."""

from __future__ import annotations

import msgspec
from msgspec import inspect

from journal.folder import settings_order
from journal.folder.toml_edit import rewritten
from journal.settings import Settings


def test_every_key_has_its_place() -> None:
    fields = msgspec.structs.fields(Settings)
    assert {field.encode_name for field in fields} == set(settings_order.ORDER)
    for field in fields:
        kind = inspect.type_info(field.type)
        inner = kind.item_type if isinstance(kind, inspect.VarTupleType) else kind
        if isinstance(inner, inspect.StructType):
            names = {part.encode_name for part in inner.fields}
            assert names == set(settings_order.ORDERS_WITHIN[field.encode_name])


def test_new_keys_and_tables_go_where_start_writes_them() -> None:
    text = (
        'title = "A"\nblank = "breaks"\n\n[day]\nturns = "04:00"\n\n[hours.usual]\nsleep = []\n\n'
        '# Home.\n[[places]]\nkey = "home"\n\n[prompts]\nweek = ["A"]\n'
    )
    old = {
        "title": "A",
        "blank": "breaks",
        "day": {"turns": "04:00"},
        "hours": {"usual": {"sleep": []}},
        "places": [{"key": "home"}],
        "prompts": {"week": ["A"]},
    }
    new = old | {
        "clock": 12,
        "hours": {"usual": {"sleep": []}, "sunday": {"sleep": ["00:00-08:00"]}},
        "habits": [{"key": "walk", "name": "Walk"}],
    }
    assert rewritten(text, old, new, settings_order.rank) == (
        'title = "A"\nclock = 12\nblank = "breaks"\n\n[day]\nturns = "04:00"\n\n[hours.usual]\nsleep = []\n\n'
        '[hours.sunday]\nsleep = ["00:00-08:00"]\n\n# Home.\n[[places]]\nkey = "home"\n\n'
        '[[habits]]\nkey = "walk"\nname = "Walk"\n\n[prompts]\nweek = ["A"]\n'
    )
