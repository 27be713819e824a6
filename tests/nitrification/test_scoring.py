"""The score of the benchmark, and that its truth obeys the laws that it shares with the model."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"


@pytest.fixture
def benchmark_modules(monkeypatch):
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    import cycles
    import forecast

    return cycles, forecast


def test_crps_of_a_normal_forecast_is_the_published_closed_form(benchmark_modules):
    """Gneiting and Raftery 2007, JASA 102: 359; scoringrules 0.10 gives 3.97769602 for N(20, 4) and 26."""
    _, forecast = benchmark_modules
    days = norm.ppf((np.arange(4000) + 0.5) / 4000, 20, 4)
    assert forecast.crps(days, 26.0, np.inf) == pytest.approx(3.97769602, abs=2e-3)


def test_a_day_past_the_horizon_scores_as_the_horizon(benchmark_modules):
    _, forecast = benchmark_modules
    assert forecast.crps(np.array([np.inf, np.inf]), np.inf, 120.0) == 0


def test_the_simulated_truth_keeps_its_nitrogen(benchmark_modules):
    cycles, _ = benchmark_modules
    cycle = cycles.draw(2)
    assert not cycle.run.water_changes
    for before, after in ((0, 9), (9, 120)):
        first, last = (cycle.days[day] for day in (before, after))
        dosed = sum(amount for day, amount in cycle.true_doses.items() if before < day <= after)
        whole = [w.ammonia + w.nitrite + w.nitrate + w.tissue + w.leach for w in (first, last)]
        assert whole[1] - whole[0] == pytest.approx(dosed, abs=1e-9)
