"""Processes that are killed while they keep a state: at any byte, every earlier state is still read."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.choosing import Chooser
from tests.promises import history


@given(st.data())
def test_no_kill_costs_an_earlier_state(data: st.DataObject) -> None:
    history.one(Chooser(data.draw))
