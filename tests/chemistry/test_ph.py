"""pH scales against another implementation."""

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.ph import convert_ph

SCALE = st.sampled_from(["NBS", "total", "free"])


def test_the_scales_differ_as_in_another_implementation():
    """PyCO2SYS 1.8.3: Dickson 1990 for bisulfate, Dickson and Riley 1979 for fluoride, Takahashi et al. 1982."""
    temperature, salinity = (axis.ravel() for axis in np.meshgrid([10.0, 20.0, 25.0, 30.0], [20.0, 28.0, 35.0, 40.0]))
    theirs = PyCO2SYS.sys(
        par1=2300.0, par2=8.1, par1_type=1, par2_type=3, salinity=salinity, temperature=temperature, opt_pH_scale=1
    )
    for scale, key in (("NBS", "pH_nbs"), ("free", "pH_free")):
        ours = convert_ph(8.1, temperature, salinity, "total", scale)
        np.testing.assert_allclose(ours, theirs[key], atol=2e-5)


@pytest.mark.parametrize(("scale", "above"), [("NBS", 0.137), ("free", 0.108)])
def test_reef_water_reads_higher_on_the_other_scales_than_on_the_total_one(scale, above):
    """Salinity 35, 25 °C: PyCO2SYS 1.8.3, as tabled in the reference notes."""
    assert convert_ph(8.1, 25.0, 35.0, "total", scale) - 8.1 == pytest.approx(above, abs=6e-4)


@given(st.floats(6, 10), st.floats(0, 40), st.floats(5, 42), SCALE, SCALE)
def test_to_another_scale_and_back_is_where_it_began(ph, temperature, salinity, there, back):
    moved = convert_ph(ph, temperature, salinity, there, back)
    assert convert_ph(moved, temperature, salinity, back, there) == pytest.approx(ph, abs=1e-12)
