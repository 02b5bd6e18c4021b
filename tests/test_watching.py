"""A watch tells at every save what a whole check would tell, and works out again only what the save has touched."""

from __future__ import annotations

import json
import random
import threading
import time
from pathlib import Path

import pytest
from bench_watch import write_kitchen as write_generated

from labeller.reading.new_kitchen import write_kitchen
from labeller.serving.cli import main
from labeller.serving.pipeline import everything_found, open_kitchen
from labeller.serving.watching import Seen, Watch, follow, stamps
from labeller.serving.watching import run as run_watch

DAY = "2026-11-25"


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    write_kitchen("kitchen", tmp_path / "demo")
    return tmp_path / "demo"


def said(findings) -> set[tuple[str, str, str]]:
    return {(each.code, each.subject, each.text) for each in findings}


def whole(folder: Path) -> set[tuple[str, str, str]]:
    return said(everything_found(open_kitchen(folder, DAY)))


def change(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_first_check_is_a_whole_check(demo: Path) -> None:
    seen = Watch(demo, DAY).check()
    assert said(seen.findings) == said(seen.new) == whole(demo) and seen.gone == ()


CHANGES = [
    ("recipes/from_the_sea.yaml", "dressed crab: 45 g", "dressed crab: 45,5 g"),  # a comma
    ("recipes/from_the_sea.yaml", "dressed crab: 45,5 g", "dressed crab: 45.5 g"),
    (
        "recipes/from_the_sea.yaml",
        "- recipe: brown butter",
        "# a remark\n\n- recipe: brown butter",
    ),  # every line below moves down
    ("recipes/from_the_sea.yaml", "makes: 400 g", "makes: 700 g"),  # heavier than what went in; used by another recipe
    ("recipes/from_the_sea.yaml", "hazelnuts: 150 g", "hazzelnuts: 150 g"),  # a name that nobody knows
    ("kitchen.yaml", "oil changed: 2026-11-23, ", ""),  # what the fryer has met
    ("kitchen.yaml", "law: uk", "law: eu"),
    ("products/dairy.yaml", "- product:", "- product: unread thing\n- product:"),
    ("menus/late_autumn.yaml", "courses:", "courses:\n  - nowhere on the list"),
    ("batches/2026-11-25.yaml", "date: 2026-11-25", "date: 2026-11-24"),
    ("recipes/canape_box.yaml", "  sold: prepacked for direct sale\n", ""),
    ("recipes/canape_box.yaml", "- recipe: quince paste", "- recipe: [quince paste"),  # the file can't be read as a whole
]


def test_after_each_save_it_says_what_a_whole_check_says(demo: Path) -> None:
    watch = Watch(demo, DAY)
    before = said(watch.check().findings)
    for file, old, new in CHANGES:
        change(demo, file, old, new)
        seen = watch.check()
        now = whole(demo)
        assert said(seen.findings) == now, (file, new)
        assert said(seen.new) == now - before and said(seen.gone) == before - now, (file, new)
        before = now


def test_random_edits_of_a_generated_kitchen(tmp_path: Path) -> None:
    folder = tmp_path / "kitchen"
    write_generated(folder, recipes=60, seed=7)
    rng, watch = random.Random(3), Watch(folder, DAY)
    watch.check()
    for _ in range(12):
        path = rng.choice(sorted((folder / "recipes").glob("*.yaml")))
        lines = path.read_text(encoding="utf-8").splitlines()
        nr = rng.randrange(len(lines))
        match rng.randrange(4):
            case 0:
                del lines[nr]
            case 1:
                lines.insert(nr, lines[rng.randrange(len(lines))])
            case 2:
                lines[nr] = lines[nr].replace(" g", " kg").replace("flour", "flower")
            case _:
                lines.insert(nr, "")
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        assert said(watch.check().findings) == whole(folder)


def test_only_what_a_save_touches_is_worked_out_again(demo: Path) -> None:
    watch = Watch(demo, DAY)
    every = watch.check().worked
    assert every > 50 and watch.check().worked == 0
    change(demo, "recipes/from_the_sea.yaml", "hazelnut crumb: {amount: 6 g", "hazelnut crumb: {amount: 7 g")
    assert watch.check().worked == 1, "the dish alone"
    change(demo, "recipes/from_the_sea.yaml", "hazelnuts: 150 g", "hazelnuts: 160 g")
    assert 2 <= watch.check().worked <= 4, "the crumb and the dish that it is on"
    change(demo, "recipes/from_the_sea.yaml", "- recipe: brown butter", "\n\n- recipe: brown butter")
    assert watch.check().worked == 0, "a blank line moves places only"


def test_substitutes_of_the_day_are_seen(demo: Path) -> None:
    watch = Watch(demo, DAY)
    watch.check()
    (demo / "batches" / "tonight.yaml").write_text(
        f"- batch: tonight\n  date: {DAY}\n  substitutes: {{whipping cream: oat drink nobody read}}\n", encoding="utf-8"
    )
    seen = watch.check()
    assert said(seen.findings) == whole(demo) and seen.new


def test_a_kitchen_that_goes_away_and_comes_back(tmp_path: Path, demo: Path) -> None:
    watch = Watch(demo, DAY)
    before = said(watch.check().findings)
    demo.rename(tmp_path / "away")
    gone = watch.check()
    assert {each.code for each in gone.findings} == {"no-kitchen-here"}
    (tmp_path / "away").rename(demo)
    assert said(watch.check().findings) == before


def test_following_tells_once_for_each_save(demo: Path) -> None:
    told: list[Seen] = []
    waits: list[float] = []

    def wait(seconds: float) -> None:
        waits.append(seconds)
        if len(waits) == 2:
            change(demo, "recipes/from_the_sea.yaml", "dressed crab: 45 g", "dressed crab: 45,5 g")
        if len(waits) == 6:
            change(demo, "recipes/from_the_sea.yaml", "dressed crab: 45,5 g", "dressed crab: 46 g")

    follow(Watch(demo, DAY), lambda seen, seconds: told.append(seen), wait, rounds=8)
    assert len(told) == 3
    assert "amount-comma" in {each.code for each in told[1].new} and "amount-comma" in {each.code for each in told[2].gone}


def test_the_command_prints_what_is_new_and_what_is_gone(demo: Path, capsys) -> None:
    def save() -> None:
        time.sleep(1.0)
        change(demo, "recipes/from_the_sea.yaml", "dressed crab: 45 g", "dressed crab: 45,5 g")

    saver = threading.Thread(target=save)
    saver.start()
    code = run_watch(demo, DAY, "", "", "json", lambda opened: (), rounds=15)
    saver.join()
    first, *rest = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert code == 0 and first["gone"] == [] and len(rest) == 1
    assert [each["code"] for each in rest[0]["new"]] == ["amount-comma"] and rest[0]["new"][0]["place"].startswith(
        "recipes/from_the_sea.yaml:"
    )
    assert main(["check", "--watch", "--kitchen", str(demo / "nowhere")]) == 1


def test_prints_and_hidden_files_are_no_saves(demo: Path) -> None:
    before = stamps(demo)
    for name in ("out/x.pdf", ".swap", "recipes/.x.swp", "recipes/~x"):
        (demo / name).parent.mkdir(exist_ok=True)
        (demo / name).write_text("x", encoding="utf-8")
    assert stamps(demo) == before
    (demo / "recipes" / "x.yaml").write_text("- recipe: x\n  ingredients:\n    - salt: 1 g\n", encoding="utf-8")
    assert stamps(demo) != before
