"""Lines about what happened, found in what people send."""

from __future__ import annotations

import time

import pytest
from hostile import HOSTILE

from firmripe.holding.fruit import Cultivar, Fruit, Traits
from firmripe.holding.tree import Tree
from firmripe.problems import Where, folded
from firmripe.reading.languages import read_tongue
from firmripe.reading.lines import FoundLine, Vocabulary, find_lines, row_of, with_lines
from firmripe.reading.records import COLUMNS, happenings, rows_of
from firmripe.tongue import Tongue

PEAR = Fruit(key="european-pear", name="European pear", traits=Traits())
FIG = Fruit(key="fig", name="Fig", crops=("breba", "main"), traits=Traits())


def tree(tag: str, *limbs: str, fruit: Fruit = PEAR) -> Tree:
    found = (Cultivar(key=k, name=k.title(), fruit=fruit, own=Traits(), traits=Traits()) for k in limbs)
    return Tree(tag=tag, limbs=tuple(found), where=Where(f"trees/{tag}.md"))


TREES = [tree("1-02", "bartlett"), tree("2-01", "bosc", "comice"), tree("T-01", "brown-turkey", fruit=FIG)]
WORDS = Vocabulary(trees={folded(one.tag): one for one in TREES}, happenings=happenings(Tongue()))


def rows(text: str, words: Vocabulary = WORDS) -> list[str]:
    """Return the lines found in a text as rows of the records."""
    return [row_of(line.cells) for line in find_lines(text, "x.txt", words).lines]


@pytest.mark.parametrize(
    ("typed", "row"),
    [
        ("2027-08-28,1-02,first pick,31 lb,good size", "2027-08-28,1-02,,,first pick,31 lb,good size"),
        ("2027-08-28,1-02,full bloom", "2027-08-28,1-02,,,full bloom,,"),
        ("2027-08-28,2-01/Comice,drop,3 fruits", "2027-08-28,2-01,Comice,,drop,3 fruits,"),
        ("2027-08-28,2-01 Comice,drop", "2027-08-28,2-01,Comice,,drop,,"),
        ("2027-08-28,T-01/main,pick,6 figs", "2027-08-28,T-01,,main,pick,6 figs,"),
        ("2027-05-10,,frost,30 F at the wall", "2027-05-10,,,,frost,30 F at the wall,"),
        ("2027-05-10,frost,30 F", "2027-05-10,,,,frost,30 F,"),
        ("2026,1-02,no crop,,an off year", "2026,1-02,,,no crop,,an off year"),
        ("about 2027-04-28, 1-02, Full Bloom", "about 2027-04-28,1-02,,,Full Bloom,,"),
        ("28 Aug 2027,1-02,drop", "28 Aug 2027,1-02,,,drop,,"),
        ("Aug 28, 2027,1-02,drop", '"Aug 28, 2027",1-02,,,drop,,'),
        ('"Aug 28, 2027",1-02,drop', '"Aug 28, 2027",1-02,,,drop,,'),
        ("2027-08-28;1-02;first pick;31 lb", "2027-08-28,1-02,,,first pick,31 lb,"),
        ("2027-08-28\t1-02\tfirst pick\t31 lb", "2027-08-28,1-02,,,first pick,31 lb,"),
        ("2027‑08–28,1–02,drop", "2027-08-28,1–02,,,drop,,"),
        ("2027-08-28,1-02,,,first pick,31 lb,", "2027-08-28,1-02,,,first pick,31 lb,"),
        ("2027-08-28,2-01,Comice,,pick,31 lb,big, clean", '2027-08-28,2-01,Comice,,pick,31 lb,"big, clean"'),
    ],
)
def test_a_line_is_found_short_or_with_all_columns(typed: str, row: str) -> None:
    """As somebody types it, with what their keyboard makes of hyphens and commas."""
    assert rows(typed) == [row]


@pytest.mark.parametrize(
    ("typed", "amount", "note"),
    [
        ("verdict,good, a little dry", "", "good, a little dry"),
        ("verdict,,good", "", "good"),
        ("first pick,good size", "", "good size"),
        ("first pick,half a lug,gritty", "half a lug", "gritty"),
        ("first pick,1,200 lb,all rows", "1,200 lb", "all rows"),
        ("spray,14 days, re-entry 12 hours,for moths", "14 days, re-entry 12 hours", "for moths"),
        ("full bloom,3 of 4 limbs", "", "3 of 4 limbs"),
        ("part crop,50 %", "50 %", ""),
        ('first pick,"30 lb keepers, 2 lb culls",ripe', "30 lb keepers, 2 lb culls", "ripe"),
        ('drop,3 fruits,the "big" ones', "3 fruits", 'the "big" ones'),
        ('drop,3 fruits,"never closed', "3 fruits", '"never closed'),
    ],
)
def test_what_is_no_amount_is_a_word(typed: str, amount: str, note: str) -> None:
    """People leave out what they don't know, and write commas without quotes."""
    (line,) = find_lines(f"2027-08-28,1-02,{typed}", "x.txt", WORDS).lines
    assert (line.cells.get("amount", ""), line.cells.get("note", "")) == (amount, note)


def test_words_around_lines_are_let_be_and_who_wrote_stands_beside() -> None:
    """A chat with its days and names holds lines in the middle of other talk."""
    chat = (
        "[2027-08-28, 18:02] Wren: we were up at the wall\n"
        "[2027-08-28, 18:03] Wren: 2027-08-28,1-02,first pick,31 lb\n"
        "\n"
        "# Ash, by telephone\n"
        "> 2027-08-27,T-01/main,pick,6 figs\n"
        "see you Sunday, 2027-08-29, at ten\n"
    )
    found = find_lines(chat, "x.txt", WORDS)

    assert [(line.beside, line.where.line) for line in found.lines] == [
        ("[2027-08-28, 18:03] Wren", 2),
        ("Ash, by telephone", 5),
    ]
    assert [where.line for where in found.rest] == [1, 6]


def test_lines_that_ran_together_are_parted() -> None:
    """Some programs take the line ends out of a message."""
    text = (
        "2027-08-28,1-02,first pick,31 lb,good 2027-08-28,2-01/Bosc,drop 2027-08-28,1-02,note,not as on 2026-08-30, no"
    )
    assert rows(text) == [
        "2027-08-28,1-02,,,first pick,31 lb,good",
        "2027-08-28,2-01,Bosc,,drop,,",
        '2027-08-28,1-02,,,note,,"not as on 2026-08-30, no"',
    ]
    assert rows('2027-08-28,1-02,note,"as in 2026-08-28,1-02,drop so"') == [
        '2027-08-28,1-02,,,note,,"as in 2026-08-28,1-02,drop so"'
    ]


def test_a_table_with_its_own_columns_is_read_by_its_first_line() -> None:
    """Whatever order they stand in, with notes that run over lines."""
    table = 'What,Note,Date,Tree\nfull bloom,"white\nall over",2027-05-01,1-02\ndrop,,2027-08-02,1-02\n'
    assert rows(table) == ["2027-05-01,1-02,,,full bloom,,white all over", "2027-08-02,1-02,,,drop,,"]


def test_a_quote_that_is_never_closed_swallows_no_other_line() -> None:
    """What follows is found all the same."""
    text = '2027-08-28,1-02,note,"open\n2027-08-28,1-02,drop\nand "so" on\n'
    assert rows(text)[1] == "2027-08-28,1-02,,,drop,,"


def test_a_text_that_is_no_notes_is_soon_done_with() -> None:
    """A picture as letters, a line of a million dates, and quotes that are never closed, take no minutes."""
    began = time.process_time()
    for text in (
        "QUJD" * 500_000,
        "2027-08-28,1-02,drop," * 50_000,
        '"2027-08-28,1-02,note,"x\n' * 2_000,
        "a 1," * 20_000,
    ):
        find_lines(f"{text}\n2027-08-28,1-02,drop", "x.txt", WORDS)
    assert time.process_time() - began < 10


def test_what_happened_may_be_written_in_the_households_language() -> None:
    """The English words hold everywhere."""
    words = Vocabulary(trees=WORDS.trees, happenings=happenings(read_tongue("es", month_first=False, south=False)))
    assert rows("2027-05-01,1-02,plena floración\n2027-05-01,1-02,FULL BLOOM", words) == [
        "2027-05-01,1-02,,,plena floración,,",
        "2027-05-01,1-02,,,FULL BLOOM,,",
    ]


@pytest.mark.parametrize(
    ("typed", "row"),
    [
        ("2027-08-28,1-02,frist pick,31 lb,good size", "2027-08-28,1-02,,,frist pick,31 lb,good size"),
        ("2027-08-28,1-02,,,frist pick,31 lb,good size", "2027-08-28,1-02,,,frist pick,31 lb,good size"),
        ("2027-06-28,,hail,,like marbles", "2027-06-28,,,,hail,,like marbles"),
        ("2027-08-28,T-01/main,frist pick", "2027-08-28,T-01,,main,frist pick,,"),
        ("2027-08-28,Bartlet,frist pick", "2027-08-28,Bartlet,,,frist pick,,"),
        ("date,what,tree\n2027-08-28,frist pick,1-02", "2027-08-28,1-02,,,frist pick,,"),
    ],
)
def test_a_line_with_a_slip_in_what_happened_is_one(typed: str, row: str) -> None:
    """So that it is told and kept: it was passed over without a word."""
    assert rows(typed) == [row]


@pytest.mark.parametrize(
    "said",
    [
        "In 2026, 1-02, the old one, bore well",
        "On 2027-08-28, Wren, who was here, picked",
        "[28.08.2027, 18:03] Wren: here they come, all of them",
        "28 Aug 2027, 1-02",
    ],
)
def test_what_is_said_with_a_day_and_commas_is_no_line(said: str) -> None:
    """Neither a tag nor anything like a happening stands in its place, or a year alone begins it."""
    assert rows(said) == []


def test_a_crop_is_called_as_the_pages_call_it() -> None:
    """In the household's language, and one that is misspelt is a crop all the same where the tree has no limbs."""
    words = Vocabulary(
        trees=WORDS.trees, happenings=WORDS.happenings, tongue=read_tongue("es", month_first=False, south=False)
    )
    for crop in ("breva", "principal", "brebas"):
        assert rows(f"2027-08-28,T-01/{crop},pick,6 figs", words) == [f"2027-08-28,T-01,,{crop},pick,6 figs,"]
    assert rows("2027-08-28,T-01/Brown-Turkey,leaf fall", words) == ["2027-08-28,T-01,Brown-Turkey,,leaf fall,,"]


@pytest.mark.parametrize("amount", ["4,5 kg", '"4,5 kg"'])
def test_an_amount_with_a_decimal_comma_stays_whole(amount: str) -> None:
    """What is said of it is said of all of it: 4 kg is not what was weighed."""
    assert rows(f"2027-08-28,1-02,last pick,{amount},clean") == ['2027-08-28,1-02,,,last pick,"4,5 kg",clean']


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_words_stay_words(hostile: str) -> None:
    """In a note they are one cell of one line, and come back as they are, but for signs that are not seen."""
    cells = {"date": "2027-08-28", "tree": "1-02", "what": "note", "note": f"a{hostile}"}
    sent = row_of(cells, ("date", "tree", "what", "amount", "note"))
    (line,) = find_lines(f"2027-08-27,1-02,drop\n{sent}\n2027-08-29,1-02,drop", "x.txt", WORDS).lines[1:-1]
    table = with_lines("", [line])
    (row,) = [row for _, row in rows_of(table)][1:]

    seen = "".join(c for c in f"a{hostile}" if c.isprintable() or c.isspace())
    assert "".join(row[6].split()) == "".join(seen.split()) or set(hostile) - set(seen)
    assert row[:6] == ["2027-08-28", "1-02", "", "", "note", ""]


# The table they go into


def line(*cells: str, beside: str = "") -> FoundLine:
    return FoundLine(cells=dict(zip(COLUMNS, cells, strict=False)), where=Where("x.txt", 1), beside=beside)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", ["", "\n"])
def test_a_table_keeps_all_it_holds_and_its_line_ends(end: str, last: str) -> None:
    """Comments, empty lines and order stay; the new ones come at its end."""
    head = "\ufeffdate,tree,cultivar,crop,what,amount,note"
    text = f"{head}\n# spring\n2027-05-01,1-02,,,full bloom,,\n\n2027-04-01,,,,note,,x"
    before = (text + last).replace("\n", end)
    days = ("2027-08-28", "2027-08-29")
    after = with_lines(before, [line(day, "1-02", "", "", "drop") for day in days])

    assert after.startswith(before)
    assert after[len(before) :].strip("\r\n").split(end)[-2:] == [
        "2027-08-28,1-02,,,drop,,",
        "2027-08-29,1-02,,,drop,,",
    ]
    assert after.endswith(end)


def test_only_a_column_that_is_needed_is_added() -> None:
    """A short table stays short, and a limb has its column when one is noted."""
    short = "date,tree,what,,\n2027-05-01,1-02,full bloom\n"
    assert with_lines(short, [line("2027-08-28", "1-02", "", "", "drop")]) == f"{short}2027-08-28,1-02,drop\n"
    with_limb = with_lines(short, [line("2027-08-28", "2-01", "Bosc", "", "drop")])
    assert with_limb == "date,tree,what,cultivar\n2027-05-01,1-02,full bloom\n2027-08-28,2-01,drop,Bosc\n"


def test_who_noted_what_stands_above_it_once() -> None:
    """A second gathering from the same person goes on under the same comment, and nobody's lines under nobody's."""
    wren = line("2027-08-28", "1-02", "", "", "drop", beside="Wren")
    table = with_lines(with_lines("", [wren]), [wren])
    assert table.count("# Wren") == 1
    assert with_lines(table, [line("2027-08-28", "1-02", "", "", "drop")]).endswith(
        "drop,,\n\n2027-08-28,1-02,,,drop,,\n"
    )
