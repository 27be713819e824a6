"""`reefjournal work-out --notes`: what is taken from the notes is cited, and a dose that may do harm is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from asking import ask, data, notes
from click.testing import Result

SAMPLE = Path(__file__).parents[2] / "sample_journal"
TANK = (
    "## 2026-03-01",
    "vessel: display, 120 x 55 x 50 cm, 290 L water",
    "kit: ammonia, as N, card 0 0.2 0.5 1 2 4",
    "water: filled 290 L at 35 ppt",
    "test: ammonia 0",
)
OVER = "with what may be there already it could pass 4 mg/L"
DOSE = "ammonia --to 2 --on 2026-03-05"


def dosed(folder: Path, *records: str, line: str = DOSE) -> Result:
    """The answer about a dose on 5 March, with these records after the tank's own."""
    return ask(f"{line} --notes {notes(folder, *TANK, *records)}")


def refused(done: Result, why: str, line: str) -> bool:
    """Whether no gram was said, and the reason and the note line were."""
    return (
        done.exit_code == 1
        and f"no ammonia for display: {why}" in done.output
        and line in done.output
        and "Ammonium chloride" not in done.output
    )


def test_the_whole_answer_cites_each_number_with_its_line_and_its_age() -> None:
    """On the invented sample journal, where a card step of 0.5 as NH4 means about 0.25 to 0.55 as N."""
    assert ask(f"ammonia --to 2 --notes {SAMPLE} --on 2026-02-09").output == (
        "Ammonium chloride: 1.61 g, the low end of 1.61 to 1.94 g, so that 2 mg N/L is not passed\n"
        "\n"
        "From the notes\n"
        "  - volume: 290 L (2026-02-water.md:17, 2026-02-03)\n"
        "  - now: 0.2455 to 0.5491 mg N/L (2026-02-water.md:57, 2026-02-08, 1 day old)\n"
        "\n"
        "Working\n"
        "  - ammonia: 0.246 to 0.549 mg N/L now, 2 mg N/L wanted, in 290 L\n"
        "  - 1 g holds 261.9 mg N (ratio of atomic weights, IUPAC 2021)\n"
        "  - 2 mg N/L is 2.43 as NH3 and 2.58 as NH4\n"
        "\n"
        "Take care: Only where nothing lives: no fish, shrimp, snail, coral or live rock. Ammonia\n"
        "kills. Keep the powder from bleach (poisonous gas), from children and from food.\n"
    )


def test_a_number_on_the_command_line_overrides_the_note_and_says_so() -> None:
    found = data(f"water-change --to 10 --volume 200 --notes {SAMPLE} --on 2026-04-10")
    assert "volume: 200 L from the command line, instead of 290 L (2026-02-water.md:17, 2026-02-03)" in [
        one["from"] for one in found["taken"]
    ]
    assert found["value"] < 200


@pytest.mark.parametrize(
    ("record", "why"),
    [
        ("stock: added 6 turban snails", "an animal may be present"),
        ("stock: live rock 5 kg", "an animal may be present"),
        ("stock: added 2 gobbies and a shrmp", "an animal may be present"),
        ("A snail sat on the glass this morning.", "an animal may be present"),
    ],
)
def test_no_dose_where_anything_lives_or_may_live(record: str, why: str, tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", record)
    assert refused(done, why, f"notes.md:7 {record}"), done.output


def test_no_dose_where_animals_left_and_none_was_not_written(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", "stock: added 1 goby", "stock: removed 1 goby")
    assert refused(done, "an animal may be present", "notes.md:8 stock: removed 1 goby"), done.output


def test_a_dose_again_once_it_is_written_that_none_lives_there(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", "stock: added 1 goby", "## 2026-03-04", "stock: none")
    assert done.exit_code == 0, done.output
    assert done.output.startswith("Ammonium chloride: 2.1 g, the low end of 2.1 to 2.21 g, so that 2 mg N/L is not")


def test_no_dose_where_the_volume_is_not_in_the_notes_even_if_it_is_typed(tmp_path: Path) -> None:
    vessel = "vessel: display, 120 x 55 x 50 cm"
    file = notes(tmp_path, "## 2026-03-01", vessel, "water: filled", "test: ammonia 0 as N")
    asked = ask(f"{DOSE} --notes {file}")
    assert (asked.exit_code, "the notes give no net volume" in asked.output) == (2, True)
    typed = ask(f"{DOSE} --volume 290 --notes {file}")
    assert refused(typed, "the water volume is not known", "notes.md:2 vessel: display"), typed.output


def test_no_dose_into_a_vessel_that_is_not_filled(tmp_path: Path) -> None:
    file = notes(tmp_path, "## 2026-03-01", "vessel: display, 120 x 55 x 50 cm, 290 L water")
    done = ask(f"{DOSE} --now 0 --notes {file}")
    assert refused(done, "the notes do not show that the vessel is filled", "notes.md:2"), done.output


def test_no_dose_above_four_with_what_was_given_and_not_shown_oxidised(tmp_path: Path) -> None:
    """Two doses of 2 mg N/L leave no room, whatever a kit that never moved says."""
    done = dosed(
        tmp_path,
        "## 2026-03-02", "dose: ammonium chloride 2.2 g",
        "## 2026-03-03", "dose: ammonium chloride 2.2 g",
        "## 2026-03-04", "test: ammonia 0",
        line="ammonia --to 1 --on 2026-03-05",
    )  # fmt: skip
    assert refused(done, OVER, "notes.md:7 dose: ammonium chloride 2.2 g")
    assert "notes.md:9 dose: ammonium chloride 2.2 g" in done.output


def test_a_larger_volume_on_the_command_line_lifts_no_limit(tmp_path: Path) -> None:
    """2 mg N/L in 2900 L is 20 mg N/L in the 290 L that the notes know."""
    done = dosed(tmp_path, line=f"{DOSE} --volume 2900")
    assert refused(done, OVER, "notes.md:2 vessel: display"), done.output


def test_a_lower_reading_on_the_command_line_lifts_no_limit(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", "test: ammonia 2", line=f"{DOSE} --now 0")
    assert refused(done, "the newest test allows more", "notes.md:7 test: ammonia 2"), done.output


def test_what_the_newest_test_shows_is_there_though_nobody_gave_it(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", "test: ammonia 4", line=f"{DOSE} --now 0")
    assert refused(done, OVER, "notes.md:7 test: ammonia 4"), done.output


def test_a_reading_off_the_card_is_no_number_to_count_with(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-03", "test: ammonia >4")
    assert done.exit_code == 2
    assert "has no upper end; dilute the sample and test again" in done.output


def test_a_reading_that_is_too_old_is_asked_for_and_never_assumed(tmp_path: Path) -> None:
    """Else a tank that was salted long ago would be taken for pure water."""
    done = dosed(tmp_path, "test: salinity 35 ppt", line="salt --on 2026-03-25")
    assert done.exit_code == 2
    assert "salt needs --now in ppt (35 ppt in notes.md:6, 2026-03-01 is 24 days old)" in done.output


def test_what_was_not_measured_is_left_out_of_free_ammonia_and_assumed_on_the_safe_side(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-05", "test: ammonia 1, temperature 25 C", line="free-ammonia --on 2026-03-05")
    assert "pH: left out, since the notes hold no pH that may be relied on" in done.output
    assert "pH not measured: 8.5 assumed, on the protective side" in done.output


def test_a_kits_blank_is_taken_off_as_the_advisor_does(tmp_path: Path) -> None:
    records = ("## 2026-03-04", "test: ammonia 1", "check: ammonia blank 0.5")
    with_blank = dosed(tmp_path, *records, line="free-ammonia --on 2026-03-05 --json").output
    without = dosed(tmp_path, *records[:2], line="free-ammonia --on 2026-03-05 --json").output
    assert '"ammonia: 0.7071 to 1.414 mg N/L (notes.md:7' in without
    assert '"ammonia: 0.7071 to 1.414 mg N/L' not in with_blank


def test_a_withdrawn_reading_is_not_taken(tmp_path: Path) -> None:
    done = dosed(
        tmp_path, "## 2026-03-04", "test: ammonia 2", "## 2026-03-05", "discard: ammonia 2026-03-04, expired reagent"
    )
    assert "now: 0 to 0.1 mg N/L (notes.md:5, 2026-03-01, 4 days old)" in done.output


def test_the_newest_takes_of_an_opening_are_cut_to() -> None:
    line = f"panels --bottom-groove 6 --top-groove 16 --notes {SAMPLE} --on 2026-02-01"
    found = data(f"{line} --opening 'right door opening'")
    assert [one["from"] for one in found["taken"]] == [
        "width: 590/589/589.5 mm (2026-01-building.md:109, 2026-01-28)",
        "height: 702/702/703 mm (2026-01-building.md:108, 2026-01-28)",
    ]
    assert "the notes measure: left door opening, right door opening" in ask(line).output


def test_a_capacity_is_that_of_the_newest_challenge_that_was_cleared() -> None:
    """On the invented sample: 1.55 g in 290 L gone within 24 hours, 1.4 x 290 mg N a day."""
    found = data(f"capacity --notes {SAMPLE} --on 2026-04-12")
    assert found["value"] == pytest.approx(1.55 * 261.87, abs=1)
    assert "challenge of 2026-04-07, 2026-04-proof.md:37" in found["taken"][0]["from"]


def test_a_balance_counts_every_dose_and_change_since_the_first(tmp_path: Path) -> None:
    """By hand: 2 mg N/L, a fifth changed, 1 mg N/L: 2.6 expected; nothing was there before."""
    done = dosed(
        tmp_path,
        "test: nitrite 0 as N, nitrate 0 as N",
        "## 2026-03-02", "dose: ammonium chloride 2.215 g",
        "## 2026-03-03", "water: changed 58 L",
        "## 2026-03-04", "dose: ammonium chloride 1.1075 g", "test: ammonia 0, nitrite 0 as N, nitrate 2.6 as N",
        line="nitrogen-balance --on 2026-03-05",
    )  # fmt: skip
    assert "expected from what was given and changed: 2.6 to" in done.output
    assert "it adds up" in done.output


def test_a_balance_as_json_names_what_was_given_and_changed() -> None:
    """On the invented sample, where nitrogen was given in several steps."""
    taken = {one["name"]: one["value"] for one in data(f"nitrogen-balance --notes {SAMPLE} --on 2026-05-20")["taken"]}
    assert {frozenset(step) for step in taken["given_since"]} == {frozenset({"mg_n"}), frozenset({"share", "new_mg_n"})}


def test_a_balance_is_refused_where_a_dose_has_no_amount(tmp_path: Path) -> None:
    done = dosed(tmp_path, "## 2026-03-02", "dose: ammonium chloride", line="nitrogen-balance --on 2026-03-05")
    assert done.exit_code == 2
    assert "how much nitrogen this brought is not known: notes.md:7 dose: ammonium chloride" in done.output


def test_an_emergency_change_is_the_most_that_may_be_needed() -> None:
    """On the invented sample: a reading that may lie above or below what is borne."""
    found = data(f"emergency-change --vessel quarantine --notes {SAMPLE} --on 2026-05-13")
    assert found["low"] == 0
    assert found["value"] == found["high"] > 0
    assert found["answer"] == "Water to change: 17.5 L, the high end of 0 to 17.5 L"


def test_another_vessel_is_asked_about_by_name() -> None:
    found = data(f"warm-up --start 20 --to 25 --watts 100 --vessel 'rock bin' --notes {SAMPLE} --on 2026-02-01")
    assert "volume: 60 L (2026-01-building.md" in found["taken"][0]["from"]
    shed = ask(f"ammonia --to 2 --vessel shed --notes {SAMPLE}")
    assert (shed.exit_code, shed.output) == (
        2, "Error: --vessel: no vessel is called 'shed'; there are: display, rock bin, quarantine.\n",
    )  # fmt: skip


def test_notes_that_are_not_there_are_answered_in_one_line(tmp_path: Path) -> None:
    done = ask(f"ammonia --to 2 --notes {tmp_path / 'none'}")
    assert done.exit_code == 1
    assert "there is no such file or folder" in done.output
