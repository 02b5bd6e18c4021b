"""The commands as a cook types them: answers, refusals, exit codes, and nothing half-written."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from labeller.serving.cli import VERBS, main

DEMO = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
DAY = ("--date", "2026-11-25")


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    shutil.copytree(DEMO, tmp_path / "kitchen")
    return tmp_path / "kitchen"


def ask(capsys, *words: str) -> tuple[int, str, str]:
    code = main([*words])
    out = capsys.readouterr()
    return code, out.out, out.err


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


BOMB = "a: &a [x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a]\nc: [*b, *b, *b, *b, *b, *b, *b, *b]\n"
WRONG = {
    "ring": (b"- recipe: first\n  ingredients:\n    - second: 10 g\n- recipe: second\n  ingredients:\n    - first: 10 g\n",
             "ring-of-recipes"),
    "repeated key": (b"- recipe: twice\n  method: baked\n  method: boiled\n  ingredients:\n    - carrot: 10 g\n", "key-repeated"),
    "wrong unit": (b"- recipe: unit\n  ingredients:\n    - carrot: 10 cm\n", "amount-unknown-unit"),
    "unknown product": (b"- recipe: unknown\n  ingredients:\n    - quandong zest paste: 10 g\n", "no-food-match"),
    "negative amount": (b"- recipe: negative\n  ingredients:\n    - carrot: -10 g\n", "amount-negative"),
    "empty file": (b"", "file-empty"),
    "10 MB file": (b"- recipe: big\n  ingredients:\n" + b"    - carrot: 10 g\n" * 600_000, "file-too-big"),
    "alias bomb": (BOMB.encode(), "begins-with-a-sign"),
    "not UTF-8": ("- recipe: crème\n  ingredients:\n    - carrot: 10 g\n".encode("latin-1"), "file-not-utf8"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", WRONG)
def test_a_mistake_is_a_finding_with_its_place_and_remedy_and_nothing_is_written(mistake: str, kitchen: Path, capsys) -> None:
    content, code = WRONG[mistake]
    (kitchen / "recipes" / "zz_mistake.yaml").write_bytes(content)
    before = snapshot(kitchen)
    exit_code, out, err = ask(capsys, "check", "--format", "json", "--kitchen", str(kitchen), *DAY)
    found = [each for each in json.loads(out or "[]")["findings" if out.startswith("{") else slice(None)] if each["code"] == code]
    assert found, (mistake, sorted({each["code"] for each in json.loads(out)}))
    assert exit_code == 1
    assert found[0]["place"].startswith("recipes/zz_mistake.yaml") and found[0]["mend"] and found[0]["text"]
    assert "Traceback" not in out + err
    assert snapshot(kitchen) == before


def test_a_kitchen_that_is_not_there(tmp_path: Path, capsys) -> None:
    code, _, err = ask(capsys, "check", "--kitchen", str(tmp_path / "nowhere"), *DAY)
    assert code == 1 and "no-kitchen-here" in err and not (tmp_path / "nowhere").exists()


def test_the_record_has_the_published_keys(kitchen: Path, capsys) -> None:
    """Keys of the house's JSON record: stable, since other programs read them."""
    code, out, _ = ask(capsys, "declare", "mussels, leek, cider", "--format", "json", "--kitchen", str(kitchen), *DAY)
    record = json.loads(out)
    assert code == 0
    assert {"dish", "law", "law_date", "kitchen_version", "data_version", "portion", "nutrients", "allergens",
            "ingredient_statement",
            "contains_statement", "may_contain_statement", "findings"} <= set(record)  # fmt: skip
    fat = record["nutrients"]["fat_g"]
    assert set(fat["per_100g"]) == {"value", "low", "high", "known_share"} and set(fat["declared"]) >= {"per_100g", "per_portion"}
    milk = record["allergens"]["milk"]
    assert milk["state"] == "contains" and milk["facts"][0]["path"] and {"kind", "route", "evidence"} <= set(milk["facts"][0])
    for finding in record["findings"]:
        assert {"code", "place", "severity", "text", "mend"} <= set(finding)


def test_a_stopped_dish_gives_no_figure_and_exit_1(kitchen: Path, capsys) -> None:
    code, out, _ = ask(capsys, "declare", "sheep's yoghurt, pear, black sesame", "--kitchen", str(kitchen), *DAY)
    assert code == 1 and "NO ANSWER" in out and " g per" not in out


def test_all_dishes_as_an_array(kitchen: Path, capsys) -> None:
    code, out, _ = ask(capsys, "declare", "--all", "--format", "json", "--kitchen", str(kitchen), *DAY)
    records = json.loads(out)
    assert code == 1 and len(records) == 15  # 14 dishes and a pack, one of them stopped on purpose


def test_a_misspelt_dish_is_refused_with_what_it_may_have_meant(kitchen: Path, capsys) -> None:
    code, _, err = ask(capsys, "declare", "mussels leek cyder", "--kitchen", str(kitchen), *DAY)
    assert code == 1 and "mussels, leek, cider" in err


def test_why_walks_back_to_file_line_and_source(kitchen: Path, capsys) -> None:
    _, out, _ = ask(capsys, "why", "malted spelt bread, whipped butter", "fat_g", "--kitchen", str(kitchen), *DAY)
    assert "USDA SR28, 01145 Butter, without salt" in out and "recipes/snacks_and_bread.yaml:" in out and "13.5 g" in out
    _, out, _ = ask(capsys, "why", "malted spelt bread, whipped butter", "rye", "--kitchen", str(kitchen), *DAY)
    assert "may contain" in out and "products/" in out and "specification" in out


def test_a_word_that_is_neither_figure_nor_allergen(kitchen: Path, capsys) -> None:
    code, _, err = ask(capsys, "why", "mussels, leek, cider", "sweetness", "--kitchen", str(kitchen), *DAY)
    assert code == 1 and "figure-not-known" in err


def test_labels_of_a_stopped_pack_are_moved_aside_and_not_printed(kitchen: Path, capsys) -> None:
    assert ask(capsys, "print", "labels", "--kitchen", str(kitchen), *DAY)[0] == 0
    printed = next((kitchen / "out").glob("*-labels.pdf"))
    larder = kitchen / "products" / "dairy.yaml"
    text = larder.read_text(encoding="utf-8")
    entry = text.index("- product: unsalted butter") if "- product: unsalted butter" in text else text.index("- product: ")
    name_end = text.index("\n", entry)
    larder.write_text(text[:name_end] + "\n  recall: glass in it, supplier's notice of 2026-11-24" + text[name_end:],
                      encoding="utf-8")  # fmt: skip
    recalled = text[entry:name_end].removeprefix("- product: ")
    used = [line for path in (kitchen / "recipes").glob("*.yaml")
            for line in path.read_text(encoding="utf-8").splitlines() if recalled in line]  # fmt: skip
    assert used, f"{recalled} is used by no recipe of the demo"
    code, out, err = ask(capsys, "print", "all", "--kitchen", str(kitchen), *DAY)
    assert "Traceback" not in out + err
    if not printed.exists():
        assert (kitchen / "out" / "void").is_dir() and code == 1


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_help(verb: str, capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        main([verb, "--help"])
    out = capsys.readouterr().out
    assert ended.value.code == 0 and f"labeller {verb}" in out
