"""What the adapter promises beside the matches: a fallback, no leftovers, no silent fault, no name that collides."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from types import SimpleNamespace

import pytest
from speaker import Speaker, filled, say, small_book

from reefjournal.advisor import engine
from reefjournal.advisor.advise import advise
from reefjournal.advisor.chainer import Match
from reefjournal.advisor.engine import KIND, WITNESS, EngineError
from reefjournal.advisor.rules import Clause, Condition, Pattern, Reference
from reefjournal.facts import KINDS, Fact

CLAUSE = (Pattern("a", "latest", (Condition("low", ">", 0.0),)),)
FACTS = [say("latest", low=1.0)]


def fnv1a(text: str) -> int:
    """FNV-1a, 32 bits, by which the engine knows property names.

    Source of the constants (published): Fowler, Noll, Vo and Eastlake, The FNV Non-Cryptographic Hash Algorithm, IETF
    Internet-Draft: offset basis 0x811c9dc5, prime 0x01000193; its check value for "foobar" is 0xbf9cf968.
    """
    value = 0x811C9DC5
    for byte in text.encode():
        value = ((value ^ byte) * 0x01000193) % 2**32
    return value


def test_no_two_names_that_reach_the_engine_have_one_hash() -> None:
    assert fnv1a("foobar") == 0xBF9CF968
    properties = {f"v_{name}" for kind in KINDS.values() for name in kind.properties}
    names = {*properties, *(f"p{place}" for place in range(16)), KIND, WITNESS, "id", "sid"}
    assert len({fnv1a(name) for name in names}) == len(names)


def test_the_plain_engine_steps_in_where_the_compiled_one_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "durable_rules_engine", None)
    engine.modules.cache_clear()
    advice = advise(small_book(), Speaker([filled()]))
    engine.modules.cache_clear()
    assert advice.engine.startswith("plain (the compiled engine cannot be loaded: ")
    assert advice.stage is not None


def test_the_compiled_engine_can_be_insisted_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "durable_rules_engine", None)
    engine.modules.cache_clear()
    with pytest.raises(EngineError, match="cannot be loaded"):
        advise(small_book(), Speaker([filled()]), engine="compiled")
    engine.modules.cache_clear()


@pytest.mark.skipif(not hasattr(sys, "getdlopenflags"), reason="no dynamic loader flags on this system")
def test_the_loader_flags_are_put_back_after_the_import() -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    before = sys.getdlopenflags()
    engine.modules.cache_clear()
    engine.modules()
    assert sys.getdlopenflags() == before


def test_a_dispatch_that_does_not_reach_the_witness_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    durable, compiled = engine.modules()

    class Lazy(durable.Ruleset):  # type: ignore[misc,name-defined]
        def dispatch(self) -> None:
            """Fires nothing."""

    handled = durable.MessageNotHandledException
    lazy = SimpleNamespace(Ruleset=Lazy, MessageNotHandledException=handled)
    monkeypatch.setattr(engine, "modules", lambda: (lazy, compiled))
    with pytest.raises(EngineError, match="did not run to its end"):
        engine.find([CLAUSE], FACTS)


def test_every_ruleset_is_deleted_after_its_run(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    durable, compiled = engine.modules()
    made: list[int] = []
    gone: list[int] = []

    class Counted(durable.Ruleset):  # type: ignore[misc,name-defined]
        def __init__(self, *given: object) -> None:
            super().__init__(*given)
            made.append(self._handle)

    def delete(handle: int) -> None:
        gone.append(handle)
        compiled.delete_ruleset(handle)

    counted = SimpleNamespace(Ruleset=Counted, MessageNotHandledException=durable.MessageNotHandledException)
    monkeypatch.setattr(engine, "modules", lambda: (counted, SimpleNamespace(delete_ruleset=delete)))
    many: list[Fact] = [say("latest", low=float(n)) for n in range(5)]
    assert len(engine.find([CLAUSE] * 100, many)) == 400
    assert len(made) > 1
    assert gone == made


def test_the_engine_is_not_told_of_what_no_fact_could_fill(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    told: list[int] = []
    run = engine.run

    def listening(batch: Sequence[tuple[int, Clause]], facts: Sequence[Fact]) -> list[Match]:
        told.extend(place for place, _ in batch)
        return run(batch, facts)

    monkeypatch.setattr(engine, "run", listening)
    higher = (*CLAUSE, Pattern("b", "latest", (Condition("low", ">", 5.0),)))
    above = (*CLAUSE, Pattern("b", "latest", (Condition("low", ">", Reference("a", "low")),)))
    assert engine.find([higher, CLAUSE, above], [say("latest", low=1.0), say("latest", low=2.0)]) == [
        Match(1, (0,)), Match(1, (1,)), Match(2, (0, 1)),
    ]  # fmt: skip
    assert told == [1, 2]
