"""Mass through a recipe. Sources beside each check; arithmetic in comments."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labeller.terms.findings import Place
from labeller.terms.kitchen import Amount, Coating, FriedIn, Line, Loss, Makes, PouredOff, Recipe
from labeller.terms.mass import Input, Ref
from labeller.terms.spans import Span
from labeller.working.batches import ranges_of, work

HERE = Place("recipes/test.yaml", 1)


def line(name: str, **more) -> Line:
    return Line(name, Amount("", Span.of(0), "g"), HERE, **more)


def ready(name: str, grams: float | tuple[float, float], kind: str = "food", cooked=None, alcohol: float = 0.0, refuse=0.0,
          **more) -> Input:  # fmt: skip
    span = Span.between(*grams) if isinstance(grams, tuple) else Span.of(grams)
    return Input(f"r/{name}", line(name, **more), Ref(kind, name), span, cooked=cooked, alcohol=alcohol, refuse=refuse)


def recipe(**more) -> Recipe:
    return Recipe("r", "recipe", HERE, (), **more)


def stays(worked) -> dict[str, float]:
    return {part.name: part.grams for part in worked.parts}


def test_trimmed_potato() -> None:
    """200 g of a floury potato peeled gives about 160 g (common practice, no source): 20 % trim, 40 g booked as trimmed."""
    worked = work(recipe(), (ready("potato", 200, trim=Span.of(0.20)),), {})
    assert worked.weight == pytest.approx(160)
    assert worked.accounts == {"trimmed": pytest.approx(40)}


def test_a_stock_reduced_to_half_keeps_every_part() -> None:
    """Reduction drives off water only (facts of the trade: mass out = mass in - water; common practice)."""
    worked = work(recipe(reduced_to=(Span.of(0.5), None)), (ready("stock", 1000), ready("salt", 8)), {})
    assert worked.weight == pytest.approx(504)
    assert stays(worked) == {"stock": 1000, "salt": 8}
    assert worked.water == pytest.approx(-504)


def test_water_change_is_of_the_weight_of_lines_in() -> None:
    """USDA FNDDS: final weight = W (1 + m/100), only water changes. W = 250 g, m = -12 %: 220 g."""
    worked = work(recipe(water_change=Span.of(-0.12)), (ready("flour", 150), ready("egg", 100)), {})
    assert worked.weight == pytest.approx(220)
    assert worked.water == pytest.approx(-30)


def test_liquid_and_what_is_dissolved_in_it_leave_together() -> None:
    """800 g fish in 1000 g milk with 12 g salt; 12 % of milk and salt stays: 800 + 120 + 1.44 = 921.44 g."""
    off = (PouredOff(("milk", "salt"), Span.of(0.12), HERE),)
    worked = work(recipe(poured_off=off), (ready("fish", 800), ready("milk", 1000), ready("salt", 12)), {})
    assert worked.weight == pytest.approx(921.44)
    assert stays(worked) == {"fish": 800, "milk": pytest.approx(120), "salt": pytest.approx(1.44)}
    assert worked.accounts["poured off"] == pytest.approx(880 + 10.56)


def test_breading_and_frying() -> None:
    """Egg, milk and crumb coating of 19.8 % of the raw food, fat taken up 8 %, moisture -20 % of raw food with coating
    (USDA FNDDS 2, food 26109140): 100 g fish -> 119.8 g breaded; fat 9.584 g; water -23.96 g; 105.424 g fried."""
    made = recipe(coating=Coating(("egg", "crumb"), Span.of(0.198), HERE), fried_in=FriedIn("oil", Span.of(0.08), HERE),
                  water_change=Span.of(-0.20))  # fmt: skip
    worked = work(made, (ready("fish", 100), ready("egg", 50), ready("crumb", 150)), {}, oil=Ref("food", "oil"))
    assert stays(worked) == {"fish": 100, "egg": pytest.approx(4.95), "crumb": pytest.approx(14.85), "oil": pytest.approx(9.584)}
    assert worked.water == pytest.approx(-23.96)
    assert worked.weight == pytest.approx(105.424)
    assert worked.accounts["left behind"] == pytest.approx(200 - 19.8)


def test_more_coating_than_the_trays_hold_is_found() -> None:
    made = recipe(coating=Coating(("crumb",), Span.of(0.5), HERE))
    worked = work(made, (ready("fish", 100), ready("crumb", 20)), {})
    assert [each.code for each in worked.findings] == ["coating-exceeds-tray"]
    assert worked.weight == pytest.approx(120)


def test_what_is_left_in_the_bowl_is_not_evaporated() -> None:
    """1000 g in, 900 g out: half evaporated, half left behind. After evaporation 950 g of ready food, of which 50 g stay in the
    bowl: every part keeps 900/950 of itself."""
    loss = (Loss("evaporated", 0.5, HERE), Loss("left behind", 0.5, HERE))
    worked = work(recipe(makes=Makes(HERE, "900 g", Span.of(900)), loss=loss), (ready("cream", 800), ready("dill", 200)), {})
    assert worked.weight == pytest.approx(900)
    assert stays(worked)["cream"] == pytest.approx(800 * 900 / 950)
    assert worked.water == pytest.approx(-50 * 900 / 950)
    assert worked.accounts == {"driven off": pytest.approx(50), "left behind": pytest.approx(50)}


def test_a_loss_without_a_name_is_found_and_the_batch_is_not_guessed() -> None:
    worked = work(recipe(makes=Makes(HERE, "900 g", Span.of(900))), (ready("cream", 1000),), {})
    assert [(each.code, each.severity, each.blocks) for each in worked.findings] == [("loss-not-named", "stop", "nutrition")]


def test_a_batch_heavier_than_what_went_in_is_found() -> None:
    worked = work(recipe(makes=Makes(HERE, "1100 g", Span.of(1100)), loss=(Loss("evaporated", 1, HERE),)),
                  (ready("cream", 1000),), {})  # fmt: skip
    assert [each.code for each in worked.findings] == ["batch-heavier-than-lines"]


def test_pieces_share_their_batch_exactly() -> None:
    """60 pieces of 7-8 g: one piece is a sixtieth of the batch whatever it weighs; the range moves water only."""
    made = Recipe("crackers", "recipe", HERE, (), makes=Makes(HERE, "", None, None, Span.of(60), Span.between(7, 8)),
                  loss=(Loss("evaporated", 1, HERE),))  # fmt: skip
    flour = (Input("crackers/0/flour", line("flour"), Ref("food", "flour"), Span.of(500)),)
    ids = ranges_of(made, flour)
    assert list(ids) == ["crackers/piece"]
    for where, piece in ((0.0, 7.0), (1.0, 8.0)):
        batch = work(made, flour, {}, {"crackers/piece": where})
        dish = Input("d/0/crackers", line("crackers"), Ref("recipe", "crackers"), Span.of(1), per_piece=True)
        plate = work(Recipe("d", "dish", HERE, ()), (dish,), {"crackers": batch})
        assert plate.weight == pytest.approx(piece)
        assert plate.weight / batch.weight == pytest.approx(1 / 60)


def test_the_far_end_of_a_range_is_looked_at_too() -> None:
    """60 pieces of 7-8 g from 460 g: at 8 g the batch would weigh 480 g, more than went in."""
    made = recipe(makes=Makes(HERE, "", None, None, Span.of(60), Span.between(7, 8)), loss=(Loss("evaporated", 1, HERE),))
    items = (ready("flour", 460),)
    assert work(made, items, {}).findings == ()
    assert [each.code for each in work(made, items, {}, {"r/piece": 1.0}).findings] == ["batch-heavier-than-lines"]


def test_cooked_weight_of_a_line_and_the_weighed_batch_wins() -> None:
    """Beef tenderloin steak grilled: 0.78 of raw (USDA SR26 WEIGHT, "yield from ... raw")."""
    steak = (ready("steak", 200, cooked=Span.of(0.78)),)
    assert work(recipe(), steak, {}).weight == pytest.approx(156)
    weighed = recipe(makes=Makes(HERE, "150 g", Span.of(150)), loss=(Loss("evaporated", 1, HERE),))
    assert work(weighed, steak, {}).weight == pytest.approx(150)


def test_alcohol_that_goes_off_leaves_the_weight() -> None:
    """Simmered 2 h: 10 % of the alcohol stays (USDA Retention Factors Release 6, 2007). 100 g wine with 10.6 g alcohol: -9.54
    g."""
    worked = work(recipe(alcohol_stays=Span.of(0.10)), (ready("wine", 100, alcohol=0.106),), {})
    assert worked.weight == pytest.approx(100 - 9.54)


def test_as_bought_weight_loses_its_refuse() -> None:
    """Leeks, raw: 56 % refuse (USDA SR, NDB 11246): 500 g as bought, 220 g edible."""
    worked = work(recipe(), (ready("leek", 500, refuse=0.56),), {})
    assert worked.weight == pytest.approx(220)


shares = st.floats(0, 1)
amounts = st.floats(0.5, 5000)


@settings(max_examples=400, deadline=None)
@given(st.lists(st.tuples(amounts, shares, shares), min_size=1, max_size=6), shares, st.floats(-0.5, 0.5), st.floats(0, 0.3),
       st.floats(0.3, 1),
       st.sampled_from(["change", "makes", "reduce", "none"]), st.tuples(shares, shares))  # fmt: skip
def test_no_gram_appears_or_vanishes(lines, stay, change, taken, target, how, split) -> None:
    """Grams in + taken in = grams in the batch + every account that leaves, for any recipe."""
    items = tuple(ready(f"food{nr}", grams, trim=Span.of(trim), kept=Span.of(kept))
                  for nr, (grams, trim, kept) in enumerate(lines))  # fmt: skip
    more: dict = {"poured_off": (PouredOff(("food0",), Span.of(stay), HERE),), "fried_in": FriedIn("oil", Span.of(taken), HERE)}
    now = work(recipe(**more), items, {}).weight
    if how == "change":
        more["water_change"] = Span.of(change)
    elif how == "reduce":
        more["reduced_to"] = (Span.of(target), None)
    elif how == "makes":
        a, b = sorted(split)
        more |= {"makes": Makes(HERE, "", Span.of(now * target)), "loss": tuple(
            Loss(kind, share, HERE) for kind, share in (("evaporated", a), ("left behind", b - a), ("fat", 1 - b)))}  # fmt: skip
    worked = work(recipe(**more), items, {})
    gone = sum(worked.accounts.get(key, 0) for key in ("trimmed", "poured off", "left behind", "driven off", "fat run off"))
    come = sum(worked.accounts.get(key, 0) for key in ("taken up", "water taken in"))
    total = sum(grams for grams, _, _ in lines)
    assert worked.weight + gone == pytest.approx(total + come, rel=1e-9, abs=1e-9)
