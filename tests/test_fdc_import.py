"""Importing FoodData Central downloads: USDA's own files where they lie beside this checkout, and tiny made-up ones."""

from __future__ import annotations

import io
import json
import sqlite3
import zipfile
from pathlib import Path

import pytest

from labeller.reading.fdc_import import import_fdc
from labeller.reading.fdc_json import foods as foods_of_json
from labeller.reading.fdc_store import Writer, open_store
from labeller.terms.nutrients import INDEX

SHARED = Path(__file__).resolve().parents[2] / "shared" / "data" / "fdc"
FOOD = "fdc_id,data_type,description,food_category_id\n"
AMOUNT = "id,fdc_id,nutrient_id,amount\n"
NUTRIENTS = """id,name,unit_name,nutrient_nbr
1008,Energy,KCAL,208
2047,General,KCAL,957
2048,Specific,KCAL,958
1062,Energy,kJ,268
1003,Protein,G,203
1093,Sodium,MG,307
1110,Vitamin D,IU,324
1162,Vitamin C,MG,401
1005,Carbohydrate,G,205
9999,Odd,G,1
"""


def csv_zip(path: Path, tables: dict[str, str]) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in tables.items():
            archive.writestr(f"a folder/{name}", text)
    return path


def legacy(path: Path, milk_kcal: str = "61", description: str = "Milk, whole, raw") -> Path:
    """Two foods of SR Legacy."""
    return csv_zip(path, {
        "food.csv": "fdc_id,data_type,description,food_category_id,publication_date\n"
                    f'171265,sr_legacy_food,"{description}",1,2019-04-01\n173410,sr_legacy_food,"Butter, salted",1,2019-04-01\n',
        "food_category.csv": "id,code,description\n1,0100,Dairy and Egg Products\n",
        "sr_legacy_food.csv": "fdc_id,NDB_number\n171265,1077\n173410,1001\n",
        "nutrient.csv": NUTRIENTS,
        "food_nutrient.csv": f"id,fdc_id,nutrient_id,amount\n1,171265,1008,{milk_kcal}\n2,171265,1003,3.15\n3,173410,1008,717\n"
                             "4,171265,1093,43\n5,173410,1093,\n6,999,1093,5\n7,173410,1162,0\n",
        "food_portion.csv": "id,fdc_id,seq_num,amount,measure_unit_id,portion_description,modifier,gram_weight\n"
                            "1,171265,1,1,9999,,cup,244\n2,173410,1,1,1001,,,14.2\n3,999,1,1,1001,,,1\n",
        "measure_unit.csv": "id,name\n1001,tablespoon\n9999,undetermined\n",
        "food_nutrient_conversion_factor.csv": "id,fdc_id\n7,171265\n",
        "food_protein_conversion_factor.csv": "food_nutrient_conversion_factor_id,value\n7,6.38\n",
    })  # fmt: skip


def value(food, key: str) -> float | None:
    return food.values[INDEX[key]]


def test_a_csv_download(tmp_path: Path) -> None:
    told: list[tuple[str, float]] = []
    done, problems = import_fdc(legacy(tmp_path / "sr_legacy_food_csv_2018-04.zip"), tmp_path / "foods.sqlite",
                                progress=lambda what, share: told.append((what, share)))  # fmt: skip
    assert (done.release, done.foods, done.per_100_ml, problems) == ("FDC SR Legacy 2018-04", 2, 0, ())
    store = open_store(tmp_path / "foods.sqlite")
    milk, butter = store.get("01077"), store.get("fdc:173410")
    assert milk == store.get("fdc:171265") and milk.code == "fdc:171265" and milk.state == "raw"
    assert (value(milk, "energy_kcal"), value(milk, "protein_g"), value(milk, "sodium_mg")) == (61, 3.15, 43)
    assert value(milk, "nitrogen_g") == pytest.approx(3.15 / 6.38)
    assert value(butter, "sodium_mg") is None and value(butter, "vitamin_c_mg") == 0  # a blank is no zero, a zero no blank
    assert [(m.amount, m.words, m.grams) for m in milk.measures + butter.measures] == [(1, "cup", 244), (1, "tablespoon", 14.2)]
    assert store.descriptions() == {"fdc:171265": "Milk, whole, raw", "fdc:173410": "Butter, salted"}
    assert store.get("99999") is None and store.get("fdc:x") is None and store.get("fdc:99999999999999999999") is None
    assert told[-1] == ("done", 1.0) and len(store.version) == 12
    assert sorted(path.name for path in tmp_path.iterdir()) == ["foods.sqlite", "sr_legacy_food_csv_2018-04.zip"]


def test_energy_by_the_stated_rule(tmp_path: Path) -> None:
    """208, else 958 (specific), else 957 (general), else kJ / 4.184; the order of the rows makes no difference."""
    path = csv_zip(tmp_path / "foundation_2024-10-31.zip", {
        "food.csv": FOOD + "".join(f"{n},foundation_food,Food {n},1\n" for n in range(1, 6))
                    + "6,sub_sample_food,Sample,1\n7,foundation_food,An earlier state,1\n",
        "foundation_food.csv": "fdc_id,NDB_number\n1,100147\n2,\n3,\n4,\n5,\n",
        "nutrient.csv": NUTRIENTS,
        "food_nutrient.csv": AMOUNT + "1,1,2047,102\n2,1,2048,101\n3,1,1008,100\n4,2,2047,102\n5,2,2048,101\n"
                             "6,3,2047,102\n7,4,1062,418.4\n8,5,1003,1\n9,1,1062,400\n10,5,1110,40\n11,1,1005,-0.5\n12,6,1003,9\n",
    })  # fmt: skip
    done, problems = import_fdc(path, tmp_path / "foods.sqlite")
    assert done.foods == 5 and [each.code for each in problems] == ["download-rows-left-out"]
    store = open_store(tmp_path / "foods.sqlite")
    energies = [value(store.get(f"fdc:{number}"), "energy_kcal") for number in range(1, 6)]
    assert energies == [100, 101, 102, pytest.approx(100), None]
    assert value(store.get("fdc:5"), "vitamin_d_ug") == 1 and value(store.get("fdc:5"), "vitamin_d_iu") == 40
    assert value(store.get("fdc:1"), "carbohydrate_g") == 0 and store.get("100147").code == "fdc:1"


def test_fndds_names_nutrients_by_number_and_writes_its_portions_in_words(tmp_path: Path) -> None:
    path = csv_zip(tmp_path / "survey_2022-10-28.zip", {
        "food.csv": FOOD + "2705385,survey_fndds_food,\"Milk, whole\",1002\n",
        "survey_fndds_food.csv": "fdc_id,food_code\n2705385,11111000\n",
        "nutrient.csv": NUTRIENTS,
        "food_nutrient.csv": "id,fdc_id,nutrient_id,amount\n1,2705385,208,60\n2,2705385,307,38\n",
        "food_portion.csv": "id,fdc_id,seq_num,amount,measure_unit_id,portion_description,modifier,gram_weight\n"
                            "1,2705385,2,,9999,1 cup,10205,244\n2,2705385,1,,9999,Quantity not specified,90000,244\n"
                            "3,2705385,3,,9999,1/2 cup,10206,122\n",
    })  # fmt: skip
    import_fdc(path, tmp_path / "foods.sqlite")
    milk = open_store(tmp_path / "foods.sqlite").get("fdc:2705385")
    assert (value(milk, "energy_kcal"), value(milk, "sodium_mg")) == (60, 38)
    assert [(m.amount, m.words, m.grams) for m in milk.measures] == [(1, "cup", 244), (0.5, "cup", 122)]


def branded(path: Path) -> Path:
    return csv_zip(path, {
        "food.csv": FOOD + "11,branded_food,MISO,\n12,branded_food,OAT DRINK,\n",
        "branded_food.csv": "fdc_id,brand_owner,serving_size,serving_size_unit,household_serving_fulltext,branded_food_category\n"
                            "11,A Maker,17,g,1 tbsp,Sauces\n12,B Maker,240,ml,1 cup,Drinks\n",
        "nutrient.csv": NUTRIENTS,
        "food_nutrient.csv": "id,fdc_id,nutrient_id,amount\n1,11,1008,200\n2,12,1008,46\n3,11,1093,4000\n",
    })  # fmt: skip


def test_branded_foods_per_100_ml_have_no_figures_per_100_g(tmp_path: Path) -> None:
    done, problems = import_fdc(branded(tmp_path / "branded_2024-10-31.zip"), tmp_path / "foods.sqlite")
    assert done.per_100_ml == 1 and [each.code for each in problems] == ["foods-per-100-ml"]
    store = open_store(tmp_path / "foods.sqlite")
    miso, drink = store.get("fdc:11"), store.get("fdc:12")
    assert (miso.description, miso.group, value(miso, "energy_kcal")) == ("MISO (A Maker)", "Sauces", 200)
    assert [(m.amount, m.words, m.grams) for m in miso.measures] == [(1, "tbsp", 17)]
    assert set(drink.values) == {None} and store.per_100_ml("fdc:12")[INDEX["energy_kcal"]] == 46
    assert store.per_100_ml("fdc:11") is None
    assert store.descriptions() == {} and set(store.descriptions(branded=True)) == {"fdc:11", "fdc:12"}


def figure(number: str, unit: str, **amount: float) -> dict:
    return {"nutrient": {"number": number, "unitName": unit}, **amount}


JSON = {"SRLegacyFoods": [
    {"fdcId": 171265, "description": "Milk, whole", "ndbNumber": 1077, "publicationDate": "4/1/2019",
     "foodCategory": {"description": "Dairy and Egg Products"},
     "foodNutrients": [figure("208", "kcal", amount=61), figure("307", "mg"), figure("317", "µg", amount=3.7),
                       figure("203", "g", amount=3.15)],
     "foodPortions": [{"sequenceNumber": 1, "amount": 1.0, "measureUnit": {"name": "undetermined"}, "modifier": "cup",
                       "gramWeight": 244.0}],
     "nutrientConversionFactors": [{"type": ".CalorieConversionFactor", "proteinValue": 4.27},
                                   {"type": ".ProteinConversionFactor", "value": 6.38}]},
    {"fdcId": 2, "description": "Braces } ] in \" a text", "foodNutrients": []},
]}  # fmt: skip
BROKEN_JSON = ("", "[]", '{"FoundationFoods": [{"fdcId": 1}',
               '{"FoundationFoods": [1]}', "<html>", '{"FoundationFoods" 1}', '{"a": 1')  # fmt: skip


@pytest.mark.parametrize("zipped", [True, False])
def test_a_json_download(tmp_path: Path, zipped: bool) -> None:
    text = json.dumps(JSON, ensure_ascii=False)
    path = tmp_path / ("legacy_2018-04.zip" if zipped else "legacy_2018-04.json")
    if zipped:
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("FoodData_Central_sr_legacy_food_json.json", text)
    else:
        path.write_text(text, encoding="utf-8")
    done, problems = import_fdc(path, tmp_path / "foods.sqlite")
    assert (done.release, done.foods, problems) == ("FDC SR Legacy 2018-04", 2, ())
    milk = open_store(tmp_path / "foods.sqlite").get("01077")
    assert (value(milk, "energy_kcal"), value(milk, "sodium_mg"), value(milk, "selenium_ug")) == (61, None, 3.7)
    assert value(milk, "nitrogen_g") == pytest.approx(3.15 / 6.38) and milk.group == "Dairy and Egg Products"
    assert [(m.amount, m.words, m.grams) for m in milk.measures] == [(1, "cup", 244)]


def test_json_is_read_in_pieces() -> None:
    """A stream that gives one character at a time, and numbers at the edge of the window."""

    class Slow(io.StringIO):
        def read(self, size: int | None = -1) -> str:
            return super().read(1)

    text = '\ufeff {"other": 12, "FoundationFoods": [ {"fdcId": 12, "a": [1, 2.5e3]}, {"fdcId": 13} ] , "last": null}\n'
    assert [food for _, food in foods_of_json(Slow(text))] == [{"fdcId": 12, "a": [1, 2500.0]}, {"fdcId": 13}]
    for broken in BROKEN_JSON:
        with pytest.raises(ValueError, match="JSON|food"):
            list(foods_of_json(Slow(broken)))


def test_releases_stand_side_by_side_and_one_of_the_same_name_is_replaced(tmp_path: Path) -> None:
    store = tmp_path / "foods.sqlite"
    import_fdc(legacy(tmp_path / "a_2018-04.zip", "61"), store)
    first = open_store(store).version
    import_fdc(legacy(tmp_path / "b_2021-10-28.zip", "62"), store)
    both = open_store(store)
    assert both.releases() == (("FDC SR Legacy 2021-10-28", "2021-10-28"), ("FDC SR Legacy 2018-04", "2018-04"))
    assert value(both.get("01077"), "energy_kcal") == 62  # the newest release counts
    assert value(both.get("01077", "FDC SR Legacy 2018-04"), "energy_kcal") == 61
    assert both.version != first and len(both.codes()) == 2
    import_fdc(legacy(tmp_path / "b_2021-10-28.zip", "63"), store)
    again = open_store(store)
    assert len(again.releases()) == 2 and value(again.get("01077"), "energy_kcal") == 63
    assert [m.grams for m in again.get("01077").measures] == [244]


@pytest.mark.parametrize("what", ["no zip", "no nutrients", "no foods", "no column", "cut off", "no file"])
def test_what_cannot_be_imported_leaves_the_store_as_it_was(tmp_path: Path, what: str) -> None:
    store = tmp_path / "foods.sqlite"
    import_fdc(legacy(tmp_path / "good_2018-04.zip"), store)
    before, bad = store.read_bytes(), tmp_path / "bad.zip"
    if what == "no zip":
        bad.write_bytes(b"<html>not found</html>")
    elif what == "no nutrients":
        csv_zip(bad, {"food.csv": FOOD, "nutrient.csv": NUTRIENTS})
    elif what == "no foods":
        csv_zip(bad, {"food.csv": FOOD, "nutrient.csv": NUTRIENTS, "food_nutrient.csv": AMOUNT, "branded_food.csv": "fdc_id\n"})
    elif what == "no column":
        csv_zip(bad, {"food.csv": "id\n1\n", "nutrient.csv": NUTRIENTS, "food_nutrient.csv": AMOUNT, "branded_food.csv": "x\n"})
    elif what == "cut off":
        bad.write_bytes(legacy(tmp_path / "whole.zip").read_bytes()[:-400])
    done, problems = import_fdc(bad, store)
    code = {"no nutrients": "download-incomplete", "no foods": "download-empty"}.get(what, "download-not-readable")
    assert done is None and [each.code for each in problems] == [code]
    assert str(tmp_path) not in problems[0].text
    assert store.read_bytes() == before and not list(tmp_path.glob(".foods*"))


def test_an_interrupted_import_can_be_started_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store, good = tmp_path / "foods.sqlite", legacy(tmp_path / "good_2018-04.zip")

    def interrupted(self: Writer, rows: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Writer, "portions", interrupted)
        with pytest.raises(KeyboardInterrupt):
            import_fdc(good, store)
    assert not store.exists() and not list(tmp_path.glob(".foods*"))
    (tmp_path / ".foods.sqlite.part").write_bytes(b"SQLite format 3\x00 what a killed run has left behind" * 300)
    assert import_fdc(good, store)[0].foods == 2 and not list(tmp_path.glob(".foods*"))


def test_two_imports_at_once_do_not_spoil_each_other(tmp_path: Path) -> None:
    store = tmp_path / "foods.sqlite"
    with Writer(store):
        done, problems = import_fdc(legacy(tmp_path / "a_2018-04.zip"), store)
        assert done is None and [each.code for each in problems] == ["store-busy"]
    assert import_fdc(legacy(tmp_path / "a_2018-04.zip"), store)[0].foods == 2


def test_a_store_of_another_layout_is_not_read_and_is_made_anew(tmp_path: Path) -> None:
    store = tmp_path / "foods.sqlite"
    assert open_store(store) is None
    store.write_bytes(b"no database")
    assert open_store(store) is None
    base = sqlite3.connect(tmp_path / "other.sqlite")
    base.execute("CREATE TABLE x (y)")
    base.commit()
    base.close()
    assert open_store(tmp_path / "other.sqlite") is None
    assert import_fdc(legacy(tmp_path / "a_2018-04.zip"), store)[0].foods == 2 and open_store(store).get("01001")


def test_folders_with_odd_names_and_readers_in_other_threads(tmp_path: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    folder = tmp_path / "a kitchen #1 100%41?"
    folder.mkdir()
    assert import_fdc(legacy(folder / "a_2018-04.zip"), folder / "foods.sqlite")[0].foods == 2
    store = open_store(folder / "foods.sqlite")
    with ThreadPoolExecutor(4) as pool:
        assert {food.code for food in pool.map(store.get, ["01077"] * 40)} == {"fdc:171265"}


def test_usda_foundation_download(tmp_path: Path) -> None:
    """FoodData Central, Foundation Foods October 2024: 316 foods; whole milk 60 kcal, 3.27 g protein, 38 mg sodium."""
    path = SHARED / "FoodData_Central_foundation_food_csv_2024-10-31.zip"
    if not path.exists():
        pytest.skip("../shared/data/fdc is not beside this checkout")
    done, problems = import_fdc(path, tmp_path / "foods.sqlite")
    assert (done.foods, done.release, problems) == (316, "FDC Foundation 2024-10-31", ())
    store = open_store(tmp_path / "foods.sqlite")
    milk = store.get("01077")
    assert [value(milk, key) for key in ("energy_kcal", "protein_g", "sodium_mg")] == [60, 3.27, 38]
    assert milk.code == "fdc:746782" and milk.measures[0].grams == 249


def test_usda_download_without_its_largest_table_is_refused(tmp_path: Path) -> None:
    path = SHARED / "sr_legacy_2018-04_without_food_nutrient.zip"
    if not path.exists():
        pytest.skip("../shared/data/fdc is not beside this checkout")
    done, problems = import_fdc(path, tmp_path / "foods.sqlite")
    assert done is None and problems[0].code == "download-incomplete" and "food_nutrient.csv" in problems[0].text
    assert not (tmp_path / "foods.sqlite").exists()


def test_the_shipped_table_goes_before_the_store(tmp_path: Path) -> None:
    from labeller.reading.foods_of_kitchen import load_foods_of

    assert load_foods_of(tmp_path).release == "SR28"
    path = csv_zip(tmp_path / "foundation_2024-10-31.zip", {
        "food.csv": FOOD + '746782,foundation_food,"Milk, whole",1\n', "foundation_food.csv": "fdc_id,NDB_number\n746782,1077\n",
        "nutrient.csv": NUTRIENTS, "food_nutrient.csv": AMOUNT + "1,746782,1008,60\n",
    })  # fmt: skip
    import_fdc(path, tmp_path / "foods.sqlite")
    shelf = load_foods_of(tmp_path)
    assert value(shelf.get("01077"), "energy_kcal") == 61 and shelf.get("01077").release == "SR28"
    assert value(shelf.get("fdc:746782"), "energy_kcal") == 60 and shelf.get("fdc:171265").code == "01077"
    assert len(shelf.codes()) == len(shelf.descriptions()) == 8791 and shelf.get("99999") is None
    assert shelf.release == "SR28, FDC Foundation 2024-10-31" and "+" in shelf.version
