"""Records as a table: in and out, many sheets, decimal commas, and every wrong cell named."""

from __future__ import annotations

import csv
import io

import pytest

from nests.faces.cli import main
from nests.given.sheet import Sheet
from nests.kinds import read as read_document
from nests.kinds.measured import Measured
from nests.measuring import table
from nests.measuring.answers import answered
from nests.measuring.asking import by_label, holding
from nests.measuring.sheet_of import sheet_of
from tests.measuring.benches import CRADLE, HANDS, ROUND, measured

SMALL = (
    "sheet,thing,name,kind,diameter (mm),rim (mm),dial height (mm),bridge height (mm),pushers,"
    '"place (h, mm)",height (mm)\n'
    "INV 1,whole,,movement,26.0,1.7,1.2,1.9,none,,\n"
    "INV 1,rest,bridge,,2.4,,,,,1.4 h 7.4,1.2\n"
)


def told(content: bytes | str) -> tuple[str, ...]:
    with pytest.raises(table.WrongTable) as wrong:
        table.read(content if isinstance(content, bytes) else content.encode())
    return wrong.value.faults


def test_a_table_gives_back_what_was_written():
    some = [measured(each) for each in (HANDS, ROUND, CRADLE)]
    back = table.read(table.written(some), date="2031-05-17")
    assert list(back) == ["INV 27-M", "INV 24-R", "INV 18-W"]
    for record in some:
        again = back[record.text("whole", "", "name")]
        assert holding(again) == holding(record)


def test_tools_and_doubts_go_through_a_table():
    record = measured(ROUND)
    record = answered(record, by_label(record, "diameter"), "24.003 ± 0.004 with micrometer")
    record = answered(record, by_label(record, "mass"), "?")
    for comma in (False, True):
        (back,) = table.read(table.written([record], decimal_comma=comma)).values()
        assert sheet_of(back) == sheet_of(record)
        now = back.now["whole", "", "diameter"]
        assert (now.tool, now.doubt) == ("micrometer", 0.004)
        assert back.now["whole", "", "mass"].text == "?"


def test_the_headings_have_plain_names_and_units():
    rows = list(csv.reader(io.StringIO(table.written([]).decode("utf-8-sig"))))
    (head,) = rows
    assert head[:3] == ["sheet", "thing", "name"]
    assert "rim (mm)" in head
    assert "stem (h)" in head
    assert "mass (g)" in head
    assert all(each.isascii() for each in head)
    assert len(set(head)) == len(head)


def test_marks_of_byte_order_semicolons_tabs_and_commas_are_understood():
    plain = table.read(SMALL.encode())
    marked = table.read(b"\xef\xbb\xbf" + SMALL.encode())
    rows = list(csv.reader(io.StringIO(SMALL)))
    assert plain == marked
    (usual,) = plain.values()
    for sign in ";\t":
        out = io.StringIO()
        comma = [rows[0], *([cell.replace(".", ",") for cell in row] for row in rows[1:])]
        csv.writer(out, delimiter=sign).writerows(comma)
        (record,) = table.read(out.getvalue().encode()).values()
        assert record.text("whole", "", "diameter") == "26,0"
        assert sheet_of(record).sheet == sheet_of(usual).sheet


def test_fifty_calibres_in_one_table():
    some = [measured({**ROUND, "name": f"INV {k}", "diameter": f"{20 + k / 10:.1f}"}) for k in
            range(50)]  # fmt: skip
    back = table.read(table.written(some))
    assert len(back) == 50
    assert sheet_of(back["INV 49"]).sheet.outline.diameter == 24.9


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("26.0", "wide", "row 2, column 'diameter (mm)': diameter is 'wide'"),
        ("26.0", '"26,0"', "row 2, column 'diameter (mm)': '26,0'; a decimal point is needed"),
        ("26.0", "260", "row 2, column 'diameter (mm)': diameter is 260 mm; allowed is 3 to 70 mm"),
        ("1.4 h 7.4", "7.4", "row 3, column 'place (h, mm)': bridge: place is '7.4'"),
        (",rest,", ",rust,", "row 3, column 'thing': 'rust'; allowed is whole, pusher, arbor"),
        ("rest,bridge", "rest,", "row 3, column 'name': ''; a name for a thing"),
        ("whole,,", "whole,it,", "row 2, column 'name': 'it'"),
        ("bridge,,2.4", "bridge,it,2.4", "row 3, column 'kind': 'it'; it is not asked of a rest"),
        ("rim (mm)", "rim (in)", "row 1, column 'rim (in)': no such column"),
        ("sheet,thing", "calibre,thing", "row 1: the first columns are calibre, thing, name"),
        ("INV 1,rest", ",rest", "row 3, column 'sheet': empty"),
        ("1.4 h 7.4,1.2", "1.4 h 7.4,1.2,9", "row 3: it has 12 cells; the table has 11 columns"),
        ("INV 1,rest,bridge", "INV 1,whole,", "row 3: a second row of whole"),
        ("none", "--", "row 2, column 'pushers': pushers is '--'"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named_by_row_and_column(old, new, says):
    assert SMALL.count(old) >= 1
    faults = told(SMALL.replace(old, new, 1))
    assert any(each.startswith(says) for each in faults), faults


def test_a_row_that_its_list_does_not_name_is_a_fault():
    faults = told(SMALL + "INV 1,pusher,reset,,,,,,,,\n")
    assert faults == ("row 4: the pusher 'reset' is not named under 'pushers' of 'INV 1'.",)


def test_all_wrong_cells_are_named_at_once():
    faults = told(SMALL.replace("26.0", "wide").replace("1.4 h 7.4", "7.4"))
    assert len(faults) == 2


def test_what_is_no_table_is_said():
    assert "not UTF-8" in told(b"\xff\xfe\x00s")[0]
    assert "first columns are none" in told(b"")[0]
    assert "bytes" in told(b"x" * (table.LARGEST + 1))[0]
    assert "cannot be read as CSV" in told('sheet,thing,name\n"INV 1,whole,\n')[0]


def run(*words: str) -> int:
    try:
        main(list(words))
    except SystemExit as ended:
        return int(ended.code or 0)
    return 0


def test_the_command_writes_a_folder_or_nothing(tmp_path, capsys):
    source, into = tmp_path / "all.csv", tmp_path / "sheets"
    records = [measured(HANDS), measured(CRADLE)]
    source.write_bytes(table.written(records))
    assert run("measure", "table", str(source), "--into", str(into), "--date", "2031-05-17") == 0
    names = sorted(each.name for each in into.iterdir())
    assert names == ["inv-18-w.json", "inv-18-w.measured.json", "inv-27-m.json",
                     "inv-27-m.measured.json"]  # fmt: skip
    assert read_document(into / "inv-27-m.json", Sheet) == sheet_of(records[0]).sheet
    assert "taken by default" in capsys.readouterr().out.casefold()
    out = tmp_path / "again.csv"
    words = [str(each) for each in sorted(into.glob("*.measured.json"), reverse=True)]
    asked = [word for each in words for word in ("--from", each)]
    assert run("measure", "table", str(out), *asked) == 0
    assert out.read_bytes() == source.read_bytes()
    assert run("measure", "table", str(out), *asked) == 2

    wrong = tmp_path / "wrong.csv"
    wrong.write_text(SMALL.replace("26.0", "wide").replace("1.4 h 7.4", "7.4"), "utf-8")
    capsys.readouterr()
    assert run("measure", "table", str(wrong), "--into", str(tmp_path / "none")) == 2
    said = capsys.readouterr().err
    assert "row 2, column 'diameter (mm)'" in said
    assert "row 3, column 'place (h, mm)'" in said
    assert "2 faults; nothing is written" in said
    assert not (tmp_path / "none").exists()


def test_a_sheet_that_is_not_whole_leaves_its_answers(tmp_path, capsys):
    source, into = tmp_path / "all.csv", tmp_path / "sheets"
    source.write_text(SMALL.replace("1.4 h 7.4", ""), "utf-8")
    assert run("measure", "table", str(source), "--into", str(into)) == 0
    assert [each.name for each in into.iterdir()] == ["inv-1.measured.json"]
    assert "it lacks bridge: place" in capsys.readouterr().out
    assert read_document(into / "inv-1.measured.json", Measured).text("rest", "bridge", "height")
