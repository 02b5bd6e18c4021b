"""The kitchen's folder, read once: every file, every entry, every finding.

``read_kitchen`` is the only door. It never raises for what a cook may have typed.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable
from itertools import islice
from pathlib import Path

import yaml
from msgspec.structs import replace

from labeller.reading.asked_lines import asked_findings
from labeller.reading.cross_checks import check_kitchen
from labeller.reading.entries import Entry, clean_name, is_nothing, is_placeholder
from labeller.reading.house_file import read_house
from labeller.reading.nodes import Notes, Page, place_of, read_page
from labeller.reading.products import read_product
from labeller.reading.recipes import husk, read_recipe
from labeller.reading.service_files import read_batch, read_match, read_menu
from labeller.terms.findings import STOP, Finding, Place
from labeller.terms.kitchen import Kitchen, Product, Recipe
from labeller.terms.words import normalise

FOLDERS = {"products": ("product",), "recipes": ("recipe", "dish", "pack"), "menus": ("menu",), "batches": ("batch",)}
FOLDER_OF = {kind: folder for folder, kinds in FOLDERS.items() for kind in kinds}
NOT_OURS = ("issued", "out", "templates", "imports.yaml", "imports.yml")  # written by the tool, or looks
KEPT = ("archive", "archives", "backup", "backups", "old", "past", "history")  # batches of other days
TEXTS = (".yaml", ".yml", ".txt", ".json", ".md", "")  # what a batch may have been saved as; no copies of an editor
MOST_LOOKED_AT = 500
PASTED_KINDS = (".csv", ".tsv", ".txt", ".xlsx", ".json")


def read_kitchen(folder: Path) -> tuple[Kitchen | None, tuple[Finding, ...]]:
    """Read a kitchen's folder. Returns (kitchen, findings in the order of files and lines); (None, …) when there is no folder.

    Keys of the kitchen's dictionaries are names as typed (single spaces). An entry that could not be read, or read in part, has
    a finding of severity ``stop`` whose subject is its name; a recipe or product of which nothing but the name is known stays
    in the dictionary without lines or papers, so that it keeps its row on every sheet. Never raises.
    """
    folder = Path(folder)
    notes = Notes()
    if not folder.is_dir():
        notes.add(
            "no-kitchen-here",
            Place(str(folder.name)),
            f'there is no folder "{folder.name}"',
            "name the kitchen's folder with --kitchen",
        )
        return None, tuple(notes.findings)
    reader = _Reader(folder, notes)
    kitchen = reader.read()
    stopped = {(each.place.file, each.place.line) for each in notes.findings if each.severity == STOP}  # asked about already
    notes.findings += [each for each in reader.asked if (each.place.file, each.place.line) not in stopped]
    notes.findings[:] = [_anyones(each) for each in notes.findings]
    check_kitchen(kitchen, notes)
    return kitchen, tuple(sorted(dict.fromkeys(notes.findings), key=lambda one: one.place))


def _anyones(each: Finding) -> Finding:
    """What could not be read of the batches may have been tonight's substitutes: it can touch any dish, so it has no subject."""
    lost = each.place.file.startswith("batches/") and each.severity == STOP
    return replace(each, subject="") if lost else each


def batch_line(path: Path) -> int:
    """The line in which a file that is not read begins to look like a day's batch or its replacements, 0 for none."""
    try:
        with path.open("rb") as stream:
            data = stream.read(65_536)
    except OSError:
        return 0
    hit = re.search(rb"(?im)^[ \t\-\"'{]*(batch|substitutes)[\"']?[ \t]*:", data)
    return data.count(b"\n", 0, hit.start()) + 1 if hit else 0


class _Reader:
    """Gathers the entries of one folder."""

    def __init__(self, folder: Path, notes: Notes) -> None:
        self.folder, self.notes = folder, notes
        self.entries: dict[str, dict[str, object]] = {"products": {}, "recipes": {}, "menus": {}, "batches": {}, "matches": {}}
        self.house: dict[str, object] = {}
        self.words: dict[str, tuple[str, Place]] = {}
        self.asked: list[Finding] = []
        self.digest = hashlib.sha256()
        self.files: list[str] = []

    def read(self) -> Kitchen:
        for path, file in self._listed():
            page = read_page(path, file, self.notes)
            self.files.append(file)
            self.digest.update(file.encode() + b"\0" + len(page.data).to_bytes(8, "big") + page.data)
            self._page(page)
        if not any(file in ("kitchen.yaml", "kitchen.yml") for file in self.files):
            self.notes.add(
                "no-kitchen-file",
                Place("kitchen.yaml"),
                "there is no kitchen.yaml",
                "write one: kitchen: name, law: uk (or run labeller new)",
            )
        house = {"name": "", **self.house}
        self._one_spelling(house.get("equipment", {}))
        return Kitchen(**house, **self.entries, version=self.digest.hexdigest()[:12], files=tuple(self.files))  # type: ignore[arg-type]

    def _one_spelling(self, equipment: Iterable[str]) -> None:
        """Names of equipment and of batch mates as their own entries spell them, so that later rooms find them as they are."""
        own = {normalise(name): name for name in equipment}
        recipes: dict[str, Recipe] = self.entries["recipes"]  # type: ignore[assignment]
        mates = {normalise(word): one.name for one in recipes.values() for word in (*reversed(one.also_called), one.name)}
        for name, one in recipes.items():
            if one.equipment or one.same_batch_as:
                used = one.equipment and tuple(own.get(normalise(each), each) for each in one.equipment)
                same = tuple(mates.get(normalise(each), each) for each in one.same_batch_as)
                recipes[name] = replace(one, equipment=used, same_batch_as=same)

    # -- files -----------------------------------------------------------------------------------------------

    def _listed(self) -> list[tuple[Path, str]]:
        """Files to read, in a fixed order: kitchen.yaml, then by folder and name."""
        found: list[tuple[Path, str]] = []
        for entry in sorted(os.scandir(self.folder), key=lambda one: one.name):
            if entry.name.startswith((".", "_")) or entry.name in NOT_OURS:
                continue
            if entry.is_dir():
                self._folder(entry.name, found)
            elif entry.name in ("kitchen.yaml", "kitchen.yml", "matches.yaml", "matches.yml"):
                found.append((Path(entry.path), entry.name))
            elif entry.name.lower().endswith((".yaml", ".yml", *PASTED_KINDS)):
                self._stray(entry.name)
        return sorted(found, key=lambda one: (not one[1].startswith("kitchen."), one[1]))

    def _folder(self, name: str, found: list[tuple[Path, str]]) -> None:
        if name not in FOLDERS:
            self._unread_folder(name)
            return
        for where, inner, files in os.walk(self.folder / name):
            inner[:] = sorted(one for one in inner if not one.startswith("."))
            for one in sorted(files):
                file = (Path(where) / one).relative_to(self.folder).as_posix()
                if one.startswith((".", "~", "_")) or one.endswith("~"):
                    continue
                if one.lower().endswith((".yaml", ".yml")):
                    found.append((Path(where) / one, file))
                else:
                    self._stray(file)

    def _unread_folder(self, name: str) -> None:
        """A folder that is not one of the kitchen's: nothing in it counts, and what may be tonight's replacement stops all."""
        from difflib import get_close_matches  # only where a name is wrong: it costs a start

        near = get_close_matches(name.lower().strip(), list(FOLDERS), n=1, cutoff=0.7)
        found = ((Path(where) / one) for where, _, names in os.walk(self.folder / name) for one in sorted(names))
        texts = (path for path in found if path.suffix.lower() in TEXTS and path.name[0] not in ".~")
        files = list(islice(texts, MOST_LOOKED_AT))
        looked = ((path.relative_to(self.folder).as_posix(), batch_line(path)) for path in files)
        batch = next((Place(file, line) for file, line in looked if line), None)
        mend = f"call it {near[0]}/" if near else "move its files into products/, recipes/, menus/ or batches/"
        if batch is not None and (near or name.lower() not in KEPT):
            self.notes.add("batch-not-read", batch, f"{batch.file} holds a batch, and the folder {name}/ is not read", mend)
        elif near:
            self.notes.add("folder-not-read", Place(name), f"the folder {name}/ is not read", mend)
        elif any(path.suffix.lower() in (".yaml", ".yml") for path in files):
            self.notes.add("stray-file", Place(name), f"the folder {name}/ is not read", mend)

    def _stray(self, file: str) -> None:
        line = batch_line(self.folder / file) if Path(file).suffix.lower() in TEXTS else 0
        if line:
            text, mend = f"{file} holds a batch, and is not read", "move it into batches/, with a name that ends in .yaml"
            self.notes.add("batch-not-read", Place(file, line), text, mend)
            return
        if file.lower().endswith(PASTED_KINDS):
            mend = "turn it into recipes with: labeller import " + file
        elif file.lower().endswith((".yaml", ".yml")):
            mend = "move it into products/, recipes/, menus/ or batches/"
        else:
            mend = "files of recipes end in .yaml"
        self.notes.add("stray-file", Place(file), f"{file} is not read", mend)

    # -- entries ---------------------------------------------------------------------------------------------

    def _page(self, page: Page) -> None:
        for broken in page.broken:
            self._lost(broken.kind, broken.name, broken.place)
        for root in page.roots:
            if page.file.startswith("kitchen."):
                self._house(root, page)
            elif page.file.startswith("matches."):
                self._each(root, page, ("ingredient",))
            else:
                self._each(root, page, FOLDERS[page.file.partition("/")[0]])
        if page.file.startswith("recipes/"):
            nodes = [each for root in page.roots for each in (root.value if isinstance(root, yaml.SequenceNode) else [root])]
            self.asked += asked_findings(page.file, page.data, nodes)

    def _house(self, root: yaml.Node, page: Page) -> None:
        if not isinstance(root, yaml.MappingNode):
            self.notes.add(
                "value-wrong-shape",
                place_of(page.file, root),
                "kitchen.yaml wants its parts named",
                "write kitchen: name, on the first line",
            )
            return
        name = next(
            (
                clean_name(right.value)
                for left, right in root.value
                if left.value == "kitchen" and isinstance(right, yaml.ScalarNode)
            ),
            "",
        )
        entry = Entry(
            "kitchen", "", root, page, self.notes, "kitchen.yaml"
        )  # no subject: a fault of the house touches every dish
        if not name:
            self.notes.add(
                "entry-without-name",
                place_of(page.file, root),
                "the kitchen has no name",
                "write kitchen: name, on the first line",
            )
        self.house = read_house(entry) | {"name": name}

    def _each(self, root: yaml.Node, page: Page, kinds: tuple[str, ...]) -> None:
        if isinstance(root, yaml.ScalarNode):
            self._pasted(root, page)
            return
        pasted = False
        for node in root.value if isinstance(root, yaml.SequenceNode) else [root]:
            if isinstance(node, yaml.MappingNode) and node.value:
                self._entry(node, page, kinds)
            elif isinstance(node, yaml.ScalarNode):
                if not pasted:  # a pasted page is one finding, not one a line
                    self._pasted(node, page)
                pasted = True
            else:
                self._unknown_entry(node, page, kinds)

    def _pasted(self, node: yaml.Node, page: Page) -> None:
        self.notes.add("line-pasted", place_of(page.file, node), f'"{node.value.strip()[:60]}" is plain text, not an entry',
                       "turn pasted text into a recipe with: labeller import", page.file)  # fmt: skip

    def _unknown_entry(self, node: yaml.Node, page: Page, kinds: tuple[str, ...]) -> None:
        place = place_of(page.file, node)
        mend = "begin it with " + " or ".join(f"- {kind}: name" for kind in kinds)
        self.notes.add("entry-not-known", place, "it is not clear what this entry is", mend, f"entry at {place}")

    def _entry(self, node: yaml.MappingNode, page: Page, kinds: tuple[str, ...]) -> None:
        keys = [" ".join(left.value.lower().split()) if isinstance(left, yaml.ScalarNode) else "" for left, _ in node.value]
        all_kinds = (*FOLDER_OF, "ingredient") if "ingredient" not in kinds else kinds
        kind = next((key for key in (*kinds, *all_kinds) if key in keys), "")
        if not kind:
            self._unknown_entry(node, page, kinds)
            return
        if self._several(node, keys, page):
            return
        value = node.value[keys.index(kind)][1]
        name = "" if is_nothing(value) or not isinstance(value, yaml.ScalarNode) else clean_name(value.value)
        place = place_of(page.file, node)
        if not name or (is_placeholder(name) and kind != "ingredient"):
            code, what = (
                ("name-placeholder", f'"{name}" is no name') if name else ("entry-without-name", f"this {kind} has no name")
            )
            self.notes.add(code, place, what, f"write {kind}: and its name", name or f"entry at {place}")
            return
        if kind not in kinds and kind in FOLDER_OF:
            self.notes.add(
                "wrong-folder", place, f'{kind} "{name}" stands in {page.file}', f"move it to a file in {FOLDER_OF[kind]}/", name
            )
        # A batch may name tonight's substitutes: what is wrong in it can touch any dish, so it has no subject.
        subject, sort = ("" if kind == "batch" else name), ("match" if kind == "ingredient" else kind)
        entry = Entry(sort, subject, node, page, self.notes, f'{kind} "{name}"')
        if isinstance(value, yaml.ScalarNode):
            entry.whole(value)
        self._keep(kind, name, place, entry)

    def _several(self, node: yaml.MappingNode, keys: list[str], page: Page) -> bool:
        """Entries that run into one another for want of a dash: none of them can be trusted, all their names are kept."""
        kinds = [key in FOLDER_OF for key in keys]
        if sum(kinds) < 2:
            return False
        for key, (left, right), is_kind in zip(keys, node.value, kinds, strict=True):
            if is_kind and isinstance(right, yaml.ScalarNode):
                name, place = clean_name(right.value), place_of(page.file, left)
                text = f'{key} "{name}" and another entry run into one'
                self.notes.add("entry-lost", place, text, f"begin it with a dash: - {key}: {name}", name)
                self._lost(key, name, place)
        return True

    def _keep(self, kind: str, name: str, place: Place, entry: Entry) -> None:
        made: object
        if kind in ("recipe", "dish", "pack"):
            made = read_recipe(entry)
        elif kind == "product":
            made = read_product(entry)
        elif kind == "menu":
            made = read_menu(entry)
        elif kind == "batch":
            made = read_batch(entry, name)
        else:
            made = read_match(entry)
        if made is not None and self._fresh(kind, (name, *getattr(made, "also_called", ())), place):
            self.entries[FOLDER_OF.get(kind, "matches")][name] = made

    def _fresh(self, kind: str, names: tuple[str, ...], place: Place) -> bool:
        """Whether the names are new among their likes: recipes and products share one set of names."""
        group = kind if kind in ("menu", "batch", "ingredient") else "food"
        own = {normalise(name): name for name in names}
        fresh = True
        for word, name in own.items():
            first = self.words.setdefault(f"{group} {word}", (names[0], place))
            if first[1] != place:
                self.notes.add("name-twice", place, f'"{name}" is the name of two entries, here and in {first[1]} ("{first[0]}")',
                               "give one of them another name", first[0])  # fmt: skip
                fresh = fresh and name != names[0]
        return fresh

    def _lost(self, kind: str, name: str, place: Place) -> None:
        if not name or not self._fresh(kind, (name,), place):
            return
        if kind in ("recipe", "dish", "pack"):
            self.entries["recipes"][name] = husk(kind, name, place)
        elif kind == "product":
            self.entries["products"][name] = Product(name, place)
