"""Sign-off, what has changed since, and whether anything in the register can be touched unseen.

Published standards held here: SHA-256 (FIPS 180-4) by Python's own ``hashlib``; JSON (RFC 8259); the form of a checksum list is
that of ``sha256sum --check`` (GNU coreutils).
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader
from signing import DAY, SIGN, Cook, edit, write_kitchen

from labeller.reading.issued import KEYS, as_bytes, read_register, seal_of
from labeller.serving import register as room
from labeller.serving.pipeline import open_kitchen
from labeller.serving.register import append

LIST = "SHA256SUMS"


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    return Cook(write_kitchen(tmp_path / "kitchen"), capsys)


@pytest.fixture
def signed(cook: Cook) -> Cook:
    cook.signs()
    return cook


# Signing ------------------------------------------------------------------------------------------------------------------


def test_a_sign_off_freezes_everything_it_rests_on(cook: Cook) -> None:
    said = cook.signs("--second", "AL")
    assert "issued no. 1, 25 November 2026, signed by RM (head chef), checked by AL" in said
    data = (cook.kitchen / "issued" / "0001-week-48.json").read_bytes()
    content = json.loads(data)
    assert (content["number"], content["menu"], content["by"], content["role"], content["second"]) == (
        1,
        "Week 48",
        "RM",
        "head chef",
        "AL",
    )
    assert (content["date"], content["time"], content["laws"], content["previous"]) == (DAY, "17:30", ["uk"], "")
    for file, digest in content["files"].items():
        assert hashlib.sha256((cook.kitchen / file).read_bytes()).hexdigest() == digest, file
    on_disk = {path.relative_to(cook.kitchen).as_posix() for path in cook.kitchen.rglob("*.yaml")}
    assert set(content["files"]) == on_disk
    assert content["data_version"] and content["kitchen_version"] and content["tool_version"] and content["tables"]["rules"]
    assert [entry["dish"] for entry in content["declarations"]] == ["carrots, dressed", "charred leeks", "lunch box"]


def test_the_frozen_records_are_those_that_declare_publishes(signed: Cook) -> None:
    content = json.loads((signed.kitchen / "issued" / "0001-week-48.json").read_bytes())
    signed.types("declare", "--all", "--menu", "Week 48", "--format", "json")
    assert [entry["record"] for entry in content["declarations"]] == json.loads(signed.out)


def test_seal_and_list_can_be_recomputed_by_anybody(signed: Cook) -> None:
    """SHA-256 over the JSON without the seal, keys in order, no spaces; and the list as GNU coreutils check it."""
    edit(signed.kitchen, "recipes/plates.yaml", "leek: 80 g", "leek: 95 g")
    signed.signs()
    folder = signed.kitchen / "issued"
    before = ""
    for line in (folder / LIST).read_text().splitlines():
        digest, name = line.split("  ")
        data = (folder / name).read_bytes()
        content = json.loads(data)
        seal = content.pop("seal")
        assert (
            hashlib.sha256(json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()).hexdigest()
            == seal
        )
        assert hashlib.sha256(data).hexdigest() == digest and content["previous"] == before
        before = digest
    if tool := shutil.which("sha256sum"):
        assert subprocess.run([tool, "--check", "--strict", LIST], cwd=folder, capture_output=True, check=False).returncode == 0


def test_equal_inputs_give_equal_bytes(tmp_path: Path, capsys) -> None:
    files = []
    for name in ("one", "two"):
        cook = Cook(write_kitchen(tmp_path / name), capsys)
        cook.signs()
        files.append((cook.kitchen / "issued" / "0001-week-48.json").read_bytes())
    assert files[0] == files[1]


@pytest.mark.parametrize(("words", "code"), [
    (("--by", "RM"), "role-needed"), (("--role", "chef"), "name-needed"), ((*SIGN, "--second", "rm"), "second-is-first"),
    (("--by", "RM", "--role", "chef", "--time", "25:00"), "time-not-read"),
    ((*SIGN, "--accept", "unread-product"), "accept-not-read"),
    ((*SIGN, "--accept", "unread-product=never seen"), "accept-not-read"), ((*SIGN, "--law", "xx"), "law-not-there"),
])  # fmt: skip
def test_a_sign_off_without_what_it_needs_is_refused_and_nothing_is_written(
    cook: Cook, words: tuple[str, ...], code: str
) -> None:
    assert code in cook.types("sign-off", "Week 48", *words)
    assert cook.code == 1 and not (cook.kitchen / "issued").exists()


def test_a_doubt_must_be_accepted_with_a_reason(cook: Cook) -> None:
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 200 g\n    - brown jar: 10 g")
    edit(cook.kitchen, "recipes/plates.yaml", "makes: 202 g", "makes: 212 g")
    said = cook.types("sign-off", "Week 48", *SIGN)
    assert cook.code == 1 and "unread-product:brown jar=reason" in said and not (cook.kitchen / "issued").exists()
    cook.signs("--accept", "unread-product:brown jar=the supplier answers tomorrow; told at the door")
    content = json.loads((cook.kitchen / "issued" / "0001-week-48.json").read_bytes())
    [accepted] = content["accepted"]
    assert (accepted["code"], accepted["subject"], accepted["reason"]) == (
        "unread-product", "brown jar", "the supplier answers tomorrow; told at the door")  # fmt: skip


def test_a_stop_can_not_be_accepted_and_its_dish_is_issued_without_an_answer(cook: Cook) -> None:
    edit(cook.kitchen, "products/larder.yaml", 'food: "01053"', 'food: "01053"\n  recall: glass in the jar')
    assert "stop-not-acceptable" in cook.types("sign-off", "Week 48", *SIGN, "--accept", "product-recalled=we like it")
    assert cook.code == 1 and not (cook.kitchen / "issued").exists()
    assert "Issued without an answer: carrots, dressed · lunch box." in cook.signs()
    content = json.loads((cook.kitchen / "issued" / "0001-week-48.json").read_bytes())
    answers = {entry["dish"]: entry["answer"] for entry in content["declarations"]}
    assert answers["carrots, dressed"].startswith("NO ANSWER") and answers["charred leeks"] == ""
    assert [each["code"] for each in content["stops"]] == ["product-recalled"]
    stopped = content["declarations"][0]
    assert stopped["facts"] == [] and stopped["record"]["nutrients"] == {}


# What has changed ---------------------------------------------------------------------------------------------------------


def test_nothing_changed(signed: Cook) -> None:
    assert "No declaration has changed." in signed.types("changes")
    assert signed.code == 0


def test_a_gained_allergen_is_told_with_its_way_and_line(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 190 g\n    - sesame paste: 10 g")
    said = signed.types("changes")
    assert signed.code == 1
    assert "carrots, dressed gains sesame (contains), through dressing > sesame paste (products/larder.yaml:1)" in said
    assert (
        "lunch box gains sesame (contains), through carrots, dressed > dressing > sesame paste (products/larder.yaml:1)" in said
    )
    assert "charred leeks" not in said
    assert "files changed: recipes/plates.yaml" in said
    signed.types("changes", "--format", "json")
    menu = json.loads(signed.out)["menus"][0]
    assert [each["dish"] for each in menu["dishes"]] == ["carrots, dressed", "lunch box"]
    [move] = menu["dishes"][0]["allergens"]
    assert (move["kinds"], move["what"], move["was"], move["now"]) == (["sesame"], "gains", "none_on_record", "contains")
    assert move["through"][0]["path"] == ["carrots, dressed", "dressing", "sesame paste"]


def test_a_lost_allergen_is_told_with_the_way_it_came(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "    - dressing: 20 g\n", "")
    said = signed.types("changes")
    assert "carrots, dressed loses milk (was: contains); it came through dressing > thick cream (products/larder.yaml:8)" in said


def test_a_state_that_moves_is_told_with_both(signed: Cook) -> None:
    """The jar's printed list goes: what it contained is no longer known, and every other kind opens as well."""
    edit(signed.kitchen, "products/larder.yaml", "  ingredients on pack: pasteurised cream (MILK)\n  contains: [milk]\n"
         "  may contain: none\n"
         "  evidence: {kind: pack, checked: 2026-11-20, by: RM}\n", "")  # fmt: skip
    said = signed.types("changes")
    assert "(not confirmed), through dressing > thick cream" in said and "milk" in said
    assert "new since it was signed, doubt:" in said and "[unread-product]" in said


def test_a_figure_is_told_only_beyond_rounding(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "leek: 80 g", "leek: 80.01 g")
    said = signed.types("changes")
    assert signed.code == 0 and "no word of a declaration changed by it" in said
    edit(signed.kitchen, "recipes/plates.yaml", "table salt: 2 g", "table salt: 4 g")
    edit(signed.kitchen, "recipes/plates.yaml", "makes: 202 g", "makes: 204 g")
    said = signed.types("changes")
    before, now = (_salt(signed, number) for number in (1, None))
    assert signed.code == 1 or before != now
    assert f"salt: {now} per 100 g (was {before})" in signed.types("changes")


def _salt(cook: Cook, number: int | None) -> str:
    """Declared salt of the carrots per 100 g, as signed or as it is now."""
    if number:
        content = json.loads((cook.kitchen / "issued" / f"{number:04d}-week-48.json").read_bytes())
        record = content["declarations"][0]["record"]
    else:
        cook.types("declare", "carrots, dressed", "--format", "json")
        record = json.loads(cook.out)
    return record["nutrients"]["salt_g"]["declared"]["per_100g"]


def test_dishes_added_taken_off_and_moved(signed: Cook) -> None:
    menu = signed.kitchen / "menus" / "week48.yaml"
    menu.write_text("menu: Week 48\nfrom: 2026-11-23\nuntil: 2026-11-30\ncourses:\n  - carrots, dressed\n"
                    "  - sesame spoon\npacks:\n  - lunch box\n",
                    encoding="utf-8")  # fmt: skip
    recipes = signed.kitchen / "recipes" / "plates.yaml"
    recipes.write_text(recipes.read_text() + "- dish: sesame spoon\n  portion:\n    - tahini: 15 g\n", encoding="utf-8")
    said = signed.types("changes")
    assert "sesame spoon is new on the menu brings sesame (contains), through tahini (products/larder.yaml:1)" in said
    assert "charred leeks is no longer on the menu" in said
    assert "Its days were 2026-11-23 to 2026-11-29, now 2026-11-23 to 2026-11-30." in said


def test_the_order_of_the_courses_counts(signed: Cook) -> None:
    edit(signed.kitchen, "menus/week48.yaml", "  - carrots, dressed        # the small carrots\n", "")
    edit(signed.kitchen, "menus/week48.yaml", "packs:\n", "  - carrots, dressed\npacks:\n")
    assert "the order of the dishes" in signed.types("changes") and signed.code == 1


def test_a_stop_since_signing_is_told(signed: Cook) -> None:
    edit(signed.kitchen, "products/larder.yaml", 'food: "01053"', 'food: "01053"\n  recall: glass in the jar')
    said = signed.types("changes")
    assert "carrots, dressed had an answer, now: NO ANSWER" in said and "new since it was signed, stop:" in said


def test_a_replacement_for_tonight_is_told_and_falls_back(signed: Cook) -> None:
    signed.types("replace", "thick cream", "tahini", "--for", "tonight", "--by", "RM")
    said = signed.types("changes")
    assert "gains sesame (contains), through dressing > tahini" in said and "loses milk" in said
    assert "gains sesame (not confirmed)" in signed.types("changes", day="2026-11-26")  # some of the dressing may be left
    assert "No declaration has changed." in signed.types("changes", day="2026-11-28")


def test_other_law_tables_or_food_data_end_a_sign_off(signed: Cook, monkeypatch) -> None:
    from labeller.serving import changes

    real = changes.table_checksums
    monkeypatch.setattr(changes, "table_checksums", lambda only=(): real(only) | {"rules": "0" * 64})
    assert "the rules of the law as the tool holds them" in signed.types("changes") and signed.code == 1
    assert "CHANGED SINCE no. 1" in text_of(signed, "matrix", "week-48-matrix.pdf")


def test_an_unsigned_menu_of_the_day_is_told(cook: Cook) -> None:
    assert "Week 48: NOT SIGNED OFF" in cook.types("changes") and cook.code == 1
    assert "menu-not-signed" in cook.types("changes", "--menu", "Week 48") and cook.code == 1


def test_a_second_sign_off_replaces_the_first(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "leek: 80 g", "leek: 95 g")
    said = signed.signs()
    assert "issued no. 2" in said and "replaces no. 1" in said and "weighs 95 g, was 80 g" in said
    assert "since no. 2" in signed.types("changes") and signed.code == 0


def test_two_laws_are_signed_and_compared_each_by_itself(cook: Cook) -> None:
    cook.types("sign-off", "Week 48", *SIGN, "--law", "uk", "--law", "us")
    if cook.code:  # doubts of the second law
        codes = {line.split("[")[0].strip() for line in cook.err.splitlines() if line.startswith("  --accept")}
        accepted = [part for line in codes for part in ("--accept", line.split('"')[1])]
        cook.types("sign-off", "Week 48", *SIGN, "--law", "uk", "--law", "us", *accepted)
    assert cook.code == 0, cook.words
    edit(cook.kitchen, "recipes/plates.yaml", "leek: 80 g", "leek: 95 g")
    said = cook.types("changes")
    assert "charred leeks (UK law)" in said and "charred leeks (US law)" in said


# The register can't be touched unseen -------------------------------------------------------------------------------------


@pytest.fixture
def chain(cook: Cook) -> Path:
    """Three sign-offs; the folder."""
    for grams in (80, 85, 90):
        if grams > 80:
            edit(cook.kitchen, "recipes/plates.yaml", f"leek: {grams - 5} g", f"leek: {grams} g")
        cook.signs()
    assert len(read_register(cook.kitchen).issues) == 3 and not read_register(cook.kitchen).findings
    return cook.kitchen / "issued"


def named(folder: Path) -> set[str]:
    """Files of the register that its findings name."""
    return {Path(each.place.file).name for each in read_register(folder.parent).findings}


def test_every_flipped_bit_is_found_and_named(chain: Path) -> None:
    """Each byte of the list, and 45 bytes of each of the three files: one bit changed, and put back."""
    dice = random.Random(20261125)
    tried = 0
    for path in sorted(each for each in chain.iterdir() if each.name != ".lock"):
        data = path.read_bytes()
        places = range(len(data)) if path.name == LIST else dice.sample(range(len(data)), 45)
        path.chmod(0o644)
        for place in places:
            bit = 1 << dice.randrange(8)
            path.write_bytes(data[:place] + bytes([data[place] ^ bit]) + data[place + 1 :])
            found = read_register(chain.parent).findings
            assert found, (path.name, place, bit)
            assert any(path.name in str(each.place) + each.text for each in found), (path.name, place, bit, found)
            tried += 1
        path.write_bytes(data)
        assert not read_register(chain.parent).findings
    assert tried >= 200 + 3 * 45


def test_cutting_and_lengthening_are_found(chain: Path) -> None:
    for path in sorted(each for each in chain.iterdir() if each.name != ".lock"):
        path.chmod(0o644)
        data = path.read_bytes()
        for other in (
            data[:-1],
            data + b"\n",
            data + b" ",
            b"",
            data[1:],
            b"\xef\xbb\xbf" + data,
            data.replace(b"\n", b"\r\n"),
        ):
            path.write_bytes(other)
            assert path.name in named(chain), (path.name, other[:20])
        path.write_bytes(data)


def test_removal_is_found(chain: Path) -> None:
    for path in sorted(each for each in chain.iterdir() if each.name != ".lock"):
        data = path.read_bytes()
        path.unlink()
        assert path.name in named(chain), path.name
        path.write_bytes(data)
    assert not named(chain)


def test_renaming_exchanging_and_putting_in_are_found(chain: Path) -> None:
    first, second, third = (chain / f"000{number}-week-48.json" for number in (1, 2, 3))
    second.rename(chain / "0002-week-49.json")
    assert named(chain) == {"0002-week-48.json", "0002-week-49.json"}
    (chain / "0002-week-49.json").rename(second)
    one, three = first.read_bytes(), third.read_bytes()
    for path, data in ((first, three), (third, one)):
        path.unlink()
        path.write_bytes(data)
    assert {first.name, third.name} <= named(chain) | {
        name for each in read_register(chain.parent).findings for name in each.text.split("/")
    }
    for path, data in ((first, one), (third, three)):
        path.write_bytes(data)
    assert not named(chain)
    for name in ("0004-week-48.json", "notes.txt", "0001-week-48 (copy).json", ".hidden"):
        (chain / name).write_bytes(one)
        assert name in named(chain), name
        (chain / name).unlink()


def test_a_file_rewritten_with_a_seal_that_fits_breaks_the_chain(chain: Path) -> None:
    """Whoever knows how seals are made still has to exchange the list and every later file."""
    path = chain / "0002-week-48.json"
    content = json.loads(path.read_bytes()) | {"by": "XX"}
    content["seal"] = seal_of(content)
    path.chmod(0o644)
    old, new = hashlib.sha256(path.read_bytes()).hexdigest(), as_bytes(content)
    path.write_bytes(new)
    assert named(chain)
    listed = (chain / LIST).read_text()
    (chain / LIST).write_text(listed.replace(old, hashlib.sha256(new).hexdigest()))
    assert named(chain) == {"0003-week-48.json"}  # it names the checksum that is no more


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_file_and_its_line_changed_together_are_found(chain: Path, number: int) -> None:
    """Every file, the newest too, in which and in the list a byte is changed so that both agree: words, or only a space."""
    path = chain / f"{number:04d}-week-48.json"
    data, listed = path.read_bytes(), (chain / LIST).read_text()
    path.chmod(0o644)
    for other in (data.replace(b'"RM"', b'"AL"'), data.replace(b": ", b":  ", 1)):
        assert other != data
        path.write_bytes(other)
        (chain / LIST).write_text(listed.replace(hashlib.sha256(data).hexdigest(), hashlib.sha256(other).hexdigest()))
        assert named(chain), number


def test_the_newest_taken_out_with_its_line_is_found_by_its_prints(chain: Path, capsys) -> None:
    cook = Cook(chain.parent, capsys)
    cook.types("print", "matrix")
    (chain / "0003-week-48.json").unlink()
    lines = (chain / LIST).read_text().splitlines(keepends=True)
    (chain / LIST).write_text("".join(lines[:2]))
    said = cook.types("changes")
    assert cook.code == 1 and "prints in out/ are of no. 3, and issued/ ends with no. 2" in said
    assert "register-gone" in cook.types("sign-off", "Week 48", *SIGN) and cook.code == 1


def test_while_it_is_damaged_no_sign_off_counts(chain: Path, capsys) -> None:
    cook = Cook(chain.parent, capsys)
    path = chain / "0001-week-48.json"
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b"RM", b"XX"))
    assert "register-changed" in cook.types("check") and cook.code == 1 and "0001-week-48.json" in cook.words
    assert "THE REGISTER OF SIGN-OFFS IS NOT AS IT WAS WRITTEN" in cook.types("changes") and cook.code == 1
    before = sorted(each.name for each in chain.iterdir())
    assert "register-changed" in cook.types("sign-off", "Week 48", *SIGN) and cook.code == 1
    assert sorted(each.name for each in chain.iterdir()) == before
    assert "NOT SIGNED OFF: the register of sign-offs is damaged" in text_of(cook, "matrix", "week-48-matrix.pdf")


def test_a_sign_off_made_from_an_older_state_is_refused(signed: Cook) -> None:
    content = json.loads((signed.kitchen / "issued" / "0001-week-48.json").read_bytes())
    made = append(signed.kitchen, content)  # its number is taken
    assert getattr(made, "code", "") == "register-busy"
    assert len(read_register(signed.kitchen).issues) == 1


# Cut short at any moment --------------------------------------------------------------------------------------------------

FORKS = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system can't fork a process")


def small(folder: Path) -> dict:
    """The next sign-off of a register, with just enough in it to be one, and enough weight to be cut in the middle."""
    register = read_register(folder)
    rest = dict.fromkeys(KEYS, "")
    return rest | {"number": len(register.issues) + 1, "previous": register.head, "menu": "m", "notes": "x" * 60_000}


def whole(folder: Path) -> int:
    """How many sign-offs there are; fails when one is not whole."""
    register = read_register(folder)
    assert not register.findings, register.findings
    return len(register.issues)


@FORKS
def test_killed_at_random_moments_it_is_whole(tmp_path: Path) -> None:
    """120 times: a process that signs off without pause is killed (SIGKILL) after 0 to 12 ms. What it reported as done is there,
    the chain holds, and the next one goes on from it."""
    dice = random.Random(7)
    done, left_over = 0, 0
    for _ in range(120):
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                os.write(write, b"!")
                while True:
                    append(tmp_path, small(tmp_path))
                    os.write(write, b".")
            finally:
                os._exit(1)
        os.close(write)
        assert os.read(read, 1) == b"!"  # it has begun
        time.sleep(dice.uniform(0, 0.012))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        reported = 0
        while part := os.read(read, 4096):
            reported += len(part)
        os.close(read)
        there = whole(tmp_path)
        assert there >= done + reported
        done = there
        left_over += any(each.name != ".lock" and each.name.startswith(".") for each in (tmp_path / "issued").glob(".*"))
        if done > 60:  # reading grows with the chain; begin again
            shutil.rmtree(tmp_path / "issued")
            done = 0
    assert left_over, "no trial hit a sign-off in the middle"
    append(tmp_path, small(tmp_path))
    assert [each.name for each in (tmp_path / "issued").glob(".*")] == [".lock"]


@FORKS
@pytest.mark.parametrize("step", range(11))
def test_killed_between_any_two_steps_it_is_whole(tmp_path: Path, step: int) -> None:
    """Dies before its nth system step: opening, writing, renaming, entering on the list, naming."""
    append(tmp_path, small(tmp_path))
    child = os.fork()
    if child == 0:
        try:
            _die_at(step)
            append(tmp_path, small(tmp_path))
        finally:
            os._exit(0)
    os.waitpid(child, 0)
    there = whole(tmp_path)
    assert there in (1, 2)
    append(tmp_path, small(tmp_path))
    assert whole(tmp_path) == there + 1
    assert {each.name for each in (tmp_path / "issued").glob(".*")} == {".lock"}
    assert sorted(each.name for each in (tmp_path / "issued").glob("0*")) == [f"{nr:04d}-m.json" for nr in range(1, there + 2)]


def _die_at(step: int) -> None:
    count = 0

    def counted(real):
        def call(*words, **more):
            nonlocal count
            if count == step:
                os.kill(os.getpid(), signal.SIGKILL)
            count += 1
            return real(*words, **more)

        return call

    for name in ("fsync", "replace", "link", "chmod"):
        setattr(os, name, counted(getattr(os, name)))
    room.put_new = counted(room.put_new)


def test_a_real_command_killed_leaves_no_half_file(cook: Cook) -> None:
    """Six times the command itself, at moments spread over its run."""
    command = [sys.executable, "-m", "labeller", "sign-off", "Week 48", *SIGN, "--kitchen", str(cook.kitchen), "--date", DAY]
    start = time.monotonic()
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    took = time.monotonic() - start
    done = whole(cook.kitchen)
    for part in range(6):
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(took * (0.7 + 0.05 * part))
        process.kill()
        process.wait()
        assert whole(cook.kitchen) in (done, done + 1)
        done = whole(cook.kitchen)


@FORKS
def test_two_at_once_get_two_numbers(tmp_path: Path) -> None:
    children = []
    for _ in range(2):
        child = os.fork()
        if child == 0:
            try:
                signed = 0
                while signed < 10:  # refused when the other was first; then again
                    signed += not hasattr(append(tmp_path, small(tmp_path)), "severity")
            finally:
                os._exit(0)
        children.append(child)
    for child in children:
        os.waitpid(child, 0)
    assert whole(tmp_path) == 20


# Paper ----------------------------------------------------------------------------------------------------------------------


def text_of(cook: Cook, what: str, file: str, *words: str) -> str:
    cook.types("print", what, *words)
    data = (cook.kitchen / "out" / file).read_bytes()
    if file.endswith(".html"):
        return data.decode("utf-8")
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages).split())


SHEETS = [("matrix", "week-48-matrix.pdf", ()), ("matrix", "week-48-components.pdf", ()), ("cards", "week-48-menu-card.pdf", ()),
          ("cards", "week-48-tent-cards.pdf", ()), ("recipe-cards", "recipe-cards/dressing.pdf", ()),
          ("floor-page", "week-48-floor.html", ()),
          ("ticket", "week-48-ticket.pdf", ("--avoid", "milk"))]  # fmt: skip


@pytest.mark.parametrize(("what", "file", "words"), SHEETS, ids=[file for _, file, _ in SHEETS])
def test_every_sheet_says_under_which_number_it_stands(cook: Cook, what: str, file: str, words: tuple[str, ...]) -> None:
    assert "NOT SIGNED OFF · mark" in text_of(cook, what, file, *words)
    cook.signs()
    said = text_of(cook, what, file, *words)
    assert "issued no. 1, 25 November 2026, signed by RM (head chef) · mark" in said and "NOT SIGNED" not in said
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 190 g\n    - tahini: 10 g")
    assert "CHANGED SINCE no. 1 of 25 November 2026: NOT SIGNED OFF" in text_of(cook, what, file, *words)
    cook.signs("--second", "AL")
    assert "issued no. 2, 25 November 2026, signed by RM (head chef), checked by AL; replaces no. 1" in text_of(
        cook, what, file, *words
    )


def test_a_sheet_in_another_language_says_it_in_that_language(cook: Cook) -> None:
    """Words of templates/sheets.yaml (from memory, as its head says); the mark is that of the English sheet."""
    german = ("--language", "de")
    assert "NICHT FREIGEGEBEN · Zeichen" in text_of(cook, "matrix", "week-48-matrix.pdf", *german)
    cook.signs()
    mark = text_of(cook, "matrix", "week-48-matrix.pdf").split("mark ")[1][:5]
    said = text_of(cook, "cards", "week-48-menu-card.pdf", *german)
    assert "ausgegeben als Nr. 1, 25. November 2026, unterschrieben von RM (head chef)" in said
    assert f"Zeichen {mark}" in text_of(cook, "matrix", "week-48-matrix.pdf", *german)


EDITS = [
    ("recipes/plates.yaml", "leek: 80 g", "leek: 80 g   # from the garden"),
    ("recipes/plates.yaml", "leek: 80 g", "leek: 80.001 g"),
    ("recipes/plates.yaml", "leek: 80 g", "leek: 81 g"), ("recipes/plates.yaml", "leek: 80 g", "leek: 80-84 g"),
    ("products/larder.yaml", "by: RM}\n  food: \"12166\"", "by: AL}\n  food: \"12166\""),
    ("products/larder.yaml", "contains: [milk]\n  may contain: none", "contains: [milk]\n  may contain: [egg]"),
    ("products/larder.yaml", "pasteurised cream (MILK)", "cream (MILK), stabiliser: carrageenan"),
    ("menus/week48.yaml", "until: 2026-11-29", "until: 2026-11-28"), ("menus/week48.yaml", "packs:\n  - lunch box\n", ""),
    ("batches/wednesday.yaml", "count: 12", "count: 14"), ("kitchen.yaml", "1 Quay", "2 Quay"),
    ("products/larder.yaml", "- product: brown jar", "- product: black jar"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new"), EDITS, ids=range(len(EDITS)))
def test_paper_and_changes_say_the_same(signed: Cook, file: str, old: str, new: str) -> None:
    """The paper says CHANGED where ``changes`` tells a change, and the prints of the signed state are then void, else not."""
    signed.types("print", "matrix")
    edit(signed.kitchen, file, old, new)
    said = signed.types("changes")
    changed = signed.code == 1
    assert ("No declaration has changed." in said) != changed
    signed.types("changes", "--format", "json")
    void = [each["file"] for each in json.loads(signed.out)["void"]]
    assert ("week-48-matrix.pdf" in void) == changed
    assert ("CHANGED SINCE no. 1" in text_of(signed, "matrix", "week-48-matrix.pdf")) == changed


def test_labels_of_an_unsigned_state_are_told(cook: Cook) -> None:
    assert "printed-unsigned" in cook.types("print", "labels") and cook.code == 0
    cook.signs()
    assert "printed-unsigned" not in cook.types("print", "labels")
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 190 g\n    - tahini: 10 g")
    assert "printed-unsigned" in cook.types("print", "labels")


def test_printed_while_signing_the_checksums_are_on_record(cook: Cook) -> None:
    cook.signs("--print")
    content = json.loads((cook.kitchen / "issued" / "0001-week-48.json").read_bytes())
    files = {each["file"]: each["sha256"] for each in content["documents"]}
    assert len(files) >= 9
    for file, digest in files.items():
        assert hashlib.sha256((cook.kitchen / "out" / file).read_bytes()).hexdigest() == digest, file
    cook.types("print", "all")  # the same again, byte for byte
    for file, digest in files.items():
        assert hashlib.sha256((cook.kitchen / "out" / file).read_bytes()).hexdigest() == digest, file


def test_only_prints_that_no_longer_hold_are_void(signed: Cook) -> None:
    signed.types("print", "all")
    assert "no longer hold" not in signed.types("changes")
    edit(signed.kitchen, "recipes/plates.yaml", "leek: 80 g", "leek: 95 g")
    signed.types("changes", "--format", "json")
    void = {each["file"] for each in json.loads(signed.out)["void"]}
    assert "week-48-matrix.pdf" in void and "recipe-cards/charred-leeks.pdf" in void
    assert void.isdisjoint({"recipe-cards/carrots-dressed.pdf", "recipe-cards/dressing.pdf", "boxes-of-wednesday-labels.pdf"})
    (signed.kitchen / "out" / "mine.pdf").write_bytes(b"%PDF a note of the chef's own")
    signed.types("changes", "--void")
    left = {
        path.relative_to(signed.kitchen / "out").as_posix() for path in (signed.kitchen / "out").rglob("*") if path.is_file()
    }
    assert "mine.pdf" in left and "recipe-cards/dressing.pdf" in left and "void/week-48-matrix.1.pdf" in left
    assert "week-48-matrix.pdf" not in left and "recipe-cards/charred-leeks.pdf" not in left


def test_labels_are_void_when_any_word_of_theirs_changes(signed: Cook) -> None:
    signed.types("print", "labels")
    assert "no longer hold" not in signed.types("changes")
    edit(signed.kitchen, "kitchen.yaml", "1 Quay", "2 Quay")
    said = signed.types("changes")
    assert "the words of the label have changed since it was printed: boxes-of-wednesday-labels.pdf" in said and signed.code == 0


def test_a_print_changed_by_hand_is_void(signed: Cook) -> None:
    signed.types("print", "matrix")
    path = signed.kitchen / "out" / "week-48-matrix.pdf"
    path.write_bytes(path.read_bytes() + b" ")
    assert "the file was changed after it was printed: week-48-matrix.pdf" in signed.types("changes")


# Menus, lots and marks ----------------------------------------------------------------------------------------------------


def test_a_menu_is_copied_with_its_remarks_and_what_changed_since(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 190 g\n    - tahini: 10 g")
    said = signed.types("copy-menu", "week 48", "Week 49", "--from", "2026-11-30", "--until", "2026-12-06")
    assert signed.code == 0 and "carrots, dressed gains sesame (contains), through dressing > tahini" in said
    text = (signed.kitchen / "menus" / "week-49.yaml").read_text(encoding="utf-8")
    assert "# the small carrots" in text and "from: 2026-11-30" in text
    menus = open_kitchen(signed.kitchen, DAY).kitchen.menus
    old, new = menus["Week 48"], menus["Week 49"]
    assert [(each.title, each.dishes) for each in new.courses] == [(each.title, each.dishes) for each in old.courses]
    assert new.packs == old.packs and (new.starts, new.ends) == ("2026-11-30", "2026-12-06")
    edit(signed.kitchen, "menus/week-49.yaml", "  - carrots, dressed        # the small carrots\n", "")
    assert "carrots, dressed is no longer on the menu" in signed.types("changes", "--menu", "Week 49", "--against", "Week 48")


def test_a_menu_among_others_in_one_file_and_on_one_line_is_copied(cook: Cook) -> None:
    (cook.kitchen / "menus" / "two.yaml").write_text(
        "- menu: A\n  from: 2027-01-01\n  until: 2027-01-02\n  packs:\n    - lunch box\n  courses:\n"
        "    - choice: [charred leeks, \"carrots, dressed\"]\n"
        "# between\n- {menu: B, from: 2027-02-01, until: 2027-02-02}\n", encoding="utf-8")  # fmt: skip
    for old, new, day in (("A", "A2", "2027-03-01"), ("B", "B2", "2027-04-01")):
        cook.types("copy-menu", old, new, "--from", day, "--until", day)
        assert cook.code == 0, cook.words
    menus = open_kitchen(cook.kitchen, DAY).kitchen.menus
    assert menus["A2"].courses[0].dishes == ("charred leeks", "carrots, dressed") and menus["A2"].packs == ("lunch box",)
    assert menus["B2"].courses == () and "between" not in (cook.kitchen / "menus" / "a2.yaml").read_text()


@pytest.mark.parametrize(("words", "code"), [
    (("Week 48", "Week 49"), "menu-dates-needed"),
    (("Week 48", "week 48", "--from", "2026-12-01", "--until", "2026-12-02"), "menu-there-already"),
    (("Week 48", "Week 49", "--from", "2026-12-03", "--until", "2026-12-02"), "menu-dates-needed"),
    (("Week 47", "Week 49", "--from", "2026-12-01", "--until", "2026-12-02"), "menu-not-known"),
])  # fmt: skip
def test_a_copy_that_can_not_be_made_is_refused(cook: Cook, words: tuple[str, ...], code: str) -> None:
    before = sorted(each.name for each in (cook.kitchen / "menus").iterdir())
    assert code in cook.types("copy-menu", *words) and cook.code == 1
    assert sorted(each.name for each in (cook.kitchen / "menus").iterdir()) == before


def test_two_menus_for_one_date_are_a_finding(cook: Cook) -> None:
    said = cook.types("copy-menu", "Week 48", "Long week", "--from", "2026-11-29", "--until", "2026-12-20")
    assert "menus-overlap" in said and "on 2026-11-29 there are two menus" in said
    cook.types("copy-menu", "Week 48", "Short", "--from", "2026-12-01", "--until", "2026-12-01")
    said = cook.types("copy-menu", "Week 48", "Later", "--from", "2026-12-10", "--until", "2026-12-11")
    assert 'on 2026-12-10 there are two menus, "Long week"' in said  # though a shorter one began between them


def test_a_recall_finds_the_packs_of_a_lot_through_the_part_it_went_into(signed: Cook) -> None:
    """Lots C 7 and C 8 went into the dressing D24, and that into Wednesday's boxes; Thursday's had C 9; Friday's nobody wrote."""
    signed.types("recall", "thick cream", "--lot", "c 8", "--format", "json")
    found = json.loads(signed.out)
    verdicts = {each["batch"]: each["verdict"] for each in found["batches"]}
    assert verdicts == {"dressing of Tuesday": "has it", "boxes of Wednesday": "has it", "boxes of Thursday": "another lot",
                        "boxes of Friday": "lot not written: treat as having it"}  # fmt: skip
    assert [each["dish"] for each in found["dishes"]] == ["carrots, dressed", "lunch box"]
    assert found["menus"][0]["dishes"] == ["carrots, dressed", "lunch box"]
    assert [(each["number"], each["dishes"]) for each in found["issued"]] == [(1, ["carrots, dressed", "lunch box"])]
    boxes = next(each for each in found["batches"] if each["batch"] == "boxes of Wednesday")
    assert (boxes["count"], boxes["lot"], boxes["lots"]) == (12, "B25", ["C 7, C 8"])


def test_a_recall_reaches_sign_offs_of_recipes_that_have_changed_since(signed: Cook) -> None:
    edit(signed.kitchen, "recipes/plates.yaml", "    - thick cream: 200 g\n", "    - whole milk: 200 g\n")
    (signed.kitchen / "batches" / "wednesday.yaml").unlink()
    signed.types("recall", "thick cream", "--format", "json")
    found = json.loads(signed.out)
    assert found["dishes"] == [] and [each["number"] for each in found["issued"]] == [1]


def test_a_recall_sees_what_came_in_as_a_replacement(cook: Cook) -> None:
    cook.types("replace", "thick cream", "tahini", "--for", "tonight", "--by", "RM")
    said = cook.types("recall", "sesame paste", day="2026-12-01")
    assert "2026-11-25 carrots, dressed: it came in as a replacement" in said
    assert "boxes of Wednesday" in said and "boxes of Thursday" not in said


def test_a_recall_voids_the_prints_that_show_it(signed: Cook) -> None:
    signed.types("print", "all")
    signed.types("print", "labels", "--batch", "boxes of Thursday")
    signed.types("recall", "thick cream", "--lot", "C 7", "--void", "--format", "json")
    moved = {Path(each).name for each in json.loads(signed.out)["moved_aside"]}
    assert {"week-48-matrix.1.pdf", "boxes-of-wednesday-labels.1.pdf", "dressing.1.pdf"} <= moved
    assert (signed.kitchen / "out" / "boxes-of-thursday-labels.pdf").exists()  # another lot
    assert (signed.kitchen / "out" / "recipe-cards" / "charred-leeks.pdf").exists()
    assert "product-not-known" in signed.types("recall", "unicorn") and signed.code == 1


def test_packs_printed_in_one_run_are_told_apart(signed: Cook) -> None:
    """Two batches of one day stand in one PDF: each keeps its own mark, batch and lot."""
    batches = signed.kitchen / "batches" / "wednesday.yaml"
    text = "- batch: late boxes\n  makes: lunch box\n  date: 2026-11-25\n  count: 4\n  lot: B25b\n  lots: {thick cream: C 9}\n"
    text += "- batch: boxes of Saturday\n  makes: lunch box\n  date: 2026-11-28\n  lot: B28\n  lots: {thick cream: C 12}\n"
    batches.write_text(batches.read_text(encoding="utf-8") + text, encoding="utf-8")
    signed.types("print", "labels")
    [file] = [path.name for path in (signed.kitchen / "out").glob("*labels*.pdf")]
    assert "no longer hold" not in signed.types("changes")
    # C 12 went into Saturday's boxes only; C 99 nobody wrote, so that every box is in question
    for lot, shown in (("C 9", True), ("C 7", True), ("C 12", False), ("C 99", True)):
        signed.types("recall", "thick cream", "--lot", lot, "--format", "json")
        assert (file in {each["file"] for each in json.loads(signed.out)["prints"]}) == shown, lot
    listed = json.loads((signed.kitchen / "out" / ".prints.json").read_bytes())[file]
    for mark, pack in listed["marks"].items():
        said = signed.types("find-mark", mark)
        assert f"{file}, batch {pack['batch']}, lot {pack['lot']}: lunch box" in said
    assert {pack["lot"] for pack in listed["marks"].values()} == {"B25", "B25b"}
    edit(signed.kitchen, "batches/wednesday.yaml", "lot: B25b", "lot: B25c")
    assert "the words of the label have changed since it was printed" in signed.types("changes")


def test_the_mark_of_a_label_leads_to_its_record(signed: Cook) -> None:
    signed.types("print", "labels")
    text = text_of(signed, "labels", "boxes-of-wednesday-labels.pdf").replace("\xa0", " ")
    content = json.loads((signed.kitchen / "issued" / "0001-week-48.json").read_bytes())
    marks = {batch: mark for mark, batch in content["declarations"][2]["marks"].items()}
    mark = marks["boxes of Wednesday"]
    assert mark in text and len(set(marks.values())) == 4  # one for each batch, one for labels without
    said = signed.types("find-mark", mark.lower())
    assert "issued no. 1 of 2026-11-25: labels, batch boxes of Wednesday, lot B25: lunch box (UK law)" in said
    edit(signed.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- thick cream: 190 g\n    - tahini: 10 g")
    said = signed.types("find-mark", mark)
    assert "issued no. 1" in said and "the kitchen as it is" not in said
    assert "mark-not-known" in signed.types("find-mark", "AAAAA") and signed.code == 1


def test_the_mark_of_a_sheet_leads_to_its_record(signed: Cook) -> None:
    text = text_of(signed, "matrix", "week-48-matrix.pdf")
    mark = text.split("mark ")[1][:5]
    said = signed.types("find-mark", mark)
    assert (
        "issued no. 1 of 2026-11-25: week-48-matrix.pdf" in said
        and "the kitchen as it is on 2026-11-25: week-48-matrix.pdf" in said
    )
