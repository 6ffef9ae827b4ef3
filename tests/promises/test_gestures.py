"""A small part of the campaign `python -m tests.promises.gestures`, with failing cases made small by Hypothesis."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from unittest import mock

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from tests.choosing import Chooser
from tests.promises.gestures import GESTURES, Gesture
from tests.promises.world import World


class Gestures(RuleBasedStateMachine):
    """A journal in which one gesture follows the other."""

    def __init__(self) -> None:
        super().__init__()
        self.directory = tempfile.TemporaryDirectory()
        self.world = World(Path(self.directory.name) / "journal")

    @rule(gesture=st.sampled_from(GESTURES), choices=st.binary(min_size=64, max_size=64))
    def step(self, gesture: Gesture, choices: bytes) -> None:
        self.world.choose = Chooser(lambda _: choices)
        gesture(self.world)

    @invariant()
    def nothing_is_lost(self) -> None:
        assert self.world.wrong() == [], self.world.told

    def teardown(self) -> None:
        self.directory.cleanup()


def test_no_gesture_loses_or_doubles_anything() -> None:
    with mock.patch.object(os, "fsync", lambda _: None):
        run_state_machine_as_test(
            Gestures, settings=settings(max_examples=4, stateful_step_count=15, deadline=None, derandomize=True)
        )
