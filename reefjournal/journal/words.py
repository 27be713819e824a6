"""Words: folding of what is written, phrases looked up in it, and the nearest known phrase for a slip."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cached_property, lru_cache
from typing import Generic, NamedTuple, TypeVar

T = TypeVar("T")
FIRST = re.compile(r"[\s_-]*([a-z0-9+/'.]*[a-z0-9+/']|[^\s\x00-\x7f]+)")
WORDS = re.compile(r"\s*([,;:()\[\]]*)\s*([^\s,;:()\[\]]*[^\s,;:()\[\].?!])")
SPACED = str.maketrans("-_", "  ")
LONGEST = 80
# What goes on a word: a phrase does not end in front of these.
INSIDE = frozenset("abcdefghijklmnopqrstuvwxyz0123456789+/'")
# Signs that mean the same while writing: dashes and minus, quotes, the micro sign, times, arrow.
SAME = {**dict.fromkeys("‐‑‒–−—⁻", "-"), **dict.fromkeys("’‘´`", "'"), **dict.fromkeys("“”″„", '"'), "µ": "u", "μ": "u"}
SAME |= {"×": "x", "→": ">", "⇒": ">"}


class _Folding(dict[int, str]):
    """One character for one character, so that places in the folded text are places in the written one."""

    def __missing__(self, code: int) -> str:
        letter = chr(code)
        base, *marks = list(SAME.get(letter) or unicodedata.normalize("NFKD", letter))
        folded = base.lower() if all(map(unicodedata.combining, marks)) else letter
        self[code] = folded if len(folded) == 1 else letter
        return self[code]


FOLDING = _Folding()


def fold(text: str) -> str:
    """Lower case, without accents, full-width or typographic forms; as long as the text, character for character."""
    return text.lower() if text.isascii() else text.translate(FOLDING)


def key(phrase: str) -> str:
    """A phrase as the vocabulary holds it: folded, hyphens and underscores as spaces, single spaces."""
    return " ".join(fold(phrase).replace("-", " ").replace("_", " ").split())


class Found(NamedTuple, Generic[T]):
    """A phrase of the vocabulary in a text: what it means, the phrase, and where it ends."""

    meaning: T
    phrase: str
    end: int


class Lexicon(Generic[T]):
    """Phrases and what they mean. ``shortest_slip`` is the shortest one that an unknown phrase may be a slip of."""

    def __init__(self, phrases: Mapping[str, T], shortest_slip: int = 4) -> None:
        self.meanings = {form: meaning for phrase, meaning in phrases.items() for form in _forms(key(phrase))}
        self.most_words = max((phrase.count(" ") + 1 for phrase in self.meanings), default=0)
        self.shortest_slip = shortest_slip
        # A diary uses few words again and again.
        self.slip = lru_cache(maxsize=4096)(self._slip)
        # By the first word, the longest phrase first.
        self.starting: dict[str, list[str]] = {}
        for phrase in sorted(self.meanings, key=len, reverse=True):
            first = FIRST.match(phrase)
            self.starting.setdefault(first[1] if first else phrase, []).append(phrase)

    def get(self, phrase: str) -> T | None:
        """What the whole phrase means."""
        return self.meanings.get(phrase) or self.meanings.get(key(phrase))

    def find(self, plain: str, start: int = 0) -> Found[T] | None:
        """The longest known phrase that begins at ``start`` of a folded text, space before it aside."""
        first = FIRST.match(plain, start)
        phrases = self.starting.get(first[1]) if first else None
        if first is None or phrases is None:
            return None
        begin = first.start(1)
        text = plain[begin : begin + LONGEST].translate(SPACED)
        for phrase in phrases:
            if text.startswith(phrase) and text[len(phrase) : len(phrase) + 1] not in INSIDE:
                return Found(self.meanings[phrase], phrase, begin + len(phrase))
        return None

    def near(self, plain: str, start: int = 0) -> tuple[str, int] | None:
        """A known phrase one slip away from the words at ``start``, the longest first, and where these words end."""
        for phrase, end in reversed(_phrases(plain, start, self.most_words)):
            if phrase not in self.meanings and (slip := self.slip(phrase)):
                return self._as_many(phrase, slip), end
        return None

    def nearest(self, phrase: str) -> list[str]:
        """Up to three known phrases to offer for an unknown one: a slip away, or with the same beginning or end."""
        wanted = key(phrase)[:40]
        if slip := self.slip(wanted):
            return [self._as_many(wanted, slip)]
        heads = [known for known in self.meanings if len(wanted) > 3 and known[:4] == wanted[:4]]
        tail = wanted.rpartition(" ")[2]
        tails = [known for known in self.meanings if known.rpartition(" ")[2] == tail]
        return list(dict.fromkeys(self._as_many(wanted, known) for known in heads or tails))[:3]

    def _as_many(self, written: str, known: str) -> str:
        """A known phrase to offer for what was written: in the singular, unless that looks like a plural itself."""
        if written.endswith("s"):
            return known
        stems = (known[:-1], known[:-2], known[:-3] + "y")
        return next((stem for stem in stems if stem in self.meanings and known in (*_forms(stem),)[1:]), known)

    def _slip(self, phrase: str) -> str | None:
        """A known phrase at one insertion, deletion, substitution or swap."""
        if len(phrase) < self.shortest_slip - 1:
            return None
        for end in _ends(phrase):
            for known in self._by_ends.get(end, ()):
                if abs(len(known) - len(phrase)) < 2 and one_slip(known, phrase):
                    return known
        return None

    @cached_property
    def _by_ends(self) -> dict[str, list[str]]:
        """Known phrases by their ends: in more than two letters, one slip changes beginning or end, never both."""
        found: dict[str, list[str]] = {}
        for known in self.meanings:
            for end in _ends(known) if len(known) >= self.shortest_slip else ():
                found.setdefault(end, []).append(known)
        return found


def _forms(phrase: str) -> Iterator[str]:
    """The phrase and its plural."""
    yield phrase
    last = phrase.rpartition(" ")[2]
    if len(last) < 3 or not last.isalpha() or last.endswith("ss"):
        return
    if last.endswith("y") and last[-2] not in "aeiou":
        yield phrase[:-1] + "ies"
    elif not last.endswith("s"):
        yield phrase + ("es" if last.endswith(("sh", "ch", "x", "z")) else "s")


def _phrases(plain: str, start: int, most: int) -> list[tuple[str, int]]:
    """The first word, the first two words, ... of a folded text from ``start``, as keys, with their ends."""
    found: list[tuple[str, int]] = []
    words = ""
    for match in WORDS.finditer(plain[start : start + LONGEST].translate(SPACED)):
        if len(found) == most or (match[1] and found):
            break
        words = f"{words} {match[2]}".lstrip()
        found.append((words, start + match.end()))
    return found


def _ends(phrase: str) -> tuple[str, ...]:
    """The beginning and the end by which a phrase is looked up: two letters, in short ones one."""
    two = (phrase[:2], "-" + phrase[-2:]) if len(phrase) > 4 else ()
    return (*two, phrase[:1] + ".", "." + phrase[-1:]) if len(phrase) < 6 else two


def one_slip(one: str, other: str) -> bool:
    """Whether a single insertion, deletion, substitution or swap of neighbours leads from one to the other."""
    at, shorter = 0, min(len(one), len(other))
    while at < shorter and one[at] == other[at]:
        at += 1
    if len(one) == len(other):
        rest = one[at + 1 :] == other[at + 1 :]
        return one != other and (
            rest or (one[at : at + 2] == other[at : at + 2][::-1] and one[at + 2 :] == other[at + 2 :])
        )
    return one[at:] == other[at + 1 :] or one[at + 1 :] == other[at:]
