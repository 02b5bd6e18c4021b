"""Words that cooks write for amounts and methods, and what they are told. Common practice of kitchens, no source unless named."""

from __future__ import annotations

import pytest
from paper_kitchen import DAY, kitchen

from labeller.serving.cli import main
from labeller.serving.pipeline import declared, open_kitchen

BUTTER = "    - beetroot: 300 g"
LIFE = "  shelf life: {use by: 3 days"
COMMANDS = ["check", "guest --avoid hazelnut", "declare --all", "print matrix", "compare butter hazelnut"]
ROUND = "- recipe: beetroot butter\n  ingredients:=>- recipe: beetroot butter\n  ingredients:\n    - hazelnut paste: 5 g"
PASTE = "\n- recipe: hazelnut paste\n  equipment: [deep fryer]\n  ingredients:\n    - hazelnut: 50 g\n    - {}: 5 g\n"


def told(capsys, folder) -> str:
    main(["check", "--kitchen", str(folder), "--date", DAY])
    return " ".join(capsys.readouterr().out.split())


def weight(folder) -> float:
    opened = open_kitchen(folder, DAY)
    return declared(opened, opened.kitchen.recipes["beetroot butter"], "uk")[0].record.weight_g.mid


def test_a_wedge_of_lemon_is_weighed_by_its_row(tmp_path):
    """USDA SR28, 09150: 1 wedge or slice (1/8 of one 2-1/8" dia lemon), 7 g."""
    folder = kitchen(tmp_path / "k", all=f"{BUTTER}=>{BUTTER}\n    - lemon: 2 wedges")
    assert weight(folder) == pytest.approx(300 + 200 + 2 * 7, abs=0.5)


def test_a_ladle_of_something_uncounted_is_to_be_weighed(tmp_path, capsys):
    text = told(capsys, kitchen(tmp_path / "k", all="    - beetroot butter: 15 g=>    - beetroot butter: 1 ladle"))
    assert "pieces-not-counted" in text and "weigh one ladle and write grams" in text


def test_a_reduction_in_the_method_alone_is_a_doubt(tmp_path, capsys):
    folder = kitchen(tmp_path / "k", all=f"{LIFE}=>  method: reduced by half\n{LIFE}")
    text = told(capsys, folder)
    assert "reduction-not-said" in text and "reduced to: 50 %" in text


@pytest.mark.parametrize("line", ["reduced to: 50 %", "makes: 250 g"])
def test_a_reduction_that_says_what_is_left_is_none(tmp_path, capsys, line):
    change = f"{LIFE}=>  method: reduced by half\n  {line}\n{LIFE}"
    assert "reduction-not-said" not in told(capsys, kitchen(tmp_path / "k", all=change))


def test_a_volume_that_is_left_is_taken_with_its_density_only(tmp_path, capsys):
    change = f"{LIFE}=>  reduced to: 0.2 litres\n{LIFE}"
    assert "weigh 100 ml of it" in told(capsys, kitchen(tmp_path / "bare", all=change))
    folder = kitchen(tmp_path / "k", all=change.replace("0.2 litres", "0.2 litres\n  density: 1.1 g/ml"))
    assert weight(folder) == pytest.approx(220)


# Recipes that go round in a ring, below a dish


def ring(folder, closed_by: str = "beetroot butter"):
    folder = kitchen(folder, all=ROUND)
    path = folder / "recipes" / "all.yaml"
    path.write_text(path.read_text(encoding="utf-8") + PASTE.format(closed_by), encoding="utf-8")
    return folder


@pytest.mark.parametrize("words", [*map(str.split, COMMANDS), *(["why", "beetroot bite", what] for what in ("milk", "fat_g"))])
def test_a_ring_stops_its_dishes_and_ends_no_command_in_a_traceback(tmp_path, capsys, words):
    main([*words, "--kitchen", str(ring(tmp_path / "k")), "--date", DAY])
    told = "".join(capsys.readouterr())
    assert "nothing on record" not in told and "none on record" not in told
    if words[0] in ("check", "declare", "guest", "why"):
        assert "ring-of-recipes" in told or "NO ANSWER" in told


def test_a_replacement_for_tonight_may_close_a_ring(tmp_path, capsys):
    folder = ring(tmp_path / "k", closed_by="black pepper")
    assert "ring-of-recipes" not in told(capsys, folder)
    main(["replace", "black pepper", "beetroot butter", "--kitchen", str(folder), "--date", DAY])
    assert "ring-of-recipes" in told(capsys, folder)


@pytest.mark.parametrize("method", ["poached", "poached in hot oil", "deep-fry", "boiled"])
def test_food_in_oil_or_water_without_its_vessel_is_told(tmp_path, capsys, method):
    """What nobody confirmed is told to the cook who can: no equipment is written, so every allergen is not confirmed."""
    text = told(capsys, kitchen(tmp_path / "k", all=f"{LIFE}=>  method: {method}\n{LIFE}"))
    assert ("equipment-missing" in text) != ("equipment-not-recorded" in text)


def test_a_pack_of_a_plain_ingredient_is_told_to_be_a_recipe_first(tmp_path, capsys):
    text = told(capsys, kitchen(tmp_path / "k", all="    - beetroot bite: 8=>    - carrot: 200 g"))
    assert "make it a recipe of its own first" in text and "did you mean" not in text


def test_check_says_which_packs_get_no_label(tmp_path, capsys):
    larder = "- product: butter\n  ingredients on pack: cream (MILK), salt\n  contains: [milk]=>- product: butter"
    text = told(capsys, kitchen(tmp_path / "k", larder=larder))
    assert "No label is printed for: beetroot tartlets · beetroot tartlets with hazelnut." in text
