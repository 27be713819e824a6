"""Every rule of the built-in book in turn, with all tests of one rule in a row."""

from __future__ import annotations

import pytest
from trials import book

from reefjournal.advisor.rules import Rule


@pytest.fixture(scope="session", params=sorted(book().rules))
def rule(request: pytest.FixtureRequest) -> Rule:
    """One rule; with this scope pytest runs the tests of one rule one after another, whatever file they stand in."""
    return book().rules[request.param]
