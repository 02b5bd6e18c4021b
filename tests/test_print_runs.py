"""Label runs as a kitchen prints them: a day's packs together, one PDF a stock, one sheet again, run sheet, tray and tub labels,
box cards, QR codes. Read back from the PDFs."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from label_cases import eu_declaration, looks
from msgspec.structs import replace
from paper import MM, embedded, overlaps, pages, squash, x_height_ratio
from paper_kitchen import DAY, kitchen, printed
from pypdf import PdfReader

from labeller.printing import qr
from labeller.printing.labels import CODE_KEEPS, LabelJob, label_run
from labeller.reading.stock_tables import find_stock
from labeller.serving.cli import main

WEB = "law: uk=>web: https://example.org/tables\nlaw: uk"


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    return kitchen(tmp_path_factory.mktemp("paper") / "house")


def test_the_packs_of_a_day_are_one_run_and_look_alikes_are_told(house, capsys):
    code, files = printed(house, "labels")
    told = capsys.readouterr().out
    assert code == 0 and list(files) == [f"{DAY}-labels.pdf"]
    assert "label-look-alike" in told and "tree nuts" in told
    sheets = pages(files[f"{DAY}-labels.pdf"])
    text = squash("".join(page.text() for page in sheets))
    assert len(sheets) == 4 and text.count("LotL1") == 20 and text.count("LotL2") == 5, "25 labels, 8 on a sheet"


def test_one_pdf_for_each_stock_and_look_alikes_all_the_same(tmp_path, capsys):
    folder = kitchen(
        tmp_path / "two", all="  net weight: {at least: 120 g}=>  net weight: {at least: 120 g}\n  label stock: jars"
    )
    _, files = printed(folder, "labels")
    assert sorted(files) == [f"{DAY}-a4-63-5-x-72-3-x-4-labels.pdf", f"{DAY}-a4-99-1-x-67-7-2-x-4-labels.pdf"]
    assert "label-look-alike" in capsys.readouterr().out
    jars, canapes = (pages(files[name]) for name in sorted(files))
    assert len(jars) == 1 and len(canapes) == 3


def test_one_batch_alone_keeps_its_name(house):
    assert list(printed(house, "labels", "--batch", "plain boxes")[1]) == ["plain-boxes-labels.pdf"]


def test_one_sheet_is_printed_again_as_it_was(house, capsys):
    whole = pages(printed(house, "labels", "--numbered", "--start", "3")[1][f"{DAY}-labels.pdf"])
    for number in (1, 2, 4):
        _, files = printed(house, "labels", "--numbered", "--start", "3", "--sheet", str(number))
        (again,) = pages(files[f"{DAY}-labels-sheet-{number}.pdf"])
        assert [(run.text, run.x, run.y) for run in again.runs] == [(run.text, run.x, run.y) for run in whole[number - 1].runs]
    capsys.readouterr()
    code, files = printed(house, "labels", "--sheet", "99")
    assert code == 1 and not files and "from 1 to 4" in capsys.readouterr().out


def test_copies_start_and_offset(house):
    def labels(*words):
        return pages(printed(house, "labels", "--batch", "plain boxes", *words)[1]["plain-boxes-labels.pdf"])

    (plain,), (moved,) = labels("--copies", "3"), labels("--copies", "3", "--start", "2", "--offset", "1.5", "-0.5")
    lots = [[run for run in page.runs if run.text.startswith("Lot")] for page in (plain, moved)]
    assert [len(each) for each in lots] == [3, 3]
    first, second = lots[0][1], lots[1][0]  # the second place of one is the first label of the other
    assert (second.x - first.x, second.y - first.y) == pytest.approx((1.5 * MM, 0.5 * MM), abs=0.02)


def test_the_run_sheet_counts_what_labels_prints(house):
    _, files = printed(house, "run-sheet")
    (page,) = pages(files[f"{DAY}-run-sheet.pdf"])
    rows: dict[float, list[str]] = {}
    for run in page.runs:
        rows.setdefault(round(run.y, 1), []).append(run.text)
    assert ["Together", "25", "25", "4"] in rows.values()
    assert "Lot L1" in page.text() and "kitchen" in page.text() and "law: UK, as of 25 November 2026" in page.text()
    labels = "".join(sheet.text() for sheet in pages(printed(house, "labels")[1][f"{DAY}-labels.pdf"]))
    marks = [text for text in (run.text for run in page.runs) if re.fullmatch(r"[2-9A-HJ-NP-Z]{5}", text)]
    assert len(marks) == 2 and all(mark in labels for mark in marks), "a label's mark stands beside its name"


def test_tray_labels_say_what_is_in_them(house):
    _, files = printed(house, "tray-labels")
    text = squash("".join(page.text() for page in pages(files[f"{DAY}-tray-labels.pdf"])))
    for words in ("20 packs", "Contains: hazelnut, milk", "Use by 27 November 2026", "Lot L1", "Made by RM"):
        assert squash(words) in text or squash(words.replace("hazelnut, milk", "milk, hazelnut")) in text, words


def test_tub_labels_have_the_kitchens_date_or_a_line_to_write_on(house, tmp_path):
    text = squash("".join(page.text() for page in pages(printed(house, "tub-labels")[1]["beetroot-butter-tub-labels.pdf"])))
    assert "UsebyMade" not in text and squash("Use by ____________") in text, "no batch, thus no date to count from"
    assert squash("Contains: milk") in text and squash("Made ____________") in text
    asked = squash(
        pages(printed(house, "tub-labels", "--use-by", "2026-11-28", "--copies", "3")[1]["beetroot-butter-tub-labels.pdf"])[
            0
        ].text()
    )
    assert asked.count(squash("Use by 28 November 2026")) == 3
    more = (
        "- batch: plain boxes=>- batch: butter\n  makes: beetroot butter\n  date: 2026-11-25\n  made by: AL\n- batch: plain boxes"
    )
    cooked = kitchen(tmp_path / "cooked", day=more)
    counted = squash(pages(printed(cooked, "tub-labels")[1]["butter-tub-labels.pdf"])[0].text())
    assert all(squash(words) in counted for words in ("Made 25 November 2026", "Use by 28 November 2026", "by AL"))


def test_the_packs_size_decides_the_type(house):
    """60 cm2 on record: small x of 0.9 mm allowed (Art. 13(3) of Regulation (EU) No 1169/2011); --face wins over it."""

    def least(*words):
        (pdf,) = printed(house, "labels", "--batch", "hazelnut boxes", "--copies", "1", "--stock", "A4 45.7 x 21.2", *words)[
            1
        ].values()
        ratio = min(x_height_ratio(file, 0x78) for name, file in embedded(pdf).items() if "Italic" not in name)
        return min(run.size for page in pages(pdf) for run in page.runs) * ratio / MM

    assert 0.9 - 1e-3 <= least("--split") < 1.2
    assert printed(house, "labels", "--batch", "hazelnut boxes", "--stock", "A4 45.7 x 21.2", "--split", "--face", "200")[1] == {}


def test_the_box_card_declares_each_piece_and_the_whole(house):
    code, files = printed(house, "box-card", "--batch", "hazelnut boxes")
    (page,) = pages_of_sheet(files["hazelnut-boxes-box-card.pdf"])
    first, rest = page.index("6 ×"), page.index("2 ×")
    whole = page.index("The whole box")
    assert code == 0 and first < rest < whole
    assert "hazelnut" in page[first:rest] and "milk" in page[first:rest]
    assert "hazelnut" not in page[rest:whole] and "milk" in page[rest:whole], "the plain bite holds no hazelnut"
    assert "hazelnut" in page[whole:] and "Use by 27 November 2026" in page[whole:] and "Lot L1" in page[whole:]


def pages_of_sheet(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def test_a_dish_has_no_box_card(house, capsys):
    assert printed(house, "box-card", "--pack", "beetroot bite")[0] == 1
    assert "box-card-needs-pieces" in capsys.readouterr().out


# QR codes. The symbol: ISO/IEC 18004 (finder patterns of 7 modules, quiet zone of 4).


def matrix_of(boxes, count: int) -> tuple[tuple[bool, ...], ...]:
    """The modules of the code that black boxes draw, read from the boxes alone."""
    step = min(box[3] for box in boxes)
    left, top = min(box[0] for box in boxes), max(box[1] + box[3] for box in boxes)
    dark = set()
    for x, y, wide, high in boxes:
        row, first = round((top - y - high) / step), round((x - left) / step)
        dark |= {(row, first + number) for number in range(round(wide / step))}
    return tuple(tuple((row, column) in dark for column in range(count)) for row in range(count))


def test_the_symbol_has_its_finder_patterns():
    rows = qr.modules("https://example.org/tables/ABCDE.html")
    ring = [(row, column) for row in range(7) for column in range(7) if row in (0, 6) or column in (0, 6)]
    heart = [(row, column) for row in (2, 3, 4) for column in (2, 3, 4)]
    for down, right in ((0, 0), (0, len(rows) - 7), (len(rows) - 7, 0)):
        assert all(rows[down + row][right + column] for row, column in ring + heart)
        assert not any(
            rows[down + row][right + column] for row in range(1, 6) for column in range(1, 6) if row in (1, 5) or column in (1, 5)
        )
    assert matrix_of(qr.bars("https://example.org/tables/ABCDE.html", 5, 5, 60), len(rows)) == rows


def test_labels_and_sheets_bear_the_code_of_their_own_record(tmp_path):
    folder = kitchen(tmp_path / "web", kitchen=WEB)
    _, files = printed(folder, "labels", "--batch", "plain boxes", "--copies", "1")
    (label,) = pages(files["plain-boxes-labels.pdf"])
    mark = next(run.text for run in label.runs if re.fullmatch("[2-9A-HJ-NP-Z]{5}", run.text))
    wanted = qr.modules(f"https://example.org/tables/{mark}.html")
    step = 0.35 * MM
    boxes = [box for box in label.boxes if 0.3 * MM < box[3] < 0.6 * MM]
    assert matrix_of(boxes, len(wanted)) == wanted and min(box[3] for box in boxes) >= step - 0.01
    record = files[f"records/{mark}.html"].decode()
    assert all(words in record for words in (mark, "plain boxes", "L2", "milk", "Kitchen version"))
    assert main(["find-mark", mark, "--kitchen", str(folder), "--date", DAY]) == 0


def test_no_code_without_an_address(house):
    _, files = printed(house, "labels")
    assert not any("records" in name for name in files)
    assert not [box for page in pages(files[f"{DAY}-labels.pdf"]) for box in page.boxes if box[3] > 0.3 * MM]


@pytest.mark.parametrize("stock", ["A4 99.1 x 67.7", "A4 63.5 x 72", "A4 63.5 x 38.1", "A4 99.1 x 139", "A4 round 60", "roll 62"])
def test_a_code_never_takes_room_from_the_text(stock):
    """With and without a code the same labels are printed; type stays above nine tenths, nothing is laid over it."""
    for text in ("salt, *milk*", ", ".join(f"ingredient {number}" for number in range(22)) + ", *milk*"):
        job = LabelJob(eu_declaration(text=text, table=False))
        plain, coded = (
            label_run([replace(job, code=code)], find_stock(stock), looks())
            for code in ("", "https://example.org/a/long/address/of/a/kitchen/ABCDE.html")
        )
        assert bool(plain.pdf) == bool(coded.pdf)
        if not plain.pdf:
            continue
        (before,), (after,) = pages(plain.pdf), pages(coded.pdf)
        assert squash(before.text()) == squash(after.text()) and overlaps(after.runs) == []
        size = [max(run.size for run in page.runs if "milk" in run.text) for page in (before, after)]
        assert size[1] >= CODE_KEEPS * size[0] - 0.01
        code = [box for box in after.boxes if box not in before.boxes and 0.3 * MM < box[3] < 0.6 * MM]
        for x, y, wide, high in code:
            for run in after.runs:
                left, low, right, top = run.box
                assert x + wide <= left or x >= right or y + high <= low or y >= top, "no module touches a letter"


def test_a_piece_with_a_list_longer_than_the_card_runs_on_to_further_pages(tmp_path):
    long = ", ".join(f"spice number {number}" for number in range(150))
    folder = kitchen(tmp_path / "long", larder=f"cream (MILK), salt=>cream (MILK), {long}")
    (pdf,) = printed(folder, "box-card", "--batch", "hazelnut boxes")[1].values()
    sheets = PdfReader(BytesIO(pdf)).pages
    text = squash("".join(page.extract_text() for page in sheets))
    assert len(sheets) > 1 and all(squash(f"spice number {number},") in text for number in range(149))
    for page in sheets:
        lows = []
        page.extract_text(visitor_text=lambda words, cm, tm, font, size, lows=lows: lows.append(tm[5]) if words.strip() else None)
        assert min(lows) > 9 * MM, "nothing runs over the foot or off the page"


def test_words_of_two_faces_that_meet_stay_on_one_line():
    from labeller.printing import sheet
    from labeller.reading.looks import looks as sheet_looks

    house = sheet_looks()[0]
    plain, bold = (sheet.Ink(face, 9) for face in sheet.faces(house)[:2])
    for width in range(60, 200):
        rows = sheet.set_lines([("filling (cream (", plain), ("milk", bold), (", salt), water", plain)], width, 1.2)
        texts = ["".join(text for _, text, _ in row.pieces) for row in rows]
        assert any("(milk," in text for text in texts) and all(row.width <= width + 0.02 for row in rows), width
