"""Files that are cut off, in the wrong encoding, or made to do harm: refused in a sentence, or shown harmless."""

import csv
import io
import random
import re
import time
import warnings
from html.parser import HTMLParser

import ipywidgets as widgets
import plotly.graph_objects as go
import pytest
from conftest import ROOT
from every_panel import PANELS, parts_of
from faces import BENT_BAR, TEST_BEND
from hypothesis import given
from hypothesis import strategies as st

from barmath import BendError
from barmath.practice.progress import progress_from_file
from barmath.records.lookup import nearest_bars
from barmath.records.record import Record
from barmath.records.record_entry import readable
from barmath.records.record_sheet import bars_from_sheet, headings_of_sheet, sheet_from_bars
from barmath.saving import file_name
from barmath.shop.orders import orders_from_file, orders_from_toml
from barmath.shop.shop_file import shop_from_file, shop_from_toml
from barmath.shop.tooling import springback_from_tube

DEMO = ROOT / "notebooks" / "demo"
SHOP = (DEMO / "shop.toml").read_bytes()
ORDERS = (DEMO / "orders.toml").read_bytes()
SHEET = sheet_from_bars([BENT_BAR.run()])
TO_DO = (
    "Add", "Check", "Choose", "Delete", "Give", "Make", "Measure", "Put", "Rename", "Save",
    "Shorten", "Take", "Type", "Use", "Write",
)  # fmt: skip
HTML = "<img src=x onerror=alert(1)>"
ADVICE_FIRST = re.compile(r"[A-Z][a-z]+ [^:]*(: .*)*: .* \([\w ]+\.toml(, line \d+)?\)", re.DOTALL)
ENCODINGS = ("utf-16", "utf-16-le", "utf-32", "cp500", "latin-1")


def refused_or_read(read, *given):
    """What was read, or the sentence of the refusal; anything else fails, a warning too."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            return read(*given)
        except BendError as refusal:
            return str(refusal)


def broken(content: bytes, seed: int):
    """The content cut off at many places, and with bytes changed, doubled and left out at random."""
    luck = random.Random(seed)
    yield from (content[:length] for length in range(0, len(content), max(1, len(content) // 120)))
    for _ in range(120):
        place, length = luck.randrange(len(content)), luck.randrange(1, 40)
        yield content[:place] + luck.randbytes(length) + content[place + length :]
        yield content[:place] + content[place + length :]
        yield content[:place] + content[place : place + length] * 2 + content[place + length :]


# ---- TOML


@pytest.mark.parametrize(("read", "content"), [(shop_from_file, SHOP), (orders_from_file, ORDERS)])
def test_a_broken_toml_file_is_refused_or_read(read, content, tmp_path):
    path = tmp_path / "broken.toml"
    for seed, one in enumerate(broken(content, seed=5)):
        path.write_bytes(one)
        found = refused_or_read(read, path)
        assert not isinstance(found, str) or ADVICE_FIRST.fullmatch(found), (seed, found)


@pytest.mark.parametrize(("read", "content"), [(shop_from_toml, SHOP), (orders_from_toml, ORDERS)])
def test_each_line_of_a_toml_file_that_is_made_wrong_is_refused_with_what_to_do_first_and_its_place_last(read, content):
    lines = [re.sub(r"^# (?=[\w.]+ = |\[)", "", line) for line in content.decode().splitlines()][:140]
    refusals = set()
    for place, line in enumerate(lines):
        key, equals, _ = line.partition(" = ")
        worse = (
            [f"{key} = {value}" for value in ("", "-1", "1e9", "true", "[]", '" "', "'a: b'", "1,5")] if equals else []
        )
        for other in ("", "other", f"x{line}", f"{line}\n{line}", *worse):
            found = refused_or_read(read, "\n".join([*lines[:place], other, *lines[place + 1 :]]), "file.toml")
            refusals |= {found} if isinstance(found, str) else set()
    assert len(refusals) > 100
    assert [one for one in refusals if not ADVICE_FIRST.fullmatch(one) or one.split()[0] not in TO_DO] == []


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize(("read", "content"), [(shop_from_file, SHOP), (orders_from_file, ORDERS)])
def test_toml_in_another_encoding_is_refused_with_its_line(read, content, encoding, tmp_path):
    path = tmp_path / "other.toml"
    path.write_bytes(content.decode().replace("# ", "# °", 1).encode(encoding, errors="replace"))
    assert "other.toml, line" in refused_or_read(read, path)


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 100_000, "a." * 50_000 + "b = 1", "a = '''" + "x" * 900_000, "[" * 500, "a = 1e400"]
)
def test_toml_made_to_tire_a_reader_is_refused(text):
    assert isinstance(refused_or_read(shop_from_toml, text, "tiring.toml"), str)
    assert isinstance(refused_or_read(orders_from_toml, text, "tiring.toml"), str)


DOTTED = {
    "long lines": "\n".join("a." * 2400 + f"b{k} = 1" for k in range(200)),
    "short lines": "\n".join("a." * 40 + f"b{k} = 1" for k in range(11_000)),
    "quoted": "\n".join('"a" . ' * 800 + f"b{k} = 1" for k in range(200)),
    "headings": "\n".join("[" + "a." * 1200 + f"b{k}]" for k in range(400)),
    "within braces": "\n".join(f"x{k} = {{" + "a." * 2400 + "b = 1}" for k in range(200)),
}


@pytest.mark.parametrize("text", DOTTED.values(), ids=DOTTED)
def test_a_megabyte_of_dotted_names_is_refused_at_once(text):
    start = time.process_time()
    words = refused_or_read(shop_from_toml, text, "tiring.toml")
    assert words == "Shorten the name: a name must have at most 8 parts between dots (tiring.toml, line 1)"
    assert time.process_time() - start < 0.5  # the parser by itself takes from 2 to 30 s over them


def test_dots_within_a_text_are_no_name(demo_copy):
    path = demo_copy / "shop.toml"
    path.write_text(path.read_text().replace('name = "', 'name = "1.2.3.4.5.6.7.8.9.10.', 1))
    shop_from_file(path)


@given(st.text(max_size=200))
def test_any_text_at_all_is_no_shop_and_no_orders(text):
    assert isinstance(refused_or_read(shop_from_toml, text), str)
    refused_or_read(orders_from_toml, text)


# ---- sheets


def test_a_broken_sheet_is_refused_or_its_rows_are():
    for one in broken(SHEET, seed=6):
        refused_or_read(headings_of_sheet, one)
        refused_or_read(bars_from_sheet, one)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_a_sheet_in_another_encoding_is_refused_or_its_rows_are(encoding):
    found = refused_or_read(bars_from_sheet, SHEET.decode("utf-8-sig").encode(encoding, errors="replace"))
    assert isinstance(found, str) or encoding == "latin-1"


@given(st.binary(max_size=400))
def test_any_bytes_at_all_are_refused_or_give_no_bar(data):
    found = refused_or_read(bars_from_sheet, data)
    assert isinstance(found, str) or not found.bars


FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK('x')", "  =1", "＝1")


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_in_a_bar_is_plain_text_in_its_sheet_and_comes_back_as_it_was(formula):
    bar = BENT_BAR.run({("name",): formula, ("notes",): formula, ("batch",): formula})
    cells = [cell for row in csv.reader(io.StringIO(sheet_from_bars([bar]).decode("utf-8-sig"))) for cell in row]
    assert not [cell for cell in cells if cell.lstrip()[:1] in ("=", "+", "@", "＝") or cell[:1] in ("\t", "\r", "-")]
    (again,) = bars_from_sheet(sheet_from_bars([bar])).bars
    assert (again.name, again.notes, again.batch) == (bar.name, bar.notes, bar.batch)


# ---- the record


@pytest.fixture
def record(tmp_path):
    record = Record(tmp_path / "record.db")
    record.add_all([BENT_BAR.run(), TEST_BEND.run()] * 3)
    return record


def used(path):
    record = Record(path)
    shop = shop_from_file(DEMO / "shop.toml")
    tube, die = shop.tubes[0], shop.dies[0]
    found = record.entries(), record.count(), record.batches(), record.recent("bar", die.name, tube.name)
    nearest_bars(record, BENT_BAR.given["order"].run(), die, tube.name, springback_from_tube(tube, die), 25.0)
    return found


def test_a_broken_record_is_refused_or_read(record, tmp_path):
    whole, path = record.path.read_bytes(), tmp_path / "broken.db"
    luck = random.Random(7)
    cuts = [whole[:length] for length in range(0, len(whole), 701)]
    for _ in range(60):
        place = luck.randrange(len(whole))
        cuts.append(whole[:place] + luck.randbytes(luck.randrange(1, 200)) + whole[place + 100 :])
    for one in cuts:
        path.write_bytes(one)
        refused_or_read(used, path)


@pytest.mark.parametrize(
    "body", ["", "null", "[]", "{}", "1e999", "[" * 100_000, '{"order": null}', '{"order": {"rise_mm": NaN}}', "\x00"]
)
def test_an_entry_made_by_hand_is_refused_and_hides_no_other(record, body):
    import sqlite3

    with sqlite3.connect(record.path) as file:
        columns = [row[1] for row in file.execute("pragma table_info(entry)")]
        values = {row[0]: row[1] for row in zip(columns, file.execute("select * from entry").fetchone(), strict=True)}
        values |= {"id": 99, "body": body}
        marks = ", ".join("?" * len(values))
        file.execute(f"insert into entry ({', '.join(values)}) values ({marks})", list(values.values()))
    file.close()
    entries = refused_or_read(used, record.path)[0]
    assert len(readable(entries)) == 6
    assert "withdraw entry 99 of the record" in refused_or_read(record.entry, 99)


@given(st.text(max_size=200))
def test_a_progress_file_of_any_text_is_refused_or_empty(text):
    import tempfile
    from pathlib import Path

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "progress.json"
        path.write_bytes(text.encode("utf-8", errors="surrogatepass"))
        refused_or_read(progress_from_file, path)


# ---- names


TRICKS = ["../../etc/passwd", "..", ".", "/etc/passwd", "C:\\Windows\\x", "a/b", "a\\b", "con", "NUL.txt", "x" * 500,
          "\x00", "a\nb", "", " ", "..\u2215x", "\u202egpj.exe", "~root", "$(id)", "%2e%2e%2f", HTML]  # fmt: skip


@pytest.mark.parametrize("words", TRICKS)
def test_a_name_that_plays_tricks_remains_inside_its_folder(words, tmp_path):
    name = file_name(words, ".pdf")
    assert (tmp_path / name).resolve().parent == tmp_path.resolve()
    assert not set(name) & set('/\\:*?"<>|\x00\n\u202e')
    assert name.endswith(".pdf")
    assert not name.startswith(".")
    assert len(name.encode()) < 120


@given(st.text())
def test_any_name_at_all_remains_inside_its_folder(words):
    name = file_name(words, ".pdf")
    assert not set(name) & set('/\\:*?"<>|\x00\n\r')
    assert name.isprintable()
    assert not name.startswith((".", " ", "-"))


class Tags(HTMLParser):
    """The tags that a browser finds in a piece of HTML."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append(tag)


def words_of(figure: go.Figure):
    """Every text in a figure: Plotly shows a few tags as they are."""

    def walk(value):
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            for inner in value.values():
                yield from walk(inner)
        elif isinstance(value, list | tuple):
            for inner in value:
                yield from walk(inner)

    yield from walk(figure.to_dict())


@pytest.mark.parametrize("name", list(PANELS))
def test_html_in_the_names_of_a_shop_is_shown_letter_by_letter(name, demo_copy, tmp_path):
    for file in demo_copy.glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        for word in ("7/8 x 0.058", "die 89", "the training shop", "order 1"):
            text = text.replace(f'"{word}"', f'"{HTML} {word}"')
        file.write_text(text, encoding="utf-8")
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    for part in parts_of(panel.box):
        if isinstance(part, widgets.HTML):
            assert "img" not in Tags(part.value).found
        if isinstance(part, go.Figure):
            assert not [words for words in words_of(part) if HTML in words and "&lt;" not in words]
