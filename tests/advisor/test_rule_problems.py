"""Every mistake in a rule file is told with file, line, column, the wrong word, and the words that exist."""

from __future__ import annotations

from pathlib import Path

import pytest
from speaker import BOOK

from reefjournal.advisor.amounts import FUNCTIONS
from reefjournal.advisor.patterns import visible
from reefjournal.advisor.rulebook import load_only
from reefjournal.advisor.tables import choices

RULE = """\
[[rule]]
id = "mine"
layer = "diagnosis"
title = "Mine"
says = "It is so."
source = ["custom"]
when = [{ fact = "system", water = "filled" }]
example = [
    { on = 2026-03-12, fires = true, journal = "a" },
    { on = 2026-03-12, fires = false, journal = "b" },
]
"""
ADVICE = (
    RULE.replace('"diagnosis"', '"advice"')
    + """\
do = "Look."
urgency = "soon"
precedence = "cycle"
"""
)
GATE = """\
[[gate]]
id = "mine"
name = "Mine"

[[gate.check]]
id = "one"
says = "It is so"
met = [{ fact = "system", water = "filled" }]
settle = "Look."
"""


def told(folder: Path, text: str) -> list[str]:
    """The problems of the small book with one more file beside it, that file's name taken off."""
    (folder / "mine.toml").write_text(text, encoding="utf-8")
    mine = str(folder / "mine.toml")
    return [str(one).removeprefix(mine) for one in load_only([BOOK, folder]).problems if one.file == mine]


def test_the_nearest_word_comes_first_and_then_all_that_exist() -> None:
    assert choices("fitsr", ["second", "first"]) == 'Did you mean "first"? There are: first, second.'
    assert choices("x", []) == "There are none."


def test_a_sound_rule_and_a_sound_gate_have_no_problems(tmp_path: Path) -> None:
    assert told(tmp_path, RULE + ADVICE.replace('"mine"', '"ours"') + GATE) == []


MISTAKES = {
    "an unknown key": (
        RULE.replace("title", "titel"),
        [
            ':1:1: error: rule "mine": "title" is missing. Write title = a text.',
            ':4:1: error: rule "mine": there is no key "titel". Did you mean "title"? There are: concludes, example, '
            "id, layer, says, source, sureness, title, unless, when, wrong_if.",
        ],
    ),
    "a word that is none of a few": (
        RULE.replace('"diagnosis"', '"diagnoses"'),
        [
            ':3:10: error: rule "mine": there is no layer "diagnoses". Did you mean "diagnosis"? There are: advice, '
            "diagnosis, evidence, stage, trust."
        ],
    ),
    "an unknown kind of fact": (
        RULE.replace('fact = "system"', 'fact = "systen"'),
        [
            ':7:19: error: rule "mine", when 1: there is no fact "systen". ' + choices("systen", visible("diagnosis")),
        ],
    ),
    "an unknown property": (
        RULE.replace('fact = "system", water', 'fact = "sign", nane'),
        [
            ':7:26: error: rule "mine", when 1: there is no key "nane". Did you mean "name"? There are: as, day, '
            "fact, gone_days, high, low, name, place, seen_days, sort, state, strength, vessel, where."
        ],
    ),
    "an unknown threshold": (
        RULE.replace('water = "filled"', 'volume_low = { above = "@cleer" }'),
        [
            ':7:52: error: rule "mine", when 1: there is no threshold "@cleer". Did you mean "@clear"? There are: '
            "@clear, @dose, @present, @test-days."
        ],
    ),
    "an unknown source": (
        RULE.replace('["custom"]', '["costum"]'),
        [':6:12: error: rule "mine": there is no source "costum". Did you mean "custom"? There are: custom, paper.'],
    ),
    "no source at all": (
        RULE.replace('source = ["custom"]\n', ""),
        [':1:1: error: rule "mine" has no source. Write source = ["…"] with ids from sources.toml.'],
    ),
    "an unknown comparison": (
        RULE.replace('water = "filled"', "volume_low = { least = 3 }"),
        [
            ':7:43: error: rule "mine", when 1: there is no comparison for "volume_low" "least". Did you mean '
            '"at_least"? There are: above, at_least, at_most, below, known, not, same_as.'
        ],
    ),
    "a word that a property does not know": (
        RULE.replace('"filled"', '"fild"'),
        [
            ':7:37: error: rule "mine", when 1: there is no water "fild". Did you mean "filled"? There are: dry, '
            "filled, fresh."
        ],
    ),
    "a place that is none": (
        RULE.replace('water = "filled"', 'where = "there"'),
        [
            ':7:37: error: rule "mine", when 1: there is no where "there". Did you mean "here"? There are: any, '
            "elsewhere, here."
        ],
    ),
    "a comparison with nothing": (
        RULE.replace('"filled"', "{}"),
        [':7:28: error: rule "mine", when 1: "water" is compared with nothing; there are: not, same_as.'],
    ),
    "a pattern without a name": (
        RULE.replace('fact = "system"', 'as = "", fact = "system"'),
        [':7:1: error: rule "mine", when 1: "" cannot be a name. Use small letters, digits and hyphens.'],
    ),
    "a conclusion that says too little": (
        RULE + 'concludes = { fact = "process", name = "filter" }\n',
        [':12:1: error: rule "mine", concludes: "state" is missing.'],
    ),
    "an amount that gives something else": (
        ADVICE.replace("Look.", "{amount}")
        + 'gives = "copper"\namount = { function = "ammonium-chloride", target = 2 }\n',
        [':15:10: error: rule "mine" gives something else than its amount.'],
    ),
    "an order in a caution, a stage and a gate": (
        '[[caution]]\nid = "b"\nsays = "Dose 3 g NH4Cl."\nwhen = "w"\nsource = "custom"\n'
        '[[stage]]\nid = "lost"\nname = "Lost"\ntrack = "a"\nmeans = "Dose 3 g NH4Cl."\n'
        + GATE.replace("It is so", "Dose 3 g NH4Cl"),
        [
            ':3:1: error: caution "b": "says" tells to give ammonia. Only "do" of a rule may.',
            ':10:1: error: stage "lost": "means" tells to give ammonia. Only "do" of a rule may.',
            ':17:1: error: gate "mine", check 1: "says" tells to give ammonia. Only "do" of a rule may.',
        ],
    ),
    "a number where a text is": (
        RULE.replace('"filled"', "3"),
        [':7:36: error: rule "mine", when 1: "water" is a text, so it is compared with one.'],
    ),
    "a text where a number is": (
        RULE.replace('water = "filled"', 'volume_low = "much"'),
        [':7:42: error: rule "mine", when 1: "volume_low" is a number; write one, or "@" and a threshold.'],
    ),
    "more decimals than count": (
        RULE.replace('water = "filled"', "volume_low = 0.00001"),
        [':7:1: error: rule "mine", when 1: 1e-05 has more than 4 decimals.'],
    ),
    "a join on a pattern that does not come before": (
        RULE.replace('water = "filled"', 'vessel = { same_as = "other.vessel" }'),
        [':7:50: error: rule "mine", when 1: there is no pattern called "other". There are: system.'],
    ),
    "a join of a text with a number": (
        RULE.replace('water = "filled"', 'water = { same_as = "volume_low" }'),
        [':7:49: error: rule "mine", when 1: "water" and "volume_low" are not both numbers or both texts.'],
    ),
    "a value of the wrong sort": (
        RULE.replace("example", "wrong_if = 3\nexample"),
        [':8:1: error: rule "mine": "wrong_if" must be a text.'],
    ),
    "two patterns of one name": (
        RULE.replace('"filled" }]', '"filled" }, { fact = "system", source = "no" }]'),
        [
            ':7:19: error: rule "mine", when 2: there are two patterns called "system". Give one of them another '
            'name with "as".'
        ],
    ),
    "more patterns than go together": (
        RULE.replace(
            '[{ fact = "system", water = "filled" }]',
            "[" + ", ".join(f'{{ as = "a{n}", fact = "job" }}' for n in range(20)) + "]",
        ),
        [':7:1: error: rule "mine", when 17: that is one pattern too many. At most 16 go together.'],
    ),
    "a window without its question": (
        RULE.replace('fact = "system", water = "filled"', 'fact = "trend", analyte = "ammonia"'),
        [':7:1: error: rule "mine", when 1: trend needs "days". It asks for: analyte, days.'],
    ),
    "a question that is no plain value": (
        RULE.replace('fact = "system", water = "filled"', 'fact = "latest", analyte = { not = "ammonia" }'),
        [':7:28: error: rule "mine", when 1: "analyte" is part of the question, so it takes a plain value.'],
    ),
    "a window that looks elsewhere": (
        RULE.replace('fact = "system", water = "filled"', 'fact = "latest", analyte = "pH", where = "elsewhere"'),
        [':7:44: error: rule "mine", when 1: a window looks at the vessel itself. Leave "where" out.'],
    ),
    "a single reading outside the trust layer": (
        RULE.replace('fact = "system", water = "filled"', 'fact = "reading"'),
        [':7:19: error: rule "mine", when 1: there is no fact "reading". ' + choices("reading", visible("diagnosis"))],
    ),
    "a place in a text that nothing fills": (
        RULE.replace("It is so.", "{tank.water} {system.watr} {@cleer} {amount}"),
        [
            ':5:10: error: rule "mine": there is no pattern called "tank". There are: system.',
            ':5:30: error: rule "mine": there is no property of "system" "watr". Did you mean "water"? There are: '
            "filled_days, live_rock, role, source, source_day, source_days, used, vessel, volume_high, volume_known, "
            "volume_low, water, where.",
            ':5:37: error: rule "mine": there is no threshold "@cleer". Did you mean "@clear"? There are: @clear, '
            "@dose, @present, @test-days.",
            ':5:46: error: rule "mine": "says" names an amount. Only "do" of a rule with [rule.amount] has one.',
        ],
    ),
    "a lone brace": (
        RULE.replace("It is so.", "It is so}."),
        [':5:1: error: rule "mine": in "says", "}" stands alone; a place to fill is written {alias.property}.'],
    ),
    "a format that no number has": (
        RULE.replace("It is so.", "{system.volume_low:wide}"),
        [':5:1: error: rule "mine": in "says", "wide" is no number format; write for example .2g or .1f.'],
    ),
    "a conclusion that the layer cannot draw": (
        RULE + 'concludes = { fact = "stage", id = "fed" }\n',
        [':12:23: error: rule "mine", concludes: there is no fact "stage". There are: process.'],
    ),
    "advice keys outside the advice layer": (
        RULE + 'urgency = "now"\n',
        [
            ':12:1: error: rule "mine": there is no key "urgency". There are: concludes, example, id, layer, says, '
            "source, sureness, title, unless, when, wrong_if."
        ],
    ),
    "an unknown amount function": (
        ADVICE + 'amount = { function = "more", target = 2 }\n',
        [':15:24: error: rule "mine", amount: there is no function "more". ' + choices("more", FUNCTIONS)],
    ),
    "an amount without its number": (
        ADVICE + 'amount = { function = "water-change" }\n',
        [
            ':15:1: error: rule "mine", amount: "share" is missing. It is a number (of the volume, 0 to 1) or a '
            "threshold."
        ],
    ),
    "advice before a rule that does not exist": (
        ADVICE + 'before = ["test-agian"]\n',
        [
            ':15:12: error: rule "mine": there is no rule "test-agian". Did you mean "test-again"? There are: '
            "blind-kit, cannot-read, filter-eats, filter-lives, first-half-works, give-ammonia, is-cured, is-fed, "
            "is-filled, mend-the-line, mine, odd-one-out, test-again, wait-for-crew."
        ],
    ),
    "advice before what must come first": (
        ADVICE + 'before = ["mend-the-line"]\n',
        [':1:1: error: rule "mine" cannot come before "mend-the-line": "doubt" always comes before "cycle".'],
    ),
    "advice before a rule that gives none": (
        ADVICE + 'before = ["is-fed"]\n',
        [':1:1: error: rule "mine" cannot come before "is-fed": that is not an advice rule.'],
    ),
    "advice that covers what must come first": (
        ADVICE + 'covers = ["mend-the-line"]\n',
        [':1:1: error: rule "mine" cannot cover "mend-the-line": "doubt" always comes before "cycle".'],
    ),
    "two rules that order each other in a circle": (
        ADVICE.replace('"mine"', '"ours"') + 'before = ["mine"]\n' + ADVICE + 'before = ["ours"]\n',
        [':16:1: error: rule "mine" is in a circle of before: mine, ours.'],
    ),
    "a denial of what its own layer concludes": (
        RULE.replace('"diagnosis"', '"evidence"')
        + 'unless = [{ fact = "process", name = "filter" }]\n'
        + 'concludes = { fact = "process", name = "a", state = "b" }\n',
        [
            ':1:1: error: rule "mine" denies a process that a rule of the same or a higher layer concludes. Deny facts '
            "of lower layers only."
        ],
    ),
    "a conclusion that nothing draws": (
        RULE.replace('fact = "system", water = "filled"', 'fact = "process", name = "filtre"'),
        [
            ':1:1: error: rule "mine" asks for a process "filtre" that nothing concludes. Did you mean "filter"? '
            "There are: filter."
        ],
    ),
    "a stage that no rule concludes": (
        '[[stage]]\nid = "lost"\nname = "Lost"\ntrack = "nitrogen"\nmeans = "Nobody comes here."\n',
        [':1:1: error: stage "lost" cannot be reached: no stage rule concludes it.'],
    ),
    "a threshold, a caution and a source that nothing uses": (
        '[[threshold]]\nid = "a"\nvalue = 1\nunit = "L"\nmeans = "m"\nsource = "custom"\n'
        '[[caution]]\nid = "b"\nsays = "s"\nwhen = "w"\nsource = "custom"\n'
        '[[source]]\nid = "c"\nwho = "w"\ntitle = "t"\nkind = "published"\n',
        [
            ':1:1: warning: threshold "a" is not used by anything.',
            ':7:1: warning: caution "b" is not used by anything.',
            ':12:1: warning: source "c" is not used by anything.',
        ],
    ),
    "a rule without examples": (
        RULE.split("example", maxsplit=1)[0],
        [':1:1: warning: rule "mine" lacks examples. Write one with fires = true, and a near miss with fires = false.'],
    ),
    "the same id twice": (
        RULE + RULE,
        [':13:7: error: there is a rule "mine" already, at {mine}:1. The first one is used.'],
    ),
    "an id that is no name": (
        RULE.replace('"mine"', '"My rule"'),
        [':2:7: error: rule "My rule": "My rule" cannot be a name. Use small letters, digits and hyphens.'],
    ),
    "a gate without checks": (
        GATE.split("[[gate.check]]", maxsplit=1)[0],
        [':1:1: error: gate "mine" has no [[gate.check]]. A gate without checks would stand open.'],
    ),
    "a check that can never be met": (
        GATE.replace('met = [{ fact = "system", water = "filled" }]\n', ""),
        [':5:1: error: gate "mine", check 1: "met" is missing, so it could never be met.'],
    ),
    "a check that is settled by a dose": (
        GATE.replace("Look.", "Dose ammonium chloride and test."),
        [':9:1: error: gate "mine", check 1: "settle" gives ammonia. Leave that to a rule.'],
    ),
    "a road of a gate without a pattern, which nothing could keep shut": (
        GATE.replace('[{ fact = "system", water = "filled" }]', '[[{ fact = "system", water = "filled" }], []]'),
        [':8:1: error: gate "mine", check 1: "met" has a road without a pattern.'],
    ),
    "a number with more digits than can be counted with": (
        RULE.replace('water = "filled"', f"volume_low = {'9' * 400}"),
        [':7:28: error: rule "mine", when 1: "volume_low" is too large.'],
    ),
    "days beyond any notes": (
        RULE.replace('"system", water = "filled"', '"count", of = "dose", days = 1e9'),
        [':7:40: error: rule "mine", when 1: "days" must be from 0 to 36500.'],
    ),
    "an example that names a time zone": (
        RULE.replace("on = 2026-03-12, fires = true", "on = 2026-03-12T10:00:00+02:00, fires = true"),
        [':9:7: error: rule "mine", example 1: "on" names a time zone; notes are in local time, leave it out.'],
    ),
    "text that is not TOML": (
        'a = "\n',
        [":1:6: error: this is not TOML: Illegal character '\\n'. None of this file is used."],
    ),
    "an unknown table": (
        "[[rules]]\n",
        [
            ':1:3: error: {mine}: there is no key "rules". Did you mean "rule"? There are: caution, gate, rule, '
            "source, stage, threshold."
        ],
    ),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_the_whole_text_of_a_problem(mistake: str, tmp_path: Path) -> None:
    text, expected = MISTAKES[mistake]
    mine = str(tmp_path / "mine.toml")
    assert told(tmp_path, text) == [one.replace("{mine}", mine) for one in expected]


def test_no_gate_stage_or_conclusion_can_rest_on_what_a_fit_says(tmp_path: Path) -> None:
    looks = 'fact = "misread", analyte = "ammonia"'
    gate = GATE.replace('fact = "system", water = "filled"', looks)
    assert 'there is no fact "misread"' in told(tmp_path, gate)[0]
    assert not any("misread" in visible(layer) for layer in ("trust", "evidence", "stage", "gate"))
    concluding = RULE.replace('fact = "system", water = "filled"', looks)
    concluding += '[rule.concludes]\nfact = "process"\nname = "a"\nstate = "b"\n'
    assert told(tmp_path, concluding) == [
        ':1:1: error: rule "mine" looks at what the model makes of the readings, so it cannot conclude anything. Let '
        "it say what is likely: gates and stages rest on tests."
    ]
