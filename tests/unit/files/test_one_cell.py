"""One cell of a CSV table rewritten, the rest byte for byte as it was."""

import csv
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.files.one_cell import NewCell, rewritten
from pacewright.files.sheet import UnreadableError


def file(folder: Path, content: bytes) -> Path:
    """A table of that content."""
    path = folder / "people.csv"
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"shop,trade,p\na,b,1\nc,d,2\n", b"shop,trade,p\na,b,1\nc,d,0.5\n"),
        (b"shop,trade,p\r\na,b,1\r\nc,d,2", b"shop,trade,p\r\na,b,1\r\nc,d,0.5"),
        (b"\xef\xbb\xbfp,trade,shop\n2, d ,c\n", b"\xef\xbb\xbfp,trade,shop\n0.5, d ,c\n"),
        (b'shop,p,"trade",n\nc,"2","d","x, ""y"""\n', b'shop,p,"trade",n\nc,0.5,"d","x, ""y"""\n'),
        (b"\n\nshop,trade,p\n\nc,d,\n,,\n", b"\n\nshop,trade,p\n\nc,d,0.5\n,,\n"),
    ],
)
def test_only_the_cell_changes(tmp_path: Path, before: bytes, after: bytes) -> None:
    """Line ends, marks, quotes, blanks and empty lines stay."""
    cell = NewCell({"shop": "c", "trade": "d"}, "p", "0.5")
    assert rewritten(file(tmp_path, before), [cell]) == after


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"shop,trade\nc,d\n", "no such column. One cell"),
        (b"shop,trade,p\na,d,1\n", "0 rows of c d"),
        (b"shop,trade,p\nc,d,1\nc,d,2\n", "2 rows of c d"),
        (b"shop,trade,p\nc,d\n", "ends before it"),
    ],
)
def test_what_cannot_be_found_is_told(tmp_path: Path, content: bytes, words: str) -> None:
    """No such column, no row, the row twice, a row too short."""
    with pytest.raises(UnreadableError) as caught:
        rewritten(file(tmp_path, content), [NewCell({"shop": "c", "trade": "d"}, "p", "0.5")])
    assert words in str(caught.value.faults[0])


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=6)


@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=6), st.integers(0, 5))
def test_the_csv_library_reads_the_same(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, str]], which: int
) -> None:
    """Whatever the csv module wrote, it reads all cells as before but the one."""
    which %= len(rows)
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["id", "note", "figure", "last"])
    for n, (note, last) in enumerate(rows):
        writer.writerow([f"r{n}", note, "1", last])
    path = file(tmp_path_factory.mktemp("t"), out.getvalue().encode())
    new = rewritten(path, [NewCell({"id": f"r{which}"}, "figure", "2.5")])
    read = list(csv.reader(StringIO(new.decode(), newline="")))[1:]
    assert [row[2] for row in read] == ["2.5" if n == which else "1" for n in range(len(rows))]
    assert [(row[1], row[3]) for row in read] == rows
