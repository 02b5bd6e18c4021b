"""Reads printed ingredient texts: which allergens they hold, and by which words.

``read_label`` gives a :class:`~labeller.terms.allergens.LabelReading`, ``view`` one law's answer, ``reading_as_json`` the
JSON of the command. Rests on the lexicon (``reference/allergens/lexicon.csv``) and the lists of the laws
(``reference/allergens/law_lists.yaml``), which are arguments.
"""

from labeller.working.label_reader.reader import read_label
from labeller.working.label_reader.view import reading_as_json, view

__all__ = ["read_label", "reading_as_json", "view"]
