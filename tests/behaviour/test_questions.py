"""What `step` may ask about a zone: the proofs are sound because they see each of these questions, and no others.

A proof answers a question about a zone that it doesn't keep with both yes and no. A fact that is read past the
questions would be taken for what it happens to be, and a promise could be said to hold that doesn't.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from zonewright.behaviour import step
from zonewright.behaviour.state import Draft
from zonewright.proof.prover.unknowns import View

ROOM = Path(step.__file__).parent
DECIDING = ("step", "openings", "arming", "disarming", "troubles", "panel_itself", "effects")
OF_ZONES = frozenset({"open", "bypassed", "troubles", "standing", "alarms"})
QUESTIONS = frozenset({"is_open", "is_bypassed", "is_shut_out", "has", "stands", "bars_setting"})
# Where one of these is read nevertheless, and why a proof may let it be.
READ = {
    ("effects", "count_alarm", "alarms"): "it counts one more, of a zone whose count is asked by `is_shut_out`",
    ("effects", "forget_alarms", "alarms"): "all counts of an area go, whatever they are",
    ("panel_itself", "watch_again", "alarms"): "all counts go, whatever they are",
}


def reads() -> Iterator[tuple[str, str, str]]:
    """Give each reading of a set of zones: file, function, which set. To add to a set or take from it isn't to read."""
    for name in DECIDING:
        tree = ast.parse((ROOM / f"{name}.py").read_text("utf-8"))
        for function in ast.walk(tree):
            for node in ast.walk(function) if isinstance(function, ast.FunctionDef) else ():
                of_draft = isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "d"
                if of_draft and isinstance(node.ctx, ast.Load) and node.attr in OF_ZONES:  # type: ignore[attr-defined]
                    yield name, function.name, node.attr  # type: ignore[attr-defined]


def test_a_deciding_file_asks_of_zones_nothing_past_the_questions() -> None:
    assert set(reads()) == set(READ)


def test_a_proof_sees_each_question() -> None:
    assert set(vars(View)) >= QUESTIONS
    assert all(callable(getattr(Draft, name)) for name in QUESTIONS)


def test_the_heads_of_the_deciding_files_are_where_the_questions_stand() -> None:
    assert all(f"`{name}`" in (step.__doc__ or "") for name in QUESTIONS)
