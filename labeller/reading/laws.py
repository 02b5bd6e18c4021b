"""Reads the rule files of ``reference/rules/``: what each law asks on a given date, and the house's own choices.

A law may rest on another (one level): its blocks win over the other's by key, its lists replace the other's.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from labeller.reading.library import reference, yaml_text
from labeller.reading.us_amounts import load_reference_amounts
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.laws import (
    CHECKED,
    Band,
    Colour,
    Figure,
    Further,
    General,
    House,
    IngredientName,
    Law,
    LawEntry,
    LeftOut,
    Naming,
    NutrientLine,
    Origin,
    Quantity,
    Rounding,
    Rule,
    Sentence,
    Simplified,
    Sum,
    Tolerance,
    Way,
    Words,
)  # fmt: skip
from labeller.terms.words import normalise

LAWS = ("eu", "uk", "us", "ca", "anz", "codex", "none")  # codex is a view of allergens only: it has no table of its own
Node = dict


def load_law(key: str, date: str, languages: Sequence[str] = ("en",)) -> Law:
    """The law as in force on an ISO date, with the words of the languages asked for.

    An unknown law, a date before the law or after it, and a language without words are findings of the law returned;
    after the first two it has no entries (and the finding stops every declaration).
    """
    if key not in LAWS:
        return Law(key, key, date, findings=(_unknown(key),))
    chain = _chain(key)
    head = chain[-1]
    instrument = head["instrument"]
    if late := [one for one in chain if not _in_force(one, date)]:
        return Law(key, head["name"], date, instrument, findings=(_out_of_time(late[0], date),))
    blocks = _merged([_pruned(one, date) for one in chain])
    readers = {one["law"]: _RuleMaker(one) for one in chain}
    both = blocks["statement"].get("languages", "").split()
    words, missing = _words((*languages, *both))
    return _law(key, date, head, blocks, readers, words, missing)


def list_laws() -> tuple[LawEntry, ...]:
    """What is implemented, since when, from which source, checked or from memory: one entry for each law."""
    return tuple([_entry(key) for key in LAWS])


def _entry(key: str) -> LawEntry:
    chain = _chain(key)
    head = chain[-1]
    blocks = _merged(chain)
    sources = [source for one in reversed(chain) for source in one["sources"]]
    choices = tuple(choice for one in reversed(chain) for choice in one.get("choices", ()))
    return LawEntry(key, head["name"], head["instrument"], head["from"], head["until"], head["checked"],
                    _unchecked(blocks, {one["law"]: _RuleMaker(one) for one in chain}), tuple(sources),
                    tuple(head["not done"]), choices)


def _chain(key: str) -> list[Node]:
    """The law's file, after that of the law it rests on."""
    head = yaml_text(reference("rules", f"{key}.yaml"))
    base = head.get("rests on")
    return [yaml_text(reference("rules", f"{base}.yaml")), head] if base else [head]


def _in_force(node: Node, date: str) -> bool:
    return node.get("from", "") <= date <= (node.get("until") or "9999-12-31")


def _pruned(node: object, date: str) -> object:
    """Without the entries that are not in force on that date; each top block is marked with the law it stands in."""
    if isinstance(node, dict):
        return {key: _pruned(value, date) for key, value in node.items()
                if not (isinstance(value, dict) and not _in_force(value, date))}  # fmt: skip
    if isinstance(node, list):
        return [_pruned(item, date) for item in node if not (isinstance(item, dict) and not _in_force(item, date))]
    return node


_MAPPINGS = ("quantities", "rounding", "figures", "table", "statement", "allergens", "menu", "additives", "places", "mixtures")
_LISTS = ("lines", "sentences", "ways of sale", "tolerances", "front of pack", "further particulars", "origin", "general names",
          "ingredient names")  # fmt: skip


def _merged(chain: list[Node]) -> dict[str, object]:
    """Blocks of the chain, each entry with the key of the law whose file it stands in (for its instrument and dates)."""
    out: dict[str, object] = {}
    for one in chain:
        for name in _MAPPINGS:
            out[name] = out.get(name, {}) | {key: _marked(value, one["law"]) for key, value in one.get(name, {}).items()}
        for name in _LISTS:
            if name in one:
                out[name] = [item | {"_law": one["law"]} for item in one[name]]
        for name in ("simplified format", "short table"):
            if name in one:
                out[name] = one[name] | {"_law": one["law"]}
    return out


def _marked(value: object, law: str) -> object:
    return value | {"_law": law} if isinstance(value, dict) else value


class _RuleMaker:
    """Makes the Rule of an entry; what the entry doesn't say is taken from the head of its file."""

    def __init__(self, head: Node) -> None:
        self._instrument, self._since, self._until = head["instrument"], head["from"], head["until"]

    def __call__(self, node: Node, prefix: str = "") -> Rule:
        return Rule(node.get("instrument", self._instrument), node[f"{prefix}section"], node[f"{prefix}checked"],
                    node.get("from", self._since), node.get("until", self._until))  # fmt: skip


def _law(key: str, date: str, head: Node, blocks: dict, makers: dict[str, _RuleMaker], words: dict[str, Words],
         missing: tuple[Finding, ...]) -> Law:  # fmt: skip
    def rule(node: Node, prefix: str = "") -> Rule:
        return makers[node.get("_law", key)](node, prefix)

    table, short = blocks["table"], blocks.get("short table", {})
    return Law(
        key=key, name=head["name"], date=date, instrument=head["instrument"], since=head["from"], until=head["until"],
        rests_on=head.get("rests on", ""), basis=tuple(table.get("basis", ())),
        unit_spaced=table.get("number and unit") != "joined", percent_spaced=table.get("number and percent") != "joined",
        percent_printed=table.get("percentages printed") == "yes", portion_rounding=table.get("portion rounding", ""),
        table_heading=table.get("heading", ""), portion_words=table.get("portion words", ""),
        pack_words=table.get("pack words", ""), hundred_words=table.get("hundred words", ""),
        hundred_ml_words=table.get("hundred ml words", ""), millilitre=table.get("millilitre", "ml"),
        quantities={name: _quantity(name, node, rule) for name, node in blocks["quantities"].items()},
        lines=tuple([_line(node, rule) for node in blocks.get("lines", ())]),
        roundings={name: _rounding(name, node, rule) for name, node in blocks["rounding"].items()},
        figures={name: Figure(float(node["value"]), node["unit"], rule(node)) for name, node in blocks["figures"].items()},
        sentences=tuple([Sentence(n["key"], n["text"], n["place"], n.get("nation", ""), rule(n), n.get("mark", ""))
                         for n in blocks.get("sentences", ())]),
        ways={node["key"]: _way(node, rule) for node in blocks.get("ways of sale", ())},
        tolerances=tuple([_tolerance(node, rule) for node in blocks.get("tolerances", ())]),
        naming=_naming(blocks["allergens"], makers[key]),
        statement={name: value for name, value in blocks["statement"].items() if isinstance(value, str)},
        colours=tuple([_colour(node, rule) for node in blocks.get("front of pack", ())]),
        words=words, house=_house(), unchecked=_unchecked(blocks, makers), findings=missing,
        simplified=_simplified(blocks.get("simplified format"), rule), portions_words=table.get("portions words", ""),
        left_out=tuple([_left_out(node, short, rule) for node in short.get("may be left out", ())]),
        left_out_words=short.get("sentence", ""),
        menu={name: value for name, value in blocks["menu"].items() if isinstance(value, str)},
        additive_categories=tuple(blocks["additives"].get("categories", ())),
        additive_names=tuple(blocks["additives"].get("names", ())),
        additive_usual=_plain(blocks["additives"].get("usual", {})),
        further=tuple([_further(node, rule) for node in blocks.get("further particulars", ())]),
        origins=tuple([_origin(node, rule) for node in blocks.get("origin", ())]),
        places=frozenset(blocks["places"].get("words", ())), customary=tuple(blocks["places"].get("customary", ())),
        mixtures=frozenset(normalise(name) for name in blocks["mixtures"].get("names", ())),
        general=tuple([_general(node, rule) for node in blocks.get("general names", ())]),
        ingredient_names=tuple([_ingredient_name(node, rule) for node in blocks.get("ingredient names", ())]),
        amounts=load_reference_amounts() if "second column from" in blocks["figures"] else (),
    )  # fmt: skip


def _ingredient_name(node: Node, rule) -> IngredientName:
    return IngredientName(node["name"], frozenset(map(normalise, node["of"])), node.get("when") == "short list", rule(node))


def _quantity(name: str, node: Node, rule) -> Quantity:
    return Quantity(name, tuple([_sum(choice) for choice in node.get("first of", [node])]), rule(node))


def _sum(node: Node) -> Sum:
    own = "from this law" in node
    terms = node["from this law" if own else "from data"]
    least = node.get("least")
    return Sum(tuple([(key, float(factor)) for key, factor in terms.items()]), own, frozenset(node.get("where known", ())),
               None if least is None else float(least), node.get("perhaps", ""))  # fmt: skip


def _rounding(name: str, node: Node, rule) -> Rounding:
    return Rounding(name, tuple([_band(band) for band in node["bands"]]), node["zeros"] == "keep", rule(node))


def _band(node: Node) -> Band:
    limit = node.get("up to", node.get("below"))
    nearest = node.get("nearest")
    return Band(None if limit is None else Decimal(limit), "up to" in node, None if nearest is None else Decimal(nearest),
                int(node.get("significant", 0)), node.get("text", ""))  # fmt: skip


def _line(node: Node, rule) -> NutrientLine:
    reference_amount = node.get("reference")
    own = rule(node)
    return NutrientLine(
        node["key"], node["name"], node["unit"], node["rounding"], node["shown"], int(node.get("indent", 0)),
        node.get("bold") == "yes", node.get("part of", ""), None if reference_amount is None else float(reference_amount),
        node.get("percent of", node["key"]), node.get("percent rounding", "percent"),
        node.get("percent from", "declared"), node.get("around", ""), own,
        rule(node, "reference ") if "reference section" in node else own, node.get("goes with", ""),
        node.get("coarse rounding", ""))  # fmt: skip


def _way(node: Node, rule) -> Way:
    listed = node["list of ingredients"] == "yes"
    return Way(node["key"], tuple(node["must"]), node["nutrition"], listed, node["note"], rule(node))


def _tolerance(node: Node, rule) -> Tolerance:
    limit = node.get("up to", node.get("below"))
    up, down = node.get("up", node.get("by")), node.get("down", node.get("by"))
    share = (up or down).endswith("%")
    return Tolerance(tuple(node["keys"]), None if limit is None else float(limit), "up to" in node, _part(up), _part(down), share,
                     rule(node))  # fmt: skip


def _part(text: str | None) -> float | None:
    if text is None:
        return None
    return float(text.rstrip(" %")) / 100 if text.endswith("%") else float(text)


def _naming(node: Node, rule) -> Naming:
    return Naming({k: v for k, v in node["named by"].items() if k != "_law"}, _plain(node["names"]),
                  {key: tuple(words) for key, words in _plain(node["summary"]).items()},
                  node["place"], frozenset(node["kind must be named"]), node["contains line"], node["may contain line"],
                  node["separator"], node["capital"] == "yes", rule(node))  # fmt: skip


def _further(node: Node, rule) -> Further:
    return Further(node["key"], node["text"], node["place"], tuple(node.get("words", ())), _numbers(node.get("over", {})),
                   tuple(node.get("recorded", ())), rule(node))  # fmt: skip


def _origin(node: Node, rule) -> Origin:
    return Origin(node["what"], frozenset(node.get("words", ())), frozenset(node.get("groups", ())), node["while"] == "raw",
                  node["asks"], rule(node))  # fmt: skip


def _general(node: Node, rule) -> General:
    over = node.get("up to percent")
    return General(frozenset(node["names"]), None if over is None else float(over), node["asks"], rule(node))


def _plain(node: Node) -> dict[str, str]:
    return {key: value for key, value in node.items() if key != "_law"}


def _colour(node: Node, rule) -> Colour:
    low = node.get("low")
    return Colour(node["key"], node["per"], None if low is None else float(low), float(node["high"]),
                  float(node.get("portion over", 0)), rule(node))  # fmt: skip


def _simplified(node: Node | None, rule) -> Simplified | None:
    if node is None:
        return None
    return Simplified(int(node["at least"]), tuple(node["of"]), _numbers(node["insignificant below"]),
                      _numbers(node["insignificant percent below"]), tuple(node["always shown"]), rule(node))  # fmt: skip


def _left_out(node: Node, block: Node, rule) -> LeftOut:
    limit, percent = node.get("up to", node.get("below")), node.get("percent below")
    return LeftOut(tuple(node["keys"]), node.get("when", ""), None if limit is None else float(limit), "up to" in node,
                   None if percent is None else float(percent), rule({"_law": block["_law"]} | node))  # fmt: skip


def _numbers(node: Node) -> dict[str, float]:
    return {key: float(value) for key, value in node.items()}


def _house() -> House:
    node = yaml_text(reference("rules", "house.yaml"))
    return House(float(node["known share"]["value"]))


def _words(languages: Sequence[str]) -> tuple[dict[str, Words], tuple[Finding, ...]]:
    found: dict[str, Words] = {}
    missing: list[Finding] = []
    for language in dict.fromkeys(languages):
        path = reference("rules", "words", f"{language}.yaml")
        if language.isalpha() and path.is_file():
            found[language] = words_of(yaml_text(path))
        else:
            missing.append(finding("language-not-there", NOWHERE, f"There are no words for the language \"{language}\".",
                                   "choose one of: " + ", ".join(languages_there())))  # fmt: skip
    return found, tuple(missing)


def words_of(node: Node) -> Words:
    spots = {kind: tuple(words) for kind, words in node["spots"].items()}
    return Words(node["language"], node["checked"], node["kinds"], spots, node["nutrients"], node["phrases"],
                 tuple(node["months"]))  # fmt: skip


def languages_there() -> tuple[str, ...]:
    """Codes of the languages that have words."""
    return tuple(sorted(path.stem for path in reference("rules", "words").glob("*.yaml")))


def _unchecked(blocks: dict[str, object], makers: dict[str, _RuleMaker]) -> tuple[str, ...]:
    """Sections in use that were not read in their text, in the order of the file, each once."""
    found: list[str] = []
    default = next(reversed(makers))
    for block in blocks.values():
        entries = block if isinstance(block, list) else [block, *block.values()]
        for entry in entries:
            if isinstance(entry, dict):
                found += _of_entry(entry, makers[entry.get("_law", default)])
    return tuple(dict.fromkeys(found))


def _of_entry(entry: Node, rule: _RuleMaker) -> list[str]:
    out = []
    for prefix in ("", "reference "):
        if f"{prefix}section" in entry and entry[f"{prefix}checked"] != CHECKED:
            made = rule(entry, prefix)
            out.append(f"{made} ({made.checked})")
    return out


def _unknown(key: str) -> Finding:
    return finding("law-not-there", NOWHERE, f"There is no law \"{key}\".", "choose one of: " + ", ".join(LAWS))


def _out_of_time(head: Node, date: str) -> Finding:
    until = f" until {head['until']}" if head["until"] else ""
    return finding("law-not-in-force", NOWHERE,
                   f"The rules of \"{head['law']}\" are held from {head['from']}{until}; {date} is outside.",
                   "choose a date in that time (`--date`), or another law")  # fmt: skip
