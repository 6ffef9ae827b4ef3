"""Every key of journal.toml has a control on the settings page."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
from msgspec import inspect

from journal.settings import Settings
from journal.setup.setting_fields import SINGLE_FIELDS
from journal.setup.setting_lists import ROW_KINDS, SCHEDULE_KEYS
from journal.setup.setting_sections import SECTIONS, STRIPS, field_names


def keys_of(struct: type[msgspec.Struct], within: str = "") -> Iterator[str]:
    """The keys of a struct and of the structs in it, as "day.turns"; a list of structs as its items."""
    for field in msgspec.structs.fields(struct):
        kind = inspect.type_info(field.type)
        inner = kind.item_type if isinstance(kind, inspect.VarTupleType) else kind
        name = within + field.encode_name
        if isinstance(inner, inspect.StructType):
            yield from keys_of(inner.cls, f"{name}.")
        elif isinstance(inner, inspect.DictType):
            yield from (f"{name}.{strip}" for strip in STRIPS)
        else:
            yield name


def test_every_key_has_a_control_and_every_control_a_key() -> None:
    assert set(field_names()) == set(keys_of(Settings))


def test_a_schedule_is_on_the_lists_that_have_its_keys() -> None:
    keys = set(keys_of(Settings))
    for name, kind in ROW_KINDS.items():
        assert kind.has_schedule == any(f"{name}.{key}" in keys for key in SCHEDULE_KEYS)
        assert bool(kind.key_word) == (f"{name}.key" in keys)
        assert kind.name_key in {field.key for field in kind.fields}


def test_every_field_and_list_is_in_one_section() -> None:
    names = [name for section in SECTIONS for name in section.fields]
    assert sorted(names) == sorted(".".join(path) for path in SINGLE_FIELDS)
    assert sorted(section.list for section in SECTIONS if section.list) == sorted(ROW_KINDS)
    assert [section.key for section in SECTIONS if section.has_strips] == ["hours"]
