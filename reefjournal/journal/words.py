"""Words: folding of what is written, phrases looked up in it, and the nearest known phrase for a slip."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Generic, NamedTuple, TypeVar

T = TypeVar("T")
TOKEN = re.compile(r"[^\s,;:()\[\]]+")
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
    """Phrases and what they mean."""

    def __init__(self, phrases: Mapping[str, T], shortest_slip: int = 4) -> None:
        """``shortest_slip`` is the shortest phrase that counts as a slip of a known one."""
        self.meanings = {form: meaning for phrase, meaning in phrases.items() for form in _forms(key(phrase))}
        self.longest = max((phrase.count(" ") + 1 for phrase in self.meanings), default=0)
        self.firsts = frozenset(phrase.split(" ", 1)[0] for phrase in self.meanings)
        self.shortest_slip = shortest_slip
        self._slips: dict[str, list[str]] | None = None

    def get(self, phrase: str) -> T | None:
        """What the whole phrase means."""
        return self.meanings.get(key(phrase))

    def find(self, plain: str, start: int = 0) -> Found[T] | None:
        """The longest known phrase that begins at ``start`` of a folded text, space before it aside."""
        best: Found[T] | None = None
        for phrase, end in _phrases(plain, start, self.longest):
            if phrase in self.meanings:
                best = Found(self.meanings[phrase], phrase, end)
        return best

    def near(self, plain: str, start: int = 0) -> tuple[str, int] | None:
        """A known phrase one slip away from the words at ``start``, the longest first, and where these words end."""
        for phrase, end in reversed([*_phrases(plain, start, self.longest)]):
            if phrase not in self.meanings and (slip := self._slip(phrase)):
                return slip, end
        return None

    def nearest(self, phrase: str) -> list[str]:
        """Up to three known phrases to offer for an unknown one: a slip away, or with the same beginning or end."""
        wanted = key(phrase)[:40]
        if slip := self._slip(wanted):
            return [slip]
        heads = [known for known in self.meanings if len(wanted) > 3 and known[:4] == wanted[:4]]
        tail = wanted.rpartition(" ")[2]
        return heads[:3] or [known for known in self.meanings if known.rpartition(" ")[2] == tail][:3]

    def _slip(self, phrase: str) -> str | None:
        """A known phrase at one insertion, deletion, substitution or swap."""
        if not self.shortest_slip <= len(phrase) <= 40:
            return None
        if self._slips is None:
            self._slips = {}
            for known in self.meanings:
                for short in _shortened(known):
                    self._slips.setdefault(short, []).append(known)
        for short in _shortened(phrase):
            for known in self._slips.get(short, ()):
                if one_slip(known, phrase):
                    return known
        return None


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


def _phrases(plain: str, start: int, most: int) -> Iterator[tuple[str, int]]:
    """The first word, the first two words, ... of a folded text from ``start``, as keys, with their ends."""
    words, end = "", start
    for match, _ in zip(TOKEN.finditer(plain, start, start + 80), range(most), strict=False):
        if plain[end : match.start()].strip():
            return
        end = match.end()
        words = f"{words} {match[0]}".lstrip()
        if "-" in words or "_" in words:
            words = words.replace("-", " ").replace("_", " ").strip()
        yield words.rstrip(".?!"), end


def _shortened(phrase: str) -> set[str]:
    return {phrase, *(phrase[:i] + phrase[i + 1 :] for i in range(len(phrase)))}


def one_slip(one: str, other: str) -> bool:
    """Whether a single insertion, deletion, substitution or swap of neighbours leads from one to the other."""
    if abs(len(one) - len(other)) > 1 or one == other:
        return False
    head = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    rest, tail = one[head:], other[head:]
    swapped = rest[:2] == tail[1::-1] and rest[2:] == tail[2:] and len(tail) > 1
    return rest[1:] == tail[1:] or rest[1:] == tail or rest == tail[1:] or swapped
