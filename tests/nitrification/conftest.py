"""Checks marked `byhand` run only when asked for: pytest -m byhand."""

import pytest


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if "byhand" in (config.option.markexpr or ""):
        return
    for item in items:
        if "byhand" in item.keywords:
            item.add_marker(pytest.mark.skip(reason="run by hand: pytest -m byhand"))
