"""The numbers of `reefjournal work-out` against worked examples from outside, and units as people write them."""

from __future__ import annotations

import pytest
from asking import ask, data


def test_two_milligrams_of_nitrogen_in_500_litres_take_3_82_grams() -> None:
    """Worked by hand from IUPAC 2021 weights: 2 x 500 / 1000 x 53.492 / 14.007."""
    assert data("ammonia --volume 500 --to 2")["value"] == pytest.approx(3.82, abs=0.005)


def test_a_dose_gives_back_the_level_that_it_was_worked_out_for() -> None:
    assert data("dose-added --grams 3.819 --volume 500")["value"] == pytest.approx(2.0, abs=0.001)


def test_the_worked_example_of_gas_struts_is_met() -> None:
    """Engineering magazine, note on sizing gas springs: 50 kg, 0.8 m, 0.25 m, two struts: 784.8 N each."""
    assert data("struts --mass 50 --to-gravity 80 --arm 25")["value"] == pytest.approx(784.8)


def test_500_litres_by_5_degrees_take_about_7_hours_with_400_watts() -> None:
    """Worked by hand: 500 L x 4.09 kJ x 5 K / 0.4 kW / 3600 s = 7.1 h."""
    assert data("warm-up --volume 500 --start 20 --to 25 --watts 400")["value"] == pytest.approx(7.1, abs=0.05)


def test_a_plan_of_150_by_60_centimetres_drains_9_litres_a_centimetre() -> None:
    """Worked by hand: 15 dm x 6 dm x 0.1 dm = 9.0 L."""
    assert data("drain-down --length 150 --width 60 --fall 10 --sump-room 40")["litres"] == pytest.approx(9.0)


@pytest.mark.parametrize(("now", "to", "new", "share"), [(40, 10, 0, 0.75), (40, 20, 10, 2 / 3), (50, 25, 5, 5 / 9)])
def test_a_water_change_is_the_fall_over_the_difference_of_waters(now: int, to: int, new: int, share: float) -> None:
    """The conservation of mass: f = (C0 - Ct) / (C0 - Cw)."""
    found = data(f"water-change --now {now} --to {to} --new {new} --volume 300")
    assert found["value"] == pytest.approx(300 * share)


def test_free_ammonia_meets_a_cell_of_the_criteria_table() -> None:
    """US EPA 1989, EPA 440/5-88-004: at 30 g/kg, pH 8.0, 25 °C the chronic 0.035 is 0.75 mg NH3/L in all."""
    found = data("free-ammonia --ammonia '0.75 as NH3' --ph 8 --temperature 25 --salinity 30")
    assert found["high"] == pytest.approx(0.035, rel=0.05)


def test_the_standard_seawater_of_the_practical_scale_is_35() -> None:
    """UNESCO Technical Papers in Marine Science 44, 1983: 42.914 mS/cm at 15 °C is salinity 35."""
    assert data("salinity --conductivity 42.914 --temperature 15")["value"] == pytest.approx(35.0, abs=0.01)


def test_oxygen_in_balance_with_air_is_the_tabled_one() -> None:
    """gsw 3.6: O2sol_SP_pt x rho_t_exact x 31.9988 g/mol is 6.771 mg/L at 25 °C and salinity 35."""
    assert data("oxygen --temperature 25 --salinity 35")["value"] == pytest.approx(6.771, abs=1.5e-3)


def test_a_cubic_metre_over_a_square_metre_presses_like_a_metre_of_sea_water() -> None:
    """Hydrostatics: 1.023 t x 9.81 m/s2 over 1 m2 = 10.04 kN/m2."""
    found = data("floor-load --volume 1000 --length 100 --width 100")
    assert found["pressure_kn_m2"] == pytest.approx(10.04, abs=0.01)


def test_a_strip_draws_its_watts_over_its_volts() -> None:
    found = data("strip --device 'heater 300' --device 'return pump: 160' --volts 230 --amperes 10")
    assert (found["watts"], found["amperes"]) == (460.0, pytest.approx(2.0))


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        # NIST Handbook 44, appendix C (from memory): 1 US gallon = 3.785411784 L, 1 inch = 25.4 mm, F = 1.8 C + 32.
        ("ammonia --to 2 --volume '76 US gal'", "ammonia --to 2 --volume 287.691295584"),
        ("oxygen --temperature 77F --salinity 35", "oxygen --temperature 25 --salinity 35"),
        ("oxygen --temperature '77 °F' --salinity '35 psu'", "oxygen --temperature 25 --salinity 35"),
        ("floor-load --volume 290 --length 47.2in --width 55", "floor-load --volume 290 --length 119.888 --width 55"),
        ("warm-up --volume 0.5m3 --start 68F --to 25 --watts '400 W'",
         "warm-up --volume 500 --start 20 --to 25 --watts 400"),
        # IUPAC 2021 weights: 1 dKH = 0.35665 meq/L; 1 mg NH4/L = 0.77649 mg N/L; 1 mg N/L = 4.4266 mg NO3/L.
        ("alkalinity --now '2.5 meq/L' --to 8 --volume 290", "alkalinity --now 7.009625 --to 8 --volume 290"),
        ("free-ammonia --ammonia '0.5 as NH4'", "free-ammonia --ammonia 0.388247"),
        ("water-change --now '9 as N' --to 10 --volume 290", "water-change --now 39.8394 --to 10 --volume 290"),
    ],
)  # fmt: skip
def test_a_unit_behind_a_number_means_the_same_as_the_plain_number_in_the_stated_unit(written: str, plain: str) -> None:
    found, expected = data(written), data(plain)
    for key in ("value", "mass_kg", "pressure_kn_m2"):
        if key in expected:
            assert found[key] == pytest.approx(expected[key], rel=2e-4)


def test_takes_may_carry_their_unit_once() -> None:
    """1 inch is 25.4 mm."""
    line = "panels --width 40/40/40.5in --height 452/451/452 --bottom-groove 6 --top-groove 16 --json"
    assert "widths 1016, 1016, 1028.7 mm" in ask(line).output


def test_a_gallon_of_unknown_country_doses_for_the_smaller_one() -> None:
    assert data("ammonia --to 2 --volume 76gal")["value"] == pytest.approx(
        data("ammonia --to 2 --volume '76 US gal'")["value"]
    )


def test_a_volume_that_is_not_sure_is_dosed_at_its_low_end() -> None:
    said = data("ammonia --to 2 --volume 280-300")
    assert said["value"] == said["low"] == pytest.approx(data("ammonia --to 2 --volume 280")["value"])
    assert said["answer"] == "Ammonium chloride: 2.14 g, the low end of 2.14 to 2.29 g, so that 2 mg N/L is not passed"


def test_nothing_is_given_where_enough_ammonia_may_be_there() -> None:
    assert data("ammonia --to 2 --now 1.5-2.5 --volume 290")["answer"] == (
        "Ammonium chloride: none, since 2 mg N/L may be there already"
    )


def test_water_that_is_too_salty_is_answered_with_pure_water() -> None:
    """The conservation of mass: 290 x (1 - 35 / 36)."""
    found = data("salt --volume 290 --now 36 --to 35")
    assert (found["of"], found["value"]) == ("tank water to replace by pure water", pytest.approx(290 / 36))


def test_a_balance_within_its_error_bar_adds_up() -> None:
    assert data("nitrogen-balance --given 4 --changed 20 --nitrate 10-20")["answer"].endswith("; it adds up")


def test_a_balance_below_nothing_at_both_ends_is_missing_nitrogen() -> None:
    assert "some is missing" in data("nitrogen-balance --given 4 --nitrate 5-10")["answer"]


def test_struts_that_were_chosen_are_worked_out_as_given() -> None:
    lid = "lid --mass 8 --to-gravity 30 --to-edge 60 --along 25 --below 2 --across 8 --up -22"
    assert data(f"{lid} --newton 60")["answer"] == "Gas struts: 2 of 60 N, as given"
