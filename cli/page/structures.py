"""Structures as SVG that belongs to the page: RDKit draws, the style sheet colours."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import atan2, cos, sin, tau
from typing import Any

from markupsafe import Markup, escape

from washlore.knowledge.records import dataclass

# Stand-ins for the colours of the style sheet, as RDKit writes them.
_INK, _MARK = "#000000", "#010208"
_PX_PER_LETTER, _AWAY = 8.2, 14.0
_PX_PER_ANGSTROM = 22
_SHADE = 255


def structure(
    smiles: str,
    ident: str,
    title: str,
    description: str,
    marked: Sequence[int] = (),
    notes: Mapping[int, str] | None = None,
) -> Markup:
    """Return a structure as an inline SVG, with atoms ``marked`` and ``notes`` beside atoms (indices in ``smiles``).

    All structures of a page have bonds of one length.
    """
    from rdkit import Chem
    from rdkit.Chem import rdDepictor
    from rdkit.Chem.Draw import rdMolDraw2D

    mol = Chem.Mol(Chem.MolFromSmiles(smiles))
    rdDepictor.Compute2DCoords(mol, canonOrient=True)
    drawer = rdMolDraw2D.MolDraw2DSVG(-1, -1)
    options: Any = drawer.drawOptions()  # its stubs call every setting a set of settings
    options.clearBackground = False
    options.scalingFactor = _PX_PER_ANGSTROM
    options.bondLineWidth = 2
    options.padding = 0.08
    options.highlightRadius = 0.4
    options.fillHighlights = True
    options.useBWAtomPalette()
    options.setHighlightColour((1 / _SHADE, 2 / _SHADE, 8 / _SHADE))
    rdMolDraw2D.PrepareAndDrawMolecule(drawer, mol, highlightAtoms=list(marked), highlightBonds=[])
    drawer.FinishDrawing()
    places = [tuple(drawer.GetDrawCoords(atom.GetIdx())) for atom in mol.GetAtoms()]
    beside = [_beside(mol, places, atom, note) for atom, note in (notes or {}).items()]
    return _dressed(drawer.GetDrawingText(), beside, ident, title, description)


@dataclass(frozen=True)
class _Note:
    """Words beside an atom: where they stand, and on which side of that place (start, middle, end)."""

    x: float
    y: float
    anchor: str
    text: str

    @property
    def reach(self) -> tuple[float, float]:
        """Return how far the words go to the left and to the right."""
        wide = _PX_PER_LETTER * len(self.text)
        left = {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        return self.x - left, self.x - left + wide


def _beside(mol: Any, places: Sequence[tuple[float, ...]], atom: int, text: str) -> _Note:
    """Return a note on the side of an atom that points away from its neighbours."""
    x, y = places[atom][:2]
    near = [places[n.GetIdx()] for n in mol.GetAtomWithIdx(atom).GetNeighbors()]
    if not near:
        return _Note(x, y - _AWAY, "middle", text)
    # The middle of the widest gap between its bonds.
    angles = sorted(atan2(p[1] - y, p[0] - x) for p in near)
    gaps = [(after - before) % tau or tau for before, after in zip(angles, angles[1:] + angles[:1], strict=True)]
    middles = [angle + gap / 2 for angle, gap in zip(angles, gaps, strict=True)]
    # Of gaps alike the one above or below, where words are in nobody's way.
    best = max(range(len(gaps)), key=lambda n: (round(gaps[n], 1), round(abs(sin(middles[n])), 2)))
    dx, dy = cos(middles[best]), sin(middles[best])
    if len(near) == 1:
        # Beside a heteroatom at an end its hydrogens are written: stay above or below them.
        return _Note(x, y + (_AWAY + 8 if dy > 0 else -_AWAY), "middle", text)
    anchor = "start" if dx > 0.3 else "end" if dx < -0.3 else "middle"
    return _Note(x + dx * _AWAY, y + dy * (_AWAY + 10) + 4, anchor, text)


def _dressed(drawn: str, notes: Sequence[_Note], ident: str, title: str, description: str) -> Markup:
    size = re.search(r"width='(\d+)px' height='(\d+)px'", drawn)
    drawn_wide, drawn_high = (float(n) for n in size.groups()) if size else (200.0, 150.0)
    left = min([0.0, *(note.reach[0] for note in notes)])
    right = max([drawn_wide, *(note.reach[1] for note in notes)])
    top = min([0.0, *(note.y - 14 for note in notes)])
    bottom = max([drawn_high, *(note.y + 6 for note in notes)])
    width, height = right - left, bottom - top
    body = drawn[drawn.index(">", drawn.index("<svg")) + 1 : drawn.rindex("</svg>")]
    body = re.sub(r"<!--.*?-->|<rect [^>]*>\s*</rect>", "", body, flags=re.DOTALL)
    body = re.sub(r" class='[^']*'", "", body)
    for note in notes:
        body += (
            f'<text x="{note.x:.1f}" y="{note.y:.1f}" text-anchor="{note.anchor}" font-size="14" font-weight="600" '
            f'fill="var(--accent)" stroke="var(--card)" stroke-width="4" paint-order="stroke">{escape(note.text)}</text>'
        )
    for colour, name in ((_INK, "currentColor"), (_MARK, "var(--mark)")):
        body = body.replace(colour, name)
    head = (
        f'<svg class="structure" xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height:.0f}" '
        f'viewBox="{left:.1f} {top:.1f} {width:.1f} {height:.1f}" role="img" aria-labelledby="{ident}-title {ident}-desc">'
        f'<title id="{ident}-title">{escape(title)}</title><desc id="{ident}-desc">{escape(description)}</desc>'
    )
    return Markup(f"{head}{body.strip()}</svg>")  # RDKit's own text, of paths only
