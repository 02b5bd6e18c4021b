"""Writes what was fitted into a PDF: one text object a label, words encoded once a run, boxes as filled rectangles."""

from __future__ import annotations

from io import BytesIO

from labeller.printing.fitting import Drawing, Segment
from labeller.printing.fonts import Family


class Pen:
    """A PDF in the making. Lengths in points, origin at the lower left corner of the page."""

    def __init__(self, family: Family, page: tuple[float, float], *, title: str, language: str, subject: str = ""):
        from reportlab.lib.rl_accel import escapePDF
        from reportlab.pdfgen.canvas import Canvas

        self._buffer = BytesIO()
        self._family = family
        self._escape = escapePDF
        self._words: tuple[dict[str, str | None], ...] = ({}, {}, {})
        # The canvas opens with a face of the family, so that no other font gets into the file.
        self.canvas = Canvas(self._buffer, pagesize=page, invariant=1, pageCompression=1, lang=language or "en",
                             initialFontName=family.regular.name)  # fmt: skip
        self.canvas.setTitle(title)
        self.canvas.setSubject(subject)
        self.canvas.setAuthor("")
        self.canvas.setCreator("labeller")
        self.canvas.setViewerPreference("PrintScaling", "None")  # a scaled sheet of labels misses its labels

    def _word(self, face: int, word: str) -> str | None:
        """The word as a PDF string of the face's first subset; None when it needs letters of another one."""
        known = self._words[face]
        if word in known:
            return known[word]
        parts = self._family.faces[face].font.splitString(word, self.canvas._doc) if word else [(0, b"")]
        known[word] = self._escape(parts[0][1]) if len(parts) == 1 and parts[0][0] == 0 else None
        return known[word]

    def _name(self, face: int, subset: int) -> str:
        return self._family.faces[face].font.getSubsetInternalName(subset, self.canvas._doc)

    def _shown(self, segments: tuple[Segment, ...], size: float) -> str:
        """Operators that show one line."""
        out = []
        for face, words in segments:
            coded = [self._word(face, word) for word in words]
            if None not in coded:
                out.append(f"{self._name(face, 0)} {size:g} Tf ({' '.join(coded)}) Tj")
                continue
            for subset, text in self._family.faces[face].font.splitString(" ".join(words), self.canvas._doc):
                out.append(f"{self._name(face, subset)} {size:g} Tf ({self._escape(text)}) Tj")
        return " ".join(out)

    def draw(self, drawing: Drawing, x: float = 0.0, y: float = 0.0) -> None:
        """A drawing with its lower left corner at x, y."""
        code = [f"q 1 0 0 1 {x:.3f} {y:.3f} cm"] if x or y else ["q"]
        code.append("BT")
        shown = self._shown
        code += [f"1 0 0 1 {line.x:.2f} {line.y:.2f} Tm {shown(line.segments, line.size)}" for line in drawing.lines]
        code.append("ET")
        code += [f"{left:.2f} {low:.2f} {wide:.2f} {high:.2f} re f" for left, low, wide, high in drawing.rules]
        code.append("Q")
        self.canvas.addLiteral("\n".join(code))

    def text(self, segments: tuple[Segment, ...], size: float, x: float, y: float) -> None:
        self.canvas.addLiteral(f"BT 1 0 0 1 {x:.2f} {y:.2f} Tm {self._shown(segments, size)} ET")

    def blank(self, x: float, y: float, width: float, height: float) -> None:
        """A white rectangle over what is drawn already."""
        self.canvas.addLiteral(f"q 1 g {x:.2f} {y:.2f} {width:.2f} {height:.2f} re f Q")

    def form(self, name: str, drawing: Drawing, width: float, height: float) -> None:
        """Keeps a drawing under a name, to be placed any number of times."""
        self.canvas.beginForm(name, 0, 0, width, height)
        self.draw(drawing)
        self.canvas.endForm()

    def place(self, name: str, x: float, y: float) -> None:
        self.canvas.addLiteral(f"q 1 0 0 1 {x:.3f} {y:.3f} cm")
        self.canvas.doForm(name)
        self.canvas.addLiteral("Q")

    def page(self) -> None:
        """Ends the page."""
        self.canvas.showPage()

    def size(self, width: float, height: float) -> None:
        """Sets the size of the page now open."""
        self.canvas.setPageSize((width, height))

    def bytes(self) -> bytes:
        self.canvas.save()
        return self._buffer.getvalue()
