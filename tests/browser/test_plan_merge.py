"""Plans merged line by line, as the page does it in the browser, against what must hold of them.

The module runs in Chromium, once, over triples of texts that are drawn here from a fixed seed;
what it should have said is worked out here in another way, or follows from a law.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any, NamedTuple, TypeAlias

import pytest
from playwright.sync_api import Browser

TRIPLES = 2_000
SEED = 20260712
_SOURCE = Path(__file__).resolve().parents[2] / "web" / "static" / "plan" / "lines.js"
# Of little lines that come again and again, as a plan's do: many ways to match them.
_FEW = ("a", "b", "", "cycle = 1", "a\r")

Lines: TypeAlias = tuple[str, ...]
Block: TypeAlias = tuple[int, int, Lines]  # the lines from, to of the text before give way to these

_ASK = """async ([source, asked]) => {
  const url = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const { changes, differenceRows, merge } = await import(url);
  return JSON.stringify(JSON.parse(asked).map(([base, mine, theirs]) => {
    const [b, m, t] = [base, mine, theirs].map((lines) => lines.join("\\n"));
    return {
      merged: merge(b, m, t, "mine"), theirs_first: merge(b, m, t, "theirs"),
      swapped: merge(b, t, m, "theirs"), agreed: merge(b, m, m, "mine"),
      untouched: [merge(b, m, b, "theirs"), merge(b, b, m, "mine")],
      changes: changes(base, mine),
      rows: differenceRows(b, m), all_rows: differenceRows(b, m, 1e6),
    };
  }));
}"""


class Case(NamedTuple):
    """Three texts as lines, and what the browser made of them."""

    base: Lines
    mine: Lines
    theirs: Lines
    told: Any

    @property
    def text(self) -> Lines:
        """The merged lines, mine where both changed the same ones."""
        return _lines(self.told["merged"]["text"])


def _lines(text: str) -> Lines:
    return tuple(text.split("\n"))


def _edited(random: Random, base: Lines, name: str) -> Lines:
    """A text made from another by edits at a few places; its new lines are nobody else's, but for
    some that both sides write alike."""
    kept: list[str] = []
    for number in range(len(base) + 1):
        if random.random() < 0.2:
            new = [f"{random.choice((name, 'both'))} {number}" for _ in range(random.randint(1, 2))]
            kept += dict.fromkeys(new)
        if number < len(base) and random.random() > 0.2:
            kept.append(base[number])
    return tuple(kept) or ("",)


def _distinct(random: Random) -> tuple[Lines, Lines, Lines]:
    """Texts in which no line comes twice: there is one way only to match them."""
    base = tuple(f"line {number}" for number in range(random.randint(1, 9)))
    return base, _edited(random, base, "mine"), _edited(random, base, "theirs")


def _repeated(random: Random) -> tuple[Lines, Lines, Lines]:
    """Texts of a few lines that come again and again."""

    def drawn(base: Lines = ()) -> Lines:
        if base and random.random() < 0.7:
            at = random.randrange(len(base))
            new = random.choices(_FEW, k=random.randint(0, 2))
            return (*base[:at], *new, *base[at + random.randint(0, 2) :]) or ("",)
        return tuple(random.choices(_FEW, k=random.randint(1, 7)))

    base = drawn()
    return base, drawn(base), drawn(base)


@pytest.fixture(scope="module")
def cases(chromium: Browser) -> list[Case]:
    """Half of each kind, the shortest first, so that a failure shows a small one."""
    random = Random(SEED)
    triples = [(_distinct if n % 2 else _repeated)(random) for n in range(TRIPLES)]
    triples.sort(key=lambda triple: sum(len(text) for text in triple))
    window = chromium.new_page()
    told = json.loads(window.evaluate(_ASK, [_SOURCE.read_text("utf-8"), json.dumps(triples)]))
    window.close()
    return [Case(*triple, answer) for triple, answer in zip(triples, told, strict=True)]


def _has_distinct_lines(case: Case) -> bool:
    texts = (case.base, case.mine, case.theirs)
    return all(len(set(text)) == len(text) for text in texts) and case.base[0] == "line 0"


def _blocks(base: Lines, after: Lines) -> list[Block]:
    """What changed, where no line comes twice: all between two lines that stayed."""
    places = {line: number for number, line in enumerate(after)}
    stayed = [(n, places[line]) for n, line in enumerate(base) if line in places]
    blocks = []
    last = (-1, -1)
    for here in [*stayed, (len(base), len(after))]:
        block = (last[0] + 1, here[0], after[last[1] + 1 : here[1]])
        if block[0] < block[1] or block[2]:
            blocks.append(block)
        last = here
    return blocks


def _do_meet(one: Block, other: Block) -> bool:
    """Whether two blocks change one line, one puts lines between those that the other changed, or
    both put lines at one place."""
    return (one[0] < other[1] and other[0] < one[1]) or one[:2] == other[:2]


def _regions(mine: list[Block], theirs: list[Block]) -> list[tuple[int, int]]:
    """The lines from, to that both sides changed: blocks that meet, and those which they meet."""
    regions = [
        (min(one[0], other[0]), max(one[1], other[1]))
        for one in mine
        for other in theirs
        if _do_meet(one, other)
    ]
    joined: list[tuple[int, int]] = []
    for start, end in sorted(regions):
        if joined and (start < joined[-1][1] or (start, end) == joined[-1]):
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def _version(base: Lines, blocks: list[Block], region: tuple[int, int]) -> Lines:
    """The lines of a region as one side has them."""
    start, end = region
    version: list[str] = []
    at = start
    for from_, to, new in blocks:
        is_at_edge = from_ == to and from_ in region and start < end
        if from_ >= start and to <= end and not is_at_edge:
            version += [*base[at:from_], *new]
            at = to
    return (*version, *base[at:end])


def test_the_seed_draws_what_the_laws_are_about(cases: list[Case]) -> None:
    """Clashes, merges without one, and texts in which nothing changed: some of each."""
    has_clash = Counter(bool(case.told["merged"]["clashes"]) for case in cases)
    assert min(has_clash[True], has_clash[False]) > 200
    assert sum(map(_has_distinct_lines, cases)) > 500
    assert any(case.base == case.mine for case in cases)


def test_what_one_side_left_alone_is_the_other_s(cases: list[Case]) -> None:
    """On either side, and without a clash; what both did alike is done once."""
    for case in cases:
        expected = {"text": "\n".join(case.mine), "clashes": []}
        assert [*case.told["untouched"], case.told["agreed"]] == [expected] * 3, case


def test_it_does_not_matter_who_is_who(cases: list[Case]) -> None:
    """With the sides changed over, and whose lines are preferred with them, all is the same."""
    for case in cases:
        merged, swapped = case.told["merged"], case.told["swapped"]
        assert merged["text"] == swapped["text"], case
        mirrored = [
            {"base": one["base"], "mine": one["theirs"], "theirs": one["mine"]}
            for one in swapped["clashes"]
        ]
        assert merged["clashes"] == mirrored, case


def test_a_preference_counts_in_clashes_alone(cases: list[Case]) -> None:
    """The same clashes are told either way; without one, both texts are the same."""
    for case in cases:
        merged, other = case.told["merged"], case.told["theirs_first"]
        assert merged["clashes"] == other["clashes"], case
        if not merged["clashes"]:
            assert merged["text"] == other["text"], case


def test_a_clash_is_where_both_changed_the_same_lines_in_different_ways(cases: list[Case]) -> None:
    """There and nowhere else, with the three versions of just these lines."""
    for case in filter(_has_distinct_lines, cases):
        mine, theirs = _blocks(case.base, case.mine), _blocks(case.base, case.theirs)
        expected = []
        for region in _regions(mine, theirs):
            own = _version(case.base, mine, region)
            other = _version(case.base, theirs, region)
            if own != other:
                before = [*case.base[slice(*region)]]
                expected.append({"base": before, "mine": [*own], "theirs": [*other]})
        assert case.told["merged"]["clashes"] == expected, case


def test_no_line_is_lost_that_nobody_deleted(cases: list[Case]) -> None:
    """What both kept stays, in its order; all that is new of mine comes, and of theirs too unless
    it clashes; what one side deleted, and the other left alone, goes."""
    for case in filter(_has_distinct_lines, cases):
        text, clashes = case.text, case.told["merged"]["clashes"]
        kept = [line for line in case.base if line in case.mine and line in case.theirs]
        assert [line for line in text if line in kept] == kept, case
        assert set(case.mine) - set(case.base) <= set(text), case
        lost = {line for clash in clashes for line in clash["theirs"]} - set(case.mine)
        assert set(case.theirs) - set(case.base) - set(text) <= lost, case
        if not clashes:
            gone = set(case.base) - (set(case.mine) & set(case.theirs))
            assert gone.isdisjoint(text), case


def test_no_line_comes_from_nowhere(cases: list[Case]) -> None:
    """Each line of the outcome is one of the three texts', and all of mine that is new is there."""
    for case in cases:
        if case.text != ("",):  # nothing is left
            assert {*case.text} <= {*case.base, *case.mine, *case.theirs}, case
        assert {*case.mine} - {*case.base} <= {*case.text}, case


def _common_length(first: Lines, second: Lines) -> int:
    """How many lines two texts have in common at most, in order."""
    row = [0] * (len(second) + 1)
    for one in first:
        before, row = row, [0]
        for number, other in enumerate(second):
            row.append(before[number] + 1 if one == other else max(before[number + 1], row[number]))
    return row[-1]


def test_changes_lead_from_one_text_to_the_other_with_least_to_read(cases: list[Case]) -> None:
    """Carried out, they give the other text; they touch no line that could have stayed."""
    for case in cases:
        after, at = [], 0
        for block in case.told["changes"]:
            after += [*case.base[at : block["from"]], *block["lines"]]
            at = block["to"]
        assert (*after, *case.base[at:]) == case.mine, case
        gone = sum(block["to"] - block["from"] for block in case.told["changes"])
        assert len(case.base) - gone == _common_length(case.base, case.mine), case


def test_rows_of_a_difference_are_both_texts_by_number(cases: list[Case]) -> None:
    """Each row stands where its numbers say; with enough lines around, nothing is left out."""
    for case in cases:
        for row in case.told["rows"] + case.told["all_rows"]:
            if row["before"] is not None:
                assert case.base[row["before"] - 1] == row["text"], case
            if row["after"] is not None:
                assert case.mine[row["after"] - 1] == row["text"], case
        assert [r for r in case.told["all_rows"] if r["sign"] == "…"] == [], case
        if case.base == case.mine:
            assert case.told["rows"] == case.told["all_rows"] == [], case
            continue
        for side, text in (("before", case.base), ("after", case.mine)):
            numbers = [row[side] for row in case.told["all_rows"] if row[side] is not None]
            assert numbers == [*range(1, len(text) + 1)], case
            few = [row[side] for row in case.told["rows"] if row[side] is not None]
            assert few == sorted({*few}), case
        changed = [row for row in case.told["all_rows"] if row["sign"] in "-+"]
        assert [row for row in case.told["rows"] if row["sign"] in "-+"] == changed, case
