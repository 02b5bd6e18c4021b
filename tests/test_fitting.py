"""Fitting: no line wider than its column, no word lost, sizes from the law's floor to comfort, heights those of the font."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from label_cases import looks

from labeller.printing.fitting import Drawing, Measure, Pair, Setter, Text, ladder, largest, run_column
from labeller.printing.fonts import BOLD, REGULAR, FontFault, FontFiles, family

FAMILY = family(looks().fonts)
SETTER = Setter(FAMILY)
MEASURE = Measure(SETTER, 1.2)
# Letters of the official languages of the European Union, of Ukrainian and Serbian kitchens, and signs of recipes.
LETTERS = (
    "ÁÀÂÃÄÅÆĀĂĄĆČĊÇĎĐÉÈÊËĒĖĘĚĞĠĢĦÍÌÎÏĪĮİĶĹĻĽŁŃŅŇÑÓÒÔÕÖØŐŒŔŘŚŠȘŞŤȚÚÙÛÜŪŮŰŲÝŸŹŻŽÞÐß"
    "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩΆΈΉΊΌΎΏΪΫςΐΰ"
    "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯЄІЇҐЂЈЉЊЋЏЃЌЅЁ°µ%–—‘’“”„‚«»…½¼¾⅓⅔×±≤≥€£&§-\u2011·•"
)
WORDS = st.lists(st.text(alphabet="abcdefgh ijklmnoö,()-żλ½", min_size=1, max_size=24), min_size=1, max_size=40)


def letters(lines) -> str:
    return "".join(word for line in lines for _, words in line.segments for word in words).replace("\u00ad", "")


def drawn(par, size: float, width: float, **more):
    out = Drawing()
    under = Text(par, **more).run(MEASURE, size, width, 0.0, 1000.0, out)
    return under, out.lines


@pytest.mark.parametrize("face", FAMILY.faces, ids=("regular", "bold", "italic"))
def test_the_font_has_every_letter_of_the_languages(face):
    text = LETTERS + "".join(letter.lower() for letter in LETTERS if len(letter.lower()) == 1)
    assert face.missing(text) == ""


def test_a_missing_letter_is_told():
    assert FAMILY.regular.missing("魚 milk 魚") == "魚"
    assert SETTER.missing(["milk", "魚 and 卵"]) == "卵魚"


def test_letters_and_their_marks_are_one():
    """Unicode form C: e with an acute accent after it is é; a mark that makes no letter is told."""
    assert SETTER.missing(["cre\u0300me fraiche\tand\nmore"]) == ""
    assert SETTER.text("cre\u0300me").length == pytest.approx(SETTER.text("cr\u00e8me").length)
    assert SETTER.missing(["q\u0300uark"]) == "\u0300"


@pytest.mark.parametrize("name, path", [("regular", looks().fonts.regular), ("bold", looks().fonts.bold)])
def test_heights_are_those_of_the_drawing(name, path):
    """The height that the file states for a small x is the height of its drawing (tables OS/2 and glyf, ISO/IEC 14496-22)."""
    data = Path(path).read_bytes()
    tables = {data[12 + 16 * n : 16 + 16 * n]: struct.unpack(">LL", data[20 + 16 * n : 28 + 16 * n])
              for n in range(struct.unpack(">H", data[4:6])[0])}  # fmt: skip
    unit = struct.unpack(">H", data[tables[b"head"][0] + 18 : tables[b"head"][0] + 20])[0]
    face = getattr(FAMILY, name)
    glyph = face.font.face.charToGlyph[ord("x")]
    start = tables[b"glyf"][0] + face.font.face.glyphPos[glyph]
    top = struct.unpack(">hhhhh", data[start : start + 10])[4]
    assert face.x_ratio == pytest.approx(top / unit)


def test_points_for_a_height():
    """1.2 mm = 3.4016 pt (72 points of 25.4 mm to the inch); Art. 13(2) and Annex IV of Regulation (EU) No 1169/2011."""
    face = FAMILY.regular
    assert face.points_for_x_height(1.2) * face.x_ratio == pytest.approx(3.40157, abs=1e-4)
    assert face.points_for_figures(4.0) * face.cap_ratio == pytest.approx(4 * 72 / 25.4)


def test_a_file_that_is_no_font(tmp_path):
    broken = tmp_path / "broken.ttf"
    broken.write_bytes(b"not a font at all, only some words in a file")
    with pytest.raises(FontFault, match="broken.ttf"):
        family(FontFiles(str(broken), looks().fonts.bold, looks().fonts.italic))
    with pytest.raises(FontFault, match="nowhere.ttf"):
        family(FontFiles(str(tmp_path / "nowhere.ttf"), looks().fonts.bold, looks().fonts.italic))


@settings(max_examples=150, deadline=None)
@given(WORDS, st.floats(4.8, 20), st.floats(60, 400))
def test_lines_keep_the_width_and_every_letter(texts, size, width):
    runs = [(text, BOLD if number % 3 == 0 else REGULAR) for number, text in enumerate(texts)]
    par = SETTER.paragraph(runs)
    under, lines = drawn(par, size, width, soft=True)
    assert under is not None
    for line in lines:
        faces = [(face, " ".join(words)) for face, words in line.segments]
        assert sum(FAMILY.faces[face].width(text) for face, text in faces) * size == pytest.approx(line.width, abs=0.01)
        assert line.width <= width + 0.01
    assert letters(lines).replace("\u00a0", "") == "".join(texts).replace(" ", "")
    assert under == pytest.approx(1000 - len(lines) * size * 1.2)


def test_a_word_wider_than_its_column_is_not_cut():
    word = SETTER.text("Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunter")
    assert drawn(word, 9, 60)[0] is None
    under, lines = drawn(word, 9, 60, soft=True)
    assert under is not None and len(lines) > 4
    assert letters(lines) == "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunter"
    assert all(line.segments[-1][1][-1].endswith("\u00ad") for line in lines[:-1]), "each break shows a hyphen"


def test_number_and_unit_stay_on_one_line():
    par = SETTER.text("Keep below 5 °C and eat within 24 h of 100 g (32 %), please")
    kept = [chunk[0][1] for chunk in par.chunks]
    assert "5\u00a0°C" in kept and "100\u00a0g" in kept and "(32\u00a0%)," in kept


def test_bold_and_regular_meet_without_a_space():
    par = SETTER.paragraph([("butter (", REGULAR), ("milk", BOLD), ("), salt", REGULAR)])
    assert [len(chunk) for chunk in par.chunks] == [1, 3, 1]
    _, lines = drawn(par, 8, 400)
    assert "".join(" ".join(words) for _, words in lines[0].segments) == "butter (milk), salt"


def test_pair_stands_on_one_line_only_when_both_fit():
    left, right = Text(SETTER.text("Use by 27 November 2026", BOLD)), Text(SETTER.text("Lot 251124-A"))
    wide, narrow = Drawing(), Drawing()
    Pair(left, right).run(MEASURE, 9, 260, 0, 100, wide)
    Pair(left, right).run(MEASURE, 9, 130, 0, 100, narrow)
    assert wide.lines[0].y == wide.lines[1].y and wide.lines[1].x + wide.lines[1].width == pytest.approx(260)
    assert narrow.lines[0].y > narrow.lines[-1].y


def test_a_column_ends_at_its_floor():
    items = [Text(SETTER.text("one")), Text(SETTER.text("two"), gap=0.5)]
    assert run_column(items, MEASURE, 10, 100, 0, 100, None, floor=70.9) == pytest.approx(100 - 12 - 5 - 12)
    assert run_column(items, MEASURE, 10, 100, 0, 100, None, floor=71.1) is None


def test_sizes_start_at_the_floor_and_end_at_comfort():
    steps = ladder(6.40598, 9.0, 0.25)
    assert steps[0] == 6.41 and steps[0] >= 6.40598 and steps[-1] == 9.0 and sorted(steps) == list(steps)
    assert ladder(9.5, 9.0, 0.25) == (9.5,), "a floor above comfort still holds"


@given(st.floats(0, 12))
def test_largest_size_that_fits(limit):
    steps = ladder(5.0, 9.0, 0.25)
    found = largest(steps, lambda size: size <= limit)
    fitting = [size for size in steps if size <= limit]
    assert found == (fitting[-1] if fitting else None)
