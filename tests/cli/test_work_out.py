"""`reefjournal work-out`: every topic explains itself, its examples run, and a mistake is answered in one line."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from itertools import product
from pathlib import Path

import pytest
from asking import ask, data, notes, topics

# Invented notes in which every topic finds what it looks for: a tank that has cleared a challenge and holds no animal.
FULL = (
    "## 2026-03-01",
    "vessel: display, 120 x 55 x 50 cm, 290 L water with sump",
    "kit: ammonia, as N, card 0 0.2 0.5 1 2 4",
    "kit: nitrite, as NO2, card 0 0.1 0.3 0.8 2 5",
    "kit: nitrate, as NO3, card 0 2 5 10 20 40 80",
    "water: filled 290 L",
    "test: ammonia 0, nitrite 0, nitrate 2",
    "measure: left door opening width 588/588/587 mm",
    "measure: left door opening height 702/701/701.5 mm",
    "measure: lid mass 8 kg, lid depth 600 mm, strut lid mount 250 mm",
    "measure: strut frame mount 220 mm below hinge, strut frame mount 80 mm in front of hinge",
    "gear: gas strut added, 2 of 40 N",
    "## 2026-03-02 08:00",
    "08:00 dose: ammonium chloride 1.11 g",
    "09:00 ammonia 1",
    "## 2026-03-03 07:00",
    "07:00 test: ammonia 0, nitrite 0, nitrate 10, pH 8.1, temperature 25.4 C, salinity 36 ppt",
    "07:30 test: alkalinity 7.2 dKH, calcium 400, magnesium 1250, oxygen 6.2 mg/L",
    "stock: none",
    "plan: food 0.5 g pellets 45 % protein every day",
)


def examples(topic: str) -> list[str]:
    """The lines that a topic's help tells to type, without the program's name."""
    lines = (line.strip() for line in ask(f"{topic} --help").output.splitlines())
    return [line.removeprefix("reefjournal work-out ") for line in lines if line.startswith("reefjournal work-out ")]


@pytest.mark.parametrize("topic", topics())
def test_every_topic_says_in_one_sentence_what_it_answers_and_names_the_unit_of_each_number(topic: str) -> None:
    text = ask(f"{topic} --help").output
    sentence = " ".join(text.split("For example:")[0].split("\n\n", 1)[1].split())
    assert sentence.endswith(".")
    assert sentence.count(".") == 1
    options = [line.split() for line in text.split("Options:")[1].splitlines() if line.strip().startswith("--")]
    plain = [words for words in options if words[0] not in ("--json", "--opening")]
    assert all(not words[1].startswith(("TEXT", "FLOAT")) for words in plain)


@pytest.mark.parametrize("topic", topics())
def test_every_example_in_a_help_text_runs(topic: str, tmp_path: Path) -> None:
    file = notes(tmp_path, *FULL)
    typed = examples(topic)
    assert typed
    for line in typed:
        done = ask(line.replace("my-tank", f"{file} --on 2026-03-03"))
        assert done.exit_code == 0, (line, done.output)
        assert "\nWorking\n" in done.output


@pytest.mark.parametrize("topic", topics())
def test_every_example_gives_the_same_answer_as_data(topic: str) -> None:
    line = examples(topic)[0]
    found = data(line)
    assert found["topic"] == topic
    said = " ".join(ask(line).output.split())
    assert said.startswith(found["answer"])


@pytest.mark.parametrize("topic", topics())
def test_a_topic_without_its_inputs_asks_for_them_in_one_line(topic: str) -> None:
    done = ask(topic)
    assert done.exit_code == 2
    assert done.output.startswith(f"Error: {topic}")
    assert "need" in done.output
    assert done.output.count("\n") == 1


@pytest.mark.parametrize("topic", topics())
def test_no_number_whatever_makes_a_traceback(topic: str) -> None:
    words = shlex.split(examples(topic)[0])[1:]
    numbers = ("0", "-1", "1e9", "99999999", "nan", "inf", "", "many", "1,350", "5 parsecs", "2-1", ">4", "0-9")
    for wrong, place in product(numbers, range(1, len(words), 2)):
        line = [topic, *words[:place], wrong, *words[place + 1 :]]
        done = ask(shlex.join(line))
        assert done.exit_code in (0, 2), (line, done.exception)
        assert done.exit_code == 0 or done.output.startswith(("Error: ", "Usage: ")), done.output


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("ammonia --to 2", "ammonia needs --volume in L. For example: --volume 290 --to 2"),
        ("ammonia --to 5 --volume 290", "ammonia: the ammonia wanted is 5, outside 0 to 4 mg N/L."),
        ("ammonia --to 1-2 --volume 290", "--to: one number is needed here, in mg N/L, not '1-2'."),
        ("ammonia --to 2 --volume many", "--volume: 'many' is no number; write it in L."),
        ("ammonia --to 2 --volume '5 kg'", "--volume: kg is no unit of volume. Write it in L."),
        ("ammonia --to 2 --volume 0", "--volume: '0' is too little; write at least 0.001 L."),
        ("ammonia --to 2 --volume 1,350", '--volume: "1,350" may be 1.35 or 1350. Write 1.35 or 1350.'),
        (
            "free-ammonia --ammonia '0.5 as NO3'",
            "--ammonia: 'as no3' in '0.5 as NO3' is not understood; write it in mg N/L, or with 'as N' or 'as NH3' or "
            "'as NH4' behind it.",
        ),
        ("water-change --now 40 --to 10 --new 12 --volume 290",
         "water-change: new water at 12 cannot bring the tank to 10; use cleaner water."),
        ("salinity --hydrometer 1.026",
         "salinity: the temperature of the water that was read is needed: --temperature, in °C (or 78F)."),
        ("warm-up --volume 500 --start 20 --to 25 --watts 400 --room 18",
         "warm-up: losses need both the room, --room in °C, and --loss in W a degree (see heat-loss)."),
        ("ammonia --to 2 --vessel display", "--vessel speaks of notes; write --notes PATH too."),
    ],
)  # fmt: skip
def test_a_mistake_is_answered_with_what_to_write_instead(line: str, says: str) -> None:
    done = ask(line)
    assert (done.exit_code, done.output) == (2, f"Error: {says}\n")


def test_copper_and_medicines_have_no_topic() -> None:
    help_ = ask("--help").output.casefold()
    assert all(word not in help_ for word in ("copper", "medicine", "treat"))


def test_the_whole_answer_of_a_dose_is_the_grams_the_working_and_the_caution() -> None:
    assert ask("ammonia --volume 290 --to 2").output == (
        "Ammonium chloride: 2.21 g\n"
        "\n"
        "Working\n"
        "  - ammonia: 0 mg N/L now, 2 mg N/L wanted, in 290 L\n"
        "  - 1 g holds 261.9 mg N (ratio of atomic weights, IUPAC 2021)\n"
        "  - 2 mg N/L is 2.43 as NH3 and 2.58 as NH4\n"
        "\n"
        "Take care: Only where nothing lives: no fish, shrimp, snail, coral or live rock. Ammonia\n"
        "kills. Keep the powder from bleach (poisonous gas), from children and from food. The\n"
        "notes were not asked: that nothing lives in this water is for you to know.\n"
    )


def test_the_whole_answer_of_panels_is_a_cut_list_that_rests_on_named_takes() -> None:
    done = ask("panels --width 588/588/587 --height 702/701/701.5 --bottom-groove 6 --top-groove 16").output
    assert done.split("\nTake care")[0] == (
        "Panels: 2 panels of 314.2 x 714.5 mm\n"
        "\n"
        "  pieces  width mm  height mm  saw mm  rests on\n"
        "  2       314.2     714.5      ±0.5    width take 1 (588 mm, the widest), height take 2 (701 mm, the lowest)\n"
        "\n"
        "Working\n"
        "  - opening: widths 588, 588, 587 mm, heights 702, 701, 701.5 mm\n"
        "  - width 314.2 mm: the widest take with laps of 40 mm left after shrinking, over 2\n"
        "  - height 714.5 mm: the lowest take + top groove 16 - clearance 2 - tolerance 0.5\n"
        "  - growth of the height -0.5 to +1.4 mm, acrylic: sheet data: 0.002 inch in 48 inch per\n"
        "    °F; 0.2, 0.3 and 0.6 % at 60, 80 and 100 % humidity (common practice)\n"
        "  - the sheet is cut at 21 °C and 50 % humidity and lives at 18 to 30 °C and 35 to 80 %\n"
        "  - left once it has grown or shrunk: laps 40 to 42.7 mm, lifting in 0.6 mm, running 6.6\n"
        "    mm, hold in the top groove 5.5 mm\n"
    )


def test_what_can_go_wrong_stands_under_the_answer() -> None:
    done = ask("drain-down --length 150 --width 60 --fall 30 --sump-room 20").output
    assert done.startswith(
        "Drain-down: 27 L, more than the sump takes\n! 7 L go on the floor: lower the sump's running level"
    )


def test_a_range_without_end_is_null_in_the_data() -> None:
    found = data("volume-by-dose --dose 500 --before 0-1 --after 1-2")
    assert (found["low"], found["high"]) == (250.0, None)


def test_the_data_of_a_lid_holds_every_angle_of_its_swing() -> None:
    found = data("lid --mass 8 --to-gravity 30 --to-edge 60 --along 25 --below 2 --across 8 --up -22")
    assert [at["degrees"] for at in found["positions"]] == [10.0 * step for step in range(9)]


def loaded_by(line: str) -> set[str]:
    """The libraries that a fresh interpreter has loaded after a command."""
    code = (
        "import sys; from click.testing import CliRunner; from reefjournal.cli import main;"
        f"done = CliRunner().invoke(main, {['work-out', *shlex.split(line)]!r});"
        "assert done.exit_code == 0, done.output;"
        "import json; print(json.dumps(sorted({name.split('.')[0] for name in sys.modules})))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout))


def test_plain_numbers_load_nothing_heavy() -> None:
    assert loaded_by("ammonia --volume 290 --to 2") & {"pydantic", "numpy", "scipy", "markdown_it", "durable"} == set()


def test_the_notes_load_no_numpy(tmp_path: Path) -> None:
    line = f"ammonia --to 2 --notes {notes(tmp_path, *FULL)} --on 2026-03-03"
    assert loaded_by(line) & {"numpy", "scipy", "matplotlib", "jinja2"} == set()
